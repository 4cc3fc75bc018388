package lotfile

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/internal/arena"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
	"golang.org/x/text/language"
)

// version is the version of the format that is read.
const version = "1"

// reader holds what reading one lot file needs everywhere.
type reader struct {
	Options
	folder    string
	piped     bool              // the lot file came by standard input
	trial     bool              // files that are named are left closed
	text      []byte            // of the lot file
	instead   map[string][]byte // texts that are tried in the place of files that are named, by path
	broken    map[string][]byte // texts of files that are named and are no YAML
	json      int               // the line on which it begins where it is JSON, else 0
	commas    bool              // figures have decimal commas, where the file does not say
	book      *bookFile         // the user's defaults; nil when there are none
	report    *collect.Report
	home      money.Currency         // none when it is missing or wrong
	ratesRead bool                   // the exchange section could be read
	ownRates  bool                   // and customs' own rates
	doubted   []fx.Code              // the currencies of rates that are far from others
	shareRead bool                   // the section share could be read
	unread    map[source.Origin]bool // where lots, items and their ids could not be read
	unsure    map[source.Origin]bool // where items have a weight or a value that could not be read, and charges with a fault
	steps     map[source.Origin]bool // where steps of bids could not be read
	unpriced  map[source.Origin]bool // charges of which nothing but the amount is missing
	nameless  map[string]bool        // lists without a column id, whose items are called after what they are
	marks     input.Marks            // how figures are written
	quickList bool                   // a list stands in for a lot file
	bare      []input.Node           // prices without a currency
	rates     *fx.Table              // that rates are held against; nil when there is none
}

func newReader(folder string, o Options) *reader {
	if o.Room == nil {
		o.Room = &Room{}
	}
	r := &o.Room.readers.Take(1)[0]
	r.Options, r.folder, r.report = o, folder, &o.Room.reports.Take(1)[0]
	return r
}

// again reads another text in the place of the file, and tells no warnings.
func (r *reader) again() *reader {
	other := newReader(r.folder, r.Options)
	other.piped, other.json, other.Warn, other.instead = r.piped, r.json, nil, r.instead
	return other
}

// File is what a lot file holds: what was, or may be, bought together, and what is
// planned for it.
type File struct {
	*landed.Haul
	bid.Plans
	Defaults *Defaults // what it takes from a file of defaults; nil when it names none

	Comma bool // whether it declares decimal commas, or its defaults do
}

// present is the file without the lots that are lost.
func (f *File) present() *File {
	h := f.Haul.WithoutLost()
	if h == f.Haul {
		return f
	}
	present := *f
	present.Haul, present.Plans = h, f.Plans.For(h)
	return &present
}

// Parse reads a lot file that is in memory. Faults call it name; the files it
// names lie below folder.
func Parse(name string, data []byte, folder string, o Options) (*File, error) {
	return newReader(folder, o).parse(name, data)
}

// ParseJSON is [Parse] of a lot file that is written as JSON (RFC 8259), with the same keys,
// figures and checks, many times faster. It begins on a line of what name stands for, counted from
// 1, as one of many hauls in a file does: faults tell that line.
func ParseJSON(name string, line int, data []byte, folder string, o Options) (*File, error) {
	if o.Room != nil {
		o.Room.empty()
	}
	r := newReader(folder, o)
	r.piped = isPiped(name)
	r.json = line
	f, err := r.read(shown(name), data)
	if err != nil {
		return nil, r.undeclared(shown(name), data, err)
	}
	return f, nil
}

func (r *reader) parse(name string, data []byte) (*File, error) {
	if isBook(data) {
		return nil, source.Faults{{At: source.Origin{File: name}, What: "this is a file of defaults, not a lot file", Remedy: "name it in a lot file, as in with: ../" + filepath.Base(name)}}
	}
	f, err := r.read(name, data)
	if err != nil {
		return nil, r.undeclared(name, data, r.mended(name, data, err))
	}
	return f, nil
}

// read is parse of the text as it stands, or of JSON.
func (r *reader) read(name string, data []byte) (*File, error) {
	var root input.Node
	var err error
	if r.text = data; r.json > 0 {
		root, err = input.ParseJSON(name, r.json, data, r.report)
	} else {
		root, err = input.BorrowYAML(name, data, r.report)
	}
	if err != nil {
		return nil, err
	}
	defer root.Free()
	return r.whole(root)
}

// whole reads the tree of a lot file and checks what it makes.
func (r *reader) whole(root input.Node) (*File, error) {
	f := r.file(root)
	r.check(f)
	f = f.present()
	if r.report.Len() > 0 && r.ratesRead && f.Home != 0 {
		r.report.AddAll(r.rated(f).CheckRates()) // Split would tell them, but only on the next run
	}
	if r.report.Len() > 0 && r.shareRead && len(r.unread) == 0 {
		r.report.AddAll(r.priced(f).CheckWeights(func(at source.Origin) bool { return !r.unsure[at] })) // likewise
	}
	r.warn(r.report)
	if r.report.Len() > 0 {
		misplaced(r.report)
		as := f.Examples()
		as.Comma = r.marks.Comma
		as.put(r.report)
		return nil, Explain(r.report.Err(), as)
	}
	return f, nil
}

// rated is the haul, without its border where customs' own rates could not be read.
func (r *reader) rated(f *File) *landed.Haul {
	h := *f.Haul
	if !r.ownRates {
		h.Border = nil
	}
	return &h
}

// priced is the haul with an amount for each charge of which that alone is missing: what it is
// shared by is known.
func (r *reader) priced(f *File) *landed.Haul {
	h := *f.Haul
	h.Charges = slices.Clone(h.Charges)
	for i := range h.Charges {
		if r.unpriced[h.Charges[i].At] && h.Home != 0 {
			h.Charges[i].Amount = money.New(1, h.Home)
		}
	}
	return &h
}

// check adds what is wrong with how the file hangs together, so that one
// mistake gives one message: nothing more is said of a lot or an item that
// could not be read, nor of a charge or a parcel while ids are not known.
func (r *reader) check(f *File) {
	r.nameItems(f.Haul)
	if len(r.unread) > 0 || len(f.Lots) == 0 {
		f = f.withoutNames()
	}
	found := append(r.Room.Splitter.Check(f.Haul), f.Plans.Check(f.Haul)...)
	if r.report.Len() == 0 && f.anySold() && !slices.ContainsFunc(found, func(f *source.Fault) bool { return !f.Warning }) {
		found = append(found, sales.New(f.Haul, f.Selling).CheckReturned()...)
	}
	for _, f := range f.misnamed(found) {
		if !r.unread[f.At] && !r.steps[f.At] {
			r.report.Add(f)
		}
	}
}

func (f *File) anySold() bool {
	for _, item := range f.Haul.Items() {
		if len(item.Sold) > 0 {
			return true
		}
	}
	return false
}

func (f *File) withoutNames() *File {
	h, plans := *f.Haul, bid.Plans{Selling: f.Selling, Bidding: f.Bidding}
	h.Charges, h.Parcels = nil, nil
	if f.Bidding != nil {
		b := *f.Bidding
		b.Lot, plans.Bidding = "", &b
	}
	without := *f
	without.Haul, without.Plans = &h, plans
	return &without
}

// need records that what stands at an origin, or at a key below it, could not
// be read.
func (r *reader) need(read bool, at source.Origin, keys ...string) {
	if !read {
		note(&r.unread, at.Key(slices.Clone(keys)...)) // so that nothing is made of what is read
	}
}

// note adds to a set, which most files need not have.
func note[K comparable](set *map[K]bool, key K) {
	if *set == nil {
		*set = map[K]bool{}
	}
	(*set)[key] = true
}

// fileKeys are the keys of a lot file.
var fileKeys = []string{"lotcost", "title", "home", "date", "from", "to", "decimal", "with", "exchange", "share", "lots", "parcels", "charges", "sending", "customs", "losses", "selling", "bidding", "risks"}

// KeyOrders are the keys of the groups to which most is added, in the order in which they usually
// follow each other, which is that of the reference: of a file, a lot, an item, an outcome, what
// was found, a sale and a return.
func KeyOrders() [][]string {
	whole := slices.Insert(slices.Clone(fileKeys), 1, bookKeys[0]) // of defaults too
	return [][]string{whole, lotKeys, itemKeys, outcomeKeys, foundInFile, saleKeys, returnKeys}
}

func (r *reader) file(root input.Node) *File {
	m := root.Map(fileKeys...)
	h, f := &r.Room.hauls.Take(1)[0], &r.Room.files.Take(1)[0]
	f.Haul, h.At = h, root.Origin()
	h.At.Line, h.At.Column = 0, 0
	if r.need(root.IsMap(), h.At); !root.IsMap() {
		return f
	}
	if v, ok := m.Require("lotcost", "begin the file with lotcost: "+version).Text(); ok && v != version {
		m.Get("lotcost").Fail(fmt.Sprintf("version %s of the format is not known", quote(v)), "write lotcost: "+version)
	}
	whole := r.defaults(m.Get("with"))
	if r.book != nil {
		r.marks = r.book.Marks()
	}
	r.marks.Comma = r.marks.Comma || r.commas
	r.decimal(m, &r.marks)
	f.Comma = r.marks.Comma
	h.At = r.below(h.At)
	h.Title, _ = m.Get("title").Words()
	h.Home = r.homeOf(m, whole)
	r.home = h.Home
	h.Date = r.date(m.Get("date"))
	h.From, h.To = r.place(m.Get("from")), r.place(r.section(m, "to"))
	before := r.report.Len()
	h.Share = r.share(r.section(m, "share"))
	r.shareRead = whole && r.report.Len() == before
	before = r.report.Len()
	r.exchange(r.section(m, "exchange"), h, m.Get("date"))
	r.ratesRead = whole && r.report.Len() == before
	lots := m.Require("lots", "list what was bought, as in lots: with - id: … below it")
	r.need(lots.IsList(), h.At, "lots")
	r.Room.unasked = r.Room.unasked[:0]
	h.Lots, h.Parcels, h.Charges = eachIn(&r.Room.lots, lots, r.lot), each(m.Get("parcels"), r.parcel), eachIn(&r.Room.charges, m.Get("charges"), r.charge)
	r.forgottenPremiums(h)
	r.alikeSellers(h)
	h.Losses, _ = oneOf(r.section(m, "losses"), landed.Parse[landed.LossRule], "item", "lot", "haul", "written-off")
	r.in(r.customsOf(m, h), func(n input.Node) {
		h.Border = r.border(n, h)
		if h.AsMet() != h {
			n.Warn("there is no border from "+h.From+" to "+h.To+": nothing of it is counted", "correct from or to if the goods come over one, or take the section out")
			h.Border = nil
		}
	})
	r.in(r.section(m, "sending"), func(n input.Node) { f.Sending = r.sending(n) })
	r.in(r.section(m, "selling"), func(n input.Node) { f.Selling = r.selling(n, h) })
	r.in(r.section(m, "risks"), func(n input.Node) { f.Risks = each(n, r.risk) })
	r.in(r.section(m, "bidding"), func(n input.Node) { f.Bidding = r.bidding(n) })
	if r.book != nil {
		f.Defaults = &r.book.used
	}
	r.checkBare(f)
	r.checkWay(f, m.Get("from"))
	r.checkSettled(f)
	f.bidAlike()
	return f
}

// homeOf is the currency of the books; 0 where it is missing and that was said already.
func (r *reader) homeOf(m *input.Map, whole bool) money.Currency {
	home := r.section(m, "home")
	switch {
	case r.inBook(home):
		return r.book.home
	case home.Given() || whole:
		of := m
		if r.book != nil && r.book.HasAny("home") && !m.HasAny("home") { // it is empty there
			of = r.book.Map
		}
		return r.currency(of.Require("home", "write the currency of your books, as in home: CAD"), m.Get("to"))
	}
	return 0
}

// each reads the entries of a list; nil where there are none.
func each[T any](n input.Node, read func(input.Node, *T)) []T {
	return eachIn(&arena.Of[T]{}, n, read)
}

// eachIn is each in some room.
func eachIn[T any](room *arena.Of[T], n input.Node, read func(input.Node, *T)) []T {
	entries := n.List(false)
	if len(entries) == 0 {
		return nil
	}
	list := room.Take(len(entries))
	for i, entry := range entries {
		read(entry, &list[i])
	}
	return list
}

func (r *reader) date(n input.Node) time.Time {
	text, ok := n.Text()
	if !ok {
		return time.Time{}
	}
	day, err := input.ParseDate(text)
	switch {
	case err == nil:
		r.checkAhead(n, day)
	case day.IsZero():
		n.FailErr(err)
	default:
		n.Fail(quote(text)+" is no day of purchase", "write a year from 1900 to 2199")
	}
	return day
}

// place reads an ISO 3166 country, or country and subdivision, in letters of any
// size: it checks the shape of both and, by CLDR's table, the country.
func (r *reader) place(n input.Node) string {
	text, ok := n.Text()
	if !ok {
		return ""
	}
	code := strings.ToUpper(text)
	country, part, shaped := input.CutPlace(code)
	if shaped && (r.Room.countries[country] || r.isCountry(n, text, country)) {
		checkPart(n, country, part)
	} else if !shaped {
		failPlace(n, text, quote(text)+" is not a country code")
	}
	return code
}

// isCountry reports whether there is such a country, and tells where there is none.
func (r *reader) isCountry(n input.Node, text, country string) bool {
	region, err := language.ParseRegion(country)
	switch {
	case err != nil || !region.IsCountry() || region.Canonicalize() == region && region.ISO3() == "ZZZ":
		failPlace(n, text, quote(country)+" is not a country of ISO 3166")
	case region.Canonicalize() != region:
		failPlace(n, text, quote(country)+" is not the country's code in ISO 3166")
	default:
		r.Room.countries.keep(strings.Clone(country), true)
		return true
	}
	return false
}

func failPlace(n input.Node, text, what string) {
	remedy := "write the ISO 3166 code, as in JP or CA-ON"
	if meant := MeantPlace(text); meant != "" {
		remedy = "did you mean " + meant + "?"
	}
	n.Fail(what, remedy)
}

// share reads by what each kind of cost is shared; a premium goes with the price.
func (r *reader) share(n input.Node) landed.Bases {
	var bases landed.Bases
	if !n.Given() {
		return bases
	}
	m := n.Map("price", "freight", "insurance", "fee", "repair", "duty", "tax")
	for i := range bases {
		kind := landed.Kind(i)
		bases[i] = r.basis(m.Get(kind.String()), kind == landed.Duty || kind == landed.Tax)
	}
	bases[landed.Premium] = bases[landed.Price]
	return bases
}

func (r *reader) basis(n input.Node, mayAssess bool) landed.Basis {
	word, ok := n.Text()
	if !ok {
		return landed.NoBasis
	}
	basis, known := landed.Parse[landed.Basis](word)
	switch {
	case !known:
		words := []string{"value", "weight", "count", "line", "assessed"}
		if !mayAssess {
			words = words[:4]
		}
		n.Fail("unknown basis "+quote(word), source.DidYouMean(word, words))
	case basis == landed.ByAssessed && !mayAssess:
		n.Fail("only duty and tax are shared as assessed", "write weight, count, value or line")
		return landed.NoBasis
	}
	return basis
}

var lotKeys = slices.Concat([]string{"id", "title", "seller", "price", "premium", "settled", "closes", "likely", "lost"}, travelKeys, []string{"items"})

func (r *reader) lot(n input.Node, lot *landed.Lot) {
	m := n.Map(lotKeys...)
	lot.At = n.Origin()
	lot.ID = r.named(m, "lot")
	lot.Title, _ = m.Get("title").Words()
	lot.Seller, _ = m.Get("seller").Words()
	price := m.Get("price")
	word, ok := textOf(price)
	switch hammer, premium, both := strings.Cut(word, "+"); {
	case both && isAmount(hammer) && premiumIn().MatchString(premium):
		price.Fail(quote(word)+" holds a premium", "write "+cmp.Or(amountMeant(hammer, r.home), strings.TrimSpace(hammer))+", and beside it premium: "+premiumIn().FindStringSubmatch(premium)[1])
	case ok && word == "open":
		lot.Open = true
	case ok && !hasFigure(word) && source.Meant(word, []string{"open"}) != "":
		price.Fail(quote(word)+" is no price", "did you mean open?")
		lot.Open = true
	default:
		lot.Price = r.price(price)
	}
	if lot.Price.Sign() < 0 {
		price.Fail("a price is never negative", "write a refund as a charge with a negative amount")
	}
	lot.Settled = r.taken(m.Get("settled"), lot.Price)
	lot.Lost = r.yes(m.Get("lost"))
	lot.Premium = r.premium(lot, m)
	lot.Open = lot.Open || lot.Lost && !price.Given()
	lot.Closes = r.closes(m.Get("closes"))
	if lot.Open && !lot.Bought() && !lot.Lost {
		lot.Likely = r.likely(m.Get("likely"))
	} else if lot.Bought() {
		r.checkWon(price, m.Get("likely"), lot.Price)
	}
	r.travel(lot, m)
	if !price.Given() && !m.Has("settled") && !m.Misspelt("price") && !lot.Lost && n.IsMap() {
		m.KeyNode("price").Fail("price is missing", "write what the whole lot cost, as in price: 4200 JPY (0 if it came free), or price: open while it is still to come")
	}
	items := m.Require("items", "list what is in the lot, or name a CSV file, as in items: crate-a.csv")
	if items.IsText() {
		var whole bool
		lot.Items, whole = r.itemsFile(items)
		r.need(whole, lot.At, "items")
		return
	}
	r.need(items.IsList(), lot.At, "items")
	lot.Items = eachIn(&r.Room.items, items, r.item)
}

// hasFigure reports whether a text has so many digits that it is no word with a letter or two
// wrong.
func hasFigure(s string) bool {
	digits := 0
	for i := range len(s) {
		if s[i] >= '0' && s[i] <= '9' {
			digits++
		}
	}
	return digits > 1 && digits > len(s)/3
}

// named reads the id of a lot or an item and names the fields after it.
func (r *reader) named(m *input.Map, kind string) string {
	n := m.Get("id")
	if !n.Given() {
		n = m.Require("id", "give each "+kind+" a short id of its own")
	}
	id, ok := n.Words()
	if !ok {
		r.need(false, m.Origin())
	}
	if id != "" {
		m.Called(kind, id)
	}
	return id
}

// titled reads what an entry is, and names its fields after it.
func titled(m *input.Map, kind string) string {
	what, ok := m.Get("what").Words()
	if ok {
		m.Titled(kind, what)
	}
	return what
}

func (r *reader) item(n input.Node, item *landed.Item) {
	before := r.report.Len()
	m := n.Map(itemKeys...)
	counted := r.report.Len() == before // no key is unknown that might be the count
	item.At = n.Origin()
	if !n.Given() {
		n.Fail("no item stands here yet", "write one, as in - {id: jack, count: 2, weight: 1.9 kg, value: 38 "+example(r.home)+"}")
		r.need(false, item.At)
		return
	}
	item.ID = r.named(m, "item")
	counted = r.fillItem(item, m.Get) && counted
	if m.Misspelt("weight") {
		note(&r.unsure, item.At)
		note(&r.unsure, item.At.Key("weight"))
	}
	if item.Count == 0 || m.HasAny(benchKeys...) {
		before := r.report.Len()
		keys := m.Get("found").Map(foundInFile...)
		yields := each(keys.Get("yields"), r.yield)
		if r.bench(item, counted && r.report.Len() == before, keys.Get, m.Get); item.Found != nil {
			item.Found.Yields = yields
		}
	}
	before = r.report.Len()
	if m.HasAny(oddsKeys...) || m.HasAny("sold") {
		r.odds(item, m)
	}
	if r.report.Len() > before || m.Misspelt("value") || m.Misspelt("chances") {
		note(&r.unsure, item.At.Key("value"))
	}
	if len(item.Sold) > 0 && item.Found == nil && m.Has("found") { // it is not known what was made from dead pieces
		item.Sold = slices.DeleteFunc(item.Sold, func(s landed.Sale) bool { return s.Made != "" })
	}
}

// example is the currency of examples: home where that is known.
func example(home money.Currency) string {
	if home == 0 {
		return "CAD"
	}
	return home.Code()
}

// fillItem reads the fields that an item has in a lot file and in an item list. It reports whether
// the count could be read, so that pieces may be counted against it.
func (r *reader) fillItem(item *landed.Item, get func(string) input.Node) (counted bool) {
	item.What, _ = get("what").Words()
	item.Model, _ = get("model").Words()
	before := r.report.Len()
	count := get("count")
	item.Count = r.countFrom(0, count)
	if counted = r.report.Len() == before; !count.Given() {
		checkOne(get("what"), item.What)
	}
	weight := get("weight")
	if item.Weight, item.Weighed = input.Scalar(weight, measure.ParseWeight); !item.Weighed && weight.Given() {
		note(&r.unsure, item.At)
		note(&r.unsure, item.At.Key("weight"))
	}
	checkUnit(weight, item.Weight)
	var most money.Amount
	value, read := get("value"), r.report.Len()
	if item.Value, most, item.Further = r.values(value); r.report.Len() > read || value.Given() && item.Value.Currency() == 0 {
		note(&r.unsure, item.At.Key("value"))
	}
	if most.Currency() != 0 {
		right := landed.Outcome{What: "right", Chance: decimal.NewFromInt(1), Value: item.Value, UpTo: most, At: item.At}
		item.Value, item.Chances, item.Spread = right.Mean(), []landed.Outcome{right}, true
	}
	item.Class, _ = get("class").Text()
	return counted
}

// values reads a value or a range, or a list of what the first, the second and each
// further copy sell for.
func (r *reader) values(n input.Node) (low, high money.Amount, further []money.Amount) {
	if !n.IsList() {
		low, high = r.valueRange(n)
		return low, high, nil
	}
	before, list := r.report.Len(), n.List(true)
	var values []money.Amount
	for _, entry := range list {
		value := r.notNegativeIn(entry, r.home)
		if values = append(values, value); value.Currency() != values[0].Currency() && r.report.Len() == before {
			entry.Fail(fmt.Sprintf("%s is in another currency than %s", value, values[0]), "write what each copy sells for in one currency, as in value: [60 CAD, 45 CAD]")
		}
	}
	if len(values) == 0 || r.report.Len() > before {
		return money.Amount{}, money.Amount{}, nil
	}
	return values[0], money.Amount{}, values[1:]
}

// mostPieces bounds a count: more pieces than any haul has.
const mostPieces = 1_000_000_000

// count reads a number of pieces: one where nothing is said.
func (r *reader) count(n input.Node) int64 { return r.countFrom(1, n) }

// countFrom is count for what may be fewer.
func (r *reader) countFrom(least int64, n input.Node) int64 {
	text, ok := n.Text()
	if !ok {
		return 1
	}
	count, err := strconv.ParseInt(text, 10, 64)
	switch {
	case err != nil:
		failNumber(n, text, "a number of pieces", "write a whole number, as in count: 2")
	case count < least:
		failCount(n, count)
	case count > mostPieces:
		n.Fail(fmt.Sprintf("a count of %d is too large", count), "write how many pieces there are")
	default:
		return count
	}
	return 1
}

func failCount(n input.Node, count int64) {
	n.Fail(fmt.Sprintf("a count of %d makes no sense", count), "write how many pieces there are, at least 1, or take it out")
}

var chargeKeys = []string{"what", "kind", "amount", "settled", "per", "on", "by", "dutiable"}

func (r *reader) charge(n input.Node, c *landed.Charge) {
	before := r.report.Len()
	m := n.Map(chargeKeys...)
	c.Kind, c.At = landed.Fee, n.Origin()
	c.What = titled(m, "charge")
	if word, ok := m.Get("kind").Text(); ok {
		c.Kind = r.chargeKind(m, word)
	}
	c.What = cmp.Or(c.What, c.Kind.String())
	amount := m.Get("amount")
	r.costOf(c, amount)
	c.Settled = r.settled(m.Get("settled"))
	checkTaken(m.Get("settled"), c.Settled, c.Amount)
	missing := !amount.Given() && !m.Has("settled") && !m.Misspelt("amount") && n.IsMap()
	if missing {
		m.KeyNode("amount").Fail("amount is missing", "write what it cost, as in amount: 7400 JPY, or amount: 1.5% of price")
		before++ // all else of it may be known
	}
	c.Per, _ = oneOf(m.Get("per"), landed.Parse[landed.Per], "haul", "parcel", "lot", "item", "piece")
	c.On = r.texts(m.Get("on"))
	c.By = r.basis(m.Get("by"), false)
	if dutiable := m.Get("dutiable"); r.yes(dutiable) {
		c.Dutiable = landed.AsGoods
	} else if dutiable.Given() {
		c.Dutiable = landed.NotDutiable
	}
	if r.report.Len() > before {
		note(&r.unsure, c.At)
	} else if missing {
		note(&r.unpriced, c.At)
	}
}

// chargeKind finds the kind of a charge; the other kinds of cost come from
// prices and from customs.
func (r *reader) chargeKind(m *input.Map, word string) landed.Kind {
	n := m.Get("kind")
	kind, known := landed.Parse[landed.Kind](word)
	switch {
	case known && (kind == landed.Price || kind == landed.Premium):
		n.Fail("a "+word+" belongs to a lot", "write it at the lot, as in "+word+": …")
		return landed.Fee
	case known && kind != landed.Duty && kind != landed.Tax:
		return kind
	}
	kinds, billed := []string{"freight", "insurance", "fee", "repair"}, []string{"duty", "tax"}
	meant := source.Meant(word, slices.Concat(kinds, billed))
	if !slices.Contains(billed, meant) {
		n.Fail("unknown kind "+quote(word), source.DidYouMean(word, kinds))
		return landed.Fee
	}
	paid, _ := m.Get("amount").Figure().Text()
	if paid == "" || strings.Contains(paid, "%") {
		paid = "12 CAD"
	}
	n.Fail(word+" is part of the bill of the border", fmt.Sprintf("take the charge out, and write under customs, or at its parcel, assessed: {%s: %s}; or kind: fee, if it is none of the border's", meant, paid))
	return landed.Fee
}

// costOf reads what a charge costs: an amount, or a percentage of prices.
func (r *reader) costOf(c *landed.Charge, n input.Node) {
	n = n.Figure()
	text, ok := n.Text()
	if !ok {
		return
	}
	percent, of, isPercent := strings.Cut(text, "%")
	number, bare := strings.CutSuffix(text, "of price")
	switch {
	case !isPercent && bare:
		_, err := money.ParsePercent(number)
		n.Fail(quote(text)+" has no percentage", ofPrice(err))
	case !isPercent:
		if sum, each := perOf(text, r.home); each != "" {
			n.Fail(quote(text)+" holds what it is for each of", "write "+sum+", and beside it per: "+each)
			return
		}
		c.Amount = r.amount(n)
		return
	case strings.HasPrefix(scrub.Figure(percent), "-"):
		n.Fail(quote(text)+" is negative", "write what comes back as an amount, as in -3 "+example(r.home))
	case strings.Join(strings.Fields(of), " ") == "of price":
		if _, err := money.ParsePercent(percent + "%"); err != nil && meantShare(percent) != "" {
			n.Fail(quote(text)+" is no percentage of the price", "write "+meantShare(percent))
			break
		}
		c.Percent = r.parseFraction(n, percent+"%", "1.5% of price")
	case strings.TrimSpace(of) == "" || strings.Contains(of, "price"):
		n.Fail(quote(text)+" does not say of what", show(meantShare(percent), "write it as in 1.5% of price"))
	default:
		n.Fail(quote(text)+" is no part of price, which is prices and premiums", show(meantShare(percent), "write it as in 1.5% of price")+" if that is meant, or else an amount, as in 3 "+example(r.home))
	}
	c.OfPrice = true
}

// ofPrice says how a percentage of the price is written.
func ofPrice(err error) string {
	if p, ok := errors.AsType[*money.ParseError](err); ok && strings.Contains(p.Remedy, " or ") {
		return strings.ReplaceAll(p.Remedy, "%", "% of price")
	}
	return "write it with its sign, as in 1.5% of price"
}

// fraction reads a percentage from 0 to 100.
func (r *reader) fraction(n input.Node, example string) decimal.Decimal {
	n = n.Figure()
	text, ok := n.Text()
	if !ok || text == "0" {
		return decimal.Decimal{}
	}
	return r.parseFraction(n, text, example)
}

// premiumOf reads the premium of a lot, which is a percentage of its price.
func (r *reader) premiumOf(n input.Node, lot *landed.Lot) decimal.Decimal {
	if text, ok := textOf(n.Figure()); ok && isAmount(text) {
		n.Figure().Fail(quote(text)+" is an amount, but a premium is a percentage of the price", show(meantPremium(text, lot.Price),
			"write it as one, as in premium: 10%, or take it out here and write a charge, as in - {what: premium, amount: "+text+", on: ["+lot.ID+"]}"))
		return decimal.Decimal{}
	}
	const whole = "write the one percentage that all of it comes to at this price, tax on it too, as in premium: 23.5%"
	if n.IsMap() || n.IsList() {
		n.Fail("a premium is one percentage of the price", whole)
		return decimal.Decimal{}
	}
	if text, _ := textOf(n); text != "" {
		if _, more, _ := strings.Cut(text, "%"); strings.ContainsAny(more, "0123456789") || scrub.Partial(text) != "" {
			n.Fail(quote(text)+" is more than one percentage", show(meantSum(n), whole))
			return decimal.Decimal{}
		}
	}
	return r.fraction(n, "premium: 10%")
}

func (r *reader) parseFraction(n input.Node, text, example string) decimal.Decimal {
	f, ok := input.Parsed(n, text, r.percent)
	switch {
	case !ok:
	case f.Sign() < 0:
		n.Fail(quote(text)+" is negative", "write a percentage from 0% to 100%, as in "+example)
	case !atMostOne(f):
		n.Fail(quote(text)+" is more than the whole", "write a percentage from 0% to 100%, as in "+example)
	default:
		return f
	}
	return decimal.Decimal{}
}

// percent is [money.ParsePercent].
func (r *reader) percent(text string) (decimal.Decimal, error) {
	if f, read := r.Room.fractions[text]; read {
		return f, nil
	}
	f, err := money.ParsePercent(text)
	if err == nil {
		r.Room.fractions.keep(strings.Clone(text), f)
	}
	return f, err
}

func atMostOne(f decimal.Decimal) bool {
	if r, ok := exact.NewRatio(f); ok {
		return r.Num <= r.Den
	}
	return !f.GreaterThan(decimal.NewFromInt(1))
}

// amount reads an amount; a bare number is of home, and cannot be judged when
// that is missing or wrong.
func (r *reader) amount(n input.Node) money.Amount { return r.amountIn(n, r.home) }

// amountIn is amount for a bare number of another currency than home.
func (r *reader) amountIn(n input.Node, bare money.Currency) money.Amount {
	a, _ := input.Scalar(n, amountsIn(bare))
	return a
}

// amountsIn parses amounts; of a bare number nothing is known while its currency is not.
func amountsIn(bare money.Currency) func(string) (money.Amount, error) {
	return func(s string) (money.Amount, error) {
		if bare == 0 && !strings.ContainsFunc(s, isCurrencyMark) {
			return money.Amount{}, nil
		}
		return money.ParseIn(s, bare)
	}
}

func isCurrencyMark(c rune) bool { return unicode.IsLetter(c) || isSign(c) }

func isSign(c rune) bool { return unicode.Is(unicode.Sc, c) }

// settled reads what left the bank, which is in home: of another currency that alone is told, also
// where its amount is not written as it should be.
func (r *reader) settled(n input.Node) money.Amount {
	in := r.home
	a, _ := input.Scalar(n, func(s string) (money.Amount, error) {
		a, err := amountsIn(r.home)(s)
		if words := strings.FieldsFunc(s, func(c rune) bool { return !unicode.IsLetter(c) }); err != nil && len(words) == 1 {
			if c, unknown := money.ParseCurrency(words[0]); unknown == nil && c != r.home && r.home != 0 {
				in = c
				return a, nil
			}
		}
		return a, err
	})
	if c := cmp.Or(a.Currency(), in); c != r.home && r.home != 0 {
		n.Fail(fmt.Sprintf("settled is in %s, but home is %s", c, r.home), "write what the bank took, in "+r.home.Code())
		return money.Amount{}
	}
	return a
}

func (r *reader) texts(n input.Node) []string {
	var texts []string
	for _, entry := range n.Names() {
		if text, ok := entry.Text(); ok {
			texts = append(texts, text)
		}
	}
	return texts
}

func quote(s string) string { return input.Quote(s) }
