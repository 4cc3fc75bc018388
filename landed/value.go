package landed

import (
	"fmt"
	"math/big"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/exchange"
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

// Mean is what the value of an outcome counts as where one figure has to stand for
// it: the value, or the middle of a range, rounded once to the minor unit, half
// away from zero.
func (f *Outcome) Mean() money.Amount {
	if f.UpTo.Currency() == 0 {
		return f.Value
	}
	low, high := f.Value.Minor(), f.UpTo.Minor()
	return money.New(high-(high-low)/2, f.UpTo.Currency())
}

// Best returns the index of the outcome whose value is highest on average, that of
// a range being its middle: the first of equals, and -1 where there are none.
// Values in several currencies are compared in home without the spread, none of
// them rounded; the error is that of [fx.Market.Rate].
func (h *Haul) Best(outcomes []Outcome) (int, error) {
	best, most, one, plain := -1, new(big.Rat), true, uint64(0)
	for i := range outcomes {
		one = one && outcomes[i].Value.Currency() == outcomes[0].Value.Currency() && outcomes[i].isPlain()
		if twice := uint64(outcomes[i].Value.Minor()) + uint64(max(outcomes[i].UpTo.Minor(), outcomes[i].Value.Minor())); best < 0 || twice > plain {
			best, plain = i, twice
		}
	}
	if one {
		return best, nil // as most files have it, and many outcomes are compared
	}
	best = -1
	rates := h.Exchange()
	for i := range outcomes {
		value, err := outcomes[i].twice(rates, h.Home)
		if err != nil {
			return -1, err
		}
		if best < 0 || value.Cmp(most) > 0 {
			best, most = i, value
		}
	}
	return best, nil
}

// unvalued is where the value of an outcome stands that cannot be compared with the others.
func (h *Haul) unvalued(item *Item) source.Origin {
	rates := h.Exchange()
	for i := range item.Chances {
		if _, err := item.Chances[i].twice(rates, h.Home); err != nil {
			return item.Chances[i].At.Key("value")
		}
	}
	return item.At.Key("chances")
}

// isPlain reports whether the value can be compared in its own minor units: it is of
// 0 or more, and a range is in one currency and the right way round.
func (f *Outcome) isPlain() bool {
	return f.Value.Sign() >= 0 && (f.UpTo.Currency() == 0 || f.UpTo.Currency() == f.Value.Currency() && f.UpTo.Cmp(f.Value) >= 0)
}

// twice is twice the mean value of an outcome, in a currency.
func (f *Outcome) twice(rates *exchange.Converter, in money.Currency) (*big.Rat, error) {
	high := f.UpTo
	if high.Currency() == 0 {
		high = f.Value
	}
	sum, err := rates.Exact(f.Value, in)
	if err != nil {
		return nil, err
	}
	more, err := rates.Exact(high, in)
	if err != nil {
		return nil, err
	}
	return sum.Add(sum, more), nil
}

// ValueOf is what one piece of an item counts as when it is right: its value, or
// where that is not given the mean of the best of its chances. It has no
// currency where there is neither, or no telling which is best for want of a
// rate.
func (h *Haul) ValueOf(item *Item) money.Amount {
	value, _ := h.valueOf(item)
	return value
}

func (h *Haul) valueOf(item *Item) (money.Amount, error) {
	if item.Value.Currency() != 0 || len(item.Chances) == 0 {
		return item.Value, nil
	}
	best, err := h.Best(item.Chances)
	if err != nil {
		return money.Amount{}, err
	}
	return item.Chances[best].Mean(), nil
}

// Values are what n pieces of an item count as when they are right, sold at once:
// in order, those of equal value together. State and What are not set.
func (h *Haul) Values(item *Item, n int64) []Pieces {
	first := h.ValueOf(item)
	if len(item.Further) == 0 {
		return []Pieces{{Count: n, Each: first}}
	}
	list := append([]money.Amount{first}, item.Further...)
	if item.Known != nil {
		list = list[min(max(item.Known.Ahead, 0), int64(len(list)-1)):]
	}
	var runs []Pieces
	for i, value := range list {
		count := min(1, n)
		if i == len(list)-1 {
			count = n
		}
		if n -= count; count > 0 && len(runs) > 0 && runs[len(runs)-1].Each == value {
			runs[len(runs)-1].Count += count
		} else if count > 0 {
			runs = append(runs, Pieces{Count: count, Each: value})
		}
	}
	return runs
}

// valueOfAll is the sum of the values of an item that has several. It reports false
// where it is too large.
func (h *Haul) valueOfAll(item *Item) (int64, bool) {
	sum := money.New(0, item.Value.Currency())
	for _, run := range h.Values(item, item.Count) {
		all, err := run.Each.Times(run.Count)
		if err == nil {
			sum, err = sum.Add(all)
		}
		if err != nil {
			return 0, false
		}
	}
	return sum.Minor(), true
}
