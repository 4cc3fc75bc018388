package landed_test

import (
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// TestAskedPremium: a premium is told as a library of decimals multiplies it, with the decimals of
// its currency or as many as it takes.
func TestAskedPremium(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cur, err := money.ParseCurrency(rapid.SampledFrom([]string{"JPY", "CAD", "KWD"}).Draw(t, "currency"))
		if err != nil {
			t.Fatal(err)
		}
		price := money.New(rapid.OneOf(rapid.Int64Range(0, 99_999), rapid.Int64Range(0, 1e13)).Draw(t, "price"), cur)
		premium := decimal.New(rapid.Int64Range(1, 9999).Draw(t, "premium"), -int32(rapid.IntRange(4, 7).Draw(t, "places")))
		st, err := landed.Split(&landed.Haul{Home: cur, Lots: []landed.Lot{{ID: "a", Price: price, Premium: premium, Items: []landed.Item{{ID: "i", Count: 1, Value: money.New(1, cur)}}}}})
		if err != nil {
			t.Fatal(err)
		}
		digits, asked := int32(cur.Digits()), price.Decimal().Mul(premium)
		want := asked.String()
		if asked.Equal(asked.Truncate(digits)) {
			want = asked.StringFixed(digits)
		}
		if got := st.Lines[1].Asked(); got != want+" "+cur.Code() {
			t.Fatalf("%s of %s is asked as %s, want %s", premium, price, got, want)
		}
	})
}
