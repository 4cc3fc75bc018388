package parcels

import (
	"fmt"

	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Quote is what a service asks for a parcel. Amounts are in the service's currency.
type Quote struct {
	Service     *freight.Service
	Size        measure.Size   // of the box, outside; zero when not known
	Weight      measure.Weight // of the whole parcel
	Volumetric  measure.Weight // 0 when the size is not known or volume does not count
	Billed      measure.Weight
	SetBy       string       // what sets the billed weight: "actual", "volumetric" or "minimum"
	Step        string       // the weight step in words: "up to 1.5 kg"
	Total       money.Amount // the sum of the lines
	Lines       []Charge     // postage, then what else is asked: per parcel, fuel, insurance
	NextCheaper NextCheaper
	Cautions    []string // what the quote could not look at
}

// Charge is one thing that a service or a forwarder asks.
type Charge struct {
	What   string // of a service "postage", "per parcel", "fuel" or "insurance"; of a forwarder "per parcel", "per lot", "consolidation" or "storage"
	Lot    string // empty when it is for the parcel
	Figure string // what it is computed from; may be empty
	Amount money.Amount
}

// NextCheaper is the least weight that must go for the quote to fall. The zero
// value tells that no lighter parcel is cheaper.
type NextCheaper struct {
	Actual     measure.Weight // by how much the actual weight must fall; 0 when it need not
	Volumetric measure.Weight // the same for the volumetric weight
	Saves      money.Amount
}

// String shows it in words: "180 g less would save 9.40 CAD". It is empty for
// the zero value.
func (n NextCheaper) String() string {
	switch {
	case n == NextCheaper{}:
		return ""
	case n.Volumetric == 0:
		return fmt.Sprintf("%s less would save %s", n.Actual, n.Saves)
	case n.Actual == 0:
		return fmt.Sprintf("%s less volumetric weight would save %s", n.Volumetric, n.Saves)
	}
	return fmt.Sprintf("%s less, with %s less volumetric weight, would save %s", n.Actual, n.Volumetric, n.Saves)
}

// RefusedError tells that a service does not take a parcel, or that it cannot be had on a day or
// for a destination.
type RefusedError struct {
	Service string
	Why     string   // in words, behind its name
	Limits  []string // each limit that the parcel breaks, with the lots that break it by themselves; none where it cannot be had
}

// Broken tells which service refuses, and each limit that the parcel breaks.
func (e *RefusedError) Broken() (service string, limits []string) { return e.Service, e.Limits }

// Error names the service and each limit, with the lots to blame and by how much it is passed; or
// says what the service is offered for.
func (e *RefusedError) Error() string { return fmt.Sprintf("service %q %s", e.Service, e.Why) }
