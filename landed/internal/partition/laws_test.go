package partition_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// drawn makes a random problem from what rapid draws.
func drawn(t *rapid.T, most int) *partition.Problem {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	return randomProblem(r, rapid.IntRange(1, most).Draw(t, "elements"), rapid.IntRange(1, 4).Draw(t, "modes"))
}

// solved returns the solution, or false when there is no plan.
func solved(t *rapid.T, p *partition.Problem, o partition.Options) (partition.Solution, bool) {
	got, err := p.Solve(context.Background(), o)
	var noPlan *partition.NoPlanError
	if errors.As(err, &noPlan) {
		return got, false
	}
	if err != nil {
		t.Fatal(err)
	}
	return got, true
}

// cheapest is what one part costs by the best mode.
func cheapest(p *partition.Problem, s partition.Set) (least int64, ok bool) {
	for mode := range p.Modes {
		if c, carried := p.Cost(s, mode); carried && (!ok || c < least) {
			least, ok = c, true
		}
	}
	return least, ok && !broken(p, s)
}

func TestNeverDearerThanApartOrOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		got, ok := solved(t, p, partition.Options{})
		all := partition.Set(1)<<p.Elements - 1
		if one, carried := cheapest(p, all); carried && (!ok || got.Cost > one) {
			t.Fatalf("best %d, all in one %d", got.Cost, one)
		}
		var apart int64
		for element := range p.Elements {
			c, carried := cheapest(p, partition.SetOf(element))
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
		fewer.Modes--
		if fewer.Modes == 0 {
			return
		}
		before, ok := solved(t, &fewer, partition.Options{})
		after, still := solved(t, p, partition.Options{})
		if ok && (!still || after.Cost > before.Cost) {
			t.Fatalf("%d modes cost %d, one more %d", fewer.Modes, before.Cost, after.Cost)
		}
	})
}

// reordered is the problem with element i standing at place[i].
func reordered(p *partition.Problem, place []int) *partition.Problem {
	out := &partition.Problem{Elements: p.Elements, Modes: p.Modes, RefusalsGrow: p.RefusalsGrow, Alone: p.Alone, Joined: p.Joined, Carriage: p.Carriage, ModeFloor: p.ModeFloor}
	back := func(s partition.Set) partition.Set {
		var old partition.Set
		for element, at := range place {
			if s.Has(at) {
				old |= partition.SetOf(element)
			}
		}
		return old
	}
	forth := func(s partition.Set) partition.Set {
		var moved partition.Set
		for _, element := range s.Elements() {
			moved |= partition.SetOf(place[element])
		}
		return moved
	}
	out.Cost = func(s partition.Set, mode int) (int64, bool) { return p.Cost(back(s), mode) }
	move := func(list []int64) []int64 {
		if list == nil {
			return nil
		}
		moved := make([]int64, len(list))
		for element, at := range place {
			moved[at] = list[element]
		}
		return moved
	}
	moved := func(l partition.Levy) partition.Levy {
		l.Each, l.Bears, l.Heads = move(l.Each), move(l.Bears), slices.Clone(l.Heads)
		for n := range l.Heads {
			l.Heads[n].Of = forth(l.Heads[n].Of)
		}
		return l
	}
	out.Weight, out.Each, out.Measure, out.Bearing = move(p.Weight), move(p.Each), move(p.Measure), move(p.Bearing)
	for _, b := range p.Brackets {
		b.Levy = moved(b.Levy)
		if b.Owing != nil {
			owing := moved(*b.Owing)
			b.Owing = &owing
		}
		out.Brackets = append(out.Brackets, b)
	}
	for _, figures := range p.Figures {
		out.Figures = append(out.Figures, move(figures))
	}
	for _, group := range p.Together {
		var moved []int
		for _, element := range group {
			moved = append(moved, place[element])
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
		for element := range p.Elements {
			place = append(place, element)
		}
		place = rapid.Permutation(place).Draw(t, "place")
		a, okA := solved(t, p, partition.Options{})
		b, okB := solved(t, reordered(p, place), partition.Options{})
		if okA != okB || a.Cost != b.Cost {
			t.Fatalf("%d, %t in one order, %d, %t in another", a.Cost, okA, b.Cost, okB)
		}
	})
}

// TestBoundHolds runs the search for large problems on small ones: the optimum lies between bound
// and cost.
func TestBoundHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		best, ok := solved(t, p, partition.Options{})
		got, found := solved(t, p, partition.UpTo(1))
		if found && (!ok || got.Bound > best.Cost || got.Cost < best.Cost || got.Exact && got.Cost != best.Cost) {
			t.Fatalf("optimum %d, %t; got %+v", best.Cost, ok, got)
		}
	})
}

// TestBoundsOfFarPlans: no plan costs less than the bounds, also where nothing near the best is
// known that would hold them down; and telling plans apart raises some.
func TestBoundsOfFarPlans(t *testing.T) {
	raised, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t, 8)
		best, ok := solved(t, p, partition.Options{})
		if !ok {
			return
		}
		all, apart, err := partition.Bounds(p)
		if err != nil || max(all, apart) > best.Cost {
			t.Fatalf("optimum %d; bounds %d and %d, %v", best.Cost, all, apart, err)
		}
		if tried++; apart > all {
			raised++
		}
	})
	if t.Logf("%d of %d bounds raised", raised, tried); tried > 20 && raised*20 < tried {
		t.Errorf("%d of %d bounds were raised by telling plans apart", raised, tried)
	}
}

// TestLargeFindsBest measures the same search against the optimum, so that it cannot quietly get
// worse: at least nine of ten small problems with a tariff have to come out best.
func TestLargeFindsBest(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	best, tried := 0, 0
	for range effort.Cases(100, 20, 10) {
		p := &partition.Problem{Elements: 8, Modes: 3}
		if extra := []int64{0, 300}[r.IntN(2)]; r.IntN(2) == 0 {
			leviedCosts(r, p, extra)
		} else {
			steppedCosts(r, p, extra)
		}
		exact, err := p.Solve(context.Background(), partition.Options{})
		if err != nil {
			continue
		}
		few := partition.UpTo(1)
		few.Work = 20_000
		got, err := p.Solve(context.Background(), few)
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
	if best*10 < tried*9 || tried < effort.Cases(80, 14, 7) {
		t.Errorf("%d of %d at the optimum; want nine of ten", best, tried)
	}
}

// TestAlikeLots compares elements of few kinds with the same elements taken for unlike.
func TestAlikeLots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		p := alike(r, rapid.IntRange(1, 9).Draw(t, "elements"), rapid.IntRange(1, 3).Draw(t, "kinds"))
		unlike := *p
		unlike.Kind = nil
		want, ok := bruteForce(p)
		a, okA := solved(t, p, partition.Options{})
		b, okB := solved(t, &unlike, partition.Options{})
		if okA != ok || okB != ok || ok && (a.Cost != want || b.Cost != want) {
			t.Fatalf("alike %d, %t; unlike %d, %t; want %d, %t", a.Cost, okA, b.Cost, okB, want, ok)
		}
		if ok {
			checkParcels(t, p, a)
		}
	})
}

// checkParcels is checkSolution for elements that appear once each.
func checkParcels(t *rapid.T, p *partition.Problem, s partition.Solution) {
	var seen partition.Set
	for _, part := range s.Parts {
		cost, ok := p.Cost(part.Elements, part.Mode)
		if part.Elements&seen != 0 || broken(p, part.Elements) || !ok || cost != part.Cost {
			t.Fatalf("not a plan: %+v", s)
		}
		seen |= part.Elements
	}
	if seen.Len() != p.Elements {
		t.Fatalf("elements left over: %+v", s)
	}
}

// alike makes elements whose costs depend only on how many of each kind a part holds.
func alike(r *rand.Rand, elements, kinds int) *partition.Problem {
	p := &partition.Problem{Elements: elements, Modes: 2}
	for range elements {
		p.Kind = append(p.Kind, 10*r.IntN(kinds))
	}
	table := map[[4]int]int64{}
	p.Cost = func(s partition.Set, mode int) (int64, bool) {
		key := [4]int{mode}
		for _, element := range s.Elements() {
			key[1+p.Kind[element]/10]++
		}
		c, ok := table[key]
		if !ok {
			c = r.Int64N(1000) - 100
			table[key] = c
		}
		return max(c, 0), c >= 0
	}
	if elements > 2 && r.IntN(2) == 0 {
		pair := r.Perm(elements)
		p.Apart = append(p.Apart, [2]int{pair[0], pair[1]})
	}
	if elements > 3 && r.IntN(2) == 0 {
		p.Together = append(p.Together, r.Perm(elements)[:2])
	}
	return p
}

// TestAlikeManyLots settles 60 elements of three kinds, which no search over sets of elements
// could. Parts hold two elements of different kinds for 10, or one for 7: with 20 elements of each
// kind the best is 30 pairs.
func TestAlikeManyLots(t *testing.T) {
	p := &partition.Problem{Elements: 60, Modes: 1, RefusalsGrow: true}
	for element := range 60 {
		p.Kind = append(p.Kind, element%3)
	}
	p.Cost = func(s partition.Set, _ int) (int64, bool) {
		elements := s.Elements()
		if len(elements) == 1 {
			return 7, true
		}
		return 10, len(elements) == 2 && elements[0]%3 != elements[1]%3
	}
	got, err := once(t, p).Solve(context.Background(), partition.Options{})
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
	for _, elements := range []int{12, 24, 64} {
		o := partition.Options{Work: effort.Cases(100_000, 10_000, 4_000)}
		a, errA := weighted(9, elements, 3).Solve(context.Background(), o)
		b, errB := weighted(9, elements, 3).Solve(context.Background(), o)
		if errA != nil || errB != nil || !reflect.DeepEqual(a, b) {
			t.Errorf("%d elements: %+v, %v and then %+v, %v", elements, a, errA, b, errB)
		}
	}
}

// TestFineWeights states weights to the nanogram, which no grid can hold: the bound is taken from a
// coarser one, still holds, and is not much lower.
func TestFineWeights(t *testing.T) {
	coarse := weighted(9, 24, 3)
	fine := weighted(9, 24, 3)
	for element := range fine.Weight {
		fine.Weight[element] = fine.Weight[element]*1_000_000_000 - int64(element)
	}
	fine.Carriage = func(weight int64) (int64, bool) { return coarse.Carriage((weight + 999_999_999) / 1_000_000_000) }
	fine.Cost = coarse.Cost
	o := partition.Options{Work: 50_000}
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
	p := weighted(1, 12, 3)
	p.Weight, p.Each, p.Carriage = nil, nil, nil
	grow, err := p.Solve(context.Background(), partition.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p.RefusalsGrow = false
	ask, err := p.Solve(context.Background(), partition.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if grow.Cost != ask.Cost || grow.Evaluated >= ask.Evaluated {
		t.Errorf("cost %d after %d calls, and %d after %d when refusals grow", ask.Cost, ask.Evaluated, grow.Cost, grow.Evaluated)
	}
}
