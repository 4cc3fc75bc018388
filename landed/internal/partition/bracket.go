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
	// That of the last is not looked at: it has no end. Counted is what each unit of Carriage adds
	// to the measure, in parts of 2^-[ShareBits], from 0 to [MostShare].
	UpTo, Counted int64
	// Fixed is of each part, and may be below zero; Each of each element in it, 0 or more; nil is
	// none. Both are in parts of 2^-[FineBits] of a minor unit. A part costs what they come to,
	// rounded up, or nothing where that is below zero.
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

// Levied returns what the brackets say that a part of some carriage costs at least.
func (p *Problem) Levied(elements Set, carriage int64) int64 {
	last, measure := len(p.Brackets)-1, elements.sum(p.Measure)
	at := slices.IndexFunc(p.Brackets[:last], func(b Bracket) bool { return measure+shareOf(carriage, b.Counted, 0) <= b.UpTo })
	if at < 0 {
		at = last
	}
	b := &p.Brackets[at]
	sum := b.Fixed + shareOf(carriage, b.Share, FineBits) + borne(carriage, elements.sum(b.Bears), elements.sum(p.Bearing)) + elements.sum(b.Each)
	for _, h := range b.Heads {
		if elements&h.Of != 0 {
			sum += h.Sum
		}
	}
	return rounded(sum)
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
	upTo, counted, fixed, share int64
	heads                       []head
	each, bears                 []int64
	least                       []int64 // each, with what a block bears at least of any carriage
}

// head is a Head by block.
type head struct {
	of  group
	sum int64
}

// asked is what the bracket asks of a group, beside that of its blocks.
func (b *bracket) asked(g group) int64 {
	sum := b.fixed
	for i := range b.heads {
		if g&b.heads[i].of != 0 {
			sum += b.heads[i].sum
		}
	}
	return sum
}

// askedOfAny is the least of asked for any part: all heads below nothing, and what the others ask
// of the block of which they ask least.
func (b *bracket) askedOfAny(all group) int64 {
	sum, least := b.fixed, int64(math.MaxInt64)
	for _, h := range b.heads {
		if h.sum < 0 && h.of != 0 {
			sum += h.sum
		}
	}
	for rest := all; rest != 0; rest &= rest - 1 {
		own := int64(0)
		for _, h := range b.heads {
			if h.sum > 0 && h.of.has(rest.first()) {
				own += h.sum
			}
		}
		least = min(least, own)
	}
	return sum + least
}

// onCarriage is what the bracket adds to a carriage at least, fine.
func (b *bracket) onCarriage(carriage int64) int64 { return shareOf(carriage, b.share, FineBits) }

// left is what the bracket leaves to the measure of a part of some carriage.
func (b *bracket) left(carriage int64) int64 { return b.upTo - shareOf(carriage, b.counted, 0) }

// shareOf is a share of an amount, in parts of so many binary places.
func shareOf(amount, share int64, places uint) int64 {
	return amount>>ShareBits*share<<places + amount&(1<<ShareBits-1)*share>>(ShareBits-places)
}

// brackets says what parts cost at least by their measure.
type brackets struct {
	list             []bracket
	measure, bearing []int64 // of each block
}

// of returns the place of the bracket of a measure and carriage.
func (b *brackets) of(measure, carriage int64) int {
	return slices.IndexFunc(b.list, func(b bracket) bool { return measure <= b.left(carriage) })
}

// newBrackets sums what is known of each element by block.
func (s *solver) newBrackets() brackets {
	b := brackets{measure: make([]int64, len(s.blocks)), bearing: make([]int64, len(s.blocks))}
	for i := range s.p.Brackets {
		from := &s.p.Brackets[i]
		b.list = append(b.list, bracket{upTo: from.UpTo, counted: from.Counted, fixed: from.Fixed, share: from.Share, heads: make([]head, len(from.Heads)), each: make([]int64, len(s.blocks)), bears: make([]int64, len(s.blocks))})
		if i == len(s.p.Brackets)-1 {
			b.list[i].upTo, b.list[i].counted = math.MaxInt64, 0
		}
	}
	for block, elements := range s.blocks {
		b.measure[block], b.bearing[block] = elements.sum(s.p.Measure), elements.sum(s.p.Bearing)
		for i, from := range s.p.Brackets {
			b.list[i].each[block], b.list[i].bears[block] = elements.sum(from.Each), elements.sum(from.Bears)
			for n, h := range from.Heads {
				b.list[i].heads[n].sum = h.Sum
				if elements&h.Of != 0 {
					b.list[i].heads[n].of |= 1 << block
				}
			}
		}
	}
	carriage, bearing := s.lightest(b.bearing)
	for i := range b.list {
		for block, each := range b.list[i].each {
			b.list[i].least = append(b.list[i].least, each+borne(carriage, b.list[i].bears[block], bearing))
		}
	}
	return b
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
		case i > 0 && i < len(p.Brackets)-1 && b.UpTo <= p.Brackets[i-1].UpTo:
			return wrong(field+"UpTo", b.UpTo, "must be above that of the bracket before")
		case b.Fixed < -mostFine || b.Fixed > mostFine:
			return wrong(field+"Fixed", b.Fixed, "must be from -2^60 to 2^60")
		case b.Share < 0 || b.Share > MostShare:
			return wrong(field+"Share", b.Share, "must be from 0 to 2^21")
		case b.Counted < 0 || b.Counted > MostShare:
			return wrong(field+"Counted", b.Counted, "must be from 0 to 2^21")
		case p.Measure == nil && len(p.Brackets) > 1:
			return wrong("Measure", "nil", "must be given with several Brackets")
		}
		left := int64(mostFine)
		for n, h := range b.Heads {
			if h.Sum < -left || h.Sum > left {
				return wrong(fmt.Sprintf("%sHeads[%d].Sum", field, n), h.Sum, "must be from -2^60 to 2^60, all together")
			}
			left -= max(h.Sum, -h.Sum)
		}
		if err := p.checkList(field+"Each", b.Each, mostFine); err != nil {
			return err
		}
		if err := p.checkBears(field, b.Bears); err != nil {
			return err
		}
	}
	return nil
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
