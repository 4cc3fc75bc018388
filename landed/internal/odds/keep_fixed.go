package odds

import (
	"math/big"
	"slices"

	"lotcost/landed/internal/exact"
)

// simplify lists what pieces with turns can bring where that takes a small part of the steps, and
// makes them independent where what may be neglected is all that they depend on each other by. The
// moments of a scenario are no longer those of its kinds.
func (s *scenario) simplify(steps uint64) {
	dependent := 0
	for _, k := range s.kinds {
		dependent += min(len(k.turns), 1)
	}
	const share = 4
	budget := steps / share / uint64(max(1, dependent))
	for i, k := range s.kinds {
		if len(k.turns) == 0 {
			continue
		}
		switch open, done, neglected := k.openTurns(); {
		case k.listing() <= budget:
			k.list()
		case len(open) == 0:
			each, surely := k.done(done)
			alone := &kind{count: k.count, sold: each, num: slices.Clone(k.num), den: k.den}
			alone.merge()
			alone.reduce()
			s.base += surely + alone.rebase()*k.count
			s.excess += neglected
			s.kinds[i] = alone
		}
	}
	s.sort()
}

// done is what pieces of each outcome bring once the first points are decided, and what comes on
// top for all of them.
func (k *kind) done(points int) (each []int64, surely int64) {
	each = slices.Clone(k.sold)
	for j := range points {
		each[j] = k.kept[j] - k.extra(points)
	}
	return each, k.keep * k.extra(points)
}

// dependentOnGrid takes pieces with turns as one of many outcomes. Turns that are certain to come,
// but for what may be neglected, are taken as done and those that are certain not to come are left
// out. Of each of the others what comes out otherwise is taken away, and put in again as it is
// after it. What is taken away is only known downwards, so that chances may stay too great.
func (k *kind) dependentOnGrid(start, step int64, a *adder, l load, out *placed) {
	if k.listed != nil {
		k.listedOnGrid(start, step, out)
		return
	}
	g := &kind{count: k.count, keep: k.keep, num: k.num, den: k.den, tails: k.tails, sold: onto(k.sold, start, step), kept: onto(k.kept, start, step)}
	g.findTurns()
	mean, _ := g.dependentMoments()
	out.rest = k.mean.minus(mean.times(wholeRatio(step)))

	open, done, neglected := g.openTurns()
	own := &adder{trim: a.trim, longest: a.longest}
	at, surely := g.done(done)
	alone := load{each: l.each, row: l.own, own: l.own}
	total := own.addAll(row{surely, []uint64{1 << wholeBits}}, choicesOf(at, k.num), k.count, alone, step)
	out.excess = neglected
	for _, j := range open {
		gone, over := g.turned(j, false, a.longest)
		come, too := g.turned(j, true, a.longest)
		if own.over = own.over || over || too; own.over {
			break
		}
		total.plus(come, false)
		total.plus(gone, true)
		out.excess += k.tail(j).most - gone.sum()
	}
	if a.over = a.over || own.over; !a.over {
		out.choices = total.clamped().choices()
	}
}

// openTurns lists the turns that may come or not, tells how many points lie before the first of
// them, and what chance was neglected, in units of 2^-63.
func (k *kind) openTurns() (open []int, done int, neglected uint64) {
	negligible := uint64(trimWhole / len(k.kept))
	for _, j := range k.turns {
		switch t := k.tail(j); {
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

// listed is all that pieces with turns can bring, over the base of the scenario.
type listed struct {
	amounts []int64
	num     []*big.Int // of their chances, over den^count
	chances []uint64   // in units of 2^-64, cut off
}

func (k *kind) list() {
	k.listed = &listed{}
	k.listed.amounts, k.listed.num = k.sums()
	for _, n := range k.listed.num {
		n = new(big.Int).Lsh(n, 64)
		k.listed.chances = append(k.listed.chances, n.Quo(n, k.whole).Uint64())
	}
}

// listedOnGrid takes listed pieces as one of as many outcomes.
func (k *kind) listedOnGrid(start, step int64, out *placed) {
	at := onto(k.listed.amounts, start, step)
	mean, term := new(big.Int), new(big.Int)
	for i, place := range at {
		mean.Add(mean, term.Mul(k.listed.num[i], term.SetInt64(place)))
	}
	mean.Mul(mean, big.NewInt(step))
	out.choices, out.rest = gathered(at, k.listed.chances), k.mean.minus(ratio{mean, k.whole})
}

// turned is what pieces bring where fewer than keep of them come out at the points up to j, before
// that turn or after it, and whether rows got too long.
func (k *kind) turned(j int, after bool, longest int) (row, bool) {
	in, out := choicesOf(k.kept[:j+1], k.num[:j+1]), choicesOf(k.sold[j+1:], k.num[j+1:])
	passed := k.extra(j)
	if after {
		passed = k.extra(j + 1)
	}
	kept, both := &adder{longest: longest}, &adder{longest: longest}
	power, r := row{0, []uint64{1 << wholeBits}}, row{}
	for m, weight := range k.tail(j).weights {
		if m > 0 {
			power = kept.add(power, in)
		}
		if len(r.p) > 0 {
			r = both.add(r, out)
		}
		if weight > 0 {
			part := row{power.lo + (k.keep-int64(m))*passed, make([]uint64, len(power.p))}
			for i, p := range power.p {
				part.p[i] = exact.High(p, weight)
			}
			r.plus(part, false)
		}
	}
	for range k.count - k.keep + 1 {
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

// plus adds a row, or takes it away. Chances may then fall below zero, as two's complements.
func (r *row) plus(s row, minus bool) {
	if len(r.p) == 0 {
		r.lo = s.lo
	}
	low, high := min(r.lo, s.lo), max(r.lo+int64(len(r.p)), s.lo+int64(len(s.p)))
	r.p = slices.Concat(make([]uint64, r.lo-low), r.p, make([]uint64, high-r.lo-int64(len(r.p))))
	r.lo = low
	for i, p := range s.p {
		if minus {
			p = -p
		}
		r.p[s.lo-low+int64(i)] += p
	}
}

// clamped leaves no chance below zero, and no more than the whole.
func (r row) clamped() row {
	var all uint64
	most := 0
	for i, p := range r.p {
		if p > 1<<wholeBits {
			r.p[i] = 0
		}
		if all += r.p[i]; r.p[i] > r.p[most] {
			most = i
		}
	}
	if all > 1<<wholeBits {
		r.p[most] -= all - 1<<wholeBits
	}
	return r
}
