package fx

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"
)

// Equation states a rate as people say it: so much of one currency is so much of another. It is
// exact and holds both ways. Both amounts are in whole currency units (yen, dollars), above zero,
// and the codes differ.
type Equation struct {
	LeftAmount  decimal.Decimal // above zero, exactly as it was written
	Left        Code            // its currency
	RightAmount decimal.Decimal // above zero, exactly as it was written
	Right       Code            // its currency
}

// ParseEquation reads an equation such as "100 JPY = 0.93 CAD": on each side an amount, a space and
// a currency code.
//
// An amount is a plain decimal above zero with a point: no sign, no exponent and no thousands
// separator, since a comma means thousands to some and decimals to others. At most 32 characters.
// The currencies must differ. Anything else is an *EquationError.
func ParseEquation(s string) (Equation, error) {
	left, right, ok := strings.Cut(s, "=")
	if !ok || strings.Contains(right, "=") {
		return Equation{}, malformed(s, s, "does not have one equals sign")
	}
	var e Equation
	var err error
	if e.LeftAmount, e.Left, err = parseSide(s, left); err != nil {
		return Equation{}, err
	}
	if e.RightAmount, e.Right, err = parseSide(s, right); err != nil {
		return Equation{}, err
	}
	if err := e.check(); err != nil {
		return e, err
	}
	return e, nil
}

func parseSide(text, side string) (decimal.Decimal, Code, error) {
	side = strings.TrimSpace(side)
	space := max(0, strings.IndexFunc(side, unicode.IsSpace))
	figure, word := side[:space], strings.TrimSpace(side[space:])
	if figure == "" || strings.ContainsFunc(word, unicode.IsSpace) {
		return decimal.Decimal{}, "", malformed(text, side, "is not an amount, a space and a currency")
	}
	amount, ok := plain(figure)
	if !ok {
		return decimal.Decimal{}, "", malformed(text, figure, fault(figure))
	}
	code, err := parseCode(word)
	if err != nil {
		return decimal.Decimal{}, "", miscoded(text, err)
	}
	return amount, code, nil
}

func fault(amount string) string {
	switch {
	case strings.Contains(amount, ","):
		return "has a comma, but an amount has a decimal point and no thousands separators"
	case len(amount) > maxDigits:
		return fmt.Sprintf("is longer than %d characters", maxDigits)
	}
	return "is not a plain amount"
}

// check holds for every equation, parsed or made by hand.
func (e Equation) check() *EquationError {
	for _, amount := range []decimal.Decimal{e.LeftAmount, e.RightAmount} {
		if !amount.IsPositive() {
			return malformed(e.String(), amount.String(), "is not above zero")
		}
	}
	for _, code := range []Code{e.Left, e.Right} {
		if !shaped(string(code)) {
			return miscoded(e.String(), badCode(string(code)))
		}
	}
	if e.Left == e.Right {
		return malformed(e.String(), string(e.Left), "stands on both sides")
	}
	return nil
}

// String writes the equation as [ParseEquation] reads it, amounts without trailing zeros.
func (e Equation) String() string {
	return e.LeftAmount.String() + " " + string(e.Left) + " = " + e.RightAmount.String() + " " + string(e.Right)
}

// towards gives the equation as the rate into to, which is one of its currencies.
func (e *Equation) towards(to Code) Rate {
	if to == e.Left {
		return Rate{From: e.Right, To: e.Left, Num: e.LeftAmount, Den: e.RightAmount, words: e}
	}
	return Rate{From: e.Left, To: e.Right, Num: e.RightAmount, Den: e.LeftAmount, words: e}
}

func (e *Equation) of(to Code) (source string, steps []string) {
	last := e.towards(to).String()
	if to == e.Left {
		last = "turned round: " + last
	}
	return "equation " + e.String(), []string{"stated: " + e.String(), last}
}

// same reports whether two equations for one pair of currencies, in whichever order, state the same
// rate.
func (e Equation) same(o Equation) bool {
	if e.Left != o.Left {
		o.LeftAmount, o.RightAmount = o.RightAmount, o.LeftAmount
	}
	return e.LeftAmount.Mul(o.RightAmount).Equal(e.RightAmount.Mul(o.LeftAmount))
}

// EquationError tells that an equation cannot be used: it is malformed, or states what an earlier
// one does, or is off another rate by thirty times or more, so that one of its figures, or the side
// on which a currency stands, cannot be meant.
type EquationError struct {
	At int // its place among the equations that were given, from 0
	// Strange is set where it is off by three times or more, or is what the other rate is turned
	// round: likely a mistake, but it may be meant.
	Strange bool

	said string
}

// Error quotes the equation, and says what is wrong with it and what to write.
func (e *EquationError) Error() string { return e.said }

func malformed(text, part, problem string) *EquationError {
	return &EquationError{said: fmt.Sprintf("equation %q: %q %s: write it like \"100 JPY = 0.93 CAD\"", excerpt(text), excerpt(part), problem)}
}

// miscoded is that of a currency that is none.
func miscoded(text string, err error) *EquationError {
	return &EquationError{said: fmt.Sprintf("equation %q: %v", excerpt(text), err)}
}
