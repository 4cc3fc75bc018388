// Package tally adds amounts up through one error, asked for once at the end, and counts their
// currencies.
package tally

import "lotcost/landed/money"

// Tally keeps the first error of what it was asked. What it returns after one means nothing.
type Tally struct{ Err error }

// Of takes what another call returned.
func (t *Tally) Of(a money.Amount, err error) money.Amount {
	if t.Err == nil {
		t.Err = err
	}
	return a
}

// Add adds amounts of one currency.
func (t *Tally) Add(sum money.Amount, more ...money.Amount) money.Amount {
	for _, a := range more {
		sum = t.Of(sum.Add(a))
	}
	return sum
}

// Sub takes one amount off another of its currency.
func (t *Tally) Sub(a, b money.Amount) money.Amount { return t.Of(a.Sub(b)) }

// Times multiplies an amount.
func (t *Tally) Times(a money.Amount, n int64) money.Amount { return t.Of(a.Times(n)) }

// Commonest is the currency that stands most often in a list, of equally many the first. The zero
// Currency is none and does not count.
func Commonest(list ...money.Currency) (commonest money.Currency) {
	counts, most := make(map[money.Currency]int, len(list)), 0
	for _, c := range list {
		counts[c]++
	}
	for _, c := range list {
		if c != 0 && counts[c] > most {
			commonest, most = c, counts[c]
		}
	}
	return commonest
}
