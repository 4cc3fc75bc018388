package landed_test

import (
	"testing"

	"lotcost/landed"
	"lotcost/landed/measure"
)

func TestSentWeight(t *testing.T) {
	lot := landed.Lot{Items: []landed.Item{item("jack", 2, "1.9 kg", ""), item("block", 1, "780 g", "")}}
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
		{"beyond what fits", func(l *landed.Lot) { l.Items[0].Count = landed.MaxCount }, "0 g", false},
	} {
		l := lot
		l.Items = append([]landed.Item(nil), lot.Items...)
		c.spoil(&l)
		if w, known := l.SentWeight(); w.String() != c.want || known != c.known {
			t.Errorf("%s: %v, %t; want %s, %t", c.name, w, known, c.want, c.known)
		}
	}
}

// TestFeesOfAParcel: what a forwarder asks is shared as fees are.
func TestFeesOfAParcel(t *testing.T) {
	h := crates()
	h.Charges = nil
	h.Parcels = []landed.Parcel{{ID: "box-1", Lots: []string{"crate-a", "crate-b"}, Carriage: landed.Carriage{Fees: amount("6 CAD")}}}
	st := split(t, h)
	if st.Sum(landed.Fee) != amount("6 CAD") || st.Items[2].Share(landed.Fee) != amount("3 CAD") { // 3 of 6 pieces
		t.Errorf("fees %v, of them %v on the last item", st.Sum(landed.Fee), st.Items[2].Share(landed.Fee))
	}
}
