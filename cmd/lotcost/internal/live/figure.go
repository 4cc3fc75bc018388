// Package live makes workbooks that calculate: what a result was made from stands in cells that
// may be changed, all else in formulas that both Excel and LibreOffice have, and each formula
// holds what the library says.
//
// The numbers of a spreadsheet are of floating point with 15 digits that can be relied on. An
// amount is rounded by ROUND, which takes what is next to a half for a half, but to whole numbers
// not in LibreOffice (nearest); all that decides over a single cent is done in whole numbers below
// [exactBelow], where products, quotients and what is left of them are exact in both programs.
package live

import (
	"math"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// exactBelow is where whole numbers end that both programs divide and subtract exactly: they take
// what differs in the 15th digit for equal.
const exactBelow = 1e14

// figure is a number of a spreadsheet: how it is written in a formula, and what it is.
type figure struct {
	text  string
	value float64
}

func number(v float64) figure { return figure{strconv.FormatFloat(v, 'f', -1, 64), v} }

func whole(n int64) figure { return number(float64(n)) }

func truth(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// The operators calculate figures with their sign between them.
var (
	plus  = operator("+", func(a, b float64) float64 { return a + b })
	minus = operator("-", func(a, b float64) float64 { return a - b })
	times = operator("*", func(a, b float64) float64 { return a * b })
	over  = operator("/", func(a, b float64) float64 { return a / b })
)

func operator(sign string, f func(a, b float64) float64) func(list ...figure) figure {
	return func(list ...figure) figure {
		if len(list) == 0 {
			return number(0)
		}
		out := list[0]
		for _, x := range list[1:] {
			out = figure{out.text + sign + x.text, f(out.value, x.value)}
		}
		if len(list) > 1 {
			out.text = "(" + out.text + ")"
		}
		return out
	}
}

func above(a, b figure) figure {
	return figure{"(" + a.text + ">" + b.text + ")", truth(a.value > b.value)}
}

func atLeast(a, b figure) figure {
	return figure{"(" + a.text + ">=" + b.text + ")", truth(a.value >= b.value)}
}

func call(name string, value float64, of ...figure) figure {
	texts := make([]string, len(of))
	for i, f := range of {
		texts[i] = f.text
	}
	return figure{name + "(" + strings.Join(texts, ",") + ")", value}
}

func choose(condition, yes, no figure) figure {
	value := no.value
	if condition.value != 0 {
		value = yes.value
	}
	return call("IF", value, condition, yes, no)
}

func floor(f figure) figure { return call("INT", math.Floor(f.value), f) }

func size(f figure) figure { return call("ABS", math.Abs(f.value), f) }

func sign(f figure) figure { return call("SIGN", truth(f.value > 0)-truth(f.value < 0), f) }

func least(a, b figure) figure { return call("MIN", min(a.value, b.value), a, b) }

func most(a, b figure) figure { return call("MAX", max(a.value, b.value), a, b) }

// rounded rounds half away from zero to so many decimals.
func rounded(f figure, digits int) figure {
	return call("ROUND", round(f.value, digits), f, whole(int64(digits)))
}

// nearest rounds what may be a half away from zero to so many decimals. To whole numbers
// LibreOffice rounds as floating point has it, 887 for 0.071*12500, and to decimals what is meant:
// so a tenth is rounded to one decimal, and ten times that is whole again.
func nearest(f figure, digits int) figure {
	if digits > 0 {
		return rounded(f, digits)
	}
	return figure{"(ROUND((" + f.text + ")/10,1)*10)", round(f.value, 0)}
}

// round rounds as both programs do: half away from zero, and what differs from a half in the 15th
// digit alone is one.
func round(v float64, digits int) float64 {
	by := math.Pow10(digits)
	return math.Copysign(math.Floor(math.Abs(v)*by*(1+1e-15)+0.5)/by, v)
}

// unit is how many digits the minor unit of a currency has.
type unit int

func (u unit) digits() int { return int(u) }

// cents turns minor units into major ones, times these into those.
func (u unit) cents() string {
	if u == 0 {
		return ""
	}
	return "/1" + strings.Repeat("0", int(u))
}

// number is an amount of minor units as a number of major ones.
func (u unit) number(n int64) string { return decimal.New(n, -int32(u)).StringFixed(int32(u)) }

func (u unit) times() string { return strings.Replace(u.cents(), "/", "*", 1) }

// divided is major without its rounding.
func (u unit) divided(f figure) figure {
	return figure{f.text + u.cents(), f.value / math.Pow10(int(u))}
}

// major turns a figure of minor units into one of major ones.
func (u unit) major(f figure) figure {
	return rounded(u.divided(f), int(u))
}

// minor turns a figure of major units into one of minor ones.
func (u unit) minor(f figure) figure {
	return rounded(figure{f.text + u.times(), f.value * math.Pow10(int(u))}, 0)
}

// sum sums cells.
func (u unit) sum(of string) string { return "ROUND(SUM(" + of + ")," + strconv.Itoa(int(u)) + ")" }
