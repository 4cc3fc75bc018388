package desk

import (
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// saleView is the pieces for sale with a price to try out, what was sold, and what the kept ones
// cost by now.
var saleView = &view{id: "sale", Title: "For sale and sold", when: []waits{toSell, done}, mends: true, fits: (*haul).hasBought, show: showSale}

// offered is the pieces of an item, in one state, that are for sale.
type offered struct {
	Name, Lot   string
	Count, Cost string
	Quotes      []show.QuoteRow
	Ask         string // the key of the price that is tried out
	Price       string
	Slide, Most int64 // the price and the most of the slider, in minor units
	Step        int64
	Digits      int
	Unit        string // the currency, with the space before it
	Says        string // what is left at that price
	How         string // the address of how that comes out
	Form        soldForm
}

// soldForm is where a sale is typed.
type soldForm struct {
	Path  string // of the entry that it will be
	Made  string // what is sold of that made from dead pieces
	Day   string
	Venue string // the usual one
}

// soldItem is a sale that stands in the file.
type soldItem struct {
	Name   string
	Lot    string
	N      int     // which of all it is
	Of     string  // which sale or return it is
	Bare   *headed // the first of its fields, where that is all there is
	Fields []headed
	Profit string
	From   string // what it is the profit of
	Back   set    // makes it come back today; none where all of it did
	Out    set
}

// keptItem is an item of which some may be kept.
type keptItem struct {
	Name   string
	Lot    string
	Fields []headed
}

type saleBody struct {
	Home    string
	Many    bool // pieces, of which one looks for some
	Offers  []sheet.Batch[offered]
	Sold    []sheet.Batch[soldItem]
	Back    []soldItem // what came back
	InAll   string     // the sum of more than one
	Kept    []sheet.Batch[keptItem]
	Venues  grid
	Target  field  // what each sale is to leave
	Begun   bool   // it is said where pieces are sold
	By      string // the file of defaults that says so; "" where the haul does
	Working template.HTML
	Rest    template.HTML
}

// venueColumns are what is typed of a place where pieces are sold.
var venueColumns = []column{
	{head: "where", says: "name", key: "name", hint: "market stall"},
	{head: "its part of the price", key: "fees[0].percent", hint: "10%"},
	{head: "and for each sale", key: "fees[0].fixed", hint: "1 CAD"},
	{head: "postage buyers pay", key: "charged", hint: "6 CAD"},
	{head: "postage you pay", key: "postage", hint: "6 CAD"},
	{head: "sent by post", key: "ships", choices: []string{"no", "yes"}},
}

func showSale(h *haul, r *http.Request) (parts, error) {
	var p parts
	var prices *doubles.Result
	var err error
	kept := h.keptItems()
	b := saleBody{Home: h.home(), Many: len(kept) > sheet.AtOnce, Kept: sheet.InBatches("kept", kept, len(kept) > sheet.AtOnce, func(k *keptItem) (lot, name string) { return k.Lot, k.Name }), Begun: h.File != nil && h.File.Selling != nil || h.Doc.Has(h.at("selling"))}
	if b.By, _ = h.byDefaults(h.at("selling", "venues")); b.By == "" {
		b.Venues = h.gridOf("Where it is sold", venueColumns, "selling", "venues")
		b.Target = h.field("Profit, of the price, at least", "10%", "selling", "target")
	}
	if h.File != nil && h.File.Selling != nil {
		if prices, err = h.prices(); err != nil {
			return p, err
		}
	}
	if prices != nil {
		first, rest := show.Price(prices, h.Shown().Open()...).Whole().Parted()
		rest.Blocks = slices.DeleteFunc(rest.Blocks, func(b sheet.Block) bool {
			t, is := b.(*sheet.Table)
			return is && (t.Topic == "prices" || t.Title == show.SoldTitle)
		})
		if p.Answer, b.Rest, err = h.halves(first, rest); err != nil {
			return p, err
		}
		var offers []offered
		for o := range sheet.All(prices.Offers) {
			row, out := h.offered(prices, o, r)
			offers = append(offers, row)
			if out == nil || r.URL.Query().Get("of") != row.Name {
				continue
			}
			if b.Working, err = written(show.PriceWorking(prices, o, out).Sheet(), h.Comma()); err != nil {
				return p, err
			}
		}
		if b.Offers = sheet.InBatches("offers", offers, len(offers) > sheet.AtOnce, func(o *offered) (lot, name string) { return o.Lot, o.Name }); len(b.Offers) > 0 {
			b.Offers[0].Open = true
		}
	}
	var sold []soldItem
	sold, b.Back = h.soldItems(prices)
	b.Sold = sheet.InBatches("sold", sold, len(sold) > sheet.AtOnce, func(s *soldItem) (lot, name string) { return s.Lot, s.Name })
	if prices != nil && len(sold)+len(b.Back) > 1 {
		b.InAll = h.figure(show.SoldInAll(prices))
	}
	p.Work, err = fill("sale.html", b)
	return p, err
}

// prices are what the pieces that are bought must bring, as results tell of them; nil where none
// are.
func (h *haul) prices() (*doubles.Result, error) { return h.pricesIn(h.Shown().Haul) }

func (h *haul) pricesIn(all *landed.Haul) (*doubles.Result, error) {
	if len(all.OnlyBought().Lots) == 0 {
		return nil, nil
	}
	haul := all.ForSale()
	st, err := landed.Split(haul)
	if err != nil {
		return nil, h.explain(err)
	}
	r, err := doubles.Price(haul, h.File.Selling, st, doubles.Options{})
	return r, h.explain(err)
}

// asking is the key under which the address holds the price of an offer that is tried out.
func (h *haul) asking(o *doubles.Offer) string {
	byID := *o
	byID.ID = h.Shown().idOf(o.ID)
	return "at " + show.OfferName(&byID)
}

// offered is an offer at the price that is asked about, and how that comes out, nil where it does
// not; at its value, the asking price or break-even where none is.
func (h *haul) offered(r *doubles.Result, o *doubles.Offer, req *http.Request) (offered, *resale.Result) {
	q := r.Quote(o)
	cur := q.Cost.Currency()
	row := offered{Name: show.OfferName(o), Lot: o.Lot.ID, Count: strconv.FormatInt(o.Count, 10), Cost: h.figure(o.Dearest().Number()), Ask: h.asking(o), Digits: cur.Digits(), Unit: " " + cur.Code(), Form: h.soldForm(r, o)}
	for _, quote := range show.QuoteRows(o) {
		quote.BreakEven, quote.Ask = h.figure(quote.BreakEven), h.figure(quote.Ask)
		row.Quotes = append(row.Quotes, quote)
	}
	price := usualPrice(q, cur)
	row.Price = h.figure(strings.ReplaceAll(price.Number(), ",", ""))
	row.Most = max(2*price.Minor(), 10)
	row.Step = stepOf(row.Most)
	if at := req.URL.Query().Get(row.Ask); at != "" {
		row.Price = at
		var err error
		if price, err = h.priceAt(at, cur); err != nil {
			row.Says = h.figure(err.Error())
			return row, nil
		}
	}
	row.Slide = min(price.Minor(), row.Most)
	row.How = "?" + url.Values{"view": {h.View.id}, "of": {row.Name}, row.Ask: {row.Price}}.Encode() + "#working"
	sale := q.Sale()
	out, err := sale.At(price)
	if err != nil {
		row.Says = resale.Reason(err)
		return row, nil
	}
	row.Says = h.figure(show.AtPrice(q, &out)) + sheet.Either(o.Count > 1, ", for one piece", "")
	return row, &out
}

// priceAt reads a price that is asked about; figures alone are of the currency.
func (h *haul) priceAt(text string, cur money.Currency) (money.Amount, error) {
	return lotfile.Typed(text, h.decimal(), func(text string) (money.Amount, error) { return money.ParseIn(text, cur) })
}

// usualPrice is the price at which a slider begins.
func usualPrice(q *doubles.Quote, cur money.Currency) money.Amount {
	switch {
	case q.Expected != nil:
		return q.Expected.Price
	case q.Ask.Err == nil:
		return q.Ask.Price
	case q.BreakEven.Err == nil:
		return q.BreakEven.Price
	}
	return money.New(q.Cost.Minor(), cur)
}

// stepOf is a round step of which a slider has about a hundred or more.
func stepOf(most int64) int64 {
	step := int64(1)
	for step*1000 <= most {
		step *= 10
	}
	return step
}

func (h *haul) soldForm(r *doubles.Result, o *doubles.Offer) soldForm {
	path := h.itemAt(h.Shown().idOf(o.ID))
	f := soldForm{Day: h.desk.Today().Format(time.DateOnly), Venue: r.Venues[r.At].Name}
	if o.State == landed.Made {
		f.Made = o.What
	}
	if path != nil {
		list := path.Below("sold")
		n := h.Doc.Len(list)
		if h.typed(list) != "" {
			n = 1 // a single amount, which becomes the first of a list
		}
		f.Path = list.Below(n).String()
	}
	return f
}

// itemAt is the path of an item; nil where it stands in a list of its own file.
func (h *haul) itemAt(id string) edit.Path {
	if h.itemsAt == nil {
		h.itemsAt = map[string]edit.Path{}
		for item := range h.items() {
			h.itemsAt[h.typed(item.Below("id"))] = item
		}
	}
	return h.itemsAt[id]
}

var saleColumns = []column{{head: "price", key: "price"}, {head: "pieces", key: "count", hint: "1"}, {head: "day", key: "date"}, {head: "venue", key: "venue"}, {head: "postage paid", key: "postage"}, {head: "fees paid", key: "fees"}}

// backColumns are what is typed of what came back of a sale.
var backColumns = []column{{head: "day", key: "date"}, {head: "pieces", key: "count", hint: "all"}, {head: "refund", key: "refund", hint: "all"}, {head: "fees back", key: "fees-back"}, {head: "postage you paid", key: "postage"},
	{head: "is now", key: "as", choices: []string{"parts", "dead"}}}

// soldItems are the sales that stand in the file, and what came back of them, with their profit
// where it is known.
func (h *haul) soldItems(r *doubles.Result) (sold, back []soldItem) {
	profit := h.profits(r)
	entry := func(name string, p edit.Path, columns []column) soldItem {
		of := profit[p.String()]
		s := soldItem{Name: name, Of: h.called(p), Profit: of[0], From: of[1], Fields: h.headed(columns, p), Out: set{{p.String(), ""}}}
		if h.typed(p) != "" { // the first of them is all there is
			s.Bare = &headed{columns[0].head, field{Label: h.labelOf(columns[0].head, p), Path: p.String(), Value: h.typed(p), Quiet: true}}
			s.Fields = s.Fields[1:]
		}
		return s
	}
	for item := range h.items() {
		for n := range h.Doc.Len(item.Below("sold")) {
			p, name := h.at(item, "sold", n), h.pieceName(item)
			if made := h.typed(p.Below("made")); made != "" {
				name = made + " of " + name
			}
			s, returned := entry(name, p, saleColumns), p.Below("returned")
			s.Lot, s.N = h.called(item[:2]), len(sold)
			for k := range h.Doc.Len(returned) {
				back = append(back, entry(name, returned.Below(k), backColumns))
			}
			if h.Doc.Has(returned) && h.Doc.Len(returned) == 0 {
				back = append(back, entry(name, returned, backColumns))
			}
			s.Back = h.comesBack(p, returned)
			sold = append(sold, s)
		}
	}
	return sold, back
}

// profits are those of sales and returns, by where they stand in the file, each with what it is the
// profit of.
func (h *haul) profits(r *doubles.Result) map[string][2]string {
	list := map[string][2]string{}
	add := func(at source.Origin, profit, net, cost money.Amount) {
		list[h.Doc.At(at).String()] = [2]string{h.figure(profit.Number()), h.figure("net proceeds " + net.Said() + ", cost " + cost.Said())}
	}
	if r == nil {
		return list
	}
	for s := range sheet.All(r.Sold) {
		add(s.Sale.At, s.Left, s.Net, s.Cost)
		for b := range sheet.All(s.Returned) {
			add(b.Return.At, b.Profit(), b.Sum(), b.Cost)
		}
	}
	return list
}

// comesBack is what makes the pieces of a sale come back today that did not yet; none where all
// did.
func (h *haul) comesBack(sale, returned edit.Path) set {
	pieces := func(p edit.Path, unsaid int64) int64 {
		n, err := strconv.ParseInt(h.typed(p.Below("count")), 10, 64)
		if err != nil {
			return unsaid
		}
		return n
	}
	today, all := max(h.desk.Today().Format(time.DateOnly), h.typed(sale.Below("date"))), pieces(sale, 1)
	if !h.Doc.Has(returned) {
		return set{{returned.Below("date").String(), today}}
	}
	entries, n := []edit.Path{}, h.Doc.Len(returned)
	for i := range n {
		entries = append(entries, returned.Below(i))
	}
	var puts set
	if n == 0 { // it becomes the first of a list
		entries, n = append(entries, returned), 1
		puts = set{{returned.String(), ""}}
		for _, key := range h.Doc.Keys(returned) {
			puts = append(puts, [2]string{returned.Below(0, key).String(), h.typed(returned.Below(key))})
		}
	}
	left := all
	for _, e := range entries {
		left -= pieces(e, all)
	}
	if left <= 0 {
		return nil
	}
	return append(puts, [2]string{returned.Below(n, "date").String(), today}, [2]string{returned.Below(n, "count").String(), strconv.FormatInt(left, 10)})
}

// keptItems are the items with how many are kept, and what one is worth.
func (h *haul) keptItems() []keptItem {
	var list []keptItem
	for i := range h.Doc.Len(h.at("lots")) {
		if h.isLost(i) {
			continue
		}
		for j := range h.Doc.Len(h.at("lots", i, "items")) {
			item := h.at("lots", i, "items", j)
			list = append(list, keptItem{Name: h.pieceName(item), Lot: h.lotName(i),
				Fields: h.headed([]column{{head: "value when right", key: "~value"}, {head: "kept", key: "keep", hint: "0"}, {head: "worth to you", key: "worth"}}, item)})
		}
	}
	return slices.DeleteFunc(list, func(k keptItem) bool { return k.Name == "" })
}
