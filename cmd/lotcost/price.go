package main

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type priceOptions struct {
	ofFiles
	venue  string
	target string
	end    string
	carry  string
	item   string
	at     string
	labels bool
	word   string
}

func newPrice(s streams) *cobra.Command {
	o := &priceOptions{}
	return command("price", o, oneFile, lotFiles, func(_ *cobra.Command, args []string) error { return o.run(s, args[0]) })
}

func (o *priceOptions) addFlags(c *cobra.Command) {
	o.ofFiles.addFlags(c)
	f := c.Flags()
	f.StringVar(&o.venue, "venue", "", "prices only at the venue with this `NAME`")
	f.StringVar(&o.target, "target", "", "the profit of each sale, `TARGET`: an amount, 25% of the price, or '30% on cost'")
	f.StringVar(&o.end, "end", "", "ask for prices with this `END`: .99, .95 or whole")
	f.StringVar(&o.carry, "carry", carryWords[0], "what the pieces pay for, by `NAME`: own is their own cost, doubles the total cost")
	f.StringVar(&o.item, "item", "", "show the working of one price of the item with this `ID`, fee by fee")
	f.StringVar(&o.at, "at", "", "with --item: the price to work out, an `AMOUNT`; default: break-even")
	f.BoolVar(&o.labels, "labels", false, "labels for the pieces to be sold, one a piece: what it is, the asking and the lowest price, and its cost in letters; with -o labels.html a sheet to print and cut")
	f.StringVar(&o.word, "cost-word", "", "with --labels: a `WORD` of ten different letters for 1 to 9 and 0, in which the cost is written; without one no cost is shown")
	words(c, "end", endingWords...)
	words(c, "carry", carryWords...)
	fromFile(c, "venue", venueNames)
	fromFile(c, "item", itemIDs)
}

// fromFile completes a flag from the lot file that is named already.
func fromFile(c *cobra.Command, flag string, known func(*lotfile.File) []string) {
	completed(c, flag, func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		if len(args) != 1 || args[0] == lotfile.Stdin {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		h, err := lotfile.Read(args[0], lotfile.Options{AnyDay: true})
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		// A shell prints them as they are, and what it cannot show cannot be typed.
		typed := func(name string) bool { return sheet.Visible(name) == name && !strings.Contains(name, "\n") }
		return slices.DeleteFunc(known(h), func(name string) bool { return !typed(name) }), cobra.ShellCompDirectiveNoFileComp
	})
}

func venueNames(f *lotfile.File) []string {
	return f.Selling.VenueNames()
}

func itemIDs(h *lotfile.File) []string {
	var ids []string
	for _, item := range h.Items() {
		ids = append(ids, item.ID)
	}
	return ids
}

// endingWords name the endings, from [resale.Whole00] upwards.
var endingWords = []string{"whole", ".95", ".99"}

// carryWords name what the pieces to be sold carry.
var carryWords = []string{"own", "doubles"}

// options reads the flags that need no file.
func (o *priceOptions) options() (doubles.Options, error) {
	d := doubles.Options{Venue: o.venue}
	if o.end != "" {
		i := slices.Index(endingWords, strings.Replace(o.end, ",", ".", 1))
		if i < 0 {
			return d, &usageError{fmt.Sprintf("unknown ending %q", o.end), "write one of .99, .95 and whole"}
		}
		d.Ending = resale.Whole00 + resale.Ending(i)
	}
	if !slices.Contains(carryWords, o.carry) {
		return d, &usageError{fmt.Sprintf("nothing carries %q", o.carry), source.DidYouMean(o.carry, carryWords)}
	}
	d.CarryAll = o.carry == carryWords[1]
	if o.at != "" && o.item == "" {
		return d, &usageError{"--at works out one price, but of no item", "add --item ID"}
	}
	switch {
	case o.labels && o.item != "":
		return d, &usageError{"--labels and --item do not go together", "leave out one of them"}
	case o.word != "" && !o.labels:
		return d, &usageError{"--cost-word is for labels", "add --labels"}
	}
	return d, nil
}

func (o *priceOptions) run(s streams, path string) error {
	ask, err := o.options()
	if err != nil {
		return err
	}
	h, err := o.lotFile(s, path)
	if err != nil {
		return err
	}
	if o.target != "" {
		target, err := typed(s, o.target, func(text string) (resale.Target, error) { return lotfile.ParseTarget(text, h.Home) })
		if err != nil {
			return &usageError{"--target", err.Error()}
		}
		ask.Target = &target
	}
	r, err := o.price(s, h, ask, landed.Split)
	switch {
	case err != nil:
		return err
	case o.item != "":
		return o.working(s, r)
	case o.labels:
		return o.writeLabels(s, h, r)
	}
	return o.write(s, show.Price(r, h.Open()...))
}

// splitting is [landed.Split], or that in some room.
type splitting func(*landed.Haul) (*landed.Statement, error)

// price calculates for a file; of what is bought where the price of some lots is still open.
func (o *priceOptions) price(s streams, h *lotfile.File, ask doubles.Options, split splitting) (*doubles.Result, error) {
	haul := h.ForSale()
	st, err := split(haul)
	if err != nil {
		return nil, err
	}
	r, err := doubles.Price(haul, h.Selling, st, ask)
	if err != nil {
		return nil, o.refused(s, err)
	}
	for o := range sheet.All(r.Offers) {
		for q := range sheet.All(o.Quotes) {
			q.BreakEven.Err, q.Ask.Err = s.explain(q.BreakEven.Err), s.explain(q.Ask.Err)
		}
	}
	return r, nil
}

func (o *priceOptions) writeLabels(s streams, f *lotfile.File, r *doubles.Result) error {
	word := f.Selling.CostWord
	if o.word != "" {
		var err error
		if word, err = selling.ParseCostWord(o.word); err != nil {
			return &usageError{"--cost-word", err.Error()}
		}
	}
	if what := show.TooManyLabels(r); what != "" {
		return &usageError{"--labels: " + what, "write labels for fewer at once"}
	}
	return o.write(s, show.Labels(r, word))
}

// refused tells what was asked for on the command line and is not there.
func (o *priceOptions) refused(s streams, err error) error {
	switch asked(err) {
	case "ending":
		return &usageError{"--end " + o.end, err.Error()}
	case "carry":
		return &usageError{"--carry doubles", err.Error()}
	}
	return s.asUsage(err)
}

// working shows one price of an item, fee by fee.
func (o *priceOptions) working(s streams, r *doubles.Result) error {
	if _, err := findItem(r.Statement, "", o.item); err != nil {
		return err
	}
	i := slices.IndexFunc(r.Offers, func(offer doubles.Offer) bool { return offer.ID == o.item })
	if i < 0 {
		return &usageError{fmt.Sprintf("no piece of %q is to be sold", o.item), "keep fewer of it, or choose another item"}
	}
	offer := &r.Offers[i]
	q := r.Quote(offer)
	out, err := o.outcome(s, offer, q)
	if err != nil {
		return err
	}
	return o.write(s, show.PriceWorking(r, offer, out))
}

func (o *priceOptions) outcome(s streams, offer *doubles.Offer, q *doubles.Quote) (*resale.Result, error) {
	if o.at == "" {
		if q.BreakEven.Err != nil {
			return nil, &usageError{offer.ID + " at " + q.Sale().Venue.Name, resale.Reason(q.BreakEven.Err)}
		}
		even := q.Sale()
		even.Target = resale.Target{}
		out, err := even.At(q.BreakEven.Price)
		return &out, err
	}
	price, err := typed(s, o.at, amountIn(q.Cost.Currency()))
	if err != nil {
		return nil, &usageError{"--at", err.Error()}
	}
	sale := q.Sale()
	out, err := sale.At(price)
	if err != nil {
		return nil, &usageError{"--at", resale.Reason(err)}
	}
	return &out, nil
}
