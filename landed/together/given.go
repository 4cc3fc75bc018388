package together

import (
	"context"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/source"
)

// notTheLots tells that boxes do not hold each lot of the haul once that is still to come.
func notTheLots() error {
	return source.Faults{{What: "the boxes do not hold each lot once", Asked: "boxes"}}
}

// Given is what it costs to send the lots in given boxes, each by the service that is cheapest for
// it; boxes hold ids of lots. Amounts and errors are those of [Plan]; Asked is "boxes" where they
// do not hold each lot once that is still to come. Where the boxes cannot be, Way.Why says so, and
// there is no statement.
func Given(h *landed.Haul, s *Sending, boxes [][]string) (*Way, error) {
	p, err := newPlanner(h, s)
	if err != nil {
		return nil, err
	}
	place := map[string]int{}
	for i := range p.haul.Lots {
		place[p.haul.Lots[i].ID] = i
	}
	var sets []partition.Set
	var all partition.Set
	for _, box := range boxes {
		var set partition.Set
		for _, id := range box {
			i, known := place[id]
			if !known || all.Has(i) || p.gone.Has(i) {
				return nil, notTheLots()
			}
			set |= 1 << i
			all |= 1 << i
		}
		if set != 0 {
			sets = append(sets, set)
		}
	}
	if all != p.toCome() {
		return nil, notTheLots()
	}
	for _, block := range p.problem.Blocks() {
		if !slices.ContainsFunc(sets, func(set partition.Set) bool { return block&^set == 0 }) {
			lots := block.Elements()
			return &Way{Name: "given", Why: &togetherError{p.haul.Lots[lots[0]].ID, p.haul.Lots[lots[1]].ID}}, nil
		}
	}
	w, err := p.simple("given", sets)
	return &w, p.asFaults(context.Background(), err)
}

// togetherError says that boxes part two lots that must be together.
type togetherError struct{ a, b string }

func (e *togetherError) Error() string { return e.a + " and " + e.b + " must be together" }
