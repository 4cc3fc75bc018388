package show

import (
	"fmt"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/fx"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// shownDigits is how many digits of a rate are shown for reading; the exact
// quotient stands beside them.
const shownDigits = 8

// Rate is a rate with its working.
func Rate(r fx.Rate) Result {
	figure := fmt.Sprintf("1 %s = %s %s", r.From, exactOr(r), r.To)
	return rateResult(figure, r, map[string]string{})
}

// exactOr prints the rate exactly where it ends, else rounded with a mark.
func exactOr(r fx.Rate) string {
	if r.Den.Equal(decimal.NewFromInt(1)) {
		return r.Num.String()
	}
	if digits, exact := r.Rat().FloatPrec(); exact && digits <= shownDigits {
		return r.Rat().FloatString(digits)
	}
	return r.Rat().FloatString(shownDigits) + "…"
}

// Converted is an amount in another currency, with the rate's working.
func Converted(from, to money.Amount, r fx.Rate) Result {
	return rateResult(from.String()+" = "+to.String(), r, map[string]string{"from": from.String(), "to": to.String()})
}

func rateResult(answer string, r fx.Rate, extra map[string]string) Result {
	working := func() *sheet.Table {
		t := &sheet.Table{Columns: []sheet.Column{{Key: "step", Wrap: true}}}
		for _, step := range rateSteps(r) {
			t.Add(step)
		}
		return t
	}
	return Result{
		Sheet: func() *sheet.Sheet { return sheet.New(sheet.Heading(answer), working()) },
		Table: func() *sheet.Table {
			return &sheet.Table{Columns: []sheet.Column{{Key: "answer"}, {Key: "rate_num"}, {Key: "rate_den"}, {Key: "day"}, {Key: "source"}},
				Rows: []sheet.Row{{Kind: sheet.Body, Cells: []sheet.Cell{{Text: answer}, {Text: r.Num.String()}, {Text: r.Den.String()}, {Text: day(r.Day)}, {Text: r.Source()}}}}}
		},
		JSON: func() any {
			return object{"answer", answer, "from?", extra["from"], "to?", extra["to"], "rate_num", r.Num.String(), "rate_den", r.Den.String(), "day?", r.Day, "source?", r.Source(), "working", r.Steps()}
		},
	}
}

// rateSteps are the steps of a rate, without one that only repeats the last.
func rateSteps(r fx.Rate) []string {
	var steps []string
	for _, step := range r.Steps() {
		if n := len(steps); n == 0 || strings.TrimPrefix(steps[n-1], "stated: ") != step {
			steps = append(steps, step)
		}
	}
	return steps
}

func day(t time.Time) string { return sheet.AsText(t) }

// TableSummary is what a table of rates holds, with the day on which it was
// fetched, "" if not known, and what else there is to say of it.
func TableSummary(name, fetched string, sum fx.Summary, notes ...sheet.Block) Result {
	table := func() *sheet.Table {
		t := &sheet.Table{Topic: "rates", Columns: []sheet.Column{
			{Head: "currency", Key: "currency"}, {Head: "first day", Key: "first"}, {Head: "last day", Key: "last"},
			{Head: "days", Key: "days", Align: sheet.Right}, {Head: "missing days", Key: "holes", Align: sheet.Right}}}
		for _, c := range sum.Currencies {
			t.Add(string(c.Code), c.First, c.Last, c.Days, c.Holes)
		}
		return t
	}
	first, last := sum.Days[0], sum.Days[len(sum.Days)-1]
	head := fmt.Sprintf("%s: %s from %s to %s, units of each currency for 1 %s", name, Plural(int64(len(sum.Days)), "day"), day(first), day(last), fx.Base)
	return Result{
		Sheet: func() *sheet.Sheet {
			s := sheet.New(sheet.Heading(head), table())
			s.AddIf(fetched != "", remark("fetched on "+fetched))
			return s.Add(notes...)
		},
		Table: table,
		JSON: func() any {
			return object{"table", name, "fetched?", fetched, "first", first, "last", last, "days", len(sum.Days), "base", string(fx.Base),
				"currencies", sheet.Each(sum.Currencies, func(c *fx.Listing) object {
					return object{"currency", string(c.Code), "first", c.First, "last", c.Last, "days", c.Days, "holes", c.Holes}
				})}
		},
	}
}
