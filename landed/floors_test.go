package landed_test

import (
	"math/big"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/floor"
	"lotcost/landed/money"
)

// TestFloorInHome: a floor in pounds, 1.70 CAD each and with 2 % for the card 1.734, by hand.
//
// A yen of freight costs 0.0085 x 1.02 CAD, 0.867 cents, and customs sees 0.5 pence of it, by way
// of home; a dollar cent costs 1.36 x 1.02 = 1.3872 and counts for 0.8; one of CAD costs 1 and
// counts for 1/1.70. The least that is seen of a cent is 500/867 in each of the former.
//
// What is seen of the freight was rounded to a penny, what it cost to a cent: of a floor that
// counts all of it up to 1000, 1 + 500/867 = 1367/867 may be gone, so that it reaches to 1002;
// and of its share of 1/10 and that of 1/20 of other fees, 0.1734 and 0.0867 cents a penny, 0.4101.
// Duty, tax and as many as 20 fees are rounded to a cent each, by half a one: 11 more. Of 500
// pence, 867 cents, 855.5899 stay.
func TestFloorInHome(t *testing.T) {
	gbp := money.MustCurrency("GBP")
	h := &landed.Haul{Home: cad, From: "JP", To: "GB", Date: day, Spread: number("0.02"), Lots: []landed.Lot{{ID: "crate", Price: amount("4200 JPY"), Items: []landed.Item{item("jack", 1, "1 kg", "40 CAD")}}}}
	h.Market = market("1 GBP = 1.70 CAD", "1 USD = 1.36 CAD", "100 JPY = 0.85 CAD")
	h.Border = &landed.Border{Book: customs.NewBook(), Classes: map[string]customs.Class{"": {Code: "8201", Duty: &customs.Rate{}}}}
	in := floor.Floor{UpTo: 1000, Counted: big.NewRat(1, 1), Fixed: big.NewRat(500, 1), Share: big.NewRat(1, 10), OnFees: big.NewRat(1, 20), Due: big.NewRat(200, 1), Sure: []bool{true}, Each: []*big.Rat{big.NewRat(30, 1)}}
	for name, freight := range map[string][]money.Currency{"yen": {jpy}, "dollars beside others": {gbp, usd, cad}} {
		t.Run(name, func(t *testing.T) {
			out, err := landed.HomeFloor(h, freight, in)
			if err != nil {
				t.Fatal(err)
			}
			for what, pair := range map[string][2]*big.Rat{
				"up to":   {big.NewRat(out.UpTo, 1), big.NewRat(1002, 1)},
				"counted": {out.Counted, big.NewRat(500, 867)},
				"fixed":   {out.Fixed, big.NewRat(8555899, 10000)},
				"share":   {out.Share, big.NewRat(1, 10)}, // 0.1734 x 500/867
				"due":     {out.Due, big.NewRat(3468, 10)},
				"on fees": {out.OnFees, big.NewRat(1, 20)},
				"each":    {out.Each[0], big.NewRat(5202, 100)},
			} {
				if pair[0].Cmp(pair[1]) != 0 {
					t.Errorf("%s: %s, want %s", what, pair[0].FloatString(6), pair[1].FloatString(6))
				}
			}
		})
	}
}
