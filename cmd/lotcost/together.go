package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/source"
	"lotcost/landed/together"

	"github.com/spf13/cobra"
)

type togetherOptions struct {
	ofFiles
	searching
	apply, plan string
	next        struct{ weight, size, price string }
}

func newTogether(s streams) *cobra.Command {
	o := &togetherOptions{}
	return command("together", o, oneFile, lotFiles, func(c *cobra.Command, args []string) error {
		return o.searches(c, func(ctx context.Context) error { return o.run(ctx, s, args[0]) })
	})
}

func (o *togetherOptions) addFlags(c *cobra.Command) {
	o.ofFiles.addFlags(c)
	o.searching.addFlags(c)
	f := c.Flags()
	f.Var(given(&o.apply), "apply", "write a copy of the lot file with the plan's parcels to `OUT` (- for standard output, in place of the result there)")
	f.StringVar(&o.plan, "plan", "best", "with --apply: which `WAY` to write, apart, one or best")
	f.StringVar(&o.next.weight, "next", "", "show what one more lot of this `WEIGHT` adds, such as '1.2 kg'")
	f.StringVar(&o.next.size, "next-size", "", "with --next: its outside `SIZE`, such as '30x20x10 cm'")
	f.StringVar(&o.next.price, "next-price", "", "with --next: what it may go for, an `AMOUNT`; it counts at the border and is not in the answer")
	words(c, "plan", planNames...)
}

var planNames = []string{"apart", "one", "best"}

// check refuses flags that do not go together.
func (o *togetherOptions) check() error {
	switch {
	case !slices.Contains(planNames, o.plan):
		return &usageError{fmt.Sprintf("there is no plan %q", o.plan), source.DidYouMean(o.plan, planNames)}
	case o.plan != "best" && o.apply == "":
		return &usageError{"--plan says which way is written, but nothing is", "add --apply OUT"}
	case o.next.weight == "" && (o.next.size != "" || o.next.price != ""):
		return &usageError{"the next lot has no weight", "add --next '1.2 kg'"}
	case o.next.weight != "" && o.apply != "":
		return &usageError{"--next asks about a lot that is not in the file, which --apply cannot write", "leave out one of them"}
	case o.apply == "" || o.apply == "-":
	case o.toFile() && whole.SameFile(o.apply, o.file):
		return &usageError{"--apply and -o write to one file, " + o.file, "give each a name of its own"}
	case whole.Exists(o.apply):
		return exists(o.apply, "--apply")
	}
	return nil
}

func (o *togetherOptions) run(ctx context.Context, s streams, path string) error {
	if err := o.check(); err != nil {
		return err
	}
	options, err := o.options(s)
	if err != nil {
		return err
	}
	data, err := lotfile.Text(path, options) // it is needed again, for --apply
	if err != nil {
		return err
	}
	f, err := lotfile.ReadText(path, data, options)
	if err != nil {
		return err
	}
	s.asIn(f)
	waiting := s.waiting()
	search := together.Options{Progress: waiting.parcels(f.Home)}
	if o.next.weight != "" {
		next, err := o.nextLot(s, f.Haul)
		if err != nil {
			return err
		}
		a, err := together.Next(ctx, f.Haul, f.Sending, next, search)
		waiting.end()
		if err != nil {
			return err
		}
		return o.write(s, show.Next(a))
	}
	r, err := together.Plan(ctx, f.Haul, f.Sending, search)
	waiting.end()
	if err != nil {
		return err
	}
	if o.apply == "" {
		at, err := atLimits(f, bid.Options{Goes: func(int) bool { return ctx.Err() == nil }})
		if err != nil && !errors.Is(err, bid.ErrStopped) {
			return s.asUsage(err)
		}
		return o.write(s, show.Plans(r, at))
	}
	return o.applied(s, path, data, f, r)
}

func (o *togetherOptions) nextLot(s streams, h *landed.Haul) (landed.Lot, error) {
	var n landed.Lot
	var err error
	if n.Packed, err = typed(s, o.next.weight, measure.ParseWeight); err != nil {
		return n, &usageError{"--next", err.Error()}
	}
	if n.Packed == 0 {
		return n, &usageError{"--next: a weight of zero makes no sense", "write it as in --next '1.2 kg'"}
	}
	if o.next.size != "" {
		if n.Size, err = typed(s, o.next.size, measure.ParseSize); err != nil {
			return n, &usageError{"--next-size", err.Error()}
		}
	}
	if o.next.price != "" {
		if n.Price, err = typed(s, o.next.price, amountIn(h.Home)); err != nil {
			return n, &usageError{"--next-price", err.Error()}
		}
		if n.Price.Sign() < 0 {
			return n, &usageError{"--next-price is negative", "write what the lot may go for, 0 or more"}
		}
	}
	return n, nil
}

// applied writes a copy of the lot file with the parcels of a way, once it is
// sure that it splits to the way's total.
func (o *togetherOptions) applied(s streams, path string, data []byte, f *lotfile.File, r *together.Report) error {
	way := map[string]*together.Way{"apart": &r.Apart, "one": &r.One, "best": &r.Best}[o.plan]
	if way.Statement == nil {
		return &usageError{"--plan " + o.plan + " is not possible", way.Why.Error()}
	}
	if err := inTheWay(r); err != nil {
		return err
	}
	var parcels []landed.Parcel
	var notes, keep []string
	for _, p := range show.Stayed(way) {
		if keep = append(keep, p.ID); !slices.ContainsFunc(f.Parcels, func(own landed.Parcel) bool { return own.ID == p.ID }) {
			parcels, notes = append(parcels, p), append(notes, "it has come")
		}
	}
	for i := range way.Parcels {
		parcels = append(parcels, way.Parcels[i].Parcel)
		notes = append(notes, "by "+way.Parcels[i].Quote.Service.Name)
	}
	doc, err := edit.Parse(path, data)
	if err == nil && len(parcels)+len(keep) > 0 { // a haul that came in one parcel names none
		doc, err = doc.WithParcels(parcels, notes, f.Comma, keep...)
	}
	if err != nil {
		return err
	}
	text := doc.Bytes()
	if err := o.verify(path, text, way); err != nil {
		return err
	}
	if o.apply == "-" {
		if err := notOntoRead(s); err != nil {
			return err
		}
		if _, err := s.out.Write(text); err != nil || !o.toFile() {
			return err
		}
		return o.write(s, show.Plans(r, nil))
	}
	if err := o.notOver(s); err != nil {
		return err // before anything is written
	}
	if err := create(o.apply, text, "--apply"); err != nil {
		return err
	}
	fmt.Fprintf(s.err, "hint: the plan is in %s; lotcost split %s\n", o.apply, o.apply)
	return o.write(s, show.Plans(r, nil))
}

// inTheWay tells what in the file would be paid twice beside the parcels.
func inTheWay(r *together.Report) error {
	var faults source.Faults
	for _, a := range r.Aside {
		if a.Warning {
			continue
		}
		f := &source.Fault{At: a.At, Field: a.What, What: "the parcels of the plan would take its place, and it would count beside them",
			Remedy: "take it out, or begin its lines with #, and apply the plan again"}
		switch {
		case a.Figure != "":
			f.What, f.Remedy = "it is for what has come, and would be for what is still to come too", a.Remedy+"; then apply the plan again"
		case a.Remedy != "":
			f.Remedy += "; " + a.Remedy
		}
		faults = append(faults, f)
	}
	if faults == nil {
		return nil
	}
	return faults
}

// verify reads the text as it will stand where it is written, and splits it.
func (o *togetherOptions) verify(path string, text []byte, way *together.Way) error {
	name := o.apply
	if name == "-" {
		name = path
	}
	options, err := o.options(streams{})
	if err != nil {
		return err
	}
	options.Warn, options.Reference = nil, nil // what is to be said of the file has been
	h, err := lotfile.ReadText(name, text, options)
	if err != nil {
		return err
	}
	st, err := landed.Split(h.OpenAsFree())
	if err != nil {
		return err
	}
	if st.Total != way.Total {
		return fmt.Errorf("the parcels were planned to make a total of %s, but the account says %s", way.Total, st.Total)
	}
	return nil
}
