package doubles

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// NothingToSellError tells that the pieces to be sold should carry the haul,
// but there are none.
type NothingToSellError struct {
	Kept bool // some are kept
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NothingToSellError) Error() string {
	remedy := "let each piece carry its own cost"
	if e.Kept {
		remedy = "keep fewer, or " + remedy
	}
	return "no piece is to be sold, so none can carry the haul: " + remedy
}

// EndingError tells that prices should end in cents which their currency does
// not have.
type EndingError struct {
	Venue    string
	Currency money.Currency
}

// Error says what is wrong and what would put it right.
func (e *EndingError) Error() string {
	return fmt.Sprintf("prices at %s are in %s, which has no cents: ask for whole prices, or at another venue", e.Venue, e.Currency)
}

// OtherHaulError tells that a statement is of another haul.
type OtherHaulError struct{}

// Error says what is wrong and what would put it right.
func (*OtherHaulError) Error() string {
	return "the statement is not that of the haul: split the haul that is to be sold from"
}

// noSelling tells that a haul says nothing of selling.
func noSelling(h *landed.Haul) error {
	return source.Faults{{At: h.At, Field: "selling", What: "the file says nothing of selling",
		Remedy: "say where you would sell, as in selling: {venues: [{name: gable, fees: [{what: commission, percent: 12%}]}]}"}}
}
