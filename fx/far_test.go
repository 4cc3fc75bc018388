package fx_test

import (
	"fmt"
	"io"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/fx"

	"pgregory.net/rapid"
)

// dayTable holds the euro reference rates of 2025-05-09 (testdata/rates/eurofxref-2025.csv).
const dayTable = "Date,USD,JPY,GBP,CAD\n2025-05-09,1.1252,163.36,0.8477,1.5658\n"

func TestFar(t *testing.T) {
	table := readTable(t)
	const lately = " is strange: the table of 9 May 2025 that comes with lotcost has "
	const gbp = ` is not possible: rates.csv has 1 GBP = 1.180 EUR: `
	for _, c := range []struct {
		name, equations, want string // one line for each equation that is far off
		table                 *fx.Table
	}{
		{"a hundred times", "1 GBP = 116 EUR", `equation "1 GBP = 116 EUR"` + gbp + "did you mean 100 GBP = 116 EUR?", table},
		{"a hundredth", "100 GBP = 1.16 EUR", `equation "100 GBP = 1.16 EUR"` + gbp + "did you mean 1 GBP = 1.16 EUR?", table},
		{"sides changed", "1 JPY = 163 EUR", `equation "1 JPY = 163 EUR" is not possible: rates.csv has 1 JPY = 0.006121 EUR: did you mean 1 EUR = 163 JPY?`, table},
		{"for one yen", "1 JPY = 0.93 CAD", `equation "1 JPY = 0.93 CAD" is not possible: rates.csv has 1 JPY = 0.009585 CAD: did you mean 100 JPY = 0.93 CAD?`, table},
		{"nothing near", "1 GBP = 5000000000 EUR", `equation "1 GBP = 5000000000 EUR"` + gbp + "check the figures, and on which side each currency stands", table},
		{"right", "1 GBP = 1.16 EUR, 100 JPY = 0.93 CAD, 1 EUR = 1.1 USD", "", table},
		{"turned round, but near", "1 GBP = 0.86 EUR", `equation "1 GBP = 0.86 EUR" is strange: rates.csv has 1 GBP = 1.180 EUR: did you mean 1 EUR = 0.86 GBP?`, table},
		{"turned round, dollars", "1 EUR = 0.89 USD", `equation "1 EUR = 0.89 USD" is strange: rates.csv has 1 EUR = 1.125 USD: did you mean 1 USD = 0.89 EUR?`, table},
		{"off, but not turned round", "1 GBP = 0.95 EUR, 1 EUR = 1.3 USD", "", table},
		{"ten times", "1 GBP = 11.6 EUR", `equation "1 GBP = 11.6 EUR" is strange: rates.csv has 1 GBP = 1.180 EUR: did you mean 10 GBP = 11.6 EUR?`, table},
		{"not in the table", "1 GBP = 14.2 NOK", "", table},
		{"no table", "1 GBP = 116 EUR", `equation "1 GBP = 116 EUR"` + lately + "1 GBP = 1.180 EUR: did you mean 100 GBP = 116 EUR?", nil},
		{"no table, for one yen", "1 JPY = 0.93 CAD", `equation "1 JPY = 0.93 CAD"` + lately + "1 JPY = 0.009585 CAD: did you mean 100 JPY = 0.93 CAD?", nil},
		{"no table, ten thousand times", "100 JPY = 9300 CAD", `equation "100 JPY = 9300 CAD"` + lately + "1 JPY = 0.009585 CAD: did you mean 100 CAD = 9300 JPY?", nil},
		{"no table, sides changed", "100 CAD = 0.93 JPY", `equation "100 CAD = 0.93 JPY"` + lately + "1 CAD = 104.3 JPY: did you mean 100 JPY = 0.93 CAD?", nil},
		{"no table, of other years", "100 JPY = 1.35 CAD, 1 GBP = 2.4 CAD, 1 BRL = 0.7 CAD", "", nil},
		{"no table, and not known", "1 KWD = 450 CAD, 1 TRY = 5 CAD", "", nil},
		{"a table that has another", "100 JPY = 1.9 CAD, 100 JPY = 93 MXN", `equation "100 JPY = 93 MXN"` + lately + "1 JPY = 0.1343 MXN: did you mean 1000 JPY = 93 MXN?", table},
		{"against the others", "1 GBP = 1.75 CAD, 1 EUR = 1.5 CAD, 1 GBP = 116 EUR", `equation "1 GBP = 116 EUR" is not possible: equation 1 GBP = 1.75 CAD with equation 1 EUR = 1.5 CAD has 1 GBP = 1.167 EUR: did you mean 100 GBP = 116 EUR?`, nil},
		{"against two others, that of the alphabet's first", "1 USD = 1.4 CAD, 1 USD = 150 JPY, 1 EUR = 1.5 CAD, 1 EUR = 160 JPY, 1 JPY = 0.93 CAD", `equation "1 JPY = 0.93 CAD" is not possible: equation 1 EUR = 160 JPY with equation 1 EUR = 1.5 CAD has 1 JPY = 0.009375 CAD: did you mean 100 JPY = 0.93 CAD?`, nil},
		{"beside the others", "1 GBP = 1.75 CAD, 1 EUR = 1.5 CAD, 1 GBP = 1.16 EUR", "", nil},
		{"a wrong one proves nothing", "1 GBP = 116 EUR, 1 EUR = 1.5658 CAD, 1 GBP = 1.85 CAD", `equation "1 GBP = 116 EUR"` + gbp + "did you mean 100 GBP = 116 EUR?", table},
	} {
		t.Run(c.name, func(t *testing.T) {
			var eqs []fx.Equation
			for _, text := range strings.Split(c.equations, ", ") {
				eqs = append(eqs, must(fx.ParseEquation(text)))
			}
			var reported []string
			for _, err := range fx.Far(eqs, c.table) {
				if err != nil {
					reported = append(reported, err.Error())
				}
			}
			if got := strings.Join(reported, "\n"); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func readTable(t testing.TB) *fx.Table {
	t.Helper()
	table, err := fx.ReadTable(strings.NewReader(dayTable), fx.Window{On: time.Date(2025, 5, 9, 0, 0, 0, 0, time.UTC), Name: "rates.csv"})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Whatever was drawn, an equation cannot be exactly when it is thirty times off
// by fractions, is strange when it is three times off, and what is suggested is
// neither.
func TestFarIsFar(t *testing.T) {
	table := readTable(t)
	want := must(table.Rate("GBP", "CAD")).Rat()
	rapid.Check(t, func(t *rapid.T) {
		left, right := rapid.IntRange(1, 1_000_000).Draw(t, "left"), rapid.IntRange(1, 1_000_000).Draw(t, "right")
		eq := must(fx.ParseEquation(fmt.Sprintf("%d GBP = %d CAD", left, right)))
		ratio := new(big.Rat).Quo(big.NewRat(int64(right), int64(left)), want)
		off := func(times int64) bool {
			return ratio.Cmp(big.NewRat(times, 1)) >= 0 || ratio.Cmp(big.NewRat(1, times)) <= 0
		}
		reported := fx.Far([]fx.Equation{eq}, table)[0]
		if (reported != nil && !reported.Strange) != off(30) || reported == nil && off(3) {
			t.Fatalf("%s is %s times the rate, but: %v", eq, ratio.FloatString(4), reported)
		}
		if reported == nil {
			return
		}
		if _, meant, is := strings.Cut(reported.Error(), "did you mean "); is && fx.Far([]fx.Equation{must(fx.ParseEquation(strings.TrimSuffix(meant, "?")))}, table)[0] != nil {
			t.Fatalf("%s is suggested, and far off too", meant)
		}
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// What currencies were worth lately is what was published.
func TestLately(t *testing.T) {
	published, err := os.Open("../testdata/rates/eurofxref-2025.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer published.Close()
	newest := func(r io.Reader) string {
		for day, err := range fx.Days(r) {
			if err != nil {
				t.Fatal(err)
			}
			quotes := slices.DeleteFunc(day.Quotes, func(q fx.Quote) bool { return q.Code == "TRY" })
			return fmt.Sprint(day.Date, quotes)
		}
		return ""
	}
	for want, got := range map[string]string{"1.180": fx.Lately(1, "GBP", "EUR"), "0.9585": fx.Lately(100, "JPY", "CAD"), "192.7": fx.Lately(1, "GBP", "JPY"), "": fx.Lately(1, "KWD", "EUR")} {
		if got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
	if got, want := newest(strings.NewReader(fx.LatelyTable)), newest(published); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}
