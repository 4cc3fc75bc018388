package bid

import (
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// turn is one thing that turns at the border as the bid rises.
type turn struct {
	parcel, what, how  string       // what is duty, tax, or the name of a fee
	measure, threshold money.Amount // of a relief; no measure where it is none any more
	relief, ofGoods    bool         // what is measured is goods alone
}

// String says what turns, as "above the duty-free limit of 20.00 CAD (duty), at 21.00 CAD", in the
// parcel where it has an id.
func (t turn) String() string {
	text := t.what + " " + t.how
	if t.relief {
		text = fmt.Sprintf("%s the duty-free limit of %s (%s)", t.how, t.threshold, t.what)
		if t.measure.Currency() != 0 {
			text += ", at " + t.measure.String()
		}
		if t.ofGoods {
			text += " for the goods alone"
		}
	}
	if t.parcel != "" {
		text = "parcel " + t.parcel + ": " + text
	}
	return text
}

// cliffs finds the steps at which something turns, up to a place; where the lots travel by a plan,
// or the search was ended, of the bids that were priced.
func (b *Bidder) cliffs(last int) ([]Cliff, error) {
	if b.haul.Border == nil {
		return nil, nil
	}
	var list []Cliff
	var below quote
	low, known := int64(0), false
	for i, bid := range b.grid.rising(0) {
		if i > last {
			break
		}
		if (planned(b.haul.Sending) || !b.goes()) && !b.pricer.priced(bid) {
			known = false
			continue
		}
		at, err := b.pricer.quote(bid)
		if err != nil {
			return nil, err
		}
		if at.refused != nil {
			break
		}
		c := Cliff{b.at(low, &below), b.at(bid, &at)}
		if known {
			c.At.Turns = turns(&below, &at)
		}
		if known && (len(c.At.Turns) > 0 || at.cost < below.cost) {
			list = append(list, c)
		}
		low, below, known = bid, at, true
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
func reliefTurns(below, at *customs.ParcelAssessment) []turn {
	var list []turn
	relieved := func(in []customs.Relief, what string) (is, there bool) {
		i := slices.IndexFunc(in, func(r customs.Relief) bool { return r.What == what })
		return i >= 0 && in[i].Relieved, i >= 0
	}
	add := func(r customs.Relief, how string) {
		list = append(list, turn{parcel: at.ID, what: r.What, how: how, measure: r.Measure, threshold: r.Threshold, relief: true, ofGoods: r.OfGoods})
	}
	for _, now := range at.Relief {
		switch was, _ := relieved(below.Relief, now.What); {
		case was && !now.Relieved:
			add(now, "above")
		case !was && now.Relieved:
			add(now, "within")
		}
	}
	for _, was := range below.Relief {
		if _, there := relieved(at.Relief, was.What); was.Relieved && !there {
			was.Measure = money.Amount{}
			add(was, "above")
		}
	}
	return list
}

// chargeTurns tells where duty or tax begins or ends and no relief says why.
func chargeTurns(below, at *customs.ParcelAssessment, others []turn) []turn {
	var list []turn
	for _, c := range []struct {
		what     string
		was, now bool
	}{{"duty", below.Duty.Sign() > 0, at.Duty.Sign() > 0}, {"tax", below.Tax.Sign() > 0, at.Tax.Sign() > 0}} {
		if c.was == c.now || slices.ContainsFunc(others, func(t turn) bool { return t.parcel == at.ID && t.what == c.what }) {
			continue
		}
		t := turn{parcel: at.ID, what: c.what, how: "begins"}
		if c.was {
			t.how = "ends"
		}
		list = append(list, t)
	}
	return list
}

// feeTurns compares the fees by their names. One steps where it changes by more
// than the value for customs does: a percentage never would.
func feeTurns(below, at *customs.ParcelAssessment) []turn {
	var list []turn
	find := func(f customs.Fee, in []customs.Fee) int {
		return slices.IndexFunc(in, func(o customs.Fee) bool { return o.What == f.What })
	}
	add := func(f customs.Fee, how string) {
		list = append(list, turn{parcel: at.ID, what: f.What, how: how + f.Amount.String()})
	}
	for _, f := range at.Fees {
		switch i := find(f, below.Fees); {
		case i < 0 && f.Amount.Sign() != 0: // one of nothing is told once it is asked
			add(f, "begins, ")
		case i >= 0 && exact.Magnitude(f.Amount.Minor()-below.Fees[i].Amount.Minor()) > exact.Magnitude(at.CustomsValue.Minor()-below.CustomsValue.Minor()):
			add(f, "changes to ")
		}
	}
	for _, f := range below.Fees {
		if f.Amount.Sign() != 0 && find(f, at.Fees) < 0 {
			add(f, "ends, ")
		}
	}
	return list
}
