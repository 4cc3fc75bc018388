package landed_test

import (
	"slices"
	"testing"

	"lotcost/landed"
)

// TestBySellers: two lots of 19 CAD are above the 20 CAD that Canada lets in free by mail (Canada
// Border Services Agency, importing by mail, as in the rules) in one parcel, and below it in two.
func TestBySellers(t *testing.T) {
	h := imported("19 CAD", "3 CAD")
	other := h.Lots[0]
	other.ID, other.Items = "tray", []landed.Item{item("brace", 1, "900 g", "30 CAD")}
	h.Lots = append(h.Lots, other)
	if a, _ := split(t, h).BySellers(); a != nil {
		t.Error("one seller sends two parcels")
	}
	h.Lots[1].Seller = "gable"
	st := split(t, h)
	a, sellers := st.BySellers()
	if a == nil || !slices.Equal(sellers, []string{"tidemark", "gable"}) || len(a.Parcels) != 2 {
		t.Fatalf("%+v of %v", a, sellers)
	}
	if st.Estimate().Sign() == 0 {
		t.Error("nothing is due of both")
	}
	for i := range a.Parcels {
		if p := &a.Parcels[i]; p.Duty.Sign() != 0 || p.Tax.Sign() != 0 || len(p.Fees) > 0 && p.Fees[0].Amount.Sign() != 0 {
			t.Errorf("due of one: %+v", p)
		}
	}
	for what, change := range map[string]func(*landed.Haul){
		"parcels are named": func(h *landed.Haul) { h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate", "tray"}}} },
		"a bill has come":   func(h *landed.Haul) { h.Border.Bill.Duty = amount("2.47 CAD") },
		"no border is met":  func(h *landed.Haul) { h.Border = nil },
		"one is not named":  func(h *landed.Haul) { h.Lots[1].Seller = "" },
	} {
		h := imported("19 CAD", "3 CAD")
		h.Lots = append(h.Lots, other)
		h.Lots[1].Seller = "gable"
		change(h)
		if a, _ := split(t, h).BySellers(); a != nil {
			t.Errorf("%s: %+v", what, a)
		}
	}
}

// TestWithoutFreight: nothing is said of the freight of goods that come from another country; a
// charge, or 0, says it.
func TestWithoutFreight(t *testing.T) {
	boxes := []landed.Parcel{{ID: "box-1", Lots: []string{"crate"}}}
	two := func(on ...string) func(*landed.Haul) {
		return func(h *landed.Haul) {
			other := h.Lots[0]
			other.ID, other.Items = "tray", []landed.Item{item("brace", 1, "900 g", "30 CAD")}
			h.Lots, h.Parcels = append(h.Lots, other), []landed.Parcel{boxes[0], {ID: "box-2", Lots: []string{"tray"}}}
			h.Charges[0].On = on
		}
	}
	for what, c := range map[string]struct {
		change func(*landed.Haul)
		want   []string
	}{
		"a charge":            {func(h *landed.Haul) {}, nil},
		"a charge of nothing": {func(h *landed.Haul) { h.Charges[0].Amount = amount("0 CAD") }, nil},
		"no charge":           {func(h *landed.Haul) { h.Charges = nil }, []string{""}},
		"another charge":      {func(h *landed.Haul) { h.Charges[0].Kind = landed.Insurance }, []string{""}},
		"a parcel without it": {func(h *landed.Haul) { h.Charges, h.Parcels = nil, boxes }, []string{"box-1"}},
		"a parcel for nothing": {func(h *landed.Haul) {
			h.Charges, h.Parcels = nil, []landed.Parcel{{ID: "box-1", Lots: boxes[0].Lots, Carriage: landed.Carriage{Freight: amount("0 JPY")}}}
		}, nil},
		"a charge on all parcels":     {two(), nil},
		"a charge on one of two":      {two("crate"), []string{"box-2"}},
		"a charge on a piece of each": {two("crate", "brace"), nil},
		"within a country":            {func(h *landed.Haul) { h.Charges, h.From = nil, "CA-QC" }, nil},
		"not known from where":        {func(h *landed.Haul) { h.Charges, h.Border, h.From = nil, nil, "" }, nil},
	} {
		h := imported("19 CAD", "3 CAD")
		c.change(h)
		if got := split(t, h).WithoutFreight(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", what, got, c.want)
		}
	}
}
