package lotfile

import (
	"slices"
	"strings"

	"lotcost/fx"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
)

// equation reads a rate. What is none is refused with the rates that it may mean.
func (r *reader) equation(n input.Node) (fx.Equation, bool) {
	n = n.Figure()
	if n.IsMap() { // as in GBP: 1.16
		text := ""
		n.Each(func(name string, value input.Node) {
			of, _ := textOf(value)
			text += name + " " + of + " "
		})
		if meant := meantRates(text, r.home, r.foreign()); len(meant) > 0 {
			n.Fail("a rate is not a key and a value", "write "+strings.Join(meant, " or "))
			return fx.Equation{}, false
		}
	}
	return input.Scalar(n, func(text string) (fx.Equation, error) {
		eq, err := ParseEquation(text)
		if err == nil {
			return eq, nil
		}
		if meant := meantRates(text, r.home, r.foreign()); len(meant) > 0 {
			err = &money.ParseError{Input: text, Reason: "is not written as a rate", Remedy: "write " + strings.Join(meant, " or ")}
		}
		return eq, err
	})
}

// foreign is the first currency other than home behind a figure of the file; none
// where there is none.
func (r *reader) foreign() money.Currency {
	for _, found := range amountIn().FindAllSubmatch(r.text, -1) {
		if c, err := money.ParseCurrency(string(found[1])); err == nil && c != r.home {
			return c
		}
	}
	return 0
}

var (
	amountIn = scrub.Pattern(`[0-9] ?([A-Z]{3})\b`)
	rateIn   = scrub.Pattern(`([0-9][0-9.,]*)|([\p{L}\p{Sc}]+)`)
)

// meantRates are the equations that a text may mean: those of two figures, of one
// of them for one unit of the other currency, or of a currency and home. They are
// empty where none is likely.
func meantRates(text string, home, foreign money.Currency) []string {
	var numbers, codes []string
	before := 0 // how many figures stand before the first currency
	for _, part := range rateIn().FindAllStringSubmatch(scrub.Figure(text), -1) {
		switch code := codeOf(part[2], home); {
		case part[1] != "" && strings.Count(part[1], ",")+strings.Count(part[1], ".") <= 1:
			numbers = append(numbers, strings.Trim(strings.Replace(part[1], ",", ".", 1), "."))
		case part[1] != "":
			return nil
		case code != "":
			if codes = append(codes, code); len(codes) == 1 {
				before = len(numbers)
			}
		}
	}
	if len(codes) == 0 && foreign != 0 {
		codes = append(codes, foreign.Code())
	}
	if len(numbers) == 0 || len(numbers) > 2 || len(codes) == 0 || len(codes) > 2 {
		return nil
	}
	left, right := codes[0], home.Code()
	switch {
	case len(codes) == 2 && codes[0] != codes[1]:
		right = codes[1]
	case left == right && foreign != 0 && len(codes) == 1 && len(numbers) == 2 && before < 2: // as in 1 EUR = 163.5
		right = foreign.Code()
	case left == right && foreign != 0:
		left = foreign.Code()
	case len(numbers) == 2 && before == 2:
		left, right = right, left
	}
	first, second := "1", numbers[len(numbers)-1]
	if len(numbers) == 2 {
		first = numbers[0]
	}
	meant := []string{first + " " + left + " = " + second + " " + right}
	if len(numbers) == 1 && len(codes) == 1 {
		meant = append(meant, "1 "+right+" = "+second+" "+left)
	}
	return slices.DeleteFunc(meant, func(s string) bool { _, err := ParseEquation(s); return err != nil })
}

// codeOf is the code of the currency that a word or a sign means, "" where it means
// none.
func codeOf(word string, home money.Currency) string {
	if word == "" || slices.Contains([]string{"per", "for", "and", "the", "are", "is", "at", "to", "rate", "fx"}, strings.ToLower(word)) {
		return ""
	}
	if meant := money.Meant("1 "+word, home); len(meant) > 0 {
		return strings.TrimPrefix(meant[0], "1 ")
	}
	return ""
}

// statedSide writes an amount and the letters of a code, in any size and perhaps without a space
// between, as they stand in an equation. It reports false for anything else.
func statedSide(s string) (string, bool) {
	s = strings.Trim(s, " \t\n\f\r")
	amount := strings.TrimRight(s[:max(0, len(s)-len("CAD"))], " \t\n\f\r")
	code := s[max(0, len(s)-len("CAD")):]
	isLetter := func(i int) bool { return code[i]|0x20 >= 'a' && code[i]|0x20 <= 'z' }
	if amount == "" || strings.Trim(amount, "0123456789.") != "" || !isLetter(0) || !isLetter(1) || !isLetter(2) {
		return "", false
	}
	if len(amount)+len(" CAD") == len(s) && strings.ToUpper(code) == code && s[len(amount)] == ' ' {
		return s, true
	}
	return amount + " " + strings.ToUpper(code), true
}

// ParseEquation reads a rate such as "100 JPY = 0.93 CAD" of two currencies of
// ISO 4217.
func ParseEquation(s string) (fx.Equation, error) {
	if left, right, ok := strings.Cut(s, "="); ok {
		left, known := statedSide(left)
		right, alsoKnown := statedSide(right)
		if known && alsoKnown {
			s = left + " = " + right
		}
	}
	eq, err := fx.ParseEquation(s)
	if err != nil {
		return eq, err
	}
	for _, code := range []fx.Code{eq.Left, eq.Right} {
		if _, err := money.ParseCurrency(string(code)); err != nil {
			return eq, err
		}
	}
	return eq, nil
}
