package freight

import (
	"fmt"
	"strings"
	"time"

	"lotcost/landed/source"
)

// NotOfferedError tells that a service cannot be had on a day.
type NotOfferedError struct {
	Service     string
	On          time.Time
	From, Until time.Time // the days it is offered; zero where open
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NotOfferedError) Error() string {
	var offered []string
	if !e.From.IsZero() {
		offered = append(offered, "from "+day(e.From))
	}
	if !e.Until.IsZero() {
		offered = append(offered, "until "+day(e.Until))
	}
	return fmt.Sprintf("service %q is not offered on %s: its prices hold %s", e.Service, day(e.On), strings.Join(offered, " "))
}

// NoZoneError tells that a service has no prices for a destination.
type NoZoneError struct {
	Service, Zone string
	Known         []string // the zones it has prices for
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoZoneError) Error() string {
	return fmt.Sprintf("service %q has no prices for zone %q: %s", e.Service, e.Zone, source.DidYouMean(e.Zone, e.Known))
}

// InputError tells that a lot, or what is said about packing it or keeping it,
// cannot be reckoned with.
type InputError struct {
	Lot    string // may be empty, when it is not about one lot
	What   string
	Remedy string
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *InputError) Error() string {
	if e.Lot == "" {
		return e.What + ": " + e.Remedy
	}
	return fmt.Sprintf("lot %q: %s: %s", e.Lot, e.What, e.Remedy)
}

func day(t time.Time) string { return t.Format(time.DateOnly) }
