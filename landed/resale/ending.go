package resale

import (
	"math"

	"lotcost/landed/money"
)

// Ending is what the last digits of a price look like.
type Ending uint8

// The endings. In a currency without minor units every price is whole already
// and none of them changes anything; nor does one that is not of these.
const (
	AnyEnding  Ending = iota
	Whole00           // 38.00
	NinetyFive        // 37.95, or 37.950 where the currency has three digits
	NinetyNine        // 37.99, or 37.990
)

// RoundToEnding returns the smallest price with an ending, from 0 upwards, that
// is not below p. It may lie in a gap: [PriceEnding] is the one that meets a target. Where that
// price would not fit an Amount, p is returned.
func RoundToEnding(p money.Amount, ending Ending) money.Amount {
	up := endingFrom(max(p.Minor(), 0), ending, p.Currency().Digits())
	return money.New(up, p.Currency())
}

func endingFrom(p int64, ending Ending, digits int) int64 {
	if ending == AnyEnding || ending > NinetyNine || digits == 0 {
		return p
	}
	major := int64(1)
	for range digits {
		major *= 10
	}
	tail := [...]int64{Whole00: 0, NinetyFive: 95, NinetyNine: 99}[ending] * major / 100
	add := (tail - p%major + major) % major
	if p > math.MaxInt64-add {
		return p
	}
	return p + add
}

// PriceEnding is [Price] for prices with an ending: the smallest of them at
// which the target of the sale is met, with the gaps above it.
func PriceEnding(s *Sale, ending Ending) (Answer, error) {
	c, err := Compile(s)
	if err != nil {
		return Answer{}, err
	}
	need := c.need(c.f.cost)
	price, end := c.nextEnding(need, ending)
	if end != yes {
		return Answer{}, c.noPrice(s.Target, end)
	}
	return c.answer(price, need), nil
}

// nextEnding tries, from each price that would do, the next with the ending.
// That fails only in a gap, so there are about as many tries as gaps.
func (s *Schedule) nextEnding(need int64, ending Ending) (int64, found) {
	digits := s.f.venue.Currency.Digits()
	var price int64
	for range mostLeaps {
		plain, end := s.next(price, need)
		if end != yes {
			return 0, end
		}
		price = endingFrom(plain, ending, digits)
		switch {
		case price > Max:
			return 0, none
		case s.f.kept(&s.pieces[s.at(price)], price) >= need:
			return price, yes
		}
		price++
	}
	return 0, gaveUp
}
