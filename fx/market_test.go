package fx_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"lotcost/fx"

	"github.com/shopspring/decimal"
)

// equations parses equations that are right.
func equations(t testing.TB, texts ...string) []fx.Equation {
	t.Helper()
	var out []fx.Equation
	for _, s := range texts {
		e, err := fx.ParseEquation(s)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, e)
	}
	return out
}

func TestMarketRate(t *testing.T) {
	const file = "eurofxref-2025.csv"
	m, err := fx.NewMarket(equations(t, "100 JPY = 0.93 CAD"), table(t, file, "2025-05-01", false), day("2025-05-01").Add(13*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	may1 := func(from, to string) string {
		return "wanted for 2025-05-01: the last day up to it that quotes " + from + " and " + to + " is 2025-04-30"
	}
	tests := []struct {
		from, to fx.Code
		num, den string
		day      string
		source   string
		steps    []string
	}{
		{"CAD", "CAD", "1", "1", "", "", []string{"CAD stays CAD"}},
		{"JPY", "CAD", "0.93", "100", "", "equation 100 JPY = 0.93 CAD", []string{"stated: 100 JPY = 0.93 CAD", "1 JPY = 0.93 / 100 CAD"}},
		{"CAD", "JPY", "100", "0.93", "", "equation 100 JPY = 0.93 CAD", []string{"stated: 100 JPY = 0.93 CAD", "turned round: 1 CAD = 100 / 0.93 JPY"}},
		{"EUR", "CAD", "1.5728", "1", "2025-04-30", file, []string{may1("EUR", "CAD"), file + ", 2025-04-30: 1 EUR = 1.5728 CAD"}},
		{"CAD", "EUR", "1", "1.5728", "2025-04-30", file, []string{may1("CAD", "EUR"), file + ", 2025-04-30: 1 EUR = 1.5728 CAD", "turned round: 1 CAD = 1 / 1.5728 EUR"}},
		{"JPY", "USD", "1.1373", "162.68", "2025-04-30", file, []string{may1("JPY", "USD"), file + ", 2025-04-30: 1 EUR = 162.68 JPY",
			file + ", 2025-04-30: 1 EUR = 1.1373 USD", "through EUR: 1 JPY = 1.1373 / 162.68 USD"}},
	}
	for _, tt := range tests {
		r, err := m.Rate(tt.from, tt.to)
		if err != nil {
			t.Errorf("%s to %s: %v", tt.from, tt.to, err)
			continue
		}
		if r.From != tt.from || r.To != tt.to || r.Num.String() != tt.num || r.Den.String() != tt.den || r.Source() != tt.source {
			t.Errorf("%s to %s: got %+v", tt.from, tt.to, r)
		}
		if r.Rat().Cmp(over(tt.num, tt.den)) != 0 {
			t.Errorf("%s to %s: Rat is %s", tt.from, tt.to, r.Rat())
		}
		if want := tt.day; want == "" && !r.Day.IsZero() || want != "" && !r.Day.Equal(day(want)) {
			t.Errorf("%s to %s: day %s, want %q", tt.from, tt.to, r.Day, want)
		}
		if !slices.Equal(r.Steps(), tt.steps) {
			t.Errorf("%s to %s: steps\n got %q\nwant %q", tt.from, tt.to, r.Steps(), tt.steps)
		}
	}
}

func TestMarketWithoutTable(t *testing.T) {
	m, err := fx.NewMarket(equations(t, "1 EUR = 1.5 CAD", "1 EUR = 160 JPY"), nil, day("2026-10-03"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = m.Rate("JPY", "CAD") // equations are not chained
	var none *fx.NoRateError
	if !errors.As(err, &none) || none.From != "JPY" || none.To != "CAD" {
		t.Errorf("got %#v", err)
	}
	if want := `no rate from JPY to CAD: state one ("100 JPY = … CAD") or give a table that holds it`; text(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if r, err := new(fx.Market).Rate("CAD", "CAD"); err != nil || r.Rat().Cmp(rat("1")) != 0 {
		t.Errorf("zero Market: %v, %v", r, err)
	}
}

func TestNewMarketErrors(t *testing.T) {
	tests := []struct {
		name string
		eqs  []fx.Equation
		want string
	}{
		{"contradiction", equations(t, "100 JPY = 0.93 CAD", "100 JPY = 0.94 CAD"), `equation "100 JPY = 0.94 CAD" contradicts "100 JPY = 0.93 CAD": keep one of them`},
		{"contradiction turned round", equations(t, "100 JPY = 0.93 CAD", "1 CAD = 107 JPY"), `equation "1 CAD = 107 JPY" contradicts "100 JPY = 0.93 CAD": keep one of them`},
		{"repetition", equations(t, "100 JPY = 0.93 CAD", "1000 JPY = 9.30 CAD"), `equation "1000 JPY = 9.3 CAD" repeats "100 JPY = 0.93 CAD": keep one of them`},
		{"repetition turned round", equations(t, "100 JPY = 0.93 CAD", "93 CAD = 10000 JPY"), `equation "93 CAD = 10000 JPY" repeats "100 JPY = 0.93 CAD": keep one of them`},
		{"zero equation", []fx.Equation{{}}, `equation "0  = 0 ": "0" is not above zero: write it like "100 JPY = 0.93 CAD"`},
		{"made by hand", []fx.Equation{{dec("1"), "yen", dec("1"), "CAD"}}, `equation "1 yen = 1 CAD": currency code "yen" is not three capital letters: write "YEN"`},
	}
	for _, tt := range tests {
		m, err := fx.NewMarket(tt.eqs, nil, day("2026-10-03"))
		if m != nil || text(err) != tt.want {
			t.Errorf("%s:\n got %v\nwant %s", tt.name, err, tt.want)
		}
	}
	_, err := fx.NewMarket(nil, table(t, "eurofxref-2025.csv", "2025-05-09", false), day("2025-05-10"))
	if text(err) != "eurofxref-2025.csv was read for 2025-05-09, not for 2025-05-10: read it for that day" {
		t.Errorf("another day: %v", err)
	}
}

func TestSpread(t *testing.T) {
	e := equations(t, "100 JPY = 0.93 CAD")
	m, err := fx.NewMarket(e, nil, day("2026-10-03"))
	if err != nil {
		t.Fatal(err)
	}
	r, _ := m.Rate("JPY", "CAD")
	dear := r.Spread(dec("0.025"))
	if want := over("0.95325", "100"); dear.Rat().Cmp(want) != 0 {
		t.Errorf("got %s, want %s", dear.Rat(), want)
	}
	if got, want := dear.Steps()[len(dear.Steps())-1], "with a spread of 2.5%: 1 JPY = 0.95325 / 100 CAD"; got != want {
		t.Errorf("step %q, want %q", got, want)
	}
	if r.Rat().Cmp(over("0.93", "100")) != 0 || len(r.Steps()) != 2 {
		t.Errorf("Spread changed its receiver: %+v", r)
	}
	if same := r.Spread(dec("0.000")); len(same.Steps()) != len(r.Steps()) || same.Rat().Cmp(r.Rat()) != 0 {
		t.Errorf("a zero spread changed the rate: %+v", same)
	}
	own, _ := m.Rate("CAD", "CAD")
	if got := own.Spread(dec("0.025")); got.Rat().Cmp(rat("1")) != 0 || len(got.Steps()) != 1 {
		t.Errorf("a spread on a currency into itself: %+v", got)
	}
	if got := new(fx.Rate).Rat(); got.Sign() != 0 {
		t.Errorf("zero Rate: %s", got)
	}
}

// Two steps taken from one rate must not write into one list.
func TestStepsAreNotShared(t *testing.T) {
	m, _ := fx.NewMarket(equations(t, "100 JPY = 0.93 CAD"), nil, day("2026-10-03"))
	r, _ := m.Rate("JPY", "CAD")
	r = r.Spread(dec("0.01"))
	a, b := r.Spread(dec("0.5")), r.Spread(dec("0.1"))
	if a.Steps()[3] == b.Steps()[3] || len(a.Steps()) != 4 || len(b.Steps()) != 4 {
		t.Errorf("steps are shared: %q, %q", a.Steps(), b.Steps())
	}
}

func TestMarketWith(t *testing.T) {
	base, err := fx.NewMarket(equations(t, "100 JPY = 0.93 CAD", "1 USD = 1.37 CAD"), nil, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	other, err := base.With(equations(t, "1 CAD = 100 JPY")[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		market   *fx.Market
		from, to fx.Code
		want     string
	}{{other, "JPY", "CAD", "1/100"}, {other, "CAD", "JPY", "100/1"}, {other, "USD", "CAD", "137/100"}, {base, "JPY", "CAD", "93/10000"}} {
		r, err := c.market.Rate(c.from, c.to)
		if err != nil || r.Rat().String() != c.want {
			t.Errorf("%s to %s: %v, %v, want %s", c.from, c.to, r.Rat(), err, c.want)
		}
	}
	if _, err := new(fx.Market).With(equations(t, "1 USD = 1.37 CAD")[0]); err != nil {
		t.Error(err)
	}
	const want = `equation "1 JPY = 0 CAD": "0" is not above zero: write it like "100 JPY = 0.93 CAD"`
	if _, err := base.With(fx.Equation{LeftAmount: decimal.NewFromInt(1), Left: "JPY", Right: "CAD"}); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
