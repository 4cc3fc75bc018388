package bid

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/landed/together"
)

// costing is a haul that is to be priced at many bids for some of its lots.
type costing struct {
	haul    landed.Haul // the lots and what is bought; a copy with lots of its own
	sending *together.Sending
	ids     []string        // of the lots
	places  []int           // of them in the haul
	quick   planning.Prices // nil where it takes services, or the whole account, to price bids
}

func newCosting(d deal, ids ...string) costing {
	c := costing{haul: ready(d.Haul), sending: d.Sending, ids: ids}
	for _, id := range ids {
		c.places = append(c.places, c.haul.LotAt(id))
	}
	return c
}

// bought is a haul with some of its lots bought, by their ids.
func bought(h *landed.Haul, ids []string, prices []money.Amount) *landed.Haul {
	other := *h
	other.Lots = slices.Clone(h.Lots)
	for i := range other.Lots {
		lot := &other.Lots[i]
		if n := slices.Index(ids, lot.ID); n >= 0 {
			lot.Price, lot.Settled, lot.Open = prices[n], money.Amount{}, false
		}
	}
	return &other
}

// pricer says what a bid for one lot of a haul adds to what is paid. What it
// has found it keeps.
type pricer struct {
	costing
	cur    money.Currency
	before *account // of what is bought; nil where nothing is
	spent  int64    // what is paid for that, whatever becomes of the bid
	known  map[int64]quote
	free   map[int64]int64 // costs without the border
	last   []together.Sent // of the plan found last
}

// account is what a haul costs, and how it then travels.
type account struct {
	*landed.Statement
	plan *together.Report // nil where the haul has no services to choose from
}

// quote is what a bid adds, and how it stands at the border.
type quote struct {
	cost    int64
	asked   landed.Bill                // as estimated, for all parcels that are not billed, in home
	border  []customs.ParcelAssessment // of those, but for their lines
	parcels []together.Sent
	refused error // why no service takes the lots, dear as they then are; else nil
}

// newPricer makes a haul of one lot to bid for, and others that are bought,
// ready; before is what is bought by itself, nil where nothing is. It returns the
// faults of the account of that.
func newPricer(h deal, before *deal, lot string, cur money.Currency) (*pricer, error) {
	p := &pricer{costing: newCosting(h, lot), cur: cur, known: map[int64]quote{}, free: map[int64]int64{}}
	if !planned(p.sending) {
		p.quick, _ = landed.NewRepricer(&p.haul, p.places) // what is wrong is told by the account
	}
	if err := p.checkRising(); err != nil || before == nil {
		return p, err
	}
	var err error
	paid := ready(before.Haul)
	if p.before, err = accountOf(&paid, before.Sending, together.Least); err == nil {
		p.spent = p.before.Total.Minor()
	}
	return p, err
}

// ready is a copy of a haul with lots of its own.
func ready(h *landed.Haul) landed.Haul {
	other := *h
	other.Lots = slices.Clone(h.Lots)
	for i := range other.Lots {
		weigh(h, &other.Lots[i])
	}
	return other
}

// weigh makes a copy of a lot's items with the values that a price is shared by,
// and without the chances, which cost nothing and need not be checked for every
// bid. Where all values are nothing all items weigh alike: whatever the pieces
// bring, the price is paid for them.
func weigh(h *landed.Haul, lot *landed.Lot) {
	lot.Items = slices.Clone(lot.Items)
	nothing := true
	for i := range lot.Items {
		it := &lot.Items[i]
		it.Value, it.Chances = h.ValueOf(it), nil
		nothing = nothing && it.Value.Currency() != 0 && it.Value.Sign() == 0
	}
	for i := range lot.Items {
		if nothing {
			lot.Items[i].Value, lot.Items[i].Further = money.New(1, h.Home), nil
		}
	}
}

// accountOf is the one account of a haul: with the freight of the least-cost
// plan for what is still to come, where the haul names services. A planner may
// compare that with other ways, or leave it.
func accountOf(h *landed.Haul, s *together.Sending, planner planner) (*account, error) {
	if !planned(s) {
		st, err := landed.Split(h)
		return &account{Statement: st}, err
	}
	plan, err := planner(context.Background(), h, s, together.Options{Work: planWork})
	if err != nil {
		return nil, err
	}
	return &account{plan.Best.Statement, plan}, nil
}

// refused reports whether an error is that no service takes the lots.
func refused(err error) bool {
	var none *together.NoPlanError
	return errors.As(err, &none)
}

// planWork bounds each of many plans to a second or so: up to a dozen unlike lots
// they are proven the best, beyond it often.
const planWork = 20_000

// planner is [together.Plan] or [together.Least].
type planner func(context.Context, *landed.Haul, *together.Sending, together.Options) (*together.Report, error)

func planned(s *together.Sending) bool { return s != nil && len(s.Services) > 0 }

func (p *pricer) at(bid int64) *landed.Haul {
	return bought(&p.haul, p.ids, []money.Amount{money.New(bid, p.cur)})
}

func (p *pricer) priced(bid int64) bool {
	_, known := p.known[bid]
	return known
}

func (p *pricer) quote(bid int64) (quote, error) {
	if q, ok := p.known[bid]; ok {
		return q, nil
	}
	q, ok := p.repriced(bid)
	if ok {
		p.known[bid] = q
		return q, nil
	}
	a, err := accountOf(p.at(bid), p.sending, together.Least)
	switch {
	case refused(err):
		q = quote{cost: math.MaxInt64, refused: err}
	case err != nil:
		return q, err
	default:
		q = quote{cost: a.Total.Minor() - p.spent}
		q.asked, q.border = levied(a.Statement)
		if a.plan != nil {
			q.parcels, p.last = a.plan.Best.Parcels, a.plan.Best.Parcels
		}
	}
	p.known[bid] = q
	return q, nil
}

// repriced prices a bid by what alone depends on it. It reports false where that cannot be.
func (p *pricer) repriced(bid int64) (q quote, ok bool) {
	if p.quick == nil {
		return q, false
	}
	total, err := p.quick.Total([]money.Amount{money.New(bid, p.cur)})
	if err != nil {
		return q, false
	}
	asked, parcels, ok := landed.AtBorder(p.quick)
	return quote{cost: total.Minor() - p.spent, asked: asked, border: parcels}, ok
}

// levied is what the border is estimated to ask, and how parcels that are not billed stand there.
func levied(st *landed.Statement) (landed.Bill, []customs.ParcelAssessment) {
	none := money.New(0, st.Home)
	asked, border := landed.Bill{Duty: none, Tax: none, Fee: none}, []customs.ParcelAssessment(nil)
	for i := range st.Lines {
		if l := &st.Lines[i]; l.Estimated {
			sum := map[landed.Kind]*money.Amount{landed.Duty: &asked.Duty, landed.Tax: &asked.Tax, landed.Fee: &asked.Fee}[l.Kind]
			*sum = money.New(sum.Minor()+l.Home.Minor(), st.Home)
		}
	}
	for n := 0; st.Border != nil && n < len(st.Border.Parcels); n++ {
		if p, bill := st.Border.Parcels[n], st.Haul.BillOf(st.Border.Parcels[n].ID); !bill.Whole() {
			p.Lines = nil // they are many
			border = append(border, p)
		}
	}
	return asked, border
}

// within reports whether a bid adds no more than a limit. Where the lots may be
// sent as they were at another bid and that is little enough, the best plan is
// too, and need not be found.
func (p *pricer) within(bid, limit int64) (bool, error) {
	if !p.priced(bid) && p.last != nil && !valued(p.sending) {
		st, err := landed.Split(together.SentAs(p.at(bid), p.last))
		if err != nil || st.Total.Minor()-p.spent <= limit {
			return err == nil, err
		}
	}
	q, err := p.quote(bid)
	return q.cost <= limit, err
}

// valued reports whether what a service asks, or takes at all, depends on what was
// paid for the lots.
func valued(s *together.Sending) bool {
	limited := func(l *freight.Limits) bool { return l != nil && l.Value.Currency() != 0 }
	return s.Insure || slices.ContainsFunc(s.Services, func(s *freight.Service) bool { return limited(&s.Limits) || limited(s.Rolls) })
}

// rises reports whether cost surely never falls as the bid rises: there is no
// border, and no cover whose price depends on what was paid.
func (p *pricer) rises() bool {
	return p.haul.Border == nil && !(planned(p.sending) && p.sending.Insure)
}

// mostPriced is how many bids are priced one by one.
func (p *pricer) mostPriced() int {
	if planned(p.sending) {
		return mostPlans
	}
	return mostSteps
}

// without prices a bid as if there were no border, and no cover by the services.
// That never falls as the bid rises, and is no more than with them.
func (p *pricer) without(bid int64) (int64, error) {
	if p.rises() {
		q, err := p.quote(bid)
		return q.cost, err
	}
	if cost, ok := p.free[bid]; ok {
		return cost, nil
	}
	if q, ok := p.repriced(bid); ok {
		p.free[bid] = q.cost - q.asked.Sum().Minor()
		return p.free[bid], nil
	}
	h, sending := p.at(bid), p.sending
	h.Border = nil
	if planned(sending) {
		uninsured := *sending
		uninsured.Insure, sending = false, &uninsured
	}
	cost := int64(math.MaxInt64)
	a, err := accountOf(h, sending, together.Least)
	if refused(err) {
		err = nil
	} else if err == nil {
		cost = a.Total.Minor() - p.spent
	}
	p.free[bid] = cost
	return cost, err
}

// checkRising refuses what would let cost fall as the bid rises; no lot file
// can say it.
func (p *pricer) checkRising() error {
	fault := func(at source.Origin, field, what string) error {
		return source.Faults{{At: at, Field: field, What: what, Remedy: "write a refund as an amount"}}
	}
	for i := range p.haul.Charges {
		if c := &p.haul.Charges[i]; c.OfPrice && c.Percent.Sign() < 0 {
			return fault(c.At, fmt.Sprintf("charge %q", c.What), "a percentage of price is negative")
		}
	}
	if lot := &p.haul.Lots[p.places[0]]; lot.Premium.Sign() < 0 {
		return fault(lot.At, "lot "+lot.ID, "the premium is negative")
	}
	return nil
}
