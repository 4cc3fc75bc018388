package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type dutyOptions struct {
	ofFiles
	lot  string
	back []string
}

func newDuty(s streams) *cobra.Command {
	o := &dutyOptions{}
	c := command("duty", o, oneFile, lotFiles, func(_ *cobra.Command, args []string) error { return o.run(s, args[0]) })
	c.Flags().StringArrayVar(&o.back, "back", nil, "show what may be paid back if this `ITEM` is sent back, or so many pieces of it: jack=1")
	c.Flags().StringVar(&o.lot, "lot", "", "go through the bids for the open lot with this `ID` alone")
	fromFile(c, "lot", func(f *lotfile.File) []string { return f.Open() })
	return c
}

func (o *dutyOptions) run(s streams, path string) error {
	h, err := o.lotFile(s, path)
	if err != nil {
		return err
	}
	r, err := o.result(s, h, landed.Split)
	if err != nil {
		return err
	}
	return o.write(s, r)
}

func (o *dutyOptions) result(s streams, h *lotfile.File, split splitting) (none show.Result, err error) {
	if h.Border == nil && h.From != "" && h.To != "" && !h.CrossesBorder() {
		return none, source.Faults{{At: h.At.Key("from"), Field: "customs", What: "there is no border from " + h.From + " to " + h.To + ", so that nothing is asked at one",
			Remedy: "correct from or to if the goods come over one"}}
	}
	if h.Border == nil {
		return none, source.Faults{{At: source.Origin{File: h.At.File}, Field: "customs", What: "the section is missing",
			Remedy: "add it, as in customs: {use: personal, by: post, classes: {…}}; customs: {} takes all defaults"}}
	}
	if open := h.Open(); len(open) > 0 && len(o.back) > 0 {
		return none, &usageError{"--back is for what was bought, and a price is open", "write the price, or lost: yes"}
	} else if len(open) > 0 {
		return o.bids(s, h, open)
	}
	if o.lot != "" {
		return none, &usageError{"--lot names an open lot, and none is open", "leave it out"}
	}
	st, err := split(h.Haul)
	if err != nil {
		return none, err
	}
	if st.Border == nil { // all is known of the bills, and no rules are
		_, err = split(h.Haul.WithoutBills())
		return none, err
	}
	back, err := o.sentBack(st)
	if err != nil {
		return none, err
	}
	return show.Duty(st, back), nil
}

// sentBack finds what may be paid back; nil where nothing is sent back.
func (o *dutyOptions) sentBack(st *landed.Statement) ([]customs.Refund, error) {
	if len(o.back) == 0 {
		return nil, nil
	}
	pieces := map[string]int64{}
	for _, text := range o.back {
		id, number, counted := strings.Cut(text, "=")
		i, err := findItem(st, "--back: ", id)
		if err != nil {
			return nil, err
		}
		n := st.Items[i].Count
		if counted {
			if m, err := strconv.ParseInt(number, 10, 64); err == nil && 0 < m && m <= n {
				n = m
			} else {
				return nil, &usageError{fmt.Sprintf("--back: %q is no number of pieces of %s", number, id), fmt.Sprintf("write 1 to %d, as in --back %s=1", n, id)}
			}
		}
		pieces[id] = n
	}
	return append([]customs.Refund{}, st.Border.Refunds(pieces)...), nil
}

// bids goes through those for the open lots.
func (o *dutyOptions) bids(s streams, f *lotfile.File, open []string) (none show.Result, err error) {
	if o.lot != "" {
		if !slices.Contains(open, o.lot) {
			return none, &usageError{fmt.Sprintf("no open lot has the id %q", o.lot), source.DidYouMean(o.lot, open)}
		}
		open = []string{o.lot}
	}
	var lots []*bid.Answer
	for _, id := range open {
		a, err := bid.Border(f.Haul, f.Plans, id)
		if err != nil {
			return none, s.asUsage(err)
		}
		lots = append(lots, a)
	}
	var at []bid.Won
	if o.lot == "" {
		if at, err = atLimits(f, bid.Options{}); err != nil {
			return none, s.asUsage(err)
		}
	}
	return show.DutyBids(lots, at), nil
}
