package together

import (
	"fmt"
	"math/bits"
	"strconv"
)

// check returns a *ProblemError for input that makes no sense.
func (p *Problem) check(o Options) error {
	switch {
	case p.Lots < 1 || p.Lots > MaxLots:
		return wrong("Lots", p.Lots, "must be from 1 to 64")
	case p.Services < 1:
		return wrong("Services", p.Services, "must be 1 or more")
	case p.Cost == nil:
		return wrong("Cost", "nil", "must be a function")
	case p.Carriage != nil && p.Weight == nil:
		return wrong("Weight", "nil", "must be given with Carriage")
	case o.ExactUpTo < 0 || o.ExactUpTo > 24:
		return wrong("ExactUpTo", o.ExactUpTo, "must be from 0 to 24")
	case o.Work < 0:
		return wrong("Work", o.Work, "must not be negative")
	}
	if err := p.checkLists(); err != nil {
		return err
	}
	if err := p.checkAlike(); err != nil {
		return err
	}
	return p.checkConstraints()
}

func wrong(field string, got any, remedy string) error {
	return &ProblemError{Field: field, Got: fmt.Sprint(got), Remedy: remedy}
}

// checkLists looks at the lists that have an entry for each lot.
func (p *Problem) checkLists() error {
	if err := p.checkList("Weight", p.Weight, 1<<62-1); err != nil {
		return err
	}
	if err := p.checkList("Each", p.Each, MaxCost); err != nil {
		return err
	}
	if p.Kind != nil && len(p.Kind) != p.Lots {
		return wrong("Kind", fmt.Sprintf("%d entries", len(p.Kind)), p.oneForEach())
	}
	return nil
}

func (p *Problem) oneForEach() string {
	return "must have one for each of the " + strconv.Itoa(p.Lots) + " lots"
}

// checkList returns an error unless the list is nil or has an entry from 0 for each lot, their sum at most
// most.
func (p *Problem) checkList(field string, list []int64, most int64) error {
	if list == nil {
		return nil
	}
	if len(list) != p.Lots {
		return wrong(field, fmt.Sprintf("%d entries", len(list)), p.oneForEach())
	}
	left := most
	for lot, n := range list {
		if n < 0 || n > left {
			return wrong(fmt.Sprintf("%s of lot %d", field, lot), n, fmt.Sprintf("must be from 0, and all together at most %d", most))
		}
		left -= n
	}
	return nil
}

// checkAlike looks for lots of one kind that differ in weight or least cost.
func (p *Problem) checkAlike() error {
	first := map[int]int{}
	for lot, kind := range p.Kind {
		other, seen := first[kind]
		if !seen {
			first[kind] = lot
			continue
		}
		if p.Weight != nil && p.Weight[lot] != p.Weight[other] || p.Each != nil && p.Each[lot] != p.Each[other] {
			return wrong(fmt.Sprintf("Kind of lot %d", lot), kind,
				fmt.Sprintf("must differ from that of lot %d, which has another weight or least cost", other))
		}
	}
	return nil
}

// checkConstraints looks for numbers that are no lot.
func (p *Problem) checkConstraints() error {
	lots := append([][]int(nil), p.Together...)
	for _, pair := range p.Apart {
		if pair[0] == pair[1] {
			return wrong("Apart lot", pair[0], "must be kept apart from another lot")
		}
		lots = append(lots, pair[:])
	}
	for i, group := range lots {
		field := "Together"
		if i >= len(p.Together) {
			field = "Apart"
		}
		for _, lot := range group {
			if lot < 0 || lot >= p.Lots {
				return wrong(field+" lot", lot, fmt.Sprintf("must be from 0 to %d", p.Lots-1))
			}
		}
	}
	return nil
}

// merged returns the groups of lots that travel as one because of Together, in the order of their lowest lots.
func (p *Problem) merged() []Set {
	var out []Set
	for lot := range p.Lots {
		out = append(out, SetOf(lot))
	}
	for _, group := range p.Together {
		joined := SetOf(group...)
		var rest []Set
		for _, s := range out {
			if s&joined != 0 {
				joined |= s
			} else {
				rest = append(rest, s)
			}
		}
		if joined != 0 {
			out = append(rest, joined)
		}
	}
	sortSets(out)
	return out
}

// conflict returns an error when lots that travel as one must be apart.
func (p *Problem) conflict(merged []Set) error {
	for _, pair := range p.Apart {
		for _, s := range merged {
			if s.Has(pair[0]) && s.Has(pair[1]) {
				return &NoPlanError{Lots: SetOf(pair[:]...).Lots(), Conflict: true, Proven: true}
			}
		}
	}
	return nil
}

func lowest(s Set) int { return bits.TrailingZeros64(uint64(s)) }
