package customs_test

import (
	"fmt"
	"slices"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// anyCase draws rules and consignments for them.
func anyCase(t *rapid.T) (*customs.Rules, *customs.Consignments) {
	sets := customs.Shipped()
	set := sets[rapid.IntRange(0, len(sets)-1).Draw(t, "territory")]
	r := &set.Entries()[rapid.IntRange(0, len(set.Entries())-1).Draw(t, "entry")]
	to := map[string]string{"CA": "CA-QC", "EU": "FR"}[set.Entries()[0].Territory]
	if to == "" {
		to = set.Entries()[0].Territory
	}
	c := &customs.Consignments{
		On: r.From, From: rapid.SampledFrom([]string{"JP", "US", "DE", "CN"}).Draw(t, "from"), To: to,
		Use: customs.Use(rapid.IntRange(0, 3).Draw(t, "use")), Mode: customs.Mode(rapid.IntRange(0, 2).Draw(t, "mode")), Flat: rapid.Bool().Draw(t, "flat"),
		Classes: map[string]customs.Class{},
	}
	if to == "BR" {
		c.Holds = rapid.SampledFrom([][]string{nil, {"certified"}, {"certified", "icms-20"}}).Draw(t, "holds")
	}
	names := []string{"plane", "set", "oil"}
	for _, name := range names {
		class := customs.Class{Code: rapid.SampledFrom([]string{"", "8205.30", "9017.20", "2710"}).Draw(t, "code"), Duty: &customs.Rate{
			Fraction: decimal.New(rapid.Int64Range(0, 400).Draw(t, "rate"), -3), PerPiece: decimal.New(rapid.Int64Range(0, 1).Draw(t, "per piece")*3, -1),
			PerKilogram: decimal.New(rapid.Int64Range(0, 1).Draw(t, "per kg")*7, -1),
		}, Surcharges: map[string]decimal.Decimal{}, Tax: rapid.SampledFrom([]string{"", "zero"}).Draw(t, "tax")}
		for _, origin := range []string{"JP", "US", "DE", "CN"} {
			class.Surcharges[origin] = decimal.New(rapid.Int64Range(0, 50).Draw(t, "surcharge"), -2)
		}
		c.Classes[name] = class
	}
	most := rapid.SampledFrom([]int64{1000, 20000, 1_000_000}).Draw(t, "most")
	for i := range rapid.IntRange(1, 3).Draw(t, "parcels") {
		p := customs.Parcel{ID: fmt.Sprint("box-", i), Seller: rapid.SampledFrom([]string{"east", "west"}).Draw(t, "seller"), TaxPaid: rapid.Bool().Draw(t, "paid")}
		for j := range rapid.IntRange(1, 6).Draw(t, "lines") {
			p.Lines = append(p.Lines, customs.Line{
				ID: fmt.Sprint("item-", j), Class: rapid.SampledFrom(names).Draw(t, "class"), Count: rapid.Int64Range(1, 9).Draw(t, "count"),
				Weight: measure.Weight(rapid.Int64Range(0, 5000).Draw(t, "grams")) * measure.Gram, Value: money.New(rapid.Int64Range(0, most).Draw(t, "value"), r.Currency),
				Freight: money.New(rapid.Int64Range(0, 5000).Draw(t, "freight"), r.Currency), Insurance: money.New(rapid.Int64Range(0, 500).Draw(t, "insurance"), r.Currency),
			})
		}
		c.Parcels = append(c.Parcels, p)
	}
	return r, c
}

// TestProperties: lines sum to their parcel, every step has a source, what is
// wholly relieved bears nothing, and the same input gives the same answer.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		a, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		checkRapid(t, r, c, a)
		again, err := customs.Assess(r, c)
		if err != nil || fmt.Sprint(a.Parcels, a.Steps()) != fmt.Sprint(again.Parcels, again.Steps()) {
			t.Fatalf("a second assessment differs: %v", err)
		}
	})
}

func checkRapid(t *rapid.T, r *customs.Rules, c *customs.Consignments, a *customs.Assessment) {
	for i, p := range a.Parcels {
		var value, dues, tax int64
		for _, l := range p.Lines {
			value, dues, tax = value+l.CustomsValue.Minor(), dues+l.Duty.Minor(), tax+l.Tax.Minor()
			if l.Duty.Sign() < 0 || l.Tax.Sign() < 0 || l.TaxBase.Sign() < 0 {
				t.Fatalf("below zero: %+v", l)
			}
		}
		if value != p.CustomsValue.Minor() || dues != p.Duty.Minor() || tax != p.Tax.Minor() {
			t.Fatalf("parcel %d: lines sum to %d, %d, %d: %+v", i, value, dues, tax, p)
		}
		for _, s := range p.Relief {
			if s.Relieved && s.What == "duty" && dues != 0 || s.Relieved && s.What == "tax" && tax != 0 {
				t.Fatalf("relieved and charged: %+v", p)
			}
		}
	}
}

// TestOthers: what is left open is told of just where the same parcels bear something else once it
// is said. The seller, of which nothing is said, is made to be of one kind or the other by hand.
func TestOthers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		was, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		try := func(cond string, change func(*customs.Consignments)) {
			said := *c
			said.Parcels = slices.Clone(c.Parcels)
			change(&said)
			is, err := customs.Assess(r, &said)
			if err != nil || !slices.EqualFunc(was.Parcels, is.Parcels, sameSums) {
				want = append(want, cond)
			}
		}
		sellers := func(say func(*customs.Parcel)) func(*customs.Consignments) {
			return func(c *customs.Consignments) {
				for i := range c.Parcels {
					if !c.Parcels[i].TaxPaid {
						say(&c.Parcels[i])
					}
				}
			}
		}
		if c.Use == customs.Personal || c.Use == customs.Resale {
			try("the seller is a private person and charges no tax at the sale", sellers(func(p *customs.Parcel) { p.Private = true }))
			try("the seller charges the tax at the sale, where you then pay it", sellers(func(p *customs.Parcel) { p.TaxPaid = true }))
		}
		for _, q := range r.Open() {
			if !slices.Contains(c.Holds, q[0]) {
				try(q[1], func(c *customs.Consignments) { c.Holds = append(slices.Clone(c.Holds), q[0]) })
			}
		}
		var reported []string
		for _, o := range was.Others() {
			reported = append(reported, o.If)
		}
		if !slices.Equal(reported, want) {
			t.Fatalf("told %q, want %q", reported, want)
		}
	})
}

func sameSums(p, q customs.ParcelAssessment) bool {
	return p.Duty == q.Duty && p.Tax == q.Tax && p.FeeSum() == q.FeeSum()
}

// TestHigherPrice: a higher price never lowers the value for customs, of any
// line.
func TestHigherPrice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		low, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		i := rapid.IntRange(0, len(c.Parcels)-1).Draw(t, "parcel")
		j := rapid.IntRange(0, len(c.Parcels[i].Lines)-1).Draw(t, "line")
		l := &c.Parcels[i].Lines[j]
		l.Value = money.New(l.Value.Minor()+rapid.Int64Range(1, 100_000).Draw(t, "more"), r.Currency)
		high, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		for x := range low.Parcels {
			for y := range low.Parcels[x].Lines {
				before, after := low.Parcels[x].Lines[y].CustomsValue, high.Parcels[x].Lines[y].CustomsValue
				if after.Cmp(before) < 0 {
					t.Fatalf("parcel %d, line %d: %s became %s", x, y, before, after)
				}
			}
		}
	})
}

// TestOrder: the order of the lines changes neither the value, the duty nor the
// fees of a parcel. Of two lines that are alike in all but their place each may
// carry an odd cent, and so may the tax where the cent falls under another rate.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		for name, k := range c.Classes { // else an odd cent of duty may fall under another rate
			k.Tax = ""
			c.Classes[name] = k
		}
		if c.Use == customs.Gift { // whole pieces of a gift may be of another class
			c.Use = customs.Personal
		}
		before, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		for i := range c.Parcels {
			slices.Reverse(c.Parcels[i].Lines)
		}
		after, err := customs.Assess(r, c)
		if err != nil {
			t.Fatal(err)
		}
		for i := range before.Parcels {
			p, q := before.Parcels[i], after.Parcels[i]
			few := int64(len(p.Lines))
			if gap := p.Tax.Minor() - q.Tax.Minor(); p.CustomsValue != q.CustomsValue || p.Duty != q.Duty || p.FeeSum() != q.FeeSum() || gap > few || gap < -few {
				t.Fatalf("%+v\nbecame %+v", p, q)
			}
		}
	})
}

// TestScale: twice the parcel, where no threshold, step or least sum comes
// between, bears twice the charges give or take the rounding of each figure.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := customs.NewBook().For("AU", day("2026-06-01"))
		if err != nil {
			t.Fatal(err)
		}
		price := rapid.Int64Range(100_001, 5_000_000).Draw(t, "price")
		one, err := customs.Assess(r, plane(r, price))
		if err != nil {
			t.Fatal(err)
		}
		two, err := customs.Assess(r, plane(r, 2*price))
		if err != nil {
			t.Fatal(err)
		}
		for _, gap := range []int64{
			two.Parcels[0].Duty.Minor() - 2*one.Parcels[0].Duty.Minor(), two.Parcels[0].Tax.Minor() - 2*one.Parcels[0].Tax.Minor(),
		} {
			if gap < -1 || gap > 1 {
				t.Fatalf("twice %d: off by %d", price, gap)
			}
		}
	})
}

func plane(r *customs.Rules, price int64) *customs.Consignments {
	return &customs.Consignments{From: "JP", To: r.Territory, Classes: map[string]customs.Class{"plane": {Duty: &customs.Rate{Fraction: decimal.New(5, -2)}}},
		Parcels: []customs.Parcel{{ID: "box", Lines: []customs.Line{{ID: "jack", Class: "plane", Count: 1, Value: money.New(price, r.Currency)}}}}}
}
