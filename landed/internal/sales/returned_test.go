package sales_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/typed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"

	"pgregory.net/rapid"
)

// later is a return of so many pieces, a number of days after the haul.
func later(days int, count int64) landed.Return {
	return landed.Return{Date: day.AddDate(0, 0, days), Count: count}
}

func with(r landed.Return, change func(r *landed.Return)) landed.Return {
	change(&r)
	return r
}

// What goes back to the buyer, and what that takes from what the sale brought, by hand: fees back +
// tax back - price - postage charged - the way back = net.
func TestReturned(t *testing.T) {
	for _, c := range []struct {
		name string
		sale landed.Sale
		back []landed.Return
		want string
	}{
		{"all of it", landed.Sale{Price: amount("40 CAD"), Count: 1}, []landed.Return{later(9, 1)}, "0.00 + 0.00 - 40.00 - 7.00 - 0.00 = -47.00"},
		{"with fees back, and the way paid", landed.Sale{Price: amount("40 CAD"), Count: 1}, []landed.Return{with(later(9, 1), func(r *landed.Return) {
			r.FeesBack, r.Postage = amount("4.5 CAD"), amount("9.80 CAD")
		})}, "4.50 + 0.00 - 40.00 - 7.00 - 9.80 = -52.30"},
		{"the price alone", landed.Sale{Price: amount("40 CAD"), Count: 1}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("40 CAD") })}, "0.00 + 0.00 - 40.00 - 0.00 - 0.00 = -40.00"},
		{"more than the price", landed.Sale{Price: amount("40 CAD"), Count: 1}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("45.5 CAD") })}, "0.00 + 0.00 - 40.00 - 5.50 - 0.00 = -45.50"},
		{"less, and kept; then all the rest, though it is written first", landed.Sale{Price: amount("40 CAD"), Count: 1}, []landed.Return{later(20, 1), with(later(9, 0), func(r *landed.Return) { r.Refund = amount("6 CAD") })},
			"0.00 + 0.00 - 6.00 - 0.00 - 0.00 = -6.00; 0.00 + 0.00 - 34.00 - 7.00 - 0.00 = -41.00"},
		// 41.10 and 7.00 (5.11 USD, 7.0007) were paid
		{"abroad", landed.Sale{Price: amount("30 USD"), Count: 1, Venue: "quay"}, []landed.Return{later(9, 1)}, "0.00 + 0.00 - 41.10 - 7.00 - 0.00 = -48.10"},
		{"abroad, written out", landed.Sale{Price: amount("30 USD"), Count: 1, Venue: "quay"}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("35.11 USD") })}, "0.00 + 0.00 - 41.10 - 7.00 - 0.00 = -48.10"},
		{"abroad, as it stands in the account", landed.Sale{Price: amount("30 USD"), Count: 1, Venue: "quay"}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("48.10 CAD") })}, "0.00 + 0.00 - 41.10 - 7.00 - 0.00 = -48.10"},
		{"abroad, thirds of it", landed.Sale{Price: amount("30 USD"), Count: 3, Venue: "fair"}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("10 USD") }), with(later(10, 1), func(r *landed.Return) { r.Refund = amount("10 USD") }), later(11, 1)},
			"0.00 + 0.00 - 13.70 - 0.00 - 0.00 = -13.70; 0.00 + 0.00 - 13.70 - 0.00 - 0.00 = -13.70; 0.00 + 0.00 - 13.70 - 0.00 - 0.00 = -13.70"},
		// 30.08 USD are 41.2096, 41.21. 10.04 are 13.7548, and 20.04 are 27.4548, exactly what is
		// left; by itself that would be 27.45, and a cent would stay.
		{"abroad, exactly what is left", landed.Sale{Price: amount("30.08 USD"), Count: 2, Venue: "fair"}, []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("10.04 USD") }), with(later(10, 1), func(r *landed.Return) { r.Refund = amount("20.04 USD") })},
			"0.00 + 0.00 - 13.75 - 0.00 - 0.00 = -13.75; 0.00 + 0.00 - 27.46 - 0.00 - 0.00 = -27.46"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.sale.Returned = c.back
			if got, err := toldBack(venues(), c.sale, money.Amount{}); err != nil || got != c.want {
				t.Errorf("got  %s, %v\nwant %s", got, err, c.want)
			}
		})
	}
}

// TestReturnedPostage: postage that was typed at home counts as it was typed, not as it came to
// abroad. 7.02 CAD are 5.1241 USD, 5.12, which would be 7.0144 CAD: with 30 USD, 41.10, the buyer
// paid 48.12, not 48.1144. 35.12 USD are 48.1144, 48.11, so that a cent of the postage is left.
func TestReturnedPostage(t *testing.T) {
	plan := venues()
	plan.Charged = amount("7.02 CAD")
	sale := landed.Sale{Price: amount("30 USD"), Count: 1, Venue: "quay", Returned: []landed.Return{with(later(9, 0), func(r *landed.Return) { r.Refund = amount("35.12 USD") }), later(10, 1)}}
	want := "0.00 + 0.00 - 41.10 - 7.01 - 0.00 = -48.11; 0.00 + 0.00 - 0.00 - 0.01 - 0.00 = -0.01"
	if got, err := toldBack(plan, sale, money.Amount{}); err != nil || got != want {
		t.Errorf("got  %s, %v\nwant %s", got, err, want)
	}
}

// toldBack tells what came back of a sale of jacks that weigh 1.5 kg.
func toldBack(plan *selling.Plan, sale landed.Sale, cost money.Amount) (string, error) {
	it := item("jack", 3, 1500*measure.Gram)
	list, err := sales.New(bought(), plan).Returned(&it, &sale, cost)
	var reported []string
	text := func(minor int64) string { return money.New(minor, cad).Number() }
	for i := range list {
		b := &list[i]
		reported = append(reported, fmt.Sprintf("%s + %s - %s - %s - %s = %s", text(-b.Fees.Minor()), text(-b.VAT.Minor()), text(-b.Price.Minor()), text(-b.Charged.Minor()), b.Sending.Number(), b.Sum().Number()))
	}
	return strings.Join(reported, "; "), err
}

// The margin between 120.00 and twice 30.00 holds 20/120 of tax, 10.00. One of the two comes back
// for 56.50: of 63.50 and 30.00 it is 5.58, so that 4.42 fall away, and with the other the rest.
// Under the ordinary scheme 20.00 are due on 120.00, and on 63.50 10.58.
func TestReturnedTax(t *testing.T) {
	for scheme, want := range map[resale.Scheme]string{
		resale.MarginScheme:   "0.00 + 4.42 - 56.50 - 0.00 - 0.00 = -52.08; 0.00 + 5.58 - 56.50 - 7.00 - 0.00 = -57.92",
		resale.OrdinaryScheme: "0.00 + 9.42 - 56.50 - 0.00 - 0.00 = -47.08; 0.00 + 10.58 - 56.50 - 7.00 - 0.00 = -52.92",
	} {
		plan := venues()
		plan.VAT = resale.VAT{Scheme: scheme, Rate: typed.Number("0.2"), Collectible: true}
		sale := landed.Sale{Price: amount("113 CAD"), Count: 2, Returned: []landed.Return{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("56.50 CAD") }), later(90, 1)}}
		if got, err := toldBack(plan, sale, amount("30 CAD")); err != nil || got != want {
			t.Errorf("got  %s, %v\nwant %s", got, err, want)
		}
	}
}

// More cannot come back than was paid.
func TestReturnedTooMuch(t *testing.T) {
	for _, c := range []struct {
		back landed.Return
		want string
	}{
		{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("47.01 CAD") }), "item jack: returned: refund: 47.01 CAD went back to the buyer, who had paid 47.00 CAD: write no more than that"},
		{with(later(9, 1), func(r *landed.Return) { r.Refund = amount("34.32 USD") }), "item jack: returned: refund: 34.32 USD went back to the buyer, who had paid 47.00 CAD: write no more than that"},
		{with(later(9, 1), func(r *landed.Return) { r.FeesBack = amount("4.51 CAD") }), "item jack: returned: fees-back: 4.51 CAD of fees came back, and 4.50 CAD were paid: write no more than that"},
	} {
		sale := landed.Sale{Price: amount("40 CAD"), Count: 1, Returned: []landed.Return{c.back}}
		if _, err := toldBack(venues(), sale, money.Amount{}); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
		h := bought()
		it := item("jack", 1, 1500*measure.Gram)
		it.Sold = []landed.Sale{sale}
		h.Lots = []landed.Lot{{ID: "crate", Items: []landed.Item{it}}}
		if all := sales.New(h, venues()).CheckReturned(); all.Error() != c.want {
			t.Errorf("check: got %v\nwant %s", all, c.want)
		}
	}
}

// TestReturnedSums: however a sale comes back in parts, what is due of tax is that on what was
// kept, by fractions, and once all of it is back nothing of price, postage, fees and tax is left.
func TestReturnedSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := venues()
		plan.VAT = resale.VAT{Scheme: resale.Scheme(rapid.IntRange(0, 2).Draw(t, "scheme")), Rate: typed.Number("0.2"), Collectible: true}
		it := item("jack", 9, 100*measure.Gram)
		sale := landed.Sale{Price: money.New(rapid.Int64Range(0, 99999).Draw(t, "price"), cad), Count: rapid.Int64Range(1, 4).Draw(t, "count"), Venue: rapid.SampledFrom([]string{"gable", "wharf", "a place without a schedule"}).Draw(t, "venue")}
		cost := money.New(rapid.Int64Range(0, 20000).Draw(t, "bought"), cad)
		s := sales.New(bought(), plan)
		p, err := s.Proceeds(&it, &sale, cost)
		if err != nil {
			t.Fatal(err)
		}
		left, count := p.Price.Minor()+p.Charged.Minor(), sale.Count
		if tax := taxOf(plan.VAT.Scheme, left, cost.Minor()*count); big.NewRat(p.VAT.Minor(), 1).FloatString(0) != tax.FloatString(0) {
			t.Errorf("%+v: tax %s, want %s", sale, p.VAT, tax.FloatString(2))
		}
		taxes := []*big.Rat{}
		for i := 1; count > 0 && rapid.Bool().Draw(t, "part"); i++ {
			r := later(i, rapid.Int64Range(0, count).Draw(t, "came"))
			r.Refund = money.New(rapid.Int64Range(0, left).Draw(t, "refund"), cad)
			left, count = left-r.Refund.Minor(), count-r.Count
			sale.Returned, taxes = append(sale.Returned, r), append(taxes, taxOf(plan.VAT.Scheme, left, cost.Minor()*count))
		}
		sale.Returned = append(sale.Returned, with(later(50, count), func(r *landed.Return) { r.FeesBack = p.Fees }))
		list, err := s.Returned(&it, &sale, cost)
		if err != nil {
			t.Fatal(err)
		}
		due, all := p.VAT.Minor(), [4]int64{}
		for i, b := range list {
			if due += b.VAT.Minor(); i < len(taxes) && new(big.Rat).SetInt64(due).FloatString(0) != taxes[i].FloatString(0) {
				t.Errorf("after %d of %+v: tax %d, want %s", i, sale, due, taxes[i].FloatString(2))
			}
			for k, a := range []money.Amount{b.Price, b.Charged, b.Fees, b.VAT} {
				all[k] -= a.Minor()
			}
			if b.Sum().Minor() != b.Price.Minor()+b.Charged.Minor()-b.Fees.Minor()-b.VAT.Minor()-b.Sending.Minor() || b.Price.Sign() > 0 || b.Charged.Sign() > 0 {
				t.Errorf("%+v", b)
			}
		}
		if want := [4]int64{p.Price.Minor(), p.Charged.Minor(), p.Fees.Minor(), p.VAT.Minor()}; all != want {
			t.Errorf("came back %v, want %v", all, want)
		}
	})
}

// taxOf is a sixth of what was paid, or of what of that is above what the pieces were bought for.
func taxOf(scheme resale.Scheme, paid, bought int64) *big.Rat {
	switch scheme {
	case resale.OrdinaryScheme:
		return big.NewRat(paid, 6)
	case resale.MarginScheme:
		return big.NewRat(max(0, paid-bought), 6)
	}
	return new(big.Rat)
}

// TestLeft: of three sound and one for parts two are sold in one order; one comes back dead, the
// other for parts, of a later sale.
func TestLeft(t *testing.T) {
	it := item("jack", 5, 0)
	it.Found = &landed.Found{Sound: 3, Parts: 1, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 2}, {What: "tote", Count: 1}}}
	dead, parts := later(9, 1), later(12, 1)
	dead.As, parts.As = landed.Dead, landed.ForParts
	it.Sold = []landed.Sale{{Count: 1, Made: "iron", Returned: []landed.Return{later(3, 1)}}, {Count: 1, Made: "iron"}, {Count: 2, Returned: []landed.Return{dead, parts}}, {Count: 1, Date: day.AddDate(0, 0, 20)}}
	var got []string
	for _, g := range seller().Left(&it) {
		got = append(got, fmt.Sprintf("%d %s%s", g.Count, g.State, g.What))
	}
	if text := strings.Join(got, ", "); text != "2 parts, 1 yieldiron, 1 yieldtote" {
		t.Errorf("left %s", text)
	}
}
