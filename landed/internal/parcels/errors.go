package parcels

import (
	"fmt"
	"strings"
	"time"

	"lotcost/landed/freight"
)

func notOn(s *freight.Service, day time.Time) error {
	var offered []string
	if !s.From.IsZero() {
		offered = append(offered, "from "+date(s.From))
	}
	if !s.Until.IsZero() {
		offered = append(offered, "until "+date(s.Until))
	}
	return &RefusedError{Service: s.Name, Why: fmt.Sprintf("is not offered on %s: its prices hold %s", date(day), strings.Join(offered, " "))}
}

// badLot tells that a lot, or what is said about packing it or keeping it, makes no parcel.
func badLot(id, what, remedy string) error {
	if id == "" {
		return badInput(what, remedy)
	}
	return fmt.Errorf("lot %q: %s: %s", id, what, remedy)
}

func badInput(what, remedy string) error { return fmt.Errorf("%s: %s", what, remedy) }

func date(t time.Time) string { return t.Format(time.DateOnly) }
