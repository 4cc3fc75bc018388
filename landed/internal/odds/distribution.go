package odds

import (
	"math"
	"math/big"
	"math/bits"
	"sort"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Distribution is every amount that the pieces may bring together, with its chance. [Of] makes one;
// it never changes. All amounts are of one currency.
type Distribution struct {
	currency    money.Currency
	shift       int64
	least, most int64    // the extremes, without shift
	mean        *big.Rat // exact, in minor units, without shift
	variance    ratio
	chances     func() *chances // worked out once they are asked for: many ask for the mean alone
}

// chances are those of all amounts.
type chances struct {
	amounts []int64  // rising, minor units, without shift
	cum     []uint64 // for each amount, limbs of the chance up to and with it, in 1/den
	limbs   int
	den     *big.Int
	total   *big.Int // the last of cum: den, or less where chances were cut off
	drift   int64    // how far amounts may have moved
	beyond  *big.Rat // the chance that they moved further
	excess  *big.Rat // by how much chances may be too great
}

func (c *chances) cumulate(num []uint64) {
	n := c.limbs
	c.cum = num
	for i := n; i < len(num); i += n {
		var carry uint64
		for j := range n {
			num[i+j], carry = bits.Add64(num[i+j], num[i+j-n], carry)
		}
	}
	c.total = c.upTo(len(c.amounts))
}

// upTo is the chance of the first i amounts together, in 1/den.
func (c *chances) upTo(i int) *big.Int {
	if i == 0 {
		return new(big.Int)
	}
	return exact.Joined(c.cum[(i-1)*c.limbs : i*c.limbs])
}

// exact tells whether neither an amount nor a chance has any error.
func (c *chances) exact() bool {
	return c.drift == 0 && c.missing().Sign() == 0 && c.excess.Sign() == 0
}

// ErrorBounds returns how far amounts can be off, and how far chances, as a fraction: the sum that
// pieces truly bring and the one in this distribution are at most so far apart, but for a chance
// that is part of the latter. Amounts are 0 unless the distribution was coarsened; both are where
// it is exact.
func (d *Distribution) ErrorBounds() (amounts money.Amount, chances *big.Rat) {
	c := d.chances()
	return money.New(c.drift, d.currency), c.off()
}

func (c *chances) off() *big.Rat { return sum(c.missing(), c.beyond, c.excess) }

func (c *chances) missing() *big.Rat { return frac(new(big.Int).Sub(c.den, c.total), c.den) }

func (d *Distribution) amount(minor int64) money.Amount {
	return money.New(minor+d.shift, d.currency)
}

// MeanRat returns the mean in minor units, exactly.
func (d *Distribution) MeanRat() *big.Rat {
	return new(big.Rat).Add(d.mean, new(big.Rat).SetInt64(d.shift))
}

// Mean returns the mean, rounded once to the minor unit, half away from zero.
func (d *Distribution) Mean() money.Amount {
	return money.New(ratioOf(d.MeanRat()).rounded(), d.currency)
}

// StdDev returns the standard deviation, the root of the variance, rounded once to the minor unit,
// half up.
func (d *Distribution) StdDev() money.Amount {
	// floor(sqrt v + 1/2) = floor((floor(sqrt 4v) + 1) / 2)
	four := new(big.Int).Lsh(d.variance.num, 2)
	root := four.Sqrt(four.Div(four, d.variance.den))
	return money.New(int64((root.Uint64()+1)/2), d.currency)
}

// Quantile returns the least amount a such that the chance to bring a or less is at least q, a
// fraction. It is the least that can be brought for q of 0 and below, the most for 1 and above,
// both exactly. Where the distribution is not exact, the true quantile is within the one of
// [Distribution.ErrorBounds] of those of q less and q more the other.
func (d *Distribution) Quantile(q decimal.Decimal) money.Amount {
	switch r := q.Rat(); {
	case r.Sign() <= 0:
		return d.amount(d.least)
	case r.Cmp(ratOf(1)) >= 0:
		return d.amount(d.most)
	default:
		c := d.chances()
		return d.amount(c.amounts[c.rank(r)])
	}
}

// rank is the index of the quantile of q, for 0 < q < 1.
func (c *chances) rank(q *big.Rat) int {
	want := new(big.Int).Mul(q.Num(), c.total)
	return sort.Search(len(c.amounts)-1, func(i int) bool {
		have := c.upTo(i + 1)
		return have.Mul(have, q.Denom()).Cmp(want) >= 0
	})
}

// WorstTail returns the mean of the worst part q (a fraction) of all that can happen, known as
// expected shortfall: the least amounts whose chances come to q, the last of them counted only as
// far as needed. It is rounded once to the minor unit, half away from zero. It is the least that
// can be brought for q of 0 and below, [Distribution.Mean] for 1 and above. It is off by at most
// the one of [Distribution.ErrorBounds], beside what the other carries.
func (d *Distribution) WorstTail(q decimal.Decimal) money.Amount {
	r := q.Rat()
	switch {
	case r.Sign() <= 0:
		return d.amount(d.least)
	case r.Cmp(ratOf(1)) >= 0:
		return d.Mean()
	}
	// With v the quantile of q: v - E[(v - X)+] / q, and E[(v - X)+] is the sum of each gap between
	// amounts below v times the chance to be below that gap.
	c := d.chances()
	at, gaps := c.rank(r), make([]uint64, c.limbs+1)
	for i := range at {
		mulAdd(gaps, c.cum[i*c.limbs:(i+1)*c.limbs], uint64(c.amounts[i+1]-c.amounts[i]))
	}
	short := frac(exact.Joined(gaps), c.total)
	tail := new(big.Rat).SetInt64(c.amounts[at] + d.shift)
	return money.New(ratioOf(tail.Sub(tail, short.Quo(short, r))).rounded(), d.currency)
}

// Below returns the chance to bring less than x: the chance of a loss where x is what it all cost.
// It returns a [money.MismatchError] for another currency.
func (d *Distribution) Below(x money.Amount) (Chance, error) {
	if x.Currency() != d.currency {
		return Chance{}, money.MismatchError{d.currency, x.Currency()}
	}
	if x.Minor() == math.MinInt64 {
		return Chance{}, nil
	}
	return d.between(math.MinInt64, x.Minor()-1), nil
}

// BelowAny is [Distribution.Below] of a cost that is not known either: of some, in minor units,
// each in so many ways. It returns the bounds of the chance.
func (d *Distribution) BelowAny(costs map[int64]*big.Int) (low, high *big.Rat) {
	c, sums, all, ways := d.chances(), [2]*big.Int{new(big.Int), new(big.Int)}, new(big.Int), new(big.Int)
	for cost, n := range costs {
		all.Add(all, n)
		for i, out := range [...]int64{-c.drift, c.drift} {
			sums[i].Add(sums[i], ways.Mul(n, d.sum(math.MinInt64, cost-1, out)))
		}
	}
	all.Mul(all, c.den)
	low, high = frac(sums[0], all), frac(sums[1], all)
	if !c.exact() {
		b := bounded(low, low.Sub(low, sum(c.beyond, c.excess)), high.Add(high, c.off()))
		low, high = b.low, b.high
	}
	return low, high
}

// between is the chance to bring low to high, both included, the extremes of int64 being without
// limit.
func (d *Distribution) between(low, high int64) Chance {
	c, within := d.chances(), d.sum(low, high, 0)
	if c.exact() {
		chance := frac(within, c.den)
		return Chance{chance, chance, chance}
	}
	value, inner, outer := frac(within, c.total), frac(d.sum(low, high, -c.drift), c.den), frac(d.sum(low, high, c.drift), c.den)
	return bounded(value, inner.Sub(inner, sum(c.beyond, c.excess)), outer.Add(outer, c.off()))
}

// sum is the chance of the amounts from low to high, in 1/den, both limits so much further out.
func (d *Distribution) sum(low, high, out int64) *big.Int {
	c := d.chances()
	from := sort.Search(len(c.amounts), func(i int) bool { return c.amounts[i]+d.shift+out >= low })
	to := sort.Search(len(c.amounts), func(i int) bool { return c.amounts[i]+d.shift-out > high })
	if to <= from {
		return new(big.Int)
	}
	sum := c.upTo(to)
	return sum.Sub(sum, c.upTo(from))
}

// Shift returns the distribution with x added to every amount: what is left after a cost, for a
// negative x. It returns a [money.MismatchError] for another currency and [money.ErrOverflow]
// where an amount would not fit.
func (d *Distribution) Shift(x money.Amount) (*Distribution, error) {
	if x.Currency() != d.currency {
		return nil, money.MismatchError{d.currency, x.Currency()}
	}
	shift, err := money.New(d.shift, d.currency).Add(x)
	if err != nil || exact.Magnitude(shift.Minor()) > math.MaxInt64-4*maxTotal {
		return nil, money.ErrOverflow
	}
	out := *d
	out.shift = shift.Minor()
	return &out, nil
}

// Bin is a range of amounts, both ends included, with its chance.
type Bin struct {
	From, To money.Amount
	Chance   Chance
}

// Histogram divides the amounts into at most so many bins, for a chart. Each is a bin of its own
// where there are no more of them. Otherwise all are equally wide and together cover the middle 99
// %; the first and the last also take in all that lies beyond, and say so in From and To. There are
// fewer bins where there are not so many minor units to divide, and none for bins below 1.
func (d *Distribution) Histogram(bins int) []Bin {
	if bins < 1 {
		return nil
	}
	var list []Bin
	add := func(from, to int64) {
		list = append(list, Bin{money.New(from, d.currency), money.New(to, d.currency), d.between(from, to)})
	}
	if amounts := d.chances().amounts; len(amounts) <= bins {
		for _, a := range amounts {
			add(a+d.shift, a+d.shift)
		}
		return list
	}
	least, most := d.least+d.shift, d.most+d.shift
	low, high := d.Quantile(decimal.New(5, -3)).Minor(), d.Quantile(decimal.New(995, -3)).Minor()
	width := (high-low)/int64(bins) + 1
	for from := low; from <= high; from += width {
		first, last := from, from+width-1
		if from == low {
			first = min(low, least)
		}
		if last >= high {
			last = max(last, most)
		}
		add(first, last)
	}
	return list
}

// Chance is a probability with what is proven about it. The zero value is an exact chance of 0.
// Chances are not comparable with ==.
type Chance struct{ value, low, high *big.Rat }

// bounded makes a chance that is proven to lie from low to high, kept within 0 to 1.
func bounded(value, low, high *big.Rat) Chance {
	if low.Sign() < 0 {
		low = new(big.Rat)
	}
	if certain := ratOf(1); high.Cmp(certain) > 0 {
		high = certain
	}
	return Chance{value, low, high}
}

// Rat returns the chance as a fraction from 0 to 1: exact where both [Chance.Bounds] are the same,
// or else the best estimate between them.
func (c Chance) Rat() *big.Rat { return sum(c.value) }

// Bounds returns the fractions that the true chance is proven to lie between, both included.
func (c Chance) Bounds() (low, high *big.Rat) { return sum(c.low), sum(c.high) }

// String prints the chance as a percentage with one decimal, a half away from zero: "12.4%". What
// would be rounded to nothing or to all without being it is printed as "<0.1%" or ">99.9%".
func (c Chance) String() string {
	r := c.Rat()
	s := new(big.Rat).Mul(r, ratOf(100)).FloatString(1)
	switch {
	case s == "0.0" && r.Sign() > 0:
		return "<0.1%"
	case s == "100.0" && r.Cmp(ratOf(1)) < 0:
		return ">99.9%"
	}
	return s + "%"
}
