// Command peers runs the hot paths beside general-purpose ways of doing the same: it checks first
// that the answers are equal, and then prints how many times as much of the processor's time the
// other way takes. Its README says how it is run.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"slices"
	"syscall"
	"time"
)

func main() {
	if err := compare(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func compare() error {
	folder, err := os.MkdirTemp("", "peers-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	commands, err := processes(folder)
	if err != nil {
		return err
	}
	failed := 0
	for _, c := range slices.Concat(sharing(), chances(), commands) {
		says, err := c.measure()
		if err != nil {
			failed++
			says = err.Error()
		}
		fmt.Printf("%-62s %s\n", c.name, says)
	}
	if failed > 0 {
		return fmt.Errorf("%d of them failed", failed)
	}
	return nil
}

// contest is one way of ours and one of a peer. Both do the same; equal says whether they did.
type contest struct {
	name         string
	needs        string       // a program that the peer is, if any
	before       func() error // makes what both read, if anything
	ours, theirs func() error
	equal        func() error // after both have run once, if it has to be asked
}

// measure runs both in turn and compares the medians of the processor's time of each.
func (c contest) measure() (says string, err error) {
	if c.needs != "" {
		if _, err := exec.LookPath(c.needs); err != nil {
			return "not run: " + c.needs + " is not installed", nil
		}
	}
	for _, step := range []func() error{c.before, c.ours, c.theirs, c.equal} {
		if step == nil {
			continue
		}
		if err := step(); err != nil {
			return "", err
		}
	}
	const rounds = 5
	var a, b []time.Duration
	for range rounds {
		a, b = append(a, spent(c.ours)), append(b, spent(c.theirs))
	}
	slices.Sort(a)
	slices.Sort(b)
	ours, theirs := a[rounds/2], b[rounds/2]
	return fmt.Sprintf("%8.2f times  (%s and %s)", float64(theirs)/float64(ours), ours, theirs), nil
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
