package money_test

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/money"

	bojanz "github.com/bojanz/currency"
	"golang.org/x/text/currency"
)

// digits is what two tables say of one code.
type digits struct{ ours, theirs int }

// TestMinorUnits compares the table of minor units with golang.org/x/text,
// whose data are those of CLDR 32: there the digits are the ones shown in
// practice, 0 where the coins are worth too little, and not those of ISO 4217.
// A new difference fails, and so does one that has gone.
func TestMinorUnits(t *testing.T) {
	differ := map[string]digits{"IQD": {3, 0}}
	for code := range strings.FieldsSeq("AFN ALL AMD COP GYD IDR IRR KPW LAK LBP MGA MMK MNT MUR PKR RSD SOS SYP TZS UZS YER") {
		differ[code] = digits{2, 0}
	}
	// Codes younger than CLDR 32 (2017).
	unknown := []string{"MRU", "SLE", "UYW", "VED", "VES", "XAD", "XCG", "ZWG"}

	gotDiffer, gotUnknown := make(map[string]digits), []string{}
	for _, c := range money.Currencies() {
		unit, err := currency.ParseISO(c.Code())
		if err != nil {
			gotUnknown = append(gotUnknown, c.Code())
			continue
		}
		if scale, _ := currency.Standard.Rounding(unit); scale != c.Digits() {
			gotDiffer[c.Code()] = digits{c.Digits(), scale}
		}
	}
	slices.Sort(gotUnknown)
	if !maps.Equal(gotDiffer, differ) {
		t.Errorf("x/text differs in %v\nwant %v", gotDiffer, differ)
	}
	if !slices.Equal(gotUnknown, unknown) {
		t.Errorf("x/text rejects %v\nwant %v", gotUnknown, unknown)
	}
}

// TestMinorUnitsBySecondSource compares the table with github.com/bojanz/currency
// 1.4.2 (CLDR 48 for names, ISO 4217 for digits): same digits everywhere, and
// no current code is missing here. It has dropped the codes that left the list:
// HRK (Croatia, 2023), ANG (Curaçao and Sint Maarten, 2025) and BGN (Bulgaria,
// 2026) (years from memory).
func TestMinorUnitsBySecondSource(t *testing.T) {
	withdrawn := []string{"ANG", "BGN", "HRK"}

	var ours []string
	for _, c := range money.Currencies() {
		ours = append(ours, c.Code())
		theirs, ok := bojanz.GetDigits(c.Code())
		if known := !slices.Contains(withdrawn, c.Code()); ok != known {
			t.Errorf("%s: known to the second source: %t, want %t", c, ok, known)
		} else if ok && int(theirs) != c.Digits() {
			t.Errorf("%s: %d digits, the second source has %d", c, c.Digits(), theirs)
		}
	}
	for _, code := range bojanz.GetCurrencyCodes() {
		if !slices.Contains(ours, code) {
			t.Errorf("%s is missing", code)
		}
	}
}

// TestMinorUnitsNotTwo holds the currencies of ISO 4217 whose minor unit is not
// a hundredth (list one of 1 January 2026; XPF from memory).
func TestMinorUnitsNotTwo(t *testing.T) {
	want := make(map[string]int)
	for n, codes := range map[int]string{
		0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
		3: "BHD IQD JOD KWD LYD OMR TND",
		4: "CLF UYW",
	} {
		for code := range strings.FieldsSeq(codes) {
			want[code] = n
		}
	}
	got := make(map[string]int)
	for _, c := range money.Currencies() {
		if c.Digits() != 2 {
			got[c.Code()] = c.Digits()
		}
	}
	if !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestCurrenciesAreFoundByCode(t *testing.T) {
	seen := make(map[string]bool)
	for _, c := range money.Currencies() {
		if len(c.Code()) != 3 || seen[c.Code()] {
			t.Errorf("code %q is listed twice, or is no code", c.Code())
		}
		seen[c.Code()] = true
		if found, err := money.ParseCurrency(c.Code()); err != nil || found != c || c.String() != c.Code() {
			t.Errorf("ParseCurrency(%q) = %v, %v", c.Code(), found, err)
		}
	}
	if len(seen) < 160 {
		t.Errorf("only %d currencies", len(seen))
	}
	if beyond := money.Currency(255); beyond.Code() != "" || beyond.Digits() != 0 {
		t.Errorf("a currency that is none is %q with %d digits", beyond.Code(), beyond.Digits())
	}
}

func TestParseCurrencyRefuses(t *testing.T) {
	const plain = " is not an ISO 4217 code: write its three capitals, as in CAD or JPY"
	for _, c := range []struct{ code, nearest, want string }{
		{"", "", `currency ""` + plain},
		{" CAD", "CAD", `currency " CAD" is not an ISO 4217 code: did you mean CAD?`},
		{"YEN", "JPY", `currency "YEN" is not an ISO 4217 code: did you mean JPY?`},
		{"rmb", "CNY", `currency "rmb" is not an ISO 4217 code: did you mean CNY?`},
		{"C$", "CAD", `currency "C$" is not an ISO 4217 code: did you mean CAD?`},
		{"JYP", "JPY", `currency "JYP" is not an ISO 4217 code: did you mean JPY?`},
		{"JPX", "JPY", `currency "JPX" is not an ISO 4217 code: did you mean JPY?`},
		{"QQQ", "", `currency "QQQ"` + plain},
		{"DOLLAR", "", `currency "DOLLAR"` + plain},
		{"A B", "", `currency "A B"` + plain},
		{"ED ", "", `currency "ED "` + plain}, // lies inside the table, between two codes
		{"円", "", `currency "円"` + plain},
		{"\xff\xff\xff", "", `currency "\xff\xff\xff"` + plain},
	} {
		got, err := money.ParseCurrency(c.code)
		var unknown *money.UnknownCurrencyError
		if !errors.As(err, &unknown) || c.nearest != "" && !strings.HasSuffix(err.Error(), "did you mean "+c.nearest+"?") || err.Error() != c.want || got != 0 {
			t.Errorf("ParseCurrency(%q) = %v, %v, want %s", c.code, got, err, c.want)
		}
	}
}

func TestMustCurrencyPanics(t *testing.T) {
	defer func() {
		var unknown *money.UnknownCurrencyError
		if err, ok := recover().(error); !ok || !errors.As(err, &unknown) {
			t.Errorf("got %v, want an UnknownCurrencyError", err)
		}
	}()
	money.MustCurrency("YEN")
}
