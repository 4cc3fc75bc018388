package landed_test

import (
	"cmp"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var purchaseDay = time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)

// imported is a haul of one lot that enters Ontario by post.
func imported(price string, freight string) *landed.Haul {
	eq, err := fx.ParseEquation("100 JPY = 0.93 CAD")
	if err != nil {
		panic(err)
	}
	market, err := fx.NewMarket([]fx.Equation{eq}, nil, purchaseDay)
	if err != nil {
		panic(err)
	}
	duty := customs.Rate{Fraction: decimal.RequireFromString("0.065")}
	return &landed.Haul{
		Home: cad, Date: purchaseDay, From: "JP", To: "CA-ON", Market: market,
		Lots: []landed.Lot{{ID: "crate", Seller: "tidemark", Price: amount(price), Items: []landed.Item{
			item("jack", 2, "2 kg", "38 CAD"), item("square", 1, "300 g", "12 CAD")}}},
		Charges: []landed.Charge{{What: "Parcel", Kind: landed.Freight, Amount: amount(freight)}},
		Border: &landed.Border{Book: customs.NewBook(), Class: "tool",
			Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}},
	}
}

// TestBorder works a haul through by hand, from the prose of the rules of
// Canada: value for duty without freight; duty on it; HST of 13 % on both; the
// postal handling fee.
func TestBorder(t *testing.T) {
	st := split(t, imported("100 CAD", "30 CAD"))
	want := map[landed.Kind]string{
		landed.Price: "100.00", landed.Freight: "30.00",
		landed.Duty: "6.50",  // 6.5 % of 100.00
		landed.Tax:  "13.85", // 13 % of 106.50 = 13.845
		landed.Fee:  "9.95",
	}
	for kind, sum := range want {
		if got := st.Sum(kind).Number(); got != sum {
			t.Errorf("%v: %s, want %s", kind, got, sum)
		}
	}
	if got := st.Total.String(); got != "160.30 CAD" {
		t.Errorf("total %s", got)
	}
	if got := st.Estimate().String(); got != "30.30 CAD" {
		t.Errorf("estimate %s", got)
	}
}

// TestInland: what never comes over a border is asked nothing at one, whatever is said of it,
// unless a bill was paid or the caller has rules of their own.
func TestInland(t *testing.T) {
	text, err := os.ReadFile("customs/rules/ca.yaml")
	if err != nil {
		t.Fatal(err)
	}
	own, err := customs.Parse("own.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		spoil func(*landed.Haul)
		total string
		met   bool
	}{
		{"within the country", func(*landed.Haul) {}, "130.00 CAD", false},
		{"within a union", func(h *landed.Haul) { h.From, h.To = "FR", "DE" }, "130.00 CAD", false},
		{"a bill", func(h *landed.Haul) { h.Border.Bill.Tax = amount("9 CAD") }, "155.45 CAD", true},
		{"rules of one's own", func(h *landed.Haul) { h.Border.Book = customs.NewBook(own) }, "160.30 CAD", true},
	} {
		h := imported("100 CAD", "30 CAD")
		h.From = "CA-AB"
		c.spoil(h)
		if st := split(t, h); st.Total.String() != c.total || (st.Border != nil) != c.met || (h.AsMet() == h) != c.met {
			t.Errorf("%s: total %v, want %s; a border: %v", c.name, st.Total, c.total, st.Border != nil)
		}
	}
}

// TestThreshold: CAD 20 of goods by post (Canada Border Services Agency, low
// value shipments), a minor unit below, at and above, in home and in yen at
// customs' own rate.
func TestThreshold(t *testing.T) {
	for _, c := range []struct {
		price, rate string
		taxed       bool
	}{
		{"19.99 CAD", "", false}, {"20.00 CAD", "", false}, {"20.01 CAD", "", true},
		{"2150 JPY", "", false}, // 19.995, rounded once to 20.00
		{"2151 JPY", "", false}, // 20.0043
		{"2152 JPY", "", true},  // 20.0136
		{"2151 JPY", "100 JPY = 0.94 CAD", true},
		{"2127 JPY", "100 JPY = 0.94 CAD", false},
		{"2128 JPY", "100 JPY = 0.94 CAD", false}, // 20.0032
		{"2129 JPY", "100 JPY = 0.94 CAD", true},  // 20.0126
	} {
		h := imported(c.price, "30 CAD")
		if c.rate != "" {
			eq, err := fx.ParseEquation(c.rate)
			if err != nil {
				t.Fatal(err)
			}
			if h.Border.Market, err = fx.NewMarket([]fx.Equation{eq}, nil, purchaseDay); err != nil {
				t.Fatal(err)
			}
		}
		if got := split(t, h).Sum(landed.Tax).Sign() > 0; got != c.taxed {
			t.Errorf("%s at %q: taxed %v, want %v", c.price, c.rate, got, c.taxed)
		}
	}
}

// TestBill: what was really paid takes the place of the estimate, line by
// line, and the total is then the sum of what was paid.
func TestBill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		price := rapid.Int64Range(0, 100_000).Draw(t, "price")
		h := imported(money.New(price, cad).String(), "30 CAD")
		bill := [3]int64{rapid.Int64Range(0, 9999).Draw(t, "duty"), rapid.Int64Range(0, 9999).Draw(t, "tax"), rapid.Int64Range(0, 9999).Draw(t, "fee")}
		h.Border.Bill = landed.Bill{Duty: money.New(bill[0], cad), Tax: money.New(bill[1], cad), Fee: money.New(bill[2], cad)}
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		if want := price + 3000 + bill[0] + bill[1] + bill[2]; st.Total.Minor() != want {
			t.Fatalf("total %v, want %d", st.Total, want)
		}
		if st.Estimate().Sign() != 0 {
			t.Fatalf("%v is still an estimate", st.Estimate())
		}
		var items int64
		for i := range st.Items {
			items += st.Items[i].Cost.Minor()
		}
		if items != st.Total.Minor() {
			t.Fatalf("items bear %d of %v", items, st.Total)
		}
	})
}

// TestPartBill: a bill for the tax alone leaves the other estimates standing.
func TestPartBill(t *testing.T) {
	h := imported("100 CAD", "30 CAD")
	h.Border.Bill.Tax = amount("14.02 CAD")
	st := split(t, h)
	if got := []string{st.Sum(landed.Duty).Number(), st.Sum(landed.Tax).Number(), st.Sum(landed.Fee).Number()}; fmt.Sprint(got) != "[6.50 14.02 9.95]" {
		t.Errorf("got %v", got)
	}
}

// TestBorderSums: what the sheet says and what the statement charges agree for
// any haul, every item bearing what was assessed on it, and a dearer lot never
// has a lower value for customs.
func TestBorderSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		price := rapid.Int64Range(0, 200_000).Draw(t, "price")
		st, err := landed.Split(imported(money.New(price, cad).String(), "30 CAD"))
		if err != nil {
			t.Fatal(err)
		}
		p := &st.Border.Parcels[0]
		if st.Sum(landed.Duty) != p.Duty || st.Sum(landed.Tax) != p.Tax {
			t.Fatalf("statement %v and %v, sheet %v and %v", st.Sum(landed.Duty), st.Sum(landed.Tax), p.Duty, p.Tax)
		}
		for i := range st.Items {
			if st.Items[i].Share(landed.Duty) != p.Lines[i].Duty || st.Items[i].Share(landed.Tax) != p.Lines[i].Tax {
				t.Fatalf("item %d bears another duty or tax than was assessed on it", i)
			}
		}
		dearer, err := landed.Split(imported(money.New(price+rapid.Int64Range(1, 5000).Draw(t, "more"), cad).String(), "30 CAD"))
		if err != nil {
			t.Fatal(err)
		}
		if dearer.Border.Parcels[0].CustomsValue.Cmp(p.CustomsValue) < 0 {
			t.Fatal("a higher price lowered the value for customs")
		}
	})
}

// TestParcels: freight of a parcel goes to its lots; thresholds look at each.
func TestParcels(t *testing.T) {
	h := imported("100 CAD", "30 CAD")
	h.Lots = append(h.Lots, landed.Lot{ID: "pens", Seller: "northlight", Price: amount("15 CAD"), Items: []landed.Item{item("pen", 3, "40 g", "9 CAD")}})
	h.Charges = []landed.Charge{{What: "Label", Kind: landed.Fee, Amount: amount("1 CAD"), Per: landed.PerParcel}}
	h.Parcels = []landed.Parcel{
		{ID: "box", Lots: []string{"crate"}, Carriage: landed.Carriage{Freight: amount("20 CAD"), Insurance: amount("2 CAD")}},
		{ID: "envelope", Lots: []string{"pens"}, Carriage: landed.Carriage{Freight: amount("5 CAD")}},
	}
	st := split(t, h)
	var lines []string
	for i := range st.Lines {
		l := &st.Lines[i]
		lines = append(lines, fmt.Sprintf("%s %s %s %s", l.Kind, cmp.Or(l.Item, l.Lot, l.Parcel), l.What, l.Home.Number()))
	}
	want := []string{
		"price crate crate 100.00", "price pens pens 15.00",
		"freight box parcel box 20.00", "insurance box parcel box 2.00", "freight envelope parcel envelope 5.00",
		"fee box Label 1.00", "fee envelope Label 1.00",
		"duty box Import duty 6.50", "tax box Import tax 13.85", "fee box postal handling 9.95",
	}
	if got := strings.Join(lines, "\n"); got != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
	if got := st.Items[2].Cost.Number(); got != "21.00" { // 15 + 5 + 1
		t.Errorf("the pens cost %s", got)
	}
}

func TestBorderFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*landed.Haul)
		want  string
	}{
		{"no date", func(h *landed.Haul) { h.Date = time.Time{} },
			"customs: the day of purchase is missing, and it picks the rules: write it at the top"},
		{"no destination", func(h *landed.Haul) { h.To = "" },
			"customs: the country of entry is missing: write it at the top"},
		{"no dispatch", func(h *landed.Haul) { h.From = "" },
			"customs: the country of dispatch is missing: write it at the top"},
		{"lot misnamed", func(h *landed.Haul) { h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crat"}}} },
			"parcel box: no lot has the id \"crat\": did you mean crate?"},
		{"lot in no parcel", func(h *landed.Haul) {
			h.Lots = append(h.Lots, landed.Lot{ID: "pens", Price: amount("1 CAD"), Items: []landed.Item{item("pen", 1, "", "1 CAD")}})
			h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}}}
		}, "lot pens: the lot travels in no parcel: name it in one of the parcels, or in a further one"},
		{"lot twice", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate", "crate"}}}
		}, "parcel box: lot crate travels in parcel box already: name each lot in one parcel"},
		{"empty parcel", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}}, {ID: "bag"}}
		}, "parcel bag: the parcel holds no lots: list them"},
	} {
		h := imported("100 CAD", "30 CAD")
		c.spoil(h)
		if _, err := landed.Split(h); err == nil || err.Error() != c.want {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
	}
	h := imported("100 CAD", "30 CAD")
	h.Border.Classes, h.Border.Class = nil, ""
	if _, err := landed.Split(h); err == nil || !strings.Contains(err.Error(), "Customs Tariff of Canada") {
		t.Errorf("a class without a rate: %v", err)
	}
}
