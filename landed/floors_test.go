package landed_test

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/floor"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestFloorsOfLots: whatever travels together, a parcel costs no less than without the border and
// what the floors say of its lots and their shares of the freight, by weight here.
func TestFloorsOfLots(t *testing.T) {
	places := []string{"TW", "NO", "KR", "DE", "CH", "GB", "JP", "CA-ON", "US", "BR"}
	rapid.Check(t, func(t *rapid.T) {
		h := &landed.Haul{Home: cad, From: "JP", To: rapid.SampledFrom(places).Draw(t, "to"), Date: day}
		if h.To == "JP" {
			h.From = "CA"
		}
		h.Market = market("100 JPY = 0.93 CAD", "100 TWD = 4.4 CAD", "1 NOK = 0.14 CAD", "1 USD = 1.37 CAD", "1 EUR = 1.6 CAD", "1 CHF = 1.7 CAD", "1 GBP = 1.9 CAD")
		rates, weights := []string{"0", "0.025", "0.065", "0.12"}, make([]int64, 6)
		h.Border = &landed.Border{Book: customs.NewBook(), Classes: map[string]customs.Class{}}
		for i, rate := range rates {
			h.Border.Classes[rate] = customs.Class{Code: fmt.Sprint(8201+i, ".10"), Duty: &customs.Rate{Fraction: number(rate)}}
		}
		dearest := rapid.SampledFrom([]int64{30_000, 100_000}).Draw(t, "dearest")
		for i := range weights {
			weights[i] = rapid.Int64Range(1, 4000).Draw(t, "weight")
			piece := item(fmt.Sprint("piece-", i), 1, fmt.Sprint(weights[i], " g"), "40 CAD")
			piece.Class = rapid.SampledFrom(rates).Draw(t, "class")
			h.Lots = append(h.Lots, landed.Lot{ID: fmt.Sprint("lot-", i), Price: money.New(rapid.Int64Range(100, dearest).Draw(t, "price"), jpy), Items: []landed.Item{piece}})
		}
		if rapid.Bool().Draw(t, "charged") {
			h.Charges = []landed.Charge{{What: "Crating", Kind: landed.Freight, Amount: money.New(rapid.SampledFrom([]int64{200, 40_000, 350_000}).Draw(t, "crating"), jpy), Per: landed.PerParcel},
				{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.03"), Per: landed.PerParcel}}
		}
		with, err := landed.NewParcelPricer(h)
		if err != nil {
			t.Fatal(err)
		}
		plain := *h
		plain.Border = nil
		without, err := landed.NewParcelPricer(&plain)
		if err != nil {
			t.Fatal(err)
		}
		floors, measure, bearing, err := with.Floors([]money.Currency{jpy}, rapid.SampledFrom([]int64{18_600, math.MaxInt64}).Draw(t, "most")) // of 20,000 yen
		if err != nil || len(floors) == 0 || bearing == nil {
			t.Fatal(floors, bearing, err)
		}
		for set := 1; set < 1<<len(weights); set++ {
			freight := money.New(rapid.Int64Range(0, 20_000).Draw(t, "freight"), jpy)
			var lots []int
			for lot := range weights {
				if set>>lot&1 == 1 {
					lots = append(lots, lot)
				}
			}
			all, err := with.Parcel(lots, freight, money.Amount{}, money.Amount{})
			bare, other := without.Parcel(lots, freight, money.Amount{}, money.Amount{})
			if err != nil || other != nil {
				t.Fatal(err, other)
			}
			paid := new(big.Rat).SetFrac64(freight.Minor()*93, 100) // cents, the rate being 0.93 CAD for 100 JPY
			if least := floorOf(floors, measure, weights, lots, paid); least.Cmp(big.NewRat(all.Minor()-bare.Minor(), 1)) > 0 {
				t.Fatalf("%s: lots %v with freight of %v: the border asks %d, below the floor of %s", h.To, lots, freight, all.Minor()-bare.Minor(), least.FloatString(3))
			}
		}
	})
}

// floorOf is what floors say of some lots that weigh so much, with so much freight in home.
func floorOf(floors []floor.Floor, measure, weights []int64, lots []int, freight *big.Rat) *big.Rat {
	worth, heavy := new(big.Rat), int64(0)
	for _, lot := range lots {
		worth.Add(worth, big.NewRat(measure[lot], 1))
		heavy += weights[lot]
	}
	asked := func(l *floor.Levy) *big.Rat {
		sum := new(big.Rat).Set(l.Fixed)
		for _, lot := range lots {
			sum.Add(sum, l.Each[lot])
			falls := new(big.Rat).Mul(freight, big.NewRat(weights[lot], heavy))
			sum.Add(sum, falls.Mul(falls, l.Share[lot]))
		}
		for _, h := range l.Heads {
			if slices.ContainsFunc(lots, func(lot int) bool { return h.Of[lot] }) {
				sum.Add(sum, h.Sum)
			}
		}
		return sum
	}
	at := 0
	for ; at < len(floors)-1; at++ {
		f := &floors[at]
		if new(big.Rat).Add(worth, new(big.Rat).Mul(f.Counted, freight)).Cmp(big.NewRat(f.UpTo, 1)) <= 0 && (f.Owing == nil || asked(f.Owing).Sign() <= 0) {
			break
		}
	}
	return asked(&floors[at].Levy)
}

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
//
// What is surely within a limit of 1000 counts freight as far as most of it may be seen, 1/1.70 of
// a cent of CAD, and leaves room for what is charged besides, and for a penny and a cent of each of
// freight, fees and insurance: 3 x (1 + 500/867) = 4.73, and 3 x (1 + 1/1.70) = 4.76, which are
// less than 5. Where that is more than the limit, nothing is within it: not even 0.
func TestFloorInHome(t *testing.T) {
	gbp := money.MustCurrency("GBP")
	h := &landed.Haul{Home: cad, From: "JP", To: "GB", Date: day, Spread: number("0.02"), Lots: []landed.Lot{{ID: "crate", Price: amount("4200 JPY"), Items: []landed.Item{item("jack", 1, "1 kg", "40 CAD")}}}}
	h.Market = market("1 GBP = 1.70 CAD", "1 USD = 1.36 CAD", "100 JPY = 0.85 CAD")
	h.Border = &landed.Border{Book: customs.NewBook(), Classes: map[string]customs.Class{"": {Code: "8201", Duty: &customs.Rate{}}}}
	in := floor.Floor{UpTo: 1000, Counted: big.NewRat(1, 1), Levy: floor.Levy{Fixed: big.NewRat(500, 1), Share: []*big.Rat{big.NewRat(1, 10)}, OnFees: big.NewRat(1, 20), Each: []*big.Rat{big.NewRat(30, 1)},
		Heads: []floor.Head{{Of: []bool{true}, Sum: big.NewRat(200, 1)}}}}
	for name, freight := range map[string][]money.Currency{"yen": {jpy}, "dollars beside others": {gbp, usd, cad}} {
		t.Run(name, func(t *testing.T) {
			out, err := landed.HomeFloor(h, freight, in, 40) // which is seen only where it must surely be within
			if err != nil {
				t.Fatal(err)
			}
			for what, pair := range map[string][2]*big.Rat{
				"up to":   {big.NewRat(out.UpTo, 1), big.NewRat(1002, 1)},
				"counted": {out.Counted, big.NewRat(500, 867)},
				"fixed":   {out.Fixed, big.NewRat(8555899, 10000)},
				"share":   {out.Share[0], big.NewRat(1, 10)}, // 0.1734 x 500/867
				"head":    {out.Heads[0].Sum, big.NewRat(3468, 10)},
				"on fees": {out.OnFees, big.NewRat(1, 20)},
				"each":    {out.Each[0], big.NewRat(5202, 100)},
			} {
				if pair[0].Cmp(pair[1]) != 0 {
					t.Errorf("%s: %s, want %s", what, pair[0].FloatString(6), pair[1].FloatString(6))
				}
			}
			most := map[string]*big.Rat{"yen": big.NewRat(500, 867), "dollars beside others": big.NewRat(100, 170)}[name]
			for _, c := range []struct{ within, charged, upTo int64 }{{1000, 0, 995}, {1000, 40, 955}, {1000, 995, 0}, {1000, 996, -1}, {1000, 5000, -1}, {0, math.MaxInt64, -1}} {
				sure := in
				sure.Surely, sure.UpTo = true, c.within
				out, err := landed.HomeFloor(h, freight, sure, c.charged)
				if err != nil || !out.Surely || out.UpTo != c.upTo || out.Counted.Cmp(most) != 0 || out.Fixed.Cmp(big.NewRat(8555899, 10000)) != 0 {
					t.Errorf("surely within %d, charged %d: up to %d, want %d; counted %s, want %s; %v", c.within, c.charged, out.UpTo, c.upTo, out.Counted, most, err)
				}
			}
		})
	}
}

// TestCharged: charges for each parcel ask no less of one than is said of any, and of each lot in
// it.
func TestCharged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := travelling(t)
		h.Border = nil
		h.Charges = append(h.Charges, landed.Charge{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.015"), Per: landed.PerParcel},
			landed.Charge{What: "Crating", Kind: landed.Freight, Amount: amount("41 CAD"), Per: landed.PerParcel},
			landed.Charge{What: "Ticket", Kind: landed.Fee, Amount: amount("170 JPY"), Per: landed.PerParcel, On: []string{"lot-0"}})
		pricer, err := landed.NewParcelPricer(h)
		if err != nil {
			t.Fatal(err)
		}
		parcel, each, err := pricer.Charged()
		if err != nil {
			t.Fatal(err)
		}
		var lots []int
		for lot := range h.Lots {
			if rapid.Bool().Draw(t, "in") || lot == len(h.Lots)-1 && lots == nil {
				lots = append(lots, lot)
				parcel.Add(parcel, each[lot])
			}
		}
		sum, err := pricer.Parcel(lots, money.Amount{}, money.Amount{}, money.Amount{})
		if err != nil {
			t.Fatal(err)
		}
		asked := big.NewRat(sum.Minor(), 1)
		close := lots[0] == 0 || new(big.Rat).Sub(asked, parcel).Cmp(big.NewRat(2, 1)) < 0 // but for what is asked of one lot
		if parcel.Cmp(asked) > 0 || !close {
			t.Fatalf("charges ask %v, and %s at least", sum, parcel.FloatString(2))
		}
	})
}
