package main

import (
	"context"
	"os"
	"os/signal"

	"lotcost/landed"
	"lotcost/landed/lotfile"

	"github.com/spf13/cobra"
)

// reading is how a lot file is read.
type reading struct {
	anyDay bool
	rules  string
	read   []string // the files that were read
}

func (r *reading) addFlags(c *cobra.Command) {
	c.Flags().BoolVar(&r.anyDay, "any-day", false, "take the nearest published rate, however old")
	addRulesFlag(c, &r.rules)
}

func addRulesFlag(c *cobra.Command, path *string) {
	c.Flags().StringVar(path, "rules", "", "a customs rule `FILE` of your own, beside or in place of the shipped rules")
	if err := c.MarkFlagFilename("rules", "yaml", "yml"); err != nil {
		panic(err) // the flag was not defined
	}
}

// plain are the options without flags; what is read is noted.
func (r *reading) plain(s streams) lotfile.Options {
	return lotfile.Options{Stdin: s.in, Opened: func(path string) { r.read = append(r.read, path) }}
}

// options are the flags for the reader of files.
func (r *reading) options(s streams) (lotfile.Options, error) {
	o := r.plain(s)
	o.AnyDay = r.anyDay
	if r.rules == "" {
		return o, nil
	}
	var err error
	o.Rules, err = lotfile.ReadRules(r.rules, o)
	return o, err
}

// haul reads the lot file at path.
func (r *reading) haul(s streams, path string) (*landed.Haul, error) {
	o, err := r.options(s)
	if err != nil {
		return nil, err
	}
	return lotfile.Read(path, o)
}

// interruptible lets a command end in order on Ctrl-C; a second one ends it at
// once, as it ends every other command.
func interruptible(c *cobra.Command) (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
