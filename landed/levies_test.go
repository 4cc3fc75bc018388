package landed_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// drawBill draws a bill with some lines known.
func drawBill(t *rapid.T) landed.Bill {
	line := func(name string) money.Amount {
		if !rapid.Bool().Draw(t, name+" known") {
			return money.Amount{}
		}
		return money.New(rapid.Int64Range(0, 9999).Draw(t, name), cad)
	}
	return landed.Bill{Duty: line("duty"), Tax: line("tax"), Fee: line("fee")}
}

// levied is a kind of what the border asks of a parcel; "" is the whole haul.
type levied struct {
	parcel string
	kind   landed.Kind
}

// TestParcelBills: with some parcels billed, or all of them at once, the total
// is what the haul costs without the border, the bills, and the estimates of
// what is not billed; each bill stands beside the estimate it replaced; and the
// items bear all of it.
func TestParcelBills(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := travelling(t)
		for i := range h.Lots {
			n := rapid.IntRange(0, 2).Draw(t, "parcel")
			for len(h.Parcels) <= n {
				h.Parcels = append(h.Parcels, landed.Parcel{ID: fmt.Sprint("p", len(h.Parcels)), Carriage: landed.Carriage{Freight: money.New(rapid.Int64Range(1, 9000).Draw(t, "freight"), jpy)}})
			}
			h.Parcels[n].Lots = append(h.Parcels[n].Lots, h.Lots[i].ID)
		}
		h.Parcels = withLots(h.Parcels)
		estimates, want := map[levied]int64{}, int64(0)
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		for i := range st.Lines {
			if l := &st.Lines[i]; l.Estimated {
				estimates[levied{l.Parcel, l.Kind}] += l.Home.Minor()
				estimates[levied{"", l.Kind}] += l.Home.Minor()
			} else {
				want += l.Home.Minor()
			}
		}
		bills := map[levied]money.Amount{}
		bill := func(parcel string, b landed.Bill) {
			bills[levied{parcel, landed.Duty}], bills[levied{parcel, landed.Tax}], bills[levied{parcel, landed.Fee}] = b.Duty, b.Tax, b.Fee
		}
		whole := rapid.Bool().Draw(t, "one bill for all")
		if whole {
			h.Border.Bill = drawBill(t)
			bill("", h.Border.Bill)
		}
		for i := range h.Parcels {
			p := &h.Parcels[i]
			if !whole {
				p.Bill = drawBill(t)
				bill(p.ID, p.Bill)
			}
			for _, k := range []landed.Kind{landed.Duty, landed.Tax, landed.Fee} {
				if b := bills[levied{p.ID, k}]; b.Currency() != 0 {
					want += b.Minor()
				} else if bills[levied{"", k}].Currency() == 0 {
					want += estimates[levied{p.ID, k}]
				}
			}
		}
		if whole {
			want += h.Border.Bill.Duty.Minor() + h.Border.Bill.Tax.Minor() + h.Border.Bill.Fee.Minor()
		}
		if st, err = landed.Split(h); err != nil {
			t.Fatal(err)
		}
		if st.Total.Minor() != want {
			t.Fatalf("total %v, want %d", st.Total, want)
		}
		checkBorne(t, st)
		for of, b := range bills {
			if b.Currency() == 0 {
				delete(bills, of)
			}
		}
		for _, b := range st.Bills() {
			of := levied{b.Parcel, b.Kind}
			if b.Home != bills[of] || b.AsEstimated.Minor() != estimates[of] {
				t.Fatalf("%v: bill %v beside %v, want %v beside %d", of, b.Home, b.AsEstimated, bills[of], estimates[of])
			}
			delete(bills, of)
		}
		if len(bills) > 0 {
			t.Fatalf("not told: %v", bills)
		}
	})
}

func withLots(parcels []landed.Parcel) []landed.Parcel {
	var some []landed.Parcel
	for _, p := range parcels {
		if len(p.Lots) > 0 {
			some = append(some, p)
		}
	}
	return some
}

// checkBorne: items bear the total, and what is of one parcel is borne by the
// items of its lots alone.
func checkBorne(t *rapid.T, st *landed.Statement) {
	var sum int64
	for i := range st.Items {
		sum += st.Items[i].Cost.Minor()
	}
	if sum != st.Total.Minor() {
		t.Fatalf("items bear %d of %v", sum, st.Total)
	}
	for i := range st.Lines {
		l, parts := &st.Lines[i], int64(0)
		for _, p := range l.Parts() {
			parts += p.Minor
		}
		if parts != l.Home.Minor() {
			t.Fatalf("%s of %s: %d shared of %v", l.What, l.Parcel, parts, l.Home)
		}
	}
}

// TestParcelSettled: what the bank took for a parcel's freight, insurance and
// fees takes the place of the conversion, each by itself; where nothing was
// asked it stands alone. Customs looks at what was asked.
func TestParcelSettled(t *testing.T) {
	h := imported("100 CAD", "30 CAD")
	h.To, h.Border.Market = "GB", market("1 CAD = 0.54 GBP")
	h.Market = market("100 JPY = 0.93 CAD", "1 GBP = 1.85 CAD")
	h.Charges = nil
	h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Carriage: landed.Carriage{Freight: amount("3000 JPY"), Insurance: amount("200 JPY")}}}
	asked := split(t, h)
	h.Parcels[0].Settled = landed.Carriage{Freight: amount("29.40 CAD"), Fees: amount("3.10 CAD")}
	st := split(t, h)
	got := fmt.Sprint(st.Sum(landed.Freight).Number(), " ", st.Sum(landed.Insurance).Number(), " ", money.New(st.Sum(landed.Fee).Minor()-asked.Sum(landed.Fee).Minor(), cad).Number())
	if got != "29.40 1.86 3.10" { // 200 JPY at 0.0093 is 1.86
		t.Errorf("got %s", got)
	}
	if paid := st.Lines[1].Asked(); paid != "3000 JPY" {
		t.Errorf("asked was %s", paid)
	}
	h.Parcels[0].Fees = amount("0 CAD") // asked for nothing, and customs counts what was asked
	if again := split(t, h); again.Border.Parcels[0].CustomsValue != asked.Border.Parcels[0].CustomsValue {
		t.Errorf("value for customs %v, and %v before it was settled", again.Border.Parcels[0].CustomsValue, asked.Border.Parcels[0].CustomsValue)
	}
}

// TestBillsAlone: without a section of customs a parcel's bill counts all the
// same, by price, and has no estimate beside it; and a bill in home needs no
// rate from the territory's currency.
func TestBillsAlone(t *testing.T) {
	h := imported("100 CAD", "30 CAD")
	h.Border, h.Share = nil, landed.DefaultBases().WithPrice(landed.ByCount)
	h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Bill: landed.Bill{Duty: amount("6 CAD"), Fee: amount("9 CAD")}}}
	st := split(t, h)
	if got := fmt.Sprint(st.Total, st.Items[0].Share(landed.Duty), st.Items[1].Share(landed.Duty)); got != "145.00 CAD 4.00 CAD 2.00 CAD" {
		t.Errorf("got %s", got)
	}
	if len(st.Bills()) != 2 || st.Bills()[0].AsEstimated.Currency() != 0 {
		t.Errorf("bills %v", st.Bills())
	}

	h = imported("100 JPY", "30 CAD")
	h.To, h.Border.Market = "GB", market("1 JPY = 0.005 GBP", "1 CAD = 0.54 GBP")
	h.Border.Bill = landed.Bill{Duty: amount("6 CAD"), Tax: amount("6 CAD"), Fee: amount("9 CAD")}
	if st := split(t, h); st.Bills()[2].Home.String() != "9.00 CAD" {
		t.Errorf("bills %v", st.Bills())
	}
}

// TestTwoBills: the bill of the haul and one of a parcel cannot both stand.
func TestTwoBills(t *testing.T) {
	h := imported("100 CAD", "30 CAD")
	h.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Bill: landed.Bill{Duty: amount("6 CAD")}}}
	h.Border.Bill = landed.Bill{Tax: amount("9 CAD")}
	_, err := landed.Split(h)
	const want = "parcel box: assessed: there is a bill of the whole haul too, under customs: assessed: keep the bills of the parcels, or that of the haul"
	if err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

// TestBillsWithoutRules: a bill that is whole counts where no rules are known for the day. Of a
// price of 72.00 CAD the planes bear 61.71 and the square 10.29 (120 and 20 parts of 140), and by
// these 2.59 and 18.20 are shared: 2.5900 x 61.71 / 72 = 2.2198, 18.20 x 61.71 / 72 = 15.5990.
func TestBillsWithoutRules(t *testing.T) {
	h := imported("72 CAD", "21.60 CAD")
	h.Date = time.Date(2019, 10, 3, 0, 0, 0, 0, time.UTC)
	h.Lots[0].Items = []landed.Item{item("jack", 2, "1.9 kg", "60 CAD"), item("square", 1, "300 g", "20 CAD")}
	h.Border.Bill = landed.Bill{Duty: amount("2.59 CAD"), Tax: amount("18.20 CAD")}
	if _, err := landed.Split(h); err == nil || !strings.Contains(err.Error(), "the customs rules of CA are known from") {
		t.Fatalf("without a fee: %v", err)
	}
	h.Border.Bill.Fee = amount("0 CAD")
	st, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"2.22 15.60", "0.37 2.60"} {
		share := func(k landed.Kind) string { return st.Items[i].Share(k).Number() }
		if got := share(landed.Duty) + " " + share(landed.Tax); got != want {
			t.Errorf("item %d bears %s, want %s", i, got, want)
		}
	}
	for _, b := range st.Bills() {
		if b.AsEstimated.Currency() != 0 {
			t.Errorf("%s is estimated at %s", b.What, b.AsEstimated)
		}
	}
}

// TestOneBillOfCrossedParcels: which lots shared a box has nothing to say in how one bill for all
// boxes is shared: by the basis asked for over all items in file order, worked out here with
// fractions, also where the lots in the boxes are not in the order of the file.
func TestOneBillOfCrossedParcels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := crates()
		h.Date, h.Charges, h.Lots = time.Date(2019, 10, 3, 0, 0, 0, 0, time.UTC), nil, nil // of that day no rules are known
		h.Parcels = []landed.Parcel{{ID: "p0"}, {ID: "p1"}, {ID: "p2"}}
		for i := range rapid.IntRange(3, 6).Draw(t, "lots") {
			it := item(fmt.Sprint("i", i), rapid.Int64Range(1, 5).Draw(t, "count"), "", "")
			it.Weighed, it.Weight = true, measureOf(rapid.Int64Range(1, 9999).Draw(t, "weight"))
			it.Value = money.New(rapid.Int64Range(1, 9999).Draw(t, "value"), cad)
			h.Lots = append(h.Lots, landed.Lot{ID: fmt.Sprint("l", i), Price: money.New(rapid.Int64Range(1, 9999).Draw(t, "price"), cad), Items: []landed.Item{it}})
			p := &h.Parcels[rapid.IntRange(0, 2).Draw(t, "parcel")]
			p.Lots = append(p.Lots, h.Lots[i].ID)
		}
		h.Parcels = withLots(h.Parcels)
		h.Share = landed.DefaultBases()
		bases := []landed.Basis{landed.ByWeight, landed.ByCount, landed.ByValue, landed.ByLine, landed.ByAssessed}
		for k := landed.Fee; int(k) < landed.Kinds; k++ {
			h.Share[k] = rapid.SampledFrom(bases[:len(bases)-map[bool]int{k == landed.Fee: 1}[true]]).Draw(t, "basis")
		}
		h.Border = &landed.Border{Book: imported("1 CAD", "1 CAD").Border.Book, Bill: landed.Bill{Duty: amount("12.34 CAD"), Tax: amount("56.78 CAD"), Fee: amount("9.95 CAD")}}
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		o := newOracle(h, nil)
		for k, bill := range map[landed.Kind]money.Amount{landed.Duty: h.Border.Bill.Duty, landed.Tax: h.Border.Bill.Tax, landed.Fee: h.Border.Bill.Fee} {
			var weights []*big.Rat
			for i := range h.Lots {
				if h.Share[k] == landed.ByAssessed { // by price, where nothing is assessed
					weights = append(weights, major(h.Lots[i].Price))
				} else {
					weights = append(weights, o.weight(h.Lots[i].Items[0], h.Share[k]))
				}
			}
			shares, _ := shareOut(big.NewInt(bill.Minor()), weights)
			for i, want := range shares {
				if got := st.Items[i].Share(k); got.Minor() != want.Int64() {
					t.Fatalf("%s by %s: item %d bears %v, want %v; all %v", k, h.Share[k], i, got, want, shares)
				}
			}
		}
	})
}
