package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"syscall"
	"time"

	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"

	"github.com/spf13/cobra"
)

// reading is how a lot file is read.
type reading struct {
	anyDay bool
	rules  string
}

func (r *reading) addFlags(c *cobra.Command) {
	c.Flags().BoolVar(&r.anyDay, "any-day", false, "take the nearest published rate, however old")
	addRulesFlag(c, &r.rules)
}

func addRulesFlag(c *cobra.Command, path *string) {
	c.Flags().StringVar(path, "rules", "", "a customs rule `FILE` of your own, beside or in place of the shipped rules")
	takesFile(c, "rules", "yaml", "yml")
}

// ofFiles are the flags of a command about lot files: how they are read, and how the result is
// written.
type ofFiles struct {
	output
	reading
}

func (o *ofFiles) addFlags(c *cobra.Command) {
	o.output.addFlags(c)
	o.reading.addFlags(c)
}

// options are the flags for the reader of files.
func (r *reading) options(s streams) (lotfile.Options, error) {
	o := s.files()
	o.AnyDay = r.anyDay
	if r.rules == "" {
		return o, nil
	}
	var err error
	o.Rules, err = lotfile.ReadRules(r.rules, o)
	return o, err
}

func (r *reading) lotFile(s streams, path string) (*lotfile.File, error) {
	o, err := r.options(s)
	if err != nil {
		return nil, err
	}
	f, err := lotfile.Read(path, o)
	s.asIn(f)
	return f, err
}

// fileOr reads the lot file that is named, or else what figures say in its place.
func (r *reading) fileOr(s streams, args []string, figures lotfile.Figures) (*lotfile.File, error) {
	if len(args) > 0 {
		return r.lotFile(s, args[0])
	}
	files, err := r.options(s)
	if err != nil {
		return nil, err
	}
	return lotfile.Quick(figures, files)
}

func typed[T any](s streams, figure string, parse func(string) (T, error)) (T, error) {
	return lotfile.Typed(figure, *s.decimal, parse)
}

// amountIn reads an amount; a bare number is of a currency.
func amountIn(c money.Currency) func(string) (money.Amount, error) {
	return func(text string) (money.Amount, error) { return money.ParseIn(text, c) }
}

// asIn writes figures as a file does, and takes those of the command line so,
// unless that says itself how.
func (s streams) asIn(f *lotfile.File) {
	if f == nil {
		return
	}
	if f.Comma && *s.decimal == "" {
		*s.decimal = "comma"
	}
	*s.file = f
}

// interruptible lets a command end in order on Ctrl-C, or when it is asked to
// end; a second time ends it at once, as it ends every other command.
func interruptible(c *cobra.Command) (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

func runs(do func(ctx context.Context, args []string) error) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		ctx, stop := interruptible(c)
		defer stop()
		return do(ctx, args)
	}
}

// atOnce is how long a search is not interrupted in order, but ended: to listen for that takes the
// system longer than most searches.
const atOnce = 10 * time.Millisecond

// interruptibleLater is [interruptible] for what may be over at once, and leaves nothing behind
// before that.
func interruptibleLater(c *cobra.Command) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(c.Context())
	begins := time.AfterFunc(atOnce, func() {
		heard, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
		context.AfterFunc(heard, func() { cancel(); stop() })
	})
	return ctx, func() { begins.Stop(); cancel() }
}

// searching is how long a command may search.
type searching struct{ limit time.Duration }

func (o *searching) addFlags(c *cobra.Command) {
	c.Flags().DurationVar(&o.limit, "time-limit", time.Minute, "after so long take the best found, a `DURATION` such as 90s or 5m; 0 for no limit")
}

// searches does what ends when the time is over or it is interrupted.
func (o *searching) searches(c *cobra.Command, do func(context.Context) error) error {
	if o.limit < 0 {
		return &usageError{fmt.Sprintf("--time-limit %s is negative", o.limit), "write how long to search, as in --time-limit 90s, or 0 for no limit"}
	}
	ctx, stop := interruptibleLater(c)
	defer stop()
	ctx, cancel := o.timed(ctx)
	defer cancel()
	return o.ended(ctx, do(ctx))
}

// timed ends a context when the time is over.
func (o *searching) timed(ctx context.Context) (context.Context, context.CancelFunc) {
	if o.limit == 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, o.limit)
}

// ended tells of a search that ended before there was an answer.
func (o *searching) ended(ctx context.Context, err error) error {
	if ctx.Err() != nil && (errors.Is(err, ctx.Err()) || errors.Is(err, bid.ErrStopped)) {
		return errors.New("the search was ended before there was an answer: give it more time, as in --time-limit 10m")
	}
	return err
}

// addFigure adds a flag that is a figure typed in place of a file's.
func addFigure(c *cobra.Command, of lotfile.Figures, name, usage string) {
	set := func(text string) error {
		switch {
		case name == "rate":
			of[name] = append(of[name], text)
		case text == "":
			delete(of, name)
		default:
			of[name] = []string{text}
		}
		return nil
	}
	c.Flags().Var(flagValue{set: set}, name, usage)
}

// termFlags are the flags by which a few figures stand in for a lot file, and what they say.
var termFlags = [][2]string{
	{"premium", "buyer's premium, a `RATE` such as 10%"},
	{"freight", "freight, an `AMOUNT` or '5% of price'"},
	{"insurance", "insurance, an `AMOUNT` or '1.5% of price'"},
	{"fee", "fees, an `AMOUNT` or '3% of price'"},
	{"spread", "the `RATE` that the card adds, such as 2.5%"},
	{"rate", "an exchange rate, `EQUATION` such as '100 JPY = 0.93 CAD'; may be repeated"},
	{"home", "the currency `CODE` of your books"},
	{"from", "the `COUNTRY` it comes from, such as JP; with --to, the border is counted"},
	{"to", "the `PLACE` it goes to, such as DE or CA-ON"},
	{"date", "the `DAY` of purchase, such as 2026-10-03; default today"},
	{"duty", "the `RATE` of duty, such as 2.7%, or 0%"},
	{"use", "the `USE`: personal (the usual), gift or resale, for customs"},
}

// addTerms adds flags that stand in for a lot file: some of a command's own, and those of all.
func addTerms(c *cobra.Command, f lotfile.Figures, own [][2]string) {
	for _, flag := range slices.Concat(own, termFlags) {
		addFigure(c, f, flag[0], "without a lot file: "+flag[1])
	}
	words(c, "use", "personal", "gift", "resale")
	completed(c, "home", lazily(currencyCodes))
}

// givenOf returns the first flag that was given of those that stand in for a lot file, or "".
func givenOf(c *cobra.Command, own [][2]string) string {
	for _, flag := range slices.Concat(own, termFlags) {
		if c.Flags().Changed(flag[0]) {
			return flag[0]
		}
	}
	return ""
}

// standsIn refuses a flag that stands in for a lot file beside one.
func standsIn(name, file string) error {
	return &usageError{"--" + name + " stands in for a lot file, but " + file + " is one", "leave out one of them"}
}
