package landed_test

import (
	"math/big"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// crossingInto is one lot of 2000 with freight 200, insurance 50 and a fee of 100,
// all in the territory's own currency, at a duty of 5 %.
func crossingInto(to string, currency string, dutiable landed.Dutiable) *landed.Haul {
	duty := customs.Rate{Fraction: number("0.05")}
	in := func(number string) money.Amount { return amount(number + " " + currency) }
	it := item("jack", 1, "2 kg", "")
	return &landed.Haul{
		Home: money.MustCurrency(currency), Date: purchaseDay, From: "JP", To: to,
		Share: landed.DefaultBases().WithPrice(landed.ByCount),
		Lots:  []landed.Lot{{ID: "crate", Price: in("2000"), Items: []landed.Item{it}}},
		Charges: []landed.Charge{
			{What: "Parcel", Kind: landed.Freight, Amount: in("200")},
			{What: "Cover", Kind: landed.Insurance, Amount: in("50"), By: landed.ByCount},
			{What: "Packing", Kind: landed.Fee, Amount: in("100"), Dutiable: dutiable},
			{What: "Refund", Kind: landed.Fee, Amount: in("-30")},
		},
		// By courier and for resale, so that no fee of the entry and no choice
		// of a flat rate is in the way.
		Border: &landed.Border{Book: customs.NewBook(), Use: customs.Resale, Mode: customs.Courier, Class: "tool", Fees: []customs.Fee{},
			Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}},
	}
}

// rounded is a fraction in steps of one over perUnit, half away from zero.
func rounded(x *big.Rat, perUnit int64) *big.Rat {
	scaled := new(big.Rat).Add(new(big.Rat).Mul(x, big.NewRat(perUnit, 1)), big.NewRat(1, 2))
	whole := new(big.Int).Div(scaled.Num(), scaled.Denom())
	return new(big.Rat).SetFrac(whole, big.NewInt(perUnit))
}

// TestFeesInTheValue sets duty and tax beside a second computation from the
// prose of the rules. Other fees are in the value for customs of the European
// Union, Switzerland, Great Britain and Norway (Directive 2006/112/EC, article
// 86(1)(b), and the sources of the rule files), and in no base of the others.
func TestFeesInTheValue(t *testing.T) {
	for _, c := range []struct {
		to, currency string
		holds        int64 // freight, insurance and fee, as far as the value holds them
		fee          int64 // of it the fee
		duties       int64 // duty is rounded to one over this
		vat          *big.Rat
		taxed        int64 // what is taxed beside value and duty
		bases, taxes int64 // steps to which the base of the tax, and the tax, are rounded
	}{
		{"DE", "EUR", 350, 100, 100, big.NewRat(19, 100), 0, 100, 100},
		{"FR", "EUR", 350, 100, 100, big.NewRat(20, 100), 0, 100, 100},
		{"GB", "GBP", 350, 100, 100, big.NewRat(20, 100), 0, 100, 100},
		{"CH", "CHF", 350, 100, 100, big.NewRat(81, 1000), 0, 1, 100},
		{"NO", "NOK", 350, 100, 1, big.NewRat(25, 100), 0, 100, 1},
		{"NZ", "NZD", 0, 0, 100, big.NewRat(15, 100), 250, 100, 100},
		{"AU", "AUD", 0, 0, 100, big.NewRat(10, 100), 250, 100, 100},
		{"CA-AB", "CAD", 0, 0, 100, big.NewRat(5, 100), 0, 100, 100},
	} {
		for _, how := range []struct {
			dutiable     landed.Dutiable
			goods, takes int64 // the fee as part of the goods, and as taken out
		}{{0, 0, 0}, {landed.AsGoods, 100, c.fee}, {landed.NotDutiable, 0, c.fee}} {
			st := split(t, crossingInto(c.to, c.currency, how.dutiable))
			value := big.NewRat(2000+how.goods+c.holds-how.takes, 1)
			duty := rounded(new(big.Rat).Mul(value, big.NewRat(5, 100)), c.duties)
			base := new(big.Rat).Add(new(big.Rat).Add(value, duty), big.NewRat(c.taxed, 1))
			tax := rounded(new(big.Rat).Mul(rounded(base, c.bases), c.vat), c.taxes)
			if got, want := st.Sum(landed.Duty).Number(), duty.FloatString(2); got != want {
				t.Errorf("%s, %v: duty %s, want %s", c.to, how.dutiable, got, want)
			}
			if got, want := st.Sum(landed.Tax).Number(), tax.FloatString(2); got != want {
				t.Errorf("%s, %v: tax %s, want %s", c.to, how.dutiable, got, want)
			}
		}
	}
}

// TestFeesOutside: Japan (60 % of the price for personal use; price, freight
// and insurance for resale) and the United States hold no other fees.
func TestFeesOutside(t *testing.T) {
	for to, currency := range map[string]string{"JP": "JPY", "US": "USD"} {
		for _, use := range []customs.Use{customs.Personal, customs.Resale} {
			h := crossingInto(to, currency, 0)
			h.From, h.Border.Use = "GB", use
			h.Border.Classes["tool"] = customs.Class{Code: "8205.59", Duty: h.Border.Classes["tool"].Duty, Surcharges: map[string]decimal.Decimal{"GB": number("0")}}
			h.Lots[0].Price = amount("900000 JPY")
			if currency == "USD" {
				h.Lots[0].Price = amount("900 USD")
			}
			with := split(t, h)
			h.Charges[2].Dutiable = landed.NotDutiable
			without := split(t, h)
			if with.Sum(landed.Duty) != without.Sum(landed.Duty) || with.Sum(landed.Tax) != without.Sum(landed.Tax) {
				t.Errorf("%s, %v: duty %v and tax %v with the fee, %v and %v without", to, use, with.Sum(landed.Duty), with.Sum(landed.Tax), without.Sum(landed.Duty), without.Sum(landed.Tax))
			}
			if with.Sum(landed.Duty).Sign() == 0 {
				t.Errorf("%s, %v: no duty, so that nothing was tested", to, use)
			}
		}
	}
}

// TestFeesOfParcels: what stands at the parcel, such as a forwarder's fee,
// counts as a charge of kind fee does. By hand: 100000 JPY, freight 20000, fee
// 20000 at 0.006 are 840.00 EUR; 2.7 % duty 22.68; 19 % of 862.68 is 163.9092.
func TestFeesOfParcels(t *testing.T) {
	duty := customs.Rate{Fraction: number("0.027")}
	h := imported("100000 JPY", "20000 JPY")
	h.Home, h.To, h.Market = money.MustCurrency("EUR"), "DE", market("100 JPY = 0.60 EUR", "1 CAD = 0.62 EUR")
	h.Border.Classes = map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}
	charged := *h
	charged.Charges = append(charged.Charges[:1:1], landed.Charge{What: "Handling", Kind: landed.Fee, Amount: amount("20000 JPY")})
	boxed := *h
	boxed.Charges = nil
	boxed.Parcels = []landed.Parcel{{ID: "box", Lots: []string{"crate"}, Carriage: landed.Carriage{Freight: amount("20000 JPY"), Fees: amount("20000 JPY")}}}
	for name, h := range map[string]*landed.Haul{"charge": &charged, "parcel": &boxed} {
		st := split(t, h)
		if got := st.Sum(landed.Duty).String() + " + " + st.Sum(landed.Tax).String(); got != "22.68 EUR + 163.91 EUR" {
			t.Errorf("%s: %s", name, got)
		}
	}
}
