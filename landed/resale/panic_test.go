package resale_test

import (
	"math"
	"math/big"
	"testing"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// TestNothingPanics hands all that is exported figures that nobody should write:
// an answer or an error must come back.
func TestNothingPanics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := func(what string) uint8 { return rapid.SampledFrom([]uint8{0, 1, 2, 3, 4, 200, 255}).Draw(t, what) }
		number := func(what string) int64 {
			return rapid.SampledFrom([]int64{0, 1, -1, 100, resale.Highest, resale.Highest + 1, math.MaxInt64, math.MinInt64}).Draw(t, what)
		}
		amount := func(what string) money.Amount {
			return money.New(number(what), rapid.SampledFrom([]money.Currency{0, cad, money.MustCurrency("JPY")}).Draw(t, "currency of "+what))
		}
		fraction := func(what string) decimal.Decimal {
			return decimal.NewFromBigInt(big.NewInt(number(what)), rapid.SampledFrom([]int32{0, -2, -7, math.MaxInt32, math.MinInt32}).Draw(t, "exponent of "+what))
		}
		postage := func() (p resale.Postage) {
			p.Fixed = amount("fixed postage")
			for range rapid.IntRange(0, 2).Draw(t, "steps") {
				p.Steps = append(p.Steps, money.Step[measure.Weight]{UpTo: measure.Weight(number("up to")), Price: amount("step")})
			}
			return p
		}
		v := &resale.Venue{Name: "gable", Currency: cad, SalesTax: fraction("sales tax"), TaxOnPostage: true, Sending: resale.Sending(word("sending")), Dispatch: resale.Dispatch{Charged: amount("charged there"), Packing: amount("packing there"), Postage: postage()}}
		for range rapid.IntRange(0, 2).Draw(t, "fees") {
			v.Fees = append(v.Fees, resale.Fee{Kind: resale.FeeKind(word("kind")), WithPostage: word("of") > 0, Whole: word("method") > 0, Fixed: amount("fixed"), Floor: amount("floor"), Cap: amount("cap"),
				Bands: []resale.Band{{UpTo: amount("tier"), Rate: fraction("rate")}, {From: amount("from"), Rate: fraction("rate")}}})
		}
		target := []resale.Target{resale.Target{}, resale.Target{Amount: amount("target")}, resale.Target{Margin: fraction("margin")}, resale.Target{Markup: fraction("mark-up")}}[rapid.IntRange(0, 3).Draw(t, "target")]
		s := &resale.Sale{Venue: v, Cost: amount("cost"), Pieces: number("pieces"), Dispatch: resale.Dispatch{Charged: amount("charged"), Packing: amount("packing"), Postage: postage()}, Weight: measure.Weight(number("weight")), Terms: resale.Terms{Advertised: true,
			Offered: number("listings"), VAT: resale.VAT{Scheme: resale.Scheme(word("scheme")), Rate: fraction("tax"), Bought: amount("bought"), Imported: word("imported") > 0, Collectible: word("goods") > 0}}, Target: target}
		if rapid.IntRange(0, 9).Draw(t, "no venue") == 0 {
			s.Venue = nil
		}
		ending, price := resale.Ending(word("ending")), amount("price")
		all(s, v, ending, price)
		all(nil, &resale.Venue{}, ending, price)
	})
}

// all calls what takes a sale, or none.
func all(s *resale.Sale, v *resale.Venue, ending resale.Ending, price money.Amount) {
	_ = v.Check()
	_ = s.AsSent()
	_, _ = s.At(price)
	_, _ = resale.Price(s, ending)
	c, _ := resale.Compile(s)
	if c != nil {
		_, _ = c.Least(s.Cost.Minor())
		_, _, _ = s.Target.String(), s.Target.IsZero(), s.VAT.Check()
	}
}
