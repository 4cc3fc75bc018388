package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/fetch"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/fx"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func newRates(s streams) *cobra.Command {
	c := command("rates", nil, noSuchCommand, nil, func(c *cobra.Command, _ []string) error { return c.Help() })
	c.AddCommand(newRatesShow(s), newRatesConvert(s), newRatesList(s), newRatesFetch(s))
	return c
}

// rateOptions say where rates come from.
type rateOptions struct {
	output
	table  string
	rates  []string
	date   string
	spread string
	anyDay bool
}

func (o *rateOptions) addFlags(c *cobra.Command) {
	o.output.addFlags(c)
	f := c.Flags()
	f.StringVar(&o.table, "table", "", "a published rate `FILE`, CSV or XML; default: the table fetched last")
	f.StringArrayVar(&o.rates, "rate", nil, "a rate of your own, `EQUATION` such as '100 JPY = 0.93 CAD'; it wins over a table")
	f.StringVar(&o.date, "date", "", "the `DAY` the rate is for, such as 2026-10-03; default: today")
	f.StringVar(&o.spread, "spread", "", "the `RATE` that the card adds, such as 2.5%")
	f.BoolVar(&o.anyDay, "any-day", false, "take the nearest published rate, however old")
	takesFile(c, "table", "csv", "xml")
}

// rate finds a rate between two currencies, with the spread.
func (o *rateOptions) rate(s streams, from, to money.Currency) (fx.Rate, error) {
	day, err := dayOrToday(o.date, "--date ")
	if err != nil {
		return fx.Rate{}, err
	}
	var spread decimal.Decimal
	if o.spread != "" {
		if spread, err = typed(s, o.spread, money.ParsePercent); err != nil {
			return fx.Rate{}, &usageError{"--spread", err.Error()}
		}
	}
	market, err := o.stated(s, day)
	if err != nil {
		return fx.Rate{}, err
	}
	r, err := market.Rate(fx.Code(from.Code()), fx.Code(to.Code()))
	if err != nil { // only then is a table needed
		r, err = o.published(s, day, from, to)
	}
	return r.Spread(spread), err
}

// dayOrToday reads a day that was given, as the value of a flag or as an argument.
func dayOrToday(text, flag string) (time.Time, error) {
	if text == "" {
		return time.Now().UTC().Truncate(24 * time.Hour), nil
	}
	day, err := lotfile.ParseDate(text)
	if err != nil {
		what, remedy, _ := strings.Cut(err.Error(), ": ")
		return day, &usageError{what, strings.Replace(remedy, "write ", "write "+flag, 1)}
	}
	return day, nil
}

// stated are the rates given by flags, held against the table fetched last.
func (o *rateOptions) stated(s streams, day time.Time) (*fx.Market, error) {
	var equations []fx.Equation
	for _, text := range o.rates {
		eq, err := typed(s, text, lotfile.ParseEquation)
		if err != nil {
			return nil, &usageError{"--rate", err.Error()}
		}
		equations = append(equations, eq)
	}
	for _, off := range fx.Far(equations, s.cache().reference(day)) {
		switch {
		case off == nil:
		case !off.Strange:
			return nil, source.Faults{{Field: "--rate", What: off.Error(), Err: off}}
		default:
			s.warn(&source.Fault{Field: "--rate", What: off.Error(), Err: off, Warning: true})
		}
	}
	market, err := fx.NewMarket(equations, nil, day)
	if err != nil {
		return nil, inputFault(source.Origin{}, err)
	}
	return market, nil
}

// published finds a rate in the table that was named, or in the one that was
// fetched last.
func (o *rateOptions) published(s streams, day time.Time, from, to money.Currency) (fx.Rate, error) {
	t, err := o.tableFile(s)
	if err != nil {
		return fx.Rate{}, err
	}
	var table *fx.Table
	if t.path != "" {
		f, err := lotfile.Open(t.path, s.files())
		if err != nil {
			return fx.Rate{}, err
		}
		defer f.Close()
		table, err = fx.ReadTable(f, fx.Window{On: day, Lift: o.anyDay, Name: filepath.Base(t.path)})
		if err != nil {
			return fx.Rate{}, tableFault(t.path, err)
		}
	}
	market, err := fx.NewMarket(nil, table, day)
	if err != nil {
		return fx.Rate{}, inputFault(source.Origin{}, err)
	}
	r, err := market.Rate(fx.Code(from.Code()), fx.Code(to.Code()))
	if err != nil {
		return fx.Rate{}, inputFault(source.Origin{}, err)
	}
	if t.day != "" {
		r = r.Noted(r.Source() + " was fetched on " + t.day)
	}
	return r, nil
}

// tableFile is the table to read: the one asked for, or the one fetched last
// when there is one.
func (o *rateOptions) tableFile(s streams) (fetched, error) {
	if o.table != "" {
		return fetched{path: o.table}, nil
	}
	return s.cache().last(rateTables)
}

func tableFault(path string, err error) error {
	if bad := (*fx.TableError)(nil); errors.As(err, &bad) {
		bad.Name = path
		return inputFault(source.Origin{}, err)
	}
	return inputFault(source.Origin{File: path}, err)
}

func newRatesShow(s streams) *cobra.Command {
	o := &rateOptions{}
	return command("rates show", o, takes(2, 2, "rates show needs two currencies", "lotcost rates show JPY CAD"), lazily(currencyCodes), func(_ *cobra.Command, args []string) error {
		var pair [2]money.Currency
		for i, code := range args {
			var err error
			if pair[i], err = money.ParseCurrency(code); err != nil {
				return inputFault(source.Origin{}, err)
			}
		}
		r, err := o.rate(s, pair[0], pair[1])
		if err != nil {
			return err
		}
		return o.write(s, show.Rate(r))
	})
}

func newRatesConvert(s streams) *cobra.Command {
	o := &rateOptions{}
	c := command("rates convert", o, takes(2, 2, "rates convert needs an amount and a currency", "lotcost rates convert '4200 JPY' CAD, the amount in quotes"), lazily(currencyCodes),
		func(_ *cobra.Command, args []string) error { return o.convert(s, args[0], args[1]) })
	c.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok && strings.IndexAny(unknown.GetSpecifiedShortnames(), "0123456789") == 0 {
			amount := unknown.GetSpecifiedShortnames()
			return &usageError{fmt.Sprintf("%q begins as a flag does, with a dash", "-"+amount), fmt.Sprintf("write %q, or all flags first and then -- %q and the currency", amount, "-"+amount)}
		}
		return flagError(c, err)
	})
	return c
}

func (o *rateOptions) convert(s streams, text, code string) error {
	amount, err := typed(s, text, money.Parse)
	if err != nil {
		return inputFault(source.Origin{}, err)
	}
	to, err := money.ParseCurrency(code)
	if err != nil {
		return inputFault(source.Origin{}, err)
	}
	r, err := o.rate(s, amount.Currency(), to)
	if err != nil {
		return err
	}
	converted, err := money.Convert(amount, to, r.Den, r.Num)
	if err != nil {
		return inputFault(source.Origin{}, err)
	}
	return o.write(s, show.Converted(amount, converted, r))
}

func newRatesList(s streams) *cobra.Command {
	o := &rateOptions{}
	c := command("rates list", &o.output, takes(0, 1, "rates list takes one table", "name one file"), ending("csv", "xml"), func(_ *cobra.Command, args []string) error {
		if len(args) == 1 {
			o.table = args[0]
		}
		return o.list(s)
	})
	c.Flags().StringVar(&o.table, "table", "", "the rate `FILE`, in place of the argument")
	takesFile(c, "table", "csv", "xml")
	return c
}

func (o *rateOptions) list(s streams) error {
	t, err := o.tableFile(s)
	if err != nil {
		return err
	}
	if t.path == "" {
		return &usageError{"there is no table to list", "name one, or fetch one with: lotcost rates fetch"}
	}
	f, err := lotfile.Open(t.path, s.files())
	if err != nil {
		return err
	}
	defer f.Close()
	sum, err := fx.Summarize(f)
	if err != nil {
		return tableFault(t.path, err)
	}
	return o.write(s, show.TableSummary(t.path, t.day, sum))
}

type fetchOptions struct {
	fetch.Request
	into string
}

func newRatesFetch(s streams) *cobra.Command {
	o := &fetchOptions{}
	c := command("rates fetch", nil, takes(0, 0, "rates fetch takes no argument", "give the address as --url ADDRESS"), cobra.NoFileCompletions, runs(func(ctx context.Context, _ []string) error { return o.run(ctx, s) }))
	o.URL = fetch.ECB90Days
	o.addFlags(c, "table", "--table", 64<<20)
	return c
}

// addFlags adds those of a command that fetches a file of some kind, for what names it.
func (o *fetchOptions) addFlags(c *cobra.Command, what, named string, most int64) {
	f := c.Flags()
	f.Var(given(&o.URL), "url", "the `ADDRESS` of the "+what)
	f.DurationVar(&o.Timeout, "timeout", 30*time.Second, "give up after this `TIME`")
	f.Int64Var(&o.MaxBytes, "max-bytes", most, "refuse more than so many `BYTES`")
	f.Var(given(&o.into), "into", "keep it in this `FOLDER`, for "+named+"; default: lotcost in your cache folder")
	takesFile(c, "into")
}

// bring puts a file of a kind that is fetched into the cache, to be used from now on, or into the
// folder named, where it takes the place of none but one of its kind.
func (o *fetchOptions) bring(folder cache, k kind, get func() (*fetch.File, error)) (none fetched, err error) {
	switch {
	case o.Timeout <= 0:
		return none, &usageError{"--timeout leaves no time", "write it as in --timeout 30s"}
	case o.MaxBytes <= 0:
		return none, &usageError{"--max-bytes leaves no room", "write it as in --max-bytes 1000000"}
	case o.into == "" && folder == "":
		return none, &usageError{"there is no cache folder", "name a folder with --into FOLDER"}
	}
	f, err := get()
	if address, ok := errors.AsType[*fetch.AddressError](err); ok {
		return none, &usageError{"--url: " + address.Problem, address.Remedy}
	} else if err != nil {
		return none, err
	}
	if o.into == "" {
		return folder.keep(k, f, time.Now())
	}
	if path := filepath.Join(o.into, f.Name); whole.Exists(path) && !k.is(path) {
		return none, &usageError{path + " is there already and is no " + k.called, "choose another folder"}
	}
	return cache(o.into).store(f, time.Now())
}

func (o *fetchOptions) run(ctx context.Context, s streams) error {
	var got *fetch.Table
	var before fetched
	var had []time.Time
	kept, err := o.bring(s.cache(), rateTables, func() (f *fetch.File, err error) {
		if got, err = o.Fetch(ctx); err != nil {
			return nil, err
		}
		if before.path = filepath.Join(o.into, got.Name); o.into == "" {
			before, _ = s.cache().last(rateTables) // a bad one is mended by this one
		}
		had = before.days()
		return &got.File, nil
	})
	if err != nil {
		return err
	}
	return (&output{}).write(s, show.TableSummary(kept.path, kept.day, got.Summary, lost(before, had, got, kept)...))
}
