package odds

import (
	"math/bits"
	"slices"
)

// onGrid reckons what the block brings on a grid, as one piece of many outcomes:
// all pieces sold, and turn by turn what comes out otherwise. What a turn takes
// away is only known downwards, so its error is taken off too.
func (b *block) onGrid(step int64, a *adder) placed {
	start, moved := gridStart(slices.Concat(b.sold, b.kept), step)
	g := &block{law: b.law, sold: onto(b.sold, start, step), kept: onto(b.kept, start, step)}
	g.turn()
	mean, _ := g.moments()
	out := placed{moved: moved, rest: sum(b.mean, product(negative(mean), ratOf(step)))}

	own := &adder{trim: a.trim, longest: a.longest}
	all := own.power(choicesOf(g.sold, b.num), b.count)
	all.lo += b.keep * g.extra(0)
	total, off := signed{}, uint64(0)
	total.add(all, false)
	for _, j := range g.turns {
		t := b.tail(j)
		if off += uint64(b.keep); !t.any { // all of it may have been cut off
			continue
		}
		off += 2 * uint64(b.count) * uint64(len(b.num)+1)
		for _, after := range []bool{true, false} {
			r, ok := g.turned(j, after, a.longest)
			if !ok {
				own.over = true
				break
			}
			total.add(r, !after)
		}
	}
	if a.over = a.over || own.over; !a.over {
		out.choices = total.row(off).choices()
	}
	return out
}

// turned is what the block brings where fewer than keep pieces come out at the
// points up to j: before that turn or after it. Each chance is too small by at
// most 2 count (outcomes + 1) + keep units of 2^-63: one and a half for each
// product summed to it, as factors are cut off too.
func (b *block) turned(j int, after bool, longest int) (row, bool) {
	in, out := choicesOf(b.kept[:j+1], b.num[:j+1]), choicesOf(b.sold[j+1:], b.num[j+1:])
	passed := b.extra(j)
	if after {
		passed = b.extra(j + 1)
	}
	kept, both := &adder{longest: longest}, &adder{longest: longest}
	power, r := row{0, []uint64{1 << wholeBits}}, row{}
	for m, weight := range b.tail(j).weights {
		if m > 0 {
			power = kept.add(power, in)
		}
		if len(r.p) > 0 {
			r = both.add(r, out)
		}
		if weight > 0 {
			r = r.plus(power, weight, (b.keep-int64(m))*passed)
		}
	}
	for range b.count - b.keep + 1 {
		r = both.add(r, out)
	}
	return r, !kept.over && !both.over
}

// plus adds a part, in units of 2^-64, of another row that lies so much higher.
func (r row) plus(other row, part uint64, higher int64) row {
	scaled := row{other.lo + higher, make([]uint64, len(other.p))}
	for i, p := range other.p {
		scaled.p[i], _ = bits.Mul64(p, part)
	}
	if len(r.p) == 0 {
		return scaled
	}
	total := signed(r.copied())
	total.add(scaled, false)
	return row(total)
}

// signed is a row in which chances may fall below zero, as two's complements.
type signed row

// add adds a row, or takes it away.
func (s *signed) add(r row, minus bool) {
	if len(s.p) == 0 {
		s.lo = r.lo
	}
	low, high := min(s.lo, r.lo), max(s.lo+int64(len(s.p)), r.lo+int64(len(r.p)))
	s.p = slices.Concat(make([]uint64, s.lo-low), s.p, make([]uint64, high-s.lo-int64(len(s.p))))
	s.lo = low
	for i, p := range r.p {
		if minus {
			p = -p
		}
		s.p[r.lo-low+int64(i)] += p
	}
}

// row takes so much, 1 or more, off each chance, and leaves none below zero.
func (s *signed) row(off uint64) row {
	for i, p := range s.p {
		s.p[i] = uint64(max(0, int64(p-off)))
	}
	return row(*s)
}
