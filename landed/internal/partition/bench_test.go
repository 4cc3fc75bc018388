package partition_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
)

// weighted makes elements of 0.3 to 6 kg and modes with steps of 0.5 kg up to 20 to 30 kg, as posts
// have them (common practice, no source). Above a value in one part 2 % more is due on all of it,
// which Carriage and Each know nothing of.
func weighted(seed uint64, elements, modes int) *partition.Problem {
	r := rand.New(rand.NewPCG(seed, 3))
	p := &partition.Problem{Elements: elements, Modes: modes, RefusalsGrow: true}
	value := make([]int64, elements)
	for element := range elements {
		p.Weight = append(p.Weight, 300+10*r.Int64N(570))
		value[element] = 1000 + r.Int64N(20_000)
		p.Each = append(p.Each, value[element]/20<<partition.FineBits)
	}
	weights := p.Weight
	first, step, limit := make([]int64, modes), make([]int64, modes), make([]int64, modes)
	for s := range modes {
		first[s], step[s], limit[s] = 1200+r.Int64N(1500), 150+r.Int64N(200), 20_000+5000*r.Int64N(3)
	}
	carriage := func(weight int64, s int) (int64, bool) {
		return first[s] + (weight+499)/500*step[s], weight <= limit[s]
	}
	p.Carriage = func(weight int64) (least int64, ok bool) {
		for s := range modes {
			if c, carried := carriage(weight, s); carried && (!ok || c < least) {
				least, ok = c, true
			}
		}
		return least, ok
	}
	p.Cost = func(elements partition.Set, s int) (int64, bool) {
		var weight, worth, each int64
		for _, element := range elements.Elements() {
			weight += weights[element]
			worth += value[element]
			each += value[element] / 20
		}
		c, ok := carriage(weight, s)
		if worth > 60_000 {
			each += worth / 50
		}
		return c + each, ok
	}
	return p
}

// BenchmarkExact shows how the exact search grows with the number of elements: with what is known
// of the carriage, and without.
func BenchmarkExact(b *testing.B) {
	for _, elements := range []int{8, 12, 16, 20} {
		for _, floors := range []string{"loose", "none"} {
			b.Run(fmt.Sprintf("elements=%d/modes=5/floors=%s", elements, floors), func(b *testing.B) {
				p := weighted(1, elements, 5)
				if floors == "none" {
					p.Weight, p.Each, p.Carriage = nil, nil, nil
				}
				measure(b, p, partition.Options{})
			})
		}
	}
}

// BenchmarkLarge reports how far the plan may be from the best.
func BenchmarkLarge(b *testing.B) {
	for _, elements := range []int{30, 60} {
		b.Run(fmt.Sprintf("elements=%d/modes=5/floors=loose", elements), func(b *testing.B) {
			measure(b, weighted(2, elements, 5), partition.Options{})
		})
	}
}

func measure(b *testing.B, p *partition.Problem, o partition.Options) {
	var last partition.Solution
	for b.Loop() {
		var err error
		if last, err = p.Solve(context.Background(), o); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(last.Evaluated), "costs/op")
	b.ReportMetric(100*float64(last.Cost-last.Bound)/float64(last.Cost), "gap%")
}
