package bid

import (
	"slices"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// mostAtBorder is how many bids a table at the border holds; mostPlannedAtBorder where
// each is a plan of how the lots travel.
const (
	mostAtBorder        = 1000
	mostPlannedAtBorder = 100
	fewAtBorder         = 20 // where nobody says what the pieces are worth
)

// Border goes through the bids for an open lot, by the steps that the haul names
// for bids, or the usual ones of the currency in which other lots are priced, or
// else of home. Other open lots count as not there. It ends once the bid is what
// the pieces are worth when right and no relief is left to lose, and at twice that
// in any case; or after a thousand bids, a hundred where services carry the lots.
// Freight is that of the least-cost plan then. For a haul that meets no border the
// ladder is empty. The errors are those of [New].
func Border(haul *landed.Haul, p Plans, lot string) (*Answer, error) {
	b := &Bidder{options: Options{Lot: lot}}
	if haul == nil {
		return nil, haul.Check()
	}
	h, err := checked(haul, p.priced(haul))
	if err != nil {
		return nil, err
	}
	if err := b.onLot(h); err != nil {
		return nil, err
	}
	a := b.about()
	if h.Border == nil {
		return a, nil
	}
	return a, b.climb(a)
}

// priced gives plans that do not say in which currency bids are one.
func (p Plans) priced(h *landed.Haul) Plans {
	var terms Bidding
	if p.Bidding != nil {
		terms = *p.Bidding
	}
	untold := func(l landed.Lot) bool { return p.Bidding.Currency(&l) == 0 && slices.Contains(h.Open(), l.ID) }
	if !slices.ContainsFunc(h.Lots, untold) {
		return p
	}
	cur := h.Home
	for i := range h.Lots {
		if c := p.Bidding.Currency(&h.Lots[i]); c != 0 {
			cur = c
			break
		}
	}
	terms.Start = money.New(0, cur)
	p.Bidding = &terms
	return p
}

// climb adds the ladder at the border, and the account at its last bid.
func (b *Bidder) climb(a *Answer) error {
	most := mostAtBorder
	if planned(b.haul.Sending) {
		most = mostPlannedAtBorder
	}
	worth := sales.LotWorth(b.haul.Haul, &b.haul.Lots[b.pricer.places[0]])
	var below quote
	for i, bid := range b.grid.rising(0) {
		q, err := b.pricer.quote(bid)
		if err == nil && i == 0 {
			err = q.refused
		}
		if err != nil {
			return err
		}
		p := b.at(bid, &q)
		if q.refused != nil {
			a.Refused = &p
			break
		}
		if i > 0 {
			p.Turns = turns(&below, &q)
		}
		a.Ladder, below = append(a.Ladder, p), q
		done, err := enough(b.haul.Haul, &p, i, worth, q.border)
		if err != nil {
			return err
		}
		if done || i+1 == most {
			break
		}
	}
	account, err := accountOf(b.pricer.at(a.Ladder[len(a.Ladder)-1].Bid.Minor()), b.pricer.sending, together.Least)
	if err == nil {
		a.Statement = account.Statement
	}
	return err
}

// enough reports whether no higher bid is of interest.
func enough(h *landed.Haul, p *Point, place int, worth money.Amount, border []customs.ParcelAssessment) (bool, error) {
	home, err := h.Exchange().Value(p.Bid, h.Home)
	reached := worth.Sign() > 0 && home.Cmp(worth) >= 0 || worth.Sign() <= 0 && place >= fewAtBorder
	if err != nil || !reached {
		return false, err
	}
	relieved := slices.ContainsFunc(border, func(p customs.ParcelAssessment) bool {
		return slices.ContainsFunc(p.Relief, func(r customs.Relief) bool { return r.Relieved })
	})
	return !relieved || worth.Sign() > 0 && home.Minor()/2 >= worth.Minor(), nil
}
