package together

import (
	"context"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
)

// whole searches where rules of the border look at more than one sum over several parcels, as own
// rules may: every total is that of a Split of the whole haul. Few lots are solved by trying all
// ways; more by improving the best known one step by step.
func (p *planner) whole(ctx context.Context, start partition.Solution, o Options) (partition.Solution, error) {
	bare, err := p.withoutBorder()
	if err != nil {
		return start, err
	}
	floor, err := bare.problem.Solve(ctx, o.solver())
	if err != nil && ctx.Err() == nil {
		return start, err
	}
	w := &wholeSearch{planner: p, bare: bare, ctx: ctx, blocks: p.problem.Blocks(), best: partition.Solution{Bound: floor.Bound}, progress: o.Progress}
	w.try(start.Parts)
	w.try(w.services(w.apart()))
	if set := p.toCome(); !p.problem.Parted(set) {
		w.try(w.services([]partition.Part{{Elements: set}}))
	}
	if ways(len(w.blocks), p.problem.Modes) <= mostWays {
		w.enumerate(nil, 0)
		w.best.Exact = ctx.Err() == nil
	} else {
		w.improve()
	}
	inOrder(w.best.Parts)
	w.best.Evaluated += start.Evaluated
	if w.best.Exact {
		w.best.Bound = w.best.Cost
	}
	w.best.Exact = w.best.Exact || w.best.Parts != nil && w.best.Cost == w.best.Bound
	return w.best, w.err
}

// withoutBorder is the same plan where of the border only its floors are met: what it costs is a
// lower bound.
func (p *planner) withoutBorder() (*planner, error) {
	bare := *p
	haul := *p.haul
	haul.Border = nil
	bare.haul = &haul
	bare.goods = slices.Clone(p.goods)
	var err error
	if bare.pricer, err = landed.NewParcelPricer(&haul); err != nil {
		return nil, err
	}
	bare.problem.Cost = func(lots partition.Set, service int) (int64, bool) {
		cost, ok := bare.cost(lots, service)
		return cost + p.levied(lots), ok
	}
	return &bare, nil
}

// mostWays bounds the ways that are all tried, most of them without a Split.
const mostWays = 50_000

// ways is how many divisions of some blocks over parcels and services there
// are, or more than mostWays.
func ways(blocks, services int) int {
	byParcels := []int{1} // ways so far, by how many parcels they have
	for range blocks {
		next := make([]int, len(byParcels)+1)
		for parcels, n := range byParcels {
			next[parcels] += n * parcels
			next[parcels+1] += n * services
		}
		byParcels = next
		for i := range byParcels {
			byParcels[i] = min(byParcels[i], mostWays+1)
		}
	}
	sum := 0
	for _, n := range byParcels {
		sum += n
	}
	return sum
}

// wholeSearch is one run of whole.
type wholeSearch struct {
	*planner
	bare     *planner
	ctx      context.Context
	blocks   []partition.Set
	best     partition.Solution
	known    map[partition.Part]int64 // what parcels cost at least; -1 when refused
	progress func(done, total int, best int64)
}

// apart sends each block by itself.
func (w *wholeSearch) apart() []partition.Part {
	var parcels []partition.Part
	for _, lots := range w.blocks {
		parcels = append(parcels, partition.Part{Elements: lots})
	}
	return parcels
}

// bareCost is what a parcel costs at least, whatever else travels; -1 when it is refused.
func (w *wholeSearch) bareCost(lots partition.Set, service int) int64 {
	key := partition.Part{Elements: lots, Mode: service}
	cost, seen := w.known[key]
	if !seen {
		var ok bool
		if cost, ok = w.bare.problem.Cost(lots, service); !ok {
			cost = -1
		}
		if w.err == nil {
			w.err = w.bare.err
		}
		if w.known == nil {
			w.known = map[partition.Part]int64{}
		}
		w.known[key] = cost
	}
	return cost
}

// try keeps a way when it is the cheapest so far. Most ways are dropped
// without a Split: what they cost without the border is too much already.
func (w *wholeSearch) try(parcels []partition.Part) bool {
	var bare int64
	for _, parcel := range parcels {
		cost := w.bareCost(parcel.Elements, parcel.Mode)
		if cost < 0 || w.problem.Parted(parcel.Elements) {
			return false
		}
		bare += cost
	}
	if parcels == nil || w.err != nil || w.best.Parts != nil && bare >= w.best.Cost {
		return false
	}
	sent, err := w.way("", parcels)
	if err != nil {
		w.err = err
		return false
	}
	w.best.Evaluated++
	fixed, err := w.fixed()
	if w.err = err; err != nil {
		return false
	}
	cost := sent.Total.Minor() - fixed.Minor()
	if w.best.Parts != nil && cost >= w.best.Cost {
		return false
	}
	w.best.Parts, w.best.Cost = slices.Clone(parcels), cost
	if w.progress != nil {
		w.progress(w.best.Evaluated, mostWays, cost)
	}
	return true
}

// services picks for each parcel the service that is cheapest by itself; nil
// when some parcel fits none.
func (w *wholeSearch) services(parcels []partition.Part) []partition.Part {
	for i := range parcels {
		service, _, err := w.cheapest(parcels[i].Elements)
		if err != nil {
			return nil
		}
		parcels[i].Mode = service
	}
	return parcels
}

// enumerate tries every way to place the blocks from one on.
func (w *wholeSearch) enumerate(parcels []partition.Part, block int) {
	if w.ctx.Err() != nil || w.err != nil {
		return
	}
	if block == len(w.blocks) {
		w.try(parcels)
		return
	}
	for i := range parcels {
		parcels[i].Elements |= w.blocks[block]
		w.enumerate(parcels, block+1)
		parcels[i].Elements &^= w.blocks[block]
	}
	for service := range w.problem.Modes {
		w.enumerate(append(parcels, partition.Part{Elements: w.blocks[block], Mode: service}), block+1)
	}
}

// improve moves one block at a time to another parcel, or to one of its own,
// merges parcels and changes services, until nothing helps.
func (w *wholeSearch) improve() {
	for better := w.best.Parts != nil; better && w.ctx.Err() == nil && w.err == nil; {
		better = false
		for _, parcels := range neighbours(w.best.Parts, w.blocks, w.problem.Modes) {
			if w.ctx.Err() != nil {
				return
			}
			if w.try(parcels) {
				better = true
				break
			}
		}
	}
}

// neighbours are the ways that one step makes of another.
func neighbours(parcels []partition.Part, blocks []partition.Set, services int) [][]partition.Part {
	var all [][]partition.Part
	add := func(from, to int, lots partition.Set, service int) {
		next := slices.Clone(parcels)
		next[from].Elements &^= lots
		if to == len(next) {
			next = append(next, partition.Part{})
		}
		next[to].Elements |= lots
		next[to].Mode = service
		all = append(all, slices.DeleteFunc(next, func(p partition.Part) bool { return p.Elements == 0 }))
	}
	for service := range services {
		for from := range parcels {
			add(from, from, 0, service)
			for to := range len(parcels) + 1 {
				if to == from {
					continue
				}
				if to < len(parcels) {
					add(from, to, parcels[from].Elements, service)
				}
				for _, block := range blocks {
					if block&parcels[from].Elements != 0 {
						add(from, to, block, service)
					}
				}
			}
		}
	}
	return all
}
