package landed_test

import (
	"testing"

	"lotcost/landed/internal/arena"

	"pgregory.net/rapid"
)

// What is taken is zero, holds what is written into it whatever else is taken, and nothing is made
// once as much was taken before.
func TestTake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var a arena.Of[int]
		for range rapid.IntRange(1, 6).Draw(t, "times") {
			var taken [][]int
			for n := range rapid.IntRange(0, 8).Draw(t, "slices") {
				some := a.Take(rapid.IntRange(0, 9).Draw(t, "length"))
				for i := range some {
					if some[i] != 0 {
						t.Fatalf("%v is not zero", some)
					}
					some[i] = n + 1
				}
				taken = append(taken, append(some, -1)[:len(some)]) // what is appended goes elsewhere
			}
			for n, some := range taken {
				for _, v := range some {
					if v != n+1 {
						t.Fatalf("slice %d is %v", n, some)
					}
				}
			}
			a.Empty(rapid.IntRange(0, 100).Draw(t, "most"))
		}
	})
}

var kept [][4]int

// Room is kept up to a limit.
func TestEmpty(t *testing.T) {
	var a arena.Of[[4]int]
	fill := func() {
		for range 10 {
			a.Take(3)
		}
		a.Empty(30)
	}
	fill()
	fill()
	if made := testing.AllocsPerRun(10, fill); made != 0 {
		t.Errorf("%v slices were made where there is room", made)
	}
	a.Take(31)
	a.Empty(30)
	if made := testing.AllocsPerRun(1, func() { kept = a.Take(1) }); made != 1 {
		t.Errorf("%v slices were made: room above the limit is kept", made)
	}
}
