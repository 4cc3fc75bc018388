package fx

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Equation states a rate as people say it: so much of one currency is so much of another. It is exact and holds both ways.
// Both amounts are in whole currency units (yen, dollars), above zero, and the codes differ.
type Equation struct {
	LeftAmount  decimal.Decimal
	Left        Code
	RightAmount decimal.Decimal
	Right       Code
}

// ParseEquation reads an equation such as "100 JPY = 0.93 CAD": on each side an amount, a space and a currency code.
//
// An amount is a plain decimal above zero with a point: no sign, no exponent and no thousands separator, since a comma means
// thousands to some and decimals to others. At most 32 characters. The currencies must differ. Anything else is an *EquationError.
func ParseEquation(s string) (Equation, error) {
	sides := strings.Split(s, "=")
	if len(sides) != 2 {
		return Equation{}, &EquationError{Text: s, part: s, problem: "does not have one equals sign"}
	}
	var e Equation
	var err error
	if e.LeftAmount, e.Left, err = parseSide(s, sides[0]); err != nil {
		return Equation{}, err
	}
	if e.RightAmount, e.Right, err = parseSide(s, sides[1]); err != nil {
		return Equation{}, err
	}
	return e, e.check()
}

// parseSide reads one side of the equation text.
func parseSide(text, side string) (decimal.Decimal, Code, error) {
	fields := strings.Fields(side)
	if len(fields) != 2 {
		return decimal.Decimal{}, "", &EquationError{Text: text, part: strings.TrimSpace(side), problem: "is not an amount, a space and a currency"}
	}
	amount, ok := plain(fields[0])
	if !ok {
		return decimal.Decimal{}, "", &EquationError{Text: text, part: fields[0], problem: fault(fields[0])}
	}
	code, err := parseCode(fields[1])
	if err != nil {
		return decimal.Decimal{}, "", &EquationError{Text: text, part: fields[1], err: err}
	}
	return amount, code, nil
}

// fault says why an amount is not one.
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
func (e Equation) check() error {
	for _, amount := range []decimal.Decimal{e.LeftAmount, e.RightAmount} {
		if !amount.IsPositive() {
			return &EquationError{Text: e.String(), part: amount.String(), problem: "is not above zero"}
		}
	}
	for _, code := range []Code{e.Left, e.Right} {
		if !shaped(string(code)) {
			return &EquationError{Text: e.String(), part: string(code), err: badCode(string(code))}
		}
	}
	if e.Left == e.Right {
		return &EquationError{Text: e.String(), part: string(e.Left), problem: "stands on both sides"}
	}
	return nil
}

// String writes the equation as [ParseEquation] reads it, amounts without trailing zeros.
func (e Equation) String() string {
	return fmt.Sprintf("%s %s = %s %s", e.LeftAmount, e.Left, e.RightAmount, e.Right)
}

// towards gives the equation as the rate into to, which is one of its currencies.
func (e Equation) towards(to Code) Rate {
	r := Rate{From: e.Left, To: e.Right, Num: e.RightAmount, Den: e.LeftAmount, Source: "equation " + e.String()}
	r.Steps = []string{"stated: " + e.String()}
	if to == e.Left {
		return r.inverse()
	}
	return r.step(r.String())
}

// same reports whether two equations for one pair of currencies, in whichever order, state the same rate.
func (e Equation) same(o Equation) bool {
	if e.Left != o.Left {
		o.LeftAmount, o.RightAmount = o.RightAmount, o.LeftAmount
	}
	return e.LeftAmount.Mul(o.RightAmount).Equal(e.RightAmount.Mul(o.LeftAmount))
}

// EquationError says what is wrong with the text of an equation, or with one made by hand.
type EquationError struct {
	Text    string // the whole equation
	part    string // the part that is wrong
	problem string // what is wrong with it; empty if Err says so
	err     error  // what is wrong with a code, or nil
}

// Error names the part, what is wrong and how to write an equation.
func (e *EquationError) Error() string {
	if e.err != nil {
		return fmt.Sprintf("equation %q: %v", excerpt(e.Text), e.err)
	}
	return fmt.Sprintf("equation %q: %q %s: write it like \"100 JPY = 0.93 CAD\"", excerpt(e.Text), excerpt(e.part), e.problem)
}
