package partition_test

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"
)

// TestBracketsSaveCosts solves the same problems without what is said of brackets: the same cost,
// more sets asked for.
func TestBracketsSaveCosts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	with, without := 0, 0
	for range effort.Cases(10, 10, 4) {
		p := &partition.Problem{Elements: 12, Modes: 2}
		leviedCosts(r, p, 0)
		known, err := p.Solve(context.Background(), partition.Options{})
		p.Brackets, p.Measure, p.Bearing = nil, nil, nil
		plain, other := p.Solve(context.Background(), partition.Options{})
		if (err == nil) != (other == nil) || known.Cost != plain.Cost || known.Exact != plain.Exact {
			t.Fatalf("%+v, %v with brackets, %+v, %v without", known, err, plain, other)
		}
		with, without = with+known.Evaluated, without+plain.Evaluated
	}
	t.Logf("%d costs asked for, %d without brackets", with, without)
	if with*2 > without {
		t.Errorf("%d costs asked for with brackets, %d without; want half of them at most", with, without)
	}
}

// TestBracketsBelowNothing: where a bracket takes more off a part than the least carriage, what it
// asks of each element is no bound of what several parts cost: a part may come to nothing.
func TestBracketsBelowNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for n := range 60 {
		p := &partition.Problem{Elements: 7, Modes: 1, Weight: make([]int64, 7), Measure: make([]int64, 7)}
		b := partition.Bracket{Levy: partition.Levy{Fixed: -(300 + r.Int64N(900)) << partition.FineBits}}
		for i := range p.Elements {
			p.Weight[i], p.Measure[i] = 1+r.Int64N(900), 1
			b.Each = append(b.Each, (100+r.Int64N(400))<<partition.FineBits)
		}
		p.Brackets = []partition.Bracket{b}
		p.Carriage = func(weight int64) (int64, bool) { return 20 + weight/100*30, true }
		p.Cost = func(s partition.Set, _ int) (int64, bool) {
			carriage, ok := p.Carriage(total(p.Weight, s))
			return carriage + p.Levied(s, carriage) + int64(s)*7919%50, ok
		}
		want, _ := bruteForce(p)
		if got, err := p.Solve(context.Background(), partition.Options{}); err != nil || got.Cost != want || got.Bound > want {
			t.Errorf("problem %d: cost %d, bound %d, %v; want %d", n, got.Cost, got.Bound, err, want)
		}
	}
}

// asksLess is a problem where parts of much measure are asked less than others.
func asksLess(r *rand.Rand, elements int, upTo, heaviest int64) *partition.Problem {
	p := &partition.Problem{Elements: elements, Modes: 1}
	for range elements {
		p.Measure, p.Weight = append(p.Measure, 1000+r.Int64N(6000)), append(p.Weight, 500+r.Int64N(3000))
	}
	p.Carriage = func(weight int64) (int64, bool) { return 900 + weight/500*200, weight <= heaviest }
	rate := func(percent int64) (l partition.Levy) {
		for _, m := range p.Measure {
			l.Each = append(l.Each, m*percent<<partition.FineBits/100)
		}
		return l
	}
	p.Brackets = []partition.Bracket{{UpTo: upTo, Levy: rate(60)}, {Levy: rate(10)}}
	p.Cost = func(s partition.Set, _ int) (int64, bool) {
		cost, ok := p.Carriage(total(p.Weight, s))
		return cost + p.Levied(s, cost), ok
	}
	return p
}

// TestBracketThatAsksLess: the bound knows that few parts are of so much that they are asked less,
// beside what trying every way finds.
func TestBracketThatAsksLess(t *testing.T) {
	r := rand.New(rand.NewPCG(60, 6))
	bounds, best := int64(0), int64(0)
	for range effort.Cases(60, 6, 2) {
		p := asksLess(r, 8, 19_000, 7000)
		want, ok := bruteForce(p)
		if !ok {
			continue
		}
		got, err := p.Solve(context.Background(), partition.UpTo(1))
		if err != nil || got.Cost < want || got.Bound > want {
			t.Fatalf("from %d to %d, %v, the best is %d", got.Bound, got.Cost, err, want)
		}
		bounds, best = bounds+got.Bound, best+want
	}
	// Without what a part of the second bracket must be of, the bounds are 0.69 of the best plans.
	if t.Logf("bounds of %d for plans of %d", bounds, best); bounds*5 < best*4 {
		t.Errorf("bounds of %d for plans of %d, less than four fifths", bounds, best)
	}
}

// passing has parts asked less for the carriage that is in what is looked at: modes ask for volume
// too, so that any part may come beyond by being dear to carry.
func passing(p *partition.Problem, r *rand.Rand) {
	p.Modes, p.Figures, p.Bearing = 2, make([][]int64, 1), make([]int64, p.Elements)
	for range p.Elements {
		p.Figures[0] = append(p.Figures[0], 100+r.Int64N(3000))
	}
	b := &p.Brackets[0]
	b.Surely, b.Counted, b.UpTo = true, 1<<partition.ShareBits*9/10, b.UpTo+3000
	p.Brackets[1].Share = 1 << partition.ShareBits / 8
	weighed := p.Carriage
	p.ModeFloor = func(mode int, weight int64, figures []int64) (int64, bool) {
		cost, ok := weighed(weight)
		return cost*(10+int64(mode)*4)/10 + figures[0]/500*int64(3-3*mode)*100, ok
	}
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		cost, ok := p.ModeFloor(mode, total(p.Weight, s), []int64{total(p.Figures[0], s)})
		return cost + levied(s, p, cost), ok
	}
}

// TestBracketPassedByCarriage: a part that is asked less only for being dear to carry is known to
// cost that much, beside what trying every way finds.
func TestBracketPassedByCarriage(t *testing.T) {
	r := rand.New(rand.NewPCG(70, 7))
	bounds, best := int64(0), int64(0)
	for range effort.Cases(60, 6, 2) {
		p := asksLess(r, 8, 12_000+r.Int64N(12_000), 7000)
		passing(p, r)
		want, ok := bruteForce(p)
		if !ok {
			continue
		}
		for n, o := range []partition.Options{{}, partition.UpTo(1)} {
			got, err := p.Solve(context.Background(), o)
			if err != nil || got.Cost < want || got.Bound > want || got.Exact && got.Cost > want {
				t.Fatalf("from %d to %d, %v, the best is %d", got.Bound, got.Cost, err, want)
			}
			if n > 0 {
				bounds, best = bounds+got.Bound, best+want
			}
		}
	}
	// Without what brings a part beyond, the bounds are 0.58 of the best plans.
	if t.Logf("bounds of %d for plans of %d", bounds, best); bounds*4 < best*3 {
		t.Errorf("bounds of %d for plans of %d, less than three quarters", bounds, best)
	}
}

// TestPartsThatAreAskedLess: of many elements, of which a part is asked less that is filled with
// those of most measure for their weight, and few others are, the plan has one of these.
func TestPartsThatAreAskedLess(t *testing.T) {
	r := rand.New(rand.NewPCG(3000, 6))
	for range effort.Cases(6, 1, 1) {
		p := asksLess(r, effort.Cases(24, 24, 18), 0, 16_000)
		order := make([]int, p.Elements)
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(p.Measure[b]*p.Weight[a], p.Measure[a]*p.Weight[b]) })
		var full partition.Set
		for _, i := range order {
			if with := full | partition.SetOf(i); total(p.Weight, with) <= 16_000 {
				full = with
			}
		}
		p.Brackets[0].UpTo = total(p.Measure, full) * 49 / 50
		got, err := p.Solve(context.Background(), partition.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(got.Parts, func(part partition.Part) bool {
			return total(p.Measure, part.Elements) > p.Brackets[0].UpTo
		}) {
			t.Errorf("no part is above %d", p.Brackets[0].UpTo)
		}
	}
}

// TestBracketOfAMost: where a rate is asked up to a most, which is all that is asked of parts
// beyond, they are looked for by weight alone; where more is asked beyond, by measure too.
func TestBracketOfAMost(t *testing.T) {
	p := asksLess(rand.New(rand.NewPCG(70, 3)), 24, 20_000, 16_000)
	rate := p.Brackets[0].Levy
	for _, c := range []struct {
		below, beyond partition.Levy
		measured      bool
	}{
		{p.Brackets[1].Levy, rate, true},
		{rate, partition.Levy{Fixed: p.Brackets[0].UpTo * 60 << partition.FineBits / 100}, false},
	} {
		p.Brackets[0].Levy, p.Brackets[1].Levy = c.below, c.beyond
		if of, err := partition.Measured(p); err != nil || slices.Contains(of, true) != c.measured {
			t.Errorf("by measure %v, %v; want %v", of, err, c.measured)
		}
	}
}
