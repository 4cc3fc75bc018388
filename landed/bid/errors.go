package bid

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/source"
)

// fault tells of what was asked and cannot be, by name: "lot", "currency", "bid" or "bids".
func fault(asked, what, remedy, figure string) error {
	return source.Faults{{What: what, Remedy: remedy, Figure: figure, Asked: asked}}
}

// ErrStopped tells that [Options.Goes] ended the search before there was an
// answer.
var ErrStopped = errors.New("the search was ended before there was an answer")

func unknownLot(id string, known []string, open bool) error {
	if id == "" {
		what := "there are several lots"
		if !open {
			what = "no lot is open any more"
		}
		return fault("lot", what, "name the one to bid for, of "+strings.Join(known, ", "), "lot")
	}
	return fault("lot", fmt.Sprintf("no lot has the id %q", id), source.DidYouMean(id, known), "")
}

func noCurrency(lot string) error {
	return fault("currency", fmt.Sprintf("nothing says in which currency lot %q is bid for", lot), "write the first bid", "first-bid")
}

func notABid(bid money.Amount, in money.Currency) error {
	if bid.Currency() != in {
		return fault("bid", fmt.Sprintf("%q is not in %s, the currency of the bids", bid, in), "write it in "+in.Code(), "")
	}
	return fault("bid", fmt.Sprintf("%q is no bid", bid), "write an amount of 0 or more", "")
}
