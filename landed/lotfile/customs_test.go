package lotfile_test

import (
	"fmt"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// TestModes: how the post carries a parcel is only asked of one that it carries.
func TestModes(t *testing.T) {
	for keys, want := range map[string]customs.Mode{
		"use: personal": customs.Post, "by: post": customs.Post, "post: letters": customs.Letters, "by: post, post: parcels": customs.Parcels,
		"by: courier": customs.Courier, "by: courier, post: letters": customs.Courier, "by: cargo": customs.Cargo,
	} {
		f := parse(t, "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\nlots: [{id: a, price: 10 CAD, items: [{id: b}]}]\ncustoms: {"+keys+"}\n")
		if got := f.Haul.Border.Mode; got != want {
			t.Errorf("%s: mode %d, want %d", keys, got, want)
		}
	}
}

// TestFlat: who takes the flat charge where the rules leave the choice pays 2.5 % of 50.00 and
// 33.00 in the place of 6 % (Irish Revenue, gifts, worked example: 4.98), and 23 % on that too.
func TestFlat(t *testing.T) {
	for flat, want := range map[string]string{"yes": "2.08 19.57", "no": "4.98 20.24"} {
		text := "lotcost: 1\nhome: EUR\ndate: 2026-07-01\nfrom: US\nto: IE\nlots: [{id: a, price: 50 EUR, items: [{id: x, class: tool, weight: 1 kg, value: 60}]}]\n" +
			"charges: [{what: parcel, kind: freight, amount: 33 EUR}]\ncustoms: {use: gift, flat: " + flat + ", classes: {tool: {duty: 6%}}}\n"
		f := parse(t, text)
		st, err := landed.Split(f.Haul)
		if err != nil {
			t.Fatal(err)
		}
		if got := st.Items[0].Share(landed.Duty).Number() + " " + st.Items[0].Share(landed.Tax).Number(); got != want {
			t.Errorf("flat %s: duty and tax %s, want %s", flat, got, want)
		}
	}
}

// TestNoBorder: goods that stay in a country, or in a union, are asked nothing at a border,
// whatever the section for it says, which is told; what a bill says was asked.
func TestNoBorder(t *testing.T) {
	const section = "use: personal, by: post, classes: {tool: {duty: 6%}}"
	for _, c := range []struct {
		from, to, section, total string
		reported                 bool
	}{
		{"DE", "DE", section, "120.00 EUR", true},
		{"DE", "FR", section, "120.00 EUR", true},
		{"DE", "FR", section + ", assessed: {duty: 0, tax: 19, fee: 6}", "145.00 EUR", false},
		{"JP", "FR", section + ", assessed: {duty: 0, tax: 19, fee: 6}", "145.00 EUR", false},
		{"JP", "FR", section, "147.60 EUR", false}, // a duty of 3, and 20 % of 123
	} {
		text := "lotcost: 1\nhome: EUR\ndate: 2026-10-03\nfrom: " + c.from + "\nto: " + c.to + "\nlots: [{id: a, price: 100, items: [{id: x, class: tool}]}]\n" +
			"charges: [{what: parcel, kind: freight, amount: 20}]\nshare: {price: count, freight: count}\ncustoms: {" + c.section + "}\n"
		var reported []string
		f, err := lotfile.Parse("haul.yaml", []byte(text), "", lotfile.Options{Warn: func(f *source.Fault) { reported = append(reported, f.Error()) }})
		if err != nil {
			t.Fatal(err)
		}
		st, err := landed.Split(f.Haul)
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		if c.reported {
			want = []string{"haul.yaml:9:10: warning: customs: there is no border from " + c.from + " to " + c.to + ": nothing of it is counted: correct from or to if the goods come over one, or take the section out"}
		}
		if st.Total.String() != c.total || fmt.Sprint(reported) != fmt.Sprint(want) {
			t.Errorf("%s to %s: %s, want %s; told %q, want %q", c.from, c.to, st.Total, c.total, reported, want)
		}
	}
}
