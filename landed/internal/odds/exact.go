package odds

import (
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed/internal/exact"
)

// part is the distribution of one scenario: rising amounts in minor units, and for each a number of
// limbs, least first, that holds its chance as a multiple of 1/den.
type part struct {
	amounts []int64
	num     []uint64
	limbs   int
	den     *big.Int
	fixed   bool // den is 2^63, and chances were cut off downwards
	drift   drift
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

// plan says how a scenario is worked out without rounding.
type plan struct {
	limbs int    // of a chance
	step  int64  // between amounts when dense
	row   uint64 // places of a dense row
	dense bool
	steps uint64 // about how many multiplications, more for what costs more
	fits  bool   // in the most points
}

// exactPlan estimates the work, always as more than it is. A dense row has a place for every
// multiple of the lattice, a sparse one only for sums that can occur, but each costs several times
// as much.
func (s *scenario) exactPlan(maxPoints uint64) plan {
	const sparseCost = 8
	all := s.size()
	p := plan{step: all.lattice, limbs: int(all.bits/64) + 1, row: 1}
	limbCost := uint64(p.limbs)
	if p.limbs > 2 { // see addRow
		limbCost += 2
	}
	sums := uint64(1)
	var rowSteps, sumSteps uint64
	for _, k := range s.kinds {
		numbers := uint64(k.count) * uint64(len(k.num))
		add := func() {
			each := times(numbers, limbCost)
			rowSteps, sumSteps = plus(rowSteps, times(each, p.row)), plus(sumSteps, times(each, times(sums, sparseCost)))
		}
		if len(k.turns) > 0 { // whole, to a row without them
			numbers = k.numbers()
			add()
			rowSteps, sumSteps = plus(rowSteps, k.listing()), plus(sumSteps, k.listing())
		}
		p.row += uint64(k.span() / p.step)
		sums = min(times(sums, k.ways()), p.row)
		if len(k.turns) == 0 { // one after the other, to rows that are widened by those before
			add()
		}
	}
	p.steps, p.fits = sumSteps, sums <= maxPoints
	if p.row <= maxPoints && rowSteps <= sumSteps {
		p.steps, p.dense = rowSteps, true
	}
	return p
}

func (s *scenario) exact(p plan) part {
	out := part{limbs: p.limbs, den: big.NewInt(1)}
	for _, k := range s.kinds {
		out.den.Mul(out.den, power(k.den, k.count))
	}
	if p.dense {
		out.num = s.denseRow(p)
		out.place(s.base, p.step)
	} else {
		out.amounts, out.num = s.sparseSums(p.limbs)
	}
	return out
}

// each tells what is added up, one after the other: amounts, rising, and limbs of their chances.
func (s *scenario) each(add func(amounts []int64, chances [][]uint64)) {
	for _, k := range s.kinds {
		var chances [][]uint64
		if len(k.turns) > 0 {
			sums, whole := k.sums()
			for _, chance := range whole {
				chances = append(chances, exact.Limbs(chance))
			}
			add(sums, chances)
			continue
		}
		for j := range k.num {
			chances = append(chances, k.num[j:j+1])
		}
		for range k.count {
			add(k.sold, chances)
		}
	}
}

func (s *scenario) denseRow(p plan) []uint64 {
	row, spare := make([]uint64, p.limbs, p.limbs*int(p.row)), make([]uint64, 0, p.limbs*int(p.row))
	row[0] = 1
	s.each(func(amounts []int64, chances [][]uint64) {
		out := spare[:len(row)+p.limbs*int(amounts[len(amounts)-1]/p.step)]
		clear(out)
		for j, chance := range chances {
			to := out[p.limbs*int(amounts[j]/p.step):]
			if len(chance) == 1 {
				addRow(to, row, p.limbs, chance[0])
				continue
			}
			for i := 0; i < len(row); i += p.limbs {
				mulAddAll(to[i:], row[i:i+p.limbs], chance)
			}
		}
		row, spare = out, row
	})
	return row
}

// mulAddAll adds src x factor to dst, a number of limbs each.
func mulAddAll(dst, src, factor []uint64) {
	src = used(src)
	for t, c := range factor {
		mulAdd(dst[t:], src, c)
	}
}

// addRow adds every number of a row, times c, to that of another, one or two limbs being quicker
// than any number of them.
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

func (s *scenario) sparseSums(limbs int) (amounts []int64, num []uint64) {
	amounts, num = []int64{s.base}, make([]uint64, limbs)
	num[0] = 1
	s.each(func(above []int64, chances [][]uint64) {
		var shifted [][]int64
		for _, a := range above {
			shifted = append(shifted, moved(amounts, a))
		}
		all := union(shifted)
		out := part{amounts: all, num: make([]uint64, limbs*len(all)), limbs: limbs}
		for j, from := range shifted {
			out.scatter(&part{amounts: from, num: num, limbs: limbs}, chances[j])
		}
		amounts, num = all, out.num
	})
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

// scatter adds each chance of another, times a number, to the chance of the same amount, of which
// there is one.
func (p *part) scatter(other *part, times []uint64) {
	at := 0
	for i, a := range other.amounts {
		for p.amounts[at] != a {
			at++
		}
		mulAddAll(p.num[at*p.limbs:], other.num[i*other.limbs:(i+1)*other.limbs], times)
	}
}

// place gives the chances their amounts, a step apart from a base on, and takes out those of 0.
func (p *part) place(base, step int64) {
	p.amounts = make([]int64, 0, len(p.num)/p.limbs)
	kept := 0
	for i := 0; i < len(p.num); i += p.limbs {
		num := p.num[i : i+p.limbs]
		if num[0] == 0 && len(used(num)) == 0 {
			continue
		}
		p.amounts = append(p.amounts, base+int64(i/p.limbs)*step)
		if kept < i {
			copy(p.num[kept:], num)
		}
		kept += p.limbs
	}
	p.num = p.num[:kept]
}
