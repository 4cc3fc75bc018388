package fx

import (
	"math/big"
	"time"

	"github.com/shopspring/decimal"
)

// Rate says what one whole unit of a currency is in another: 1 From = Num/Den To, exactly. It is
// never rounded by itself, and a spread is in it only after [Rate.Spread]. The zero value is no
// rate.
type Rate struct {
	From, To Code
	Num, Den decimal.Decimal
	Day      time.Time // the published day used, 00:00 UTC; zero for an equation and for a currency into itself
	words    wording
}

// Source is "equation 100 JPY = 0.93 CAD", or the name of the table; "" for a currency into itself.
func (r Rate) Source() string {
	source, _ := r.said()
	return source
}

// Steps are the working in words, in order: which figure of which day, the cross, the day fallen
// back to. They are made anew each time.
func (r Rate) Steps() []string {
	_, steps := r.said()
	return steps
}

// said is how the rate came about. It is put in words only for those who read it.
func (r Rate) said() (source string, steps []string) {
	if r.words == nil {
		return "", nil
	}
	return r.words.of(r.To)
}

// wording puts in words how a rate into a currency came about.
type wording interface {
	of(to Code) (source string, steps []string)
}

// words is a wording of a rate of its own.
type words func() (source string, steps []string)

func (w words) of(Code) (source string, steps []string) { return w() }

func one() decimal.Decimal { return decimal.NewFromInt(1) }

func identity(c Code) Rate {
	return Rate{From: c, To: c, Num: one(), Den: one(), words: words(func() (string, []string) {
		return "", []string{string(c) + " stays " + string(c)}
	})}
}

// Spread gives the rate with a spread on it: To is dearer by the fraction s (0.025 is 2.5%), so Num
// becomes Num x (1 + s), exactly, and a step says so. A negative s is a discount and must be above
// -1, or the result is no rate. A zero s, or a rate from a currency into itself, changes nothing,
// since no exchange takes place.
func (r Rate) Spread(s decimal.Decimal) Rate {
	if s.IsZero() || r.From == r.To {
		return r
	}
	r.Num = r.Num.Mul(one().Add(s))
	return r.step(func() string { return "with a spread of " + s.Shift(2).String() + "%: " + r.String() })
}

// Noted gives the rate with one more step.
func (r Rate) Noted(step string) Rate { return r.step(func() string { return step }) }

// step is Noted of a step that is put in words only for those who read it.
func (r Rate) step(last func() string) Rate {
	before := r
	r.words = words(func() (string, []string) {
		source, steps := before.said()
		return source, append(steps, last())
	})
	return r
}

// Rat gives Num/Den as a new fraction in lowest terms. It is 0 for the zero Rate.
func (r Rate) Rat() *big.Rat {
	if r.Den.IsZero() {
		return new(big.Rat)
	}
	return new(big.Rat).Quo(r.Num.Rat(), r.Den.Rat())
}

// String writes the rate unrounded, such as "1 JPY = 0.93 / 100 CAD", or "1 EUR = 1.5658 CAD" where
// nothing is divided.
func (r Rate) String() string {
	figure := r.Num.String()
	if !r.Den.Equal(one()) {
		figure += " / " + r.Den.String()
	}
	return "1 " + string(r.From) + " = " + figure + " " + string(r.To)
}
