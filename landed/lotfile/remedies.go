package lotfile

import (
	_ "embed"
	"errors"
	"fmt"
	"iter"
	"strconv"
	"strings"
	"sync"

	"lotcost/fx"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// writtenTable has, by the name of a figure in faults, how it is written in a lot file, and perhaps
// how what else would do is.
//
//go:embed written.tsv
var writtenTable string

var written = sync.OnceValue(func() map[string][]string {
	all := map[string][]string{}
	for row := range rowsOf(writtenTable) {
		all[row[0]] = row[1:]
	}
	return all
})

// rowsOf are the rows of a table whose fields are set apart by tabs.
func rowsOf(table string) iter.Seq[[]string] {
	return func(yield func([]string) bool) {
		for line := range strings.Lines(table) {
			if !yield(strings.Split(strings.TrimSuffix(line, "\n"), "\t")) {
				return
			}
		}
	}
}

// Examples say what the examples in remedies are written in.
type Examples struct {
	Comma bool           // with decimal commas
	Home  money.Currency // of the books; 0 where that is not known
	Lots  money.Currency // in which lots are paid; 0 where that is not known
}

// Examples are those for whoever writes the file.
func (f *File) Examples() Examples { return Examples{f.Comma, f.Home, f.paidIn()} }

// typed are those for whoever typed the figures that stand for a file.
func (f *File) typed(o *Options) Examples {
	as := f.Examples()
	as.Comma = o.Decimal == "comma"
	return as
}

// paidIn is the currency in which the lots are paid, or may be.
func (f *File) paidIn() money.Currency {
	for i := range f.Lots {
		if cur := f.Bidding.Currency(&f.Lots[i]); cur != 0 {
			return cur
		}
	}
	if cur, err := money.ParseCurrency(tender(f.From)); err == nil {
		return cur
	}
	return f.Home
}

// sumIn is an amount of our examples: in CAD what stands for home, in JPY what lots cost.
var sumIn = scrub.Pattern(`(?:([0-9]+)\.\.)?([0-9]+) (CAD|JPY)\b`)

// In is an example in the currencies at hand, in whole units of them: what stands in CAD is in
// home, what stands in JPY as lots are.
func (e Examples) In(example string) string {
	return sumIn().ReplaceAllStringFunc(example, func(sum string) string {
		parts := sumIn().FindStringSubmatch(sum)
		cur := map[string]money.Currency{"CAD": e.Home, "JPY": e.Lots}[parts[3]]
		if cur == 0 || cur.Code() == parts[3] {
			return sum
		}
		from, to := inUnits(parts[1], parts[3], cur), inUnits(parts[2], parts[3], cur)
		if from != "" {
			from += ".."
		}
		return from + to + " " + cur.Code()
	})
}

// inUnits is a number of dollars, or of yen, as one of about as many units of a currency with
// hundredths or without.
func inUnits(number, of string, cur money.Currency) string {
	n, err := strconv.ParseInt(number, 10, 64)
	switch {
	case err != nil:
		return ""
	case of == "JPY" && cur.Digits() > 0:
		n = (n + 99) / 100
	case of == "CAD" && cur.Digits() == 0:
		n *= 100
	}
	return strconv.FormatInt(n, 10)
}

// digitsOf is a sum of our examples as one of a currency: a hundred times as much of one without
// hundredths.
func digitsOf(sum string, cur money.Currency) string {
	if cur != 0 && cur.Digits() == 0 {
		return strings.Replace(sum, ".", "", 1)
	}
	return sum
}

// put writes the examples that remedies have already so, but for figures that were typed.
func (e Examples) put(report *collect.Report) {
	for _, f := range report.All() {
		before, example, is := strings.Cut(f.Remedy, "as in ")
		if sum := sumIn().FindStringSubmatch(example); is && sum != nil && !strings.Contains(f.What, sum[0]) && !strings.Contains(f.What, quote(sum[2])) {
			f.Remedy = before + "as in " + e.In(example)
		}
	}
}

// Explain returns an error of this project's packages with remedies that say how a
// figure is written in a lot file: "write what one piece weighs, as in weight: 1.9 kg".
// It may be given any error, and one that was explained already.
func Explain(err error, as Examples) error {
	if err == nil {
		return nil
	}
	if faults, is := errors.AsType[source.Faults](err); is {
		explained := make(source.Faults, len(faults))
		for i, f := range faults {
			explained[i] = explain(*f, as)
		}
		return explained
	}
	if fault, is := errors.AsType[*source.Fault](err); is {
		return explain(*fault, as)
	}
	return err
}

func explain(f source.Fault, as Examples) *source.Fault {
	if none, is := errors.AsType[*fx.NoRateError](f.Err); is && f.At.File != "" {
		f.What = strings.ReplaceAll(f.What, none.Error(), fmt.Sprintf("no rate from %s to %s: write it under exchange: rates, as in 100 %[1]s = … %[2]s, or name a table that holds it", none.From, none.To))
	}
	name, of, _ := strings.Cut(f.Figure, " ")
	examples, known := written()[name]
	if !known || strings.Contains(f.Remedy, ", as in ") {
		return &f
	}
	if as.Home != 0 && of == as.Home.Code() {
		of = "CAD" // which stands for home in examples, yen too
	}
	for i, example := range examples {
		if i == 0 && of != "" {
			example = fmt.Sprintf(example, of)
		}
		if example = as.In(example); as.Comma {
			example = input.InQuotes(input.WithCommas(example))
		}
		if f.Remedy += ", as in " + example; i == 0 && f.Or != "" {
			f.Remedy, f.Or = f.Remedy+", or "+f.Or, ""
		}
	}
	return &f
}
