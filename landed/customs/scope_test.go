package customs_test

import (
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// TestScope reads from the prose of the rules what they look at: Canada's value
// for duty leaves the freight out (Memorandum D13-3-5) and its threshold is by
// the parcel; New Zealand counts the goods of a day; Japan the value for
// customs, freight included, of one seller's parcels of a day; Britain's VAT is
// on freight too.
func TestScope(t *testing.T) {
	day := time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		to                                string
		together, hangs, sellers, freight bool
	}{
		{"CA-ON", false, false, false, false},
		{"GB", false, false, false, true},
		{"NZ", true, false, false, true},
		{"JP", true, true, true, true},
	} {
		r, err := customs.NewBook().For(c.to, day)
		if err != nil {
			t.Fatal(err)
		}
		hangs, sellers := !divisible(t, r, c.to, "east", "east"), !divisible(t, r, c.to, "east", "west")
		if r.CountsTogether() != c.together || hangs != c.hangs || sellers != c.sellers || r.CountsFreight() != c.freight {
			t.Errorf("%s: counts together %t, depends on the division %t (of several sellers %t), counts freight %t; want %+v",
				c.to, r.CountsTogether(), hangs, sellers, r.CountsFreight(), c)
		}
	}
}

// divisible asks of little goods for resale, a parcel of each seller, so that no threshold is
// passed by the goods alone.
func divisible(t *testing.T, r *customs.Rules, to string, sellers ...string) bool {
	c := &customs.Consignments{From: "US", To: to, Use: customs.Resale}
	for _, seller := range sellers {
		c.Parcels = append(c.Parcels, customs.Parcel{Seller: seller, Lines: []customs.Line{{ID: "plane", Count: 1, Value: money.New(3000, r.Currency)}}})
	}
	m, err := customs.NewMeter(r, c)
	if err != nil {
		t.Fatal(err)
	}
	return m.Divisible()
}

// TestScopeOfFees: fees of the carriage change with it as freight does, also
// where they alone are in the value.
func TestScopeOfFees(t *testing.T) {
	const text = `customs: 1
territory: BR
name: Nowhere
currency: BRL
tariff: none
sources: {here: "this test"}
entries:
  - from: 2026-01-01
    about: fees alone
    published: nowhere
    checked: 2026-01-01
    value: [{holds: [goods, fees], source: here, confidence: memory}]
    duty: {ways: [{by: nothing, source: here, confidence: memory}]}
`
	set, err := customs.Parse("br.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if !set.Entries()[0].CountsFreight() {
		t.Error("fees are in the value, and the carriage is said not to count")
	}
}

// Of the figures of members, those of the place alone are reported, under its name.
func TestIn(t *testing.T) {
	eu, err := customs.NewBook().For("DE", time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	var standard []string
	for _, f := range eu.In("DE").Figures() {
		if strings.HasPrefix(f.What, "VAT, standard") {
			standard = append(standard, f.What+" "+f.Text)
		}
	}
	if len(standard) != 1 || standard[0] != "VAT, standard, DE 19%" {
		t.Errorf("got %q", standard)
	}
	if all, here := len(eu.Figures()), len(eu.In("DE").Figures()); here >= all || len(eu.In("EU").Figures()) != all {
		t.Errorf("%d of %d figures", here, all)
	}
}

// TestCollectedTogether: duty and tax that are too little together are not collected, also where
// one of them is relieved (rules/README.md, collect). Below 60 of goods there is no tax: 40 at 10%
// are 4.00 of duty, below the 5.00 of the rule; 50 are 5.00, which is not below it. 60.00 bear
// 6.00 of duty and 10% of 66.00.
func TestCollectedTogether(t *testing.T) {
	text := strings.NewReplacer("of: duty, upto: 10 EUR", "of: tax, below: 60 EUR",
		"of: duty, least: 1 EUR", "of: [duty, tax], least: 5 EUR", "rate: 20%", "rate: 10%").Replace(plainRules)
	set, err := customs.Parse("xa.yaml", []byte(text))
	rules := must(t, set, err).Entries()[0]
	c := &customs.Consignments{From: "JP", To: "XA", Classes: map[string]customs.Class{"tool": {Duty: &customs.Rate{Fraction: decimal.New(10, -2)}}},
		Parcels: []customs.Parcel{{Lines: []customs.Line{{ID: "plane", Count: 1, Class: "tool"}}}}}
	for _, k := range []struct {
		goods, duty, tax int64
		fees             int
	}{{4000, 0, 0, 0}, {5000, 500, 0, 1}, {6000, 600, 660, 1}} {
		c.Parcels[0].Lines[0].Value = money.New(k.goods, rules.Currency)
		a, err := customs.Assess(&rules, c)
		p := must(t, a, err).Parcels[0]
		if p.Duty.Minor() != k.duty || p.Tax.Minor() != k.tax || len(p.Fees) != k.fees {
			t.Errorf("%d of goods: duty %v, tax %v, %d fees; want %+v", k.goods, p.Duty, p.Tax, len(p.Fees), k)
		}
	}
}

// TestSellersOfOneParcel: of a limit for all parcels of one seller a parcel with goods of two looks
// at the parcels of both, and they at it; one of a third looks at neither. By hand, from Taiwan's
// limit of TWD 2000 (see its rules).
func TestSellersOfOneParcel(t *testing.T) {
	r, err := customs.NewBook().For("TW", time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	free := customs.Rate{}
	c := &customs.Consignments{From: "JP", To: "TW", Mode: customs.Post, Classes: map[string]customs.Class{"plane": {Duty: &free}}}
	for _, p := range []customs.Parcel{{Seller: "east"}, {Sellers: []string{"west", "east"}}, {Seller: "west"}, {Seller: "north"}} {
		p.Lines = []customs.Line{{ID: "plane", Class: "plane", Count: 1, Value: money.New(100_000, r.Currency)}}
		c.Parcels = append(c.Parcels, p)
	}
	for _, want := range []struct {
		value int64
		free  []bool
	}{{66_666, []bool{true, true, true, true}}, {66_667, []bool{true, false, true, true}}, {100_000, []bool{true, false, true, true}}, {100_001, []bool{false, false, false, true}}} {
		for i := range c.Parcels {
			c.Parcels[i].Lines[0].Value = money.New(want.value, r.Currency)
		}
		a, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		for i, free := range want.free {
			if got := a.Parcels[i].Relief[0].Relieved; got != free {
				t.Errorf("parcel %d of %d each: relieved %t", i, want.value, got)
			}
		}
	}
}
