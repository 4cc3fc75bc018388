package selling

import (
	"fmt"

	"lotcost/landed/source"
)

// UnknownVenue tells that no venue has the name asked for.
const UnknownVenue source.Reason = "no venue has that name"

func unknownVenue(name string, known []string) error {
	f := &source.Fault{What: fmt.Sprintf("no venue is called %q", name), Remedy: "the haul names none", Err: UnknownVenue}
	if len(known) > 0 {
		f.Remedy = source.DidYouMean(name, known)
	}
	return source.Faults{f}
}
