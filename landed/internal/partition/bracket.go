package partition

import (
	"fmt"
	"math"
	"slices"
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
	// Due is asked besides of a part that holds an element of Sure: 0 or more, fine as well.
	Due  int64
	Sure Set
	// Share is what is added to each unit of Carriage, in parts of 2^-[ShareBits], from 0 to
	// [MostShare].
	Share int64
}

// FineBits are the binary places of what a [Bracket] asks, ShareBits those of its Share; MostShare
// is the most of that.
const FineBits, ShareBits, MostShare = 10, 20, 1 << 21

// Levied returns what the brackets say that a part costs at least of such a measure and carriage.
func (p *Problem) Levied(elements Set, measure, carriage int64) int64 {
	last := len(p.Brackets) - 1
	at := slices.IndexFunc(p.Brackets[:last], func(b Bracket) bool { return measure+shareOf(carriage, b.Counted, 0) <= b.UpTo })
	if at < 0 {
		at = last
	}
	sum := p.Brackets[at].Fixed + shareOf(carriage, p.Brackets[at].Share, FineBits)
	if elements&p.Brackets[at].Sure != 0 {
		sum += p.Brackets[at].Due
	}
	for i, each := range p.Brackets[at].Each {
		if elements.Has(i) {
			sum += each
		}
	}
	return rounded(sum)
}

// rounded brings a fine sum up to a minor unit, since costs are whole ones; below zero it is
// nothing.
func rounded(fine int64) int64 { return max(0, ceilShift(fine, FineBits)) }

// bracket is a Bracket by block.
type bracket struct {
	upTo, counted, fixed, share, due int64
	sure                             group
	each                             []int64
}

// asked is what the bracket asks of a group, beside that of its blocks.
func (b *bracket) asked(g group) int64 {
	if g&b.sure != 0 {
		return b.fixed + b.due
	}
	return b.fixed
}

// onCarriage is what the bracket adds to a carriage, fine.
func (b *bracket) onCarriage(carriage int64) int64 { return shareOf(carriage, b.share, FineBits) }

// left is what the bracket leaves to the measure of a part of some carriage.
func (b *bracket) left(carriage int64) int64 { return b.upTo - shareOf(carriage, b.counted, 0) }

// shareOf is a share of an amount, in parts of so many binary places.
func shareOf(amount, share int64, places uint) int64 {
	return amount>>ShareBits*share<<places + amount&(1<<ShareBits-1)*share>>(ShareBits-places)
}

// brackets says what parts cost at least by their measure.
type brackets struct {
	list    []bracket
	measure []int64 // of each block
}

// of returns the place of the bracket of a measure and carriage.
func (b *brackets) of(measure, carriage int64) int {
	return slices.IndexFunc(b.list, func(b bracket) bool { return measure <= b.left(carriage) })
}

// newBrackets sums what is known of each element by block.
func (s *solver) newBrackets() brackets {
	b := brackets{measure: make([]int64, len(s.blocks))}
	for i := range s.p.Brackets {
		from := &s.p.Brackets[i]
		b.list = append(b.list, bracket{upTo: from.UpTo, counted: from.Counted, fixed: from.Fixed, share: from.Share, due: from.Due, each: make([]int64, len(s.blocks))})
		if i == len(s.p.Brackets)-1 {
			b.list[i].upTo, b.list[i].counted = math.MaxInt64, 0
		}
	}
	for block, elements := range s.blocks {
		b.measure[block] = elements.sum(s.p.Measure)
		for i, from := range s.p.Brackets {
			b.list[i].each[block] = elements.sum(from.Each)
			if elements&from.Sure != 0 {
				b.list[i].sure |= 1 << block
			}
		}
	}
	return b
}

// mostFine bounds fine sums.
const mostFine = MaxCost << FineBits

// checkBrackets looks for brackets that are not in order or leave their range.
func (p *Problem) checkBrackets() error {
	if err := p.checkList("Measure", p.Measure, 1<<62-1); err != nil {
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
		case b.Due < 0 || b.Due > mostFine:
			return wrong(field+"Due", b.Due, "must be from 0 to 2^60")
		case b.Share < 0 || b.Share > MostShare:
			return wrong(field+"Share", b.Share, "must be from 0 to 2^21")
		case b.Counted < 0 || b.Counted > MostShare:
			return wrong(field+"Counted", b.Counted, "must be from 0 to 2^21")
		case p.Measure == nil && len(p.Brackets) > 1:
			return wrong("Measure", "nil", "must be given with several Brackets")
		}
		if err := p.checkList(field+"Each", b.Each, mostFine); err != nil {
			return err
		}
	}
	return nil
}
