package landed_test

import (
	"errors"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestUncounted: when a statement says that it holds no border.
func TestUncounted(t *testing.T) {
	for _, c := range []struct {
		name     string
		spoil    func(*landed.Haul)
		reported bool
	}{
		{"counted", func(*landed.Haul) {}, false},
		{"not counted", func(h *landed.Haul) { h.Border = nil }, true},
		{"at home", func(h *landed.Haul) { h.Border, h.From = nil, "CA-AB" }, false},
		{"within a union", func(h *landed.Haul) { h.Border, h.From, h.To = nil, "FR", "DE" }, false},
		{"out of a union", func(h *landed.Haul) { h.Border, h.From, h.To = nil, "FR", "NO" }, true},
		{"where there are no rules", func(h *landed.Haul) { h.Border, h.To = nil, "MX" }, true},
		{"not said, in money of home", func(h *landed.Haul) { h.Border, h.From, h.To = nil, "", "" }, false},
		{"not said, in other money", func(h *landed.Haul) { h.Border, h.From, h.To, h.Lots[0].Price = nil, "", "", amount("9000 JPY") }, true},
		{"one not said, in other money", func(h *landed.Haul) { h.Border, h.From, h.Lots[0].Price = nil, "", amount("9000 JPY") }, true},
		{"billed, parcel by parcel", func(h *landed.Haul) {
			h.Border, h.Parcels = nil, []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Bill: landed.Bill{Tax: amount("9 CAD"), Fee: amount("0 CAD")}}}
		}, false}, // goods free of duty
		{"billed without its fee", func(h *landed.Haul) {
			h.Border, h.Parcels = nil, []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Bill: landed.Bill{Tax: amount("9 CAD")}}}
		}, true},
		{"billed in part, where there are no rules", func(h *landed.Haul) {
			h.Border, h.To, h.Parcels = nil, "MX", []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Bill: landed.Bill{Tax: amount("9 CAD")}}}
		}, false},
	} {
		h := imported("100 CAD", "30 CAD")
		c.spoil(h)
		if u := split(t, h).Uncounted(); (u != nil) != c.reported {
			t.Errorf("%s: told %+v", c.name, u)
		}
	}
}

// TestUncountedIsSplit: what the border may add is what Split says of the haul
// once it has a customs section of that kind; without a day by the rules that
// are in force last, and for the parcels that have no bill.
func TestUncountedIsSplit(t *testing.T) {
	free := customs.Rate{}
	rapid.Check(t, func(t *rapid.T) {
		h := travelling(t)
		h.From, h.Market = "JP", market("100 JPY = 0.93 CAD", "1 USD = 1.37 CAD", "1 GBP = 1.85 CAD", "1 AUD = 0.9 CAD", "1 NZD = 0.83 CAD", "1 EUR = 1.62 CAD", "1 CHF = 1.73 CAD", "1 NOK = 0.137 CAD")
		h.Border = &landed.Border{Book: customs.NewBook(), Class: "free", Classes: map[string]customs.Class{"free": {Code: "8205.59", Duty: &free}}}
		for i := range h.Lots {
			h.Parcels = append(h.Parcels, landed.Parcel{ID: h.Lots[i].ID, Lots: []string{h.Lots[i].ID}, Carriage: landed.Carriage{Freight: money.New(rapid.Int64Range(0, 9000).Draw(t, "freight"), jpy)}})
		}
		if rapid.Bool().Draw(t, "billed") {
			h.Parcels[0].Bill = landed.Bill{Duty: amount("0 CAD"), Tax: amount("7 CAD"), Fee: amount("0 CAD")}
			if rapid.Bool().Draw(t, "in part") {
				h.Parcels[0].Bill.Fee = money.Amount{}
			}
		}
		counted, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		h.Border = nil
		bare, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		u := bare.Uncounted()
		inPart := len(h.Parcels) == 1 && h.Parcels[0].Bill != (landed.Bill{})
		if h.Billed() || u == nil && inPart && counted.Total == bare.Total {
			if u != nil {
				t.Fatalf("all is billed, and told is %+v", u)
			}
			return
		}
		if u == nil || u.Why != nil || inPart && u.Most.Sign() == 0 {
			t.Fatalf("told %+v", u)
		}
		if want := counted.Total.Minor() - bare.Total.Minor(); u.Least.Minor() != want || u.Duty.Minor()+u.Tax.Minor()+u.Fee.Minor() != want {
			t.Fatalf("%s: told %v (%v, %v, %v), want %d", h.To, u.Least, u.Duty, u.Tax, u.Fee, want)
		}
		if u.Most.Cmp(u.Least) < 0 || (u.Most == u.Least) != (u.If == "") {
			t.Fatalf("up to %v if %q, from %v", u.Most, u.If, u.Least)
		}
	})
}

// TestUncountedWhy: why it is not known how much the border adds.
func TestUncountedWhy(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*landed.Haul)
		want  any
	}{
		{"no rules", func(h *landed.Haul) { h.To = "MX" }, new(*customs.NoRulesError)},
		{"no province", func(h *landed.Haul) { h.To = "CA" }, new(*customs.InputError)},
	} {
		h := imported("100 CAD", "30 CAD")
		h.Border = nil
		c.spoil(h)
		u := split(t, h).Uncounted()
		if u == nil || !errors.As(u.Why, c.want) || u.Least.Currency() != 0 {
			t.Errorf("%s: %+v", c.name, u)
		}
	}
	h := imported("100 CAD", "30 CAD")
	h.Border, h.To = nil, "GB"
	if u := split(t, h).Uncounted(); u == nil || u.Why == nil || u.Why.Error() != `no rate from CAD to GBP: state one ("100 CAD = … GBP") or give a table that holds it` {
		t.Errorf("without a rate: %+v", u)
	}
}

// TestUncountedRange: up to 135 GBP the seller charges British tax, unless that
// is a private person: 20 % of 100 GBP and 8.00 handling are then due at the
// door, of goods of 100.00 and freight of 30.00. Without a day the newest rules
// count.
func TestUncountedRange(t *testing.T) {
	h := imported("100 GBP", "30 GBP")
	h.Border, h.To, h.Home, h.Market = nil, "GB", money.MustCurrency("GBP"), nil
	for i := range h.Lots[0].Items {
		h.Lots[0].Items[i].Value = amount("10 GBP")
	}
	u := split(t, h).Uncounted()
	if u == nil || u.Least.Number() != "0.00" || u.Most.Minor() < 2600 || u.If == "" {
		t.Errorf("told %+v", u)
	}
	h.Date = time.Time{}
	if again := split(t, h).Uncounted(); again == nil || again.Most.Minor() < 2600 {
		t.Errorf("without a day: %+v", again)
	}
	h.Date = time.Date(1999, 1, 1, 0, 0, 0, 0, time.UTC)
	if u := split(t, h).Uncounted(); u == nil || u.Why == nil {
		t.Errorf("on a day without rules: %+v", u)
	}
}

// TestUncountedBeyond: what one more lot adds at a border that is not counted.
// 60.00 GBP alone are left to the seller, or 12.00 tax and the handling where that
// is a private person; 160.00 GBP bear 32.00 and the handling either way.
func TestUncountedBeyond(t *testing.T) {
	of := func(price string) *landed.Uncounted {
		h := imported(price, "0 GBP")
		h.Border, h.To, h.Home, h.Market = nil, "GB", money.MustCurrency("GBP"), nil
		h.Share = landed.DefaultBases().WithPrice(landed.ByCount)
		return split(t, h).Uncounted()
	}
	all := of("160 GBP")
	if all.Tax.Number() != "32.00" || all.Fee.Sign() <= 0 {
		t.Fatalf("told %+v", all)
	}
	more := all.Beyond(of("60 GBP"))
	if more.Least.Number() != "20.00" || more.Most.Minor() != 3200+all.Fee.Minor() || more.If == "" {
		t.Errorf("told %+v", more)
	}
	if same := all.Beyond(nil); same.Least != all.Least || same.If != "" {
		t.Errorf("told %+v", same)
	}
}
