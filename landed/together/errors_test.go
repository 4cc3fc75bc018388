package together_test

import (
	"context"
	"errors"
	"reflect"
	"testing"

	"lotcost/landed/together"
)

// flat carries any lots for 5.
func flat(together.Set, int) (int64, bool) { return 5, true }

func TestProblemErrors(t *testing.T) {
	base := together.Problem{Lots: 3, Services: 1, Cost: flat}
	for _, c := range []struct {
		name   string
		change func(*together.Problem, *together.Options)
		want   string
	}{
		{"no lots", func(p *together.Problem, _ *together.Options) { p.Lots = 0 },
			`Lots "0": must be from 1 to 64`},
		{"too many lots", func(p *together.Problem, _ *together.Options) { p.Lots = 65 },
			`Lots "65": must be from 1 to 64`},
		{"no service", func(p *together.Problem, _ *together.Options) { p.Services = 0 },
			`Services "0": must be 1 or more`},
		{"no cost", func(p *together.Problem, _ *together.Options) { p.Cost = nil },
			`Cost "nil": must be a function`},
		{"carriage without weight", func(p *together.Problem, _ *together.Options) {
			p.Carriage = func(int64) (int64, bool) { return 0, true }
		}, `Weight "nil": must be given with Carriage`},
		{"short weights", func(p *together.Problem, _ *together.Options) { p.Weight = []int64{1} },
			`Weight "1 entries": must have one for each of the 3 lots`},
		{"negative weight", func(p *together.Problem, _ *together.Options) { p.Weight = []int64{1, -1, 1} },
			`Weight of lot 1 "-1": must be from 0, and all together at most 4611686018427387903`},
		{"weights that overflow", func(p *together.Problem, _ *together.Options) { p.Weight = []int64{1 << 61, 1 << 61, 1} },
			`Weight of lot 1 "2305843009213693952": must be from 0, and all together at most 4611686018427387903`},
		{"negative least cost", func(p *together.Problem, _ *together.Options) { p.Each = []int64{0, 0, -2} },
			`Each of lot 2 "-2": must be from 0, and all together at most 1125899906842624`},
		{"short kinds", func(p *together.Problem, _ *together.Options) { p.Kind = []int{1, 1} },
			`Kind "2 entries": must have one for each of the 3 lots`},
		{"alike of unlike weight", func(p *together.Problem, _ *together.Options) {
			p.Kind, p.Weight = []int{7, 8, 7}, []int64{1, 1, 2}
		}, `Kind of lot 2 "7": must differ from that of lot 0, which has another weight or least cost`},
		{"no such lot together", func(p *together.Problem, _ *together.Options) { p.Together = [][]int{{0, 3}} },
			`Together lot "3": must be from 0 to 2`},
		{"no such lot apart", func(p *together.Problem, _ *together.Options) { p.Apart = [][2]int{{-1, 2}} },
			`Apart lot "-1": must be from 0 to 2`},
		{"apart from itself", func(p *together.Problem, _ *together.Options) { p.Apart = [][2]int{{2, 2}} },
			`Apart lot "2": must be kept apart from another lot`},
		{"negative work", func(_ *together.Problem, o *together.Options) { o.Work = -1 },
			`Work "-1": must not be negative`},
		{"too much to settle", func(_ *together.Problem, o *together.Options) { o.ExactUpTo = 25 },
			`ExactUpTo "25": must be from 0 to 24`},
		{"cost out of range", func(p *together.Problem, _ *together.Options) {
			p.Cost = func(s together.Set, _ int) (int64, bool) { return int64(-s.Len()), true }
		}, `Cost of lot 0 "-1": must be from 0 to 2^50`},
	} {
		p, o := base, together.Options{}
		c.change(&p, &o)
		_, err := p.Solve(context.Background(), o)
		var wrong *together.ProblemError
		if !errors.As(err, &wrong) || err.Error() != c.want {
			t.Errorf("%s: got %v; want %s", c.name, err, c.want)
		}
	}
}

func TestFloorError(t *testing.T) {
	p := together.Problem{Lots: 2, Services: 1, Cost: flat, Floor: func(s together.Set) int64 { return int64(3 * s.Len()) }}
	_, err := p.Solve(context.Background(), together.Options{})
	var floor *together.FloorError
	want := together.FloorError{Lots: together.SetOf(0, 1), Service: 0, Cost: 5, Floor: 6}
	if !errors.As(err, &floor) || *floor != want {
		t.Fatalf("got %v; want %+v", err, want)
	}
	if text := "parcel of lots 0 and 1 by service 0: cost 5 is below the stated floor of 6: lower the floor"; err.Error() != text {
		t.Errorf("got %q; want %q", err, text)
	}
}

func TestNoPlan(t *testing.T) {
	light := func(weight int64) (int64, bool) { return 1, weight <= 2 }
	for _, c := range []struct {
		name string
		p    together.Problem
		o    together.Options
		want together.NoPlanError
		text string
	}{
		{"together and apart", together.Problem{Lots: 4, Services: 1, Cost: flat,
			Together: [][]int{{0, 1}, {1, 3}}, Apart: [][2]int{{3, 0}}}, together.Options{},
			together.NoPlanError{Lots: []int{0, 3}, Conflict: true, Proven: true},
			"lots 0 and 3 must travel together and must not: drop one of the two constraints"},
		{"too heavy", together.Problem{Lots: 4, Services: 1, Cost: flat, Weight: []int64{1, 5, 2, 3}, Carriage: light},
			together.Options{}, together.NoPlanError{Lots: []int{1, 3}, Proven: true},
			"no plan carries lots 1 and 3, which no service takes alone: add a service or leave them out"},
		{"alone nor with others", together.Problem{Lots: 3, Services: 1,
			Cost: func(s together.Set, _ int) (int64, bool) { return 1, !s.Has(2) }}, together.Options{},
			together.NoPlanError{Lots: []int{2}, Proven: true},
			"no plan carries lot 2, which no service takes alone: add a service or leave them out"},
		{"not found", together.Problem{Lots: 3, Services: 1,
			Cost: func(s together.Set, _ int) (int64, bool) { return 1, !s.Has(2) }}, together.Options{ExactUpTo: 1},
			together.NoPlanError{Lots: []int{2}},
			"no plan found that carries lot 2, which no service takes alone: allow more work or add a service"},
	} {
		_, err := c.p.Solve(context.Background(), c.o)
		var none *together.NoPlanError
		if !errors.As(err, &none) || !reflect.DeepEqual(*none, c.want) || err.Error() != c.text {
			t.Errorf("%s: got %v; want %s", c.name, err, c.text)
		}
	}
}

// TestOnlyTogether needs lots that are carried only with each other.
func TestOnlyTogether(t *testing.T) {
	p := &together.Problem{Lots: 4, Services: 1, Cost: func(s together.Set, _ int) (int64, bool) { return 3, s.Len()%2 == 0 && s.Len() < 4 }}
	for _, upTo := range []int{0, 1} {
		got, err := once(t, p).Solve(context.Background(), together.Options{ExactUpTo: upTo})
		if err != nil || got.Cost != 6 {
			t.Errorf("exact up to %d: got %+v, %v; want cost 6", upTo, got, err)
		}
	}
}
