package odds

import (
	"iter"
	"math/big"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Limits are what a test may set: the most amounts and the most multiplications. 0 is the usual
// number.
type Limits struct {
	Points int
	Steps  int64
}

// Within is [Under] with limits.
func Within(risks []decimal.Decimal, groups func(happens []bool) ([]Group, error), limits Limits) (*Distribution, error) {
	if limits.Points == 0 {
		limits.Points = defaultPoints
	}
	if limits.Steps <= 0 {
		limits.Steps = defaultSteps
	}
	return under(risks, groups, limits.Points, limits.Steps)
}

// Variance is in minor units squared, exactly.
func (d *Distribution) Variance() *big.Rat { return frac(d.variance.num, d.variance.den) }

// ErrorBound and ProbabilityError are the two of ErrorBounds.
func (d *Distribution) ErrorBound() money.Amount {
	amounts, _ := d.ErrorBounds()
	return amounts
}

func (d *Distribution) ProbabilityError() *big.Rat {
	_, chances := d.ErrorBounds()
	return chances
}

// Exact tells whether both are 0.
func (d *Distribution) Exact() bool {
	return d.ErrorBound().Sign() == 0 && d.ProbabilityError().Sign() == 0
}

// Least and Most are the extremes, Len is how many amounts there are.
func (d *Distribution) Least() money.Amount { return d.Quantile(decimal.Zero) }

func (d *Distribution) Most() money.Amount { return d.Quantile(decimal.NewFromInt(1)) }

func (d *Distribution) Len() int { return len(d.chances().amounts) }

// Points yields each amount with its chance.
func (d *Distribution) Points() iter.Seq2[money.Amount, Chance] {
	return func(yield func(money.Amount, Chance) bool) {
		for _, b := range d.Histogram(d.Len()) {
			if b.From != b.To {
				panic("a bin of several amounts")
			}
			if !yield(b.From, b.Chance) {
				return
			}
		}
	}
}

// PartOf is the part of the whole that the chance of an outcome is, as [Joint] gives it.
func (g *Group) PartOf(outcome int) uint64 { return g.parts[outcome] }

// WholeOf is what the chances of a group are parts of.
func (g *Group) WholeOf() uint64 { return g.whole }
