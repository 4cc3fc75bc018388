package money

import "math/bits"

// mostBits is by how many bits remainders are counted at a time.
const mostBits = 10

// scratch counts remainders by some of their bits, and then has room for those that are compared.
type scratch [1 << mostBits]uint64

// room is for so many remainders, their places, and how many come before each.
const room = len(scratch{}) / 4

// span is a range of remainders: those from least on whose upper bits are the same.
type span struct {
	least uint64
	shift int // how many of the lower bits may differ
}

func (s span) holds(rest uint64) bool { return (rest^s.least)>>(s.shift&63) == 0 }

// count shares over many weights: what is left over is counted by its upper bits while it is made.
// The span in which the last unit falls is then narrowed, a pass a step, until few are in it, or
// only equal ones. Where a step hardly narrows it, the next leaves out the bits that all in it
// share.
func (p portioner) count(dst, weights []int64) {
	var counts scratch
	width := min(mostBits, bits.Len(uint(len(weights)))+1)
	in := span{shift: max(0, bits.Len64(p.sum)-width)}
	left := p.floors(dst, weights, &counts, in.shift)
	for held := uint64(len(weights)); left > 0; {
		bucket := uint64(1)<<width - 1
		for left > counts[bucket] {
			left -= counts[bucket]
			bucket--
		}
		in.least |= bucket << in.shift
		n := counts[bucket]
		if n <= uint64(room) && n*n <= uint64(few*few+4*len(weights)) { // comparing them costs less than a pass
			p.handOut(dst, weights, in, left, &counts)
			return
		}
		if n > held/4 {
			in = p.spread(dst, weights, in)
		}
		if in.shift == 0 {
			p.handOutTies(dst, weights, in.least, left)
			return
		}
		clear(counts[:1<<width])
		in.shift = p.recount(dst, weights, in, &counts, max(0, in.shift-width))
		held = n
	}
}

// floors writes the whole part of each quota to dst, counts what is left over by its bits from
// shift on, and returns how many units are left to hand out.
func (p portioner) floors(dst, weights []int64, counts *scratch, shift int) (left uint64) {
	left = p.total
	dst = dst[:len(weights)]
	for i, w := range weights {
		q, rest := p.floor(w)
		dst[i] = int64(q)
		left -= q
		counts[rest>>(shift&63)%uint64(len(counts))]++
	}
	return left
}

// spread is the least span that holds all that are in one.
func (p portioner) spread(dst, weights []int64, in span) span {
	either, both := uint64(0), ^uint64(0)
	dst = dst[:len(weights)]
	for i, w := range weights {
		if rest := p.rest(dst[i], w); in.holds(rest) {
			either |= rest
			both &= rest
		}
	}
	shift := bits.Len64(either ^ both)
	return span{both >> shift << shift, shift}
}

// recount counts what is in a span by its bits from shift on, and returns shift.
func (p portioner) recount(dst, weights []int64, in span, counts *scratch, shift int) int {
	dst = dst[:len(weights)]
	for i, w := range weights {
		if rest := p.rest(dst[i], w); in.holds(rest) {
			counts[(rest-in.least)>>(shift&63)%uint64(len(counts))]++
		}
	}
	return shift
}

// handOut gives one unit to all above a span, and to the left largest of the few in it.
func (p portioner) handOut(dst, weights []int64, in span, left uint64, has *scratch) {
	rests, places, before := has[:room], has[room:2*room], has[2*room:3*room]
	n := 0
	dst = dst[:len(weights)]
	for i, w := range weights {
		rest := p.rest(dst[i], w)
		if in.holds(rest) {
			rests[n], places[n] = rest, uint64(i)
			n++
			continue
		}
		dst[i] += int64(less(in.least, rest))
	}
	clear(before)
	precede(before, rests[:n])
	for k, place := range places[:n] {
		dst[place] += int64(less(before[k], left))
	}
}

// handOutTies gives one unit to all above least, and to the first left of those that equal it.
func (p portioner) handOutTies(dst, weights []int64, least, left uint64) {
	dst = dst[:len(weights)]
	for i, w := range weights {
		rest := p.rest(dst[i], w)
		dst[i] += int64(less(least, rest))
		if rest == least && left > 0 {
			dst[i]++
			left--
		}
	}
}
