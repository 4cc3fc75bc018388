package partition_test

import (
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// limited makes parts that cost the same up to a weight, and are refused above it; some elements
// must be apart.
func limited(r *rand.Rand, elements int, heaviest int64) *partition.Problem {
	p := &partition.Problem{Elements: elements, Modes: 1, RefusalsGrow: true}
	for range elements {
		p.Weight = append(p.Weight, 600+r.Int64N(1500))
	}
	for range r.IntN(4) {
		pair := r.Perm(elements)
		p.Apart = append(p.Apart, [2]int{pair[0], pair[1]})
	}
	p.Carriage = func(weight int64) (int64, bool) { return 10, weight <= heaviest }
	p.Cost = func(s partition.Set, _ int) (int64, bool) { return p.Carriage(total(p.Weight, s)) }
	return p
}

func total(of []int64, s partition.Set) (sum int64) {
	for _, element := range s.Elements() {
		sum += of[element]
	}
	return sum
}

// TestOnlyWhatCanBeSentIsListed counts the sets that can be sent one by one.
func TestOnlyWhatCanBeSentIsListed(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	for range effort.Cases(10, 4, 2) {
		p := limited(r, 16, 2200+r.Int64N(4000))
		want := 0
		for s := partition.Set(1); s < 1<<p.Elements; s++ {
			if _, ok := p.Carriage(total(p.Weight, s)); ok && !broken(p, s) {
				want++
			}
		}
		if got, err := partition.Listed(p); got != want || err != nil {
			t.Errorf("%d sets are kept, %v; %d can be sent", got, err, want)
		}
	}
}

// TestFewSetsCanBeSent compares three ways: few sets are walked where limits are known beforehand,
// all where only costs tell, and every division by brute force.
func TestFewSetsCanBeSent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		p := weighted(r.Uint64(), rapid.IntRange(1, 9).Draw(t, "elements"), 3)
		heaviest, plain := 3000+r.Int64N(9000), p.Carriage
		p.Carriage = func(weight int64) (int64, bool) {
			cost, ok := plain(weight)
			return cost, ok && weight <= heaviest
		}
		cost, weight := p.Cost, p.Weight
		p.Cost = func(s partition.Set, mode int) (int64, bool) {
			c, ok := cost(s, mode)
			return c, ok && total(weight, s) <= heaviest
		}
		want, ok := bruteForce(p)
		few, okFew := solved(t, p, partition.Options{})
		p.Weight, p.Each, p.Carriage, p.RefusalsGrow = nil, nil, nil, false
		all, okAll := solved(t, p, partition.Options{})
		if okFew != ok || okAll != ok || ok && (few.Cost != want || all.Cost != want || !few.Exact || !all.Exact) {
			t.Fatalf("few sets: %+v, %t; all: %+v, %t; brute force %d, %t", few, okFew, all, okAll, want, ok)
		}
	})
}
