package landed

import (
	"math/big"

	"lotcost/landed/internal/exchange"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

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
