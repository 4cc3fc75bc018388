package resale

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Ending is what the last digits of a price look like.
type Ending uint8

// The endings. In a currency without minor units every price is whole already and none of them
// changes anything; nor does one that is not of these.
const (
	AnyEnding  Ending = iota
	Whole00           // 38.00
	NinetyFive        // 37.95, or 37.950 where the currency has three digits
	NinetyNine        // 37.99, or 37.990
)

// Least is the smallest price that meets the target of a sale.
type Least struct {
	Price money.Amount // in the venue's currency
	Gaps  []Gap        // prices above Price that miss the target, by rising price; nothing below Price meets it
	More  bool         // there are more than 100 gaps, or they could not all be distinguished
}

// Gap is a range of prices, both ends included, at every one of which the target is missed.
type Gap struct {
	From, To  money.Amount
	Shortfall money.Amount // the most that is missing in it
	// Why says, in plain words, why a higher price leaves less; "" is that several amounts round up
	// together, which makes a few units at most.
	Why string
	Fee string // the name of the fee that steps up to a higher rate of the whole, where that is the cause
	// OfTarget is set where a target is missed, and not where something is lost.
	OfTarget bool
	NoEnd    bool // no higher price meets the target: To is the highest there is
}

const mostGaps = 100

// price finds the least price with an ending at which need is kept.
func (s *schedule) price(need int64, t Target, ending Ending) (Least, error) {
	price, end := s.nextEnding(need, ending)
	if end != yes {
		return Least{}, s.noPrice(t, end)
	}
	least := Least{Price: s.f.amount(price)}
	least.Gaps, least.More = s.gaps(price, need)
	for i := range least.Gaps {
		least.Gaps[i].OfTarget = !t.IsZero()
	}
	return least, nil
}

// noPrice tells why no price meets a target: fees, tax and target take all of each further unit, or
// so much that rounding alone would decide, or it asks for more than the highest price.
func (s *schedule) noPrice(t Target, end found) error {
	top := s.pieces[len(s.pieces)-1].down
	why := "fees, tax and target take " + money.FormatPercent(decimal.New(unit-top, -12).Round(6)) + " of each further unit of price"
	switch {
	case end == gaveUp:
		why += ", and rounding alone would decide: lower the target"
	case top <= 0:
		why += ": lower the target, or sell elsewhere"
	default:
		why = "it would have to be above " + s.f.amount(highest).String() + ": lower the target, or sell elsewhere"
	}
	return &noPriceError{s.f.venue.Name, "no price makes " + t.Words() + ": " + why, end == gaveUp}
}

// gaps lists the ranges above a price at which need is missed.
func (s *schedule) gaps(price, need int64) (gaps []Gap, more bool) {
	for {
		from, end := s.nextMiss(price+1, need)
		if end != yes {
			return gaps, end == gaveUp
		}
		if len(gaps) == mostGaps {
			return gaps, true
		}
		price, end = s.next(from, need)
		if end == gaveUp {
			return gaps, true
		}
		gaps = append(gaps, s.gap(from, price, need, end))
		if end == none {
			return gaps, false
		}
	}
}

func (s *schedule) gap(from, next, need int64, end found) Gap {
	to := next - 1
	if end == none {
		to = highest
	}
	g := Gap{From: s.f.amount(from), To: s.f.amount(to), NoEnd: end == none}
	g.Shortfall = s.f.amount(need - s.leastKept(from, to))
	g.Why, g.Fee = s.cause(from, to)
	return g
}

// cause says why the prices of a gap miss. A step up within one that begins by rounding is its
// cause: it is what makes it wide.
func (s *schedule) cause(from, to int64) (why, fee string) {
	const steep = "fees take more than each unit of price adds"
	first := s.at(from)
	if p := &s.pieces[first]; p.down < 0 && (from > p.first || p.edge < 0) {
		return steep, ""
	}
	for i := first; i < len(s.pieces) && s.pieces[i].first <= to; i++ {
		p := &s.pieces[i]
		if p.edge >= 0 && p.first >= from {
			fee = s.f.lines[p.edge].fee.What
			return "the " + fee + " is higher", fee
		}
		if p.down < 0 {
			why = steep
		}
	}
	return why, ""
}

// endingFrom is the smallest price with an ending that is not below p.
func endingFrom(p int64, ending Ending, digits int) int64 {
	if ending == AnyEnding || ending > NinetyNine || digits == 0 {
		return p
	}
	major := int64(1)
	for range digits {
		major *= 10
	}
	tail := [...]int64{Whole00: 0, NinetyFive: 95, NinetyNine: 99}[ending] * major / 100
	return p + (tail-p%major+major)%major
}

// nextEnding tries, from each price that would do, the next with the ending. That fails only in a
// gap, so there are about as many tries as gaps.
func (s *schedule) nextEnding(need int64, ending Ending) (int64, found) {
	digits := s.f.venue.Currency.Digits()
	var price int64
	for range mostLeaps {
		plain, end := s.next(price, need)
		if end != yes {
			return 0, end
		}
		price = endingFrom(plain, ending, digits)
		switch {
		case price > highest:
			return 0, none
		case s.f.kept(&s.pieces[s.at(price)], price) >= need:
			return price, yes
		}
	}
	return 0, gaveUp
}
