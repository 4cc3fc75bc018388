package odds

import (
	"math/big"
	"math/bits"
	"slices"
)

// Chances in whole numbers of 2^-63. A product is cut off downwards, so each
// chance is at most the true one, and what a row lacks of the whole is the sum
// of all that was cut off: it bounds the error of every chance in the row.
const (
	wholeBits = 63
	// trimWhole is what may be trimmed from the ends of rows in one world: a total
	// chance of about 2^-34, or 6 x 10^-11.
	trimWhole = 1 << (wholeBits - 34)
)

// row is a distribution on a grid: p[i] is the chance of lo + i steps.
type row struct {
	lo int64
	p  []uint64
}

// choices is what a piece, or several, add to a row: at[j] steps with a chance of
// p[j] x 2^-64. at is rising.
type choices struct {
	at []int64
	p  []uint64
}

func (c choices) width() int64 { return c.at[len(c.at)-1] - c.at[0] }

// adder convolves rows in two buffers that it uses in turn.
type adder struct {
	buffers [2][]uint64
	trim    uint64 // the most to take off a row's ends each time
	longest int    // that a row may get
	over    bool   // a row would have got longer, and nothing was added since
}

// reserve makes room for rows of some width, so that buffers need not grow.
func (a *adder) reserve(width uint64) {
	for i := range a.buffers {
		if uint64(cap(a.buffers[i])) < width {
			a.buffers[i] = make([]uint64, width)
		}
	}
}

// add gives the distribution of r + c. The row it returns is good until the
// second call from now.
func (a *adder) add(r row, c choices) row {
	if a.over = a.over || c.width() > int64(a.longest-len(r.p)); a.over {
		return r
	}
	width := len(r.p) + int(c.width())
	a.buffers[0], a.buffers[1] = a.buffers[1], a.buffers[0]
	if cap(a.buffers[0]) < width {
		a.buffers[0] = make([]uint64, width, width+width/2)
	}
	out := a.buffers[0][:width]
	first := c.p[0]
	for i, p := range r.p {
		out[i], _ = bits.Mul64(p, first)
	}
	clear(out[len(r.p):])
	for j, chance := range c.p[1:] {
		to := out[c.at[j+1]-c.at[0]:]
		to = to[:len(r.p)]
		for i, p := range r.p {
			hi, _ := bits.Mul64(p, chance)
			to[i] += hi
		}
	}
	return row{r.lo + c.at[0], out}.trimmed(a.trim)
}

// trimmed takes chances off both ends, each end no more than half of most, and
// zeros.
func (r row) trimmed(most uint64) row {
	end, left := len(r.p), most/2
	for end > 1 && r.p[end-1] <= left {
		end--
		left -= r.p[end]
	}
	start, left := 0, most/2
	for start < end-1 && r.p[start] <= left {
		left -= r.p[start]
		start++
	}
	return row{r.lo + int64(start), r.p[start:end]}
}

// choices turns a row into what can be added to another. A chance of 1 does not
// fit and is taken as the one before it.
func (r row) choices() choices {
	var c choices
	for i, p := range r.p {
		if p > 0 {
			c.at = append(c.at, r.lo+int64(i))
			c.p = append(c.p, min(p, 1<<wholeBits-1)<<1)
		}
	}
	return c
}

// power is the distribution of so many pieces alike, by repeated squaring.
func (a *adder) power(c choices, count int64) row {
	square := row{c.at[0], make([]uint64, c.width()+1)}
	for j, at := range c.at {
		square.p[at-c.at[0]] = c.p[j] >> 1
	}
	out := row{0, []uint64{1 << wholeBits}}
	for {
		if count&1 == 1 {
			out = a.add(out, square.choices()).copied()
		}
		if count >>= 1; count == 0 {
			return out
		}
		square = a.add(square, square.choices()).copied()
	}
}

func (r row) copied() row { return row{r.lo, slices.Clone(r.p)} }

// slip is how far amounts may have moved on their way to a grid.
type slip struct {
	worst   big.Int // sum of all moves, minor units
	squares big.Int // sum of the squares of all moves
}

// placed is a piece on a grid, all its sums having moved by the mean of what each
// outcome moved.
type placed struct {
	choices choices
	moved   int64    // the range of the moves, minor units
	rest    *big.Int // what is to be added so that the mean is kept, in units of 10^-18
}

// onGrid moves each outcome down to one of the amounts that are start more than
// a multiple of step, where start is chosen such that the moves differ least.
func (p piece) onGrid(step int64) placed {
	start, moved := p.gridStart(step)
	out := placed{moved: moved, rest: new(big.Int)}
	var term, num big.Int
	for i, a := range p.above {
		at := (a - start) / step
		if a < start { // the least is 0 and start is below step: one below
			at = -1
		}
		term.Mul(term.SetInt64(a-at*step), num.SetUint64(p.num[i]))
		out.rest.Add(out.rest, &term)
		chance, _ := bits.Div64(p.num[i], 0, p.den)
		if last := len(out.choices.at) - 1; last >= 0 && out.choices.at[last] == at {
			out.choices.p[last] += chance
			continue
		}
		out.choices.at = append(out.choices.at, at)
		out.choices.p = append(out.choices.p, chance)
	}
	out.rest.Mul(out.rest, num.SetUint64(one/p.den))
	return out
}

// gridStart finds where residues by step lie closest together on the circle:
// behind the widest gap between two of them. moved is how far they spread.
func (p piece) gridStart(step int64) (start, moved int64) {
	residues := make([]int64, len(p.above))
	for i, a := range p.above {
		residues[i] = a % step
	}
	slices.Sort(residues)
	last := residues[len(residues)-1]
	gap := residues[0] + step - last
	start = residues[0]
	for i := 1; i < len(residues); i++ {
		if d := residues[i] - residues[i-1]; d > gap {
			gap, start = d, residues[i]
		}
	}
	return start, step - gap
}

// fixed reckons the world on a grid. It gives up (false) where that takes more
// than maxPoints, or rows of more than twice as many on the way.
func (w world) fixed(a *adder, step int64, maxPoints int, loads []load) (part, bool) {
	out := part{limbs: 1, fixed: true, den: new(big.Int).Lsh(big.NewInt(1), wholeBits)}
	pieces := uint64(1)
	for _, p := range w.pieces {
		pieces += uint64(p.count)
	}
	a.trim, a.longest, a.over = trimWhole/pieces, 2*maxPoints, false
	if len(loads) > 0 {
		a.reserve(min(loads[len(loads)-1].row/uint64(step)+1, uint64(a.longest)))
	}
	r, rest := row{0, []uint64{1 << wholeBits}}, new(big.Int)
	for i, p := range w.pieces {
		on := p.onGrid(step)
		out.slip.add(on.moved, p.count)
		rest.Add(rest, on.rest.Mul(on.rest, big.NewInt(p.count)))
		r = a.addAll(r, on.choices, loads[i], step)
	}
	if a.over {
		return part{}, false
	}
	base := w.base + roundRat(new(big.Rat).SetFrac(rest, big.NewInt(one)))
	points := len(r.p) - zeros(r.p)
	out.amounts, out.num = make([]int64, 0, points), make([]uint64, 0, points)
	for i, p := range r.p {
		if p > 0 {
			out.amounts = append(out.amounts, base+(r.lo+int64(i))*step)
			out.num = append(out.num, p)
		}
	}
	return out, len(out.amounts) <= maxPoints
}

func zeros(list []uint64) int {
	n := 0
	for _, v := range list {
		if v == 0 {
			n++
		}
	}
	return n
}

// addAll adds the pieces of one kind, one by one or as their power, whichever
// is less work.
func (a *adder) addAll(r row, c choices, l load, step int64) row {
	one, squared := l.steps(step)
	switch {
	case len(c.at) == 1: // certain on this grid
		r.lo += c.at[0] * int64(l.count)
	case one <= squared:
		for range l.count {
			r = a.add(r, c)
		}
	default:
		own := &adder{trim: a.trim, longest: a.longest} // r lies in a's buffers
		power := own.power(c, int64(l.count))
		if a.over = a.over || own.over; !a.over {
			r = a.add(r, power.choices())
		}
	}
	return r
}

func (s *slip) add(moved, count int64) {
	m, n := big.NewInt(moved), big.NewInt(count)
	n.Mul(n, m)
	s.worst.Add(&s.worst, n)
	s.squares.Add(&s.squares, n.Mul(n, m))
}
