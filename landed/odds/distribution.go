package odds

import (
	"iter"
	"math"
	"math/big"
	"math/bits"
	"sort"

	"github.com/shopspring/decimal"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

// Distribution is every amount that the pieces may bring together, with its
// chance. [Of] makes one; it never changes. All amounts are of one currency.
type Distribution struct {
	currency    money.Currency
	amounts     []int64 // rising, minor units, without shift
	shift       int64
	cum         []uint64 // for each amount, limbs of the chance up to and with it, in 1/den
	limbs       int
	den         *big.Int
	total       *big.Int // the last of cum: den, or less where chances were cut off
	least, most int64    // the extremes, without shift
	mean        *big.Rat // exact, in minor units, without shift
	variance    ratio
	slip        int64    // how far amounts may have moved
	doubt       *big.Rat // the chance that they moved further
	excess      *big.Rat // by how much chances may be too great
}

func (d *Distribution) cumulate(num []uint64) {
	n := d.limbs
	d.cum = num
	for i := n; i < len(num); i += n {
		var carry uint64
		for j := range n {
			num[i+j], carry = bits.Add64(num[i+j], num[i+j-n], carry)
		}
	}
	d.total = d.upTo(len(d.amounts))
}

// upTo is the chance of the first i amounts together, in 1/den.
func (d *Distribution) upTo(i int) *big.Int {
	if i == 0 {
		return new(big.Int)
	}
	return whole(d.cum[(i-1)*d.limbs : i*d.limbs])
}

// Currency returns the currency of all amounts.
func (d *Distribution) Currency() money.Currency { return d.currency }

// Len returns how many amounts the distribution has.
func (d *Distribution) Len() int { return len(d.amounts) }

// Exact tells whether neither an amount nor a chance has any error.
func (d *Distribution) Exact() bool {
	return d.slip == 0 && d.missing().Sign() == 0 && d.excess.Sign() == 0
}

// ErrorBound returns how far amounts can be off: the sum that pieces truly bring
// and the one in this distribution are at most so far apart, but for a chance
// that is part of [Distribution.ProbabilityError]. It is 0 unless the
// distribution was coarsened.
func (d *Distribution) ErrorBound() money.Amount { return money.New(d.slip, d.currency) }

// ProbabilityError returns, as a fraction, the most that any chance can be off
// by, beside what [Distribution.ErrorBound] brings about.
func (d *Distribution) ProbabilityError() *big.Rat {
	return sum(d.missing(), d.doubt, d.excess)
}

// missing is what the chances lack of the whole.
func (d *Distribution) missing() *big.Rat { return d.of(new(big.Int).Sub(d.den, d.total), d.den) }

func (d *Distribution) of(num, den *big.Int) *big.Rat { return new(big.Rat).SetFrac(num, den) }

// Least returns the least amount that may occur, exactly.
func (d *Distribution) Least() money.Amount { return d.amount(d.least) }

// Most returns the greatest amount that may occur, exactly.
func (d *Distribution) Most() money.Amount { return d.amount(d.most) }

func (d *Distribution) amount(minor int64) money.Amount {
	return money.New(minor+d.shift, d.currency)
}

// MeanRat returns the mean in minor units, exactly.
func (d *Distribution) MeanRat() *big.Rat {
	return new(big.Rat).Add(d.mean, new(big.Rat).SetInt64(d.shift))
}

// Mean returns the mean, rounded once to the minor unit, half away from zero.
func (d *Distribution) Mean() money.Amount {
	return money.New(roundRat(d.MeanRat()), d.currency)
}

// Variance returns the variance in minor units squared, exactly.
func (d *Distribution) Variance() *big.Rat { return d.variance.rat() }

// StdDev returns the standard deviation, the root of the variance, rounded once
// to the minor unit, half up.
func (d *Distribution) StdDev() money.Amount {
	// floor(sqrt v + 1/2) = floor((floor(sqrt 4v) + 1) / 2)
	four := new(big.Int).Lsh(d.variance.num, 2)
	root := four.Sqrt(four.Div(four, d.variance.den))
	return money.New(int64((root.Uint64()+1)/2), d.currency)
}

// Quantile returns the least amount a such that the chance to bring a or less is
// at least q, a fraction. It is [Distribution.Least] for q of 0 and below,
// [Distribution.Most] for 1 and above. Where the distribution is not exact, the
// true quantile is within [Distribution.ErrorBound] of those of q less and
// q more [Distribution.ProbabilityError].
func (d *Distribution) Quantile(q decimal.Decimal) money.Amount {
	switch r := q.Rat(); {
	case r.Sign() <= 0:
		return d.Least()
	case r.Cmp(big.NewRat(1, 1)) >= 0:
		return d.Most()
	default:
		return d.amount(d.amounts[d.rank(r)])
	}
}

// rank is the index of the quantile of q, for 0 < q < 1.
func (d *Distribution) rank(q *big.Rat) int {
	want := new(big.Int).Mul(q.Num(), d.total)
	return sort.Search(len(d.amounts)-1, func(i int) bool {
		have := d.upTo(i + 1)
		return have.Mul(have, q.Denom()).Cmp(want) >= 0
	})
}

// WorstTail returns the mean of the worst part q (a fraction) of all that can
// happen, known as expected shortfall: the least amounts whose chances come to
// q, the last of them counted only as far as needed. It is rounded once to the
// minor unit, half away from zero. It is [Distribution.Least] for q of 0 and
// below, [Distribution.Mean] for 1 and above. Where the distribution was
// coarsened it is off by at most [Distribution.ErrorBound], beside what
// [Distribution.ProbabilityError] carries.
func (d *Distribution) WorstTail(q decimal.Decimal) money.Amount {
	r := q.Rat()
	switch {
	case r.Sign() <= 0:
		return d.Least()
	case r.Cmp(big.NewRat(1, 1)) >= 0:
		return d.Mean()
	}
	// With v the quantile of q: v - E[(v - X)+] / q, and E[(v - X)+] is the sum of
	// each gap between amounts below v times the chance to be below that gap.
	at, gaps := d.rank(r), make([]uint64, d.limbs+1)
	for i := range at {
		mulAdd(gaps, d.cum[i*d.limbs:(i+1)*d.limbs], uint64(d.amounts[i+1]-d.amounts[i]))
	}
	short := d.of(whole(gaps), d.total)
	tail := new(big.Rat).SetInt64(d.amounts[at] + d.shift)
	return money.New(roundRat(tail.Sub(tail, short.Quo(short, r))), d.currency)
}

// AtLeast returns the chance to bring x or more. It returns a
// [*money.MismatchError] for another currency.
func (d *Distribution) AtLeast(x money.Amount) (Chance, error) {
	if x.Currency() != d.currency {
		return Chance{}, &money.MismatchError{A: d.currency, B: x.Currency()}
	}
	return d.between(x.Minor(), math.MaxInt64), nil
}

// Below returns the chance to bring less than x: the chance of a loss where x is
// what it all cost. It returns a [*money.MismatchError] for another currency.
func (d *Distribution) Below(x money.Amount) (Chance, error) {
	if x.Currency() != d.currency {
		return Chance{}, &money.MismatchError{A: d.currency, B: x.Currency()}
	}
	if x.Minor() == math.MinInt64 {
		return exactly(new(big.Rat)), nil
	}
	return d.between(math.MinInt64, x.Minor()-1), nil
}

// between is the chance to bring low to high, both included, the extremes of
// int64 being without limit.
func (d *Distribution) between(low, high int64) Chance {
	within := d.sum(low, high)
	if d.Exact() {
		return exactly(d.of(within, d.den))
	}
	inner := d.of(d.sum(further(low, d.slip), further(high, -d.slip)), d.den)
	outer := d.of(d.sum(further(low, -d.slip), further(high, d.slip)), d.den)
	outer.Add(outer, d.ProbabilityError())
	return bounded(d.of(within, d.total), inner.Sub(inner, sum(d.doubt, d.excess)), outer)
}

// sum is the chance of the amounts from low to high, in 1/den.
func (d *Distribution) sum(low, high int64) *big.Int {
	from := sort.Search(len(d.amounts), func(i int) bool { return d.amounts[i]+d.shift >= low })
	to := sort.Search(len(d.amounts), func(i int) bool { return d.amounts[i]+d.shift > high })
	if to <= from {
		return new(big.Int)
	}
	sum := d.upTo(to)
	return sum.Sub(sum, d.upTo(from))
}

// further moves a limit, unless that is no limit or it would become one.
func further(limit, by int64) int64 {
	if limit == math.MinInt64 || limit == math.MaxInt64 {
		return limit
	}
	if by > 0 && limit > math.MaxInt64-by {
		return math.MaxInt64
	}
	if by < 0 && limit < math.MinInt64-by {
		return math.MinInt64
	}
	return limit + by
}

// Shift returns the distribution with x added to every amount: what is left
// after a cost, for a negative x. It returns a [*money.MismatchError] for
// another currency and [money.ErrOverflow] where an amount would not fit.
func (d *Distribution) Shift(x money.Amount) (*Distribution, error) {
	if x.Currency() != d.currency {
		return nil, &money.MismatchError{A: d.currency, B: x.Currency()}
	}
	shift, err := money.New(d.shift, d.currency).Add(x)
	if err != nil || exact.Magnitude(shift.Minor()) > math.MaxInt64-2*maxTotal {
		return nil, money.ErrOverflow
	}
	out := *d
	out.shift = shift.Minor()
	return &out, nil
}

// Points yields each amount with its chance, rising. Where the distribution was
// coarsened, an amount stands for those around it and the bounds of its chance
// are those of the pieces moved to the grid: only the missing part is counted.
func (d *Distribution) Points() iter.Seq2[money.Amount, Chance] {
	return func(yield func(money.Amount, Chance) bool) {
		below, missing := new(big.Int), sum(d.missing(), d.excess)
		for i, a := range d.amounts {
			upTo := d.upTo(i + 1)
			num := new(big.Int).Sub(upTo, below)
			low := d.of(num, d.den)
			high := new(big.Rat).Add(low, missing)
			if d.excess.Sign() > 0 {
				low.Sub(low, d.excess)
			}
			if !yield(d.amount(a), bounded(d.of(num, d.total), low, high)) {
				return
			}
			below = upTo
		}
	}
}

// Bin is a range of amounts, both ends included, with its chance.
type Bin struct {
	From, To money.Amount
	Chance   Chance
}

// Histogram divides the amounts into at most so many bins, for a chart. All
// are equally wide and together cover the middle 99 %; the first and the last
// also take in all that lies beyond, and say so in From and To. There are fewer
// bins where there are not so many minor units to divide, and none for bins
// below 1.
func (d *Distribution) Histogram(bins int) []Bin {
	if bins < 1 {
		return nil
	}
	low := d.Quantile(decimal.New(5, -3)).Minor()
	high := d.Quantile(decimal.New(995, -3)).Minor()
	width := (high-low)/int64(bins) + 1
	var list []Bin
	for from := low; from <= high; from += width {
		list = append(list, Bin{From: money.New(from, d.currency), To: money.New(from+width-1, d.currency)})
	}
	first, last := &list[0], &list[len(list)-1]
	first.From = money.New(min(low, d.Least().Minor()), d.currency)
	last.To = money.New(max(last.To.Minor(), d.Most().Minor()), d.currency)
	for i := range list {
		list[i].Chance = d.between(list[i].From.Minor(), list[i].To.Minor())
	}
	return list
}

// roundRat rounds to a whole number, half away from zero, for what is known to
// fit.
func roundRat(r *big.Rat) int64 { return ratioOf(r).rounded() }
