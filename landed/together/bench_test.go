package together_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"lotcost/landed/together"
)

// haul makes lots of 0.3 to 6 kg and services with steps of 0.5 kg up to 20 to 30 kg, as posts have them
// (common practice, no source). Above a value in one parcel 2 % more is due on all of it, which Carriage and
// Each know nothing of; when known, Floor does.
func haul(seed uint64, lots, services int, known bool) *together.Problem {
	r := rand.New(rand.NewPCG(seed, 3))
	p := &together.Problem{Lots: lots, Services: services, RefusalsGrow: true}
	value := make([]int64, lots)
	var weights, least []int64
	for lot := range lots {
		p.Weight = append(p.Weight, 300+10*r.Int64N(570))
		value[lot] = 1000 + r.Int64N(20_000)
		p.Each = append(p.Each, value[lot]/20)
	}
	weights, least = p.Weight, p.Each
	first, step, limit := make([]int64, services), make([]int64, services), make([]int64, services)
	for s := range services {
		first[s], step[s], limit[s] = 1200+r.Int64N(1500), 150+r.Int64N(200), 20_000+5000*r.Int64N(3)
	}
	carriage := func(weight int64, s int) (int64, bool) {
		return first[s] + (weight+499)/500*step[s], weight <= limit[s]
	}
	p.Carriage = func(weight int64) (least int64, ok bool) {
		for s := range services {
			if c, carried := carriage(weight, s); carried && (!ok || c < least) {
				least, ok = c, true
			}
		}
		return least, ok
	}
	p.Cost = func(lots together.Set, s int) (int64, bool) {
		var weight, worth, each int64
		for _, lot := range lots.Lots() {
			weight += weights[lot]
			worth += value[lot]
			each += least[lot]
		}
		c, ok := carriage(weight, s)
		if worth > 60_000 {
			each += worth / 50
		}
		return c + each, ok
	}
	if known {
		p.Floor = func(lots together.Set) int64 {
			least := together.MaxCost + 1
			for s := range services {
				if c, ok := p.Cost(lots, s); ok {
					least = min(least, c)
				}
			}
			return least
		}
	}
	return p
}

// BenchmarkExact shows how the exact search grows with the number of lots: with what is known of the
// carriage, and without.
func BenchmarkExact(b *testing.B) {
	for _, lots := range []int{8, 12, 16, 20} {
		for _, floors := range []string{"tight", "loose", "none"} {
			b.Run(fmt.Sprintf("lots=%d/services=5/floors=%s", lots, floors), func(b *testing.B) {
				p := haul(1, lots, 5, floors == "tight")
				if floors == "none" {
					p.Weight, p.Each, p.Carriage = nil, nil, nil
				}
				measure(b, p, together.Options{})
			})
		}
	}
}

// BenchmarkLarge reports how far the plan may be from the best.
func BenchmarkLarge(b *testing.B) {
	for _, lots := range []int{30, 60} {
		for _, floors := range []string{"tight", "loose"} {
			b.Run(fmt.Sprintf("lots=%d/services=5/floors=%s", lots, floors), func(b *testing.B) {
				measure(b, haul(2, lots, 5, floors == "tight"), together.Options{})
			})
		}
	}
}

func measure(b *testing.B, p *together.Problem, o together.Options) {
	var last together.Solution
	for b.Loop() {
		var err error
		if last, err = p.Solve(context.Background(), o); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(last.Evaluated), "costs/op")
	b.ReportMetric(100*float64(last.Cost-last.Bound)/float64(last.Cost), "gap%")
}
