package fx_test

import (
	"errors"
	"testing"

	"lotcost/fx"

	"golang.org/x/text/currency"
)

func TestParseCode(t *testing.T) {
	tests := []struct{ in, want string }{
		{"JPY", ""},
		{"jpy", `currency code "jpy" is not three capital letters: write "JPY"`},
		{" Cad", `currency code " Cad" is not three capital letters: write "CAD"`},
		{"", `currency code "" is not three capital letters: write an ISO 4217 code such as "JPY"`},
		{"YEN4", `currency code "YEN4" is not three capital letters: write an ISO 4217 code such as "JPY"`},
		{"É€", `currency code "É€" is not three capital letters: write an ISO 4217 code such as "JPY"`},
	}
	for _, tt := range tests {
		got, err := fx.ParseCode(tt.in)
		if text(err) != tt.want {
			t.Errorf("ParseCode(%q): %v, want %s", tt.in, err, tt.want)
		}
		if err == nil && string(got) != tt.in || err != nil && got != "" {
			t.Errorf("ParseCode(%q) = %q, %#v", tt.in, got, err)
		}
	}
}

// The reason why golang.org/x/text/currency does not check codes here: see the package comment. If
// this fails the comment is out of date.
func TestCodesNewerThanXText(t *testing.T) {
	for _, code := range []string{"MRU", "SLE", "VES"} {
		if _, err := currency.ParseISO(code); err == nil {
			t.Errorf("golang.org/x/text/currency knows %s now", code)
		}
		if _, err := fx.ParseCode(code); err != nil {
			t.Error(err)
		}
	}
}

func TestParseEquation(t *testing.T) {
	tests := []struct{ in, want string }{
		{"100 JPY = 0.93 CAD", "100 JPY = 0.93 CAD"},
		{"  1\tUSD=1.3600   CAD ", "1 USD = 1.36 CAD"},
		{"0.0000000001 JPY = 12345678901234567890 VES", "0.0000000001 JPY = 12345678901234567890 VES"},
	}
	for _, tt := range tests {
		got, err := fx.ParseEquation(tt.in)
		if err != nil || got.String() != tt.want {
			t.Errorf("ParseEquation(%q) = %q, %v, want %q", tt.in, got, err, tt.want)
		}
	}
}

func TestParseEquationErrors(t *testing.T) {
	const like = `: write it like "100 JPY = 0.93 CAD"`
	tests := []struct{ in, want string }{
		{"", `equation "": "" does not have one equals sign` + like},
		{"100 JPY", `equation "100 JPY": "100 JPY" does not have one equals sign` + like},
		{"1 JPY = 2 CAD = 3 USD", `equation "1 JPY = 2 CAD = 3 USD": "1 JPY = 2 CAD = 3 USD" does not have one equals sign` + like},
		{"JPY = 0.93 CAD", `equation "JPY = 0.93 CAD": "JPY" is not an amount, a space and a currency` + like},
		{"100JPY = 0.93 CAD", `equation "100JPY = 0.93 CAD": "100JPY" is not an amount, a space and a currency` + like},
		{"1,000 JPY = 9.3 CAD", `equation "1,000 JPY = 9.3 CAD": "1,000" has a comma, but an amount has a decimal point and no thousands separators` + like},
		{"100 JPY = 0,93 CAD", `equation "100 JPY = 0,93 CAD": "0,93" has a comma, but an amount has a decimal point and no thousands separators` + like},
		{"1e2 JPY = 0.93 CAD", `equation "1e2 JPY = 0.93 CAD": "1e2" is not a plain amount` + like},
		{"-1 JPY = 0.93 CAD", `equation "-1 JPY = 0.93 CAD": "-1" is not a plain amount` + like},
		{"+1 JPY = 0.93 CAD", `equation "+1 JPY = 0.93 CAD": "+1" is not a plain amount` + like},
		{"1. JPY = .5 CAD", `equation "1. JPY = .5 CAD": "1." is not a plain amount` + like},
		{"1 JPY = .5 CAD", `equation "1 JPY = .5 CAD": ".5" is not a plain amount` + like},
		{"1 JPY = 0.00 CAD", `equation "1 JPY = 0 CAD": "0" is not above zero` + like},
		{"1 JPY = 1 JPY", `equation "1 JPY = 1 JPY": "JPY" stands on both sides` + like},
		{"100 jpy = 0.93 CAD", `equation "100 jpy = 0.93 CAD": currency code "jpy" is not three capital letters: write "JPY"`},
		{"1 JPY = 0.333333333333333333333333333333333 CAD", `equation "1 JPY = 0.333333333333333333333333333333333 CAD": "0.333333333333333333333333333333333" is longer than 32 characters` + like},
	}
	for _, tt := range tests {
		_, err := fx.ParseEquation(tt.in)
		var ee *fx.EquationError
		if text(err) != tt.want || !errors.As(err, &ee) {
			t.Errorf("ParseEquation(%q):\n got %v\nwant %s", tt.in, err, tt.want)
		}
	}
}
