package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"

	gomoney "github.com/Rhymond/go-money"
	"github.com/shopspring/decimal"
)

const total = 1_234_567_891

// sharing sets money.Apportion beside plain shares and a sort, which are right, and beside a
// general library for money, of which only the sum is right. Short lists are many, so that no
// processor learns them.
func sharing() []contest {
	var all []contest
	for _, n := range []int{10, 1_000, 100_000, 1_000_000} {
		random := rand.New(rand.NewPCG(1, uint64(n)))
		lists := max(1, 1<<16/n)
		weights, shares, plain := make([]int64, n*lists), make([]int64, n*lists), make([]int64, n*lists)
		ints := make([]int, n*lists)
		for i := range weights {
			weights[i] = 1 + random.Int64N(10_000)
			ints[i] = int(weights[i])
		}
		each := func(share func(at, end int) error) func() error {
			return func() error {
				for at := 0; at < len(weights); at += n {
					if err := share(at, at+n); err != nil {
						return err
					}
				}
				return nil
			}
		}
		ours := each(func(at, end int) error { return money.Apportion(shares[at:end], total, weights[at:end]) })
		parts := make([]part, n)
		all = append(all, contest{name: fmt.Sprintf("sharing over %d: plain shares and a sort", n), ours: ours,
			theirs: each(func(at, end int) error {
				plainShares(plain[at:end], parts, weights[at:end])
				return nil
			}),
			equal: func() error {
				if !slices.Equal(shares, plain) {
					return errors.New("the shares")
				}
				return nil
			}})
		all = append(all, contest{name: fmt.Sprintf("sharing over %d: go-money (sum alone)", n), ours: ours,
			theirs: each(func(at, end int) error {
				split, err := gomoney.New(total, gomoney.CAD).Allocate(ints[at:end]...)
				sum := int64(0)
				for _, p := range split {
					sum += p.Amount()
				}
				if err == nil && sum != total {
					err = fmt.Errorf("it shares %d of %d", sum, total)
				}
				return err
			})})
	}
	return all
}

// part is what is left over of one share, and its place.
type part struct {
	rest  int64
	place int
}

// plainShares is the method of largest remainder in its plainest form, without allocation; products
// stay below 2^63.
func plainShares(dst []int64, parts []part, weights []int64) {
	whole := int64(0)
	for _, w := range weights {
		whole += w
	}
	left := int64(total)
	for i, w := range weights {
		product := total * w
		dst[i] = product / whole
		left -= dst[i]
		parts[i] = part{product - dst[i]*whole, i}
	}
	slices.SortFunc(parts, func(a, b part) int {
		return cmp.Or(cmp.Compare(b.rest, a.rest), cmp.Compare(a.place, b.place))
	})
	for _, p := range parts[:left] {
		dst[p.place]++
	}
}

// chances sets the exact distribution of many pieces beside a million draws.
func chances() []contest {
	const pieces, draws = 100, 1_000_000
	values := [3]int64{4500, 800, 0}
	group := odds.Group{Count: pieces, Outcomes: []landed.Outcome{
		{Value: money.New(values[0], cad()), Chance: decimal.New(6, -1)},
		{Value: money.New(values[1], cad()), Chance: decimal.New(3, -1)},
		{Value: money.New(values[2], cad()), Chance: decimal.New(1, -1)},
	}}
	var exact *odds.Distribution
	var mean float64
	return []contest{{name: fmt.Sprintf("odds of %d pieces: %d draws", pieces, draws),
		ours: func() (err error) {
			if exact, err = odds.Of([]odds.Group{group}, 0); err == nil {
				exact.Quantile(decimal.New(5, -1)) // chances are worked out once they are asked for
			}
			return err
		},
		theirs: func() error {
			random, sum := rand.New(rand.NewPCG(1, 2)), int64(0)
			for range draws {
				for range pieces {
					switch n := random.IntN(10); {
					case n < 6:
						sum += values[0]
					case n < 9:
						sum += values[1]
					}
				}
			}
			mean = float64(sum) / draws
			return nil
		},
		equal: func() error {
			const deviations = 5
			off := math.Abs(mean - float64(exact.Mean().Minor()))
			if most := deviations * float64(exact.StdDev().Minor()) / math.Sqrt(draws); off > most {
				return fmt.Errorf("the means are %.0f apart, and %.0f at most is chance", off, most)
			}
			return nil
		}}}
}

func cad() money.Currency { return money.MustCurrency("CAD") }
