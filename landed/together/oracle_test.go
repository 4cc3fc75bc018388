package together_test

import (
	"math/rand/v2"

	"lotcost/landed/together"
)

// partitions calls visit with every way to divide n lots, once each: lot i goes to a parcel that an earlier
// lot opened or opens the next one (restricted growth strings).
func partitions(n int, visit func(parcels []together.Set)) {
	var parcels []together.Set
	var place func(lot int)
	place = func(lot int) {
		if lot == n {
			visit(parcels)
			return
		}
		for i := range parcels {
			parcels[i] |= 1 << lot
			place(lot + 1)
			parcels[i] &^= 1 << lot
		}
		parcels = append(parcels, 1<<lot)
		place(lot + 1)
		parcels = parcels[:len(parcels)-1]
	}
	place(0)
}

// bruteForce prices every division of the lots that keeps the constraints.
func bruteForce(p *together.Problem) (best int64, ok bool) {
	cost := make([]int64, 1<<p.Lots)
	for s := range cost {
		cost[s] = -1
		for service := range p.Services {
			c, carried := p.Cost(together.Set(s), service)
			if carried && (cost[s] < 0 || c < cost[s]) {
				cost[s] = c
			}
		}
		if broken(p, together.Set(s)) {
			cost[s] = -1
		}
	}
	partitions(p.Lots, func(parcels []together.Set) {
		var sum int64
		for _, s := range parcels {
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

// broken reports whether a parcel of these lots breaks a constraint.
func broken(p *together.Problem, s together.Set) bool {
	for _, pair := range p.Apart {
		if s.Has(pair[0]) && s.Has(pair[1]) {
			return true
		}
	}
	for _, lots := range p.Together {
		if common := s & together.SetOf(lots...); common != 0 && common != together.SetOf(lots...) {
			return true
		}
	}
	return false
}

// randomProblem makes costs of several shapes: any, by weight steps, and by weight with thresholds; some
// refused.
func randomProblem(r *rand.Rand, lots, services int) *together.Problem {
	p := &together.Problem{Lots: lots, Services: services}
	switch r.IntN(3) {
	case 0:
		anyCosts(r, p)
	case 1:
		steppedCosts(r, p, 0)
	default:
		steppedCosts(r, p, 500)
	}
	if lots > 2 && r.IntN(3) == 0 {
		p.Together = append(p.Together, r.Perm(lots)[:1+r.IntN(2)])
	}
	for lots > 2 && r.IntN(3) == 0 {
		pair := r.Perm(lots)
		p.Apart = append(p.Apart, [2]int{pair[0], pair[1]})
	}
	return p
}

// anyCosts draws each set's cost on its own; it neither grows nor falls with the set. Often there is a floor.
func anyCosts(r *rand.Rand, p *together.Problem) {
	spread := []int64{3, 50, 100_000}[r.IntN(3)]
	table := make([][]int64, 1<<p.Lots)
	floor := make([]int64, 1<<p.Lots)
	refusing := r.IntN(4)
	for s := range table {
		least := spread
		for range p.Services {
			c := r.Int64N(spread)
			if r.IntN(10) < refusing {
				c = -1
			} else {
				least = min(least, c)
			}
			table[s] = append(table[s], c)
		}
		floor[s] = r.Int64N(least + 1)
	}
	p.Cost = func(s together.Set, service int) (int64, bool) {
		c := table[s][service]
		return max(c, 0), c >= 0
	}
	if r.IntN(2) == 0 {
		p.Floor = func(s together.Set) int64 { return floor[s] }
	}
}

// steppedCosts charges by weight steps and lot, and, where extra is positive, a sum drawn for the set on top.
// Carriage and Each state what is known of it.
func steppedCosts(r *rand.Rand, p *together.Problem, extra int64) {
	for range p.Lots {
		p.Weight = append(p.Weight, 1+r.Int64N(3000))
		p.Each = append(p.Each, r.Int64N(200))
	}
	first, step, stepCost := r.Int64N(1500), 200+r.Int64N(800), r.Int64N(400)
	heaviest := 3000 + r.Int64N(9000)
	p.Carriage = func(weight int64) (int64, bool) { return first + weight/step*stepCost, weight <= heaviest }
	surcharge := make([]int64, 1<<p.Lots*p.Services)
	for i := range surcharge {
		if extra > 0 {
			surcharge[i] = r.Int64N(extra)
		}
	}
	p.RefusalsGrow = r.IntN(2) == 0
	limit := make([]int64, p.Services)
	for service := range limit {
		limit[service] = heaviest - r.Int64N(3000)
	}
	p.Cost = func(s together.Set, service int) (int64, bool) {
		var weight, each int64
		for _, lot := range s.Lots() {
			weight += p.Weight[lot]
			each += p.Each[lot]
		}
		carriage, ok := p.Carriage(weight)
		return carriage + each + surcharge[int(s)*p.Services+service], ok && weight <= limit[service]
	}
}
