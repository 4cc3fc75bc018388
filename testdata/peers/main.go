// Command peers runs the hot paths beside general-purpose ways of doing the same: it checks first
// that the answers are equal, and then prints how many times as much of the processor's time the
// other way takes. From this folder:
//
//	go run .
//
// It is a module of its own, so that nobody inherits what it depends on. Python is needed for two
// of the peers; where it is missing they are passed over, and that is said.
package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"syscall"
	"time"
)

func main() {
	failed := false
	for _, c := range slices.Concat(sharing(), chances(), processes()) {
		ours, theirs, err := c.measure()
		switch {
		case errors.Is(err, errMissing):
			fmt.Printf("%-58s not run: %v\n", c.name, err)
		case err != nil:
			failed = true
			fmt.Printf("%-58s %v\n", c.name, err)
		default:
			fmt.Printf("%-58s %8.2f times  (%s and %s)\n", c.name, float64(theirs)/float64(ours), ours, theirs)
		}
	}
	if failed {
		os.Exit(1)
	}
}

// errMissing says that a peer is not there.
var errMissing = errors.New("it is not installed")

// contest is one way of ours and one of a peer. Both do the same; equal says whether they did.
type contest struct {
	name         string
	ours, theirs func() error
	equal        func() error // after both have run once
}

// measure runs both in turn and returns the median of the processor's time of each.
func (c contest) measure() (ours, theirs time.Duration, err error) {
	if err := errors.Join(c.ours(), c.theirs()); err != nil {
		return 0, 0, err
	}
	if err := c.equal(); err != nil {
		return 0, 0, fmt.Errorf("the answers differ: %w", err)
	}
	const rounds = 5
	var a, b []time.Duration
	for range rounds {
		a, b = append(a, spent(c.ours)), append(b, spent(c.theirs))
	}
	slices.Sort(a)
	slices.Sort(b)
	return a[rounds/2], b[rounds/2], nil
}

// spent is the processor's time of a call, that of the processes it started in it; of what is short
// the mean of many.
func spent(f func() error) time.Duration {
	const enough = 20 * time.Millisecond
	for n := 1; ; n *= 4 {
		before := processor()
		for range n {
			if f() != nil {
				return 0
			}
		}
		if took := processor() - before; took >= enough || n > 1<<20 {
			return took / time.Duration(n)
		}
	}
}

// processor is the time that this process and those it started have used.
func processor() time.Duration {
	var sum time.Duration
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		if syscall.Getrusage(who, &u) == nil {
			sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
		}
	}
	return sum
}
