package odds

import (
	"errors"
	"maps"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Draw is pieces that depend on each other: since what is learnt of one tells of
// the others, or since several that are sold bring less and less.
type Draw struct {
	Group
	Kinds []int            // of each outcome, a place in the weights of [Joint]; nil where the pieces are independent
	Then  [][]money.Amount // of each outcome: what the second, the third and each further piece sold bring; nil where each brings Value
}

// ErrTooManyWays tells that pieces which depend on each other may come out in more
// ways than are counted.
var ErrTooManyWays = errors.New("there are too many ways in which the pieces may come out together")

// How many ways Joint goes through, a few seconds of work at worst, and how many it keeps.
const mostWays, mostPoints = 100_000, 10_000

// mostKinds is how many weights there may be.
const mostKinds = 4

// Joint makes one piece of several draws: what they bring together. How many of their pieces are of
// each kind has the Dirichlet-multinomial distribution with these weights, all draws together, and
// within a kind outcomes go by their chances: a mixture over all counts, exact where chances are
// parts of a whole of 2^62 at most, else rounded to such parts by largest remainder. Of two kinds
// that is the beta-binomial distribution (both as in the documentation of SciPy,
// dirichlet_multinomial and betabinom, and TensorFlow's).
//
// The errors are those of [Of], and [ErrTooManyWays].
func Joint(weights []decimal.Decimal, draws []Draw) (Group, error) {
	u, c := newUrn(weights), checker{}
	points := map[point]*big.Int{{}: big.NewInt(1)}
	for i := range draws {
		d := &draws[i]
		if _, err := c.group(&d.Group, Error{Group: i + 1}); err != nil {
			return Group{}, err
		}
		for _, then := range d.Then {
			if err := c.same(then); err != nil {
				return Group{}, &Error{Group: i + 1, Err: err}
			}
		}
		var err error
		if points, err = u.draw(points, d); err != nil {
			return Group{}, &Error{Group: i + 1, Err: err}
		}
	}
	return together(points, c.currency), nil
}

// point is how many pieces there were of each kind, and what all brought.
type point struct {
	kinds  [mostKinds]int64
	amount int64
}

// urn holds pieces of some kinds, in units of a whole piece.
type urn struct {
	weights []*big.Int
	unit    *big.Int
}

// newUrn makes an urn; of none one with a single kind.
func newUrn(weights []decimal.Decimal) *urn {
	if len(weights) == 0 {
		weights = []decimal.Decimal{decimal.NewFromInt(1)}
	}
	finest := int32(0)
	for _, w := range weights {
		finest = max(finest, -w.Exponent())
	}
	u := &urn{unit: decimal.New(1, finest).BigInt()}
	for _, w := range weights {
		u.weights = append(u.weights, w.Shift(finest).BigInt())
	}
	return u
}

// drawer goes through all ways in which the pieces of a draw may come out.
type drawer struct {
	*urn
	*Draw
	parts  []*big.Int // of each outcome, its part of its kind
	wholes []*big.Int // of each kind, what its parts come to
	counts []int64
	drawn  [mostKinds]int64
	from   point
	to     map[point]*big.Int
	ways   int
}

func (u *urn) draw(points map[point]*big.Int, d *Draw) (map[point]*big.Int, error) {
	w := &drawer{urn: u, Draw: d, counts: make([]int64, len(d.Outcomes)), to: map[point]*big.Int{}}
	w.divide()
	for from, weight := range points {
		w.from = from
		err := error(nil)
		if d.Alike {
			err = w.alike(weight)
		} else {
			err = w.rest(0, d.Count, weight)
		}
		if err != nil {
			return nil, err
		}
	}
	return w.to, nil
}

func (w *drawer) kind(outcome int) int {
	if w.Kinds == nil {
		return 0
	}
	return w.Kinds[outcome]
}

// divide finds which part of its kind each outcome is, in whole numbers.
func (w *drawer) divide() {
	w.wholes = make([]*big.Int, len(w.weights))
	common := make([]*big.Int, len(w.weights))
	for k := range w.wholes {
		w.wholes[k], common[k] = new(big.Int), new(big.Int)
	}
	for i := range w.Outcomes {
		part := w.Outcomes[i].Chance.Shift(places).BigInt()
		w.parts = append(w.parts, part)
		k := w.kind(i)
		common[k].GCD(nil, nil, common[k], part)
	}
	for i, part := range w.parts {
		k := w.kind(i)
		if common[k].Sign() > 0 {
			part.Quo(part, common[k])
		}
		w.wholes[k].Add(w.wholes[k], part)
	}
}

// alike lets all pieces come out the same, as one of them would.
func (w *drawer) alike(weight *big.Int) error {
	for i := range w.counts {
		k := w.kind(i)
		w.counts[i], w.drawn[k] = w.Count, 1
		one := new(big.Int).Mul(weight, w.in(k, w.from.kinds[k]))
		err := w.add(one.Mul(one, w.parts[i]), 1)
		if w.counts[i], w.drawn[k] = 0, 0; err != nil {
			return err
		}
	}
	return nil
}

// rest lets the pieces that are left come out with one outcome or a later one.
func (w *drawer) rest(outcome int, left int64, weight *big.Int) error {
	k, last := w.kind(outcome), outcome == len(w.counts)-1
	weight, before := new(big.Int).Set(weight), w.drawn[k]
	for n := int64(0); weight.Sign() > 0; n++ {
		w.counts[outcome], w.drawn[k] = n, before+n
		err := error(nil)
		if last && n == left {
			err = w.add(weight, w.Count)
		} else if !last {
			err = w.rest(outcome+1, left-n, weight)
		}
		if err != nil {
			return err
		}
		if n == left {
			break
		}
		weight.Mul(weight, w.in(k, w.from.kinds[k]+before+n))
		weight.Mul(weight, w.parts[outcome])
		weight.Mul(weight, big.NewInt(left-n))
		weight.Quo(weight, big.NewInt(n+1))
	}
	w.counts[outcome], w.drawn[k] = 0, before
	return nil
}

// add adds the way that the counts tell, of so many pieces that were drawn.
func (w *drawer) add(weight *big.Int, pieces int64) error {
	if w.ways++; w.ways > mostWays {
		return ErrTooManyWays
	}
	to, scaled := w.from, new(big.Int).Set(weight)
	for k := range w.weights { // each way has as many factors of each kind
		to.kinds[k] += w.drawn[k]
		if w.wholes[k].Cmp(big.NewInt(1)) > 0 {
			scaled.Mul(scaled, new(big.Int).Exp(w.wholes[k], big.NewInt(pieces-w.drawn[k]), nil))
		}
	}
	if scaled.Sign() == 0 {
		return nil
	}
	to.amount += w.brings()
	if sum := w.to[to]; sum != nil {
		sum.Add(sum, scaled)
	} else if w.to[to] = scaled; len(w.to) > mostPoints {
		return ErrTooManyWays
	}
	return nil
}

// in is what a kind weighs after so many were drawn of it.
func (u *urn) in(kind int, drawn int64) *big.Int {
	more := new(big.Int).Mul(u.unit, big.NewInt(drawn))
	return more.Add(more, u.weights[kind])
}

// brings is what the pieces bring: those of earlier outcomes are kept first.
func (w *drawer) brings() int64 {
	keep, sum := w.Keep, int64(0)
	for i, count := range w.counts {
		o := &w.Outcomes[i]
		if worth := w.Group.kept(i); worth.Currency() != 0 {
			kept := min(keep, count)
			keep, count = keep-kept, count-kept
			sum += kept * worth.Minor()
		}
		if count > 0 && len(w.Then) > i && len(w.Then[i]) > 0 {
			then := w.Then[i]
			sum, count = sum+o.Value.Minor(), count-1
			for _, a := range then[:min(int64(len(then))-1, count)] {
				sum, count = sum+a.Minor(), count-1
			}
			sum += count * then[len(then)-1].Minor()
			continue
		}
		sum += count * o.Value.Minor()
	}
	return sum
}

// together makes a piece of what all draws bring.
func together(points map[point]*big.Int, currency money.Currency) Group {
	sums := map[int64]*big.Int{}
	for p, weight := range points {
		if sums[p.amount] == nil {
			sums[p.amount] = new(big.Int)
		}
		sums[p.amount].Add(sums[p.amount], weight)
	}
	amounts, weights, all, common := slices.Sorted(maps.Keys(sums)), []*big.Int(nil), new(big.Int), new(big.Int)
	for _, a := range amounts {
		weights = append(weights, sums[a])
		all.Add(all, sums[a])
		common.GCD(nil, nil, common, sums[a])
	}
	shares := make([]int64, len(amounts))
	if all.Sign() > 0 {
		all.Quo(all, common)
	}
	g := Group{Count: 1, whole: all.Uint64()}
	if all.BitLen() > wholeParts {
		g.whole = 1 << wholeParts
	}
	if err := money.ApportionBig(shares, int64(g.whole), weights); err != nil {
		return g // there are none
	}
	for i, a := range amounts {
		g.Outcomes, g.parts = append(g.Outcomes, landed.Outcome{Value: money.New(a, currency)}), append(g.parts, uint64(shares[i]))
	}
	return g
}

// wholeParts is of how many bits the whole is at most, of which chances are parts.
const wholeParts = 62
