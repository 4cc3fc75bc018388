package bid

import (
	"fmt"
	"slices"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// pricer says what a haul costs at a bid for one of its lots. What it has
// found it keeps.
type pricer struct {
	haul  landed.Haul // a copy with lots of its own
	lot   int
	cur   money.Currency
	known map[int64]quote
	free  map[int64]int64 // costs without the border
}

// quote is what a bid costs, and how it stands at the border.
type quote struct {
	cost   int64
	border []parcelStanding
}

// parcelStanding is what can turn for a parcel at the border.
type parcelStanding struct {
	id        string
	relief    []customs.Relief
	fees      []customs.Fee
	duty, tax bool  // whether some is due
	value     int64 // for customs
}

func newPricer(h *landed.Haul, lot int, cur money.Currency) *pricer {
	p := &pricer{haul: *h.Unbilled(), lot: lot, cur: cur, known: map[int64]quote{}, free: map[int64]int64{}}
	p.haul.Lots, p.haul.Risks = slices.Clone(h.Lots), nil
	for i := range p.haul.Lots {
		items := slices.Clone(h.Lots[i].Items)
		for j := range items {
			items[j].Value, items[j].Chances = h.ValueOf(&items[j]), nil // chances cost nothing, and need not be checked for every bid
		}
		p.haul.Lots[i].Items = items
	}
	return p
}

// split is the account of the haul at a bid.
func (p *pricer) split(bid int64) (*landed.Statement, error) { return p.splitOf(p.haul, bid) }

func (p *pricer) splitOf(h landed.Haul, bid int64) (*landed.Statement, error) {
	lot := &h.Lots[p.lot]
	lot.Price, lot.Settled, lot.Open = money.New(bid, p.cur), money.Amount{}, false
	return landed.Split(&h)
}

// quote prices a bid.
func (p *pricer) quote(bid int64) (quote, error) {
	if q, ok := p.known[bid]; ok {
		return q, nil
	}
	st, err := p.split(bid)
	if err != nil {
		return quote{}, err
	}
	q := quote{cost: st.Total.Minor(), border: standing(st.Border)}
	p.known[bid] = q
	return q, nil
}

func standing(b *landed.BorderStatement) []parcelStanding {
	if b == nil {
		return nil
	}
	list := make([]parcelStanding, len(b.Assessment.Parcels))
	for i := range list {
		a := &b.Assessment.Parcels[i]
		list[i] = parcelStanding{a.ID, a.Relief, a.Fees, a.Duty.Sign() > 0, a.Tax.Sign() > 0, a.CustomsValue.Minor()}
	}
	return list
}

// without prices a bid as if there were no border. That never falls as the bid
// rises, and is no more than with one.
func (p *pricer) without(bid int64) (int64, error) {
	if p.haul.Border == nil {
		q, err := p.quote(bid)
		return q.cost, err
	}
	if cost, ok := p.free[bid]; ok {
		return cost, nil
	}
	h := p.haul
	h.Border = nil
	st, err := p.splitOf(h, bid)
	if err != nil {
		return 0, err
	}
	p.free[bid] = st.Total.Minor()
	return st.Total.Minor(), nil
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
	if lot := &p.haul.Lots[p.lot]; lot.Premium.Sign() < 0 {
		return fault(lot.At, "lot "+lot.ID, "the premium is negative")
	}
	return nil
}
