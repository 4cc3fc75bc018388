package landed

import (
	"math/big"

	"lotcost/landed/money"
)

// Mean is what the value of a fate counts as where one figure has to stand for
// it: the value, or the middle of a range, rounded once to the minor unit, half
// away from zero.
func (f *Fate) Mean() money.Amount {
	if f.UpTo.Currency() == 0 {
		return f.Value
	}
	low, high := f.Value.Minor(), f.UpTo.Minor()
	return money.New(high-(high-low)/2, f.UpTo.Currency())
}

// Best returns the index of the fate whose value is highest on average, that of
// a range being its middle: the first of equals, and -1 where there are none.
// Values in several currencies are compared in home without the spread, none of
// them rounded; the error is that of [fx.Market.Rate].
func (h *Haul) Best(fates []Fate) (int, error) {
	best, most, one := -1, new(big.Rat), true
	for i := range fates {
		one = one && fates[i].Value.Currency() == fates[0].Value.Currency()
	}
	for i := range fates {
		value, err := h.middle(&fates[i], one)
		if err != nil {
			return -1, err
		}
		if best < 0 || value.Cmp(most) > 0 {
			best, most = i, value
		}
	}
	return best, nil
}

// middle is twice the mean value of a fate, in home unless one currency will do.
func (h *Haul) middle(f *Fate, one bool) (*big.Rat, error) {
	high := f.UpTo
	if high.Currency() == 0 {
		high = f.Value
	}
	twice := new(big.Rat).Add(f.Value.Decimal().Rat(), high.Decimal().Rat())
	if c := f.Value.Currency(); !one && c != 0 && c != h.Home {
		rate, err := h.rate(c)
		if err != nil {
			return nil, err
		}
		twice.Mul(twice, rate.Rat())
	}
	return twice, nil
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

// LotWorth sums what the pieces of a lot count as when right, in home without the
// spread, each value rounded once, half away from zero. It has no currency where
// that is not known of all of them.
func (h *Haul) LotWorth(lot *Lot) money.Amount {
	sum := money.New(0, h.Home)
	for i := range lot.Items {
		item := &lot.Items[i]
		value := h.ValueOf(item)
		if value.Currency() == 0 {
			return money.Amount{}
		}
		home, err := h.Worth(value, h.Home)
		if err == nil {
			home, err = home.Times(item.Count)
		}
		if err == nil {
			sum, err = sum.Add(home)
		}
		if err != nil {
			return money.Amount{}
		}
	}
	return sum
}
