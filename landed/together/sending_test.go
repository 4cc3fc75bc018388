package together_test

import (
	"testing"

	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/together"
)

func TestSentWeight(t *testing.T) {
	lot := landed.Lot{Items: []landed.Item{{ID: "jack", Count: 2, Weight: 1900 * measure.Gram, Weighed: true}, {ID: "block", Count: 1, Weight: 780 * measure.Gram, Weighed: true}}}
	for _, c := range []struct {
		name  string
		spoil func(*landed.Lot)
		want  string
		known bool
	}{
		{"of its items", func(*landed.Lot) {}, "4.58 kg", true},
		{"as packed", func(l *landed.Lot) { l.Packed = 5 * measure.Kilogram }, "5 kg", true},
		{"as packed, an item not weighed", func(l *landed.Lot) { l.Packed, l.Items[0].Weighed = 5*measure.Kilogram, false }, "5 kg", true},
		{"an item not weighed", func(l *landed.Lot) { l.Items[0].Weighed = false }, "0 g", false},
		{"beyond what fits", func(l *landed.Lot) { l.Items[0].Count = 1_000_000_000_000 }, "0 g", false},
	} {
		l := lot
		l.Items = append([]landed.Item(nil), lot.Items...)
		c.spoil(&l)
		if w, known := together.SentWeight(&l); w.String() != c.want || known != c.known {
			t.Errorf("%s: %v, %t; want %s, %t", c.name, w, known, c.want, c.known)
		}
	}
}
