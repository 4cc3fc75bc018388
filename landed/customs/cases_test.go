package customs_test

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/internal/published"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"
)

// oneCase is the shape of a case in testdata/customs/*.yaml, read by a library of its own.
type oneCase struct {
	ID, Source, Grade, Rules string
	In                       struct {
		On, From, To, Use, Mode, Post string
		Flat                          bool
		Holds                         []string
	}
	Classes map[string]struct {
		Duty, Code, Tax string
		PerKg           string `yaml:"per-kg"`
		PerPiece        string `yaml:"per-piece"`
		Surcharges      map[string]string
	}
	Parcels []struct {
		Seller  string
		Paid    bool
		Private bool
		Fees    yaml.Node
		Lines   []struct {
			ID, Class, Origin, Weight       string
			Count                           int64
			Value, Freight, Insurance, Fees string
		}
	}
	// Missing is what may be asked besides; Otherwise what all parcels bear if
	// something holds that is not said.
	Missing   *[]string
	Otherwise *[]struct{ If, Duty, Tax, Fees string }
	Want      []struct {
		Value, Base, Duty, Tax, Fees, Margin string
		Relieved                             *[]string
		Lines                                []string
	}
}

func must[T any](t testing.TB, v T, err error) T {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// ruleFile reads a rule file of testdata/rules.
func ruleFile(t testing.TB, name string) *customs.RuleSet {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "rules", name))
	if err != nil {
		t.Fatal(err)
	}
	set, err := customs.Parse(name, data)
	return must(t, set, err)
}

func day(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return d
}

func sum(t testing.TB, s string, cur money.Currency) money.Amount {
	t.Helper()
	if s == "" {
		return money.Amount{}
	}
	a, err := money.ParseIn(s, cur)
	return must(t, a, err)
}

func fraction(t testing.TB, s string) decimal.Decimal {
	t.Helper()
	d, err := money.ParsePercent(s)
	return must(t, d, err)
}

func (k *oneCase) rules(t *testing.T) *customs.Rules {
	var own []*customs.RuleSet
	if k.Rules != "" {
		own = append(own, ruleFile(t, k.Rules))
	}
	r, err := customs.NewBook(own...).For(k.In.To, day(k.In.On))
	return must(t, r, err)
}

func (k *oneCase) consignments(t *testing.T, cur money.Currency) *customs.Consignments {
	c := &customs.Consignments{On: day(k.In.On), From: k.In.From, To: k.In.To, Flat: k.In.Flat, Holds: k.In.Holds, Classes: map[string]customs.Class{}}
	if k.In.Use != "" {
		u, err := customs.ParseUse(k.In.Use)
		c.Use = must(t, u, err)
	}
	if k.In.Mode != "" {
		m, err := customs.ParseMode(k.In.Mode)
		c.Mode = must(t, m, err)
	}
	if k.In.Post != "" {
		m, err := customs.ParseStream(k.In.Post)
		c.Mode = must(t, m, err)
	}
	for name, in := range k.Classes {
		class := customs.Class{Code: in.Code, Tax: in.Tax, Surcharges: map[string]decimal.Decimal{}}
		if in.Duty != "" {
			class.Duty = &customs.Rate{Fraction: fraction(t, in.Duty)}
			if in.PerKg != "" {
				class.Duty.PerKilogram = decimal.RequireFromString(in.PerKg)
			}
			if in.PerPiece != "" {
				class.Duty.PerPiece = decimal.RequireFromString(in.PerPiece)
			}
		}
		for origin, s := range in.Surcharges {
			class.Surcharges[origin] = fraction(t, s)
		}
		c.Classes[name] = class
	}
	for i, in := range k.Parcels {
		p := customs.Parcel{ID: fmt.Sprint("box-", i+1), Seller: in.Seller, TaxPaid: in.Paid, Private: in.Private, Fees: k.fees(t, in.Fees, cur)}
		for j, l := range in.Lines {
			line := customs.Line{
				ID: l.ID, Class: l.Class, Origin: l.Origin, Count: max(l.Count, 1), Value: sum(t, l.Value, cur),
				Freight: sum(t, l.Freight, cur), Insurance: sum(t, l.Insurance, cur), OtherFees: sum(t, l.Fees, cur),
			}
			if line.ID == "" {
				line.ID = fmt.Sprint("item-", j+1)
			}
			if l.Weight != "" {
				w, err := measure.ParseWeight(l.Weight)
				line.Weight = must(t, w, err)
			}
			p.Lines = append(p.Lines, line)
		}
		c.Parcels = append(c.Parcels, p)
	}
	return c
}

// fees reads "none" or a list; what is left out leaves the rules' own.
func (k *oneCase) fees(t *testing.T, n yaml.Node, cur money.Currency) []customs.Fee {
	if n.IsZero() {
		return nil
	}
	given := []customs.Fee{}
	if n.Value == "none" {
		return given
	}
	var list []struct{ What, Amount string }
	if err := n.Decode(&list); err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		given = append(given, customs.Fee{What: f.What, Amount: sum(t, f.Amount, cur)})
	}
	return given
}

func readCases(t *testing.T) []oneCase {
	t.Helper()
	files, err := filepath.Glob(published.Path(t, "customs/*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	var all []oneCase
	for _, file := range files {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		dec := yaml.NewDecoder(f)
		dec.KnownFields(true)
		var cases []oneCase
		if err := dec.Decode(&cases); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		f.Close()
		all = append(all, cases...)
	}
	return all
}

// TestCases reproduces every case of testdata/customs.
func TestCases(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range readCases(t) {
		t.Run(k.ID, func(t *testing.T) {
			if seen[k.ID] {
				t.Error("the id stands twice")
			}
			seen[k.ID] = true
			if k.Source == "" || !slices.Contains([]string{"published", "derived", "memory"}, k.Grade) {
				t.Errorf("no source, or no grade: %q, %q", k.Source, k.Grade)
			}
			r := k.rules(t)
			c := k.consignments(t, r.Currency)
			a, err := customs.Assess(r, c)
			if err != nil {
				t.Fatal(err)
			}
			if len(k.Want) != len(a.Parcels) {
				t.Fatalf("the case wants %d parcels of %d", len(k.Want), len(a.Parcels))
			}
			for i := range k.Want {
				k.check(t, i, &a.Parcels[i], r.Currency)
			}
			checkSums(t, r, c, a)
			k.checkBeside(t, a)
			if t.Failed() {
				for _, s := range a.Steps() {
					t.Logf("%s: %s: %s: %s = %s (%s, %s)", s.Parcel, s.What, s.Text, s.Rule, s.Result, s.Source, s.Confidence)
				}
			}
		})
	}
}

func (k *oneCase) check(t *testing.T, at int, p *customs.ParcelAssessment, cur money.Currency) {
	want := k.Want[at]
	base := money.New(0, cur)
	var lines []string
	for _, l := range p.Lines {
		base, _ = base.Add(l.TaxBase)
		lines = append(lines, l.Duty.String())
	}
	for _, f := range []struct {
		what, want string
		got        money.Amount
	}{
		{"value", want.Value, p.CustomsValue}, {"base", want.Base, base}, {"duty", want.Duty, p.Duty},
		{"tax", want.Tax, p.Tax}, {"fees", want.Fees, p.FeeSum()},
	} {
		if f.want != "" && f.got != sum(t, f.want, cur) {
			t.Errorf("parcel %d: %s is %s, want %s", at+1, f.what, f.got, f.want)
		}
	}
	for j, s := range want.Lines {
		if w := sum(t, s, cur); lines[j] != w.String() {
			t.Errorf("parcel %d: duty on line %d is %s, want %s", at+1, j+1, lines[j], w)
		}
	}
	relieved := map[string]bool{}
	for _, r := range p.Relief {
		if r.Relieved {
			relieved[r.What] = true
		}
		if margin, err := r.Threshold.Sub(r.Measure); err != nil || margin != r.Margin() {
			t.Errorf("margin %s is not %s less %s", r.Margin(), r.Threshold, r.Measure)
		}
	}
	if want.Relieved != nil {
		got, need := slices.Sorted(maps.Keys(relieved)), slices.Sorted(slices.Values(*want.Relieved))
		if !slices.Equal(got, need) {
			t.Errorf("parcel %d: relieved %q, want %q", at+1, got, need)
		}
	}
	if want.Margin != "" && p.Relief[0].Margin() != sum(t, want.Margin, cur) {
		t.Errorf("parcel %d: margin %s, want %s", at+1, p.Relief[0].Margin(), want.Margin)
	}
}

// checkBeside checks what stands beside the figures.
func (k *oneCase) checkBeside(t *testing.T, a *customs.Assessment) {
	if k.Missing != nil {
		var got []string
		for _, m := range a.Missing {
			got = append(got, m.What)
		}
		if !slices.Equal(got, *k.Missing) {
			t.Errorf("missing %q, want %q", got, *k.Missing)
		}
	}
	if k.Otherwise == nil {
		return
	}
	others := a.Others()
	if len(others) != len(*k.Otherwise) {
		t.Fatalf("%d other results, want %d: %+v", len(others), len(*k.Otherwise), others)
	}
	for i, want := range *k.Otherwise {
		if others[i].Err != nil {
			t.Fatal(others[i].Err)
		}
		var dues, tax, fees int64
		for _, p := range others[i].Assessment.Parcels {
			dues, tax, fees = dues+p.Duty.Minor(), tax+p.Tax.Minor(), fees+p.FeeSum().Minor()
		}
		got := [3]int64{dues, tax, fees}
		if !strings.Contains(others[i].If, want.If) || got != [3]int64{sum(t, want.Duty, a.Rules.Currency).Minor(), sum(t, want.Tax, a.Rules.Currency).Minor(), sum(t, want.Fees, a.Rules.Currency).Minor()} {
			t.Errorf("if %s: %v, want %+v", others[i].If, got, want)
		}
	}
}

// checkSums proves what must hold of any assessment.
func checkSums(t testing.TB, r *customs.Rules, c *customs.Consignments, a *customs.Assessment) {
	t.Helper()
	for i, p := range a.Parcels {
		var value, dues, tax, fees int64
		for j, l := range p.Lines {
			value, dues, tax = value+l.CustomsValue.Minor(), dues+l.Duty.Minor(), tax+l.Tax.Minor()
			for _, x := range []money.Amount{l.CustomsValue, l.TaxBase, l.Duty, l.Tax} {
				if x.Sign() < 0 || x.Currency() != r.Currency {
					t.Errorf("parcel %d: line %d: %s", i, j, x)
				}
			}
			if l.ID != c.Parcels[i].Lines[j].ID {
				t.Errorf("parcel %d: line %d is %q", i, j, l.ID)
			}
		}
		for _, f := range p.Fees {
			fees += f.Amount.Minor()
		}
		if value != p.CustomsValue.Minor() || dues != p.Duty.Minor() || tax != p.Tax.Minor() || fees != p.FeeSum().Minor() {
			t.Errorf("parcel %d: lines sum to %d, %d, %d and fees to %d, not to %s, %s, %s, %s",
				i, value, dues, tax, fees, p.CustomsValue, p.Duty, p.Tax, p.FeeSum())
		}
	}
	for _, s := range a.Steps() {
		if s.What == "" || s.Text == "" || s.Rule == "" || s.Source == "" {
			t.Errorf("a step says too little: %+v", s)
		}
	}
}

// threshold is one limit, told by hand from the law and not from the rule files.
type threshold struct {
	on, from, to, use, mode, kind, at string
	strict                            bool
}

// TestThresholds looks one minor unit below, at and above every threshold. The
// sources are those of the rule files.
func TestThresholds(t *testing.T) {
	for _, k := range []threshold{
		{"2026-06-01", "JP", "CA-ON", "personal", "post", "duty", "20", false},
		{"2026-06-01", "JP", "CA-ON", "personal", "post", "tax", "20", false},
		{"2026-06-01", "US", "CA-ON", "resale", "post", "tax", "20", false},
		{"2026-06-01", "JP", "CA-ON", "gift", "post", "tax", "60", false},
		{"2026-06-01", "US", "CA-ON", "personal", "courier", "tax", "40", false},
		{"2026-06-01", "MX", "CA-ON", "personal", "courier", "duty", "150", false},
		{"2026-06-01", "JP", "CA-ON", "personal", "courier", "duty", "20", false},
		{"2025-08-28", "JP", "US", "personal", "post", "duty", "800", false},
		{"2025-08-29", "JP", "US", "gift", "post", "duty", "100", false},
		{"2026-07-01", "JP", "GB", "personal", "post", "duty", "135", false},
		{"2026-07-01", "JP", "GB", "personal", "post", "tax", "135", false},
		{"2026-07-01", "JP", "GB", "gift", "post", "tax", "39", false},
		{"2026-06-30", "JP", "DE", "personal", "post", "duty", "150", false},
		{"2026-06-30", "JP", "DE", "gift", "post", "tax", "45", false},
		{"2026-07-01", "JP", "AU", "personal", "post", "duty", "1000", false},
		{"2026-07-01", "JP", "AU", "personal", "post", "tax", "1000", false},
		{"2026-07-01", "JP", "NZ", "personal", "post", "duty", "1000", false},
		{"2026-07-01", "JP", "NZ", "personal", "post", "tax", "1000", false},
		{"2026-07-01", "US", "JP", "resale", "cargo", "duty", "10000", false},
		{"2026-07-01", "JP", "CH", "gift", "post", "duty", "100", false},
		{"2026-07-01", "JP", "NO", "gift", "post", "tax", "1000", false},
		{"2026-07-01", "JP", "NO", "paid", "post", "tax", "3000", true},
	} {
		for _, off := range []int64{-1, 0, 1} {
			k.check(t, off)
		}
	}
}

func (k threshold) check(t *testing.T, off int64) {
	r, err := customs.NewBook().For(k.to, day(k.on))
	must(t, r, err)
	at := sum(t, k.at, r.Currency)
	c := &customs.Consignments{
		On: day(k.on), From: k.from, To: k.to, Classes: map[string]customs.Class{"tool": {Duty: &customs.Rate{Fraction: decimal.New(5, -2)}, Surcharges: map[string]decimal.Decimal{k.from: decimal.New(10, -2)}}},
		Parcels: []customs.Parcel{{ID: "box", TaxPaid: k.use == "paid", Lines: []customs.Line{{ID: "plane", Class: "tool", Count: 1, Value: money.New(at.Minor()+off, r.Currency)}}}},
	}
	if k.use != "paid" {
		c.Use, _ = customs.ParseUse(k.use)
	}
	c.Mode, _ = customs.ParseMode(k.mode)
	a, err := customs.Assess(r, c)
	must(t, a, err)
	want := off < 0 || off == 0 && !k.strict
	for _, got := range a.Parcels[0].Relief {
		if got.What != k.kind {
			continue
		}
		if got.Relieved != want || got.Margin().Minor() != -off {
			t.Errorf("%+v, %+d: relieved %v by %s, want %v", k, off, got.Relieved, got.Margin(), want)
		}
		return
	}
	t.Errorf("%+v: no relief was looked at", k)
}

// TestPlaces finds the rules of every member, and says what is missing.
func TestPlaces(t *testing.T) {
	book := customs.NewBook()
	members := strings.Fields("AT BE BG HR CY CZ DK EE FI FR DE GR HU IE IT LV LT LU MT NL PL PT RO SK SI ES SE")
	if len(members) != 27 {
		t.Fatal(len(members))
	}
	for _, m := range members {
		r, err := book.For(m, day("2026-08-01"))
		if err != nil {
			t.Fatal(err)
		}
		a, err := customs.Assess(r, &customs.Consignments{From: "JP", To: m, Parcels: []customs.Parcel{{Lines: []customs.Line{{Count: 1, Value: money.New(10000, r.Currency)}}}}})
		if err != nil || a.Parcels[0].Tax.Minor() < 1700 || a.Parcels[0].Tax.Minor() > 2800 {
			t.Errorf("%s: VAT on 103 is %v, %v", m, a, err)
		}
	}
	for _, k := range []struct{ to, on, want string }{
		{"MX", "2026-08-01", `there are no customs rules for "MX", only for AU, BR, CA, CH, EU, GB, IL, JP, KR, NO, NZ, SG, TW, US, ZA: write the rules in a file of your own, in the schema of the shipped ones`},
		{"CA-ON", "2019-01-01", `the customs rules of CA are known from 2020-07-01, not for 2019-01-01: check the date, or write the rules in a file of your own, in the schema of the shipped ones`},
		{"DE", "2028-07-01", `the customs rules of EU are known from 2025-07-01 to 2028-06-30, not for 2028-07-01: check the date, or write the rules in a file of your own, in the schema of the shipped ones`},
	} {
		_, err := book.For(k.to, day(k.on))
		var none *customs.NoRulesError
		if !errors.As(err, &none) || err.Error() != k.want {
			t.Errorf("%s on %s:\n got %v\nwant %s", k.to, k.on, err, k.want)
		}
	}
}
