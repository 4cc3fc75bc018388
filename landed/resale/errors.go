package resale

import (
	"fmt"

	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// FieldError tells that one figure of a venue or a sale makes no sense.
type FieldError struct {
	Venue   string
	Field   string // such as `fee "commission", rate of band 2`
	Got     string // the figure as text
	Problem string // what is wrong
	Remedy  string // what would put it right
	At      Place
}

// Place says which figure of a venue an error is about: its key in files, behind
// that of a group it is in, as in "sales-tax rate", and,
// counted from 1, the fee, the band of it or the step of postage it belongs to;
// 0 where it belongs to none. It is the zero Place for a figure of a sale.
type Place struct {
	Fee, Band, Step int
	Key             string
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *FieldError) Error() string {
	return fmt.Sprintf("%s%s: %q %s: %s", at(e.Venue), e.Field, e.Got, e.Problem, e.Remedy)
}

// at begins a message with the venue, if it has a name.
func at(venue string) string {
	if venue == "" {
		return ""
	}
	return fmt.Sprintf("venue %q: ", venue)
}

// TierProblem says what is wrong between the bands of a fee.
type TierProblem uint8

// What can be wrong with a band.
const (
	TierGap     TierProblem = iota // it begins above the end of the band before
	TierOverlap                    // it begins below the end of the band before
	TierEmpty                      // it ends where it begins, or before
	TierAfter                      // it follows a band without an end
	TierEnds                       // it is the last band and has an end
)

// TierError tells that a band of a fee does not join the others.
type TierError struct {
	Venue, Fee string
	Band       int // from 1
	Problem    TierProblem
	From, UpTo money.Amount // of the band
	Before     money.Amount // where the band before ends; 0 for the first
	At         Place
}

// key is that of the end of a band that is wrong.
func (p TierProblem) key() string {
	if p == TierGap || p == TierOverlap {
		return "from"
	}
	return "up-to"
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *TierError) Error() string {
	return fmt.Sprintf("%s%s, band %d: %s", at(e.Venue), e.Fee, e.Band, e.text())
}

func (e *TierError) text() string {
	switch e.Problem {
	case TierGap:
		return fmt.Sprintf("it begins at %q, so nothing covers what is between %s and that: begin it at %s", e.From, e.Before, e.Before)
	case TierOverlap:
		return fmt.Sprintf("it begins at %q and overlaps the band before: begin it at %s, where that ends", e.From, e.Before)
	case TierEmpty:
		return fmt.Sprintf("it ends at %q, not above %s where it begins: raise its end or leave the band out", e.UpTo, e.From)
	case TierAfter:
		return "it follows a band without an end: give the band before an end, or leave this one out"
	}
	return fmt.Sprintf("it is the last and ends at %q, so nothing covers higher prices: leave out its end", e.UpTo)
}

// LimitsError tells that a fee's floor is above its cap.
type LimitsError struct {
	Venue, Fee string
	Floor, Cap money.Amount
	At         Place
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *LimitsError) Error() string {
	return fmt.Sprintf("%s%s: the floor %q is above the cap %q: exchange them or lower the floor", at(e.Venue), e.Fee, e.Floor, e.Cap)
}

// TakesAllError tells that a venue's percentages alone take every price whole.
type TakesAllError struct {
	Venue string
	Share decimal.Decimal // the least part of a price they take, as a fraction: 1 or more
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *TakesAllError) Error() string {
	return fmt.Sprintf("%sthe fees take %s of every price or more, so no price exists that leaves anything: lower a rate",
		at(e.Venue), money.FormatPercent(e.Share))
}

// WeightError tells that an order is too heavy for a postage table.
type WeightError struct {
	Venue         string
	Weight, Limit measure.Weight
	Pieces        int64 // in the order
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *WeightError) Error() string {
	remedy := "add a step, or sell it elsewhere"
	if e.Pieces > 1 {
		remedy = "add a step, or sell it in two orders"
	}
	return fmt.Sprintf("%spostage goes up to %s and the order weighs %q: %s", at(e.Venue), e.Limit, e.Weight, remedy)
}

// NotEligibleError tells that goods may not be sold under the margin scheme.
type NotEligibleError struct {
	Venue string
	Goods Goods
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NotEligibleError) Error() string {
	return fmt.Sprintf("%sthe margin scheme does not take %q that the seller imported: it wants goods bought within the "+
		"tax area from somebody who could not deduct the tax, and of imported goods only works of art, antiques over 100 years old "+
		"and collectors' pieces (Directive 2006/112/EC, articles 314 and 317): use the ordinary scheme, or say which of these they are",
		at(e.Venue), e.Goods)
}

// NoPrice says why there is no price.
type NoPrice uint8

// The reasons.
const (
	// TooHigh: every price that would do is above Max.
	TooHigh NoPrice = iota
	// TakesAll: of each further unit of price, fees, tax and target take one or
	// more, and no lower price does.
	TakesAll
	// Undecided: what is left hardly changes with the price, and rounding
	// alone would decide. The search was given up.
	Undecided
)

// NoPriceError tells that no price meets the target of a sale.
type NoPriceError struct {
	Venue  string
	Target string // as Target.String has it
	Reason NoPrice
	Share  decimal.Decimal // of each further unit at the highest prices, what fees, tax and target take, as a fraction
	Most   money.Amount    // the highest price there is
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoPriceError) Error() string {
	start := fmt.Sprintf("%sno price brings %s: ", at(e.Venue), e.Target)
	share := money.FormatPercent(e.Share)
	switch e.Reason {
	case TakesAll:
		return start + "fees, tax and target take " + share + " of each further unit of price: lower the target, or sell elsewhere"
	case Undecided:
		return start + "fees, tax and target take " + share + " of each further unit of price, and rounding alone would decide: lower the target"
	}
	return start + "it would have to be above " + e.Most.String() + ": lower the target, or sell elsewhere"
}
