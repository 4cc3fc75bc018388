package odds

import (
	"math/big"
	"math/bits"
	"slices"
)

// simpler is a world in which blocks are listed where that takes a small part of
// the steps, and made pieces where what may be neglected is all that they hang on
// each other by. What its moments then are is not those of the world.
func (w world) simpler(maxSteps uint64) world {
	const share = 4
	out, budget := w, maxSteps/share/uint64(max(1, len(w.blocks)))
	out.pieces, out.blocks = slices.Clone(w.pieces), nil
	for _, b := range w.blocks {
		open, done, neglected := b.unsettled()
		switch {
		case b.listing() <= budget:
			b.list()
			out.blocks = append(out.blocks, b)
		case len(open) > 0:
			out.blocks = append(out.blocks, b)
		default:
			amounts, surely := b.done(done)
			f := fate{amounts: amounts, count: b.count}
			for _, n := range b.num {
				f.chances = append(f.chances, n*(one/b.den))
			}
			p, least := newPiece(f)
			out.pieces = append(out.pieces, p)
			out.base += least*b.count + surely
			out.excess += neglected
		}
	}
	out.sort()
	return out
}

// done is what pieces of each outcome bring once the first points are settled,
// and what comes on top for all of them.
func (b *block) done(points int) (each []int64, surely int64) {
	each = slices.Clone(b.sold)
	for j := range points {
		each[j] = b.kept[j] - b.extra(points)
	}
	return each, b.keep * b.extra(points)
}

// onGrid reckons what the block brings on a grid, as one piece of many outcomes.
// Turns that are certain to come, but for what may be neglected, are taken as
// done and those that are certain not to come are left out. Of each of the others
// what comes out otherwise is taken away, and put in again as it is after it. What
// is taken away is only known downwards, so that chances may stay too great.
func (b *block) onGrid(step int64, a *adder, l load) placed {
	start, moved := gridStart(b.amounts(), step)
	if b.listed != nil {
		return b.listedOnGrid(start, moved, step)
	}
	g := &block{law: b.law, sold: onto(b.sold, start, step), kept: onto(b.kept, start, step)}
	g.turn()
	mean, _ := g.moments()
	out := b.placed(moved)
	out.rest = b.mean.minus(mean.times(wholeRatio(step)))

	open, done, neglected := g.unsettled()
	own := &adder{trim: a.trim, longest: a.longest}
	at, surely := g.done(done)
	all := own.addAll(row{surely, []uint64{1 << wholeBits}}, choicesOf(at, b.num), load{count: l.count, outcomes: l.outcomes, row: l.own, own: l.own}, step).copied()
	total := signed{}
	total.add(all, false)
	out.excess = neglected
	for _, j := range open {
		gone, over := g.turned(j, false, a.longest)
		come, too := g.turned(j, true, a.longest)
		if own.over = own.over || over || too; own.over {
			break
		}
		total.add(come, false)
		total.add(gone, true)
		out.excess += b.tail(j).most - gone.sum()
	}
	if a.over = a.over || own.over; !a.over {
		out.choices = total.row().choices()
	}
	return out
}

// unsettled lists the turns that may come or not, tells how many points lie
// before the first of them, and what chance was neglected, in units of 2^-63.
func (b *block) unsettled() (open []int, done int, neglected uint64) {
	negligible := uint64(trimWhole / len(b.kept))
	for _, j := range b.turns {
		switch t := b.tail(j); {
		case t.most <= negligible:
			neglected += t.most
		case len(open) == 0 && 1<<wholeBits-t.least() <= negligible:
			done = j + 1
			neglected += 1<<wholeBits - t.least()
		default:
			open = append(open, j)
		}
	}
	return open, done, neglected
}

// listed is all that a block can bring, over the base of the world.
type listed struct {
	amounts []int64
	num     []*big.Int // of their chances, over den^count
	chances []uint64   // in units of 2^-64, cut off
}

// list lists what the block can bring.
func (b *block) list() {
	b.listed = &listed{}
	b.listed.amounts, b.listed.num = b.sums()
	for _, n := range b.listed.num {
		n = new(big.Int).Lsh(n, 64)
		b.listed.chances = append(b.listed.chances, n.Quo(n, b.whole()).Uint64())
	}
}

// listedOnGrid takes a listed block as one piece of as many outcomes.
func (b *block) listedOnGrid(start, moved, step int64) placed {
	l := b.listed
	at := onto(l.amounts, start, step)
	mean, term := new(big.Int), new(big.Int)
	for i, place := range at {
		mean.Add(mean, term.Mul(l.num[i], term.SetInt64(place)))
	}
	mean.Mul(mean, big.NewInt(step))
	out := b.placed(moved)
	out.choices, out.rest = gathered(at, l.chances), b.mean.minus(ratio{mean, b.whole()})
	return out
}

// amounts are those that are brought to a grid.
func (b *block) amounts() []int64 {
	if b.listed != nil {
		return b.listed.amounts
	}
	return slices.Concat(b.sold, b.kept)
}

// placed says what moves with a block. One that is listed moves whole; else when
// a piece comes out otherwise another may be kept, and move, in its place.
func (b *block) placed(moved int64) placed {
	if b.listed != nil {
		return placed{count: 1, moved: moved, change: moved}
	}
	return placed{count: b.count, moved: moved, change: 2 * moved}
}

// turned is what the block brings where fewer than keep pieces come out at the
// points up to j, before that turn or after it, and whether rows got too long.
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
	return r, kept.over || both.over
}

func (r row) sum() uint64 {
	var all uint64
	for _, p := range r.p {
		all += p
	}
	return all
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

// row leaves no chance below zero, and no more than the whole.
func (s *signed) row() row {
	var all uint64
	most := 0
	for i, p := range s.p {
		if p > 1<<wholeBits {
			s.p[i] = 0
		}
		if all += s.p[i]; s.p[i] > s.p[most] {
			most = i
		}
	}
	if all > 1<<wholeBits {
		s.p[most] -= all - 1<<wholeBits
	}
	return row(*s)
}
