package customs_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// sample is one plane on its way to Ontario, with nothing wrong.
func sample() *customs.Consignments {
	cad := money.MustCurrency("CAD")
	return &customs.Consignments{
		On: day("2026-10-03"), From: "JP", To: "CA-ON",
		Classes: map[string]customs.Class{"hand-tool": {Code: "8205.59", Duty: &customs.Rate{Fraction: decimal.New(65, -3)}}},
		Parcels: []customs.Parcel{{ID: "box-1", Lines: []customs.Line{{ID: "jack", Class: "hand-tool", Count: 2, Weight: measure.Kilogram, Value: money.New(11500, cad)}}}},
	}
}

func canadian(t testing.TB) *customs.Rules {
	r, err := customs.NewBook().For("CA-ON", day("2026-10-03"))
	return must(t, r, err)
}

// TestNothing: rules that no book holds are an error, not a panic.
func TestNothing(t *testing.T) {
	for _, k := range []struct {
		r *customs.Rules
		c *customs.Consignments
	}{{&customs.Rules{}, sample()}, {nil, sample()}, {canadian(t), nil}, {nil, nil}} {
		if a, err := customs.Assess(k.r, k.c); a != nil || !errors.As(err, new(*customs.InputError)) {
			t.Errorf("%v, %v: got %v, %v", k.r, k.c, a, err)
		}
	}
	c := sample()
	c.Parcels[0].TaxPaid, c.Parcels[0].Private = true, true
	const want = `parcel "box-1": the seller is "private, and the tax paid": say whether the seller charges the tax at the sale, or does not`
	if _, err := customs.Assess(canadian(t), c); err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

// TestStrange gives figures that no file can hold: there is an assessment whose
// lines sum, or an error, and never a panic.
func TestStrange(t *testing.T) {
	numbers := []decimal.Decimal{{}, decimal.New(-1, -2), decimal.New(1, 2_000_000_000), decimal.New(-1, 2_000_000_000), decimal.New(1, -2_000_000_000), decimal.New(math.MaxInt64, 0), decimal.New(5, -2)}
	sums := []int64{0, 1, -1, 100, math.MaxInt64, math.MinInt64, 1 << 59}
	rapid.Check(t, func(t *rapid.T) {
		sets := customs.Shipped()
		strange := rapid.Custom(func(t *rapid.T) bool { return rapid.IntRange(0, 29).Draw(t, "strange") == 0 })
		set := rapid.SampledFrom(sets).Draw(t, "set")
		entry := rapid.SampledFrom(set.Entries()).Draw(t, "entry")
		cur := rapid.SampledFrom([]money.Currency{entry.Currency, entry.Currency, entry.Currency, 0, money.MustCurrency("JPY"), money.Currency(251)}).Draw(t, "currency")
		if rapid.Bool().Draw(t, "changed") {
			entry.Currency = cur
		}
		number := rapid.Custom(func(t *rapid.T) decimal.Decimal {
			if strange.Draw(t, "number") {
				return rapid.SampledFrom(numbers).Draw(t, "of")
			}
			return decimal.New(rapid.Int64Range(0, 300).Draw(t, "permille"), -3)
		})
		minor := rapid.Custom(func(t *rapid.T) int64 {
			if strange.Draw(t, "sum") {
				return rapid.SampledFrom(sums).Draw(t, "of")
			}
			return rapid.Int64Range(1, 200_000).Draw(t, "minor")
		})
		amount := func(what string) money.Amount { return money.New(minor.Draw(t, what), cur) }
		class := customs.Class{Code: rapid.SampledFrom([]string{"", "8205.59", "x"}).Draw(t, "code"), Tax: rapid.SampledFrom([]string{"", "", "zero", "antique", "?"}).Draw(t, "tax"),
			Duty:       &customs.Rate{Fraction: number.Draw(t, "fraction"), PerKilogram: number.Draw(t, "per kg"), PerPiece: number.Draw(t, "per piece")},
			Surcharges: map[string]decimal.Decimal{"JP": number.Draw(t, "surcharge")}}
		c := &customs.Consignments{
			On: rapid.SampledFrom([]time.Time{{}, entry.From}).Draw(t, "on"), From: rapid.SampledFrom([]string{"", "JP", "CN"}).Draw(t, "from"), To: rapid.SampledFrom([]string{"", set.Entries()[0].Territory, set.Entries()[0].Territory, "CA-ON", "DE"}).Draw(t, "to"),
			Use: customs.Use(rapid.Uint8Range(0, 9).Draw(t, "use")), Mode: customs.Mode(rapid.Uint8Range(0, 12).Draw(t, "mode")), Flat: rapid.Bool().Draw(t, "flat"),
			Classes: rapid.SampledFrom([]map[string]customs.Class{{"tool": class}, {"tool": class}, nil}).Draw(t, "classes"),
		}
		for range rapid.IntRange(0, 2).Draw(t, "parcels") {
			p := customs.Parcel{TaxPaid: rapid.Bool().Draw(t, "paid"), Private: rapid.Bool().Draw(t, "private")}
			if rapid.Bool().Draw(t, "given") {
				p.Fees = []customs.Fee{{Amount: amount("fee")}}
			}
			for range rapid.IntRange(0, 2).Draw(t, "lines") {
				p.Lines = append(p.Lines, customs.Line{Class: rapid.SampledFrom([]string{"tool", "tool", "", "?"}).Draw(t, "class"), Count: minor.Draw(t, "count"), Weight: measure.Weight(minor.Draw(t, "weight")),
					Value: amount("value"), Freight: amount("freight"), Insurance: amount("insurance"), OtherFees: amount("fees")})
			}
			c.Parcels = append(c.Parcels, p)
		}
		a, err := customs.Assess(&entry, c)
		switch {
		case err != nil && err.Error() == "":
			t.Fatal("an error without words")
		case err == nil:
			checkRapid(t, &entry, c, a)
			_, _, _ = a.Others(), a.Later(), a.Steps()
		}
	})
	var none customs.Assessment
	if none.Others() != nil || none.Later() != nil || customs.Doubts(none.Steps()) != nil || len(customs.Cautions(&customs.Consignments{})) == 0 || len((&customs.Rules{}).Figures()) != 0 || len(customs.NewBook(nil, &customs.RuleSet{}).Entries()) == 0 {
		t.Error("something comes of nothing")
	}
}

func TestErrors(t *testing.T) {
	cad, usd := money.MustCurrency("CAD"), money.MustCurrency("USD")
	change := func(f func(*customs.Consignments, *customs.Line)) *customs.Consignments {
		c := sample()
		f(c, &c.Parcels[0].Lines[0])
		return c
	}
	class := func(f func(*customs.Class)) *customs.Consignments {
		c := sample()
		k := c.Classes["hand-tool"]
		f(&k)
		c.Classes["hand-tool"] = k
		return c
	}
	for _, k := range []struct {
		in   *customs.Consignments
		want string
	}{
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Class = "hand-tol" }), `parcel "box-1": item "jack": there is no customs class "hand-tol": did you mean hand-tool?`},
		{change(func(c *customs.Consignments, l *customs.Line) { c.Classes = nil }), `parcel "box-1": item "jack": there is no customs class "hand-tool": write it under customs: classes, with its rate of duty, as in hand-tool: {duty: 6.5%}`},
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Class = "" }), `parcel "box-1": item "jack": duty is due and the goods have no customs class: say which they are of, as in class: hand-tool, or find the heading of the goods in the Customs Tariff of Canada, of the Canada Border Services Agency, and write the class with its duty rate under customs: classes`},
		{class(func(k *customs.Class) { k.Duty = nil }), `parcel "box-1": item "jack": class "hand-tool" has no duty rate: find the heading 8205.59 in the Customs Tariff of Canada, of the Canada Border Services Agency, and write the rate under customs: classes: hand-tool: duty`},
		{class(func(k *customs.Class) { k.Duty, k.Code = nil, "" }), `parcel "box-1": item "jack": class "hand-tool" has no duty rate: find the heading of the goods in the Customs Tariff of Canada, of the Canada Border Services Agency, and write the rate under customs: classes: hand-tool: duty`},
		{class(func(k *customs.Class) { k.Tax = "reduced" }), `class "hand-tool": HST has no rate "reduced" in CA-ON: choose standard, or zero`},
		{class(func(k *customs.Class) { k.Duty.Fraction = decimal.New(-1, -2) }), `class "hand-tool": duty is "-1%": write a rate from 0 % to 1000 % with at most seven decimals`},
		{class(func(k *customs.Class) { k.Duty.Fraction = decimal.New(1, 2000000) }), ``},
		{class(func(k *customs.Class) { k.Duty.PerKilogram = decimal.New(1, -10) }), `class "hand-tool": duty per kg is "0.0000000001": write a sum of zero or more in CAD, with at most 9 decimals`},
		{class(func(k *customs.Class) { k.Surcharges = map[string]decimal.Decimal{"JP": decimal.New(11, 0)} }), `class "hand-tool": surcharge on JP is "1100%": write a rate from 0 % to 1000 % with at most seven decimals`},
		{change(func(c *customs.Consignments, l *customs.Line) {
			k := c.Classes["hand-tool"]
			k.Duty.PerKilogram, l.Unweighed = decimal.New(1, 0), true
			c.Classes["hand-tool"] = k
		}), `parcel "box-1": item "jack": weight is "not known": write what one piece weighs, since the duty of class "hand-tool" is by weight`},
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Count = 0 }), `parcel "box-1": item "jack": count is "0": give the number of pieces, 1 or more`},
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Value = money.New(1, usd) }), `parcel "box-1": item "jack": value is "0.01 USD": convert it to CAD at customs' rate`},
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Freight = money.New(-1, cad) }), `parcel "box-1": item "jack": freight is "-0.01 CAD": give a sum of zero or more`},
		{change(func(_ *customs.Consignments, l *customs.Line) { l.Insurance = money.New(math.MaxInt64, cad) }), `amount is too large to be held exactly`},
		{change(func(c *customs.Consignments, _ *customs.Line) {
			c.Parcels[0].Fees = []customs.Fee{{What: "clearance", Amount: money.New(-5, cad)}}
		}), `parcel "box-1": clearance is "-0.05 CAD": give a sum of zero or more`},
		{change(func(c *customs.Consignments, _ *customs.Line) { c.Holds = []string{"certified"} }), `nothing named "certified" is left open: the rules of Canada leave nothing open: take it out`},
		{change(func(c *customs.Consignments, _ *customs.Line) { c.To = "CA" }), `"CA" does not say which part of the territory: taxes differ, write it as in CA-ON`},
		{change(func(c *customs.Consignments, _ *customs.Line) { c.To = "DE" }), `"DE" does not lie in CA: choose the rules of the place of entry`},
	} {
		_, err := customs.Assess(canadian(t), k.in)
		switch {
		case err == nil:
			t.Errorf("no error, want %s", k.want)
		case k.want != "" && err.Error() != k.want:
			t.Errorf("\n got %s\nwant %s", err, k.want)
		}
	}
	if _, err := customs.Assess(canadian(t), sample()); err != nil {
		t.Errorf("the sample: %v", err)
	}
}

// TestNoAntique: a state whose rate for antiques was not found is distinguished
// from a kind that there is nowhere.
func TestNoAntique(t *testing.T) {
	r, err := customs.NewBook().For("PL", day("2026-06-01"))
	must(t, r, err)
	for kind, want := range map[string]string{
		"antique": `class "plane": the rate "antique" of VAT in PL was not found: leave tax out for the standard rate, which is the most it can be, or write the rate in a file of rules of your own`,
		"reduced": `class "plane": VAT has no rate "reduced" in PL: choose standard, or zero`,
	} {
		c := plane(r, 20000)
		c.To, c.Classes["plane"] = "PL", customs.Class{Duty: &customs.Rate{}, Tax: kind}
		if _, err := customs.Assess(r, c); err == nil || err.Error() != want {
			t.Errorf("got %v", err)
		}
	}
}

// TestOriginRate asks for the surcharge where the duty is that surcharge.
func TestOriginRate(t *testing.T) {
	r, err := customs.NewBook().For("US", day("2025-11-03"))
	must(t, r, err)
	c := sample()
	c.On, c.To = day("2025-11-03"), "US"
	c.Parcels[0].Lines[0].Value = money.New(5000, r.Currency)
	for _, flat := range []bool{false, true} {
		c.Flat = flat
		_, err := customs.Assess(r, c)
		const want = `parcel "box-1": item "jack": class "hand-tool" has no surcharge for goods made in JP, and here the duty is that surcharge: find the heading 8205.59 in the Harmonized Tariff Schedule of the United States, of the International Trade Commission, and write the rate under customs: classes: hand-tool: surcharges: JP`
		var none *customs.NoRateError
		if !errors.As(err, &none) || err.Error() != want {
			t.Errorf("flat %v:\n got %v\nwant %s", flat, err, want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, k := range []struct {
		parse func(string) error
		in    string
		want  string
	}{
		{func(s string) error { _, err := customs.ParseUse(s); return err }, "personel", `"personel" is no use: did you mean personal?`},
		{func(s string) error { _, err := customs.ParseMode(s); return err }, "ship", `"ship" is no mode: known here: post, courier, cargo`},
		{func(s string) error { _, err := customs.ParseStream(s); return err }, "sack", `"sack" is no stream of the post: known here: letters, parcels`},
	} {
		var word *money.ParseError
		if err := k.parse(k.in); !errors.As(err, &word) || err.Error() != k.want {
			t.Errorf("got %v, want %s", err, k.want)
		}
	}
	for i, word := range []string{"personal", "gift", "resale"} {
		if u, err := customs.ParseUse(word); err != nil || u != []customs.Use{customs.Personal, customs.Gift, customs.Resale}[i] {
			t.Errorf("%s is read as %v, %v", word, u, err)
		}
	}
	for i, word := range []string{"post", "courier", "cargo"} {
		if m, err := customs.ParseMode(word); err != nil || m != []customs.Mode{customs.Post, customs.Courier, customs.Cargo}[i] {
			t.Errorf("%s is read as %v, %v", word, m, err)
		}
	}
	for i, word := range []string{"letters", "parcels"} {
		if m, err := customs.ParseStream(word); err != nil || m != []customs.Mode{customs.Letters, customs.Parcels}[i] {
			t.Errorf("%s is read as %v, %v", word, m, err)
		}
	}
}

func TestParseRate(t *testing.T) {
	chf := money.MustCurrency("CHF")
	for _, k := range []struct{ in, out, want string }{
		{"2.7%", "2.7%", ""},
		{"free", "free", ""},
		{"0%", "free", ""},
		{" 1.50 CHF per kg ", "1.5 CHF per kg", ""},
		{"0.0125 CHF per piece + 3 %", "3% + 0.0125 CHF per piece", ""},
		{"2%+1 CHF per kg+2 CHF per piece", "2% + 1 CHF per kg + 2 CHF per piece", ""},
		{"2.7", "", `"2.7" is not a percentage: write 2.7%`},
		{"0.065", "", `"0.065" is not a percentage: write 6.5% or 0.065%`},
		{"", "", `"" is no rate of duty: write 2.7%, free, or 1.50 CHF per kg, or several joined by +`},
		{"2% + 3%", "", `"2% + 3%" has two parts of one kind: add them up`},
		{"1.50 per kg", "", `"1.50 per kg" has no sum in CHF before per kg: write it so, as in 1.50 CHF per kg`},
		{"-1 CHF per kg", "", `"-1 CHF per kg" has no sum in CHF before per kg: write it so, as in 1.50 CHF per kg`},
		{"-1%", "", `"-1%" is below zero: write a rate of 0 % or more`},
		{"1001%", "", `"1001%" is above 1000 %: check the decimal point`},
	} {
		r, err := customs.ParseRate(k.in, chf)
		switch {
		case k.want != "":
			if err == nil || err.Error() != k.want {
				t.Errorf("%q: got %v, want %s", k.in, err, k.want)
			}
		case err != nil || r.Format(chf) != k.out:
			t.Errorf("%q: got %q, %v, want %q", k.in, r.Format(chf), err, k.out)
		default:
			if again, err := customs.ParseRate(r.Format(chf), chf); err != nil || again.Format(chf) != k.out {
				t.Errorf("%q does not read back: %v", k.out, err)
			}
		}
	}
}

// TestDay refuses rules that are not in force on the day, and pieces beyond
// counting.
func TestDay(t *testing.T) {
	c := sample()
	c.On = day("2025-03-31")
	const want = `the customs rules of CA are known from 2025-04-01, not for 2025-03-31: check the date, or write the rules in a file of your own, in the schema of the shipped ones`
	if _, err := customs.Assess(canadian(t), c); err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
	c = sample()
	c.Parcels[0].Lines[0].Count = math.MaxInt64
	if _, err := customs.Assess(canadian(t), c); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("got %v", err)
	}
	c = sample()
	c.Parcels[0].Lines[0].Value = money.New(1<<59, money.MustCurrency("CAD"))
	k := c.Classes["hand-tool"]
	k.Duty = &customs.Rate{Fraction: decimal.New(10, 0), PerKilogram: decimal.New(9, 8)}
	c.Classes["hand-tool"] = k
	if _, err := customs.Assess(canadian(t), c); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("got %v", err)
	}
}

func TestCautions(t *testing.T) {
	c := sample()
	plain := customs.Cautions(c)
	if len(plain) != 3 {
		t.Errorf("one parcel of hand tools: %q", plain)
	}
	c.Use = customs.Gift
	c.Parcels = append(c.Parcels, c.Parcels[0])
	c.Classes["lamp"] = customs.Class{Code: "8513.10"}
	if all := customs.Cautions(c); len(all) != 8 {
		t.Errorf("gifts in two parcels of one seller, a lamp among them: %q", all)
	}
	c.Parcels[1].Seller = "another"
	if apart := customs.Cautions(c); len(apart) != 7 {
		t.Errorf("parcels of two sellers: %q", apart)
	}
	c.Classes = map[string]customs.Class{"knife": {Code: "8211.92"}}
	if got := customs.Cautions(c); len(got) != 5 {
		t.Errorf("knives: %q", got)
	}
	c.Classes = map[string]customs.Class{"scarf": {Code: "6214"}}
	if got := customs.Cautions(c); len(got) != 3 {
		t.Errorf("scarves: %q", got)
	}
}
