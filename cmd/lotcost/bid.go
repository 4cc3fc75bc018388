package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/bid"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type bidOptions struct {
	ofFiles
	searching
	tonightOptions
	at         string
	lot, venue string
	fact       bool
	book       string
	figures    lotfile.Figures
}

func newBid(s streams) *cobra.Command {
	o := &bidOptions{figures: lotfile.Figures{}}
	return command("bid", o, o.checkArgs, lotFiles, func(c *cobra.Command, args []string) error {
		answer := func(ctx context.Context) error { return o.run(ctx, s, args) }
		if o.watch {
			ctx, stop := interruptible(c)
			defer stop()
			return o.watched(ctx, s, args[0], answer)
		}
		return o.searches(c, answer)
	})
}

func (o *bidOptions) addFlags(c *cobra.Command) {
	o.ofFiles.addFlags(c)
	o.searching.addFlags(c)
	o.tonightOptions.addFlags(c)
	f := c.Flags()
	addFigure(c, o.figures, "goal-profit", "the profit to be expected at least, an `AMOUNT`")
	addFigure(c, o.figures, "goal-return", "the same as a part of the total cost, a `PERCENTAGE` such as 30%")
	addFigure(c, o.figures, "goal-margin", "the same as a part of the net proceeds, a `PERCENTAGE` such as 20%")
	addFigure(c, o.figures, "risk", "the greatest chance of a loss, a `PERCENTAGE` such as 20%")
	addFigure(c, o.figures, "budget", "the highest total cost, an `AMOUNT`")
	f.StringVar(&o.at, "at", "", "judge one given price, an `AMOUNT` such as '5000 JPY'")
	f.StringVar(&o.lot, "lot", "", "bid for the lot with this `ID`")
	f.StringVar(&o.venue, "venue", "", "sell at the venue with this `NAME`")
	f.Var(given(&o.book), "book", "the `FOLDER` of your other hauls: what is on hand of a model is not kept again, and chances with from: book come from what was found")
	takesFile(c, "book")
	f.BoolVar(&o.fact, "fact", false, "set the forecast beside what was found and sold")
	addTerms(c, o.figures, bidFigures)
	words(c, "by", modeNames...)
	completed(c, "in", lazily(currencyCodes))
	fromFile(c, "lot", func(f *lotfile.File) []string { return f.LotIDs() })
	fromFile(c, "venue", venueNames)
}

// bidFigures are the flags that stand in for a lot file, besides those of all commands.
var bidFigures = [][2]string{
	{"value", "what a piece sells for when right, an `AMOUNT` or a range such as '30..50 CAD'"},
	{"works", "the chance that it is right, a `PERCENTAGE` such as 60%"},
	{"parts", "what it sells for otherwise, an `AMOUNT`"},
	{"pieces", "how many such pieces, a `NUMBER`"},
	{"bought", "what is paid already for other lots in the same parcel, an `AMOUNT`"},
	{"in", "the currency `CODE` of the bids"},
	{"by", "the `MODE`: post (the usual), courier or cargo, for customs"},
}

func (o *bidOptions) checkArgs(c *cobra.Command, args []string) error {
	name := givenOf(c, bidFigures)
	quick := name != ""
	switch {
	case quick && len(args) > 0:
		return standsIn(name, args[0])
	case quick && o.book != "":
		return &usageError{"--book needs a lot file", "name the one whose items have a model, or chances from the book"}
	case quick && o.fact:
		return &usageError{"--fact needs a lot file", "name the one that says what was found and sold"}
	case quick && o.watch:
		return &usageError{"--watch looks at a lot file, and there is none", "name one, or leave it out"}
	case o.watch && (len(args) > 0 && args[0] == "-" || o.toFile()):
		return &usageError{"--watch prints anew whenever a file is saved", "name the lot file, and leave out -o"}
	case o.fact && o.at != "":
		return &usageError{"--at judges a price before the sale, --fact looks back", "leave out one of them"}
	case quick:
		return nil
	}
	return oneFile(c, args)
}

func (o *bidOptions) run(ctx context.Context, s streams, args []string) error {
	f, err := o.fileOr(s, args, o.figures)
	if err != nil {
		return err
	}
	learned, out, err := o.beside(ctx, s, f)
	if err != nil {
		return err
	}
	if err := o.decide(s, f); err != nil {
		return err
	}
	waiting, looked := s.waiting(), sheet.Either(o.isEvening(f), "ways for the evening to go", "bids priced")
	ask := bid.Options{Lot: o.lot, Venue: o.venue, Goes: func(priced int) bool {
		waiting.tell(func() string { return fmt.Sprintf("%d %s", priced, looked) })
		return ctx.Err() == nil
	}}
	if o.fact {
		fact, err := bid.Look(f.Haul, f.Plans, ask)
		waiting.end()
		if err != nil {
			return s.asUsage(err)
		}
		return o.write(s, show.BidFact(fact))
	}
	answer := sheet.Either(o.isEvening(f), o.tonight, o.forOne)
	result, yes, err := answer(s, f, ask, waiting)
	if err != nil {
		return err
	}
	result.Learned = learned
	switch err := o.write(s, result); {
	case err != nil:
		return err
	case len(out) > 0:
		return leftOut(out)
	case !yes:
		return exitCode(exitNo)
	}
	return nil
}

// forOne is the answer for one lot, which is no where there is no bid, or the price that is asked
// about is too dear.
func (o *bidOptions) forOne(s streams, f *lotfile.File, ask bid.Options, waiting *waiting) (none show.Result, yes bool, err error) {
	b, a, moves, err := o.search(s, f, ask)
	waiting.end()
	if err != nil {
		return none, false, err
	}
	if a.Bought.Currency() != 0 {
		s.estimating(f.Haul, a.Lot)
	}
	e, err := chances(f, ask, a)
	if err != nil {
		return none, false, s.asUsage(err)
	}
	var points []bid.Point
	if o.isPage() && !a.Stopped {
		if points, err = b.Ladder(a); err != nil {
			return none, false, err
		}
	}
	return show.Bid(a, moves, points, e), len(a.Ranges) > 0 && (a.Asked == nil || a.Asked.Missing.Sign() == 0), nil
}

// chances are how likely the one open lot is won; nil where the file does not say what others may
// pay for it.
func chances(f *lotfile.File, ask bid.Options, a *bid.Answer) (*bid.Evening, error) {
	open := f.Open()
	if a.Asked != nil || a.Stopped || len(open) != 1 || f.Lots[f.LotAt(open[0])].Likely == nil {
		return nil, nil
	}
	return bid.Tonight(f.Haul, f.Plans, ask)
}

// beside sets a file beside the book of other hauls, where one is named.
func (o *bidOptions) beside(ctx context.Context, s streams, f *lotfile.File) ([]book.Learned, []outside, error) {
	if o.book == "" {
		s.withoutBook(f.Haul)
		return nil, nil, nil
	}
	b := book.New(book.Options{})
	out, err := (&bookOptions{ofFiles: o.ofFiles}).read(ctx, s, o.book, book.Options{}, b.Add)
	if err != nil {
		return nil, nil, err
	}
	r, err := b.Result()
	if err != nil {
		return nil, nil, err
	}
	var learned []book.Learned
	if f.Haul, learned, err = r.Beside(f.Haul, f.InBook("").Wanted); err != nil {
		return nil, nil, err
	}
	return learned, outsideOf(r, out), nil
}

// goal puts what the command line says of it in place of what the file says.
func (o *bidOptions) goal(s streams, f *lotfile.File) error {
	f.Bidding = cmp.Or(f.Bidding, &bid.Bidding{})
	var err error
	f.Bidding.Goal, err = lotfile.ParseGoal(o.figures, *s.decimal, f.Bidding.Goal, f.Home)
	return err
}

// search finds the answer and what would change it, as far as there is time.
func (o *bidOptions) search(s streams, f *lotfile.File, ask bid.Options) (b *bid.Bidder, a *bid.Answer, moves []bid.Move, err error) {
	if err = o.goal(s, f); err != nil {
		return nil, nil, nil, err
	}
	if b, err = bid.New(f.Haul, f.Plans, ask); err == nil {
		a, err = o.ask(s, b)
	}
	if err != nil {
		return nil, nil, nil, s.asUsage(err)
	}
	moves, err = b.Moves()
	if errors.Is(err, bid.ErrStopped) {
		a.Stopped, err = true, nil
	}
	if err != nil {
		err = s.asUsage(err)
	}
	return b, a, moves, err
}

func (o *bidOptions) ask(s streams, b *bid.Bidder) (*bid.Answer, error) {
	if o.at == "" {
		return b.Highest()
	}
	price, err := typed(s, o.at, amountIn(b.Bids()))
	if err != nil {
		return nil, &usageError{"--at", err.Error()}
	}
	return b.Judge(price)
}

// asked names what was asked of a package and cannot be; "" for any other error.
func asked(err error) string {
	if faults, ok := errors.AsType[source.Faults](err); ok && len(faults) > 0 {
		return faults[0].Asked
	}
	return ""
}

// asUsage tells what was asked for and is not there as a wrong command line.
func (s streams) asUsage(err error) error {
	var faults source.Faults
	if asked(err) == "" || !errors.As(err, &faults) {
		return err
	}
	f := s.explained(faults)[0]
	if f.Figure == "lot" {
		f.Remedy = strings.Replace(f.Remedy, "name the one to bid for", "name the one to bid for with --lot, or in the file as bidding: lot", 1)
	}
	return &usageError{f.What, f.Remedy}
}
