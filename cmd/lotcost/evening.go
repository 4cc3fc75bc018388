package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

// tonightOptions are what has become of open lots since the file was written, and
// whether to go on looking at it.
type tonightOptions struct {
	won, lost []string
	watch     bool
}

func (o *tonightOptions) addFlags(c *cobra.Command) {
	f := c.Flags()
	f.StringArrayVar(&o.won, "won", nil, "an open lot was won, `LOT=AMOUNT` such as lot-2='5200 JPY'; may be repeated")
	f.StringArrayVar(&o.lost, "lost", nil, "the open lot with this `ID` was lost; may be repeated")
	f.BoolVar(&o.watch, "watch", false, "answer again whenever the file is saved, until Ctrl-C")
	fromFile(c, "lost", func(f *lotfile.File) []string { return f.Open() })
}

// decide writes into a file, in memory, what has become of open lots.
func (o *tonightOptions) decide(s streams, f *lotfile.File) error {
	if len(o.won)+len(o.lost) == 0 {
		return nil
	}
	h := *f.Haul
	h.Lots = slices.Clone(h.Lots)
	for _, text := range o.won {
		id, typedPrice, ok := strings.Cut(text, "=")
		if !ok {
			return &usageError{fmt.Sprintf("--won %q names no price", text), "write the lot and its price, as in --won lot-2='5200 JPY'"}
		}
		at, err := openAt(f, "--won", id)
		if err != nil {
			return err
		}
		lot := &h.Lots[at]
		price, err := typed(s, typedPrice, amountIn(cmp.Or(f.Bidding.Currency(lot), f.Home)))
		switch {
		case err != nil:
			return &usageError{"--won " + id, err.Error()}
		case price.Sign() < 0:
			return &usageError{"--won " + id + ": a price is never negative", "write what it was won at"}
		case !lot.Open || lot.Lost:
			return &usageError{"lot " + id + " is named twice", "name each lot once"}
		}
		lot.Open, lot.Price = false, price
	}
	for _, id := range o.lost {
		at, err := openAt(f, "--lost", id)
		if err != nil {
			return err
		}
		if lot := &h.Lots[at]; !lot.Open || lot.Lost {
			return &usageError{"lot " + id + " is named twice", "name each lot once"}
		}
		h.Lots[at].Lost = true
	}
	if f.Haul = h.WithoutLost(); len(f.Haul.Lots) == 0 {
		return &usageError{"every lot is lost, so that nothing is left to bid for", "leave out the --lost of one that is still to come"}
	}
	f.Plans = f.Plans.For(f.Haul)
	return nil
}

func openAt(f *lotfile.File, flag, id string) (int, error) {
	open := f.Open()
	if slices.Contains(open, id) {
		return f.LotAt(id), nil
	}
	return 0, &usageError{fmt.Sprintf("%s: no open lot has the id %q", flag, id), source.DidYouMean(id, open)}
}

// isEvening reports whether a plan for several lots is asked for.
func (o *bidOptions) isEvening(f *lotfile.File) bool {
	return o.lot == "" && (f.Bidding == nil || f.Bidding.Lot == "") && len(f.Open()) > 1
}

// tonight is the answer for several lots, which is no where there is a bid for none.
func (o *bidOptions) tonight(s streams, f *lotfile.File, ask bid.Options, waiting *waiting) (none show.Result, yes bool, err error) {
	if o.at != "" {
		return none, false, &usageError{"--at judges a price for one lot, and several are open", "name it with --lot"}
	}
	e, err := o.evening(s, f, ask)
	waiting.end()
	if err != nil {
		return none, false, err
	}
	var courses []bid.Course
	if o.isPage() && e.Plan != nil {
		if courses, err = bid.Courses(f.Haul, f.Plans, ask, e, show.MostCourses); err != nil {
			return none, false, s.asUsage(err)
		}
	}
	return show.Evening(f.Title, e, courses), slices.ContainsFunc(e.Lots, func(l bid.LotTonight) bool {
		return l.Limit.Currency() != 0 || e.Plan == nil && l.Alone.Currency() != 0
	}), nil
}

// roomy is how much an evening may use before tidying up comes before speed, in bytes.
const roomy = 800 << 20

// evening plans it with the goal of the command line.
func (o *bidOptions) evening(s streams, f *lotfile.File, ask bid.Options) (*bid.Evening, error) {
	if err := o.goal(s, f); err != nil {
		return nil, err
	}
	moreMemory(roomy)
	e, err := bid.Tonight(f.Haul, f.Plans, ask)
	if err != nil {
		return nil, s.asUsage(err)
	}
	return e, nil
}

// watched answers again whenever the file is saved. It ends when it is interrupted.
func (o *bidOptions) watched(ctx context.Context, s streams, path string, answer func(context.Context) error) error {
	for {
		before, _ := os.ReadFile(path)
		run, stop := o.timed(ctx)
		if err := o.ended(run, answer(run)); err != nil && ctx.Err() == nil {
			s.tell(err)
		}
		stop()
		for now := before; bytes.Equal(now, before); {
			select {
			case <-ctx.Done():
				return nil
			case <-time.After(pause):
			}
			if text, err := os.ReadFile(path); err == nil {
				now = text
			}
		}
		fmt.Fprintln(s.out)
	}
}

// pause is how long it may take until a saved file is seen.
const pause = 200 * time.Millisecond

// atLimits accounts for the sets of open lots that matter; for none where fewer than two are
// open, or nothing says in which currency one is bid for.
func atLimits(f *lotfile.File, ask bid.Options) ([]bid.Won, error) {
	if len(f.Open()) < 2 {
		return nil, nil
	}
	list, err := bid.AtLimits(f.Haul, f.Plans, ask)
	if asked(err) == "currency" {
		return nil, nil
	}
	return list, err
}
