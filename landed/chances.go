package landed

import (
	"fmt"
	"slices"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Fate is one thing that may become of a piece that nobody has tested.
type Fate struct {
	What   string
	Chance decimal.Decimal // a fraction: 0.6 is 60 %
	Value  money.Amount    // what one piece then sells for, or the least of a range
	UpTo   money.Amount    // the most of a range; no currency for a single value
	Repair money.Amount    // what putting it right then costs; no currency when nothing
	At     source.Origin
}

// Risk is something that may happen to several items at once, such as a box
// that is dropped. It happens or not, whatever becomes of the single pieces.
type Risk struct {
	What   string
	Chance decimal.Decimal // a fraction
	Keeps  decimal.Decimal // the fraction that is left of what the pieces sell for or are worth
	On     []string        // ids of the lots or items it hits; none means all
	At     source.Origin
}

// Bidding says how a lot is bid for, and what for.
type Bidding struct {
	Lot   string       // id of the lot that is bid for; may be empty where there is one alone
	Start money.Amount // the first bid that is taken; no currency for the first step
	Steps []BidStep    // by rising From, the first from 0; none means the usual ones
	Goal  Goal
	At    source.Origin
}

// BidStep is by how much bids rise from an amount on.
type BidStep struct{ From, Step money.Amount }

// Goal is what a bid has to meet: all that is given. Where none of Profit,
// Return and Margin is, nothing may be lost on average.
type Goal struct {
	Profit money.Amount     // to be expected, in home; no currency when not given
	Return *decimal.Decimal // expected profit as a fraction of the cost; nil when not given
	Margin *decimal.Decimal // expected profit as a fraction of the expected proceeds; nil when not given
	Risk   *decimal.Decimal // the greatest chance of a loss, a fraction; nil when not given
	Budget money.Amount     // the most that all may cost, in home; no currency when not given
}

// checkChances records chances that do not come to 100 %, and ranges that end
// below their beginning.
func checkChances(report *source.Report, item *Item) {
	sum, sure := decimal.Decimal{}, true
	one := decimal.NewFromInt(1)
	for _, f := range item.Chances {
		fail := func(key, what, remedy string) {
			report.Add(&source.Fault{At: f.At.Key(key), Field: "item " + item.ID + ": chances", What: what, Remedy: remedy})
		}
		if !isFraction(f.Chance) {
			fail("chance", fmt.Sprintf("a chance of %s makes no sense", percent(f.Chance)), "write one from 0% to 100%")
			sure = false
			continue
		}
		sum = sum.Add(f.Chance)
		switch {
		case f.Value.Sign() < 0 || f.UpTo.Sign() < 0:
			fail("value", "the value is negative", "write what a piece then sells for, 0 or more")
		case f.Repair.Sign() < 0:
			fail("repair", "the repair is negative", "write what is spent on it, 0 or more")
		case f.Value.Currency() == 0:
			fail("value", "the value is missing", "write what one piece then sells for, as in value: 8 CAD, or value: 0")
		case f.UpTo.Currency() != 0 && (f.UpTo.Currency() != f.Value.Currency() || f.UpTo.Cmp(f.Value) < 0):
			fail("value", fmt.Sprintf("a value from %s to %s makes no sense", f.Value, f.UpTo), "write the lesser one first, as in value: 30..50 CAD")
		}
	}
	if len(item.Chances) == 0 || !sure || sum.Equal(one) {
		return
	}
	f := &source.Fault{At: item.At.Key("chances"), Field: "item " + item.ID + ": chances", What: "the chances come to " + money.FormatPercent(sum),
		Remedy: "take away " + money.FormatPercent(sum.Sub(one))}
	if sum.LessThan(one) {
		f.Remedy = "name what happens in the other " + money.FormatPercent(one.Sub(sum)) + ", or write the last as chance: rest"
	}
	report.Add(f)
}

// Hits reports, for each item in file order, whether a risk is about it.
func (h *Haul) Hits(r *Risk) []bool {
	var hits []bool
	for i := range h.Lots {
		lot := &h.Lots[i]
		whole := len(r.On) == 0 || slices.Contains(r.On, lot.ID)
		for j := range lot.Items {
			hits = append(hits, whole || slices.Contains(r.On, lot.Items[j].ID))
		}
	}
	return hits
}

func (x *index) checkRisk(r *Risk, report *source.Report) {
	fail := func(at source.Origin, what, remedy string) {
		report.Add(&source.Fault{At: at, Field: fmt.Sprintf("risk %q", r.What), What: what, Remedy: remedy})
	}
	if !isFraction(r.Chance) {
		fail(r.At.Key("chance"), "a chance of "+percent(r.Chance)+" makes no sense", "write one from 0% to 100%")
	}
	if !isFraction(r.Keeps) {
		fail(r.At.Key("keeps"), "keeping "+percent(r.Keeps)+" makes no sense", "write what is left of the values, from 0% to 100%")
	}
	for i, id := range r.On {
		_, isLot := x.lotIDs[id]
		_, isItem := x.itemIDs[id]
		if !isLot && !isItem {
			fail(r.At.Entry(i, "on"), fmt.Sprintf("no lot or item has the id %q", id), source.DidYouMean(id, x.ids()))
		}
	}
}

// checkBidding records risks and terms of bidding that cannot be.
func (x *index) checkBidding(report *source.Report) {
	for i := range x.haul.Risks {
		x.checkRisk(&x.haul.Risks[i], report)
	}
	b := x.haul.Bidding
	if b == nil {
		return
	}
	fail := func(at source.Origin, key, what, remedy string) {
		report.Add(&source.Fault{At: at, Field: "bidding: " + key, What: what, Remedy: remedy})
	}
	if _, known := x.lotIDs[b.Lot]; b.Lot != "" && !known {
		fail(b.At.Key("lot"), "lot", fmt.Sprintf("no lot has the id %q", b.Lot), source.DidYouMean(b.Lot, x.haul.LotIDs()))
	}
	if b.Start.Sign() < 0 {
		fail(b.At.Key("start"), "start", "the first bid is negative", "write the first bid that is taken, as in start: 500 JPY")
	}
	if first := b.Start.Currency(); first != 0 && len(b.Steps) > 0 && first != b.Steps[0].Step.Currency() {
		fail(b.At.Key("start"), "start", fmt.Sprintf("the first bid is in %s, but the steps are in %s", first, b.Steps[0].Step.Currency()), "write all of them in the currency of the sale")
	}
	for i, s := range b.Steps {
		step := func(key, what, remedy string) { fail(b.At.Entry(i, "steps").Key(key), "steps", what, remedy) }
		switch {
		case s.Step.Sign() <= 0:
			step("step", fmt.Sprintf("a step of %s gets nowhere", s.Step), "write by how much bids rise, as in step: 100 JPY")
		case s.Step.Currency() != b.Steps[0].Step.Currency():
			step("step", "the bids are in several currencies", "write all of them in that of the sale")
		case s.From.Currency() != s.Step.Currency():
			step("from", "the bids are in several currencies", "write all of them in that of the sale")
		case i == 0 && s.From.Sign() != 0:
			step("from", fmt.Sprintf("the first steps begin at %s", s.From), "begin at 0, as in from: 0 "+s.From.Currency().Code())
		case i > 0 && s.From.Cmp(b.Steps[i-1].From) <= 0:
			step("from", fmt.Sprintf("steps from %s stand after those from %s", s.From, b.Steps[i-1].From), "write them by rising amounts")
		}
	}
	x.checkGoal(&b.Goal, func(key, what, remedy string) { fail(b.At.Key("goal", key), "goal: "+key, what, remedy) })
}

func (x *index) checkGoal(g *Goal, fail func(key, what, remedy string)) {
	one := decimal.NewFromInt(1)
	for _, a := range []struct {
		key    string
		amount money.Amount
	}{{"profit", g.Profit}, {"budget", g.Budget}} {
		if c := a.amount.Currency(); c != 0 && c != x.haul.Home && x.haul.Home != 0 {
			fail(a.key, fmt.Sprintf("%s is not in %s", a.amount, x.haul.Home), "write it in the currency of your books")
		}
	}
	switch {
	case g.Return != nil && (!exact.IsBounded(*g.Return) || g.Return.LessThanOrEqual(one.Neg())):
		fail("return", percent(*g.Return)+" of the cost makes no sense", "write what is to be gained on the cost, as in return: 30%")
	case g.Margin != nil && (!exact.IsBounded(*g.Margin) || g.Margin.GreaterThanOrEqual(one)):
		fail("margin", percent(*g.Margin)+" of the proceeds leaves nothing to pay with", "write less than 100%, as in margin: 20%")
	case g.Risk != nil && !isFraction(*g.Risk):
		fail("risk", "a chance of "+percent(*g.Risk)+" makes no sense", "write the greatest chance of a loss you take, from 0% to 100%")
	}
}

// LotIDs lists the ids of the lots, in file order, as far as they are worth
// suggesting.
func (h *Haul) LotIDs() []string {
	var ids []string
	for i := range h.Lots[:min(len(h.Lots), mostSuggested)] {
		ids = append(ids, h.Lots[i].ID)
	}
	return ids
}
