package main

import (
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
// general library for money, of which only the sum is right.
func sharing() []contest {
	var all []contest
	for _, n := range []int{10, 1_000, 100_000, 1_000_000} {
		random := rand.New(rand.NewPCG(1, uint64(n)))
		weights, shares, plain := make([]int64, n), make([]int64, n), make([]int64, n)
		ints := make([]int, n)
		for i := range weights {
			weights[i] = 1 + random.Int64N(10_000)
			ints[i] = int(weights[i])
		}
		ours := func() error { return money.Apportion(shares, total, weights) }
		order := make([]int, n)
		all = append(all, contest{fmt.Sprintf("sharing over %d: plain shares and a sort", n), ours,
			func() error { return plainShares(plain, order, weights) },
			func() error {
				if !slices.Equal(shares, plain) {
					return errors.New("the shares")
				}
				return nil
			}})
		var parts []*gomoney.Money
		all = append(all, contest{fmt.Sprintf("sharing over %d: go-money (sum alone)", n), ours,
			func() (err error) {
				parts, err = gomoney.New(total, gomoney.CAD).Allocate(ints...)
				return err
			},
			func() error {
				sum := int64(0)
				for _, p := range parts {
					sum += p.Amount()
				}
				if sum != total {
					return fmt.Errorf("it shares %d of %d", sum, total)
				}
				return nil
			}})
	}
	return all
}

// plainShares is the method of largest remainder in its plainest form; products stay below 2^63.
func plainShares(dst []int64, order []int, weights []int64) error {
	whole := int64(0)
	for _, w := range weights {
		whole += w
	}
	left := int64(total)
	for i, w := range weights {
		dst[i] = total * w / whole
		left -= dst[i]
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := total*weights[a]%whole, total*weights[b]%whole
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	for _, i := range order[:left] {
		dst[i]++
	}
	return nil
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
	return []contest{{fmt.Sprintf("odds of %d pieces: %d draws", pieces, draws),
		func() (err error) {
			exact, err = odds.Of([]odds.Group{group}, 0)
			return err
		},
		func() error {
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
		func() error {
			const deviations = 5
			off := math.Abs(mean - float64(exact.Mean().Minor()))
			if most := deviations * float64(exact.StdDev().Minor()) / math.Sqrt(draws); off > most {
				return fmt.Errorf("the means are %.0f apart, and %.0f at most is chance", off, most)
			}
			return nil
		}}}
}

func cad() money.Currency { return money.MustCurrency("CAD") }
