package landed

import (
	"fmt"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Outcome is one thing that may become of a piece that nobody has tested.
type Outcome struct {
	What   string          // in words; "" where nothing was said
	Chance decimal.Decimal // a fraction: 0.6 is 60 %
	Value  money.Amount    // what one piece then sells for, or the least of a range
	UpTo   money.Amount    // the most of a range; no currency for a single value
	Repair money.Amount    // what putting it right then costs; no currency when nothing
	State  State           // Sound, ForParts or Dead: what it stands for beside what was found, when Stated
	Stated bool            // else the best is for a sound piece, one of value 0 for a dead one, any other for parts
	At     source.Origin   // where it was typed
}

// checkChances records chances that do not come to 100 %, and ranges that end
// below their beginning.
func checkChances(report *collect.Report, item *Item, home money.Currency) {
	if len(item.Chances) == 0 {
		return
	}
	sum, sure := decimal.Decimal{}, true
	one := decimal.NewFromInt(1)
	for _, f := range item.Chances {
		fail := func(key, what, remedy string) *source.Fault {
			return report.Fail(f.At.Key(key), "item "+item.ID+": chances", what, remedy)
		}
		if !exact.IsFraction(f.Chance) {
			fail("chance", fmt.Sprintf("a chance of %s makes no sense", money.FormatPercent(f.Chance)), "write one from 0% to 100%")
			sure = false
			continue
		}
		sum = sum.Add(f.Chance)
		switch {
		case f.Value.Sign() < 0 || f.UpTo.Sign() < 0:
			fail("value", "the value is negative", "write what a piece then sells for, 0 or more")
		case f.Repair.Sign() < 0:
			fail("repair", "the repair is negative", "write what is spent on it, 0 or more")
		case f.Value.Currency() == 0 && home != 0: // a bare number is in home
			fail("value", "the value is missing", "write what one piece then sells for").Figure = "outcome"
		case f.UpTo.Currency() != 0 && (f.UpTo.Currency() != f.Value.Currency() || f.UpTo.Cmp(f.Value) < 0):
			fail("value", fmt.Sprintf("a value from %s to %s makes no sense", f.Value, f.UpTo), "write the lesser one first").Figure = "range"
		}
	}
	if !sure || sum.Equal(one) {
		return
	}
	remedy := "take away " + money.FormatPercent(sum.Sub(one))
	if sum.LessThan(one) {
		remedy = "name what happens in the other " + money.FormatPercent(one.Sub(sum)) + ", or write the last as chance: rest"
	}
	report.Fail(item.At.Key("chances"), "item "+item.ID+": chances", "the chances come to "+money.FormatPercent(sum), remedy)
}
