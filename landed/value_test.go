package landed_test

import (
	"fmt"
	"slices"
	"testing"

	"lotcost/landed"
)

// fates reads pairs of a value, or the two ends of a range, from least to most.
func fates(values ...[2]string) []landed.Fate {
	list := make([]landed.Fate, len(values))
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
		fates []landed.Fate
		best  int
		value string
	}{
		{fates([2]string{"8 CAD"}, [2]string{"30 CAD", "45 CAD"}), 1, "37.50 CAD"},
		{fates([2]string{"38 CAD"}, [2]string{"30 CAD", "45 CAD"}), 0, "38.00 CAD"},
		{fates([2]string{"30 CAD", "45 CAD"}, [2]string{"37.50 CAD"}), 0, "37.50 CAD"}, // the first of equals
		{fates([2]string{"30 CAD", "45.01 CAD"}), 0, "37.51 CAD"},
		{fates([2]string{"37.50 CAD"}, [2]string{"30 CAD", "45.01 CAD"}), 1, "37.51 CAD"}, // 37.505: not rounded before it is compared
		{fates([2]string{"37.19 CAD"}, [2]string{"4000 JPY"}), 1, "4000 JPY"},             // 37.20
		{fates([2]string{"37.20 CAD"}, [2]string{"4000 JPY"}), 0, "37.20 CAD"},
		{fates([2]string{"37.20 CAD"}, [2]string{"4000 JPY", "4001 JPY"}), 1, "4001 JPY"},
		{fates([2]string{"0 CAD"}, [2]string{"0 CAD"}), 0, "0.00 CAD"},
	} {
		best, err := h.Best(c.fates)
		if value := h.ValueOf(&landed.Item{Chances: c.fates}); err != nil || best != c.best || value.String() != c.value {
			t.Errorf("%v: %d, %v, %v; want %d, %s", c.fates, best, value, err, c.best, c.value)
		}
	}
	if best, err := h.Best(nil); best != -1 || err != nil {
		t.Errorf("of none %d, %v", best, err)
	}
	if given := h.ValueOf(&landed.Item{Value: amount("5 CAD"), Chances: fates([2]string{"8 CAD"})}); given != amount("5 CAD") {
		t.Errorf("a value that is given counts as %v", given)
	}
}

// A price is shared alike by a value, by chances with that value, and by a range
// around it: 40 of 50 of 10.00.
func TestSharingByChances(t *testing.T) {
	for _, chances := range [][]landed.Fate{nil, fates([2]string{"40 CAD"}, [2]string{"8 CAD"}), fates([2]string{"30 CAD", "50 CAD"}), fates([2]string{"10 CAD", "20 CAD"}, [2]string{"35 CAD", "45 CAD"})} {
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
	h.Lots[0].Items[0].Chances = fates([2]string{"40 CAD"}, [2]string{"8 JPY"})
	h.Lots[0].Items[0].Chances[0].Chance = number("1")
	const want = `item jack: chances: no rate from JPY to CAD: state one ("100 JPY = … CAD") or give a table that holds it`
	if _, err := landed.Split(h); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
