package taken

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// value is what a cell holds.
type value struct {
	number decimal.Decimal
	empty  bool
}

// text is the number as a workbook has it.
func (v value) text() string {
	if v.empty {
		return ""
	}
	return v.number.String()
}

// is reports whether it is what a workbook was written with.
func (v value) is(data string) bool { return same(v.text(), data) }

// digits are those of a number that a spreadsheet keeps for certain (IEEE 754, double).
const digits = 15

// same reports whether two numbers of a workbook are one.
func same(a, b string) bool {
	x, err := decimal.NewFromString(a)
	y, other := decimal.NewFromString(b)
	if err != nil || other != nil {
		return a == b
	}
	return kept(x).Equal(kept(y))
}

func kept(d decimal.Decimal) decimal.Decimal {
	return d.Round(int32(digits - d.NumDigits() - int(d.Exponent())))
}

// unitOf is what a number is in; "" for one of pieces, a part or a rate.
func unitOf(in *live.Input) string {
	switch in.As {
	case live.Weight:
		return "g"
	case live.Amount:
		if in.Currency != 0 {
			return in.Currency.Code()
		}
	}
	return ""
}

// numberIn is the number in the text of a cell.
func numberIn(text string) (decimal.Decimal, error) {
	text, _, _ = strings.Cut(text, " ")
	text, isPart := strings.CutSuffix(text, "%")
	d, err := decimal.NewFromString(text)
	if isPart {
		d = d.Shift(-2)
	}
	return d, err
}

// valueOf reads a cell, and says what is wrong where it cannot be taken.
func valueOf(c lotfile.SheetCell, in *live.Input, e *entry) (value, *source.Fault) {
	fail := func(what, remedy string) (value, *source.Fault) {
		return value{}, &source.Fault{At: c.At, Field: e.key, What: what, Remedy: remedy}
	}
	unit := unitOf(in)
	alone := "type the figure alone" + sheet.Either(unit != "", ", in "+unit, "")
	switch {
	case c.Fault != nil:
		return fail(c.Fault.What, "type a figure in its place")
	case c.Text == "" && (in.Optional || e.held == ""):
		return value{empty: true}, nil
	case c.Text == "":
		return fail("the cell is empty", alone+", or "+e.held+" as it was")
	case !c.Exact:
		return fail(fmt.Sprintf("%q is no figure", c.Text), alone+meantBy(c.Text, in))
	}
	_, of, _ := strings.Cut(c.Text, " ")
	number, err := numberIn(c.Text)
	switch {
	case err != nil:
		return fail("this is a day, "+c.Text+", and no figure", alone+", and give the cell its number format again")
	case unit != "" && of != "" && of != unit && (len(of) == 3 || unit == "g"):
		return fail("it is shown in "+of+", but counts in "+unit, alone+", and give the cell its number format again")
	}
	switch w, err := measure.ParseWeight(number.String() + " g"); {
	case in.As == live.Count && (!number.IsInteger() || number.Sign() < 1):
		return fail(c.Text+" is no number of pieces", "type a whole one, such as "+decimal.Max(number.Round(0), decimal.NewFromInt(1)).String())
	case in.As == live.Weight && err != nil:
		return fail(err.Error(), alone)
	case in.As == live.Weight && !same(decimal.New(int64(w), -9).String(), number.String()):
		return fail(c.Text+" g is finer than a nanogram", "type fewer decimals")
	case in.As == live.Rate && number.Sign() <= 0:
		return fail(c.Text+" is no rate", "type one above 0")
	}
	return value{number: number}, nil
}

// meantBy is what to type in the place of a text that may be a figure; "" where there is no
// telling.
func meantBy(text string, in *live.Input) string {
	text = strings.TrimSpace(text)
	point := strings.Replace(text, ",", ".", 1)
	meant := ""
	switch d, err := decimal.NewFromString(strings.TrimSuffix(point, "%")); {
	case in.As == live.Weight:
		if w, err := measure.ParseWeight(point); err == nil {
			meant = decimal.New(int64(w), -9).String()
		}
	case in.As == live.Amount && in.Currency != 0:
		for _, reading := range money.Meant(text, in.Currency) {
			if number, of, _ := strings.Cut(reading, " "); of == unitOf(in) && meant == "" {
				meant = number
			}
		}
	case err == nil && (in.As == live.Part || in.As == live.OfPrice):
		meant = d.String() + "%"
	case err == nil:
		meant = d.String()
	}
	if meant == "" {
		return ""
	}
	return ": " + meant
}

// words is a number as a file has it.
func words(in *live.Input, data string) string {
	d, err := decimal.NewFromString(data)
	if err != nil {
		return ""
	}
	return asIn("", in, d)
}

// asIn is a number as it stands in a lot file in the place of an older text.
func asIn(old string, in *live.Input, d decimal.Decimal) string {
	switch in.As {
	case live.Part:
		return d.Shift(2).String() + "%"
	case live.OfPrice:
		return d.Shift(2).String() + "% of price"
	}
	return (&lotfile.ListChange{Number: d, Unit: unitOf(in)}).Text(old, "")
}
