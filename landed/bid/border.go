package bid

import (
	"slices"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// AtBorder is what the border asks at each bid for an open lot, beside what is
// bought.
type AtBorder struct {
	Lot       string
	Beside    []string // ids of the lots that are bought
	Away      []string // ids of other lots still open, which count as not there
	Home      money.Currency
	Bids      money.Currency
	Rungs     []Rung            // rising; none without a border
	Without   money.Amount      // what the border asks for what is bought alone, in home
	Statement *landed.Statement // at the last of the bids; nil where there is none
	Refused   *Refused          // the bid above them, where no service takes the lots any more; else nil
}

// Rung is one bid, and what the border then asks for all parcels.
type Rung struct {
	Bid             money.Amount
	Value           money.Amount // for customs, in the territory's currency
	Duty, Tax, Fees money.Amount // in home
	Turns           []Turn       // what turns between the bid below and this one
}

// All is the sum of duty, tax and fees, in home.
func (r *Rung) All() money.Amount {
	return money.New(r.Duty.Minor()+r.Tax.Minor()+r.Fees.Minor(), r.Duty.Currency())
}

// mostRungs is how many bids a table at the border holds; mostPlannedRungs where
// each is a plan of how the lots travel.
const (
	mostRungs        = 1000
	mostPlannedRungs = 100
	fewRungs         = 20 // where nobody says what the pieces are worth
)

// Border goes through the bids for an open lot, by the steps that the haul names
// for bids, or the usual ones ([DefaultSteps]) of the currency in which other
// lots are priced, or else of home. Other open lots count as not there. It ends
// once the bid is what the pieces are worth when right and no relief is left to
// lose, and at twice that in any case; or after a thousand bids, a hundred where
// services carry the lots. Freight is that of the least-cost plan then. A haul
// that meets no border has no rungs. The errors are those of [New].
func Border(haul *landed.Haul, p Plans, lot string) (*AtBorder, error) {
	b := &Bidder{options: Options{Lot: lot}}
	if haul == nil {
		return nil, landed.ErrNoHaul
	}
	h, err := checked(haul, p.priced(haul))
	if err != nil {
		return nil, err
	}
	if err := b.onLot(h); err != nil {
		return nil, err
	}
	a := &AtBorder{Lot: b.lot, Away: b.away, Home: h.Home, Bids: b.Bids(), Without: money.New(0, h.Home)}
	if b.before != nil {
		a.Beside, a.Without = b.before.LotIDs(), b.pricer.before.Estimate()
	}
	if h.Border == nil {
		return a, nil
	}
	return a, a.climb(b)
}

// priced gives plans that do not say in which currency bids are one.
func (p Plans) priced(h *landed.Haul) Plans {
	var terms Bidding
	if p.Bidding != nil {
		terms = *p.Bidding
	}
	if terms.Start.Currency() != 0 || len(terms.Steps) > 0 {
		return p
	}
	cur := h.Home
	for i := range h.Lots {
		if c := h.Lots[i].Price.Currency(); c != 0 {
			cur = c
			break
		}
	}
	terms.Start = money.New(0, cur)
	p.Bidding = &terms
	return p
}

// climb adds the rungs.
func (a *AtBorder) climb(b *Bidder) error {
	most := mostRungs
	if planned(b.haul.Sending) {
		most = mostPlannedRungs
	}
	worth := b.haul.LotWorth(&b.haul.Lots[b.pricer.lot])
	var below quote
	for i := range most {
		bid, ok := b.grid.at(i)
		if !ok {
			break
		}
		q, err := b.pricer.quote(bid)
		switch {
		case err != nil:
			return err
		case q.refused != nil && i == 0:
			return q.refused
		case q.refused != nil:
			a.Refused = &Refused{money.New(bid, a.Bids), q.refused}
			return a.last(b, i-1)
		}
		r := a.rung(bid, &q)
		if i > 0 {
			r.Turns = turns(&below, &q)
		}
		a.Rungs, below = append(a.Rungs, r), q
		done, err := enough(b.haul.Haul, &r, i, worth, q.border)
		if err != nil {
			return err
		}
		if done {
			break
		}
	}
	return a.last(b, len(a.Rungs)-1)
}

func (a *AtBorder) rung(bid int64, q *quote) Rung {
	in := func(minor int64) money.Amount { return money.New(minor, a.Home) }
	r := Rung{Bid: money.New(bid, a.Bids), Duty: in(q.asked.duty), Tax: in(q.asked.tax), Fees: in(q.asked.fees)}
	value := int64(0)
	for i := range q.border {
		value += q.border[i].value
	}
	r.Value = money.New(value, q.asked.currency)
	return r
}

// last keeps the account at the highest bid.
func (a *AtBorder) last(b *Bidder, place int) error {
	bid, _ := b.grid.at(place)
	account, err := accountOf(b.pricer.at(bid), b.pricer.sending, together.Least)
	if err == nil {
		a.Statement = account.Statement
	}
	return err
}

// enough reports whether no higher bid is of interest.
func enough(h *landed.Haul, r *Rung, place int, worth money.Amount, border []parcelStanding) (bool, error) {
	home, err := h.Exchange().Value(r.Bid, h.Home)
	reached := worth.Sign() > 0 && home.Cmp(worth) >= 0 || worth.Sign() <= 0 && place >= fewRungs
	if err != nil || !reached {
		return false, err
	}
	relieved := slices.ContainsFunc(border, func(p parcelStanding) bool {
		return slices.ContainsFunc(p.relief, func(r customs.Relief) bool { return r.Relieved })
	})
	return !relieved || worth.Sign() > 0 && home.Minor()/2 >= worth.Minor(), nil
}
