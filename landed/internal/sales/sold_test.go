package sales_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/typed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"

	"pgregory.net/rapid"
)

var (
	cad, usd = money.MustCurrency("CAD"), money.MustCurrency("USD")
	day      = time.Date(2026, time.October, 3, 0, 0, 0, 0, time.UTC)
)

func amount(s string) money.Amount { return typed.Amount(s) }

func commission(rate string, fixed money.Amount) []resale.Fee {
	return []resale.Fee{{What: "commission", Bands: []resale.Band{{Rate: typed.Number(rate)}}, Fixed: fixed}}
}

func bought() *landed.Haul {
	return &landed.Haul{Home: cad, Date: day, Market: typed.Market(day, "1 USD = 1.37 CAD")}
}

// venues are one at home, 10% and 0.50, postage by weight, and one abroad, which
// takes 5%.
func venues() *selling.Plan {
	return &selling.Plan{Dispatch: resale.Dispatch{Charged: amount("7 CAD"), Packing: amount("0.5 CAD")},
		Venues: []resale.Venue{
			{Name: "gable", Currency: cad, Fees: commission("0.1", amount("0.50 CAD")), Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: 2 * measure.Kilogram, Price: amount("9 CAD")}, {UpTo: 5 * measure.Kilogram, Price: amount("14 CAD")}}}}},
			{Name: "quay", Currency: usd, Fees: commission("0.05", money.Amount{}), Dispatch: resale.Dispatch{Postage: resale.Postage{Fixed: amount("4 USD")}}},
			{Name: "wharf", Currency: cad, Dispatch: resale.Dispatch{Charged: amount("6 CAD"), Packing: amount("0.8 CAD"), Postage: resale.Postage{Fixed: amount("5 CAD")}}},
		}}
}

func seller() *sales.Seller { return sales.New(bought(), venues()) }

func item(id string, count int64, weight measure.Weight) landed.Item {
	return landed.Item{ID: id, Count: count, Weight: weight, Weighed: weight > 0}
}

// Price + charged - fees - tax - postage with packing = net, by hand.
func TestProceeds(t *testing.T) {
	for _, c := range []struct {
		name string
		sale landed.Sale
		want string
	}{
		{"one piece", landed.Sale{Price: amount("40 CAD"), Count: 1}, "40.00 + 7.00 - 4.50 - 0.00 - 9.50 = 33.00"},
		{"two in one box, which weighs 3 kg", landed.Sale{Price: amount("75 CAD"), Count: 2}, "75.00 + 7.00 - 8.00 - 0.00 - 14.50 = 59.50"},
		{"what was really paid", landed.Sale{Price: amount("40 CAD"), Count: 1, Fees: amount("3.21 CAD"), Postage: amount("12 CAD")}, "40.00 + 7.00 - 3.21 - 0.00 - 12.00 = 31.79"},
		{"where packing has a price of its own", landed.Sale{Price: amount("40 CAD"), Count: 1, Venue: "wharf"}, "40.00 + 6.00 - 0.00 - 0.00 - 5.80 = 40.20"},
		{"really paid there", landed.Sale{Price: amount("40 CAD"), Count: 1, Venue: "wharf", Postage: amount("12 CAD")}, "40.00 + 6.00 - 0.00 - 0.00 - 12.00 = 34.00"},
		{"nothing was paid", landed.Sale{Price: amount("40 CAD"), Count: 1, Fees: amount("0 CAD"), Postage: amount("0 CAD")}, "40.00 + 7.00 - 0.00 - 0.00 - 0.00 = 47.00"},
		{"a place without a schedule", landed.Sale{Price: amount("40 CAD"), Count: 1, Venue: "fair"}, "40.00 + 0.00 - 0.00 - 0.00 - 0.00 = 40.00"},
		{"and with a table to pay", landed.Sale{Price: amount("40 CAD"), Count: 2, Venue: "fair", Fees: amount("5 CAD")}, "40.00 + 0.00 - 5.00 - 0.00 - 0.00 = 35.00"},
		// 30.00 - 1.50 - 4.00 = 24.50 USD and 7.00 - 0.50 of home would be 40.065, but the book adds up
		// what it shows
		{"abroad", landed.Sale{Price: amount("30 USD"), Count: 1, Venue: "quay"}, "41.10 + 7.00 - 2.06 - 0.00 - 5.98 = 40.06"},
		// 98.03 CAD are 71.55 USD, which alone would be 98.02 CAD; 5% of them 3.58 USD or 4.9046, and
		// 4.00 USD 5.48
		{"abroad, at a price of home", landed.Sale{Price: amount("98.03 CAD"), Count: 1, Venue: "quay"}, "98.03 + 7.00 - 4.90 - 0.00 - 5.98 = 94.15"},
		{"abroad, paid at home", landed.Sale{Price: amount("40 CAD"), Count: 1, Venue: "quay", Fees: amount("1 CAD"), Postage: amount("0 CAD")}, "40.00 + 7.00 - 1.00 - 0.00 - 0.00 = 46.00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			it := item("jack", 3, 1500*measure.Gram)
			p, err := seller().Proceeds(&it, &c.sale, money.Amount{})
			got := fmt.Sprintf("%s + %s - %s - %s - %s = %s", p.Price.Number(), p.Charged.Number(), p.Fees.Number(), p.VAT.Number(), p.Sending.Number(), p.Net.Number())
			if err != nil || got != c.want {
				t.Errorf("got  %s, %v\nwant %s", got, err, c.want)
			}
		})
	}
}

// TestAbroad: what is typed in the currency of the books is not rounded in that of a venue abroad;
// of the venue's own figures each is rounded there once, as on its bill. Net is their sum, as the
// book has it.
func TestAbroad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cents := func(label string) int64 { return rapid.Int64Range(0, 9999).Draw(t, label) }
		in := func(label string) money.Currency { return rapid.SampledFrom([]money.Currency{cad, usd}).Draw(t, label) }
		plan := venues()
		plan.Venues = plan.Venues[1:2]
		v := &plan.Venues[0]
		v.Postage = resale.Postage{}
		plan.Charged, plan.Packing, plan.Postage.Fixed = money.New(cents("charged"), in("in")), money.New(cents("packing"), in("in")), money.New(cents("postage"), in("in"))
		if rapid.Bool().Draw(t, "by weight") {
			plan.Postage.Steps = []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(cents("small"), cad)}, {UpTo: 5 * measure.Kilogram, Price: money.New(cents("large"), cad)}}
		}
		sold := &landed.Sale{Price: money.New(cents("price"), in("in")), Count: 1, Venue: "quay"}
		if rapid.Bool().Draw(t, "postage known") {
			sold.Postage = money.New(cents("paid"), in("in"))
		}
		it := item("jack", 1, rapid.SampledFrom([]measure.Weight{measure.Kilogram, 3 * measure.Kilogram}).Draw(t, "weight"))
		got, err := sales.New(bought(), plan).Proceeds(&it, sold, money.Amount{})
		if err != nil {
			t.Fatal(err)
		}
		home := func(a money.Amount) *big.Rat {
			r := big.NewRat(a.Minor(), 1)
			if a.Currency() == usd {
				r.Mul(r, big.NewRat(137, 100))
			}
			return r
		}
		half := func(r *big.Rat) int64 { // away from zero
			twice := new(big.Rat).Abs(r)
			twice.Mul(twice, big.NewRat(2, 1)).Add(twice, big.NewRat(1, 1))
			return int64(r.Sign()) * new(big.Int).Quo(twice.Num(), new(big.Int).Mul(twice.Denom(), big.NewInt(2))).Int64()
		}
		priced := sold.Price.Minor() // in USD
		if sold.Price.Currency() == cad {
			priced = half(big.NewRat(priced*100, 137))
		}
		fee := home(money.New(half(big.NewRat(priced*5, 100)), usd))
		sending := home(sold.Postage)
		if sold.Postage.Currency() == 0 {
			sending = new(big.Rat).Add(home(plan.Packing), home(plan.Postage.Fixed))
			if steps := plan.Postage.Steps; len(steps) > 0 && it.Weight <= measure.Kilogram {
				sending.Add(sending, home(steps[0].Price))
			} else if len(steps) > 0 {
				sending.Add(sending, home(steps[1].Price))
			}
		}
		for _, c := range []struct {
			got  money.Amount
			want *big.Rat
		}{{got.Price, home(sold.Price)}, {got.Charged, home(plan.Charged)}, {got.Fees, fee}, {got.Sending, sending}} {
			if c.got != money.New(half(c.want), cad) {
				t.Fatalf("got %+v, want %s of %s", got, c.got, c.want.FloatString(4))
			}
		}
		if net := half(home(sold.Price)) + half(home(plan.Charged)) - half(fee) - half(sending); got.Net.Minor() != net {
			t.Fatalf("got %+v, whose parts leave %d", got, net)
		}
	})
}

// The margin between 120.00 and twice 30.00 holds 20/120 of tax.
func TestProceedsMarginScheme(t *testing.T) {
	plan, it := venues(), item("print", 2, measure.Kilogram)
	plan.VAT = resale.VAT{Scheme: resale.MarginScheme, Rate: typed.Number("0.2"), Collectible: true}
	p, err := sales.New(bought(), plan).Proceeds(&it, &landed.Sale{Price: amount("113 CAD"), Count: 2}, amount("30 CAD"))
	if err != nil || p.VAT != amount("10 CAD") || p.Net != amount("88.70 CAD") { // 113 + 7 - 11.80 - 10 - 9.50
		t.Errorf("got %+v, %v", p, err)
	}
}

// sold is what the jacks of a crate brought that cost 60.00 with 10.00 of freight, or what it says.
func sold(t *testing.T, plan *selling.Plan, price string, jack landed.Item) ([]selling.Sold, []landed.Pieces) {
	t.Helper()
	h := bought()
	h.Share[landed.Price], h.Share[landed.Freight] = landed.ByCount, landed.ByCount
	h.Lots = []landed.Lot{{ID: "crate", Price: amount(price), Items: []landed.Item{jack}}}
	h.Charges = []landed.Charge{{What: "parcel", Kind: landed.Freight, Amount: amount("10 CAD")}}
	st, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	list, left, err := sales.New(h, plan).Sold(st.Items[0].Item, &st.Items[0])
	if err != nil {
		t.Fatal(err)
	}
	return list, left
}

// TestSoldMargin: two are sold for 113.00 and 7.00 of postage. A sixth is due of what that is
// above their price: of 60.00 for two; of 70.00 where they were imported, with the freight; of
// 40.00 where there was one more than was bought. Nobody can say what a part was bought for.
func TestSoldMargin(t *testing.T) {
	jacks := landed.Sale{Price: amount("113 CAD"), Count: 2}
	for _, c := range []struct {
		name     string
		imported bool
		found    *landed.Found
		sale     landed.Sale
		want     string
	}{
		{"bought at home", false, nil, jacks, "10.00"},
		{"imported", true, nil, jacks, "8.33"},
		{"one more", false, &landed.Found{Sound: 3, Extra: 1}, jacks, "13.33"},
		{"a part", false, &landed.Found{Sound: 1, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 1, Value: amount("9 CAD")}}}, landed.Sale{Made: "iron", Price: amount("12 CAD"), Count: 1, Venue: "fair"}, "2.00"},
	} {
		plan, jack := venues(), item("jack", 2, measure.Kilogram)
		plan.VAT = resale.VAT{Scheme: resale.MarginScheme, Rate: typed.Number("0.2"), Imported: c.imported, Collectible: true}
		jack.Found, jack.Sold = c.found, []landed.Sale{c.sale}
		if list, _ := sold(t, plan, "60 CAD", jack); list[0].VAT.Number() != c.want {
			t.Errorf("%s: tax %s, want %s", c.name, list[0].VAT, c.want)
		}
	}
}

// TestSoldApart: of two for 10.01 and 10.00 of freight, 10.01 and 10.00 each, the cheaper comes
// back first and then the other.
func TestSoldApart(t *testing.T) {
	jack := item("jack", 2, measure.Kilogram)
	jack.Sold = []landed.Sale{{Price: amount("40 CAD"), Count: 2, Returned: []landed.Return{with(later(20, 1), func(r *landed.Return) { r.Refund = amount("20 CAD") }), with(later(9, 1), func(r *landed.Return) { r.Refund = amount("10 CAD") })}}}
	list, left := sold(t, venues(), "10.01 CAD", jack)
	back := list[0].Returned
	if got := fmt.Sprint(list[0].Cost, back[0].Price, back[0].Cost, back[1].Price, back[1].Cost, single(left)); got != "20.01 CAD -10.00 CAD -10.00 CAD -20.00 CAD -10.01 CAD [0 +1005  0 +1006 ]" {
		t.Error(got)
	}
}

func TestProceedsErrors(t *testing.T) {
	s, it := seller(), item("jack", 1, 0)
	const want = "item jack: sold: the item has no weight, but postage at gable goes by weight: write what one piece weighs, or the postage paid"
	var fault *source.Fault
	if _, err := s.Proceeds(&it, &landed.Sale{Price: amount("40 CAD"), Count: 1}, money.Amount{}); !errors.As(err, &fault) || err.Error() != want || fault.Figure != "weight-sold" {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	it.Found = &landed.Found{Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 1}}}
	const ofIron = "item iron of jack: sold: the item has no weight, but postage at gable goes by weight: write what one piece weighs, or the postage paid"
	if _, err := s.Proceeds(&it, &landed.Sale{Price: amount("40 CAD"), Count: 1, Made: "iron"}, money.Amount{}); err == nil || err.Error() != ofIron {
		t.Errorf("got  %v\nwant %s", err, ofIron)
	}
	byWeight := venues() // wherever it is sold
	byWeight.Postage, byWeight.Venues[0].Postage = byWeight.Venues[0].Postage, resale.Postage{}
	for _, s := range []*sales.Seller{s, sales.New(bought(), byWeight)} {
		if p, err := s.Proceeds(&it, &landed.Sale{Price: amount("40 CAD"), Count: 1, Postage: amount("3 CAD")}, money.Amount{}); err != nil || p.Net != amount("39.50 CAD") { // 40 + 7 - 4.50 - 3
			t.Errorf("got %+v, %v", p, err)
		}
	}
	if _, err := s.Proceeds(&it, &landed.Sale{Price: amount("900 JPY"), Count: 1, Venue: "fair"}, money.Amount{}); err == nil {
		t.Error("there is no rate of JPY")
	}
}

// TestTake: piece by piece, the least first, and no piece lost, of pieces as they were
// bought or of a kind that was made from dead ones.
func TestTake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pieces []landed.Pieces
		for range rapid.IntRange(0, 4).Draw(t, "groups") {
			p := landed.Pieces{State: landed.State(rapid.IntRange(0, int(landed.Dead)).Draw(t, "state")), Count: rapid.Int64Range(1, 3).Draw(t, "count"),
				Each: money.New(rapid.Int64Range(-2, 3).Draw(t, "each"), cad)}
			if p.State == landed.Made {
				p.What = rapid.SampledFrom([]string{"iron", "tote"}).Draw(t, "what")
			}
			pieces = append(pieces, p)
		}
		sale := landed.Sale{Count: rapid.Int64Range(-1, 12).Draw(t, "n"), Made: rapid.SampledFrom([]string{"", "iron"}).Draw(t, "made")}
		taken, left := sales.TakeSold(pieces, &sale)
		var want, rest []string
		for _, p := range single(pieces) {
			fits := p < "2" // sound or for parts
			if sale.Made != "" {
				fits = strings.HasSuffix(p, sale.Made)
			}
			if fits && len(want) < int(sale.Count) {
				want = append(want, p)
			} else {
				rest = append(rest, p)
			}
		}
		if !slices.Equal(single(taken), want) || !slices.Equal(single(left), rest) {
			t.Errorf("%+v of %v: taken %v, left %v", sale, pieces, taken, left)
		}
	})
}

// single lists pieces one by one, by state and then by cost.
func single(groups []landed.Pieces) []string {
	var list []string
	for _, g := range groups {
		for range g.Count {
			list = append(list, fmt.Sprintf("%d %+03d %s", g.State, g.Each.Minor()+5, g.What))
		}
	}
	slices.Sort(list)
	return list
}

func ExampleSeller_Proceeds() {
	jack := landed.Item{ID: "jack", Count: 1, Weight: 1900 * measure.Gram, Weighed: true}
	p, err := sales.New(bought(), venues()).Proceeds(&jack, &landed.Sale{Price: amount("46 CAD"), Count: 1}, money.Amount{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("fees", p.Fees, "postage", p.Sending, "left", p.Net)
	// Output: fees 5.10 CAD postage 9.50 CAD left 38.40 CAD
}

// TestArbitrary: nothing panics, whatever a plan and what was sold hold.
func TestArbitrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(what string) int64 {
			return rapid.SampledFrom([]int64{0, 1, 3, -1, 900, math.MaxInt64, math.MinInt64}).Draw(t, what)
		}
		money := func(what string) money.Amount {
			return money.New(number(what), rapid.SampledFrom([]money.Currency{0, cad, usd, 250}).Draw(t, "currency"))
		}
		name := func() string {
			return rapid.SampledFrom([]string{"", "gable", "gabel", "fair", "x"}).Draw(t, "venue")
		}
		h := bought()
		it := item("jack", number("count"), measure.Weight(number("weight")))
		for range rapid.IntRange(0, 2).Draw(t, "sales") {
			it.Sold = append(it.Sold, landed.Sale{Price: money("price"), Count: number("sold"), Venue: name(), Postage: money("postage"), Fees: money("fees")})
		}
		h.Lots = []landed.Lot{{ID: "crate", Items: []landed.Item{it}}}
		p := venues()
		p.Usual, p.Charged, p.Packing, p.Offered = name(), money("charged"), money("packing"), number("listings")
		if rapid.Bool().Draw(t, "none") {
			p.Venues = nil
		}
		p.Postage.Steps = upTo(measure.Weight(number("up to")), money("cost"))
		sales.Imported(h)
		s := sales.New(h, p)
		for k := range it.Sold {
			for range rapid.IntRange(0, 2).Draw(t, "returned") {
				it.Sold[k].Returned = append(it.Sold[k].Returned, landed.Return{Count: number("came back"), Refund: money("refund"), FeesBack: money("fees back"), Postage: money("way back"), As: landed.State(rapid.IntRange(0, 4).Draw(t, "as"))})
			}
			_, _ = s.Proceeds(&it, &it.Sold[k], money("bought"))
			_, _ = s.Returned(&it, &it.Sold[k], money("bought"))
		}
		s.Left(&it)
		v := &resale.Venue{Name: "gable", Currency: money("venue").Currency()}
		if sale, err := s.Sale(&it, v, number("pieces")); err == nil {
			_ = sales.CheckWeight(&it, sale)
		} else if err.Error() == "" {
			t.Error("nothing is said")
		}
	})
}

// upTo is a table of one step.
func upTo(w measure.Weight, price money.Amount) []money.Step[measure.Weight] {
	return []money.Step[measure.Weight]{{UpTo: w, Price: price}}
}
