// Package effort says how many cases a long test tries.
package effort

import (
	"os"
	"testing"
)

// Cases is how many of a test's cases are tried: all of them where LOTCOST_TESTS
// is "all", as before a change lands; few under -short and the race detector,
// which makes them many times as slow; else the usual number.
func Cases(all, usual, few int) int {
	switch {
	case os.Getenv("LOTCOST_TESTS") == "all" && !underRace:
		return all
	case testing.Short() || underRace:
		return few
	}
	return usual
}
