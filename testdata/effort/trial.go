// Package effort says how many cases a long test tries, and how what is counted may grow.
package effort

import (
	"flag"
	"os"
	"runtime/debug"
	"testing"

	_ "pgregory.net/rapid" // whose flag is set below
)

var all = os.Getenv("LOTCOST_TESTS") == "all" && !underRace

// A property is tried on as many draws as rapid likes only where all cases are. Garbage is
// collected seldom, since tests make much and hold little.
func init() {
	debug.SetGCPercent(400)
	if !all {
		_ = flag.Set("rapid.checks", "40")
	}
}

// All reports whether all cases are tried, as before a change lands.
func All() bool { return all }

// Cases is how many of a test's cases are tried: all of them where LOTCOST_TESTS
// is "all", as before a change lands; few under -short and the race detector,
// which makes them many times as slow; else the usual number.
func Cases(every, usual, few int) int {
	switch {
	case all:
		return every
	case testing.Short() || underRace:
		return few
	}
	return usual
}
