package bid

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Reason tells apart, by errors.Is, what was asked of this package and cannot be. The
// fault it stands in says which lot or bid, and what would put it right.
type Reason string

// Error is the reason in a few words.
func (r Reason) Error() string { return string(r) }

// The reasons.
const (
	UnknownLot   Reason = "the lot to bid for is not there, or not named among several"
	NoCurrency   Reason = "the currency of the bids is not known"
	NotABid      Reason = "the price to judge is no bid"
	TooManyBids  Reason = "there are more bids to price than can be in reasonable time"
	NothingKnown Reason = "nothing has come of the haul yet"
)

func (r Reason) fault(what, remedy string) error {
	return source.Faults{{What: what, Remedy: remedy, Err: r}}
}

// ErrStopped tells that [Options.Goes] ended the search before there was an
// answer.
var ErrStopped = errors.New("the search was ended before there was an answer")

func unknownLot(id string, known []string) error {
	if id == "" {
		return UnknownLot.fault("there are several lots", "name the one to bid for with --lot, or in the file as bidding: lot, of "+strings.Join(known, ", "))
	}
	return UnknownLot.fault(fmt.Sprintf("no lot has the id %q", id), source.DidYouMean(id, known))
}

func notABid(bid money.Amount, in money.Currency) error {
	if bid.Currency() != in {
		return NotABid.fault(fmt.Sprintf("%q is not in %s, the currency of the bids", bid, in), "write it in "+in.Code())
	}
	return NotABid.fault(fmt.Sprintf("%q is no bid", bid), "write an amount of 0 or more")
}
