package partition_test

import (
	"math/rand/v2"

	"lotcost/landed/internal/partition"
)

// partitions calls visit with every way to divide n elements, once each: element i goes to a part
// that an earlier element opened or opens the next one (restricted growth strings).
func partitions(n int, visit func(parts []partition.Set)) {
	var parts []partition.Set
	var place func(element int)
	place = func(element int) {
		if element == n {
			visit(parts)
			return
		}
		for i := range parts {
			parts[i] |= 1 << element
			place(element + 1)
			parts[i] &^= 1 << element
		}
		parts = append(parts, 1<<element)
		place(element + 1)
		parts = parts[:len(parts)-1]
	}
	place(0)
}

// bruteForce prices every division of the elements that keeps the constraints.
func bruteForce(p *partition.Problem) (best int64, ok bool) {
	cost := make([]int64, 1<<p.Elements)
	for s := range cost {
		cost[s] = -1
		for mode := range p.Modes {
			c, carried := p.Cost(partition.Set(s), mode)
			if carried && (cost[s] < 0 || c < cost[s]) {
				cost[s] = c
			}
		}
		if broken(p, partition.Set(s)) {
			cost[s] = -1
		}
	}
	partitions(p.Elements, func(parts []partition.Set) {
		var sum int64
		for _, s := range parts {
			if cost[s] < 0 {
				return
			}
			sum += cost[s]
		}
		if !ok || sum < best {
			best, ok = sum, true
		}
	})
	return best, ok
}

// broken reports whether a part of these elements breaks a constraint.
func broken(p *partition.Problem, s partition.Set) bool {
	for _, pair := range p.Apart {
		if s.Has(pair[0]) && s.Has(pair[1]) {
			return true
		}
	}
	for _, elements := range p.Together {
		if common := s & partition.SetOf(elements...); common != 0 && common != partition.SetOf(elements...) {
			return true
		}
	}
	return false
}

// randomProblem makes costs of several shapes: any, by weight steps, and by weight with thresholds;
// some refused.
func randomProblem(r *rand.Rand, elements, modes int) *partition.Problem {
	p := &partition.Problem{Elements: elements, Modes: modes}
	switch r.IntN(4) {
	case 0:
		anyCosts(r, p)
	case 1:
		steppedCosts(r, p, 0)
	case 2:
		leviedCosts(r, p, []int64{0, 300}[r.IntN(2)])
	default:
		steppedCosts(r, p, 500)
	}
	if elements > 2 && r.IntN(3) == 0 {
		p.Together = append(p.Together, r.Perm(elements)[:1+r.IntN(2)])
	}
	for elements > 2 && r.IntN(3) == 0 {
		pair := r.Perm(elements)
		p.Apart = append(p.Apart, [2]int{pair[0], pair[1]})
	}
	if r.IntN(3) == 0 {
		limitModes(r, p)
	}
	if r.IntN(3) == 0 {
		fixedCosts(r, p)
	}
	return p
}

// fixedCosts adds what each part costs whatever is in it, and what one of several elements does.
func fixedCosts(r *rand.Rand, p *partition.Problem) {
	p.Alone = r.Int64N(400 << partition.FineBits)
	p.Joined = p.Alone + r.Int64N(2)*r.Int64N(400<<partition.FineBits)
	each := make([]int64, p.Elements)
	if p.Each == nil { // else in the costs already
		for i := range each {
			each[i] = r.Int64N(100 << partition.FineBits)
		}
		p.Each = each
	}
	plain, alone, joined := p.Cost, p.Alone, p.Joined
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		cost, ok := plain(s, mode)
		more := alone
		if s.Len() > 1 {
			more = joined
		}
		for _, element := range s.Elements() {
			more += each[element]
		}
		return cost + (more+1<<partition.FineBits-1)>>partition.FineBits, ok
	}
}

// limitModes has modes look at figures of the elements: refuse what is too much of one, where they
// refuse any, ask a part of another, and cost the more the later they stand.
func limitModes(r *rand.Rand, p *partition.Problem) {
	for range 1 + r.IntN(2) {
		var figures []int64
		for range p.Elements {
			figures = append(figures, r.Int64N(200))
		}
		p.Figures = append(p.Figures, figures)
	}
	var most [][2]int64
	for range p.Modes {
		most = append(most, [2]int64{100 + r.Int64N(800), 100 + r.Int64N(800)})
	}
	dearer, share := r.Int64N(200), r.Int64N(3)
	asked := func(mode int, figures []int64) (sum int64, ok bool) {
		for i, n := range figures {
			if n > most[mode][i] {
				return 0, false
			}
			sum += n * share * int64(i) / 2
		}
		return sum + int64(mode)*dearer, true
	}
	plain, bare, lists := p.Cost, p.Carriage, p.Figures
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		var sums []int64
		for _, figures := range lists {
			sums = append(sums, total(figures, s))
		}
		cost, ok := plain(s, mode)
		more, taken := asked(mode, sums)
		if p.Brackets != nil { // what is asked of a carriage is asked of all that the mode asks
			least, _ := bare(total(p.Weight, s))
			if dearer := levied(s, p, least+more) - levied(s, p, least); dearer > 0 || p.Brackets[0].Surely {
				cost += dearer
			}
		}
		return cost + more, ok && taken
	}
	p.ModeFloor = func(mode int, weight int64, figures []int64) (cost int64, ok bool) {
		more, taken := asked(mode, figures)
		if bare != nil {
			if cost, ok = bare(weight); !ok {
				return 0, false
			}
		}
		return cost + more, taken
	}
}

// leviedCosts adds what a border might, by brackets of what the parts are worth; up to extra of it
// is not known.
func leviedCosts(r *rand.Rand, p *partition.Problem, extra int64) {
	steppedCosts(r, p, extra)
	for range p.Elements {
		p.Measure, p.Bearing = append(p.Measure, r.Int64N(5000)), append(p.Bearing, r.Int64N(900))
	}
	upTo, surely := int64(-1), r.IntN(3) == 0
	for range 1 + r.IntN(3) {
		b := partition.Bracket{UpTo: upTo + 1 + r.Int64N(8000), Levy: anyLevy(r, p)}
		if r.IntN(3) == 0 {
			b = partition.Bracket{UpTo: b.UpTo}
		}
		b.Surely = surely
		if r.IntN(2) == 0 {
			owing := anyLevy(r, p)
			owing.Fixed -= r.Int64N(1000) << 10
			b.Owing = &owing
		}
		if r.IntN(2) == 0 {
			b.Counted = r.Int64N(partition.MostShare + 1)
		}
		upTo = b.UpTo
		p.Brackets = append(p.Brackets, b)
	}
	plain, known := p.Cost, *p
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		cost, ok := plain(s, mode)
		least, _ := known.Carriage(total(known.Weight, s))
		return cost + levied(s, &known, least), ok
	}
}

// anyLevy is a sum by elements, some of them in heads.
func anyLevy(r *rand.Rand, p *partition.Problem) partition.Levy {
	l := partition.Levy{Fixed: (r.Int64N(600) - 200) << 10, Share: r.Int64N(1 << 19)}
	for i := range p.Elements {
		l.Each = append(l.Each, p.Measure[i]*r.Int64N(100)<<10/300)
	}
	for range r.IntN(4) {
		l.Heads = append(l.Heads, partition.Head{Of: partition.Set(r.Uint64N(1 << p.Elements)), Sum: (r.Int64N(400) - 100) << 10})
	}
	if r.IntN(2) == 0 {
		for i := range p.Elements {
			l.Bears = append(l.Bears, r.Int64N(p.Bearing[i]+1))
		}
	}
	return l
}

// levied is what the bracket of a part of some carriage asks.
func levied(s partition.Set, p *partition.Problem, least int64) int64 {
	at, worth := 0, total(p.Measure, s)
	for ; at < len(p.Brackets)-1; at++ {
		b := &p.Brackets[at]
		if worth+least*b.Counted>>20 <= b.UpTo && (b.Owing == nil || asked(s, p, b.Owing, least) <= 0) {
			break
		}
	}
	return max(0, (asked(s, p, &p.Brackets[at].Levy, least)+1023)>>10)
}

// asked is what a levy asks of a part, fine.
func asked(s partition.Set, p *partition.Problem, b *partition.Levy, least int64) int64 {
	sum := b.Fixed + least*b.Share>>10
	if b.Each != nil {
		sum += total(b.Each, s)
	}
	for _, h := range b.Heads {
		if s&h.Of != 0 {
			sum += h.Sum
		}
	}
	if all := total(p.Bearing, s); b.Bears != nil && all > 0 {
		sum += least << 10 * total(b.Bears, s) / all
	}
	return sum
}

// anyCosts draws each set's cost on its own; it neither grows nor falls with the set.
func anyCosts(r *rand.Rand, p *partition.Problem) {
	spread := []int64{3, 50, 100_000}[r.IntN(3)]
	table := make([][]int64, 1<<p.Elements)
	refusing := r.IntN(4)
	for s := range table {
		for range p.Modes {
			c := r.Int64N(spread)
			if r.IntN(10) < refusing {
				c = -1
			}
			table[s] = append(table[s], c)
		}
	}
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		c := table[s][mode]
		return max(c, 0), c >= 0
	}
}

// steppedCosts charges by weight steps and element, and, where extra is positive, a sum drawn for
// the set on top. Carriage and Each state what is known of it.
func steppedCosts(r *rand.Rand, p *partition.Problem, extra int64) {
	for range p.Elements {
		p.Weight = append(p.Weight, 1+r.Int64N(3000))
		p.Each = append(p.Each, r.Int64N(200)<<partition.FineBits)
	}
	first, step, stepCost := r.Int64N(1500), 200+r.Int64N(800), r.Int64N(400)
	heaviest := 3000 + r.Int64N(9000)
	p.Carriage = func(weight int64) (int64, bool) { return first + weight/step*stepCost, weight <= heaviest }
	surcharge := make([]int64, 1<<p.Elements*p.Modes)
	for i := range surcharge {
		if extra > 0 {
			surcharge[i] = r.Int64N(extra)
		}
	}
	p.RefusalsGrow = r.IntN(2) == 0
	limit := make([]int64, p.Modes)
	for mode := range limit {
		limit[mode] = heaviest - r.Int64N(3000)
	}
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		var weight, each int64
		for _, element := range s.Elements() {
			weight += p.Weight[element]
			each += p.Each[element] >> partition.FineBits
		}
		carriage, ok := p.Carriage(weight)
		return carriage + each + surcharge[int(s)*p.Modes+mode], ok && weight <= limit[mode]
	}
}
