package partition

import (
	"fmt"
	"math"
	"slices"

	"lotcost/landed/internal/exact"
)

// Bracket is what parts of some measure cost at least, beyond Carriage and Each of the [Problem].
type Bracket struct {
	// UpTo is the greatest measure in the bracket, which has the parts that are in none before it.
	// Counted is what each unit of Carriage adds to the measure, in parts of 2^-[ShareBits], from 0
	// to [MostShare]. Parts of which Owing, where it is given, is above nothing are not in it. The
	// last has all that are in no other.
	UpTo, Counted int64
	Owing         *Levy
	// Surely says that parts which cost more to carry than Carriage tells may be asked less: those
	// that it then does not have. Else brackets hold for any carriage that a part costs at least.
	Surely bool
	// A part costs what the sum comes to, rounded up, or nothing where that is below zero.
	Levy
}

// Levy is a sum that is asked of a part.
type Levy struct {
	// Fixed is of each part, and may be below zero; Each of each element in it, 0 or more; nil is
	// none. Both are in parts of 2^-[FineBits] of a minor unit.
	Fixed int64
	Each  []int64
	// Heads are asked besides of a part that holds any of their elements.
	Heads []Head
	// Share is what is added to each unit of Carriage, in parts of 2^-[ShareBits], from 0 to
	// [MostShare]. Bears is how much of the Bearing of each element bears as much again as it is
	// of the part's Bearing, from 0 to all of it: nil is none.
	Share int64
	Bears []int64
}

// Head is what is asked once of a part that holds any of some elements: fine, and with others of
// its bracket no more than 2^60, below zero or above.
type Head struct {
	Of  Set
	Sum int64
}

// FineBits are the binary places of what a [Bracket] asks, ShareBits those of its Share; MostShare
// is the most of that.
const FineBits, ShareBits, MostShare = 10, 20, 1 << 21

// Levied returns what the brackets say that a part of some carriage, or a greater one, is asked at
// least.
func (p *Problem) Levied(elements Set, carriage int64) int64 {
	least, last, measure := int64(math.MaxInt64), len(p.Brackets)-1, elements.sum(p.Measure)
	for at := range p.Brackets {
		b := &p.Brackets[at]
		if at < last && (measure+shareOf(carriage, b.Counted, 0) > b.UpTo || b.Owing != nil && p.levied(b.Owing, elements, carriage) > 0) {
			continue
		}
		if least = min(least, p.levied(&b.Levy, elements, carriage)); !b.Surely {
			break
		}
	}
	return rounded(least)
}

func (p *Problem) levied(l *Levy, elements Set, carriage int64) int64 {
	sum := l.Fixed + shareOf(carriage, l.Share, FineBits) + borne(carriage, elements.sum(l.Bears), elements.sum(p.Bearing)) + elements.sum(l.Each)
	for _, h := range l.Heads {
		if elements&h.Of != 0 {
			sum += h.Sum
		}
	}
	return sum
}

// borne is what is asked of a carriage where elements that bear so much of it are charged, fine.
func borne(carriage, bears, bearing int64) int64 {
	if bears == 0 || bearing == 0 {
		return 0
	}
	q, _, _ := exact.MulDiv(uint64(carriage)<<FineBits, uint64(bears), uint64(bearing))
	return int64(q)
}

// rounded brings a fine sum up to a minor unit, since costs are whole ones; below zero it is
// nothing.
func rounded(fine int64) int64 { return max(0, ceilShift(fine, FineBits)) }

// bracket is a Bracket by block.
type bracket struct {
	upTo, counted int64
	owing         *levy
	surely        bool
	levy
}

// levy is a Levy by block.
type levy struct {
	fixed, share int64
	heads        []head
	each, bears  []int64
	least        []int64 // each, with what a block bears at least of any carriage
}

// head is a Head by block.
type head struct {
	of  group
	sum int64
}

// asked is what is asked of a group, beside that of its blocks.
func (b *levy) asked(g group) int64 { return b.with(func(h *head) bool { return g&h.of != 0 }) }

// askedOfAny is the least of asked for any part: all heads below nothing, and what the others ask
// of the block of which they ask least.
func (b *levy) askedOfAny(all group) int64 {
	least := int64(math.MaxInt64)
	for rest := all; rest != 0; rest &= rest - 1 {
		own := b.with(func(h *head) bool { return h.sum > 0 && h.of.has(rest.first()) })
		least = min(least, own-b.fixed)
	}
	return b.askedOfAll() + least
}

// askedOfAll is what is asked of a part whatever is in it: all heads below nothing.
func (b *levy) askedOfAll() int64 {
	return b.with(func(h *head) bool { return h.sum < 0 && h.of != 0 })
}

// askedOfMost is what is asked of a part beside its blocks at most: all heads above nothing.
func (b *levy) askedOfMost() int64 { return b.with(func(h *head) bool { return h.sum > 0 }) }

// with is what is asked of each part, and some heads.
func (b *levy) with(such func(*head) bool) int64 {
	sum := b.fixed
	for i := range b.heads {
		if such(&b.heads[i]) {
			sum += b.heads[i].sum
		}
	}
	return sum
}

// onCarriage is what is added to a carriage at least, fine.
func (b *levy) onCarriage(carriage int64) int64 { return shareOf(carriage, b.share, FineBits) }

// left is what the bracket leaves to the measure of a part of some carriage.
func (b *bracket) left(carriage int64) int64 { return b.upTo - shareOf(carriage, b.counted, 0) }

// free is what blocks of a part of some carriage, each counted by the least that is asked of it,
// come to while nothing may be asked.
func (b *levy) free(carriage int64) int64 { return -b.askedOfAll() - b.onCarriage(carriage) }

// shareOf is a share of an amount, in parts of so many binary places.
func shareOf(amount, share int64, places uint) int64 {
	return amount>>ShareBits*share<<places + amount&(1<<ShareBits-1)*share>>(ShareBits-places)
}

// brackets says what parts cost at least by their measure.
type brackets struct {
	list             []bracket
	measure, bearing []int64 // of each block
}

// beyond is a carriage below which parts of some measure are not beyond the bracket.
func (b *bracket) beyond(measure int64) int64 {
	if b.owing != nil {
		return 0
	}
	return max(0, min(mulDiv(b.upTo-measure+1, 1<<ShareBits, max(1, b.counted)), MaxCost+1))
}

// passable reports whether parts may be asked less for being dear to carry.
func (b *brackets) passable() bool {
	return slices.ContainsFunc(b.list, func(b bracket) bool { return b.surely })
}

// of returns the place of the bracket of a measure and carriage, from one on, asking what is owing
// where that matters.
func (b *brackets) of(at int, measure, carriage int64, owing func(bracket int) int64) int {
	for measure > b.list[at].left(carriage) || b.list[at].owing != nil && owing(at) > 0 {
		at++
	}
	return at
}

// asked is what a levy asks of a group.
func (b *brackets) asked(l *levy, g group, carriage int64) int64 {
	return l.asked(g) + g.sum(l.each) + borne(carriage, g.sum(l.bears), g.sum(b.bearing)) + l.onCarriage(carriage)
}

// surely is the place of the first bracket that may have parts of a block and others.
func (s *solver) surely(block int) int {
	b, carriage := &s.levies, s.steps.at(s.weight[block])
	return b.of(0, b.measure[block], carriage, func(at int) int64 { return b.list[at].owing.least[block] - b.list[at].owing.free(carriage) })
}

// newBrackets sums what is known of each element by block.
func (s *solver) newBrackets() brackets {
	b := brackets{measure: make([]int64, len(s.blocks)), bearing: make([]int64, len(s.blocks))}
	for block, elements := range s.blocks {
		b.measure[block], b.bearing[block] = elements.sum(s.p.Measure), elements.sum(s.p.Bearing)
	}
	carriage, bearing := s.lightest(b.bearing)
	for i := range s.p.Brackets {
		from := &s.p.Brackets[i]
		b.list = append(b.list, bracket{upTo: from.UpTo, counted: from.Counted, surely: from.Surely, levy: s.newLevy(&from.Levy, carriage, bearing)})
		if from.Owing != nil {
			owing := s.newLevy(from.Owing, carriage, bearing)
			b.list[i].owing = &owing
		}
	}
	if last := len(b.list) - 1; last >= 0 {
		end := &b.list[last]
		end.upTo, end.counted, end.owing, end.surely = math.MaxInt64, 0, nil, false
	}
	return b
}

// newLevy sums by block; the least carriage for what may bear it is so much for a bearing.
func (s *solver) newLevy(from *Levy, carriage, bearing int64) levy {
	l := levy{fixed: from.Fixed, share: from.Share, heads: make([]head, len(from.Heads))}
	for block, elements := range s.blocks {
		each, bears := elements.sum(from.Each), elements.sum(from.Bears)
		l.each, l.bears, l.least = append(l.each, each), append(l.bears, bears), append(l.least, each+borne(carriage, bears, bearing))
		for n, h := range from.Heads {
			l.heads[n].sum = h.Sum
			if elements&h.Of != 0 {
				l.heads[n].of |= 1 << block
			}
		}
	}
	return l
}

// lightest is the carriage of the step that asks least for what may bear it.
func (s *solver) lightest(bearing []int64) (carriage, over int64) {
	most := s.mostOf(bearing)
	for k, cost := range s.steps.cost {
		of := most(s.steps.upTo[k])
		if over == 0 || exact.Product(uint64(cost), uint64(over)).Cmp(exact.Product(uint64(carriage), uint64(of))) < 0 {
			carriage, over = cost, of
		}
	}
	return carriage, over
}

// mostOf tells how much of something there may be in a part of some weight: of the blocks that
// have most of it for their weight, and of a part of one.
func (s *solver) mostOf(of []int64) func(weight int64) int64 {
	blocks := make([]int, len(s.blocks))
	for b := range blocks {
		blocks[b] = b
	}
	slices.SortFunc(blocks, func(a, b int) int { // of[b]/weight[b] against of[a]/weight[a]
		return exact.Product(uint64(of[b]), uint64(s.weight[a])).Cmp(exact.Product(uint64(of[a]), uint64(s.weight[b])))
	})
	return func(weight int64) (most int64) {
		for _, b := range blocks {
			if weight < s.weight[b] {
				return most + 1 + mulDiv(of[b], weight, s.weight[b])
			}
			most, weight = most+of[b], weight-s.weight[b]
		}
		return most
	}
}

// mostFine bounds fine sums.
const mostFine = MaxCost << FineBits

// checkBrackets looks for brackets that are not in order or leave their range.
func (p *Problem) checkBrackets() error {
	if err := p.checkList("Measure", p.Measure, 1<<62-1); err != nil {
		return err
	}
	if err := p.checkList("Bearing", p.Bearing, 1<<62-1); err != nil {
		return err
	}
	for i := range p.Brackets {
		b := &p.Brackets[i]
		field := fmt.Sprintf("Brackets[%d].", i)
		switch {
		case b.Counted < 0 || b.Counted > MostShare:
			return wrong(field+"Counted", b.Counted, "must be from 0 to 2^21")
		case p.Measure == nil && len(p.Brackets) > 1:
			return wrong("Measure", "nil", "must be given with several Brackets")
		}
		if err := p.checkLevy(field, &b.Levy); err != nil {
			return err
		}
		if b.Owing != nil {
			if err := p.checkLevy(field+"Owing.", b.Owing); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkLevy looks for a sum that leaves its range.
func (p *Problem) checkLevy(field string, l *Levy) error {
	switch {
	case l.Fixed < -mostFine || l.Fixed > mostFine:
		return wrong(field+"Fixed", l.Fixed, "must be from -2^60 to 2^60")
	case l.Share < 0 || l.Share > MostShare:
		return wrong(field+"Share", l.Share, "must be from 0 to 2^21")
	}
	left := int64(mostFine)
	for n, h := range l.Heads {
		if h.Sum < -left || h.Sum > left {
			return wrong(fmt.Sprintf("%sHeads[%d].Sum", field, n), h.Sum, "must be from -2^60 to 2^60, all together")
		}
		left -= max(h.Sum, -h.Sum)
	}
	if err := p.checkList(field+"Each", l.Each, mostFine); err != nil {
		return err
	}
	return p.checkBears(field, l.Bears)
}

// checkBears looks for an element that bears more than what it weighs.
func (p *Problem) checkBears(field string, bears []int64) error {
	if bears != nil && p.Bearing == nil {
		return wrong("Bearing", "nil", "must be given with Bears")
	}
	for i, of := range bears {
		if i < len(p.Bearing) && of > p.Bearing[i] {
			return wrong(fmt.Sprintf("%sBears of element %d", field, i), of, "must be no more than its Bearing")
		}
	}
	return p.checkList(field+"Bears", bears, 1<<62-1)
}
