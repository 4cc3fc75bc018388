package odds

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"lotcost/landed/internal/exact"
)

// Chances in whole numbers of 2^-63. A product is cut off downwards, so each chance is at most the
// true one, and what a row lacks of the whole is the sum of all that was cut off: it bounds the
// error of every chance in the row.
const (
	wholeBits = 63
	// trimWhole is what may be trimmed from the ends of rows in one scenario: a total chance of about
	// 2^-34, or 6 x 10^-11.
	trimWhole = 1 << (wholeBits - 34)
)

// row is a distribution on a grid: p[i] is the chance of lo + i steps.
type row struct {
	lo int64
	p  []uint64
}

// choices is what a piece, or several, add to a row: at[j] steps with a chance of p[j] x 2^-64. at
// is rising.
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

// add gives the distribution of r + c. The row it returns is good until the second call from now.
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
	second, gap := uint64(0), 0
	if len(c.p) > 1 {
		second, gap = c.p[1], int(c.at[1]-c.at[0])
	}
	clear(out[addTwo(out, r.p, c.p[0], second, gap):])
	for j := 2; j < len(c.p); j++ {
		chance, to := c.p[j], out[c.at[j]-c.at[0]:]
		to = to[:len(r.p)]
		for i, p := range r.p {
			to[i] += exact.High(p, chance)
		}
	}
	return row{r.lo + c.at[0], out}.trimmed(a.trim)
}

// addTwo writes what two choices make of a row, the second so many places further on, in one go:
// most pieces have no more. It returns how long that is.
func addTwo(out, row []uint64, first, second uint64, gap int) int {
	n := len(row)
	lone := min(gap, n)
	timesAll(out[:lone], row[:lone], first)
	clear(out[lone:gap])
	both := row[lone:]
	to, behind := out[gap:][:len(both)], row[:len(both)]
	for i, p := range both {
		to[i] = exact.High(p, first) + exact.High(behind[i], second)
	}
	timesAll(out[gap+len(both):], row[len(both):], second)
	return gap + n
}

func timesAll(to, row []uint64, chance uint64) {
	to = to[:len(row)]
	for i, p := range row {
		to[i] = exact.High(p, chance)
	}
}

// trimmed takes chances off both ends, each end no more than half of most, and zeros.
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

// choices turns a row into what can be added to another. A chance of 1 does not fit and is taken as
// the one before it.
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

// drift is how far amounts may have moved on their way to a grid.
type drift struct {
	worst   big.Int // sum of all moves, minor units
	squares big.Int // sum of the squares of what each piece can change the moves by
}

// placed is pieces on a grid, all their sums having moved by the mean of what each outcome moved.
type placed struct {
	choices choices
	count   int64 // of what it stands for
	moved   int64 // the range of the moves of one, minor units
	change  int64 // by how much the moves of all can differ when one comes out otherwise
	rest    ratio // what is to be added to all so that the mean is kept, minor units
	excess  uint64
}

// gridAmounts are those that are brought to a grid.
func (k *kind) gridAmounts() []int64 {
	switch {
	case k.listed != nil:
		return k.listed.amounts
	case len(k.kept) > 0:
		return slices.Concat(k.sold, k.kept)
	}
	return k.sold
}

// placed says how far pieces move on their way to a grid, and where it starts. What is listed moves
// whole; else, with turns, when a piece comes out otherwise another may be kept, and move, in its
// place.
func (k *kind) placed(step int64) (p placed, start int64) {
	start, moved := gridStart(k.gridAmounts(), step)
	p = placed{count: k.count, moved: moved, change: moved}
	switch {
	case k.listed != nil:
		p.count = 1
	case len(k.turns) > 0:
		p.change = 2 * moved
	}
	return p, start
}

// onGrid moves each outcome down to one of the amounts that are start more than a multiple of step,
// where start is chosen such that the moves differ least.
func (k *kind) onGrid(step int64, a *adder, l load) placed {
	out, start := k.placed(step)
	if len(k.turns) > 0 {
		k.dependentOnGrid(start, step, a, l, &out)
		return out
	}
	at := onto(k.sold, start, step)
	out.choices = choicesOf(at, k.num)
	rest, term, num := new(big.Int), new(big.Int), new(big.Int)
	for i, a := range k.sold {
		rest.Add(rest, term.Mul(term.SetInt64(a-at[i]*step), num.SetUint64(k.num[i])))
	}
	rest.Mul(rest, term.SetInt64(k.count))
	if out.rest = (ratio{rest, new(big.Int).SetUint64(k.den)}); one%k.den == 0 { // of one unit with the others
		out.rest = ratio{rest.Mul(rest, num.SetUint64(one/k.den)), big.NewInt(one)}
	}
	return out
}

// onto tells on which place of the grid each amount comes to lie.
func onto(amounts []int64, start, step int64) []int64 {
	list := make([]int64, len(amounts))
	for i, a := range amounts {
		if list[i] = -1; a >= start { // the least is 0 and start is below step: one below
			list[i] = (a - start) / step
		}
	}
	return list
}

// choicesOf makes choices of places, in any order, whose chances are num over their sum, cut off.
func choicesOf(at []int64, num []uint64) choices {
	chances, den := make([]uint64, len(num)), uint64(0)
	for _, n := range num {
		den += n
	}
	for i, n := range num {
		if chances[i] = math.MaxUint64; n < den {
			chances[i] = exact.Fraction64(n, den)
		}
	}
	return gathered(at, chances)
}

// gathered makes choices of places in any order, which may be there more than once.
func gathered(at []int64, chances []uint64) choices {
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(at[i], at[j]) })
	var c choices
	for _, i := range order {
		chance := chances[i]
		if last := len(c.at) - 1; last >= 0 && c.at[last] == at[i] {
			if c.p[last] += chance; c.p[last] < chance { // it is all
				c.p[last] = math.MaxUint64
			}
			continue
		}
		c.at, c.p = append(c.at, at[i]), append(c.p, chance)
	}
	return c
}

// gridStart finds where residues by step lie closest together on the circle: behind the widest gap
// between two of them. moved is how far they spread.
func gridStart(amounts []int64, step int64) (start, moved int64) {
	residues := make([]int64, len(amounts))
	for i, a := range amounts {
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

// fixed works out the scenario on a grid. It gives up (false) where that takes more than maxPoints,
// or rows of more than twice as many on the way.
func (s *scenario) fixed(a *adder, step int64, maxPoints int, loads []load) (part, bool) {
	out := part{limbs: 1, fixed: true, den: new(big.Int).Lsh(big.NewInt(1), wholeBits), excess: s.excess}
	a.trim, a.longest, a.over = trimWhole/(1+s.size().pieces), 2*maxPoints, false
	if len(loads) > 0 {
		a.reserve(min(loads[len(loads)-1].row/uint64(step)+1, uint64(a.longest)))
	}
	r, rest := row{0, []uint64{1 << wholeBits}}, wholeRatio(0)
	for i, k := range s.kinds {
		on := k.onGrid(step, a, loads[i])
		out.drift.add(on)
		out.excess += on.excess
		rest = rest.plus(on.rest)
		if len(k.turns) > 0 {
			r = a.add(r, on.choices)
		} else {
			r = a.addAll(r, on.choices, k.count, loads[i], step)
		}
	}
	if a.over {
		return part{}, false
	}
	out.num = slices.Clone(r.p)
	out.place(s.base+rest.rounded()+r.lo*step, step)
	return out, len(out.amounts) <= maxPoints
}

// addAll adds the pieces of one kind, one by one or as their power, whichever is less work.
func (a *adder) addAll(r row, c choices, count int64, l load, step int64) row {
	one, squared := l.steps(step)
	switch {
	case len(c.at) == 1: // certain on this grid
		r.lo += c.at[0] * count
	case one <= squared:
		for range count {
			r = a.add(r, c)
		}
	default:
		own := &adder{trim: a.trim, longest: a.longest} // r lies in a's buffers
		power := own.power(c, count)
		if a.over = a.over || own.over; !a.over {
			r = a.add(r, power.choices())
		}
	}
	return r
}

func (d *drift) add(p placed) {
	c, n, term := big.NewInt(p.change), big.NewInt(p.count), big.NewInt(p.moved)
	d.worst.Add(&d.worst, term.Mul(term, n))
	d.squares.Add(&d.squares, term.Mul(n, c).Mul(term, c))
}
