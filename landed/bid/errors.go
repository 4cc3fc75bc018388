package bid

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/source"
)

// UnknownLotError tells that the lot to bid for is not there, or not named
// among several.
type UnknownLotError struct {
	ID    string // as asked for; empty when none was named
	Known []string
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *UnknownLotError) Error() string {
	if e.ID == "" {
		return "there are several lots: name the one to bid for with --lot, or in the file as bidding: lot, of " + strings.Join(e.Known, ", ")
	}
	return fmt.Sprintf("no lot has the id %q: %s", e.ID, source.DidYouMean(e.ID, e.Known))
}

// NoCurrencyError tells that the currency of the bids is not known.
type NoCurrencyError struct{ Lot string }

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoCurrencyError) Error() string {
	return fmt.Sprintf("nothing says in which currency lot %q is bid for: write the first bid, as in bidding: {start: 500 JPY}", e.Lot)
}

// BidError tells that a price to judge is no bid.
type BidError struct {
	Bid  money.Amount
	Want money.Currency // of the bids
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *BidError) Error() string {
	if e.Bid.Currency() != e.Want {
		return fmt.Sprintf("%q is not in %s, the currency of the bids: write it in %s", e.Bid, e.Want, e.Want)
	}
	return fmt.Sprintf("%q is no bid: write an amount of 0 or more", e.Bid)
}

// TooManyStepsError tells that there are more bids to price than can be priced
// in reasonable time.
type TooManyStepsError struct {
	Most int          // how many are priced
	Step money.Amount // by which bids rise where it was given up
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *TooManyStepsError) Error() string {
	return fmt.Sprintf("more than %d bids are within the goal, at steps of %q: make the steps larger, or the goal smaller", e.Most, e.Step)
}

// NothingKnownError tells that nothing has come of a haul yet.
type NothingKnownError struct{}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NothingKnownError) Error() string {
	return "nothing is known of what came: write what was found of an item, as in found: {sound: 2}, or at which prices its pieces were sold, as in sold: [41 CAD]"
}

// ErrStopped tells that [Options.Goes] ended the search before there was an
// answer.
var ErrStopped = errors.New("the search was ended before there was an answer")
