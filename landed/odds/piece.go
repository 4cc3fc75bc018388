package odds

import (
	"cmp"
	"math/big"
	"slices"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

// piece is an uncertain amount: above[i] minor units over the least it may
// bring, with a chance of num[i]/den. above[0] is 0, above is rising, and num
// and den have no common factor.
type piece struct {
	above []int64
	num   []uint64
	den   uint64
	count int64 // independent pieces of this kind

	// of one piece, over the least it brings, in units of 10^-18 and 10^-36
	mean, variance *big.Int
}

func (p piece) span() int64 { return p.above[len(p.above)-1] }

// world is the haul when it is settled which shared risks happen.
type world struct {
	weight *big.Int // its chance, as a part of what the weights of all worlds sum to
	base   int64    // the least that all pieces together can bring
	pieces []piece  // those that are uncertain, in an order that does not depend on the input's
}

// worlds lists every combination of the shared risks that has a chance.
func worlds(fates []fate, risks []risk) ([]world, error) {
	var list []world
	for which := range 1 << len(risks) {
		weight, left := big.NewInt(1), slices.Clone(fates)
		in := slices.Repeat([]bool{true}, len(fates))
		var instead []fate
		for i, r := range risks {
			if which>>i&1 == 0 {
				weight.Mul(weight, new(big.Int).SetUint64(one-r.chance))
				continue
			}
			weight.Mul(weight, new(big.Int).SetUint64(r.chance))
			instead = append(instead, r.strike(left, in)...)
		}
		if weight.Sign() == 0 {
			continue
		}
		for i, f := range left {
			if in[i] {
				instead = append(instead, f)
			}
		}
		w, err := newWorld(weight, instead)
		if err != nil {
			return nil, err
		}
		list = append(list, w)
	}
	common := new(big.Int)
	for _, w := range list {
		common.GCD(nil, nil, common, w.weight)
	}
	for _, w := range list {
		w.weight.Div(w.weight, common)
	}
	return list, nil
}

// strike lets the risk happen to the fates that are still in, and returns what
// is put in instead.
func (r risk) strike(fates []fate, in []bool) []fate {
	hit := false
	for i := range fates {
		if !in[i] || !r.hits[i] {
			continue
		}
		hit = true
		if len(r.instead) > 0 {
			in[i] = false
			continue
		}
		amounts := slices.Clone(fates[i].amounts)
		for j, a := range amounts {
			amounts[j] = scaled(a, r.factor)
		}
		fates[i].amounts = amounts
	}
	if !hit {
		return nil
	}
	return r.instead
}

// newWorld makes pieces of fates, the narrow ones first since that is less
// work, and checks that no sum of amounts can pass maxTotal.
func newWorld(weight *big.Int, fates []fate) (world, error) {
	w := world{weight: weight}
	var total uint64
	for _, f := range fates {
		for _, a := range []int64{slices.Min(f.amounts), slices.Max(f.amounts)} {
			all, ok := exact.Mul(a, f.count)
			if total += exact.Magnitude(all); !ok || exact.Magnitude(all) > maxTotal || total > maxTotal {
				return w, money.ErrOverflow
			}
		}
		p, least := newPiece(f)
		w.base += least * p.count
		if len(p.above) > 1 {
			w.pieces = append(w.pieces, p)
		}
	}
	slices.SortFunc(w.pieces, piece.compare)
	w.pieces = joined(w.pieces)
	for i := range w.pieces {
		w.pieces[i].mean, w.pieces[i].variance = w.pieces[i].moments()
	}
	return w, nil
}

// newPiece brings a fate to the form of a piece, and tells the least it brings.
func newPiece(f fate) (p piece, least int64) {
	order := make([]int, 0, len(f.amounts))
	for i, chance := range f.chances {
		if chance > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(f.amounts[i], f.amounts[j]) })
	p, least = piece{den: one, count: f.count}, f.amounts[order[0]]
	common := uint64(one)
	for _, i := range order {
		above, last := f.amounts[i]-least, len(p.above)-1
		if last >= 0 && p.above[last] == above {
			p.num[last] += f.chances[i]
			continue
		}
		p.above, p.num = append(p.above, above), append(p.num, f.chances[i])
	}
	for _, n := range p.num {
		common = gcd(common, n)
	}
	for i := range p.num {
		p.num[i] /= common
	}
	p.den /= common
	if f.alike {
		for i := range p.above {
			p.above[i] *= f.count
		}
		p.count, least = 1, least*f.count
	}
	return p, least
}

// compare orders pieces by span and then in any fixed way.
func (p piece) compare(q piece) int {
	return cmp.Or(cmp.Compare(p.span(), q.span()), slices.Compare(p.above, q.above),
		cmp.Compare(p.den, q.den), slices.Compare(p.num, q.num))
}

// joined makes one piece of sorted pieces that are equal.
func joined(pieces []piece) []piece {
	out := pieces[:0]
	for _, p := range pieces {
		if n := len(out); n > 0 && out[n-1].compare(p) == 0 {
			out[n-1].count += p.count
			continue
		}
		out = append(out, p)
	}
	return out
}

// lattice is the greatest step that all amounts over the base are multiples of.
func (w world) lattice() int64 {
	var step uint64
	for _, p := range w.pieces {
		for _, a := range p.above {
			if step = gcd(step, uint64(a)); step == 1 {
				return 1
			}
		}
	}
	return max(1, int64(step))
}

// span is how far the greatest possible sum is from the least.
func (w world) span() int64 {
	var span int64
	for _, p := range w.pieces {
		span += p.span() * p.count
	}
	return span
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// moments gives the mean of the world in minor units, in units of 10^-18, and
// its variance in minor units squared, in units of 10^-36. Both are whole.
func (w world) moments() (mean, variance *big.Int) {
	mean = new(big.Int).Mul(big.NewInt(w.base), big.NewInt(one))
	variance = new(big.Int)
	var count, term big.Int
	for _, p := range w.pieces {
		count.SetInt64(p.count)
		mean.Add(mean, term.Mul(p.mean, &count))
		variance.Add(variance, term.Mul(p.variance, &count))
	}
	return mean, variance
}

// moments reckons the mean and the variance of one of the pieces.
func (p piece) moments() (mean, variance *big.Int) {
	mean, square := new(big.Int), new(big.Int)
	var term, a big.Int
	for i, n := range p.num {
		a.SetInt64(p.above[i])
		mean.Add(mean, term.Mul(term.SetUint64(n), &a))
		square.Add(square, term.Mul(&term, &a))
	}
	// Var = (den x sum n a^2 - (sum n a)^2) / den^2
	scale := new(big.Int).SetUint64(one / p.den)
	variance = square.Mul(square, term.SetUint64(p.den))
	variance.Sub(variance, term.Mul(mean, mean))
	variance.Mul(variance, scale).Mul(variance, scale)
	return mean.Mul(mean, scale), variance
}
