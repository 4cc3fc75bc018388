package resale

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// FieldError tells that one figure of a venue or a sale makes no sense, or that its figures do not
// go together.
type FieldError struct {
	field string // in words, such as `fee "commission", rate of band 2`; "" for several together
	// Key is that of the figure in files, behind that of a group it is in, as in "sales-tax rate". Of
	// a sale's figures only the rate of value added tax has one, "rate".
	Key             string
	fee, band, step int // that it belongs to, counted from 1; 0 where it belongs to none

	venue string
	said  string // what is wrong and what would put it right
}

// Error names the venue, if it has a name, the figure, what is wrong and what would put it right.
func (e *FieldError) Error() string {
	text := at(e.venue)
	if e.field != "" {
		text += e.field + ": "
	}
	return text + e.said
}

// In finds the figure in a venue that was read.
func (e *FieldError) In(venue source.Origin) source.Origin {
	switch {
	case e.band > 0:
		fee := venue.Entry(e.fee-1, "fees")
		if percent := fee.Key("percent"); percent != fee { // it is the one band
			return percent
		}
		return fee.Entry(e.band-1, "tiers").Key(e.Key)
	case e.fee > 0:
		return venue.Entry(e.fee-1, "fees").Key(e.Key)
	case e.step > 0:
		return venue.Entry(e.step-1, "postage", "steps").Key(e.Key)
	}
	return venue.Key(strings.Fields(e.Key)...)
}

// at begins a message with the venue, if it has a name.
func at(venue string) string {
	if venue == "" {
		return ""
	}
	return fmt.Sprintf("venue %q: ", venue)
}

// weightError tells that an order is too heavy for a postage table.
type weightError struct {
	weight, limit measure.Weight

	venue  string
	pieces int64 // in the order
}

// Error says whether more steps are needed or several orders would do.
func (e *weightError) Error() string {
	remedy := "add a step, or sell it elsewhere"
	if e.pieces > 1 {
		remedy = "add a step, or sell it in two orders"
	}
	return fmt.Sprintf("%spostage goes up to %s and the order weighs %q: %s", at(e.venue), e.limit, e.weight, remedy)
}

// noPriceError tells that no price meets the target of a sale.
type noPriceError struct {
	// share is what fees, tax and target take of each further unit at the highest prices, as a
	// fraction. Of 1 or more the target is out of reach; else it asks for more than the highest
	// price, or so little is left that rounding alone would decide and the search was given up.
	share decimal.Decimal

	venue  string
	target Target
	why    noPrice
	most   money.Amount // the highest price there is
}

// noPrice says why there is no price.
type noPrice uint8

const (
	tooHigh noPrice = iota
	takesAll
	undecided
)

// Error says what stands in the way and what would put it right.
func (e *noPriceError) Error() string {
	start := fmt.Sprintf("%sno price makes %s: ", at(e.venue), e.target.Words())
	share := "fees, tax and target take " + money.FormatPercent(e.share) + " of each further unit of price"
	switch e.why {
	case takesAll:
		return start + share + ": lower the target, or sell elsewhere"
	case undecided:
		return start + share + ", and rounding alone would decide: lower the target"
	}
	return start + "it would have to be above " + e.most.String() + ": lower the target, or sell elsewhere"
}

// Reason says why there is no price, in one line and without the venue.
func Reason(err error) string {
	var none *noPriceError
	var heavy *weightError
	switch {
	case errors.As(err, &none):
		nameless := *none
		nameless.venue, err = "", &nameless
	case errors.As(err, &heavy):
		nameless := *heavy
		nameless.venue, err = "", &nameless
	}
	return strings.ReplaceAll(err.Error(), "\n", "; ")
}
