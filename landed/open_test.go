package landed_test

import (
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// openHaul draws a haul of which some lots are open, and the same with nothing
// paid for those, without a premium. Amounts are in home, so that both can be
// distinguished by nothing else.
func openHaul(t *rapid.T) (open, nothing *landed.Haul) {
	amount := func(label string) money.Amount { return money.New(rapid.Int64Range(0, 9_999).Draw(t, label), cad) }
	h := &landed.Haul{Home: cad}
	for l := range rapid.IntRange(1, 4).Draw(t, "lots") {
		lot := landed.Lot{ID: string(rune('A' + l)), Price: amount("price"), Premium: number("0.1")}
		for i := range rapid.IntRange(1, 3).Draw(t, "items") {
			lot.Items = append(lot.Items, landed.Item{ID: lot.ID + string(rune('1'+i)), Count: rapid.Int64Range(1, 4).Draw(t, "count"), Value: money.New(rapid.Int64Range(1, 999).Draw(t, "value"), cad)})
		}
		h.Lots = append(h.Lots, lot)
	}
	h.Charges = []landed.Charge{
		{What: "parcel", Kind: landed.Freight, Amount: amount("freight"), By: landed.ByCount},
		{What: "cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.02"), Per: rapid.SampledFrom([]landed.Per{landed.PerHaul, landed.PerLot}).Draw(t, "per")},
		{What: "packing", Kind: landed.Fee, Amount: amount("fee"), Per: landed.PerLot, On: []string{"A"}},
	}
	other := *h
	h.Lots, other.Lots = slices.Clone(h.Lots), slices.Clone(h.Lots)
	for i := range h.Lots {
		if rapid.Bool().Draw(t, "open") {
			h.Lots[i].Open, h.Lots[i].Price = true, money.Amount{}
			other.Lots[i].Price, other.Lots[i].Premium = money.New(0, cad), number("0")
		}
	}
	return h, &other
}

// TestWithoutOpen: what is known costs as much as if nothing was paid for the
// open lots, and the statement says whose price no sum holds.
func TestWithoutOpen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, nothing := openHaul(t)
		open := h.Open()
		if _, err := landed.Split(h); (err != nil) != (len(open) > 0) {
			t.Fatalf("open are %v, and Split says %v", open, err)
		}
		want, err := landed.Split(nothing)
		if err != nil {
			t.Fatal(err)
		}
		for _, rule := range []*landed.Haul{h.WithoutOpen(), h.OpenAsFree()} {
			st, err := landed.Split(rule)
			if err != nil {
				t.Fatal(err)
			}
			if st.Total != want.Total || !slices.Equal(st.Haul.Open(), open) || st.Unknown != nil {
				t.Fatalf("%s without %v, want %s without %v", st.Total, st.Haul.Open(), want.Total, open)
			}
			for i := range st.Items {
				it, w := &st.Items[i], &want.Items[i]
				if it.Cost != w.Cost || !it.Lot.Bought() != slices.Contains(open, it.Lot.ID) || !it.Lot.Bought() && it.Bears(landed.Price) {
					t.Errorf("%s costs %s (open %v), want %s", it.ID, it.Cost, !it.Lot.Bought(), w.Cost)
				}
			}
			for _, l := range st.Lines {
				covered := open
				if l.Lot != "" {
					covered = slices.DeleteFunc(slices.Clone(open), func(id string) bool { return id != l.Lot })
				}
				if strings.HasSuffix(l.Asked(), "of price") && !slices.Equal(l.Without, covered) {
					t.Errorf("%s leaves out %v, want %v", l.What, l.Without, covered)
				}
			}
		}
	})
}

// boxes is three lots in two parcels that enter Ontario, both above every
// threshold.
func boxes() *landed.Haul {
	h := imported("100 CAD", "30 CAD")
	h.Charges = nil
	h.Lots = append(h.Lots, landed.Lot{ID: "pens", Price: amount("150 CAD"), Items: []landed.Item{item("pen", 3, "40 g", "9 CAD")}},
		landed.Lot{ID: "tray", Price: amount("70 CAD"), Items: []landed.Item{item("rule", 1, "90 g", "80 CAD")}})
	h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate", "tray"}, Carriage: landed.Carriage{Freight: amount("20 CAD")}}, {ID: "envelope", Lots: []string{"pens"}, Carriage: landed.Carriage{Freight: amount("5 CAD")}}}
	return h
}

// TestOpenAndSettled: a lot of which it is known what the bank took is not open,
// whatever else is said of its price.
func TestOpenAndSettled(t *testing.T) {
	h := crates()
	h.Lots[0].Open, h.Lots[0].Price, h.Lots[0].Settled = true, money.Amount{}, amount("40 CAD")
	h.Charges = nil
	st := split(t, h)
	if len(h.Open())+len(st.Haul.Open()) > 0 || !st.Lots[0].Bought() || !st.Items[0].Lot.Bought() || st.Lots[0].Cost != amount("40 CAD") {
		t.Errorf("%v, %v are open, and it costs %v", h.Open(), st.Haul.Open(), st.Lots[0].Cost)
	}
}

// TestOpenAtTheBorder: what is known of the border is what each parcel without
// an open lot is asked by itself.
func TestOpenAtTheBorder(t *testing.T) {
	h := boxes()
	whole, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	for n := range h.Parcels {
		other := *h
		other.Lots = slices.Clone(h.Lots)
		for i := range other.Lots {
			if slices.Contains(h.Parcels[n].Lots, other.Lots[i].ID) {
				other.Lots[i].Open, other.Lots[i].Price = true, money.Amount{}
				break
			}
		}
		st, err := landed.Split(other.WithoutOpen())
		if err != nil {
			t.Fatal(err)
		}
		for p := range h.Parcels {
			want, got := asked(whole, h.Parcels[p].ID), asked(st, h.Parcels[p].ID)
			if p == n {
				want = 0
			}
			if got != want {
				t.Errorf("with %s open the border asks %d of %s, want %d", h.Parcels[n].ID, got, h.Parcels[p].ID, want)
			}
		}
		if want := []string{h.Parcels[n].ID}; !slices.Equal(st.Unknown, want) {
			t.Errorf("not known of %v, want %v", st.Unknown, want)
		}
	}
}

func asked(st *landed.Statement, parcel string) int64 {
	var sum int64
	for _, l := range st.Lines {
		if l.Estimated && l.Parcel == parcel {
			sum += l.Home.Minor()
		}
	}
	return sum
}

// TestWithoutLost: a haul with a lot that is lost costs what it costs without it,
// and its bills stand.
func TestWithoutLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, _ := openHaul(t)
		open := h.Open()
		won := h.Only(func(l *landed.Lot) bool { return !slices.Contains(open, l.ID) })
		for i := range h.Lots {
			h.Lots[i].Lost = h.Lots[i].Open
		}
		if len(h.Open()) > 0 {
			t.Fatalf("%v are lost, and open", h.Open())
		}
		st, err := landed.Split(h)
		if len(won.Lots) == 0 {
			if err == nil {
				t.Fatal("nothing is left, and costs", st.Total)
			}
			return
		}
		want, err2 := landed.Split(won)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if st.Total != want.Total || len(st.Lots) != len(want.Lots) {
			t.Errorf("%s of %d lots, want %s of %d", st.Total, len(st.Lots), want.Total, len(want.Lots))
		}
	})
	h := boxes()
	h.Parcels[0].Bill = landed.Bill{Duty: money.New(123, h.Home)}
	extra := h.Lots[0]
	extra.ID, extra.Open, extra.Lost, extra.Price = "gone", true, true, money.Amount{}
	extra.Items = []landed.Item{{ID: "gone-1", Count: 1}}
	want, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	h.Lots, h.Parcels[0].Lots = append(slices.Clone(h.Lots), extra), append(slices.Clone(h.Parcels[0].Lots), "gone")
	if st, err := landed.Split(h); err != nil || st.Total != want.Total || len(st.Bills()) != 1 {
		t.Errorf("got %v, %v, want %s", st, err, want.Total)
	}
}

// TestOpenAndBilled: a bill for a parcel stands though a price in it is open. It
// has no estimate beside it, and is shared by count.
func TestOpenAndBilled(t *testing.T) {
	h := boxes()
	h.Lots[0].Open, h.Lots[0].Price = true, money.Amount{}
	h.Parcels[0].Bill = landed.Bill{Tax: amount("8 CAD")}
	h.Charges = []landed.Charge{{What: "cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.02"), Settled: amount("3 CAD")}}
	st := split(t, h.WithoutOpen())
	if len(st.Bills()) != 1 || st.Bills()[0].AsEstimated.Currency() != 0 || st.Bills()[0].Home != amount("8 CAD") {
		t.Errorf("%+v", st.Bills())
	}
	for i, want := range []string{"4.00", "2.00", "", "2.00"} { // two jacks, a square, the envelope, a rule
		if want != "" && st.Items[i].Share(landed.Tax).Number() != want {
			t.Errorf("%s bears tax of %v, want %s", st.Items[i].ID, st.Items[i].Share(landed.Tax), want)
		}
	}
	if !slices.Equal(st.Unknown, []string{"box"}) {
		t.Errorf("not known of %v", st.Unknown)
	}
	for _, l := range st.Lines {
		if l.Without != nil {
			t.Errorf("%s is settled, and leaves out %v", l.What, l.Without)
		}
	}
	h.Parcels[0].Bill = landed.Bill{}
	h.Border.Bill = landed.Bill{Duty: amount("9 CAD")}
	if st = split(t, h.WithoutOpen()); st.Sum(landed.Duty) != amount("9 CAD") || st.Bills()[0].AsEstimated.Currency() != 0 {
		t.Errorf("duty %v, %+v", st.Sum(landed.Duty), st.Bills())
	}
}
