package doubles

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// What was asked of this package and cannot be.
const (
	NothingToSell source.Reason = "no piece is to be sold that could carry the haul"
	NoCents       source.Reason = "prices should end in cents which their currency does not have"
	OtherHaul     source.Reason = "the statement is of another haul"
)

func nothingToSell(kept bool) error {
	remedy := "let each piece carry its own cost"
	if kept {
		remedy = "keep fewer, or " + remedy
	}
	return source.Faults{{What: "no piece is to be sold, so none can carry the haul", Remedy: remedy, Err: NothingToSell}}
}

func noCents(v *resale.Venue) error {
	return source.Faults{{What: fmt.Sprintf("prices at %s are in %s, which has no cents", v.Name, v.Currency), Remedy: "ask for whole prices, or at another venue", Err: NoCents}}
}

func otherHaul() error {
	return source.Faults{{What: "the statement is not that of the haul", Remedy: "split the haul that is to be sold from", Err: OtherHaul}}
}

// noSelling tells that a haul says nothing of selling.
func noSelling(h *landed.Haul) error {
	return source.Faults{{At: h.At, Field: "selling", What: "the file says nothing of selling",
		Remedy: "say where you would sell", Figure: "selling"}}
}
