package main

import (
	"os/exec"
	"strings"
	"testing"
)

// floors are the packages from the ground up; one may import only what stands
// on a lower floor, and the command's own rooms only each other.
var floors = map[string]int{
	"lotcost/testdata/effort": 0, "lotcost/testdata/reworded": 0, "lotcost/cmd/lotcost/internal/stack": 0, "lotcost/landed/internal/arena": 0, "lotcost/landed/internal/exact": 0, "lotcost/landed/internal/floor": 0, "lotcost/landed/internal/scrub": 0, "lotcost/landed/source": 0,
	"lotcost/landed/money": 1, "lotcost/landed/measure": 1, "lotcost/landed/internal/collect": 1, "lotcost/landed/internal/mend": 1, "lotcost/landed/internal/partition": 1, "lotcost/fx": 1,
	"lotcost/landed/internal/published": 1, "lotcost/cmd/lotcost/internal/browser": 1, // for tests
	"lotcost/landed/internal/typed": 2, // likewise
	"lotcost/landed/internal/input": 2, "lotcost/landed/internal/tally": 2, "lotcost/landed/internal/outline": 2, "lotcost/landed/internal/planning": 2,
	"lotcost/landed/internal/exchange": 2, "lotcost/landed/freight": 2, "lotcost/landed/resale": 2,
	"lotcost/landed/customs": 3, "lotcost/landed/internal/parcels": 3, "lotcost/landed/internal/cells": 3,
	"lotcost/landed": 4, "lotcost/landed/customs/tariff": 4,
	"lotcost/landed/internal/came": 5, "lotcost/landed/selling": 5, "lotcost/landed/internal/odds": 5, "lotcost/landed/odds": 6,
	"lotcost/landed/internal/sales": 6,
	"lotcost/landed/doubles":        7, "lotcost/landed/together": 7,
	"lotcost/landed/bid": 8, "lotcost/landed/book": 8,
	"lotcost/landed/lotfile":             9,
	"lotcost/cmd/lotcost/internal/sheet": 10, "lotcost/cmd/lotcost/internal/fetch": 10, "lotcost/cmd/lotcost/internal/whole": 10, "lotcost/cmd/lotcost/internal/lines": 10, "lotcost/cmd/lotcost/internal/edit": 10,
	"lotcost/cmd/lotcost/internal/live": 11, "lotcost/cmd/lotcost/internal/taken": 12, "lotcost/cmd/lotcost/internal/show": 13, "lotcost/cmd/lotcost/internal/desk": 14, "lotcost/cmd/lotcost": 15,
}

func TestFloors(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, "lotcost/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		floor, known := floors[words[0]]
		if !known {
			t.Errorf("%s stands on no floor: give it one", words[0])
		}
		for _, imported := range words[1:] {
			if strings.HasPrefix(imported, "lotcost/") && floors[imported] >= floor {
				t.Errorf("%s (floor %d) imports %s (floor %d)", words[0], floor, imported, floors[imported])
			}
			if floor < 10 && (strings.Contains(imported, "spf13") || strings.Contains(imported, "x/term")) {
				t.Errorf("%s imports %s: only the command speaks to people", words[0], imported)
			}
		}
	}
}
