package lotfile_test

import (
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
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
