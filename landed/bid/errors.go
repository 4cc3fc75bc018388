package bid

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/source"
)

// What was asked of this package and cannot be.
const (
	UnknownLot   source.Reason = "the lot to bid for is not there, or not named among several"
	NoCurrency   source.Reason = "the currency of the bids is not known"
	NotABid      source.Reason = "the price to judge is no bid"
	TooManyBids  source.Reason = "there are more bids to price than can be in reasonable time"
	NothingKnown source.Reason = "nothing has come of the haul yet"
)

func fault(r source.Reason, what, remedy, figure string) error {
	return source.Faults{{What: what, Remedy: remedy, Figure: figure, Err: r}}
}

// ErrStopped tells that [Options.Goes] ended the search before there was an
// answer.
var ErrStopped = errors.New("the search was ended before there was an answer")

func unknownLot(id string, known []string) error {
	if id == "" {
		return fault(UnknownLot, "there are several lots", "name the one to bid for, of "+strings.Join(known, ", "), "lot")
	}
	return fault(UnknownLot, fmt.Sprintf("no lot has the id %q", id), source.DidYouMean(id, known), "")
}

func noCurrency(lot string) error {
	return fault(NoCurrency, fmt.Sprintf("nothing says in which currency lot %q is bid for", lot), "write the first bid", "first-bid")
}

func notABid(bid money.Amount, in money.Currency) error {
	if bid.Currency() != in {
		return fault(NotABid, fmt.Sprintf("%q is not in %s, the currency of the bids", bid, in), "write it in "+in.Code(), "")
	}
	return fault(NotABid, fmt.Sprintf("%q is no bid", bid), "write an amount of 0 or more", "")
}
