package partition

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
)

// check returns an error for input that makes no sense.
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
	case p.Figures != nil && p.ModeFloor == nil:
		return wrong("ModeFloor", "nil", "must be given with Figures")
	case p.Alone < 0 || p.Alone > mostFine:
		return wrong("Alone", p.Alone, "must be from 0 to 2^60")
	case p.Joined < p.Alone || p.Joined > mostFine:
		return wrong("Joined", p.Joined, "must be from Alone to 2^60")
	case o.Work < 0:
		return wrong("Work", o.Work, "must not be negative")
	}
	if err := cmp.Or(p.checkList("Weight", p.Weight, 1<<62-1), p.checkList("Each", p.Each, mostFine)); err != nil {
		return err
	}
	return cmp.Or(p.checkBrackets(), p.checkFigures(), p.checkKinds(), p.checkConstraints())
}

func wrong(field string, got any, remedy string) error {
	return &problemError{fmt.Sprintf("%s %q: %s", field, fmt.Sprint(got), remedy)}
}

func (p *Problem) short(field string, entries int) error {
	return wrong(field, fmt.Sprintf("%d entries", entries), fmt.Sprintf("must have one for each of the %d elements", p.Elements))
}

// checkList returns an error unless the list is nil or has an entry from 0 for each element, their
// sum at most most.
func (p *Problem) checkList(field string, list []int64, most int64) error {
	if list == nil {
		return nil
	}
	if len(list) != p.Elements {
		return p.short(field, len(list))
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

// checkFigures looks for figures that are not of each element.
func (p *Problem) checkFigures() error {
	for i, of := range p.Figures {
		field := fmt.Sprintf("Figures[%d]", i)
		if of == nil {
			return p.short(field, 0)
		}
		if err := p.checkList(field, of, 1<<62-1); err != nil {
			return err
		}
	}
	return nil
}

// checkKinds looks for elements of one kind of which something else is said. The lists of that fit.
func (p *Problem) checkKinds() error {
	if p.Kind != nil && len(p.Kind) != p.Elements {
		return p.short("Kind", len(p.Kind))
	}
	for element, kind := range p.Kind {
		other := slices.Index(p.Kind, kind)
		unlike := slices.ContainsFunc(p.lists(), func(list []int64) bool { return list != nil && list[element] != list[other] })
		if unlike || p.headed(element, other) {
			return wrong(fmt.Sprintf("Kind of element %d", element), kind,
				fmt.Sprintf("must differ from that of element %d, which has another weight, measure, least cost or figure", other))
		}
	}
	return nil
}

// headed reports whether something is asked once of parts that hold one element and not the other.
func (p *Problem) headed(element, other int) bool {
	return slices.ContainsFunc(p.levies(), func(l *Levy) bool {
		return slices.ContainsFunc(l.Heads, func(h Head) bool { return h.Of.Has(element) != h.Of.Has(other) })
	})
}

// levies returns all sums that brackets look at.
func (p *Problem) levies() (all []*Levy) {
	for i := range p.Brackets {
		if all = append(all, &p.Brackets[i].Levy); p.Brackets[i].Owing != nil {
			all = append(all, p.Brackets[i].Owing)
		}
	}
	return all
}

// lists returns what is said of each element.
func (p *Problem) lists() [][]int64 {
	lists := append([][]int64{p.Weight, p.Each, p.Measure}, p.Figures...)
	for _, l := range p.levies() {
		lists = append(lists, l.Each)
	}
	return lists
}

// checkConstraints looks for numbers that are no element.
func (p *Problem) checkConstraints() error {
	check := func(field string, elements []int) error {
		for _, element := range elements {
			if element < 0 || element >= p.Elements {
				return wrong(field+" element", element, fmt.Sprintf("must be from 0 to %d", p.Elements-1))
			}
		}
		return nil
	}
	for _, group := range p.Together {
		if err := check("Together", group); err != nil {
			return err
		}
	}
	for _, pair := range p.Apart {
		if pair[0] == pair[1] {
			return wrong("Apart element", pair[0], "must be kept apart from another element")
		}
		if err := check("Apart", pair[:]); err != nil {
			return err
		}
	}
	return nil
}

// Blocks returns the sets of elements that stay in one part because of Together, in the order of
// their lowest elements.
func (p *Problem) Blocks() []Set {
	var out []Set
	for _, element := range p.All().Elements() {
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
	slices.SortFunc(out, func(a, b Set) int { return cmp.Compare(lowest(a), lowest(b)) })
	return out
}

// All are the elements that are to be in parts.
func (p *Problem) All() Set { return ^Set(0) >> (MaxElements - p.Elements) &^ p.Out }

// Parted reports whether the set holds two elements that must be apart.
func (p *Problem) Parted(set Set) bool {
	return slices.ContainsFunc(p.Apart, func(pair [2]int) bool { return set.Has(pair[0]) && set.Has(pair[1]) })
}

// conflict returns an error when elements that travel as one must be apart.
func (p *Problem) conflict(merged []Set) error {
	for _, pair := range p.Apart {
		for _, s := range merged {
			if s.Has(pair[0]) && s.Has(pair[1]) {
				return &NoPlanError{Elements: SetOf(pair[:]...).Elements(), Conflict: true, proven: true}
			}
		}
	}
	return nil
}

func lowest(s Set) int { return bits.TrailingZeros64(uint64(s)) }
