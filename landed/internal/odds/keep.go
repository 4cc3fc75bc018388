package odds

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
)

// Pieces of one kind of which some are kept depend on each other: which are kept depends on how all
// of them come out.
//
// Call points the outcomes of which pieces may be kept, in their order, and let C_j be how many
// pieces come out at one of the first j. Of those min(C_j, k) are kept, so with d_j what a kept
// piece of point j counts for beyond a sold one, and d after the last point 0, all pieces bring
//
//	(what they bring sold) + sum over j of (d_j - d_j+1) x min(C_j, k)
//
// Put otherwise: all are sold, and k x d_1 comes on top; wherever m pieces, fewer than k, come out
// at the first j points, k - m keeps pass on to the next, and bring d_j+1 in place of d_j. A point
// where these are the same, or which leaves no other, is no turn. Everything below goes turn by
// turn.

// tails is what chances alone say of pieces with turns; those of several scenarios share it.
type tails struct {
	whole *big.Int      // den^count
	fewer map[int]*tail // by turn, once asked for
}

// tail is about there being m pieces, fewer than keep, at the first points.
type tail struct {
	short, square *big.Int // means of keep - m and its square, counted as 0 where m is not fewer, over den^count
	weights       []uint64 // by m, its chance in units of 2^-64, cut off
	most          uint64   // what they come to at most, in units of 2^-63
}

// mostBits bounds the numbers that the chances of pieces with turns are made of, mostAllBits those
// of all kinds of a scenario together, and of all scenarios 16 times as much: the mean and the
// variance are exact, and such numbers are multiplied for them.
const mostBits, mostAllBits = 1 << 18, 1 << 22

// roomFor is what each of many scenarios may have of mostAllBits.
func roomFor(scenarios int) int64 { return mostAllBits * 16 / int64(max(16, scenarios)) }

func sharedBy(k *kind, shared map[string]*tails) *tails {
	key := fmt.Sprint(k.count, k.keep, k.num)
	if shared[key] == nil {
		shared[key] = &tails{power(k.den, k.count), map[int]*tail{}}
	}
	return shared[key]
}

func (k *kind) findTurns() {
	for j := range k.kept {
		if k.extra(j) != k.extra(j+1) && k.upTo(j) < k.den {
			k.turns = append(k.turns, j)
		}
	}
}

// extra is what a kept piece of a point counts for beyond a sold one; 0 after the last point.
func (k *kind) extra(j int) int64 {
	if j == len(k.kept) {
		return 0
	}
	return k.kept[j] - k.sold[j]
}

// upTo is the chance of all points up to one, over den.
func (k *kind) upTo(j int) uint64 {
	var sum uint64
	for _, n := range k.num[:j+1] {
		sum += n
	}
	return sum
}

// numbers bounds how many limbs it takes to list what the pieces can bring.
func (k *kind) numbers() uint64 { return times(k.ways(), k.bits()/64+1) }

// listing estimates the work of that, in multiplications.
func (k *kind) listing() uint64 { return times(k.numbers(), 32) }

// tail sums up the binomial law of how many pieces come out at the points up to one, which do not
// hold all chances.
func (k *kind) tail(j int) *tail {
	if t := k.fewer[j]; t != nil {
		return t
	}
	in := k.upTo(j)
	t := &tail{weights: make([]uint64, k.keep)}
	t.short, t.square = new(big.Int), new(big.Int)
	factor, term := new(big.Int), new(big.Int)
	chance := power(k.den-in, k.count)
	for m := range k.keep {
		if m > 0 {
			chance.Mul(chance, factor.SetUint64(in)).Mul(chance, factor.SetInt64(k.count-m+1))
			chance.Quo(chance, factor.SetUint64(k.den-in)).Quo(chance, factor.SetInt64(m))
		}
		t.short.Add(t.short, term.Mul(chance, factor.SetInt64(k.keep-m)))
		t.square.Add(t.square, term.Mul(term, factor))
		t.weights[m] = term.Quo(term.Lsh(chance, 64), k.whole).Uint64()
		t.most += t.weights[m]>>1 + 1
	}
	k.fewer[j] = t
	return t
}

// least is what the weights come to at least, in units of 2^-63.
func (t *tail) least() uint64 { return t.most - uint64(len(t.weights)) }

// dependentMoments works out the mean and the variance of what all pieces bring over the base. For
// a turn, with d and e what a keep brings before and after it, a and b what a piece brings on
// average that is kept at the points up to it, or sold at another outcome, and r = k - m: the sum S
// of all pieces turns into S + r (e - d), where S is k d on average, less r d, and m a + (n - m) b
// on top.
func (k *kind) dependentMoments() (mean, variance ratio) {
	n, keep, all := ratOf(k.count), ratOf(k.keep), new(big.Rat).SetInt(k.whole)
	each := average(k.num, k.sold, 1)
	start := sum(product(n, each), product(keep, ratOf(k.extra(0))))
	spread := product(n, sum(average(k.num, k.sold, 2), product(ratOf(-1), each, each)))
	ofMean, ofSquare := product(start, all), product(sum(product(start, start), spread), all)
	for _, j := range k.turns {
		t, d, e := k.tail(j), ratOf(k.extra(j)), ratOf(k.extra(j+1))
		short, square := new(big.Rat).SetInt(t.short), new(big.Rat).SetInt(t.square)
		in, out := average(k.num[:j+1], k.kept[:j+1], 1), average(k.num[j+1:], k.sold[j+1:], 1)
		turn := ratOf(k.extra(j+1) - k.extra(j))
		// (e - d) x E[r (2 (m a + (n - m) b) + r (d + e))], and m = k - r
		most := sum(product(keep, in), product(ratOf(k.count-k.keep), out))
		less := sum(d, e, product(ratOf(2), out), product(ratOf(-2), in))
		ofMean = sum(ofMean, product(turn, short))
		ofSquare = sum(ofSquare, product(turn, ratOf(2), most, short), product(turn, less, square))
	}
	over := func(r *big.Rat) ratio { return ratio{r.Num(), new(big.Int).Mul(r.Denom(), k.whole)} }
	mean = over(ofMean)
	return mean, over(ofSquare).minus(mean.times(mean))
}

// average is the mean of some amounts, each to a power, by their chances.
func average(num []uint64, amounts []int64, to int) *big.Rat {
	total, all, term, a := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	for i, n := range num {
		all.Add(all, term.SetUint64(n))
		for range to {
			term.Mul(term, a.SetInt64(amounts[i]))
		}
		total.Add(total, term)
	}
	return frac(total, all)
}

// extremes are the least and the most that pieces with turns can bring over the base. Where keep
// pieces are kept and the last of them at some point, the others are at that point or a later
// outcome.
func (k *kind) extremes() (least, most int64) {
	n, keep, points := k.count, k.keep, len(k.kept)
	of := func(best func([]int64) int64) int64 {
		var list []int64
		for j := range points {
			list = append(list, (keep-1)*best(k.kept[:j+1])+k.kept[j]+(n-keep)*best(k.sold[j:]))
		}
		if others := k.sold[points:]; len(others) > 0 {
			list = append(list, n*best(others), (keep-1)*best(k.kept)+(n-keep+1)*best(others))
		}
		return best(list)
	}
	return of(slices.Min[[]int64]), of(slices.Max[[]int64])
}

// sums lists all that pieces with turns can bring over the base, rising, each with its chance over
// den^count, by how many pieces come out at each outcome.
func (k *kind) sums() (amounts []int64, chances []*big.Int) {
	type state struct{ left, amount int64 } // pieces that are not at the outcomes so far, and what the others bring
	brings := func(s state, i int, n int64) int64 {
		if i < len(k.kept) {
			return s.amount + n*k.sold[i] + k.extra(i)*min(n, max(k.keep-(k.count-s.left), 0))
		}
		return s.amount + n*k.sold[i]
	}
	at, last := map[state]*big.Int{{left: k.count}: big.NewInt(1)}, len(k.sold)-1
	factor := new(big.Int)
	for i := range last {
		next := map[state]*big.Int{}
		for s, chance := range at {
			for n := range s.left + 1 {
				to := state{s.left - n, brings(s, i, n)}
				if next[to] == nil {
					next[to] = new(big.Int)
				}
				next[to].Add(next[to], chance)
				chance.Mul(chance, factor.SetUint64(k.num[i])).Mul(chance, factor.SetInt64(s.left-n))
				chance.Quo(chance, factor.SetInt64(n+1))
			}
		}
		at = next
	}
	all, powers := map[int64]*big.Int{}, []*big.Int{big.NewInt(1)}
	for i := range k.count {
		powers = append(powers, new(big.Int).Mul(powers[i], factor.SetUint64(k.num[last])))
	}
	for s, chance := range at {
		amount := brings(s, last, s.left)
		if all[amount] == nil {
			all[amount] = new(big.Int)
		}
		all[amount].Add(all[amount], chance.Mul(chance, powers[s.left]))
	}
	for _, a := range slices.Sorted(maps.Keys(all)) {
		amounts, chances = append(amounts, a), append(chances, all[a])
	}
	return amounts, chances
}
