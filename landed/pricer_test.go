package landed_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// travelling is a haul of several lots of two sellers, with charges of every
// kind, that enters some territory.
func travelling(t *rapid.T) *landed.Haul {
	h := imported("100 CAD", "30 CAD")
	h.To = rapid.SampledFrom([]string{"CA-ON", "CA-AB", "US", "GB", "AU", "NZ", "DE", "CH", "NO"}).Draw(t, "to")
	h.Border.Market = market("1 CAD = 0.73 USD", "1 CAD = 0.54 GBP", "1 CAD = 1.11 AUD", "1 CAD = 1.2 NZD", "1 CAD = 0.62 EUR", "1 CAD = 0.58 CHF", "1 CAD = 7.3 NOK")
	h.Market = market("100 JPY = 0.93 CAD", "1 USD = 1.37 CAD", "1 GBP = 1.85 CAD", "1 AUD = 0.9 CAD", "1 NZD = 0.83 CAD", "1 EUR = 1.62 CAD", "1 CHF = 1.73 CAD", "1 NOK = 0.137 CAD")
	h.Lots = nil
	for i := range rapid.IntRange(1, 5).Draw(t, "lots") {
		h.Lots = append(h.Lots, landed.Lot{ID: fmt.Sprint("lot-", i), Seller: rapid.SampledFrom([]string{"tidemark", "northlight"}).Draw(t, "seller"),
			Price: money.New(rapid.Int64Range(0, 90_000).Draw(t, "price"), jpy),
			Items: []landed.Item{item(fmt.Sprint("a", i), 2, "700 g", "38 CAD"), item(fmt.Sprint("b", i), 1, "1.3 kg", "12 CAD")}})
	}
	h.Charges = []landed.Charge{
		{What: "Transfer", Kind: landed.Fee, Amount: amount("4 CAD")},
		{What: "Packing", Kind: landed.Fee, Amount: amount("300 JPY"), Per: landed.PerLot, Dutiable: landed.AsGoods},
		{What: "Inland", Kind: landed.Freight, Amount: amount("800 JPY")},
	}
	if rapid.Bool().Draw(t, "labelled") { // without it parcels are priced by sums alone
		h.Charges = append(h.Charges, landed.Charge{What: "Label", Kind: landed.Fee, Amount: amount("130 JPY"), Per: landed.PerParcel, Dutiable: landed.Dutiable(2 * rapid.IntRange(0, 1).Draw(t, "label"))})
	}
	return h
}

// TestParcelPricerIsSplit: what the parcels of any division cost, and what is
// apart from them, sum to what Split says of that division.
func TestParcelPricerIsSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := travelling(t)
		pricer, err := landed.NewParcelPricer(h)
		if err != nil {
			t.Fatal(err)
		}
		parcels := map[int]*landed.Parcel{}
		lots := map[int][]int{}
		for i := range h.Lots {
			n := rapid.IntRange(0, 2).Draw(t, "parcel")
			if parcels[n] == nil {
				parcels[n] = &landed.Parcel{ID: fmt.Sprint("p", n), Carriage: landed.Carriage{Freight: money.New(rapid.Int64Range(0, 9000).Draw(t, "freight"), jpy)}}
				if rapid.Bool().Draw(t, "insured") {
					parcels[n].Insurance = money.New(rapid.Int64Range(0, 900).Draw(t, "insurance"), cad)
					parcels[n].Fees = money.New(rapid.Int64Range(0, 900).Draw(t, "fees"), jpy)
				}
			}
			parcels[n].Lots = append(parcels[n].Lots, h.Lots[i].ID)
			lots[n] = append(lots[n], i)
		}
		if !pricer.Additive() {
			t.Fatalf("%s: the rules depend on the division", h.To)
		}
		want := pricer.FixedCost().Minor()
		for n := range 3 {
			if p := parcels[n]; p != nil {
				h.Parcels = append(h.Parcels, *p)
				cost, err := pricer.Parcel(lots[n], p.Carriage.Freight, p.Carriage.Insurance, p.Carriage.Fees)
				if err != nil {
					t.Fatal(err)
				}
				want += cost.Minor()
			}
		}
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		if st.Total.Minor() != want {
			t.Fatalf("Split says %v, the parcels sum to %d", st.Total, want)
		}
	})
}

// TestParcelPricerHangs: Japan counts the value for customs of all parcels of one seller; where
// that holds freight, which parcels there are decides whether they are relieved, unless the goods
// alone are above the threshold.
func TestParcelPricerHangs(t *testing.T) {
	for _, c := range []struct {
		use         customs.Use
		price       string
		wantsToHang bool
	}{{customs.Resale, "50 CAD", true}, {customs.Resale, "100 CAD", false}, {customs.Personal, "50 CAD", false}} {
		h := imported(c.price, "30 CAD")
		h.From, h.To, h.Border.Market, h.Border.Use = "CA", "JP", market("1 CAD = 107 JPY"), c.use
		pricer, err := landed.NewParcelPricer(h)
		if err != nil {
			t.Fatal(err)
		}
		if pricer.Additive() == c.wantsToHang {
			t.Errorf("%s for use %d: the parcels' costs are said to add up: %t", c.price, c.use, pricer.Additive())
		}
	}
}

func BenchmarkParcelPricer(b *testing.B) {
	h := imported("100 CAD", "30 CAD")
	for i := range 11 {
		h.Lots = append(h.Lots, landed.Lot{ID: fmt.Sprint("lot-", i), Seller: "tidemark", Price: amount("4200 JPY"),
			Items: []landed.Item{item(fmt.Sprint("a", i), 2, "700 g", "38 CAD"), item(fmt.Sprint("b", i), 1, "1.3 kg", "12 CAD")}})
	}
	pricer, err := landed.NewParcelPricer(h)
	if err != nil {
		b.Fatal(err)
	}
	parcels, n := [][]int{{0, 3, 4, 7}, {1, 3, 4, 8}}, 0 // the answer to the same again is kept
	for b.Loop() {
		if n++; n == len(parcels) {
			n = 0
		}
		if _, err := pricer.Parcel(parcels[n], amount("7400 JPY"), money.Amount{}, money.Amount{}); err != nil {
			b.Fatal(err)
		}
	}
}

// TestParcelPricerAt: given other prices, a pricer answers as one made of the haul at them.
func TestParcelPricerAt(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		h := travelling(t)
		if rapid.Bool().Draw(t, "percent") {
			h.Charges = append(h.Charges, landed.Charge{What: "Commission", Kind: landed.Fee, OfPrice: true, Percent: number("0.03"), Dutiable: landed.AsGoods})
		}
		var some []int
		for i := range h.Lots {
			if rapid.Bool().Draw(t, "changes") {
				some = append(some, i)
			}
		}
		moving, err := landed.NewParcelPricer(h)
		if err != nil {
			t.Fatal(err)
		}
		for range 3 {
			at := *h
			at.Lots = slices.Clone(h.Lots)
			var prices []money.Amount
			for _, i := range some {
				prices = append(prices, money.New(rapid.Int64Range(0, 90_000).Draw(t, "bid"), jpy))
				at.Lots[i].Price = prices[len(prices)-1]
			}
			ok, err := moving.At(some, prices)
			if err != nil {
				t.Fatal(err)
			}
			if !ok {
				return
			}
			answered++
			fresh, err := landed.NewParcelPricer(&at)
			if err != nil {
				t.Fatal(err)
			}
			var lots []int
			for i := range h.Lots {
				if rapid.Bool().Draw(t, "sent") || i == len(h.Lots)-1 && lots == nil {
					lots = append(lots, i)
				}
			}
			freight := money.New(rapid.Int64Range(0, 9000).Draw(t, "freight"), jpy)
			got, err := moving.Parcel(lots, freight, money.Amount{}, money.Amount{})
			want, err2 := fresh.Parcel(lots, freight, money.Amount{}, money.Amount{})
			if err != nil || err2 != nil || got != want || moving.FixedCost() != fresh.FixedCost() {
				t.Fatalf("to %s lots %v cost %v and %v (%v), by a new pricer %v and %v (%v)", h.To, lots, got, moving.FixedCost(), err, want, fresh.FixedCost(), err2)
			}
		}
	})
	if answered < effort.Cases(20, 1, 0) {
		t.Errorf("only %d prices were answered", answered)
	}
}

// TestRefusedAgain: a price that cannot be shared is refused as often as it is asked for, in the
// same words.
func TestRefusedAgain(t *testing.T) {
	h := &landed.Haul{Home: cad, Date: day, Lots: []landed.Lot{{ID: "a", Open: true, Items: []landed.Item{item("plane", 1, "", "")}}}}
	r, err := landed.NewRepricer(h, []int{0})
	if err != nil {
		t.Fatal(err)
	}
	price := []money.Amount{amount("50 CAD")}
	_, first := r.Total(price)
	if first == nil || !strings.Contains(first.Error(), "has no value") {
		t.Fatalf("not refused for its value: %v", first)
	}
	if _, again := r.Total(price); again == nil || again.Error() != first.Error() {
		t.Errorf("asked again: %v, first %v", again, first)
	}
}
