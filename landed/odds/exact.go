package odds

import (
	"math"
	"math/big"
	"math/bits"
	"slices"
)

// part is the distribution of one world: rising amounts in minor units, and
// for each a number of limbs, least first, that holds its chance as a multiple
// of 1/den.
type part struct {
	amounts []int64
	num     []uint64
	limbs   int
	den     *big.Int
	fixed   bool // den is 2^63, and chances were cut off downwards
	slip    slip
	excess  uint64 // by how much chances may be too great in all, in 1/den
}

// mulAdd adds src x c to dst, which must have room for the result.
func mulAdd(dst, src []uint64, c uint64) {
	var carry uint64
	for i, s := range src {
		hi, lo := bits.Mul64(s, c)
		lo, k := bits.Add64(lo, carry, 0)
		hi += k
		dst[i], k = bits.Add64(dst[i], lo, 0)
		carry = hi + k
	}
	for i := len(src); carry != 0; i++ {
		dst[i], carry = bits.Add64(dst[i], carry, 0)
	}
}

// plan says how a world is reckoned without rounding.
type plan struct {
	limbs int   // of a chance
	step  int64 // between amounts when dense
	dense bool
	steps uint64 // about how many multiplications, more for what costs more
	fits  bool   // in the most points
}

// exactPlan estimates the work, always as more than it is. A dense row has a
// place for every multiple of the lattice, a sparse one only for sums that can
// occur, but each costs several times as much.
func (w world) exactPlan(maxPoints uint64) plan {
	const sparseCost = 8
	p := plan{step: w.lattice(), limbs: w.limbs()}
	limbCost := uint64(p.limbs)
	if p.limbs > 2 { // see addRow
		limbCost += 2
	}
	row, sums := uint64(1), uint64(1)
	var rowSteps, sumSteps uint64
	add := func(numbers uint64) {
		each := times(numbers, limbCost)
		rowSteps = plus(rowSteps, times(each, row))
		sumSteps = plus(sumSteps, times(each, times(sums, sparseCost)))
	}
	widen := func(span, count int64, made uint64) {
		row += uint64(span/p.step) * uint64(count)
		sums = min(times(sums, made), row)
	}
	for _, q := range w.pieces { // one after the other, to rows that are widened by those before
		widen(q.span(), q.count, ways(q.count, len(q.num)))
		add(uint64(q.count) * uint64(len(q.num)))
	}
	for _, b := range w.blocks { // whole, to a row without it
		add(b.numbers())
		rowSteps, sumSteps = plus(rowSteps, b.listing()), plus(sumSteps, b.listing())
		widen(b.span(), b.count, b.ways())
	}
	p.steps, p.fits = sumSteps, sums <= maxPoints
	if row <= maxPoints && rowSteps <= sumSteps {
		p.steps, p.dense = rowSteps, true
	}
	return p
}

// limbs is how many of them hold any chance of the world.
func (w world) limbs() int {
	var denBits uint64
	for _, q := range w.pieces {
		denBits += uint64(q.count) * uint64(bits.Len64(q.den-1))
	}
	for _, b := range w.blocks {
		denBits += b.bits()
	}
	return int(denBits/64) + 1
}

func times(a, b uint64) uint64 {
	if hi, lo := bits.Mul64(a, b); hi == 0 {
		return lo
	}
	return math.MaxUint64
}

func plus(a, b uint64) uint64 {
	if sum, carry := bits.Add64(a, b, 0); carry == 0 {
		return sum
	}
	return math.MaxUint64
}

// exact reckons the world as planned.
func (w world) exact(p plan) part {
	out := part{limbs: p.limbs, den: big.NewInt(1)}
	for _, q := range w.pieces {
		out.den.Mul(out.den, power(q.den, q.count))
	}
	for _, b := range w.blocks {
		out.den.Mul(out.den, power(b.den, b.count))
	}
	if p.dense {
		out.num = w.denseRow(p)
		out.amounts = make([]int64, len(out.num)/p.limbs)
		for i := range out.amounts {
			out.amounts[i] = w.base + int64(i)*p.step
		}
	} else {
		out.amounts, out.num = w.sparseSums(p.limbs)
	}
	out.dropImpossible()
	return out
}

func (w world) denseRow(p plan) []uint64 {
	most := p.limbs * int(w.span()/p.step+1)
	row, spare := make([]uint64, p.limbs, most), make([]uint64, 0, most)
	row[0] = 1
	for _, q := range w.pieces {
		for range q.count {
			row, spare = q.addDense(spare, row, p), row
		}
	}
	for _, b := range w.blocks {
		row, spare = b.addDense(spare, row, p), row
	}
	return row
}

// addDense gives the row with the block added, in the place of spare.
func (b *block) addDense(spare, row []uint64, p plan) []uint64 {
	out := spare[:len(row)+p.limbs*int(b.span()*b.count/p.step)]
	clear(out)
	amounts, chances := b.sums()
	for j, chance := range chances {
		to := out[p.limbs*int(amounts[j]/p.step):]
		for t, c := range limbsOf(chance) {
			for i := 0; i < len(row); i += p.limbs {
				mulAdd(to[i+t:i+p.limbs], used(row[i:i+p.limbs]), c)
			}
		}
	}
	return out
}

// addDense gives the row with the piece added, in the place of spare.
func (q piece) addDense(spare, row []uint64, p plan) []uint64 {
	out := spare[:len(row)+p.limbs*int(q.span()/p.step)]
	clear(out)
	for j, num := range q.num {
		addRow(out[p.limbs*int(q.above[j]/p.step):], row, p.limbs, num)
	}
	return out
}

// addRow adds every number of a row, times c, to that of another, one or two
// limbs being quicker than any number of them.
func addRow(to, row []uint64, limbs int, c uint64) {
	to = to[:len(row)]
	switch limbs {
	case 1:
		for i, n := range row {
			to[i] += n * c
		}
	case 2:
		for i := 0; i+1 < len(row); i += 2 {
			hi, lo := bits.Mul64(row[i], c)
			sum, carry := bits.Add64(to[i], lo, 0)
			to[i], to[i+1] = sum, to[i+1]+hi+row[i+1]*c+carry
		}
	default:
		for i := 0; i < len(row); i += limbs {
			mulAdd(to[i:], used(row[i:i+limbs]), c)
		}
	}
}

// used cuts a number down to the limbs that are not zero at its upper end.
func used(num []uint64) []uint64 {
	for len(num) > 0 && num[len(num)-1] == 0 {
		num = num[:len(num)-1]
	}
	return num
}

func (w world) sparseSums(limbs int) (amounts []int64, num []uint64) {
	amounts, num = []int64{w.base}, make([]uint64, limbs)
	num[0] = 1
	add := func(above []int64, chances [][]uint64) {
		var shifted [][]int64
		for _, a := range above {
			shifted = append(shifted, moved(amounts, a))
		}
		all := union(shifted)
		out := make([]uint64, limbs*len(all))
		for j, from := range shifted {
			scatter(out, all, limbs, num, from, limbs, chances[j])
		}
		amounts, num = all, out
	}
	for _, q := range w.pieces {
		chances := make([][]uint64, len(q.num))
		for j := range chances {
			chances[j] = q.num[j : j+1]
		}
		for range q.count {
			add(q.above, chances)
		}
	}
	for _, b := range w.blocks {
		above, chances := b.sums()
		limbs := make([][]uint64, len(chances))
		for j, c := range chances {
			limbs[j] = limbsOf(c)
		}
		add(above, limbs)
	}
	return amounts, num
}

func moved(amounts []int64, by int64) []int64 {
	out := make([]int64, len(amounts))
	for i, a := range amounts {
		out[i] = a + by
	}
	return out
}

// union lists the amounts of several rising lists, each once, rising.
func union(lists [][]int64) []int64 {
	var all []int64
	for _, list := range lists {
		all = merged(all, list)
	}
	return all
}

// merged is the union of two rising lists, rising.
func merged(a, b []int64) []int64 {
	if len(a) == 0 {
		return slices.Clone(b)
	}
	out := make([]int64, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0] < b[0]:
			out, a = append(out, a[0]), a[1:]
		case a[0] > b[0]:
			out, b = append(out, b[0]), b[1:]
		default:
			out, a, b = append(out, a[0]), a[1:], b[1:]
		}
	}
	return append(append(out, a...), b...)
}

// scatter adds each chance in src, for the amounts in from, times the number
// in times, to the chance in dst for the same amount in to.
func scatter(dst []uint64, to []int64, dstLimbs int, src []uint64, from []int64, srcLimbs int, times []uint64) {
	at := 0
	for i, a := range from {
		for to[at] != a {
			at++
		}
		n := used(src[i*srcLimbs : (i+1)*srcLimbs])
		for j, t := range times {
			mulAdd(dst[at*dstLimbs+j:(at+1)*dstLimbs], n, t)
		}
	}
}

// dropImpossible takes out the amounts that have no chance.
func (p *part) dropImpossible() {
	kept := 0
	for i, a := range p.amounts {
		num := p.num[i*p.limbs : (i+1)*p.limbs]
		if len(used(num)) == 0 {
			continue
		}
		p.amounts[kept] = a
		copy(p.num[kept*p.limbs:], num)
		kept++
	}
	p.amounts, p.num = p.amounts[:kept], p.num[:kept*p.limbs]
}

// limbsOf takes a number apart, least limb first.
func limbsOf(n *big.Int) []uint64 {
	out := make([]uint64, 0, n.BitLen()/64+1)
	rest, low := new(big.Int).Set(n), new(big.Int)
	for mask := new(big.Int).SetUint64(math.MaxUint64); rest.Sign() > 0; rest.Rsh(rest, 64) {
		out = append(out, low.And(rest, mask).Uint64())
	}
	return out
}

// whole puts limbs together again.
func whole(limbs []uint64) *big.Int {
	out, limb := new(big.Int), new(big.Int)
	for i := len(limbs) - 1; i >= 0; i-- {
		out.Or(out.Lsh(out, 64), limb.SetUint64(limbs[i]))
	}
	return out
}
