package money_test

import (
	"errors"
	"math"
	"testing"

	"lotcost/landed/internal/tally"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"
)

func TestTally(t *testing.T) {
	var sums tally.Tally
	a, b := typed.Amount("2 CAD"), typed.Amount("3 CAD")
	if got := sums.Sub(sums.Add(a, b, sums.Times(b, 4)), a); got != typed.Amount("15 CAD") || sums.Err != nil {
		t.Errorf("got %v, %v", got, sums.Err)
	}
	first := errors.New("first")
	sums.Of(a, first)
	sums.Times(a, math.MaxInt64)
	if sums.Err != first {
		t.Errorf("got %v, want the first error", sums.Err)
	}
	var large tally.Tally
	if large.Times(a, math.MaxInt64); !errors.Is(large.Err, money.ErrOverflow) {
		t.Errorf("got %v", large.Err)
	}
}

func TestCommonest(t *testing.T) {
	jpy, cad := money.MustCurrency("JPY"), money.MustCurrency("CAD")
	for _, c := range []struct {
		list []money.Currency
		want money.Currency
	}{
		{nil, 0},
		{[]money.Currency{0, 0, jpy}, jpy},
		{[]money.Currency{cad, jpy, jpy}, jpy},
		{[]money.Currency{cad, jpy}, cad},
	} {
		if got := tally.Commonest(c.list...); got != c.want {
			t.Errorf("of %v: %v, want %v", c.list, got, c.want)
		}
	}
}
