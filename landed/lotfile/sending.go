package lotfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/freight"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// travelKeys are the keys of a lot that tell how it travels.
var travelKeys = []string{"size", "packed", "arrived", "contents", "roll"}

func (r *reader) travel(lot *landed.Lot, m *input.Map) {
	lot.Size, _ = input.Scalar(m.Get("size"), measure.ParseSize)
	lot.Packed = r.weight(m.Get("packed"), "packed: 3.2 kg")
	lot.Arrived = r.event(m.Get("arrived"))
	lot.Contents = r.texts(m.Get("contents"))
	lot.Roll = r.yes(m.Get("roll"))
}

func (r *reader) sending(n input.Node) *together.Sending {
	if !n.Given() {
		return nil
	}
	m := n.Map("services", "zone", "packing", "forwarder", "leaves", "latest", "together", "apart", "insure")
	s := &together.Sending{At: n.Origin()}
	s.Zone, _ = m.Get("zone").Text()
	s.Packing = r.packing(m.Get("packing"))
	s.Forwarder = r.forwarder(m.Get("forwarder"))
	s.Leaves, s.Latest = r.event(m.Get("leaves")), r.event(m.Get("latest"))
	if !s.Leaves.IsZero() && !s.Latest.IsZero() && s.Latest.Before(s.Leaves) {
		m.Get("latest").Fail("the parcels cannot arrive before they leave", "write a day after "+s.Leaves.Format(time.DateOnly))
	}
	s.Together, s.Apart = r.groups(m.Get("together")), r.groups(m.Get("apart"))
	s.Insure, s.Bare = r.insure(m.Get("insure"))
	services := m.Require("services", "list what carriers offer, or name a file with such a list, as in services: services.yaml")
	s.Services, _ = namedList(r, services, "service", "surface", r.service, func(v *freight.Service) string { return v.Name })
	return s
}

// insure reads whether the parcels are insured, and whether a service that
// insures nothing may carry them all the same.
func (r *reader) insure(n input.Node) (insure, bare bool) {
	if word, ok := textOf(n); ok && word == "where-offered" {
		return true, true
	}
	return r.yes(n, "where-offered"), false
}

// day reads a date that is not that of the purchase.
func (r *reader) day(n input.Node) time.Time {
	text, ok := n.Text() // no figure, though it may have points
	if !ok {
		return time.Time{}
	}
	day, _ := input.Parsed(n, text, input.ParseDate)
	return day
}

// weight reads a weight above zero; 0 when it is not given.
func (r *reader) weight(n input.Node, example string) measure.Weight {
	w, ok := input.Scalar(n, measure.ParseWeight)
	if ok && w == 0 {
		n.Fail("a weight of zero makes no sense", "write it as in "+example)
	}
	return w
}

func (r *reader) length(n input.Node) measure.Length {
	l, _ := input.Scalar(n, measure.ParseLength)
	return l
}

// groups reads lists of lots, up to the first that is none: those behind it would be told of at
// the places of others.
func (r *reader) groups(n input.Node) [][]string {
	const remedy = "write each group in brackets, as in [[crate-a, box-b]]"
	if n.Given() && !n.IsList() {
		n.Misshapen("a list of groups of lots belongs here", remedy)
		return nil
	}
	var groups [][]string
	for _, entry := range n.List(false) {
		if !entry.IsList() {
			entry.Misshapen("a list of lots belongs here", remedy)
			break
		}
		group, whole := r.lotIDs(entry, remedy)
		if !whole {
			break
		}
		groups = append(groups, group)
	}
	return groups
}

func (r *reader) packing(n input.Node) freight.Packing {
	m := n.Map("share", "fixed", "padding")
	var p freight.Packing
	p.Share = r.fraction(m.Get("share"), "share: 8%")
	p.Fixed, _ = input.Scalar(m.Get("fixed"), measure.ParseWeight)
	p.Padding = r.length(m.Get("padding"))
	return p
}

func (r *reader) forwarder(n input.Node) *freight.Forwarder {
	if !n.Given() {
		return nil
	}
	m := n.Map("parcel", "lot", "consolidation", "storage")
	storage := m.Get("storage").Map("free", "day", "by")
	asked := r.oneCurrency(m.Get("parcel"), m.Get("lot"), m.Get("consolidation"), storage.Get("day"))
	return &freight.Forwarder{PerParcel: asked[0], PerLot: asked[1], Consolidation: asked[2], PerDay: asked[3],
		FreeDays: r.wholeDays(storage.Get("free")), PerKilogram: wordOf(storage.Get("by"), "lot", "kg") == 1}
}

// oneCurrency reads charges that are added up: what is not in the currency of most of them is
// refused. A charge of 0 is none, in whatever currency.
func (r *reader) oneCurrency(charges ...input.Node) []money.Amount {
	asked, currencies := make([]money.Amount, len(charges)), make([]money.Currency, len(charges))
	for i, n := range charges {
		if a := r.notNegativeIn(n, r.home); a.Sign() != 0 {
			asked[i], currencies[i] = a, a.Currency()
		}
	}
	usual := tally.Commonest(currencies...)
	for i, c := range currencies {
		if c != 0 && c != usual {
			charges[i].Fail(fmt.Sprintf("%s is not in %s, as the other charges here are", quote(asked[i].String()), usual), "write all of them in one currency")
			asked[i] = money.Amount{}
		}
	}
	return asked
}

// mostDays bounds a number of days, more than any parcel waits or travels.
const mostDays = 1000

func (r *reader) wholeDays(n input.Node) int {
	return int(wholeNumber(n, 0, mostDays, func(text string) { failNumber(n, text, "a number of days", "write a whole number from 0 to 1000") }))
}

// wholeNumber reads a whole number within bounds; 0 where none is given, or another, which is told.
func wholeNumber(n input.Node, least, most int64, tell func(text string)) int64 {
	text, ok := n.Text()
	if !ok {
		return 0
	}
	number, err := strconv.ParseInt(text, 10, 64)
	if err != nil || number < least || number > most {
		tell(text)
		return 0
	}
	return number
}

func (r *reader) service(n input.Node) *freight.Service {
	before := r.report.Len()
	m := n.Map("name", "currency", "steps", "further", "zones", "volumetric", "round-to", "minimum", "limits", "rolls",
		"per-parcel", "fuel", "insurance", "refuses", "days", "from", "until")
	s := &freight.Service{At: n.Origin()}
	s.Name = called(m, "service")
	s.Currency, _ = input.Scalar(m.Require("currency", "name the currency of its prices, as in currency: JPY"), money.ParseCurrency)
	s.Zones = r.zones(m, s.Currency)
	r.volumetric(s, m.Get("volumetric"))
	s.RoundTo = r.weight(m.Get("round-to"), "round-to: 500 g")
	s.Minimum = r.weight(m.Get("minimum"), "minimum: 1 kg")
	s.Limits = r.limits(m.Get("limits"), s.Currency)
	if m.Has("rolls") {
		rolls := r.limits(m.Get("rolls"), s.Currency)
		s.Rolls = &rolls
	}
	s.PerParcel = r.notNegativeIn(m.Get("per-parcel"), s.Currency)
	fuel := m.Get("fuel").Map("rate", "of")
	s.Fuel, s.FuelOnAll = r.rate(fuel.Get("rate")), wordOf(fuel.Get("of"), "postage", "postage and parcel") == 1
	s.Insurance = r.cover(m.Get("insurance"), s.Currency)
	s.Refuses = r.texts(m.Get("refuses"))
	s.MinDays, s.MaxDays = r.transit(m.Get("days"))
	s.From, s.Until = r.day(m.Get("from")), r.day(m.Get("until"))
	if r.report.Len() == before {
		r.report.AddErr(s.At, m.Field(), parcels.Check(s))
	}
	return s
}

// zones reads the price tables: one for everywhere, or one for each zone.
func (r *reader) zones(m *input.Map, cur money.Currency) []freight.Zone {
	alone := m.Has("steps") || m.Has("further")
	switch {
	case alone && m.Has("zones"):
		m.Get("zones").Fail("a service has either steps or zones", "write one table as steps, several as zones with steps of their own")
	case !alone && !m.Has("zones") && m.IsMap():
		m.KeyNode("steps").Fail("steps is missing", "write what it costs by weight, as in steps: [{up-to: 500 g, price: 1200 JPY}]")
	}
	if alone {
		return []freight.Zone{r.table(m, "", cur)}
	}
	var zones []freight.Zone
	for _, entry := range m.Get("zones").List(false) {
		z := entry.Map("name", "steps", "further")
		name, _ := z.Require("name", "name the zone as sending: zone does").Words()
		z.Require("steps", "write what it costs by weight, as in steps: [{up-to: 500 g, price: 1200 JPY}]")
		zones = append(zones, r.table(z, name, cur))
	}
	return zones
}

func (r *reader) table(m *input.Map, name string, cur money.Currency) freight.Zone {
	z := freight.Zone{Name: name, At: m.Origin()}
	for _, entry := range m.Get("steps").List(false) {
		step := entry.Map("up-to", "price")
		upTo, _ := input.Scalar(step.Require("up-to", "write the weight this step goes up to, as in up-to: 500 g"), measure.ParseWeight)
		price := r.notNegativeIn(step.Require("price", "write what it costs to send, as in price: 1200 JPY"), cur)
		z.Steps = append(z.Steps, money.Step[measure.Weight]{UpTo: upTo, Price: price})
	}
	if m.Has("further") {
		f := m.Get("further").Map("each", "price")
		z.Further.UpTo = r.weight(f.Require("each", "write for how much more the price is asked, as in each: 500 g"), "each: 500 g")
		z.Further.Price = r.notNegativeIn(f.Require("price", "write what each further unit costs, as in price: 350 JPY"), cur)
	}
	return z
}

func (r *reader) volumetric(s *freight.Service, n input.Node) {
	m := n.Map("divisor", "billed", "whole")
	s.Divisor = wholeNumber(m.Get("divisor"), 1, math.MaxInt64, func(text string) {
		m.Get("divisor").Fail(quote(text)+" is not a divisor", "write the cm3 that count as 1 kg, as in divisor: 5000")
	})
	s.Billed = freight.Billed(wordOf(m.Get("billed"), "actual", "volumetric", "greater"))
	if n.Given() {
		m.Require("divisor", "write the cm3 that count as 1 kg, as in divisor: 5000")
		if !m.Has("billed") {
			s.Billed = freight.Greater
		}
	}
	s.WholeTo = r.length(m.Get("whole"))
}

func (r *reader) limits(n input.Node, cur money.Currency) freight.Limits {
	m := n.Map("weight", "longest", "length-plus-girth", "sum-of-sides", "tolerance", "value")
	return freight.Limits{Weight: r.weight(m.Get("weight"), "weight: 20 kg"), Longest: r.length(m.Get("longest")),
		LengthPlusGirth: r.length(m.Get("length-plus-girth")), SumOfSides: r.length(m.Get("sum-of-sides")),
		Tolerance: r.length(m.Get("tolerance")), Value: r.notNegativeIn(m.Get("value"), cur)}
}

func (r *reader) cover(n input.Node, cur money.Currency) freight.Insurance {
	m := n.Map("steps", "further", "rate", "least")
	i := freight.Insurance{Rate: r.rate(m.Get("rate")), Least: r.notNegativeIn(m.Get("least"), cur)}
	for _, entry := range m.Get("steps").List(false) {
		step := entry.Map("up-to", "price")
		upTo := r.notNegativeIn(step.Require("up-to", "write the value this step covers, as in up-to: 20000 JPY"), cur)
		i.Steps = append(i.Steps, money.Step[money.Amount]{UpTo: upTo, Price: r.notNegativeIn(step.Require("price", "write what that cover costs, as in price: 400 JPY"), cur)})
	}
	if m.Has("further") {
		f := m.Get("further").Map("each", "price")
		i.Further.UpTo = r.notNegativeIn(f.Require("each", "write for how much more the price is asked, as in each: 20000 JPY"), cur)
		i.Further.Price = r.notNegativeIn(f.Require("price", "write what each further unit costs, as in price: 50 JPY"), cur)
	}
	return i
}

// transit reads the days on the way: "7", or "5..9".
func (r *reader) transit(n input.Node) (least, most int) {
	text, ok := n.Text()
	if !ok {
		return 0, 0
	}
	first, last, several := strings.Cut(text, "..")
	if !several {
		last = first
	}
	least, err := strconv.Atoi(strings.TrimSpace(first))
	most, err2 := strconv.Atoi(strings.TrimSpace(last))
	if err != nil || err2 != nil || least < 0 || most < least || most > mostDays {
		n.Fail(quote(text)+" is not a time in transit", show(meantDays(text), "write the least and the most days, as in days: 5..9"))
		return 0, 0
	}
	return least, most
}
