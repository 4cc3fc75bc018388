package lotfile

import (
	"cmp"
	"fmt"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Gap is something that is not in a file and that a later step will ask for.
type Gap struct {
	For     string   // the step that needs it
	Missing string   // what is missing
	Of      []string // the ids of the lots or items it is missing of; may be empty
	Remedy  string   // what to write
}

// Gaps lists what is missing in a file for the steps to come. None of it makes
// the file invalid.
func (f *File) Gaps() []Gap {
	h := f.Haul
	var gaps []Gap
	need := func(step, what, remedy string, of []string, missing bool) {
		if f.Comma {
			remedy = input.WithCommas(remedy)
		}
		if missing {
			gaps = append(gaps, Gap{step, what, of, remedy})
		}
	}
	weightless := itemsWhere(h, func(i *landed.Item) bool { return !i.Weighed && i.Count > 0 })
	valueless := itemsWhere(h, func(i *landed.Item) bool { return h.ValueOf(i).Currency() == 0 })
	classless := itemsWhere(h, func(i *landed.Item) bool {
		return i.Class == "" && i.Count > 0 && (h.Border == nil || h.Border.Class == "")
	})
	unsettled := lotsWhere(h, func(l *landed.Lot) bool {
		return l.Bought() && l.Settled.Currency() == 0 && l.Price.Currency() != h.Home
	})
	unbid := lotsWhere(h, func(l *landed.Lot) bool { return !l.Bought() && !l.Lost && f.Bidding.Currency(l) == 0 })
	foreign, used := f.currencies()
	need("the account", "the price, still open", "price: "+priceIn(4200, foreign)+", or lost: yes", h.Open(), len(h.Open()) > 0)
	need("a bid", "the first bid, in its currency", "bidding: start: "+priceIn(500, foreign), unbid, len(unbid) > 0)
	need("sharing by weight, and freight", "weight", "weight: 1.9 kg", weightless, len(weightless) > 0)
	need("sharing by value, and selling", "value", "value: 38 "+h.Home.Code(), valueless, len(valueless) > 0)
	rates := h.Exchange()
	for _, c := range used {
		if _, err := rates.Rate(c, h.Home); err != nil {
			need("converting "+c.Code(), "rate", fmt.Sprintf("exchange: rates: - 100 %s = … %s", c, h.Home), nil, true)
		}
	}
	opened := itemsWhere(h, func(i *landed.Item) bool { return i.Keep > 0 || i.Found != nil })
	need("selling", "a venue", "selling: venues: - name: gable", nil, len(opened) > 0 && f.Selling == nil)
	need("rate tables and customs rules", "date", "date: 2026-10-03", nil, h.Date.IsZero())
	need("customs", "from, the country of dispatch", "from: "+cmp.Or(placeOf(foreign), "JP"), nil, h.From == "")
	need("customs", "to, the country of entry", "to: "+cmp.Or(placeOf(h.Home), "CA-ON"), nil, h.To == "")
	crossed := (h.Border != nil || h.CrossesBorder()) && (!h.Billed() || len(h.Open()) > 0)
	need("what the border adds", "customs section", "customs: {use: personal, by: post}", nil, crossed && h.Border == nil)
	need("duty", "customs class", "class: hand-tool", classless, len(classless) > 0 && crossed)
	if f.Sending != nil {
		unsized := lotsWhere(h, func(l *landed.Lot) bool { return l.Size == (measure.Size{}) })
		need("limits on size, and volumetric weight", "size of the lot", "size: 30x20x10 cm", unsized, len(unsized) > 0)
		unarrived := lotsWhere(h, func(l *landed.Lot) bool { return l.Arrived.IsZero() })
		by := f.Sending.Forwarder
		need("storage", "day of arrival", "arrived: 2026-10-05", unarrived, len(unarrived) > 0 && by != nil && by.PerDay.Sign() > 0)
	}
	need("the final account", "what the bank took", "settled: "+money.New(4137, h.Home).String(), unsettled, len(unsettled) > 0)
	return gaps
}

// priceIn is a price as an example, in a currency where that is known.
func priceIn(minor int64, c money.Currency) string {
	return money.New(minor, cmp.Or(c, money.MustCurrency("JPY"))).String()
}

// placeOf is a place as an example, of those that pay in a currency; "" where none is known.
func placeOf(c money.Currency) string {
	switch code := c.Code(); {
	case code == "EUR":
		return "DE"
	case code == "CAD":
		return "CA-ON"
	case len(code) == 3 && tender(code[:2]) == code:
		return code[:2]
	}
	return ""
}

func itemsWhere(h *landed.Haul, lacks func(*landed.Item) bool) []string {
	var ids []string
	for _, item := range h.Items() {
		if lacks(item) {
			ids = append(ids, item.ID)
		}
	}
	return ids
}

func lotsWhere(h *landed.Haul, lacks func(*landed.Lot) bool) []string {
	var ids []string
	for i := range h.Lots {
		if lacks(&h.Lots[i]) {
			ids = append(ids, h.Lots[i].ID)
		}
	}
	return ids
}

// currencies lists those in use beside home, each once, and names the first of those that are paid
// or shared by.
func (f *File) currencies() (first money.Currency, all []money.Currency) {
	h := f.Haul
	seen := map[money.Currency]bool{h.Home: true, 0: true}
	add := func(amounts ...money.Amount) {
		for _, a := range amounts {
			if c := a.Currency(); !seen[c] {
				seen[c] = true
				all = append(all, c)
			}
		}
	}
	for i := range h.Lots {
		if h.Lots[i].Settled.Currency() == 0 {
			add(h.Lots[i].Price)
		}
		for j := range h.Lots[i].Items {
			add(h.ValueOf(&h.Lots[i].Items[j]))
		}
	}
	for _, c := range h.Charges {
		add(c.Amount)
	}
	if len(all) > 0 {
		first = all[0]
	}
	for _, item := range h.Items() {
		for _, o := range item.Chances {
			add(o.Value, o.Repair)
		}
		for _, s := range item.Sold {
			add(s.Price, s.Fees, s.Postage)
		}
		add(item.PartsValue)
	}
	if f.Selling != nil {
		for _, v := range f.Selling.Venues {
			add(money.New(0, v.Currency))
		}
	}
	return first, all
}
