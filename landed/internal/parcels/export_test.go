package parcels

import (
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/measure"
)

// What the tests hold against their own computation, one step at a time.

var (
	Sorted          = sorted
	LengthPlusGirth = lengthPlusGirth
	Volumetric      = volumetric
)

// Ask is [Tariff.Ask] of what [Compile] makes of a service.
func Ask(s *freight.Service, boxes []Box, on time.Time, zone string) (Quote, error) {
	t, err := Compile(s, zone, on)
	if err != nil {
		return Quote{}, err
	}
	return t.Ask(boxes)
}

func (t *Tariff) Heaviest() measure.Weight { return t.heaviest() }

func (t *Tariff) Cost(w measure.Weight) (int64, bool) { return t.cost(w) }

func (t *Tariff) Insurance(value int64) (int64, bool) { return t.insurance(value) }

func (b *Box) Sized() bool { return b.sized() }

// By is by how much the limit is passed, in nanograms, micrometres or minor units.
func (b *breach) By() int64 { return b.found - b.allowed }

// Together are the lots that only together break it.
func (b *breach) Together() []string { return b.together }

// Limit is what the limit is on.
func (b *breach) Limit() string { return b.limit }

// Breaches are the limits that a parcel breaks.
func Breaches(s *freight.Service, b Box, on time.Time, zone string) ([]breach, error) {
	t, err := Compile(s, zone, on)
	if err != nil {
		return nil, err
	}
	w, err := t.weigh(&b)
	return t.breaches(&b, w.billed), err
}
