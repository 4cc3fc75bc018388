package resale

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/source"
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

// noPriceError tells that there is no price for a sale: none meets its target, or the order is too
// heavy to be sent.
type noPriceError struct {
	venue, said string
	undecided   bool // the search was given up
}

// Error names the venue, if it has a name, what stands in the way and what would put it right.
func (e *noPriceError) Error() string { return at(e.venue) + e.said }

// Reason says why there is no price, in one line and without the venue.
func Reason(err error) string {
	if none, is := errors.AsType[*noPriceError](err); is {
		return none.said
	}
	return strings.ReplaceAll(err.Error(), "\n", "; ")
}
