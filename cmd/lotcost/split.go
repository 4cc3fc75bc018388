package main

import (
	"fmt"
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type splitOptions struct {
	ofFiles
	by      []string // a basis, or how it comes to the border
	compare bool
	working bool
	paid    bool
	item    string
	figures lotfile.Figures
}

func newSplit(s streams) *cobra.Command {
	o := &splitOptions{figures: lotfile.Figures{}}
	return command("split", o, o.checkArgs, lotFiles, func(_ *cobra.Command, args []string) error { return o.run(s, args) })
}

func (o *splitOptions) addFlags(c *cobra.Command) {
	o.ofFiles.addFlags(c)
	f := c.Flags()
	f.StringArrayVar(&o.by, "by", nil, "share prices by `BASIS`, whatever the file says: weight, count, value or line; without a lot file also post (the usual), courier or cargo, for customs; may be repeated")
	f.BoolVar(&o.compare, "compare", false, "show what a piece costs under every basis, side by side")
	f.BoolVar(&o.working, "working", false, "show how each amount was found and shared")
	f.BoolVar(&o.paid, "paid", false, "show what was paid alone; with --format csv a record for each amount")
	f.StringVar(&o.item, "item", "", "show the working of the item with this `ID`")
	addTerms(c, o.figures, splitFigures)
	words(c, "by", append(basisNames(), modeNames...)...)
	takesFile(c, "items", "csv", "xlsx")
}

// splitFigures are the flags that stand in for a lot file, besides those of all commands.
var splitFigures = [][2]string{
	{"items", "the item list, a CSV or .xlsx `LIST` (list.xlsx#Sheet for one sheet, - for standard input, cells pasted there too)"},
	{"price", "the price of the lot, an `AMOUNT` such as '4200 JPY'"},
}

func (o *splitOptions) checkArgs(c *cobra.Command, args []string) error {
	switch name := givenOf(c, splitFigures); {
	case name != "" && len(args) > 0:
		return standsIn(name, args[0])
	case name != "" && o.figures["items"] == nil:
		return &usageError{"--" + name + " needs an item list", "add --items items.csv"}
	}
	for _, name := range []string{"item", "working", "paid"} {
		if o.compare && c.Flags().Changed(name) {
			return &usageError{"--compare and --" + name + " do not go together", "leave out one of them"}
		}
	}
	if o.paid && (o.working || o.item != "") {
		return &usageError{"--paid shows no working", "leave out --paid, or --working and --item"}
	}
	if o.figures["items"] != nil {
		return nil
	}
	return oneFile(c, args)
}

// modeNames are the ways to come to a border.
var modeNames = []string{"post", "courier", "cargo"}

// sortBy tells a basis from a way to come to the border; --by takes both.
func (o *splitOptions) sortBy(args []string) (landed.Basis, error) {
	var found landed.Basis
	for _, word := range o.by {
		basis, isBasis := landed.Parse[landed.Basis](word)
		isBasis = isBasis && basis != landed.ByAssessed
		isMode := slices.Contains(modeNames, word)
		switch {
		case !isBasis && !isMode:
			return 0, &usageError{fmt.Sprintf("unknown basis %q", word), source.DidYouMean(word, append(basisNames(), modeNames...))}
		case isMode && len(args) > 0:
			return 0, standsIn("by "+word, args[0])
		case isBasis && found != landed.NoBasis, isMode && o.figures["by"] != nil:
			return 0, &usageError{"--by " + word + " is the second of its kind", "give one basis, and one way to come"}
		case isBasis && o.compare:
			return 0, &usageError{"--compare and --by do not go together", "leave out one of them"}
		case isBasis:
			found = basis
		default:
			o.figures["by"] = []string{word}
		}
	}
	return found, nil
}

func (o *splitOptions) run(s streams, args []string) error {
	basis, err := o.sortBy(args)
	if err != nil {
		return err
	}
	f, err := o.fileOr(s, args, o.figures)
	if err != nil {
		return err
	}
	h := f.WithoutOpen()
	if basis != landed.NoBasis {
		h.Share = h.Share.WithPrice(basis)
	}
	if o.compare {
		return o.writeComparison(s, h)
	}
	st, err := landed.Split(h)
	if err != nil {
		return err
	}
	return o.writeCosts(s, st, f.Defaults)
}

func (o *splitOptions) writeCosts(s streams, st *landed.Statement, d *lotfile.Defaults) error {
	switch {
	case o.paid:
		return o.write(s, show.Paid(st))
	case o.item != "":
		item, err := findItem(st, "", o.item)
		if err != nil {
			return err
		}
		r := show.ItemWorking(st, item)
		if o.working {
			r.Defaults = d
		}
		return o.write(s, r)
	case o.working:
		return o.write(s, show.SplitWorking(st, d))
	}
	return o.write(s, show.Split(st))
}

// findItem is the place of an item; flag begins what is said where there is none.
func findItem(st *landed.Statement, flag, id string) (int, error) {
	if i := st.ItemAt(id); i >= 0 {
		return i, nil
	}
	return 0, &usageError{fmt.Sprintf("%sno item has the id %q", flag, id), source.DidYouMean(id, sheet.Each(st.Items, func(c *landed.ItemCost) string { return c.ID }))}
}

// writeComparison splits by every basis. Those that lack a figure are left
// out; when all do, their faults are the answer.
func (o *splitOptions) writeComparison(s streams, h *landed.Haul) error {
	trials := sheet.Each(priceBases, func(basis *landed.Basis) show.Trial {
		by := *h
		by.Share = by.Share.WithPrice(*basis)
		st, err := landed.Split(&by)
		return show.Trial{Basis: *basis, Statement: st, Err: s.explain(err)}
	})
	if slices.ContainsFunc(trials, func(t show.Trial) bool { return t.Err == nil }) {
		return o.write(s, show.Comparison(trials))
	}
	return trials[0].Err
}

// priceBases are the bases by which prices can be shared.
var priceBases = []landed.Basis{landed.ByValue, landed.ByWeight, landed.ByCount, landed.ByLine}

func basisNames() []string {
	return sheet.Each(priceBases, func(b *landed.Basis) string { return b.String() })
}

func currencyCodes() []string {
	return sheet.Each(money.Currencies(), func(c *money.Currency) string { return c.Code() })
}
