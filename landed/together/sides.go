package together

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
)

// sideSearch is one run of sides.
type sideSearch struct {
	*beyond
	ctx       context.Context
	options   Options
	known     map[partition.Set]*candidate // nil: no service takes them
	evaluated int
	branches  int // that the solver looked at
}

// mostDivided bounds the blocks of lots of which all sets are looked at, mostSolved the branches
// that the solver looks at where there are more, each a plan by itself.
const mostDivided, mostSolved = 12, 4

// sides solves the problem where rules of the border look at a sum over several parcels. Of few
// blocks the best way is proven; of more as far as it is that of a branch where no sum that is held
// is passed.
func (p *planner) sides(ctx context.Context, o Options) (solution partition.Solution, err error) {
	s := &sideSearch{beyond: newBeyond(p), ctx: ctx, options: o, known: map[partition.Set]*candidate{}}
	s.solve = s.branch
	by, err := p.withoutCharges()
	if err != nil {
		return solution, err
	}
	for _, step := range []func() error{func() error { return s.prepare(by) }, s.simple, func() error { return s.search(ctx) }, s.improve} {
		if err := step(); err != nil {
			return solution, err
		}
	}
	solution = partition.Solution{Cost: s.total, Bound: s.bound, Exact: s.bound == s.total, Evaluated: s.evaluated, Parts: s.parts()}
	inOrder(solution.Parts)
	return solution, nil
}

// withoutCharges prices the same lots without what the haul asks for each parcel.
func (p *planner) withoutCharges() (planning.Parcels, error) {
	perParcel := func(c landed.Charge) bool { return c.Per == landed.PerParcel }
	if !slices.ContainsFunc(p.haul.Charges, perParcel) {
		return p.pricer, nil
	}
	haul := *p.haul
	haul.Charges = slices.DeleteFunc(slices.Clone(haul.Charges), perParcel)
	return landed.NewParcelPricer(&haul)
}

// simple tries all blocks apart, and all in one parcel.
func (s *sideSearch) simple() error {
	for _, parcels := range [][]partition.Set{s.blocks, {s.toCome()}} {
		var parts []partition.Part
		for _, lots := range parcels {
			if service, _, err := s.cheapest(lots); err == nil {
				parts = append(parts, partition.Part{Elements: lots, Mode: service})
			}
		}
		if len(parts) == len(parcels) && s.err == nil {
			if _, err := s.tryWay(parts); err != nil {
				return err
			}
		}
	}
	return s.err
}

// improve goes on from the best way by small steps where it is not proven.
func (s *sideSearch) improve() error {
	for better := s.bound < s.total; better; {
		better = false
		for _, parcels := range neighbours(s.parts(), s.blocks, s.problem.Modes) {
			if s.ctx.Err() != nil {
				return nil
			}
			var err error
			if better, err = s.tryWay(parcels); err != nil {
				return err
			}
			if better {
				break
			}
		}
	}
	return nil
}

// parts are the parcels of the best way.
func (s *sideSearch) parts() []partition.Part {
	var parts []partition.Part
	for _, p := range s.found {
		parts = append(parts, partition.Part{Elements: p.lots, Mode: p.by.service})
	}
	return parts
}

// tryWay tries a way, and reports whether it is the best so far: not where a parcel is refused.
func (s *sideSearch) tryWay(parts []partition.Part) (bool, error) {
	var parcels []chosen
	for _, part := range parts {
		p, taken, err := s.by(part.Elements, part.Mode)
		if !taken || err != nil {
			return false, err
		}
		parcels = append(parcels, p)
	}
	before := s.total
	_, err := s.try(parcels)
	return s.total < before, err
}

// by is a parcel sent by a service; false where that does not take it.
func (s *sideSearch) by(lots partition.Set, service int) (chosen, bool, error) {
	c, err := s.at(lots)
	if c == nil || err != nil {
		return chosen{}, false, err
	}
	i := slices.IndexFunc(c.offers, func(o offer) bool { return o.service == service })
	if i < 0 {
		return chosen{}, false, nil
	}
	return chosen{c, &c.offers[i]}, true, nil
}

// at is the parcel of some lots; nil where no service takes it.
func (s *sideSearch) at(lots partition.Set) (*candidate, error) {
	c, known := s.known[lots]
	if known {
		return c, nil
	}
	offers, err := s.offers(lots)
	if err == nil && offers != nil {
		c = s.candidate(lots, offers)
		c.least = slices.MinFunc(offers, func(a, b offer) int { return cmp.Compare(a.home, b.home) }).home + s.levied(lots)
	}
	s.known[lots] = c
	return c, err
}

// branch finds the least-cost division in a branch. The first is left to the solver, which asks for
// few costs, and of many blocks all are.
func (s *sideSearch) branch(br *branch) ([]chosen, int64, error) {
	if s.branches > 0 && len(s.blocks) <= mostDivided {
		if err := s.list(); err != nil {
			return nil, 0, err
		}
		return s.divide(br)
	}
	if s.branches++; s.branches > mostSolved {
		return nil, br.bound, nil
	}
	solution, err := s.planner.solve(s.ctx, s.problemIn(br), s.telling())
	s.evaluated += solution.Evaluated
	none := (*partition.NoPlanError)(nil)
	switch {
	case err != nil && s.ctx.Err() != nil && s.found != nil:
		return nil, br.bound, nil
	case errors.As(err, &none) && s.branches > 1 && none.Proven():
		return nil, never, nil
	case errors.As(err, &none) && s.branches > 1:
		return nil, br.bound, nil
	case err != nil:
		return nil, 0, err
	}
	var parcels []chosen
	for _, part := range solution.Parts {
		p, _, err := s.by(part.Elements, part.Mode)
		if err != nil {
			return nil, 0, err
		}
		parcels = append(parcels, p)
	}
	return parcels, solution.Bound, nil
}

// problemIn is the problem with what parcels cost at least in a branch.
func (s *sideSearch) problemIn(br *branch) partition.Problem {
	problem := s.problem
	problem.RefusalsGrow = problem.RefusalsGrow && br.held == nil
	problem.Cost = func(lots partition.Set, service int) (cost int64, ok bool) {
		p, ok, err := s.by(lots, service)
		if ok && err == nil {
			cost, ok, err = s.costs(br, p)
		}
		if s.err == nil {
			s.err = err
		}
		return cost, ok && err == nil
	}
	return problem
}

// telling are the options with the best way so far in the place of that of a branch.
func (s *sideSearch) telling() Options {
	o := s.options
	if o.Progress != nil {
		o.Progress = func(done, total int, _ int64) {
			best := int64(-1)
			if s.found != nil {
				best = s.total
			}
			s.options.Progress(done, total, best)
		}
	}
	return o
}

// list makes the parcels of all sets of blocks ready.
func (s *sideSearch) list() error {
	if s.parcels != nil {
		return nil
	}
	s.division = newDivision(len(s.blocks))
	each := s.floors
	for set := 1; set < len(s.parcels); set++ {
		c, err := s.at(lotsOf(s.blocks, set))
		if err != nil {
			return err
		}
		if s.parcels[set], each[set] = c, never; c != nil {
			each[set] = c.least
		}
	}
	s.floors = coveredBy(each)
	return nil
}

// inOrder sorts parcels by their first lots.
func inOrder(parts []partition.Part) {
	lowest := func(s partition.Set) partition.Set { return s & -s }
	slices.SortFunc(parts, func(a, b partition.Part) int { return cmp.Compare(lowest(a.Elements), lowest(b.Elements)) })
}
