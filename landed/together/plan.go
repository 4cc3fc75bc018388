package together

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/freight"
	"lotcost/landed/internal/came"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/partition"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Plan finds how the lots of a haul should travel by the services its
// [Sending] names: all apart, all in one box, and the way of least
// total. Totals are those of [landed.Split] with the parcels of each way, in
// home.
//
// A parcel with a bill of the border has come, and stays as it is, with what was paid for it; so
// does one whose freight was settled, or in which something was found or sold. A bill for all
// parcels is for all lots that are bought. Of what is still to come that is left aside
// which a service takes the place of: charges of kind freight, and the parcels the haul has.
//
// When the context is done it reports the best way found so far. It returns
// [source.Faults] when the haul cannot be planned, a lot fits no service, or
// Split finds faults.
func Plan(ctx context.Context, h *landed.Haul, s *Sending, o Options) (*Report, error) {
	p, r, err := least(ctx, h, s, o)
	if err == nil {
		err = p.asFaults(ctx, p.compare(r))
	}
	if err == nil {
		r.Opened = p.opened(ctx, &r.Best)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

// Least is [Plan] for those who want the way of least total alone: the report
// has neither the other ways nor anything that comes of comparing with them.
func Least(ctx context.Context, h *landed.Haul, s *Sending, o Options) (*Report, error) {
	_, r, err := least(ctx, h, s, o)
	return r, err
}

func least(ctx context.Context, h *landed.Haul, s *Sending, o Options) (*planner, *Report, error) {
	p, err := newPlanner(h, s)
	if err != nil {
		return nil, nil, err
	}
	best, err := p.best(ctx, o)
	if err != nil {
		return nil, nil, p.asFaults(ctx, err)
	}
	r, err := p.report(ctx, best)
	return p, r, p.asFaults(ctx, err)
}

// asFaults tells where to look for what could not be computed: a size or
// a sum beyond all bounds. Stopping, and a mistake of this package, are no
// faults of the input.
func (p *planner) asFaults(ctx context.Context, err error) error {
	var mistake *totalError
	if err == nil || errors.As(err, &mistake) || ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return err
	}
	report := &collect.Report{}
	report.AddErr(p.sending.At, "sending", err)
	return report.Err()
}

// Options limit the search for the least-cost division.
type Options struct {
	// Work is how many steps may be spent, one step being a parcel whose cost is worked out or a
	// thousand looked at without that; 0 means 20 million. All lots apart and all in one parcel are
	// looked at in any case.
	Work int
	// Progress is called now and then with the divisions decided so far, how many there are, both
	// rough, and the cost of the best plan so far in minor units, -1 while there is none.
	Progress func(done, total int, best int64)
}

// NoPlanError tells that the lots cannot all be sent.
type NoPlanError = partition.NoPlanError

func (o Options) solver() partition.Options {
	return partition.Options{Work: o.Work, Progress: o.Progress}
}

// planner is one run of Plan.
type planner struct {
	sender
	problem partition.Problem
	stays
	out   []string
	aside source.Faults
}

// newPlanner makes a haul ready.
func newPlanner(h *landed.Haul, s *Sending) (*planner, error) {
	if h == nil {
		return nil, h.Check()
	}
	if s == nil || len(s.Services) == 0 {
		return nil, source.Faults{{At: h.At, Field: "sending", What: "the file says nothing of how the lots may travel",
			Remedy: "name the services", Figure: "services"}}
	}
	report := &collect.Report{}
	report.AddAll(s.Check(h))
	p := &planner{sender: sender{sending: s}}
	p.setAside(h.WithoutLost())
	report.AddAll(p.haul.Check())
	if err := report.Err(); err != nil || p.toCome() == 0 {
		return p, err
	}
	p.sending = s.For(p.haul.Only(func(l *landed.Lot) bool { return !p.gone.Has(p.haul.LotAt(l.ID)) }))
	for _, step := range []func(*collect.Report){p.days, p.services, p.lots, p.refunds} {
		if step(report); report.Err() != nil {
			return nil, report.Err()
		}
	}
	var err error
	if p.pricer, err = landed.NewParcelPricer(p.haul); err != nil {
		return nil, err
	}
	if err := p.paid(); err != nil {
		return nil, err
	}
	if err := p.describe(); err != nil {
		return nil, p.asFaults(context.Background(), err)
	}
	return p, nil
}

// forBoth is the figure of what is set aside that counts for what has come alone.
const forBoth = "come"

// setAside copies the haul without what the plan takes the place of, and names it. What is both
// for what has come and for what is still to come counts for the first, and is named with a remedy.
func (p *planner) setAside(told *landed.Haul) {
	h, more := came.Apart(told)
	h = h.OpenAsFree().AsMet()
	p.haul, p.rates = SentAs(h, nil), h.Exchange()
	p.rates.Keep()
	p.stay(h)
	_, there := came.Of(h)
	toCome := slices.DeleteFunc(h.LotIDs(), func(id string) bool { return slices.Contains(there, id) })
	add := func(f source.Fault) { p.aside = append(p.aside, &f) }
	both := func(what string, at source.Origin, remedy string) {
		add(source.Fault{What: what, At: at, Figure: forBoth, Remedy: remedy})
	}
	for i := range told.Parcels {
		t := &told.Parcels[i]
		if made := t.At != (source.Origin{}) && slices.ContainsFunc(p.came, func(c landed.Parcel) bool { return c.At == t.At }); !p.stood(t.ID) && !made {
			add(source.Fault{What: "parcel " + t.ID, At: t.At, Warning: true})
		} else if came.Has(told, t) && slices.ContainsFunc(t.Lots, func(id string) bool { return slices.Contains(more.Lots, id) }) {
			both("parcel "+t.ID, t.At, "take what is open out of its lots: "+strings.Join(more.Lots, ", "))
		}
	}
	for i := range h.Charges {
		c := &h.Charges[i]
		of := fmt.Sprintf("charge %q", c.What)
		switch {
		case !c.OfParcels() || paidFor(h, *c, toCome) == nil:
		case paidFor(h, *c, there) == nil:
			add(source.Fault{What: of, At: c.At, Remedy: "if it is paid beside them, make it a fee, or freight for each lot"})
		default:
			both(of, c.At, "write at it what it is for, as in on: ["+strings.Join(there, ", ")+"]")
		}
	}
	if told.Border != nil && told.Border.Bill != (landed.Bill{}) && len(toCome) > 0 {
		both("the bill of customs", told.Border.At, "write it at the parcels that have come, as assessed of each")
	}
}

// days finds the day the parcels leave.
func (p *planner) days(report *collect.Report) {
	s := p.sending
	p.leaves = s.Leaves
	if p.leaves.IsZero() {
		p.leaves = p.haul.Date
	}
	fail := func(what, remedy string) *source.Fault {
		return report.Add(&source.Fault{At: s.At.Key("leaves"), Field: "sending: leaves", What: what, Remedy: remedy})
	}
	switch {
	case p.leaves.IsZero():
		f := fail("the day the parcels leave is missing, and it picks the prices", "write it")
		f.Figure, f.Or = "leaves", "write the day of purchase at the top"
	case !s.Latest.IsZero() && s.Latest.Before(p.leaves):
		fail("the parcels leave on "+day(p.leaves)+", after the last day on which they may arrive", "write an earlier day, or a later latest")
	}
}

func day(t time.Time) string { return t.Format(time.DateOnly) }

// services picks those that can be used.
func (p *planner) services(report *collect.Report) {
	s := p.sending
	for _, service := range s.Services {
		tariff, err := parcels.Compile(service, s.Zone, p.leaves)
		var faults source.Faults
		switch {
		case errors.As(err, &faults):
			report.AddErr(service.At, "service "+service.Name, err)
		case err != nil:
			p.out = append(p.out, err.Error())
		case p.tooLate(service) != "":
			p.out = append(p.out, p.tooLate(service))
		case s.Insure && !s.Bare && !parcels.Insures(service):
			p.out = append(p.out, fmt.Sprintf("service %q insures nothing, and the parcels are to be insured (with insurance only where offered it may carry them)", service.Name))
		default:
			p.all.Admit(tariff)
			p.tariffs = append(p.tariffs, tariffOf{Tariff: tariff, service: service, mostVolume: tariff.MostVolume(s.Packing.Padding)})
		}
	}
	if len(p.tariffs) > 0 || report.Len() > 0 {
		return
	}
	for _, why := range p.out {
		report.Add(&source.Fault{At: s.At.Key("services"), Field: "sending: services", What: why, Remedy: "none is left: add a service that can be used"})
	}
}

// tooLate says why a service cannot bring parcels by the latest day.
func (p *planner) tooLate(s *freight.Service) string {
	latest := p.sending.Latest
	if latest.IsZero() {
		return ""
	}
	if s.MaxDays == 0 {
		return fmt.Sprintf("service %q does not say how long it takes, and the parcels must arrive by %s", s.Name, day(latest))
	}
	if by := p.leaves.AddDate(0, 0, s.MaxDays); by.After(latest) {
		return fmt.Sprintf("service %q may take %d days, until %s, and the parcels must arrive by %s", s.Name, s.MaxDays, day(by), day(latest))
	}
	return ""
}

// mostWeight bounds what a lot, or the packing, weighs, so that no sum of them
// leaves its range.
const mostWeight = 10_000 * measure.Kilogram

// lots weighs and values the lots.
func (p *planner) lots(report *collect.Report) {
	h := p.haul
	if len(h.Lots) > partition.MaxElements {
		report.Add(&source.Fault{At: h.At.Key("lots"), Field: "lots", What: fmt.Sprintf("there are %d lots", len(h.Lots)), Remedy: fmt.Sprintf("plan for %d at most", partition.MaxElements)})
		return
	}
	for i := range h.Lots {
		lot := &h.Lots[i]
		if p.gone.Has(i) {
			p.held = append(p.held, parcels.Lot{ID: lot.ID})
			continue
		}
		weight, ok := sentWeight(lot)
		fail := func(key, field, what, remedy string) *source.Fault {
			return report.Add(&source.Fault{At: lot.At.Key(key), Field: "lot " + lot.ID + field, What: what, Remedy: remedy})
		}
		if !ok {
			f := fail("packed", "", "what the lot weighs is not known", "write it as it goes into the box")
			f.Figure, f.Or = "packed", "the weight of each item"
		}
		if weight > mostWeight {
			fail("packed", "", "the lot weighs "+weight.String(), "check the unit: parcels are planned of lots up to "+mostWeight.String())
		}
		if lot.Arrived.After(p.leaves) {
			fail("arrived", ": arrived", fmt.Sprintf("the lot arrives on %s, after the parcels leave on %s", day(lot.Arrived), day(p.leaves)), "let them leave later").Figure = "later"
		}
		p.held = append(p.held, parcels.Lot{ID: lot.ID, Arrived: lot.Arrived, Weight: weight})
	}
	if fixed := p.sending.Packing.Fixed; fixed > mostWeight {
		report.Add(&source.Fault{At: p.sending.At.Key("packing", "fixed"), Field: "sending: packing: fixed", What: "the packing weighs " + fixed.String(), Remedy: "check the unit"})
	}
	for i := range p.tariffs {
		p.tariffs[i].goods = p.goodsFor(p.tariffs[i].service, report)
	}
}

// sentWeight returns the weight of the lot as it goes into a box: as packed,
// or else that of its items. It reports false when an item has no weight, or
// when the sum does not fit.
func sentWeight(l *landed.Lot) (measure.Weight, bool) {
	if l.Packed > 0 {
		return l.Packed, true
	}
	var sum measure.Weight
	for i := range l.Items {
		item := &l.Items[i]
		all, err := item.Weight.Mul(item.Count)
		if err == nil {
			sum, err = sum.Add(all)
		}
		if err != nil || !item.Weighed && item.Count > 0 {
			return 0, false
		}
	}
	return sum, sum > 0
}

// goodsFor returns the place of the lots with values in the currency that the
// service needs.
func (p *planner) goodsFor(s *freight.Service, report *collect.Report) int {
	var in money.Currency
	limited := s.Limits.Value.Currency() != 0 || s.Rolls != nil && s.Rolls.Value.Currency() != 0
	if parcels.Insures(s) && p.sending.Insure || limited {
		in = s.Currency
	}
	if n := slices.IndexFunc(p.goods, func(g goods) bool { return g.currency == in }); n >= 0 {
		return n
	}
	g := goods{currency: in}
	for i := range p.haul.Lots {
		lot := &p.haul.Lots[i]
		l := parcels.Lot{ID: lot.ID, Weight: p.held[i].Weight, Size: lot.Size, Roll: lot.Roll, Contents: lot.Contents}
		if in != 0 && !p.gone.Has(i) {
			var err error
			if l.Value, err = p.worth(lot, in); err != nil {
				report.AddErr(lot.At, "lot "+lot.ID+": value for "+s.Name, err)
			}
		}
		g.lots = append(g.lots, l)
	}
	p.goods = append(p.goods, g)
	return len(p.goods) - 1
}

// worth is what was paid for a lot, premium included, in another currency; of
// an open price nothing.
func (p *planner) worth(lot *landed.Lot, in money.Currency) (money.Amount, error) {
	if !lot.Bought() {
		return money.New(0, in), nil
	}
	if lot.Price.Currency() == 0 {
		return p.rates.Value(lot.Settled, in)
	}
	one := decimal.NewFromInt(1)
	paid, err := money.Round(lot.Price.Decimal().Mul(one.Add(lot.Premium)), one, lot.Price.Currency())
	if err != nil {
		return paid, err
	}
	return p.rates.Value(paid, in)
}

// refunds refuses what would make a parcel cost less than nothing.
func (p *planner) refunds(report *collect.Report) {
	for i := range p.haul.Charges {
		c := &p.haul.Charges[i]
		if c.Per == landed.PerParcel && (c.Amount.Sign() < 0 || c.Settled.Sign() < 0) {
			report.Add(&source.Fault{At: c.At.Key("amount"), Field: fmt.Sprintf("charge %q", c.What), What: "a refund for each parcel cannot be planned with",
				Remedy: "write it per haul, or leave it out while planning"})
		}
	}
}

// describe states the problem that the solver is to solve.
func (p *planner) describe() error {
	f, err := p.floors()
	if err != nil {
		return err
	}
	p.problem = partition.Problem{Elements: len(p.haul.Lots), Out: p.gone, Modes: len(p.tariffs), Cost: p.cost, RefusalsGrow: p.refusalsGrow(),
		Weight: f.weight, Carriage: p.carriageFloor, Kind: p.kinds()}
	if p.problem.Each, p.problem.Alone, p.problem.Joined, err = p.withCharges(f); err != nil {
		return err
	}
	p.problem.Brackets, p.problem.Measure, p.problem.Bearing = p.brackets(f)
	p.problem.Figures, p.problem.ModeFloor = p.figures(), p.serviceFloor
	place := map[string]int{}
	for i := range p.haul.Lots {
		place[p.haul.Lots[i].ID] = i
	}
	for _, group := range p.sending.Together {
		var lots []int
		for _, id := range group {
			lots = append(lots, place[id])
		}
		p.problem.Together = append(p.problem.Together, lots)
	}
	for _, group := range p.sending.Apart {
		for i := range group {
			for j := range i {
				p.problem.Apart = append(p.problem.Apart, [2]int{place[group[j]], place[group[i]]})
			}
		}
	}
	return nil
}

// refusalsGrow reports whether a service that refuses some lots refuses more
// of them. A box of more lots may be shorter than one of fewer, and a roll by
// itself goes by other limits.
func (p *planner) refusalsGrow() bool {
	for i := range p.haul.Lots {
		if lot := &p.haul.Lots[i]; lot.Size != (measure.Size{}) || lot.Roll {
			return false
		}
	}
	return true
}

// kinds gives alike lots that follow each other the same number. Those that do
// not follow each other may differ by a minor unit, since odd units go to the
// earlier item.
func (p *planner) kinds() []int {
	kinds := make([]int, len(p.haul.Lots))
	for i := 1; i < len(kinds); i++ {
		kinds[i] = i
		if !p.gone.Has(i-1) && !p.gone.Has(i) && p.alike(i-1, i) && p.pricer.Same(i-1, i) {
			kinds[i] = kinds[i-1]
		}
	}
	return kinds
}

// alike reports whether swapping two lots changes no cost.
func (p *planner) alike(i, j int) bool {
	a, b := &p.haul.Lots[i], &p.haul.Lots[j]
	if p.named(a) || p.named(b) || len(a.Items) != len(b.Items) {
		return false
	}
	for n := range a.Items {
		x, y := &a.Items[n], &b.Items[n]
		if x.Count != y.Count || x.Weight != y.Weight || x.Weighed != y.Weighed || p.haul.ValueOf(x) != p.haul.ValueOf(y) || x.Class != y.Class {
			return false
		}
	}
	return a.Seller == b.Seller && a.Price == b.Price && a.Premium.Equal(b.Premium) && a.Settled == b.Settled &&
		a.Size == b.Size && a.Packed == b.Packed && a.Arrived.Equal(b.Arrived) && a.Roll == b.Roll && slices.Equal(a.Contents, b.Contents)
}

// named reports whether a charge covers the lot, or some of it, by its id.
func (p *planner) named(lot *landed.Lot) bool {
	for i := range p.haul.Charges {
		for _, id := range p.haul.Charges[i].On {
			if id == lot.ID || slices.ContainsFunc(lot.Items, func(item landed.Item) bool { return item.ID == id }) {
				return true
			}
		}
	}
	return false
}

// best solves the problem.
func (p *planner) best(ctx context.Context, o Options) (partition.Solution, error) {
	if p.toCome() == 0 {
		return partition.Solution{Exact: true}, nil
	}
	_, sums := p.pricer.Together()
	switch {
	case p.pricer.Additive():
		return p.solve(ctx, p.problem, o)
	case sums && (p.came == nil || p.firm || p.alone()):
		return p.sides(ctx, o)
	}
	solution, err := p.solve(ctx, p.problem, o)
	if err != nil {
		return solution, err
	}
	return p.whole(ctx, solution, o)
}

// solve solves a problem, without brackets if it takes that.
func (p *planner) solve(ctx context.Context, problem partition.Problem, o Options) (partition.Solution, error) {
	solution, err := problem.Solve(ctx, o.solver())
	none := (*partition.NoPlanError)(nil)
	if err != nil && problem.Brackets != nil && !errors.As(err, &none) && p.err == nil && ctx.Err() == nil {
		p.problem.Brackets, p.problem.Measure = nil, nil // slower without, and never wrong
		problem.Brackets, problem.Measure = nil, nil
		solution, err = problem.Solve(ctx, o.solver())
	}
	if p.err != nil {
		return solution, p.err
	}
	if errors.As(err, &none) {
		return solution, p.noPlan(none)
	}
	return solution, err
}

// noPlan tells of the lots that cannot be sent what each service says to them.
func (p *planner) noPlan(none *partition.NoPlanError) error {
	s := p.sending
	var faults source.Faults
	if none.Conflict {
		a, b := p.haul.Lots[none.Elements[0]].ID, p.haul.Lots[none.Elements[1]].ID
		return source.Faults{{At: s.At.Key("apart"), Field: "sending: apart", What: fmt.Sprintf("lots %s and %s must share a parcel and must not", a, b),
			Remedy: "take them out of together or of apart", Err: none}}
	}
	for _, lot := range none.Elements {
		faults = append(faults, p.refused(partition.SetOf(lot), p.haul.Lots[lot].At, "lot "+p.haul.Lots[lot].ID, none)...)
	}
	if faults == nil {
		faults = p.refused(partition.SetOf(none.Elements...), s.At.Key("together"), "sending: together", none)
	}
	if faults == nil {
		faults = source.Faults{{At: s.At, Field: "sending", What: none.Error(), Err: none}}
	}
	return faults
}

// refused tells what each service says to some lots in one parcel, when none
// takes them.
func (p *planner) refused(lots partition.Set, at source.Origin, field string, none *partition.NoPlanError) source.Faults {
	var faults source.Faults
	_, _, err := p.cheapest(lots)
	for _, refusal := range collect.Unjoin(err) {
		faults = append(faults, &source.Fault{At: at, Field: field, What: refusal.Error(),
			Remedy: "no service takes it: add one that does, or leave it out", Err: errors.Join(refusal, none)})
	}
	return faults
}
