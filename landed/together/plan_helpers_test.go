package together_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/typed"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

var (
	cad = money.MustCurrency("CAD")
	jpy = money.MustCurrency("JPY")
)

func amount(s string) money.Amount { return typed.Amount(s) }

func number(s string) decimal.Decimal { return typed.Number(s) }

func date(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return d
}

func market(equations ...string) *fx.Market { return typed.Market(time.Time{}, equations...) }

// service is one with steps of a kilogram, in yen.
func service(name string, first, further int64) *freight.Service {
	return &freight.Service{Name: name, Currency: jpy, Zones: []freight.Zone{{
		Steps:   []money.Step[units.Weight]{{UpTo: units.Kilogram, Price: money.New(first, jpy)}},
		Further: money.Step[units.Weight]{UpTo: units.Kilogram, Price: money.New(further, jpy)},
	}}}
}

// lot is one item of a weight in grams.
func lot(id string, price, grams int64) landed.Lot {
	return landed.Lot{ID: id, Seller: "tidemark", Price: money.New(price, jpy), Items: []landed.Item{
		{ID: id + "-item", Count: 1, Weight: units.Weight(grams) * units.Gram, Weighed: true, Value: money.New(max(price, 1), jpy)}}}
}

// haul is a haul and how it may travel.
type haul struct {
	landed.Haul
	Sending *together.Sending
}

// haul is some lots bought in yen that may go by some services.
func haulOf(lots []landed.Lot, services ...*freight.Service) *haul {
	return &haul{landed.Haul{Home: cad, Date: date("2026-10-03"), From: "JP", To: "CA-ON", Market: market("100 JPY = 0.93 CAD"), Lots: lots},
		&together.Sending{Services: services}}
}

// randomHaul draws a haul of a number of lots and services that enters some
// territory, or none.
func randomHaul(r *rand.Rand, lots, services int) *haul {
	h := haulOf(nil)
	for s := range services {
		h.Sending.Services = append(h.Sending.Services, randomService(r, s))
	}
	h.Spread = decimal.New(r.Int64N(30), -3)
	sellers := []string{"tidemark", "northlight", ""}[:1+r.IntN(3)]
	sized := r.IntN(3)
	for i := range lots {
		l := lot(fmt.Sprint("lot-", i), 200+r.Int64N([]int64{2_000, 20_000}[r.IntN(2)]), 50+r.Int64N(3500))
		l.Seller = sellers[r.IntN(len(sellers))]
		l.Premium = decimal.New(r.Int64N(3)*5, -2)
		if sized > r.IntN(2) {
			side := func() units.Length { return units.Length(2+r.Int64N(25)) * units.Centimetre }
			l.Size = units.Size{L: side(), W: side(), H: side()}
			l.Roll = r.IntN(5) == 0
		}
		if r.IntN(6) == 0 {
			l.Contents = []string{"liquids"}
		}
		l.Items = append(l.Items, landed.Item{ID: l.ID + "-b", Count: 2, Weight: 90 * units.Gram, Weighed: true, Value: amount("12 CAD")})
		l.Arrived = h.Date.AddDate(0, 0, r.IntN(10))
		if i > 0 && r.IntN(3) == 0 { // one like the lot before it
			alike := h.Lots[i-1]
			alike.ID, alike.Items = l.ID, nil
			for _, item := range h.Lots[i-1].Items {
				item.ID = fmt.Sprint(l.ID, "-", len(alike.Items))
				alike.Items = append(alike.Items, item)
			}
			l = alike
		}
		h.Lots = append(h.Lots, l)
	}
	randomRest(r, h)
	randomBorder(r, h)
	return h
}

func randomService(r *rand.Rand, n int) *freight.Service {
	s := service(fmt.Sprint("service-", n), 600+r.Int64N(3000), 100+r.Int64N(900))
	s.PerParcel = money.New(r.Int64N(3)*100, jpy)
	s.Limits.Weight = units.Weight(4+r.Int64N(9)) * units.Kilogram
	if r.IntN(2) == 0 {
		s.Limits.LengthPlusGirth = units.Length(90+r.Int64N(100)) * units.Centimetre
	}
	if r.IntN(3) == 0 {
		s.Limits.Value = money.New(15_000+r.Int64N(40_000), jpy)
	}
	if r.IntN(3) == 0 {
		s.Divisor, s.Billed, s.WholeTo = 5000, freight.Greater, units.Centimetre
	}
	if r.IntN(3) == 0 {
		s.Fuel = number("0.125")
	}
	if r.IntN(3) == 0 {
		s.Insurance = freight.Insurance{Rate: number("0.02"), Least: amount("200 JPY")}
	}
	if r.IntN(4) == 0 {
		s.Refuses = []string{"liquids"}
	}
	if r.IntN(4) == 0 { // dearer for a while, then cheaper: not every table rises
		s.Zones[0].Steps = []money.Step[units.Weight]{{UpTo: units.Kilogram, Price: money.New(2000, jpy)}, {UpTo: 3 * units.Kilogram, Price: money.New(1500, jpy)}}
	}
	if r.IntN(5) == 0 {
		s.Rolls = &freight.Limits{Weight: units.Kilogram}
	}
	return s
}

func randomRest(r *rand.Rand, h *haul) {
	s := h.Sending
	s.Packing = freight.Packing{Share: decimal.New(r.Int64N(10), -2), Fixed: units.Weight(r.Int64N(300)) * units.Gram, Padding: units.Centimetre}
	s.Leaves, s.Insure, s.Bare = h.Date.AddDate(0, 0, 15), r.IntN(2) == 0, r.IntN(2) == 0
	if r.IntN(2) == 0 {
		s.Forwarder = &freight.Forwarder{PerParcel: amount("300 JPY"), PerLot: amount("90 JPY"), Consolidation: amount("250 JPY"),
			FreeDays: 10, PerDay: amount("20 JPY"), PerKilogram: r.IntN(2) == 1}
	}
	id := func(i int) string { return h.Lots[i].ID }
	if n := len(h.Lots); n > 2 {
		p := r.Perm(n)
		if r.IntN(4) == 0 {
			s.Together = [][]string{{id(p[0]), id(p[1])}}
		}
		if r.IntN(4) == 0 {
			s.Apart = [][]string{{id(p[1]), id(p[2])}}
		}
	}
	h.Charges = []landed.Charge{{What: "Transfer", Kind: landed.Fee, Amount: amount("4 CAD")}, {What: "Estimate", Kind: landed.Freight, Amount: amount("9000 JPY")}}
	for _, c := range []landed.Charge{
		{What: "Label", Kind: landed.Fee, Amount: amount("130 JPY"), Per: landed.PerParcel},
		{What: "Packing", Kind: landed.Fee, Amount: amount("300 JPY"), Per: landed.PerLot, Dutiable: landed.AsGoods},
		{What: "Inland", Kind: landed.Freight, Amount: amount("900 JPY"), Per: landed.PerLot},
		{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.015"), Per: landed.PerParcel},
		{What: "Wrap", Kind: landed.Fee, Amount: amount("120 JPY"), Per: landed.PerParcel, Dutiable: landed.AsGoods},
	} {
		if r.IntN(4) == 0 {
			h.Charges = append(h.Charges, c)
		}
	}
}

// randomBorder picks a territory: without a border, by parcel, by day, by
// seller with freight in the value, and with a threshold that most lots pass
// only together.
func randomBorder(r *rand.Rand, h *haul) {
	places := []string{"", "CA-ON", "GB", "NZ", "US", "AU", "JP", "DE"}
	h.To = places[r.IntN(len(places))]
	if h.To == "" {
		return
	}
	h.Market = market("100 JPY = 0.93 CAD", "1 GBP = 1.85 CAD", "1 NZD = 0.83 CAD", "1 USD = 1.37 CAD", "1 AUD = 0.9 CAD", "1 EUR = 1.6 CAD")
	if h.To == "JP" {
		h.From = "CA"
	}
	if h.To == "US" {
		h.Date, h.Sending.Leaves = date("2025-03-03"), date("2025-03-20") // 800 USD a day were free of duty
		for i := range h.Lots {
			h.Lots[i].Arrived = date("2025-03-10")
		}
	}
	duty := customs.Rate{Fraction: number("0.065")}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}}
}

// wayTotals works out the least total of a haul by trying every division and
// every choice of services, each with a whole Split: of all ways, of those
// with each block apart, and of those with all in one box. A total is -1
// where there is no such way.
func wayTotals(h *haul) (best, apart, one int64) {
	best, apart, one = -1, -1, -1
	least := func(to *int64, total int64) {
		if *to < 0 || total < *to {
			*to = total
		}
	}
	blocks := 0
	var still []int
	for i := range h.Lots {
		if !hasCome(h, h.Lots[i].ID) {
			still = append(still, i)
		}
	}
	divisions(len(still), func(numbers []partition.Set) {
		parcels := make([]partition.Set, len(numbers))
		for n, set := range numbers {
			for _, i := range set.Elements() {
				parcels[n] |= partition.SetOf(still[i])
			}
		}
		if !keeps(h, parcels) {
			return
		}
		if len(parcels) > blocks {
			blocks, apart = len(parcels), -1
		}
		eachChoice(len(parcels), len(h.Sending.Services), func(services []int) {
			total, ok := totalOf(h, parcels, services)
			if !ok {
				return
			}
			least(&best, total)
			if len(parcels) == 1 {
				least(&one, total)
			}
			if len(parcels) == blocks {
				least(&apart, total)
			}
		})
	})
	return best, apart, one
}

// keeps reports whether a division keeps what must be together and apart.
func keeps(h *haul, parcels []partition.Set) bool {
	place := map[string]int{}
	for i := range h.Lots {
		for n, p := range parcels {
			if p.Has(i) {
				place[h.Lots[i].ID] = n + 1
			}
		}
	}
	for _, g := range h.Sending.Together {
		for _, id := range g {
			for _, other := range g {
				if place[id] != place[other] && place[id]*place[other] > 0 { // else one has come
					return false
				}
			}
		}
	}
	for _, g := range h.Sending.Apart {
		for i := range g {
			for j := range i {
				if place[g[i]] == place[g[j]] && place[g[i]] > 0 {
					return false
				}
			}
		}
	}
	return true
}

func eachChoice(n, of int, visit func([]int)) {
	choice := make([]int, n)
	var choose func(int)
	choose = func(i int) {
		if i == n {
			visit(choice)
			return
		}
		for choice[i] = range of {
			choose(i + 1)
		}
	}
	choose(0)
}

// totalOf splits a haul as sent, by the parts of package freight alone.
func totalOf(h *haul, parcels []partition.Set, services []int) (int64, bool) {
	sent := *h
	sent.Charges, sent.Parcels = nil, nil
	var there []string
	for _, p := range h.Parcels {
		if stood(h, &p) {
			sent.Parcels, there = append(sent.Parcels, p), append(there, p.Lots...)
		}
	}
	for _, c := range h.Charges {
		if c.Kind == landed.Freight && (c.Per == landed.PerHaul || c.Per == landed.PerParcel) {
			if c.On = there; there == nil { // else it was paid for what has come
				continue
			}
		}
		sent.Charges = append(sent.Charges, c)
	}
	for n, set := range parcels {
		p, ok := parcelOf(h, set, h.Sending.Services[services[n]])
		if !ok {
			return 0, false
		}
		p.ID = fmt.Sprint("p", n)
		sent.Parcels = append(sent.Parcels, p)
	}
	st, err := landed.Split(&sent.Haul)
	if err != nil {
		panic(err)
	}
	return st.Total.Minor(), true
}

func parcelOf(h *haul, set partition.Set, s *freight.Service) (landed.Parcel, bool) {
	var p landed.Parcel
	var lots []parcels.Lot
	var held []parcels.Lot
	var all []parcels.Lot // those with a size
	for _, i := range set.Elements() {
		l := &h.Lots[i]
		weight, _ := together.SentWeight(l)
		value, _ := money.Round(l.Price.Decimal().Mul(decimal.NewFromInt(1).Add(l.Premium)), decimal.NewFromInt(1), jpy)
		one := parcels.Lot{ID: l.ID, Weight: weight, Size: l.Size, Roll: l.Roll, Value: value, Contents: l.Contents}
		lots = append(lots, one)
		if l.Size != (units.Size{}) {
			all = append(all, one)
		}
		held = append(held, parcels.Lot{ID: l.ID, Arrived: l.Arrived, Weight: weight})
		p.Lots = append(p.Lots, l.ID)
	}
	boxes, err := parcels.Pack(lots, h.Sending.Packing)
	if err != nil {
		panic(err)
	}
	if len(all) > 0 && len(all) < len(lots) { // at least the box of those that have a size
		known, err := parcels.Pack(all, h.Sending.Packing)
		if err != nil {
			panic(err)
		}
		whole := boxes[0]
		boxes = nil
		for _, b := range known {
			whole.Size = b.Size
			boxes = append(boxes, whole)
		}
	}
	for i := range boxes {
		boxes[i].Uninsured = !h.Sending.Insure
	}
	if h.Sending.Insure && !h.Sending.Bare && s.Insurance.Rate.IsZero() {
		return p, false
	}
	tariff, err := parcels.Compile(s, "", h.Sending.Leaves)
	if err != nil {
		return p, false
	}
	q, err := tariff.Ask(boxes)
	if err != nil {
		return p, false
	}
	p.Freight = q.Total
	if last := q.Lines[len(q.Lines)-1]; last.What == "insurance" && last.Amount.Sign() > 0 {
		p.Freight, p.Insurance = money.New(q.Total.Minor()-last.Amount.Minor(), jpy), last.Amount
	}
	if f := h.Sending.Forwarder; f != nil {
		charges, err := parcels.Charges(f, held, h.Sending.Leaves)
		if err != nil {
			panic(err)
		}
		sum := int64(0)
		for _, c := range charges {
			sum += c.Amount.Minor()
		}
		p.Fees = money.New(sum, jpy)
	}
	return p, true
}

// divisions visits every way to divide n lots over parcels.
func divisions(n int, visit func([]partition.Set)) {
	var place func(lot int, parcels []partition.Set)
	place = func(lot int, parcels []partition.Set) {
		if lot == n {
			visit(parcels)
			return
		}
		for i := range parcels {
			parcels[i] |= 1 << lot
			place(lot+1, parcels)
			parcels[i] &^= 1 << lot
		}
		place(lot+1, append(parcels, 1<<lot))
	}
	place(0, nil)
}

// bordersOfAll are places in every territory whose rules are shipped, with the currency in which
// their figures are.
var bordersOfAll = []string{"AU", "BR", "CA-ON", "CH", "DE", "GB", "IL", "JP", "KR", "NO", "NZ", "SG", "TW", "US", "ZA"}

// anyBorder sends a haul to a place, for use of one's own or for sale, by post or courier, some by
// a private seller, with goods of several classes; prices are near what its limits turn at.
func anyBorder(r *rand.Rand, h *haul, to string) {
	h.To, h.From = to, "JP"
	if to == "JP" {
		h.From = "CA"
	}
	h.Date, h.Sending.Leaves = date("2026-10-03"), date("2026-10-18")
	h.Market = market("100 JPY = 0.93 CAD", "1 GBP = 1.85 CAD", "1 NZD = 0.83 CAD", "1 USD = 1.37 CAD", "1 AUD = 0.9 CAD", "1 EUR = 1.6 CAD", "1 CHF = 1.7 CAD",
		"1 NOK = 0.135 CAD", "1 SGD = 1.06 CAD", "1 TWD = 0.044 CAD", "1 ZAR = 0.078 CAD")
	duty, other := customs.Rate{Fraction: number("0.065")}, customs.Rate{Fraction: number([]string{"0", "0.03"}[r.IntN(2)])}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Use: []customs.Use{customs.Personal, customs.Resale}[r.IntN(2)],
		Mode: []customs.Mode{customs.Post, customs.Courier}[r.IntN(2)], Private: r.IntN(3) == 0,
		Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}, "drawing": {Code: "9017.20", Duty: &other}}}
	if r.IntN(2) == 0 {
		for i := range h.Lots {
			h.Lots[i].Items[0].Class = []string{"", "drawing"}[r.IntN(2)]
		}
	}
	h.Charges = slices.DeleteFunc(h.Charges, func(c landed.Charge) bool { return c.Per == landed.PerParcel })
}
