package bid

import (
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// Cliff is a step between two bids at which something turns at the border.
type Cliff struct {
	Below, At         money.Amount // the two bids, one step apart
	CostBelow, CostAt money.Amount // what each adds to what is paid
	Turns             []Turn       // may be empty where only the cost falls
}

// Falls reports whether the higher bid costs less.
func (c *Cliff) Falls() bool { return c.CostAt.Cmp(c.CostBelow) < 0 }

// Turn is one thing that turns.
type Turn struct {
	Kind      TurnKind
	Parcel    string       // id; empty for the one box of a haul without parcels
	What      string       // "duty", "tax", or the name of a fee
	Measure   money.Amount // for a relief: what is compared at the higher bid
	Threshold money.Amount // for a relief
	Amount    money.Amount // for a fee
}

// TurnKind is a way in which something turns as the bid rises.
type TurnKind uint8

// The kinds.
const (
	ReliefLost TurnKind = iota
	ReliefGained
	FeeBegins
	FeeEnds
	FeeSteps
	ChargeBegins // duty or tax, otherwise than by losing a relief
	ChargeEnds
	Divided // the lots travel in other parcels
)

// cliffs finds those up to a place; where the lots travel by a plan, or the search
// was ended, of the bids that were priced.
func (b *Bidder) cliffs(last int) ([]Cliff, error) {
	if b.haul.Border == nil {
		return nil, nil
	}
	var list []Cliff
	for i := 1; i <= last; i++ {
		low, _ := b.grid.at(i - 1)
		high, ok := b.grid.at(i)
		if !ok {
			break
		}
		if (planned(b.haul.Sending) || !b.goes()) && !(b.pricer.priced(low) && b.pricer.priced(high)) {
			continue
		}
		below, err := b.pricer.quote(low)
		if err != nil {
			return nil, err
		}
		at, err := b.pricer.quote(high)
		if err != nil {
			return nil, err
		}
		if at.refused != nil {
			break
		}
		c := Cliff{Below: money.New(low, b.pricer.cur), At: money.New(high, b.pricer.cur),
			CostBelow: money.New(below.cost, b.haul.Home), CostAt: money.New(at.cost, b.haul.Home), Turns: turns(&below, &at)}
		if len(c.Turns) > 0 || c.Falls() {
			list = append(list, c)
		}
	}
	return list, nil
}

// turns compares parcel by parcel, where the lots are divided alike.
func turns(below, at *quote) []Turn {
	alike := func(a, b together.Sent) bool { return slices.Equal(a.Parcel.Lots, b.Parcel.Lots) }
	if !slices.EqualFunc(below.parcels, at.parcels, alike) {
		return []Turn{{Kind: Divided}}
	}
	var list []Turn
	for i := range at.border {
		was, now := &below.border[i], &at.border[i]
		list = append(list, reliefTurns(was, now)...)
		list = append(list, chargeTurns(was, now, list)...)
		list = append(list, feeTurns(was, now)...)
	}
	return list
}

// reliefTurns compares the reliefs that were looked at. Of one kind there is one
// at most, though another rule may come to be it.
func reliefTurns(below, at *parcelStanding) []Turn {
	var list []Turn
	for _, now := range at.relief {
		i := slices.IndexFunc(below.relief, func(r customs.Relief) bool { return r.What == now.What })
		was := i >= 0 && below.relief[i].Relieved
		t := Turn{Parcel: at.id, What: now.What, Measure: now.Measure, Threshold: now.Threshold}
		switch {
		case was && !now.Relieved:
			list = append(list, t)
		case !was && now.Relieved:
			t.Kind = ReliefGained
			list = append(list, t)
		}
	}
	for _, was := range below.relief {
		gone := !slices.ContainsFunc(at.relief, func(r customs.Relief) bool { return r.What == was.What })
		if gone && was.Relieved {
			list = append(list, Turn{Parcel: at.id, What: was.What, Measure: was.Measure, Threshold: was.Threshold})
		}
	}
	return list
}

// chargeTurns tells where duty or tax begins or ends and no relief says why.
func chargeTurns(below, at *parcelStanding, told []Turn) []Turn {
	var list []Turn
	for _, c := range []struct {
		what     string
		was, now bool
	}{{"duty", below.duty, at.duty}, {"tax", below.tax, at.tax}} {
		if c.was == c.now || slices.ContainsFunc(told, func(t Turn) bool { return t.Parcel == at.id && t.What == c.what }) {
			continue
		}
		t := Turn{Kind: ChargeBegins, Parcel: at.id, What: c.what}
		if c.was {
			t.Kind = ChargeEnds
		}
		list = append(list, t)
	}
	return list
}

// feeTurns compares the fees by their names. One steps where it changes by more
// than the value for customs does: a percentage never would.
func feeTurns(below, at *parcelStanding) []Turn {
	var list []Turn
	find := func(f customs.Fee, in []customs.Fee) int {
		return slices.IndexFunc(in, func(o customs.Fee) bool { return o.What == f.What })
	}
	for _, f := range at.fees {
		t := Turn{Kind: FeeBegins, Parcel: at.id, What: f.What, Amount: f.Amount}
		if i := find(f, below.fees); i >= 0 {
			t.Kind = FeeSteps
			if abs(f.Amount.Minor()-below.fees[i].Amount.Minor()) <= abs(at.value-below.value) {
				continue
			}
		}
		list = append(list, t)
	}
	for _, f := range below.fees {
		if find(f, at.fees) < 0 {
			list = append(list, Turn{Kind: FeeEnds, Parcel: at.id, What: f.What, Amount: f.Amount})
		}
	}
	return list
}

func abs(n int64) int64 { return max(n, -n) }
