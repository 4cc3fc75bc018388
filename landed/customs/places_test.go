package customs_test

import (
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// TestPartsOfCountries: which border goods meet between places that are no whole country, or none
// of their own. Directive 2006/112/EC art. 6 and 7, Reg. (EU) 952/2013 art. 4, 19 CFR 101.1, and,
// for Northern Ireland, the page of the Revenue of Ireland on trade with it; Liechtenstein and
// Svalbard from memory.
func TestPartsOfCountries(t *testing.T) {
	book, on := customs.NewBook(), time.Date(2026, 5, 11, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		from, to, rules string // no rules of the place of entry: ""
		border          bool
	}{
		{"FR", "MC", "EU", false}, {"DE", "MC", "EU", false}, {"MC", "IT", "EU", false}, {"JP", "MC", "EU", true},
		{"GB", "IM", "GB", false}, {"JP", "IM", "GB", true}, {"IM", "DE", "EU", true},
		{"CH", "LI", "CH", false}, {"AT", "LI", "CH", true},
		{"US", "PR", "US", false}, {"US-NY", "US-PR", "US", false}, {"JP", "PR", "US", true}, {"US", "US-VI", "", true}, {"US", "GU", "", true},
		{"ES", "ES-CN", "", true}, {"ES-CN", "ES", "EU", true}, {"ES-MD", "ES-CT", "EU", false}, {"SE", "FI-01", "", true}, {"DE", "FR-974", "", true}, {"NO", "NO-21", "", true},
		{"GB-NIR", "IE", "EU", false}, {"DE", "GB-NIR", "GB", false}, {"GB", "GB-NIR", "GB", false}, {"JP", "GB-NIR", "GB", true}, {"GB", "IE", "EU", true},
	} {
		if got := book.HasBorder(c.from, c.to); got != c.border {
			t.Errorf("from %s to %s: a border %v", c.from, c.to, got)
		}
		rules, err := book.For(c.to, on)
		if (err == nil) != (c.rules != "") || err == nil && rules.Territory != c.rules {
			t.Errorf("rules of %s: %v, %v", c.to, rules, err)
		}
	}
}

// TestFromPart: what is sent from a part of a country is sent from that country, and made in it.
func TestFromPart(t *testing.T) {
	rules, err := customs.NewBook().For("CA-ON", time.Date(2026, 5, 11, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	due := func(from, made string) string {
		surcharge := map[string]decimal.Decimal{"US": decimal.RequireFromString("0.25")}
		a, err := customs.Assess(rules, &customs.Consignments{From: from, To: "CA-ON", Mode: customs.Courier,
			Classes: map[string]customs.Class{"tool": {Duty: &customs.Rate{Fraction: decimal.RequireFromString("0.065")}, Surcharges: surcharge}},
			Parcels: []customs.Parcel{{Lines: []customs.Line{{ID: "jack", Class: "tool", Origin: made, Count: 1, Value: typed.Amount("160 CAD"), Freight: typed.Amount("0 CAD"), Insurance: typed.Amount("0 CAD"), OtherFees: typed.Amount("0 CAD")}}}}})
		if err != nil {
			return err.Error()
		}
		return a.Parcels[0].Duty.String()
	}
	for _, c := range [][3]string{{"US", "", "50.40 CAD"}, {"US-NY", "", "50.40 CAD"}, {"JP-13", "US-NY", "50.40 CAD"}, {"JP-13", "", "10.40 CAD"}} { // 160 x (6.5 % + 25 %), and without
		if got := due(c[0], c[1]); got != c[2] {
			t.Errorf("from %s, made in %s: %s, want %s", c[0], c[1], got, c[2])
		}
	}
}

// TestIslands: an island of a country in the Union may have a rate of tax of its own. Rates of the
// Azores and Madeira as in rules/eu.yaml.
func TestIslands(t *testing.T) {
	for place, want := range map[string]string{"PT": "24.38 EUR", "PT-11": "24.38 EUR", "PT-20": "16.96 EUR", "PT-30": "23.32 EUR"} { // of 100 + 3 x 2
		rules, err := customs.NewBook().For(place, time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		line := func(class string) customs.Line {
			return customs.Line{ID: class, Class: class, Count: 1, Value: typed.Amount("50 EUR"), Freight: typed.Amount("0 EUR"), Insurance: typed.Amount("0 EUR"), OtherFees: typed.Amount("0 EUR")}
		}
		rate := &customs.Rate{Fraction: decimal.RequireFromString("0.027")}
		a, err := customs.Assess(rules, &customs.Consignments{From: "JP", To: place, Mode: customs.Post,
			Classes: map[string]customs.Class{"tool": {Code: "8205", Duty: rate}, "pen": {Code: "9017", Duty: rate}},
			Parcels: []customs.Parcel{{Lines: []customs.Line{line("tool"), line("pen")}}}})
		if err != nil {
			t.Fatal(err)
		}
		if got := a.Parcels[0].Tax.String(); got != want {
			t.Errorf("%s: %s, want %s", place, got, want)
		}
	}
}

// TestTaxBorders: what comes from a part of a customs union that has taxes of its own pays tax, and
// no duty. "No customs duties are charged on the Åland Islands tax border" (tax administration of
// Finland), and which territories are so (traffic manual of the Spanish tax agency, IV.5.4.1); the
// Channel Islands from memory. Ceuta, New Caledonia and Greenland are outside the union.
func TestTaxBorders(t *testing.T) {
	for _, c := range [][4]string{ // 200, and 20 for the way
		{"ES-CN", "DE", "0.00 EUR", "41.80 EUR"}, {"AX", "FI", "0.00 EUR", "56.10 EUR"}, {"FI-01", "FI", "0.00 EUR", "56.10 EUR"}, {"GP", "FR", "0.00 EUR", "44.00 EUR"}, {"FR-RE", "FR", "0.00 EUR", "44.00 EUR"},
		{"ES-CE", "DE", "22.00 EUR", "45.98 EUR"}, {"FR-NC", "DE", "22.00 EUR", "45.98 EUR"}, {"GL", "DE", "22.00 EUR", "45.98 EUR"}, {"JE", "GB", "0.00 GBP", "44.00 GBP"}, {"US", "GB", "22.00 GBP", "48.40 GBP"},
	} {
		for _, on := range []time.Time{time.Date(2025, 8, 5, 0, 0, 0, 0, time.UTC), time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)} {
			rules, err := customs.NewBook().For(c[1], on)
			if err != nil {
				t.Fatal(err)
			}
			in := func(sum string) money.Amount { return typed.Amount(sum + c[2][len(c[2])-4:]) }
			a, err := customs.Assess(rules, &customs.Consignments{From: c[0], To: c[1], Mode: customs.Post,
				Classes: map[string]customs.Class{"tool": {Duty: &customs.Rate{Fraction: decimal.RequireFromString("0.1")}}},
				Parcels: []customs.Parcel{{Lines: []customs.Line{{ID: "jack", Class: "tool", Count: 1, Value: in("200"), Freight: in("20"), Insurance: in("0"), OtherFees: in("0")}}}}})
			if err != nil {
				t.Fatal(err)
			}
			if got := a.Parcels[0]; got.Duty.String() != c[2] || got.Tax.String() != c[3] {
				t.Errorf("from %s to %s on %s: %s and %s, want %s and %s", c[0], c[1], on.Format(time.DateOnly), got.Duty, got.Tax, c[2], c[3])
			}
		}
	}
}
