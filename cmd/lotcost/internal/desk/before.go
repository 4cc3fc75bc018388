package desk

import (
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/bid"

	"github.com/shopspring/decimal"
)

// beforeTitle is what that view is called.
const beforeTitle = "Lots and pieces"

// beforeView is what is typed of a haul before the sale, and put right after it: its pieces as a
// grid, what they cost to get here, and how high to bid.
var beforeView = &view{id: "before", Title: beforeTitle, when: []waits{toClose}, fits: (*haul).isYAML, mends: true, show: showBefore}

// isYAML reports whether single values of the file can be changed.
func (h *haul) isYAML() bool { return h.Doc != nil }

// hasOpen reports whether the price of some lot is open, by the text of the file.
func (h *haul) hasOpen() bool {
	return h.anyLot(func(i int) bool { return h.isOpen(i) && !h.isLost(i) })
}

// anyLot reports whether something holds of a lot in the text of the file.
func (h *haul) anyLot(holds func(lot int) bool) bool {
	for i := range h.Doc.Len(h.at("lots")) {
		if holds(i) {
			return true
		}
	}
	return false
}

// grid is rows of fields.
type grid struct {
	Label string
	List  string // the path of the list, for rows that are pasted
	Word  string // what one of its entries is
	Keys  []string
	Heads []string
	Rows  []gridRow
	Own   int    // how many of the rows stand in the file already
	File  string // the file in which the list stands instead
}

type gridRow struct {
	Name   string
	Fields []headed
	New    bool
}

// gridOf makes the rows of a list: one for each entry, and one to add another.
func (h *haul) gridOf(label string, columns []column, list ...any) grid {
	p := h.at(list...)
	g := grid{Label: label, List: p.String(), Word: entryWords[p[len(p)-1].Key], Own: h.Doc.Len(p), File: h.typed(p)}
	if g.File != "" {
		return g
	}
	for _, c := range columns {
		g.Heads, g.Keys = append(g.Heads, c.head), append(g.Keys, c.key)
	}
	more := 1 // for what is added
	if g.Own == 1 && h.isBare(p) {
		more = 0
	}
	for i := range g.Own + more {
		g.Rows = append(g.Rows, gridRow{Name: h.called(h.at(p, i)), Fields: h.headed(columns, h.at(p, i)), New: i == g.Own})
	}
	return g
}

// column is a column of a grid; a key that begins with ~ stands for one of several, see [meant].
type column struct {
	head, key, hint string
	says            string // the head for those who hear it, where it is another
	choices         []string
	slider          bool
}

// cell is the field of a column in the row of an entry.
func (h *haul) cell(c column, entry edit.Path) field {
	steps, _ := edit.ParsePath(c.key) // which is a path for what stands deeper in the entry
	p := append(slices.Clone(entry), steps...)
	at := placeOfField(h.Doc, p)
	f := field{Label: h.labelOf(cmp.Or(c.says, c.head), entry), Path: p.String(), Hint: h.example(c.hint), Choices: c.choices, Quiet: true, Value: h.typed(at)}
	if len(at) != len(p) || at[len(at)-1] != p[len(p)-1] {
		f.Real = at.String()
	}
	several := steps[0].Key == "fees" && h.Doc.Len(entry.Below("fees")) > 1 // of which one may be what is missing here
	f.Fixed = f.Value == "" && (several || h.Doc.Has(at))
	if c.key == "~lots" {
		f.Value, f.Fixed = h.lotsIn(at), false
	}
	if id := h.typed(entry.Below("id")); c.key == "what" && id != "" {
		f.Hint = id // which piece it is, where nothing else tells
	}
	if c.slider {
		f.Percent = percentOf(f.Value)
		f.Slider, f.Words = true, inWords(f.Value)
	}
	return f
}

// lotsIn are the lots of a list in one text, by what they are called where that can be typed so;
// steps lead to the id in an entry.
func (h *haul) lotsIn(list edit.Path, steps ...any) string {
	var names []string
	for i := range h.Doc.Len(list) {
		id := h.typed(list.Below(append([]any{i}, steps...)...))
		name := lotTitle(h.Doc, id)
		if ids, _ := lotsNamed(h.Doc, name); !slices.Equal(ids, []string{id}) {
			name = id
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// percentOf is a chance as the number of a slider; 100 where none is said.
func percentOf(text string) string {
	n, err := decimal.NewFromString(strings.TrimSpace(strings.TrimSuffix(strings.ReplaceAll(text, ",", "."), "%")))
	if err != nil {
		return "100"
	}
	return n.Round(0).String()
}

// inWords is a chance in words.
func inWords(text string) string {
	n, err := decimal.NewFromString(percentOf(text))
	if err != nil || text == "" {
		return "sure"
	}
	for _, step := range []struct {
		above int64
		word  string
	}{{94, "nearly sure"}, {79, "very likely"}, {59, "likely"}, {40, "even"}, {19, "unlikely"}} {
		if n.GreaterThan(decimal.NewFromInt(step.above)) {
			return step.word
		}
	}
	return "hardly"
}

var weightColumn = column{head: "weight, each", says: "weight", key: "weight", hint: "1.9 kg"}

var pieceColumns = []column{
	{head: "what", says: "name", key: "what", hint: "Jack plane"},
	{head: "pieces", key: "count", hint: "1"},
	weightColumn,
	{head: "model", key: "model"},
	{head: "value when right, each", says: "value when right", key: "~value", hint: "38 CAD"},
	{head: "chance that it is right", says: "chance of being right", key: "~chance", hint: "sure", slider: true},
	{head: "value else", says: "value else", key: "~else", hint: "0"},
}

var chargeColumns = []column{
	{head: "what", says: "name", key: "what", hint: "Surface parcel"},
	{head: "kind", key: "kind", choices: []string{"freight", "insurance", "fee", "repair"}},
	{head: "amount", key: "amount", hint: "2400 JPY"},
	{head: "for each", says: "what each is paid for", key: "per", choices: []string{"haul", "parcel", "lot", "item", "piece"}},
}

var boxColumns = []column{
	{head: "box", says: "name", key: "id", hint: "box-1"},
	{head: "lots in it", key: "~lots", hint: "lot-1, lot-2"},
	{head: "freight", key: "freight", hint: "2400 JPY"},
	{head: "insurance", key: "insurance"},
	{head: "weight billed", key: "billed", hint: "4.6 kg"},
}

// service is a carrier's service with what it asks by weight.
type service struct {
	Fields []field
	Steps  grid
}

var stepColumns = []column{{head: "up to", key: "up-to", hint: "2 kg"}, {head: "price", key: "price", hint: "2400"}}

// services are those that the haul names itself, and what adds one.
func (h *haul) services() (list []service, more set) {
	at := h.at("sending", "services")
	if by, _ := h.byDefaults(at); by != "" || h.typed(at) != "" { // they stand in another file
		return nil, nil
	}
	n := h.Doc.Len(at)
	for i := range n {
		entry := h.at(at, i)
		list = append(list, service{
			Steps:  h.gridOf("What "+h.called(entry)+" asks by weight", stepColumns, entry, "steps"),
			Fields: []field{h.field("Service", "Post", entry, "name"), h.field("Currency of its prices", "JPY", entry, "currency")},
		})
	}
	return list, set{{at.Below(n, "name").String(), fmt.Sprintf("service-%d", n+1)}, {at.Below(n, "currency").String(), cmp.Or(strings.TrimSpace(h.foreign()), h.home(), "EUR")}}
}

// lotFields are a lot with its pieces.
type lotFields struct {
	Title  string
	Path   string
	Fields []field
	More   []field // that are not needed to begin with
	Open   bool    // whether any of those is filled in
	Out    set     // takes it out, where others are left
	Lost   bool
	Pieces grid
	Part   sheet.Batch[gridRow] // the fold of its pieces
	List   *list                // nil where the pieces stand in the lot file
	Bring  string               // the path of the lot, where it has no pieces yet
}

// beforeBody is what is typed before the sale.
type beforeBody struct {
	Name, Mark string
	Many       bool // pieces, of which one looks for some
	Lots       []lotFields
	Charges    grid
	Boxes      grid
	Services   []service
	Service    set // adds one
	Goal       []field
	First      []field // of the whole haul: what the figures are in
	Terms      []field
	Share      []field
	Rest       template.HTML
}

func showBefore(h *haul, r *http.Request) (parts, error) {
	b := beforeBody{
		Name: h.Name, Mark: h.Mark, Many: h.pieces() > sheet.AtOnce,
		Charges: h.gridOf("What is paid beside the price", chargeColumns, "charges"),
		Boxes:   h.gridOf("Boxes, where there are several", boxColumns, "parcels"),
		Goal: []field{
			h.firstBid(),
			h.field("Return on cost, at least", "25%", "bidding", "goal", "return"),
			h.field("Profit, at least", "20 "+h.home(), "bidding", "goal", "profit"),
			h.field("Chance of a loss, at most", "20%", "bidding", "goal", "risk"),
			h.field("Paid in all, at most", "200 "+h.home(), "bidding", "goal", "budget"),
		},
	}
	b.First, b.Terms, b.Share = h.money(), h.terms(), h.shares()
	b.Services, b.Service = h.services()
	for i := range h.Doc.Len(h.at("lots")) {
		b.Lots = append(b.Lots, h.lotFields(i, b.Many))
	}
	var p parts
	var result show.Result
	var bidErr, err error
	switch {
	case h.File == nil || !h.hasOpen():
	case len(h.open()) > 1 && r.URL.Query().Get("lot") == "":
		_, result, bidErr = h.limits(r)
	default:
		_, result, bidErr = h.answered(r)
		p.Ask, _ = fill("ask", r.URL.Query().Get("at"))
	}
	if bidErr == nil && result.Sheet != nil {
		p.Answer, b.Rest, bidErr = h.halves(result.Whole().Parted())
	}
	p.Work, err = fill("before.html", b)
	return p, errors.Join(bidErr, err)
}

// home is the code of the currency of the books.
func (h *haul) home() string {
	if f := h.asRead(); f != nil {
		return f.Home.Code()
	}
	return h.typed(h.at("home"))
}

// example is what may be typed, in the currency and the marks of the haul.
func (h *haul) example(hint string) string {
	return h.marked(h.examples().In(hint))
}

// money is the currency of the books, the rates and what the card adds to them.
func (h *haul) money() []field {
	list := []field{h.field("Home currency", "EUR", "home"), h.field("The card adds", "2.5%", "exchange", "spread")}
	for i := range max(1, h.Doc.Len(h.at("exchange", "rates"))) {
		list = append(list, h.field("Rate", h.rateHint(), "exchange", "rates", i))
	}
	if h.File != nil && h.File.Defaults != nil { // these are taken key by key
		for i := range list {
			list[i].Hint = "by the defaults"
		}
	}
	return list
}

// shares are by what each kind of cost is shared over the pieces.
func (h *haul) shares() (list []field) {
	for _, of := range []struct{ label, usual, key string }{{"Prices", "value", "price"}, {"Freight", "weight", "freight"}, {"Insurance", "value", "insurance"}, {"Fees", "count", "fee"}} {
		f := h.field(of.label+", usually by "+of.usual, "", "share", of.key)
		f.Choices = []string{"weight", "count", "value", "line"}
		list = append(list, f)
	}
	f := h.field("Dead and missing pieces are carried by", "", "losses")
	f.Choices = []string{"item", "lot", "haul", "written-off"}
	return append(list, f)
}

// rateHint is how a rate is typed.
func (h *haul) rateHint() string {
	as := h.examples()
	switch {
	case as.Lots == 0 || as.Home == 0 || as.Lots == as.Home:
		return "100 JPY = 0.93 CAD"
	case as.Lots.Digits() == 0:
		return fmt.Sprintf("100 %s = … %s", as.Lots, as.Home)
	}
	return fmt.Sprintf("1 %s = … %s", as.Lots, as.Home)
}

// terms are the title, the day and the way of a haul, and the duty on each of its classes.
func (h *haul) terms() []field {
	list := []field{
		h.field("Title", "", "title"),
		h.field("Day", "2026-10-03", "date"),
		h.field("From", "JP", "from"),
		h.field("To", "CA-ON", "to"),
	}
	if to := &list[len(list)-1]; h.File != nil && h.File.Defaults != nil && h.File.To != "" {
		to.Hint = h.File.To + ", by the defaults"
	}
	use, by := h.field("For", "personal", "customs", "use"), h.field("By", "post", "customs", "by")
	use.Choices, by.Choices = []string{"personal", "gift", "resale", "returned"}, []string{"post", "courier", "cargo"}
	list = append(list, use, by)
	for _, class := range h.Doc.Keys(h.at("customs", "classes")) {
		if len(h.Doc.Keys(h.at("customs", "classes", class))) > 0 {
			code := h.field("Tariff code of "+class, "", "customs", "classes", class, "code")
			code.Hint = "8205.59" // which has a point wherever decimals have commas
			list = append(list, h.field("Duty on "+class, "6.5%, or free", "customs", "classes", class, "duty"), code)
		}
	}
	return list
}

func (h *haul) lotFields(i int, many bool) lotFields {
	at := h.at("lots", i)
	l := lotFields{Title: h.lotName(i), Path: at.String(), Lost: h.isLost(i), Pieces: h.gridOf("Pieces", pieceColumns, at, "items"), List: h.listOf(i)}
	if h.isBare(at.Below("items")) {
		l.Bring = l.Path
	} else if n := l.Pieces.Own; many && n > 0 {
		name := func(j int) string { return h.pieceName(h.at(at, "items", j)) }
		l.Part = sheet.Batch[gridRow]{ID: "pieces " + l.Path, Title: sheet.BatchTitle(n, name(0), name(n-1)), Open: i == 0 && n <= sheet.AtOnce}
	}
	for n, f := range []struct{ label, hint, key string }{{"Called", "Crate of planes", "title"}, {"Price, or open", "open", "price"}, {"Premium", "10%", "premium"}, {"Seller", "", "seller"}, {"Closes", "20:15", "closes"}, {"May go for", "4000..9000 JPY", "likely"}, {"Packed size", "32x24x14 cm", "size"}, {"Lost", "yes", "lost"}} {
		if f := h.field(f.label, f.hint, at, f.key); n < 4 {
			l.Fields = append(l.Fields, f)
		} else {
			l.More, l.Open = append(l.More, f), l.Open || f.Value != ""
		}
	}
	l.More[len(l.More)-1].Choices = []string{"yes"} // that it is lost
	if h.Doc.Len(h.at("lots")) > 1 {
		l.Out = set{{l.Path, ""}}
	}
	return l
}

// answered is how high to go for the lot that is asked for, the first open one else, and what there
// is to say of it, as much as a page waits for: nil and nothing where that is too short for any.
func (h *haul) answered(r *http.Request) (*bid.Answer, show.Result, error) {
	ctx, stop := h.search(r)
	defer stop()
	a, result, err := h.judged(r.URL.Query().Get("lot"), r.URL.Query().Get("at"), going(ctx))
	if errors.Is(err, bid.ErrStopped) && !goesOn(r) {
		h.cut(r)
		return nil, show.Result{}, nil
	}
	if err != nil {
		return nil, show.Result{}, err
	}
	if a.Stopped {
		h.cut(r)
	}
	return a, result, nil
}

// judged is the bid for an open lot, the first one where none is named, and what would change it;
// at a price where one is asked about.
func (h *haul) judged(lot, at string, goes func(int) bool) (*bid.Answer, show.Result, error) {
	if open := h.File.Open(); !slices.Contains(open, lot) {
		lot = open[0]
	}
	var a *bid.Answer
	b, err := bid.New(h.Shown().Haul, h.Shown().Plans, bid.Options{Lot: h.Shown().lots[lot], Goes: goes})
	if err == nil {
		a, err = h.asked(b, at)
	}
	if err != nil {
		return nil, show.Result{}, h.explain(err)
	}
	moves, err := b.Moves()
	if errors.Is(err, bid.ErrStopped) {
		a.Stopped, err = true, nil
	}
	points, _ := b.Ladder(a) // of a search that took too long it is left out
	return a, show.Bid(a, moves, points, nil), err
}

// asked judges a price, where one is asked about.
func (h *haul) asked(b *bid.Bidder, at string) (*bid.Answer, error) {
	if at == "" {
		return b.Highest()
	}
	price, err := h.priceAt(at, b.Bids())
	if err != nil {
		return nil, err
	}
	return b.Judge(price)
}

// decimal is the mark of the file's figures.
func (h *haul) decimal() string {
	return sheet.Either(h.Comma(), "comma", "")
}
