package freight

import (
	"fmt"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

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

// cheaper looks below the weight that counts, step by step, for the first that
// costs less. Insurance does not change with weight.
func (t *Tariff) cheaper(q *Quote, counts measure.Weight) NextCheaper {
	now, _ := t.cost(counts)
	for w := t.below(counts); w > 0; w = t.below(w) {
		cost, ok := t.cost(w)
		if !ok || cost >= now {
			continue
		}
		n := NextCheaper{Saves: money.New(now-cost, t.service.Currency)}
		if t.service.Billed != VolumeOnly || !q.Box.sized() {
			n.Actual = max(0, q.Box.Weight-w)
		}
		if t.service.Billed != Actual {
			n.Volumetric = max(0, q.Volumetric-w)
		}
		return n
	}
	return NextCheaper{}
}

// below is the greatest weight that is in an earlier step than w once billed, or
// 0. Units beyond the last step are passed at once when they cost nothing.
func (t *Tariff) below(w measure.Weight) measure.Weight {
	billed := int64(t.billed(w))
	floor := t.weights.floor(billed)
	if t.weights.further == 0 {
		floor = min(floor, t.weights.last())
	}
	if step := int64(t.service.RoundTo); step > 0 {
		floor -= floor % step
	}
	if measure.Weight(floor) < t.service.Minimum {
		return 0 // lighter than that is billed the same
	}
	return measure.Weight(floor)
}
