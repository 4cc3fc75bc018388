package parcels

import (
	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

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
		if t.service.Billed != freight.VolumeOnly || q.Size == (measure.Size{}) {
			n.Actual = max(0, q.Weight-w)
		}
		if t.service.Billed != freight.Actual {
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
