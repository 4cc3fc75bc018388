package together_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"lotcost/landed/together"
)

// drawn makes a random problem from what rapid draws.
func drawn(t *rapid.T, most int) *together.Problem {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	return randomProblem(r, rapid.IntRange(1, most).Draw(t, "lots"), rapid.IntRange(1, 4).Draw(t, "services"))
}

// solved returns the solution, or false when there is no plan.
func solved(t *rapid.T, p *together.Problem, o together.Options) (together.Solution, bool) {
	got, err := p.Solve(context.Background(), o)
	var noPlan *together.NoPlanError
	if errors.As(err, &noPlan) {
		return got, false
	}
	if err != nil {
		t.Fatal(err)
	}
	return got, true
}

// cheapest is what one parcel costs by the best service.
func cheapest(p *together.Problem, s together.Set) (least int64, ok bool) {
	for service := range p.Services {
		if c, carried := p.Cost(s, service); carried && (!ok || c < least) {
			least, ok = c, true
		}
	}
	return least, ok && !broken(p, s)
}

func TestNeverDearerThanApartOrOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		got, ok := solved(t, p, together.Options{})
		all := together.Set(1)<<p.Lots - 1
		if one, carried := cheapest(p, all); carried && (!ok || got.Cost > one) {
			t.Fatalf("best %d, all in one %d", got.Cost, one)
		}
		var apart int64
		for lot := range p.Lots {
			c, carried := cheapest(p, together.SetOf(lot))
			if !carried {
				return
			}
			apart += c
		}
		if !ok || got.Cost > apart {
			t.Fatalf("best %d, all apart %d", got.Cost, apart)
		}
	})
}

func TestOneMoreServiceIsNeverDearer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		p.RefusalsGrow = false
		fewer := *p
		fewer.Services--
		if fewer.Services == 0 {
			return
		}
		before, ok := solved(t, &fewer, together.Options{})
		after, still := solved(t, p, together.Options{})
		if ok && (!still || after.Cost > before.Cost) {
			t.Fatalf("%d services cost %d, one more %d", fewer.Services, before.Cost, after.Cost)
		}
	})
}

// reordered is the problem with lot i standing at place[i].
func reordered(p *together.Problem, place []int) *together.Problem {
	out := &together.Problem{Lots: p.Lots, Services: p.Services, RefusalsGrow: p.RefusalsGrow, Carriage: p.Carriage}
	back := func(s together.Set) together.Set {
		var old together.Set
		for lot, at := range place {
			if s.Has(at) {
				old |= together.SetOf(lot)
			}
		}
		return old
	}
	out.Cost = func(s together.Set, service int) (int64, bool) { return p.Cost(back(s), service) }
	if p.Floor != nil {
		out.Floor = func(s together.Set) int64 { return p.Floor(back(s)) }
	}
	move := func(list []int64) []int64 {
		if list == nil {
			return nil
		}
		moved := make([]int64, len(list))
		for lot, at := range place {
			moved[at] = list[lot]
		}
		return moved
	}
	out.Weight, out.Each = move(p.Weight), move(p.Each)
	for _, group := range p.Together {
		var moved []int
		for _, lot := range group {
			moved = append(moved, place[lot])
		}
		out.Together = append(out.Together, moved)
	}
	for _, pair := range p.Apart {
		out.Apart = append(out.Apart, [2]int{place[pair[0]], place[pair[1]]})
	}
	return out
}

func TestOrderOfLotsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		var place []int
		for lot := range p.Lots {
			place = append(place, lot)
		}
		place = rapid.Permutation(place).Draw(t, "place")
		a, okA := solved(t, p, together.Options{})
		b, okB := solved(t, reordered(p, place), together.Options{})
		if okA != okB || a.Cost != b.Cost {
			t.Fatalf("%d, %t in one order, %d, %t in another", a.Cost, okA, b.Cost, okB)
		}
	})
}

// TestBoundHolds runs the search for large problems on small ones: the optimum lies between bound and cost.
func TestBoundHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		best, ok := solved(t, p, together.Options{})
		got, found := solved(t, p, together.Options{ExactUpTo: 1})
		if found && (!ok || got.Bound > best.Cost || got.Cost < best.Cost || got.Exact && got.Cost != best.Cost) {
			t.Fatalf("optimum %d, %t; got %+v", best.Cost, ok, got)
		}
	})
}

// TestLargeFindsBest measures the same search against the optimum, so that it cannot quietly get worse: at
// least nine of ten small problems with a tariff have to come out best.
func TestLargeFindsBest(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	best, tried := 0, 0
	for range 100 {
		p := &together.Problem{Lots: 8, Services: 3}
		steppedCosts(r, p, []int64{0, 300}[r.IntN(2)])
		exact, err := p.Solve(context.Background(), together.Options{})
		if err != nil {
			continue
		}
		got, err := p.Solve(context.Background(), together.Options{ExactUpTo: 1, Work: 2000})
		if err != nil {
			t.Fatal(err)
		}
		checkSolution(t, p, got)
		tried++
		if got.Cost == exact.Cost {
			best++
		}
	}
	t.Logf("%d of %d at the optimum", best, tried)
	if best*10 < tried*9 || tried < 80 {
		t.Errorf("%d of %d at the optimum; want nine of ten of at least 80", best, tried)
	}
}

// TestAlikeLots compares lots of few kinds with the same lots taken for unlike.
func TestAlikeLots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		p := alike(r, rapid.IntRange(1, 9).Draw(t, "lots"), rapid.IntRange(1, 3).Draw(t, "kinds"))
		unlike := *p
		unlike.Kind = nil
		want, ok := bruteForce(p)
		a, okA := solved(t, p, together.Options{})
		b, okB := solved(t, &unlike, together.Options{})
		if okA != ok || okB != ok || ok && (a.Cost != want || b.Cost != want) {
			t.Fatalf("alike %d, %t; unlike %d, %t; want %d, %t", a.Cost, okA, b.Cost, okB, want, ok)
		}
		if ok {
			checkParcels(t, p, a)
		}
	})
}

// checkParcels is checkSolution for lots that appear once each.
func checkParcels(t *rapid.T, p *together.Problem, s together.Solution) {
	var seen together.Set
	for _, parcel := range s.Parcels {
		cost, ok := p.Cost(parcel.Lots, parcel.Service)
		if parcel.Lots&seen != 0 || broken(p, parcel.Lots) || !ok || cost != parcel.Cost {
			t.Fatalf("not a plan: %+v", s)
		}
		seen |= parcel.Lots
	}
	if seen.Len() != p.Lots {
		t.Fatalf("lots left over: %+v", s)
	}
}

// alike makes lots whose costs depend only on how many of each kind a parcel holds.
func alike(r *rand.Rand, lots, kinds int) *together.Problem {
	p := &together.Problem{Lots: lots, Services: 2}
	for range lots {
		p.Kind = append(p.Kind, 10*r.IntN(kinds))
	}
	table := map[[4]int]int64{}
	p.Cost = func(s together.Set, service int) (int64, bool) {
		key := [4]int{service}
		for _, lot := range s.Lots() {
			key[1+p.Kind[lot]/10]++
		}
		c, ok := table[key]
		if !ok {
			c = r.Int64N(1000) - 100
			table[key] = c
		}
		return max(c, 0), c >= 0
	}
	if lots > 2 && r.IntN(2) == 0 {
		pair := r.Perm(lots)
		p.Apart = append(p.Apart, [2]int{pair[0], pair[1]})
	}
	if lots > 3 && r.IntN(2) == 0 {
		p.Together = append(p.Together, r.Perm(lots)[:2])
	}
	return p
}

// TestAlikeManyLots settles 60 lots of three kinds, which no search over sets of lots could. Parcels hold two
// lots of different kinds for 10, or one for 7: with 20 lots of each kind the best is 30 pairs.
func TestAlikeManyLots(t *testing.T) {
	p := &together.Problem{Lots: 60, Services: 1, RefusalsGrow: true}
	for lot := range 60 {
		p.Kind = append(p.Kind, lot%3)
	}
	p.Cost = func(s together.Set, _ int) (int64, bool) {
		lots := s.Lots()
		if len(lots) == 1 {
			return 7, true
		}
		return 10, len(lots) == 2 && lots[0]%3 != lots[1]%3
	}
	got, err := once(t, p).Solve(context.Background(), together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got.Cost != 300 || !got.Exact {
		t.Errorf("cost %d, exact %t; want 300, exact", got.Cost, got.Exact)
	}
	checkSolution(t, p, got)
}

// TestSameInputSameOutput solves large problems twice.
func TestSameInputSameOutput(t *testing.T) {
	for _, lots := range []int{12, 24, 64} {
		o := together.Options{Work: 100_000}
		a, errA := haul(9, lots, 3, false).Solve(context.Background(), o)
		b, errB := haul(9, lots, 3, false).Solve(context.Background(), o)
		if errA != nil || errB != nil || !reflect.DeepEqual(a, b) {
			t.Errorf("%d lots: %+v, %v and then %+v, %v", lots, a, errA, b, errB)
		}
	}
}

// TestFineWeights states weights to the nanogram, which no grid can hold: the bound is taken from a coarser
// one, still holds, and is not much lower.
func TestFineWeights(t *testing.T) {
	coarse := haul(9, 24, 3, false)
	fine := haul(9, 24, 3, false)
	for lot := range fine.Weight {
		fine.Weight[lot] = fine.Weight[lot]*1_000_000_000 - int64(lot)
	}
	fine.Carriage = func(weight int64) (int64, bool) { return coarse.Carriage((weight + 999_999_999) / 1_000_000_000) }
	fine.Cost = coarse.Cost
	o := together.Options{Work: 50_000}
	a, errA := coarse.Solve(context.Background(), o)
	b, errB := fine.Solve(context.Background(), o)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	if b.Bound > a.Cost || b.Bound < a.Bound*99/100 {
		t.Errorf("bound %d in nanograms; %d in grams, where %d was reached", b.Bound, a.Bound, a.Cost)
	}
}

// TestRefusalsGrow asks for fewer costs when refusals grow.
func TestRefusalsGrow(t *testing.T) {
	p := haul(1, 12, 3, false)
	p.Weight, p.Each, p.Carriage = nil, nil, nil
	grow, err := p.Solve(context.Background(), together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p.RefusalsGrow = false
	ask, err := p.Solve(context.Background(), together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if grow.Cost != ask.Cost || grow.Evaluated >= ask.Evaluated {
		t.Errorf("cost %d after %d calls, and %d after %d when refusals grow", ask.Cost, ask.Evaluated, grow.Cost, grow.Evaluated)
	}
}
