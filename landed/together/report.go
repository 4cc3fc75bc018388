package together

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Report is what the ways to send a haul cost. Amounts are in home unless said
// otherwise.
type Report struct {
	Leaves time.Time // the day for which services and storage were priced
	Apart  Way       // each lot by itself, but for those that must travel together
	One    Way       // all lots in one parcel
	Best   Way       // of least total, as far as Exact says
	Out    []string  // why each service that cannot be used cannot
	// Aside are what of the haul the plan takes the place of: its own parcels, as warnings, and what
	// would be paid twice beside those of the plan, such as charge "Surface parcel", with what to do
	// if it would not. Those with a Figure are for what has come, too, and count for that alone.
	Aside  source.Faults
	Facts  []Fact  // what is worth to know of the parcels
	Opened *Opened // what depends on open prices; nil where none is open, and from [Least]
	// Divided names the parcels of Best that hold a part of what a seller sold, and are relieved of
	// what one parcel of all lots would not be.
	Divided []string

	Exact   bool         // no way costs less than Best
	Bound   money.Amount // no way costs less than this
	Stopped bool         // the search was cut short
	asked   int          // for how many parcels a cost was worked out
}

// Way is one way to send the lots.
type Way struct {
	Name      string            // "apart", "one" or "best"
	Parcels   []Sent            // all of them, each with its service
	Statement *landed.Statement // of the haul so sent; nil when it cannot be
	Why       error             // why it cannot be sent so

	Costs
	Saving money.Amount // against apart; no currency when one of the two cannot be
}

// Costs are what a way comes to, by what is paid for, or what another way comes to beyond it.
type Costs struct {
	landed.Carriage              // its fees are those of the border aside
	Border          money.Amount // duty, tax and the border's fees
	Other           money.Amount // prices and all other charges
	Total           money.Amount // of these
}

// Sent is one parcel of a way.
type Sent struct {
	Parcel  landed.Parcel    // as it goes into the haul
	Quote   parcels.Quote    // the service's account, in its currency
	Charges []parcels.Charge // the forwarder's, in his currency
	Unsized []string         // lots without a size in a box that is made for the others
	Bare    bool             // not insured, though it was asked, since the service insures nothing
}

// Fact is one of the few things that decide: a step of a price table just crossed, a limit that
// keeps lots apart, or a threshold of the border met or missed.
type Fact struct {
	Parcel  string                // id, of the best way; "" for the one box of all lots
	Service string                // but for a threshold
	Cheaper parcels.NextCheaper   // of a step; what it saves is in home, the border aside
	Refusal *parcels.RefusedError // of a limit; else nil
	Relief  *customs.Relief       // of a threshold; else nil
}

// apartError tells that all lots cannot be in one parcel because two were said
// to be kept apart.
type apartError struct{ A, B string }

// Error says what is wrong and, where it can be said, what would put it right.
func (e *apartError) Error() string {
	return fmt.Sprintf("lots %s and %s must not share a parcel", e.A, e.B)
}

// totalError tells that what was planned with is not what Split says: a
// mistake in this package.
type totalError struct{ planned, split money.Amount }

func (e *totalError) Error() string {
	return fmt.Sprintf("the parcels were planned to make a total of %s, but the account says %s", e.planned, e.split)
}

// report works out the best way.
func (p *planner) report(ctx context.Context, best partition.Solution) (*Report, error) {
	r := &Report{Leaves: p.leaves, Out: p.out, Aside: p.aside,
		Exact: best.Exact, Stopped: ctx.Err() != nil, asked: best.Evaluated}
	var err error
	if r.Best, err = p.way("best", best.Parts); err != nil {
		return nil, err
	}
	if r.Bound = r.Best.Total; r.Best.Parcels == nil {
		return r, nil
	}
	fixed, err := p.fixed()
	if err != nil {
		return nil, err
	}
	if r.Bound, err = fixed.Add(money.New(best.Bound, p.haul.Home)); err != nil {
		return nil, err
	}
	planned := fixed.Minor() + best.Cost
	if planned != r.Best.Total.Minor() {
		return nil, &totalError{money.New(planned, p.haul.Home), r.Best.Total}
	}
	return r, nil
}

// compare works out the ways beside the best one, and what comes of comparing.
func (p *planner) compare(r *Report) error {
	var err error
	if r.Apart, err = p.simple("apart", p.problem.Blocks()); err != nil {
		return err
	}
	if r.One, err = p.simple("one", []partition.Set{p.toCome()}[:min(1, p.toCome().Len())]); err != nil {
		return err
	}
	r.savings()
	if r.Divided, err = p.divided(r); err != nil {
		return err
	}
	r.Facts, err = p.facts(r)
	return err
}

// simple is a way whose parcels are given, each by the service that is
// cheapest for it.
func (p *planner) simple(name string, parcels []partition.Set) (Way, error) {
	var chosen []partition.Part
	for _, lots := range parcels {
		for _, pair := range p.problem.Apart {
			if lots.Has(pair[0]) && lots.Has(pair[1]) {
				return Way{Name: name, Why: &apartError{p.haul.Lots[pair[0]].ID, p.haul.Lots[pair[1]].ID}}, nil
			}
		}
		service, cost, err := p.cheapest(lots)
		if p.err != nil {
			return Way{}, p.err
		}
		if err != nil {
			return Way{Name: name, Why: err}, nil
		}
		chosen = append(chosen, partition.Part{Elements: lots, Mode: service, Cost: cost})
	}
	return p.way(name, chosen)
}

// way splits the haul as sent.
func (p *planner) way(name string, parcels []partition.Part) (Way, error) {
	w := Way{Name: name}
	haul := *p.haul
	haul.Parcels = slices.Clone(p.came)
	w.Parcels = slices.Grow(w.Parcels, len(parcels))
	number := 0
	for _, parcel := range parcels {
		for number++; p.stood(fmt.Sprintf("box-%d", number)); number++ {
		}
		sent, err := p.sent(fmt.Sprintf("box-%d", number), parcel)
		if err != nil {
			return w, err
		}
		w.Parcels = append(w.Parcels, sent)
		haul.Parcels = append(haul.Parcels, sent.Parcel)
	}
	st, err := landed.Split(&haul)
	if err != nil {
		return w, err
	}
	w.Statement = st
	w.Costs, err = p.costs(st)
	return w, err
}

// costs is what a statement comes to, what has come among the other costs.
func (p *planner) costs(st *landed.Statement) (c Costs, err error) {
	none, sums := money.New(0, st.Home), tally.Tally{}
	c = Costs{Carriage: landed.Carriage{Freight: none, Insurance: none, Fees: none}, Border: none, Other: none, Total: st.Total}
	for i := range st.Lines {
		l, to := &st.Lines[i], &c.Other
		switch k := l.Kind; {
		case p.came == nil && p.toCome() == 0 || p.stood(l.Parcel) || k == landed.Freight && l.Parcel == "" && (l.Lot == "" || p.gone.Has(p.haul.LotAt(l.Lot))): // of what has come
		case l.Estimated:
			to = &c.Border
		case k == landed.Freight:
			to = &c.Freight
		case k == landed.Insurance:
			to = &c.Insurance
		case k == landed.Fee:
			to = &c.Fees
		}
		*to = sums.Add(*to, l.Home)
	}
	return c, sums.Err
}

// sent describes a parcel in full.
func (p *planner) sent(id string, parcel partition.Part) (Sent, error) {
	carriage, _, err := p.carriage(parcel.Elements, parcel.Mode)
	if err != nil {
		return Sent{}, err
	}
	s := Sent{Parcel: landed.Parcel{ID: id, Carriage: carriage}}
	if s.Quote, err = p.quote(parcel.Elements, parcel.Mode); err != nil {
		return s, err
	}
	if s.Charges, err = p.charges(parcel.Elements); err != nil {
		return s, err
	}
	s.Bare = p.sending.Insure && !parcels.Insures(p.tariffs[parcel.Mode].service)
	s.Parcel.Billed, s.Parcel.Size = s.Quote.Billed, s.Quote.Size
	for _, lot := range parcel.Elements.Elements() {
		s.Parcel.Lots = append(s.Parcel.Lots, p.haul.Lots[lot].ID)
		if s.Quote.Size != (measure.Size{}) && p.haul.Lots[lot].Size == (measure.Size{}) {
			s.Unsized = append(s.Unsized, p.haul.Lots[lot].ID)
		}
	}
	return s, nil
}

// savings compares with all apart.
func (r *Report) savings() {
	if r.Apart.Statement == nil {
		return
	}
	for _, w := range []*Way{&r.Apart, &r.One, &r.Best} {
		if w.Statement != nil {
			w.Saving = money.New(r.Apart.Total.Minor()-w.Total.Minor(), w.Total.Currency())
		}
	}
}

// sellers are those of the lots in a parcel of the best way.
func (r *Report) sellers(parcel int) []string {
	var list []string
	for i := range r.Best.Statement.Haul.Lots {
		if l := &r.Best.Statement.Haul.Lots[i]; slices.Contains(r.Best.Parcels[parcel].Parcel.Lots, l.ID) {
			list = append(list, l.Seller)
		}
	}
	return list
}

// divides reports whether a parcel of the best way holds a part of what a seller sold.
func (r *Report) divides(parcel int) bool {
	own := r.sellers(parcel)
	for other := range r.Best.Parcels {
		if other != parcel && slices.ContainsFunc(r.sellers(other), func(seller string) bool { return slices.Contains(own, seller) }) {
			return true
		}
	}
	return false
}

// divided names the parcels with a part of what a seller sold that are relieved of what one parcel
// of all would not be.
func (p *planner) divided(r *Report) ([]string, error) {
	border := r.Best.Statement.Border
	if border == nil || len(r.Best.Parcels) < 2 {
		return nil, nil
	}
	whole := r.One.Statement
	if whole == nil {
		var err error
		if whole, err = landed.Split(p.haul); err != nil {
			return nil, err
		}
	}
	charged := map[string]bool{}
	for _, relief := range whole.Border.Parcels[len(whole.Border.Parcels)-1].Relief {
		charged[relief.What] = !relief.Relieved
	}
	var ids []string
	for i := range border.Parcels {
		parcel := &border.Parcels[i]
		at := slices.IndexFunc(r.Best.Parcels, func(sent Sent) bool { return sent.Parcel.ID == parcel.ID })
		if at < 0 { // it stood before
			continue
		}
		for _, relief := range parcel.Relief {
			if relief.Relieved && charged[relief.What] && r.divides(at) {
				ids = append(ids, parcel.ID)
				break
			}
		}
	}
	return ids, nil
}

// facts picks what decides: the step just crossed, the limit that keeps lots
// apart, the thresholds of the border.
func (p *planner) facts(r *Report) ([]Fact, error) {
	var facts []Fact
	ways := []*Way{&r.Best}
	if len(r.Best.Parcels) > 1 {
		ways = append(ways, &r.One)
	}
	for _, w := range ways {
		fact, found, err := p.step(w)
		if err != nil {
			return nil, err
		}
		if found {
			facts = append(facts, fact)
			break
		}
	}
	if fact, found := p.limit(r); found {
		facts = append(facts, fact)
	}
	fact, found := p.threshold(&r.Best)
	one, alsoOne := p.threshold(&r.One)
	differ := found && alsoOne && one.Relief.Relieved != fact.Relief.Relieved
	if found && (differ || over(fact.Relief) <= fact.Relief.Threshold.Minor()) {
		facts = append(facts, fact) // what is far above a threshold decides nothing
	}
	if differ {
		facts = append(facts, one)
	}
	return facts, nil
}

// step finds the parcel that came least beyond a step of its price table, if
// that is within a fifth of its weight.
func (p *planner) step(w *Way) (Fact, bool, error) {
	const near = 5
	var fact Fact
	found := false
	for i := range w.Parcels {
		q := &w.Parcels[i].Quote
		c := q.NextCheaper
		must := max(c.Actual, c.Volumetric)
		if must == 0 || must > max(q.Weight, q.Volumetric)/near || found && must >= max(fact.Cheaper.Actual, fact.Cheaper.Volumetric) {
			continue
		}
		freight, sums := w.Parcels[i].Parcel.Freight, tally.Tally{}
		less := sums.Sub(freight, c.Saves)
		c.Saves = sums.Sub(sums.Of(p.rates.Cost(freight)), sums.Of(p.rates.Cost(less)))
		if sums.Err != nil {
			return fact, false, sums.Err
		}
		fact, found = Fact{Parcel: w.inBest(w.Parcels[i].Parcel.ID), Service: q.Service.Name, Cheaper: c}, true
	}
	return fact, found, nil
}

// inBest is the id of a parcel of the best way, and "" for the one box of all lots.
func (w *Way) inBest(id string) string {
	if w.Name == "one" {
		return ""
	}
	return id
}

// limit finds why a service of the best way does not take all lots in one
// parcel. Where none does, the way in one box itself tells why.
func (p *planner) limit(r *Report) (Fact, bool) {
	if len(r.Best.Parcels) < 2 || r.One.Why != nil {
		return Fact{}, false
	}
	for i := range p.tariffs {
		name := p.tariffs[i].service.Name
		used := false
		for k := range r.Best.Parcels {
			used = used || r.Best.Parcels[k].Quote.Service.Name == name
		}
		var refused *parcels.RefusedError
		if _, err := p.quote(p.toCome(), i); used && errors.As(err, &refused) {
			return Fact{Service: name, Refusal: refused}, true
		}
	}
	return Fact{}, false
}

// over is by how much a parcel misses a threshold, below zero where it clears it.
func over(r *customs.Relief) int64 { return r.Measure.Minor() - r.Threshold.Minor() }

func abs(n int64) int64 { return max(n, -n) }

// threshold finds how the parcel stands that comes nearest to a threshold.
func (p *planner) threshold(w *Way) (Fact, bool) {
	if w.Statement == nil || w.Statement.Border == nil {
		return Fact{}, false
	}
	var fact Fact
	found := false
	parcels := w.Statement.Border.Parcels
	for i := range parcels {
		for k := 0; k < len(parcels[i].Relief) && !p.stood(parcels[i].ID); k++ {
			relief := &parcels[i].Relief[k]
			if found && abs(over(relief)) >= abs(over(fact.Relief)) {
				continue
			}
			fact, found = Fact{Parcel: w.inBest(parcels[i].ID), Relief: relief}, true
		}
	}
	return fact, found
}
