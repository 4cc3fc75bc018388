package landed_test

import (
	"fmt"
	"slices"
	"testing"

	"lotcost/landed"
)

// outcomes reads pairs of a value, or the two ends of a range, from least to most.
func outcomes(values ...[2]string) []landed.Outcome {
	list := make([]landed.Outcome, len(values))
	for i, v := range values {
		list[i].Value = amount(v[0])
		if v[1] != "" {
			list[i].UpTo = amount(v[1])
		}
	}
	return list
}

func TestBest(t *testing.T) {
	h := &landed.Haul{Home: cad, Market: market("100 JPY = 0.93 CAD")}
	for _, c := range []struct {
		outcomes []landed.Outcome
		best     int
		value    string
	}{
		{outcomes([2]string{"8 CAD"}, [2]string{"30 CAD", "45 CAD"}), 1, "37.50 CAD"},
		{outcomes([2]string{"38 CAD"}, [2]string{"30 CAD", "45 CAD"}), 0, "38.00 CAD"},
		{outcomes([2]string{"30 CAD", "45 CAD"}, [2]string{"37.50 CAD"}), 0, "37.50 CAD"}, // the first of equals
		{outcomes([2]string{"30 CAD", "45.01 CAD"}), 0, "37.51 CAD"},
		{outcomes([2]string{"37.50 CAD"}, [2]string{"30 CAD", "45.01 CAD"}), 1, "37.51 CAD"}, // 37.505: not rounded before it is compared
		{outcomes([2]string{"37.19 CAD"}, [2]string{"4000 JPY"}), 1, "4000 JPY"},             // 37.20
		{outcomes([2]string{"37.20 CAD"}, [2]string{"4000 JPY"}), 0, "37.20 CAD"},
		{outcomes([2]string{"37.20 CAD"}, [2]string{"4000 JPY", "4001 JPY"}), 1, "4001 JPY"},
		{outcomes([2]string{"0 CAD"}, [2]string{"0 CAD"}), 0, "0.00 CAD"},
	} {
		best, err := h.Best(c.outcomes)
		if value := h.ValueOf(&landed.Item{Chances: c.outcomes}); err != nil || best != c.best || value.String() != c.value {
			t.Errorf("%v: %d, %v, %v; want %d, %s", c.outcomes, best, value, err, c.best, c.value)
		}
	}
	if best, err := h.Best(nil); best != -1 || err != nil {
		t.Errorf("of none %d, %v", best, err)
	}
	if given := h.ValueOf(&landed.Item{Value: amount("5 CAD"), Chances: outcomes([2]string{"8 CAD"})}); given != amount("5 CAD") {
		t.Errorf("a value that is given counts as %v", given)
	}
}

// A price is shared alike by a value, by chances with that value, and by a range
// around it: 40 of 50 of 10.00.
func TestSharingByChances(t *testing.T) {
	for _, chances := range [][]landed.Outcome{nil, outcomes([2]string{"40 CAD"}, [2]string{"8 CAD"}), outcomes([2]string{"30 CAD", "50 CAD"}), outcomes([2]string{"10 CAD", "20 CAD"}, [2]string{"35 CAD", "45 CAD"})} {
		h := &landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "crate", Price: amount("10 CAD"), Items: []landed.Item{item("jack", 1, "", ""), item("block", 1, "", "10 CAD")}}}}
		jack := &h.Lots[0].Items[0]
		if jack.Chances = chances; chances == nil {
			jack.Value = amount("40 CAD")
		}
		for i := range jack.Chances {
			jack.Chances[i].Chance = number(fmt.Sprint(1 / float64(len(chances))))
		}
		if got := numbers(split(t, h)); !slices.Equal(got, []string{"8.00", "2.00"}) {
			t.Errorf("%v: %v", chances, got)
		}
		if h.ValueOf(jack).Currency() == 0 {
			t.Errorf("%v: no value", chances)
		}
	}
	h := &landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "crate", Price: amount("10 CAD"), Items: []landed.Item{item("jack", 1, "", ""), item("block", 1, "", "10 CAD")}}}}
	h.Lots[0].Items[0].Chances = outcomes([2]string{"40 CAD"}, [2]string{"8 JPY"})
	h.Lots[0].Items[0].Chances[0].Chance = number("1")
	const want = `item jack: chances: no rate from JPY to CAD: state one ("100 JPY = … CAD") or give a table that holds it`
	if _, err := landed.Split(h); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
