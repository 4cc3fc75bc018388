package partition

import "math/bits"

// halves is a sum over the blocks of each set, kept for those of its lower classes and for those of
// its upper ones: a set's number is hi*split + lo.
type halves struct {
	split  uint32
	by     uint64 // 2^40 by split and a part more: to multiply is faster than to divide
	lo, hi []int64
}

// of returns the sum over a set, of less than 2^20.
func (h *halves) of(number uint32) int64 {
	hi := uint32(uint64(number) * h.by >> 40)
	return h.hi[hi] + h.lo[number-hi*h.split]
}

// halved sums what each block of each class has.
func (e *space) halved(has func(class, block int) int64) halves {
	split := e.stride[len(e.stride)/2]
	h := halves{uint32(split), 1<<40/uint64(split) + 1, make([]int64, split), make([]int64, e.size()/split)}
	e.halve(&h, has)
	return h
}

// halve sums anew.
func (e *space) halve(h *halves, has func(class, block int) int64) {
	for c, class := range e.members {
		part, stride := h.lo, e.stride[c]
		if stride >= len(h.lo) {
			part, stride = h.hi, stride/len(h.lo)
		}
		for to := stride; class != 0; class &= class - 1 {
			more := has(c, class.first())
			for i := to; i < to+stride; i++ {
				part[i] = part[i-stride] + more
			}
			to += stride
		}
	}
}

// numbers is a set of numbers of sets.
type numbers []uint64

func newNumbers(below int) numbers { return make(numbers, (below+63)/64) }

// add reports whether the number is new.
func (n numbers) add(number int) bool {
	word, bit := &n[number>>6], uint64(1)<<(number&63)
	was := *word
	*word |= bit
	return was&bit == 0
}

// below returns the greatest that is below a number; 0 where there is none.
func (n numbers) below(number int) int {
	word := n[number>>6] & (1<<(number&63) - 1)
	for at := number >> 6; ; word = n[at] {
		if word != 0 {
			return at<<6 + bits.Len64(word) - 1
		}
		if at--; at < 0 {
			return 0
		}
	}
}

// all visits them from the least on.
func (n numbers) all(visit func(number int)) {
	for at, word := range n {
		for ; word != 0; word &= word - 1 {
			visit(at<<6 + bits.TrailingZeros64(word))
		}
	}
}

// floors tells what sets cost at least, from sums over their blocks.
type floors struct {
	s                     *solver
	groups                halves
	weight, each, measure halves
	bearing               halves
	levied, owing         []summed // by bracket
	figures               []halves
}

// summed is a levy by set; nil where there is none.
type summed struct {
	*levy
	each, bears halves
}

func (e *space) newFloors() floors {
	list := func(of []int64) halves { return e.halved(func(_, b int) int64 { return of[b] }) }
	f := floors{s: e.s, groups: e.groups, weight: list(e.s.weight), each: list(e.s.each), measure: list(e.s.levies.measure), bearing: list(e.s.levies.bearing)}
	of := func(l *levy) (out summed) {
		if l != nil {
			out = summed{l, list(l.each), list(l.bears)}
		}
		return out
	}
	for i := range e.s.levies.list {
		b := &e.s.levies.list[i]
		f.levied, f.owing = append(f.levied, of(&b.levy)), append(f.owing, of(b.owing))
	}
	for _, of := range e.s.figures {
		f.figures = append(f.figures, list(of))
	}
	return f
}

// sum adds up the figures of a set.
func (f *floors) sum(number uint32) {
	f.s.sums = f.s.sums[:0]
	for i := range f.figures {
		f.s.sums = append(f.s.sums, f.figures[i].of(number))
	}
}

// of returns what a set costs at least, and before that what it does if nothing is levied, which
// never falls as a set grows. Modes are asked only about a set that may cost less than most.
func (f *floors) of(number uint32, most int64) (bare, least int64) {
	each, carriage := rounded(f.each.of(number)+f.s.fixed(group(f.groups.of(number)))), f.s.carriage(f.weight.of(number))
	bare, least = f.levy(number, carriage, each, 0)
	if len(f.figures) > 0 && least < most {
		f.sum(number)
		if more := f.s.more(f.weight.of(number), carriage); more > 0 {
			return f.levy(number, carriage, each, more)
		}
	}
	return bare, least
}

// levy returns both for a set of known carriage and other cost, and more for sending.
func (f *floors) levy(number uint32, carriage, each, more int64) (bare, least int64) {
	bare = f.s.floorOf(carriage, each+more, 0)
	if len(f.levied) == 0 || bare >= never {
		return bare, bare
	}
	return bare, f.s.levied(f.measure.of(number), carriage, each, more,
		func(at int) int64 { return f.asked(&f.owing[at], number, carriage) },
		func(at int, carriage int64) int64 { return f.asked(&f.levied[at], number, carriage) })
}

// asked is what a levy asks of a set.
func (f *floors) asked(l *summed, number uint32, carriage int64) int64 {
	return l.asked(group(f.groups.of(number))) + l.each.of(number) + borne(carriage, l.bears.of(number), f.bearing.of(number)) + l.onCarriage(carriage)
}
