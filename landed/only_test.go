package landed_test

import (
	"reflect"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
)

// three is a haul of three lots with something on each of them.
func three() *landed.Haul {
	lot := func(id, price string) landed.Lot {
		return landed.Lot{ID: id, Price: amount(price), Items: []landed.Item{item(id+"-1", 1, "1 kg", "10 CAD"), item(id+"-2", 2, "300 g", "4 CAD")}}
	}
	on := func(what, asked string, on ...string) landed.Charge {
		return landed.Charge{What: what, Kind: landed.Fee, Amount: amount(asked), On: on}
	}
	return &landed.Haul{
		Home: cad, Date: day, From: "JP", To: "CA-ON", Market: market("100 JPY = 0.93 CAD"),
		Lots:    []landed.Lot{lot("a", "1000 JPY"), lot("b", "2000 JPY"), lot("c", "3000 JPY")},
		Charges: []landed.Charge{on("all", "100 JPY"), on("lots", "200 JPY", "a", "c"), on("lone", "400 JPY", "c"), on("items", "800 JPY", "b-1", "c-2")},
		Parcels: []landed.Parcel{{ID: "one", Lots: []string{"a", "c"}, Carriage: landed.Carriage{Freight: amount("1600 JPY")}}, {ID: "two", Lots: []string{"b"}, Carriage: landed.Carriage{Freight: amount("3200 JPY")}}},
		Border:  &landed.Border{Book: customs.NewBook(), Bill: landed.Bill{Duty: amount("7 CAD")}},
	}
}

func TestOnly(t *testing.T) {
	h, before := three(), three()
	before.Market = h.Market // which holds functions, that are equal to none
	ab := h.Only(func(l *landed.Lot) bool { return l.ID != "c" })
	if !reflect.DeepEqual(h, before) {
		t.Error("the haul was changed")
	}
	names := func(h *landed.Haul) (what []string) {
		for _, c := range h.Charges {
			what = append(what, c.What)
		}
		return what
	}
	switch {
	case !slices.Equal(ab.LotIDs(), []string{"a", "b"}),
		!slices.Equal(names(ab), []string{"all", "lots", "items"}),
		!slices.Equal(ab.Charges[1].On, []string{"a"}), !slices.Equal(ab.Charges[2].On, []string{"b-1"}),
		len(ab.Parcels) != 2, !slices.Equal(ab.Parcels[0].Lots, []string{"a"}),
		ab.Border.Bill != (landed.Bill{}):
		t.Errorf("%+v", ab)
	}
	if all := h.Only(func(*landed.Lot) bool { return true }); !reflect.DeepEqual(all, h) {
		t.Errorf("all of it is %+v", all)
	}
	if none := h.Only(func(*landed.Lot) bool { return false }); len(none.Lots)+len(none.Parcels) > 0 || !slices.Equal(names(none), []string{"all"}) {
		t.Errorf("none of it is %+v", none)
	}
	ab.Border = nil
	// by hand: 3000 for a and b, 100 + 200 + 800 of charges, 1600 + 3200 of freight
	if st := split(t, ab); st.Total != amount("82.77 CAD") {
		t.Errorf("a and b cost %v", st.Total)
	}
}

func TestBought(t *testing.T) {
	h := three()
	h.Lots[0].Open, h.Lots[1].Open, h.Lots[1].Settled = true, true, amount("5 CAD")
	if ids := h.Only((*landed.Lot).Bought).LotIDs(); !slices.Equal(ids, []string{"b", "c"}) {
		t.Errorf("bought: %v", ids)
	}
	if bought := h.Only((*landed.Lot).Bought); bought.Border.Bill != h.Border.Bill {
		t.Errorf("the bill for what came is %+v", bought.Border.Bill)
	}
}
