package bid

import (
	"errors"
	"fmt"

	"lotcost/landed/source"
)

// fault tells of what was asked and cannot be, by name: "lot", "currency", "bid" or "bids".
func fault(asked, what, remedy, figure string) error {
	return source.Faults{{What: what, Remedy: remedy, Figure: figure, Asked: asked}}
}

// ErrStopped tells that [Options.Goes] ended the search before there was an
// answer.
var ErrStopped = errors.New("the search was ended before there was an answer")

func noCurrency(lot string) error {
	return source.Faults{{What: fmt.Sprintf("nothing says in which currency lot %q is bid for", lot), Remedy: "write the first bid", Figure: "first-bid", Or: "what it may go for, as its likely", Asked: "currency"}}
}
