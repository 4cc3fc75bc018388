package selling

import (
	"fmt"

	"lotcost/landed/source"
)

func unknownVenue(name string, known []string) error {
	f := &source.Fault{What: fmt.Sprintf("no venue is called %q", name), Remedy: "the haul names none", Asked: "venue"}
	if len(known) > 0 {
		f.Remedy = source.DidYouMean(name, known)
	}
	return source.Faults{f}
}
