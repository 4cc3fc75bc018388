package doubles

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

func nothingToSell(kept bool) error {
	remedy := "let each piece carry its own cost"
	if kept {
		remedy = "keep fewer, or " + remedy
	}
	return source.Faults{{What: "no piece is to be sold, so none can carry the haul", Remedy: remedy, Asked: "carry"}}
}

func noCents(v *resale.Venue) error {
	return source.Faults{{What: fmt.Sprintf("prices at %s are in %s, which has no cents", v.Name, v.Currency), Remedy: "ask for whole prices, or at another venue", Asked: "ending"}}
}

func otherHaul() error {
	return source.Faults{{What: "the statement is not that of the haul", Remedy: "split the haul that is to be sold from", Asked: "statement"}}
}

func noSelling(h *landed.Haul) error {
	return source.Faults{{At: h.At, Field: "selling", What: "the file says nothing of selling",
		Remedy: "say where you would sell", Figure: "selling"}}
}
