package freight

import (
	"fmt"
	"strings"
	"time"

	"lotcost/landed/source"
)

// NotOfferedError tells that a service cannot be had on a day or for a destination.
type NotOfferedError struct{ service, why string }

// Error names the service, and what it is offered for.
func (e *NotOfferedError) Error() string { return fmt.Sprintf("service %q %s", e.service, e.why) }

func (s *Service) notOn(day time.Time) error {
	var offered []string
	if !s.From.IsZero() {
		offered = append(offered, "from "+date(s.From))
	}
	if !s.Until.IsZero() {
		offered = append(offered, "until "+date(s.Until))
	}
	return &NotOfferedError{s.Name, fmt.Sprintf("is not offered on %s: its prices hold %s", date(day), strings.Join(offered, " "))}
}

func (s *Service) notTo(zone string, known []string) error {
	return &NotOfferedError{s.Name, fmt.Sprintf("has no prices for zone %q: %s", zone, source.DidYouMean(zone, known))}
}

// InputError tells that a lot, or what is said about packing it or keeping it, makes no parcel.
type InputError struct{ lot, what, remedy string }

// Error names the lot where it is about one, what is wrong and the remedy.
func (e *InputError) Error() string {
	if e.lot == "" {
		return e.what + ": " + e.remedy
	}
	return fmt.Sprintf("lot %q: %s: %s", e.lot, e.what, e.remedy)
}

func inputError(what, remedy string) error { return &InputError{what: what, remedy: remedy} }

func date(t time.Time) string { return t.Format(time.DateOnly) }
