package partition

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"
)

// check returns a *ProblemError for input that makes no sense.
func (p *Problem) check(o Options) error {
	switch {
	case p.Elements < 1 || p.Elements > MaxElements:
		return wrong("Elements", p.Elements, "must be from 1 to 64")
	case p.Modes < 1:
		return wrong("Modes", p.Modes, "must be 1 or more")
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

// checkLists looks at the lists that have an entry for each element.
func (p *Problem) checkLists() error {
	if err := p.checkList("Weight", p.Weight, 1<<62-1); err != nil {
		return err
	}
	if err := p.checkList("Each", p.Each, MaxCost); err != nil {
		return err
	}
	if p.Kind != nil && len(p.Kind) != p.Elements {
		return wrong("Kind", fmt.Sprintf("%d entries", len(p.Kind)), p.oneForEach())
	}
	return nil
}

func (p *Problem) oneForEach() string {
	return "must have one for each of the " + strconv.Itoa(p.Elements) + " elements"
}

// checkList returns an error unless the list is nil or has an entry from 0 for each element, their sum at most
// most.
func (p *Problem) checkList(field string, list []int64, most int64) error {
	if list == nil {
		return nil
	}
	if len(list) != p.Elements {
		return wrong(field, fmt.Sprintf("%d entries", len(list)), p.oneForEach())
	}
	left := most
	for element, n := range list {
		if n < 0 || n > left {
			return wrong(fmt.Sprintf("%s of element %d", field, element), n, fmt.Sprintf("must be from 0, and all together at most %d", most))
		}
		left -= n
	}
	return nil
}

// checkAlike looks for elements of one kind that differ in weight or least cost.
func (p *Problem) checkAlike() error {
	first := map[int]int{}
	for element, kind := range p.Kind {
		other, seen := first[kind]
		if !seen {
			first[kind] = element
			continue
		}
		if p.Weight != nil && p.Weight[element] != p.Weight[other] || p.Each != nil && p.Each[element] != p.Each[other] {
			return wrong(fmt.Sprintf("Kind of element %d", element), kind,
				fmt.Sprintf("must differ from that of element %d, which has another weight or least cost", other))
		}
	}
	return nil
}

// checkConstraints looks for numbers that are no element.
func (p *Problem) checkConstraints() error {
	elements := append([][]int(nil), p.Together...)
	for _, pair := range p.Apart {
		if pair[0] == pair[1] {
			return wrong("Apart element", pair[0], "must be kept apart from another element")
		}
		elements = append(elements, pair[:])
	}
	for i, group := range elements {
		field := "Together"
		if i >= len(p.Together) {
			field = "Apart"
		}
		for _, element := range group {
			if element < 0 || element >= p.Elements {
				return wrong(field+" element", element, fmt.Sprintf("must be from 0 to %d", p.Elements-1))
			}
		}
	}
	return nil
}

// Blocks returns the sets of elements that stay in one part because of Together, in the order of their lowest elements.
func (p *Problem) Blocks() []Set {
	var out []Set
	for element := range p.Elements {
		out = append(out, SetOf(element))
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

// Parted reports whether the set holds two elements that must be apart.
func (p *Problem) Parted(set Set) bool {
	return slices.ContainsFunc(p.Apart, func(pair [2]int) bool { return set.Has(pair[0]) && set.Has(pair[1]) })
}

// conflict returns an error when elements that travel as one must be apart.
func (p *Problem) conflict(merged []Set) error {
	for _, pair := range p.Apart {
		for _, s := range merged {
			if s.Has(pair[0]) && s.Has(pair[1]) {
				return &NoPlanError{Elements: SetOf(pair[:]...).Elements(), Conflict: true, Proven: true}
			}
		}
	}
	return nil
}

func lowest(s Set) int { return bits.TrailingZeros64(uint64(s)) }
