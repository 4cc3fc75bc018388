package live_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

func currency(t testing.TB, code string) money.Currency {
	t.Helper()
	c, err := money.ParseCurrency(code)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// about is roughly what currencies are worth beside each other.
var about = map[string]float64{"CAD": 1, "EUR": 1.6, "GBP": 1.8, "ILS": 0.37, "JPY": 0.0093, "KRW": 0.001, "KWD": 4.4, "AUD": 0.9, "BRL": 0.25, "CHF": 1.6, "NOK": 0.13, "NZD": 0.82, "SEK": 0.14, "SGD": 1.05, "TWD": 0.043, "USD": 1.37, "ZAR": 0.075}

// drawer draws hauls.
type drawer struct {
	*rand.Rand
	t    testing.TB
	home money.Currency
	away []money.Currency
}

func (d *drawer) one(in int) bool { return d.IntN(in) == 0 }

// amount is one of up to so many hundreds.
func (d *drawer) amount(hundreds int64, home bool) money.Amount {
	c := d.home
	if !home {
		c = d.away[d.IntN(len(d.away))]
	}
	unit := int64(1)
	for range c.Digits() {
		unit *= 10
	}
	if c.Code() == "JPY" {
		unit = 100
	}
	return money.New(1+d.Int64N(100*hundreds*unit), c)
}

// randomHaul draws a haul of everything that a file may hold: several lots of several sellers in
// several boxes, settled and not, charges of all kinds, values in several currencies, pieces found
// dead, missing, extra, and good for parts. It may be refused.
func randomHaul(t testing.TB, seed uint64) *landed.Haul {
	d := &drawer{Rand: rand.New(rand.NewPCG(77, seed)), t: t}
	codes := [][]string{{"CAD", "JPY", "GBP"}, {"EUR", "JPY", "GBP"}, {"JPY", "GBP", "EUR"}, {"KWD", "EUR", "JPY"}, {d.pick("AUD", "CHF", "GBP", "NOK", "NZD", "SGD", "TWD", "USD"), "JPY", "CAD"}}[d.IntN(5)]
	d.home = currency(t, codes[0])
	var rates []fx.Equation
	for _, code := range codes[1:] {
		d.away = append(d.away, currency(t, code))
		units := []int64{1, 100}[d.IntN(2)]
		worth := about[code] / about[codes[0]] * (0.8 + 0.4*d.Float64()) * float64(units)
		rates = append(rates, fx.Equation{LeftAmount: decimal.NewFromInt(units), Left: fx.Code(code), RightAmount: decimal.NewFromFloat(worth).Round(6), Right: fx.Code(codes[0])})
	}
	market, err := fx.NewMarket(rates, nil, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	h := &landed.Haul{Home: d.home, Market: market, Spread: decimal.New(d.Int64N(40), -3), Date: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC),
		Losses: landed.LossRule(d.IntN(4))}
	opened, mixed := d.one(2), d.one(3)
	for n := range 1 + d.IntN(4) {
		h.Lots = append(h.Lots, d.lot(n, opened, mixed))
	}
	for n := range h.Lots {
		if len(h.Lots) > 1 && n < 2 && seed%2 == 0 {
			h.Parcels = append(h.Parcels, landed.Parcel{ID: fmt.Sprint("box-", n), Carriage: landed.Carriage{Freight: d.amount(1, false)}})
		}
		if len(h.Parcels) > 0 {
			p := &h.Parcels[n%len(h.Parcels)]
			p.Lots = append(p.Lots, h.Lots[n].ID)
		}
	}
	for n := range d.IntN(6) {
		h.Charges = append(h.Charges, d.charge(n, h))
	}
	if places := entries[d.home.Code()]; len(places) > 0 && d.one(2) {
		d.border(h, d.pick(places...))
	}
	return h
}

func (d *drawer) lot(n int, opened, mixed bool) landed.Lot {
	lot := landed.Lot{ID: fmt.Sprint("lot-", n), Seller: fmt.Sprint("seller-", d.IntN(2)), Price: d.amount(2, d.one(4))}
	if !d.one(3) {
		lot.Premium = decimal.New(1+d.Int64N(250), -3)
	}
	if d.one(4) {
		lot.Settled = d.amount(2, true)
	}
	for k := range 1 + d.IntN(5) {
		item := landed.Item{ID: fmt.Sprintf("item-%d-%d", n, k), What: "=a plane", Count: 1 + d.Int64N(5), Weighed: true, Value: d.amount(1, !mixed || d.one(2))}
		item.Weight = measure.Gram * measure.Weight(1+d.Int64N(3000))
		switch d.IntN(4) {
		case 0:
			item.Weight = 28_349_523_125 * measure.Weight(1+d.Int64N(60))
		case 1:
			item.Weight = measure.Gram * 100 * measure.Weight(1+d.Int64N(5)) // ties
		}
		if opened && !d.one(3) {
			d.open(&item)
		}
		if d.one(5) {
			item.Repair = d.amount(1, true)
		}
		lot.Items = append(lot.Items, item)
	}
	return lot
}

// open draws what was found of an item.
func (d *drawer) open(item *landed.Item) {
	f := &landed.Found{Extra: d.Int64N(2)}
	for range item.Count + f.Extra {
		*[]*int64{&f.Sound, &f.Parts, &f.Dead, &f.Missing, &f.Sound}[d.IntN(5)]++
	}
	if item.Found = f; !d.one(3) {
		item.PartsValue = d.amount(1, !d.one(4))
	}
	for n := range d.IntN(3) {
		if f.Dead > 0 {
			f.Yields = append(f.Yields, landed.Yield{What: fmt.Sprint("iron-", n), Count: 1 + d.Int64N(3), Value: money.New(1+d.Int64N(900), d.home)})
		}
	}
}

func (d *drawer) charge(n int, h *landed.Haul) landed.Charge {
	c := landed.Charge{What: fmt.Sprint("charge-", n), Kind: []landed.Kind{landed.Freight, landed.Insurance, landed.Fee, landed.Repair}[d.IntN(4)], Per: landed.Per(d.IntN(5)), Amount: d.amount(1, d.one(3))}
	c.By = landed.Basis(d.IntN(5))
	switch {
	case d.one(5):
		c.Amount, c.OfPrice, c.Percent, c.Per = money.Amount{}, true, decimal.New(1+d.Int64N(60), -3), landed.PerHaul
	case d.one(6):
		c.Amount = money.New(-c.Amount.Minor(), c.Amount.Currency())
	case d.one(5):
		c.Settled = d.amount(1, true)
	}
	if d.one(3) {
		c.On = []string{h.Lots[d.IntN(len(h.Lots))].ID}
	}
	return c
}

func (d *drawer) pick(of ...string) string { return of[d.IntN(len(of))] }

// entries are places whose rules are in a currency.
var entries = map[string][]string{"CAD": {"CA-ON", "CA-QC", "CA-BC"}, "EUR": {"DE", "FR"}, "AUD": {"AU"}, "CHF": {"CH"}, "GBP": {"GB"}, "NOK": {"NO"}, "NZD": {"NZ"}, "SGD": {"SG"}, "TWD": {"TW"}, "USD": {"US"}}

func (d *drawer) border(h *landed.Haul, to string) {
	h.From, h.To = "JP", to
	rate := customs.Rate{Fraction: decimal.New(d.Int64N(130), -3)}
	h.Border = &landed.Border{Book: customs.NewBook(), Use: []customs.Use{customs.Personal, customs.Resale}[d.IntN(2)], Mode: []customs.Mode{customs.Post, customs.Courier}[d.IntN(2)], Class: "tool", Classes: map[string]customs.Class{"tool": {Duty: &rate}}}
	for n := range h.Lots[0].Items {
		if d.one(3) {
			other := customs.Rate{Fraction: decimal.New(27, -3)}
			h.Border.Classes["other"] = customs.Class{Duty: &other}
			h.Lots[0].Items[n].Class = "other"
		}
	}
	if d.one(3) {
		h.Border.Bill.Duty = d.amount(1, true)
	}
}

// randomHauls are those of so many that can be split.
func randomHauls(t testing.TB, n int) []*landed.Haul {
	t.Helper()
	var hauls []*landed.Haul
	for seed := uint64(0); len(hauls) < n; seed++ {
		if seed > uint64(20*n+50) {
			t.Fatal("too many hauls are refused")
		}
		if h := randomHaul(t, seed); accepted(h) {
			hauls = append(hauls, h)
		}
	}
	return hauls
}

func accepted(h *landed.Haul) bool {
	_, err := landed.Split(h)
	return err == nil
}
