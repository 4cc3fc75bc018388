package partition_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/internal/partition"
)

// flat carries any elements for 5.
func flat(partition.Set, int) (int64, bool) { return 5, true }

func TestProblemErrors(t *testing.T) {
	base := partition.Problem{Elements: 3, Modes: 1, Cost: flat}
	for _, c := range []struct {
		name   string
		change func(*partition.Problem, *partition.Options)
		want   string
	}{
		{"no elements", func(p *partition.Problem, _ *partition.Options) { p.Elements = 0 },
			`Elements "0": must be from 1 to 64`},
		{"too many elements", func(p *partition.Problem, _ *partition.Options) { p.Elements = 65 },
			`Elements "65": must be from 1 to 64`},
		{"no mode", func(p *partition.Problem, _ *partition.Options) { p.Modes = 0 },
			`Modes "0": must be 1 or more`},
		{"no cost", func(p *partition.Problem, _ *partition.Options) { p.Cost = nil },
			`Cost "nil": must be a function`},
		{"carriage without weight", func(p *partition.Problem, _ *partition.Options) {
			p.Carriage = func(int64) (int64, bool) { return 0, true }
		}, `Weight "nil": must be given with Carriage`},
		{"short weights", func(p *partition.Problem, _ *partition.Options) { p.Weight = []int64{1} },
			`Weight "1 entries": must have one for each of the 3 elements`},
		{"negative weight", func(p *partition.Problem, _ *partition.Options) { p.Weight = []int64{1, -1, 1} },
			`Weight of element 1 "-1": must be from 0, and all together at most 4611686018427387903`},
		{"weights that overflow", func(p *partition.Problem, _ *partition.Options) { p.Weight = []int64{1 << 61, 1 << 61, 1} },
			`Weight of element 1 "2305843009213693952": must be from 0, and all together at most 4611686018427387903`},
		{"negative least cost", func(p *partition.Problem, _ *partition.Options) { p.Each = []int64{0, 0, -2} },
			`Each of element 2 "-2": must be from 0, and all together at most 1152921504606846976`},
		{"short kinds", func(p *partition.Problem, _ *partition.Options) { p.Kind = []int{1, 1} },
			`Kind "2 entries": must have one for each of the 3 elements`},
		{"alike of unlike weight", func(p *partition.Problem, _ *partition.Options) {
			p.Kind, p.Weight = []int{7, 8, 7}, []int64{1, 1, 2}
		}, `Kind of element 2 "7": must differ from that of element 0, which has another weight, measure, least cost or figure`},
		{"no such element together", func(p *partition.Problem, _ *partition.Options) { p.Together = [][]int{{0, 3}} },
			`Together element "3": must be from 0 to 2`},
		{"no such element apart", func(p *partition.Problem, _ *partition.Options) { p.Apart = [][2]int{{-1, 2}} },
			`Apart element "-1": must be from 0 to 2`},
		{"apart from itself", func(p *partition.Problem, _ *partition.Options) { p.Apart = [][2]int{{2, 2}} },
			`Apart element "2": must be kept apart from another element`},
		{"less than nothing for each part", func(p *partition.Problem, _ *partition.Options) { p.Alone = -1 }, `Alone "-1": must be from 0 to 2^60`},
		{"less for several in a part", func(p *partition.Problem, _ *partition.Options) { p.Alone, p.Joined = 2, 1 }, `Joined "1": must be from Alone to 2^60`},
		{"measure that is not given", func(p *partition.Problem, _ *partition.Options) { p.Brackets = make([]partition.Bracket, 2) },
			`Measure "nil": must be given with several Brackets`},
		{"bracket too dear", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Levy: partition.Levy{Fixed: partition.MaxCost<<10 + 1}}}
		}, `Brackets[0].Fixed "1152921504606846977": must be from -2^60 to 2^60`},
		{"bracket of too great a share", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Owing: &partition.Levy{Share: 1<<21 + 1}}}
		},
			`Brackets[0].Owing.Share "2097153": must be from 0 to 2^21`},
		{"bracket that counts too much", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Counted: 1<<21 + 1}}
		},
			`Brackets[0].Counted "2097153": must be from 0 to 2^21`},
		{"heads of too much", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Levy: partition.Levy{Heads: []partition.Head{{Sum: partition.MaxCost << 10}, {Sum: -1}}}}}
		}, `Brackets[0].Heads[1].Sum "-1": must be from -2^60 to 2^60, all together`},
		{"what is borne of nothing", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Levy: partition.Levy{Bears: []int64{1, 2, 3}}}}
		}, `Bearing "nil": must be given with Bears`},
		{"more borne than there is", func(p *partition.Problem, _ *partition.Options) {
			p.Bearing, p.Brackets = []int64{4, 4, 4}, []partition.Bracket{{Levy: partition.Levy{Bears: []int64{4, 5, 4}}}}
		}, `Brackets[0].Bears of element 1 "5": must be no more than its Bearing`},
		{"short list of a bracket", func(p *partition.Problem, _ *partition.Options) {
			p.Brackets = []partition.Bracket{{Levy: partition.Levy{Each: []int64{1}}}}
		},
			`Brackets[0].Each "1 entries": must have one for each of the 3 elements`},
		{"figures without prices", func(p *partition.Problem, _ *partition.Options) { p.Figures = [][]int64{{1, 1, 1}} },
			`ModeFloor "nil": must be given with Figures`},
		{"short list of figures", func(p *partition.Problem, _ *partition.Options) {
			p.Figures, p.ModeFloor = [][]int64{{1}}, func(int, int64, []int64) (int64, bool) { return 0, true }
		}, `Figures[0] "1 entries": must have one for each of the 3 elements`},
		{"figures of nothing", func(p *partition.Problem, _ *partition.Options) {
			p.Figures, p.ModeFloor = [][]int64{nil}, func(int, int64, []int64) (int64, bool) { return 0, true }
		}, `Figures[0] "0 entries": must have one for each of the 3 elements`},
		{"negative work", func(_ *partition.Problem, o *partition.Options) { o.Work = -1 },
			`Work "-1": must not be negative`},
		{"cost out of range", func(p *partition.Problem, _ *partition.Options) {
			p.Cost = func(s partition.Set, _ int) (int64, bool) { return int64(-s.Len()), true }
		}, `Cost of element 0 "-1": must be from 0 to 2^50`},
	} {
		p, o := base, partition.Options{}
		c.change(&p, &o)
		_, err := p.Solve(context.Background(), o)
		var wrong *partition.ProblemError
		if !errors.As(err, &wrong) || err.Error() != c.want {
			t.Errorf("%s: got %v; want %s", c.name, err, c.want)
		}
	}
}

func TestCostBelowFloor(t *testing.T) {
	p := partition.Problem{Elements: 2, Modes: 1, Cost: flat, Each: []int64{3 << partition.FineBits, 3 << partition.FineBits}}
	_, err := p.Solve(context.Background(), partition.Options{})
	var wrong *partition.ProblemError
	if text := "part of elements 0 and 1 by mode 0: cost 5 is below the stated floor of 6: lower the floor"; !errors.As(err, &wrong) || err.Error() != text {
		t.Errorf("got %v; want %q", err, text)
	}
}

func TestNoPlan(t *testing.T) {
	light := func(weight int64) (int64, bool) { return 1, weight <= 2 }
	for _, c := range []struct {
		name   string
		p      partition.Problem
		o      partition.Options
		want   []int
		proven bool
		text   string
	}{
		{"together and apart", partition.Problem{Elements: 4, Modes: 1, Cost: flat,
			Together: [][]int{{0, 1}, {1, 3}}, Apart: [][2]int{{3, 0}}}, partition.Options{},
			[]int{0, 3}, true,
			"elements 0 and 3 must travel together and must not: drop one of the two constraints"},
		{"too heavy", partition.Problem{Elements: 4, Modes: 1, Cost: flat, Weight: []int64{1, 5, 2, 3}, Carriage: light},
			partition.Options{}, []int{1, 3}, true,
			"no plan carries elements 1 and 3, which no mode takes alone: add a mode or leave them out"},
		{"alone nor with others", partition.Problem{Elements: 3, Modes: 1,
			Cost: func(s partition.Set, _ int) (int64, bool) { return 1, !s.Has(2) }}, partition.Options{},
			[]int{2}, true,
			"no plan carries element 2, which no mode takes alone: add a mode or leave them out"},
		{"not found", partition.Problem{Elements: 3, Modes: 1,
			Cost: func(s partition.Set, _ int) (int64, bool) { return 1, !s.Has(2) }}, partition.UpTo(1),
			[]int{2}, false,
			"no plan found that carries element 2, which no mode takes alone: allow more work or add a mode"},
	} {
		_, err := c.p.Solve(context.Background(), c.o)
		var none *partition.NoPlanError
		if !errors.As(err, &none) || !slices.Equal(none.Elements, c.want) || none.Proven() != c.proven || none.Conflict != strings.Contains(c.text, "must not") || err.Error() != c.text {
			t.Errorf("%s: got %v; want %s", c.name, err, c.text)
		}
	}
}

// TestOnlyTogether needs elements that are carried only with each other.
func TestOnlyTogether(t *testing.T) {
	p := &partition.Problem{Elements: 4, Modes: 1, Cost: func(s partition.Set, _ int) (int64, bool) { return 3, s.Len()%2 == 0 && s.Len() < 4 }}
	for _, upTo := range []int{0, 1} {
		got, err := once(t, p).Solve(context.Background(), partition.UpTo(upTo))
		if err != nil || got.Cost != 6 {
			t.Errorf("exact up to %d: got %+v, %v; want cost 6", upTo, got, err)
		}
	}
}
