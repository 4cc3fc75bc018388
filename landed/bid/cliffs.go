package bid

import (
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// Cliff is a step between two bids at which something turns at the border, or, where
// nothing does, rounding lets the cost fall.
type Cliff struct{ Below, At Point }

// turn is one thing that turns at the border as the bid rises.
type turn struct {
	parcel, what, how  string       // what is duty, tax, or the name of a fee
	measure, threshold money.Amount // of a relief
	relief, ofGoods    bool         // what is measured is goods alone
}

// String says what turns, as "above the duty-free limit of 20.00 CAD (duty), at 21.00 CAD", in the
// parcel where it has an id.
func (t turn) String() string {
	text := t.what + " " + t.how
	if t.relief {
		text = fmt.Sprintf("%s the duty-free limit of %s (%s), at %s", t.how, t.threshold, t.what, t.measure)
		if t.ofGoods {
			text += " for the goods alone"
		}
	}
	if t.parcel != "" {
		text = "parcel " + t.parcel + ": " + text
	}
	return text
}

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
		if turned := turns(&below, &at); len(turned) > 0 || at.cost < below.cost {
			c := Cliff{b.at(low, &below), b.at(high, &at)}
			c.At.Turns = turned
			list = append(list, c)
		}
	}
	return list, nil
}

// turns says what turns between two bids, parcel by parcel where the lots are divided alike.
func turns(below, at *quote) []string {
	list := turnsAt(below, at)
	texts := make([]string, len(list))
	for i := range list {
		texts[i] = list[i].String()
	}
	return texts
}

func turnsAt(below, at *quote) []turn {
	alike := func(a, b together.Sent) bool { return slices.Equal(a.Parcel.Lots, b.Parcel.Lots) }
	if !slices.EqualFunc(below.parcels, at.parcels, alike) {
		return []turn{{what: "the lots", how: "travel in other parcels"}}
	}
	var list []turn
	for i := range at.border {
		was, now := &below.border[i], &at.border[i]
		list = append(list, reliefTurns(was, now)...)
		list = append(list, chargeTurns(was, now, list)...)
		list = append(list, feeTurns(was, now)...)
	}
	for i := 0; i+1 < len(list); i++ { // one relief may be of duty and of tax
		if other := list[i]; other.what != list[i+1].what && other.threshold.Currency() != 0 {
			other.what = list[i+1].what
			if other == list[i+1] {
				list[i].what += " and " + other.what
				list = slices.Delete(list, i+1, i+2)
			}
		}
	}
	return list
}

// reliefTurns compares the reliefs that were looked at. Of one kind there is one
// at most, though another rule may come to be it.
func reliefTurns(below, at *parcelStanding) []turn {
	find := func(list []customs.Relief, what string) (r customs.Relief) {
		if i := slices.IndexFunc(list, func(r customs.Relief) bool { return r.What == what }); i >= 0 {
			r = list[i]
		}
		return r
	}
	of := func(r customs.Relief, how string) turn {
		return turn{parcel: at.id, what: r.What, how: how, measure: r.Measure, threshold: r.Threshold, relief: true, ofGoods: r.OfGoods}
	}
	var list []turn
	for _, now := range at.relief {
		switch was := find(below.relief, now.What); {
		case was.Relieved && !now.Relieved:
			list = append(list, of(now, "above"))
		case !was.Relieved && now.Relieved:
			list = append(list, of(now, "within"))
		}
	}
	for _, was := range below.relief {
		if was.Relieved && find(at.relief, was.What).What == "" {
			list = append(list, of(was, "above"))
		}
	}
	return list
}

// chargeTurns tells where duty or tax begins or ends and no relief says why.
func chargeTurns(below, at *parcelStanding, others []turn) []turn {
	var list []turn
	for _, c := range []struct {
		what     string
		was, now bool
	}{{"duty", below.duty, at.duty}, {"tax", below.tax, at.tax}} {
		if c.was == c.now || slices.ContainsFunc(others, func(t turn) bool { return t.parcel == at.id && t.what == c.what }) {
			continue
		}
		t := turn{parcel: at.id, what: c.what, how: "begins"}
		if c.was {
			t.how = "ends"
		}
		list = append(list, t)
	}
	return list
}

// feeTurns compares the fees by their names. One steps where it changes by more
// than the value for customs does: a percentage never would.
func feeTurns(below, at *parcelStanding) []turn {
	var list []turn
	find := func(f customs.Fee, in []customs.Fee) int {
		return slices.IndexFunc(in, func(o customs.Fee) bool { return o.What == f.What })
	}
	add := func(f customs.Fee, how string) {
		list = append(list, turn{parcel: at.id, what: f.What, how: how + f.Amount.String()})
	}
	for _, f := range at.fees {
		switch i := find(f, below.fees); {
		case i < 0:
			add(f, "begins, ")
		case abs(f.Amount.Minor()-below.fees[i].Amount.Minor()) > abs(at.value.Minor()-below.value.Minor()):
			add(f, "changes to ")
		}
	}
	for _, f := range below.fees {
		if find(f, at.fees) < 0 {
			add(f, "ends, ")
		}
	}
	return list
}

func abs(n int64) int64 { return max(n, -n) }
