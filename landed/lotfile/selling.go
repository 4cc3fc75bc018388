package lotfile

import (
	"cmp"
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/sales"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

func (r *reader) selling(n input.Node, h *landed.Haul) *selling.Plan {
	if !n.Given() {
		return nil
	}
	m := n.Map("venue", "venues", "target", "charged", "packing", "postage", "advertised", "offered", "tax", "cost-word", "promoted", "listings")
	s := &selling.Plan{At: n.Origin()}
	s.Target, _ = input.Scalar(m.Get("target"), r.target)
	s.Dispatch = r.dispatch(m, r.home)
	s.Advertised = r.yes(renamed(m, "advertised", "promoted"))
	s.Offered = r.offered(renamed(m, "offered", "listings"))
	s.VAT = r.vat(m.Get("tax"), h)
	s.CostWord, _ = input.Scalar(m.Get("cost-word"), selling.ParseCostWord)
	venues := m.Require("venues", "list where you would sell, or name a file with such a list, as in venues: venues.yaml")
	whole := r.venues(venues, s, m.Get("postage").Given())
	s.Usual, _ = m.Get("venue").Text()
	named := whole || len(s.Venues) > 0 && !slices.Contains(s.VenueNames(), "")
	if _, err := s.Venue(s.Usual); err != nil && named {
		m.Get("venue").Fail("no venue is called "+quote(s.Usual), source.DidYouMean(s.Usual, s.VenueNames()))
	}
	return s
}

var (
	saleKeys   = []string{"price", "count", "date", "venue", "postage", "fees", "made", "returned"}
	returnKeys = []string{"date", "refund", "count", "fees-back", "postage", "as"}
)

// sale reads what was sold: the price of one piece, or all there is to say of
// an order. It reports false when that could not be read.
func (r *reader) sale(n input.Node) (landed.Sale, bool) {
	before := r.report.Len()
	s := landed.Sale{Count: 1, At: n.Origin()}
	if n.IsText() {
		s.Price = r.salePrice(n)
	} else {
		m := n.Map(saleKeys...)
		s.Price = r.salePrice(m.Require("price", "write what the buyer paid for all pieces of the sale, as in price: 46 CAD"))
		s.Date, s.Count = r.event(m.Get("date")), r.count(m.Get("count"))
		s.Venue, _ = m.Get("venue").Text()
		s.Made, _ = m.Get("made").Text()
		s.Postage, s.Fees = r.notNegativeIn(m.Get("postage"), r.home), r.notNegativeIn(m.Get("fees"), r.home)
		r.allReturned(m.Get("returned"), &s)
	}
	return s, r.report.Len() == before && s.Price.Currency() != 0
}

// allReturned reads what came back of a sale: an entry, or a list of them.
func (r *reader) allReturned(n input.Node, s *landed.Sale) {
	list := []input.Node{n}
	if !n.IsMap() {
		list = n.List(true)
	}
	left := s.Count
	for _, entry := range list {
		back := r.returned(entry, left)
		s.Returned, left = append(s.Returned, back), left-back.Count
	}
}

func (r *reader) salePrice(n input.Node) money.Amount {
	return r.notBelowZero(n, r.home, "write what the buyer paid; what came back stands at the sale that it is of, as in returned: 2027-01-09")
}

// returned reads what came back of a sale, of which so many pieces had not: the day, where they
// all did and the buyer got everything back, or all there is to say of it.
func (r *reader) returned(n input.Node, left int64) landed.Return {
	back := landed.Return{Count: left, At: n.Origin()}
	if n.IsText() {
		back.Date = r.event(n)
		return back
	}
	m := n.Map(returnKeys...)
	back.Date = r.event(m.Require("date", "write the day on which it came back, as in date: 2027-01-09"))
	if count := m.Get("count"); count.Given() {
		back.Count = r.pieces(count, "count")
	}
	back.Refund = r.notNegativeIn(m.Get("refund"), r.home)
	back.FeesBack = r.notNegativeIn(m.Get("fees-back"), r.home)
	back.Postage = r.notNegativeIn(m.Get("postage"), r.home)
	back.As, _ = oneOf(m.Get("as"), stateOf, "parts", "dead") // where it is not what it was
	return back
}

// notNegativeIn reads an amount of 0 or more; a bare number is of a currency.
func (r *reader) notNegativeIn(n input.Node, bare money.Currency) money.Amount {
	return r.notBelowZero(n, bare, "write an amount of 0 or more")
}

func (r *reader) notBelowZero(n input.Node, bare money.Currency, remedy string) money.Amount {
	a := r.amountIn(n, bare)
	if a.Sign() < 0 {
		n.Fail(quote(a.String())+" is negative", remedy)
		return money.Amount{}
	}
	return a
}

// renamed is the value of a key, or of the word that files once had for it.
func renamed(m *input.Map, key, older string) input.Node {
	n, old := m.Get(key), m.Get(older)
	switch {
	case !n.Given() && old.Given():
		return old
	case old.Given():
		old.Fail("it is the older word for "+key+", which stands here too", "keep "+key)
	}
	return n
}

func (r *reader) offered(n input.Node) int64 {
	return wholeNumber(n, 1, 100, func(text string) {
		n.Fail(quote(text)+" is not how often a piece is offered", "write a whole number from 1 to 100, as in offered: 2")
	})
}

// target reads what each sale is to leave.
func (r *reader) target(text string) (resale.Target, error) {
	if r.home == 0 && !strings.Contains(text, "%") {
		return resale.Target{}, nil
	}
	return ParseTarget(text, r.home)
}

// targets says what a bare number may mean as a target: all that [ParseTarget]
// takes.
func targets(number string, home money.Currency) string {
	number = strings.TrimSpace(number)
	meant := []string{number + "%", number + "% on cost", number + " " + home.Code()}
	if d, err := decimal.NewFromString(number); err == nil && d.LessThanOrEqual(decimal.NewFromInt(1)) {
		meant[1] = money.FormatPercent(d)
	}
	meant = slices.DeleteFunc(meant, func(text string) bool {
		_, err := ParseTarget(text, home)
		return err != nil
	})
	return "write " + strings.Join(meant, " or ")
}

// ParseTarget reads what a sale is to leave: an amount ("5 CAD", or "0"), a
// margin on the price ("25%") or a mark-up on the cost ("30% on cost"). It
// returns the errors of [money.ParseIn] and [money.ParsePercent], and a
// [*money.ParseError] for a percentage that cannot be, for a loss, and for
// another bare number: it may be meant as an amount of home or as a percentage.
func ParseTarget(text string, home money.Currency) (resale.Target, error) {
	percent, of, isPercent := strings.Cut(text, "%")
	if !isPercent {
		amount, err := money.ParseIn(text, home)
		switch {
		case err == nil && amount.Sign() < 0:
			err = &money.ParseError{Input: text, Reason: "is a loss", Remedy: "write the profit you want, 0 or more; without a target it is break-even"}
		case err == nil && amount.Sign() != 0 && !strings.ContainsFunc(text, isCurrencyMark):
			err = &money.ParseError{Input: text, Reason: "may be a percentage or an amount", Remedy: targets(text, home)}
		case err != nil: // or a percentage in words
			var meant *money.ParseError
			if _, inWords := money.ParsePercent(text); errors.As(inWords, &meant) {
				if _, none := money.ParsePercent(strings.TrimPrefix(meant.Remedy, "write ")); none == nil {
					err = meant
				}
			}
		}
		return resale.Target{Amount: amount}, err
	}
	fraction, err := money.ParsePercent(percent + "%")
	if err != nil {
		return resale.Target{}, err
	}
	const mostMarkup = 1000
	on := strings.Join(strings.Fields(of), " ")
	switch {
	case on != "" && on != "on price" && on != "on cost":
		share, meant := strings.TrimSpace(percent)+"% on ", source.Meant(strings.TrimPrefix(on, "of "), []string{"price", "cost"})
		return resale.Target{}, &money.ParseError{Input: text, Reason: "does not say on what", Remedy: "write " + share + cmp.Or(meant, "price, or "+share+"cost")}
	case fraction.Sign() < 0:
		return resale.Target{}, &money.ParseError{Input: text, Reason: "is negative", Remedy: "write 0% or more"}
	case !fraction.Shift(6).IsInteger():
		return resale.Target{}, &money.ParseError{Input: text, Reason: "has more than four decimals", Remedy: "round it to 0.0001%"}
	case on == "on cost" && fraction.GreaterThan(decimal.NewFromInt(mostMarkup)):
		return resale.Target{}, &money.ParseError{Input: text, Reason: "is too large", Remedy: "write at most 100000% on cost"}
	case on == "on cost":
		return resale.Target{Markup: fraction}, nil
	case fraction.GreaterThanOrEqual(decimal.NewFromInt(1)):
		return resale.Target{}, &money.ParseError{Input: text, Reason: "is the whole price or more, so no price exists", Remedy: "write less than 100%, or a mark-up such as 100% on cost"}
	}
	return resale.Target{Margin: fraction}, nil
}

// vat reads the tax on the sales. Refusals are reported here, once, and not for
// every piece.
func (r *reader) vat(n input.Node, h *landed.Haul) resale.VAT {
	m := n.Map("scheme", "rate", "goods", "imported")
	v := resale.VAT{Imported: sales.Imported(h)}
	before := r.report.Len()
	if v.Scheme = resale.Scheme(wordOf(m.Get("scheme"), "none", "ordinary", "margin")); r.report.Len() > before {
		return resale.VAT{} // the rate is of a scheme that is not known
	}
	v.Collectible = wordOf(m.Get("goods"), "second-hand", "art", "antique", "collectors") > 0
	if m.Has("imported") {
		v.Imported = r.yes(m.Get("imported"))
	}
	sure := r.report.Len() == before
	v.Rate = r.fraction(m.Get("rate"), "rate: 20%")
	if v.Scheme == resale.NotRegistered {
		if m.Has("rate") && m.Get("scheme").Given() {
			m.Get("rate").Fail("there is no tax under scheme: none", "leave the rate out, or write scheme: ordinary or scheme: margin")
		} else if m.Has("rate") {
			m.Get("rate").Fail("the scheme of this tax is not said", "write scheme: ordinary or scheme: margin beside it")
		}
		return resale.VAT{}
	}
	m.Require("rate", "write the rate of the tax, as in rate: 20%")
	for _, err := range collect.Unjoin(v.Check()) {
		if keyOf(err).Key == "rate" {
			m.Get("rate").FailErr(err)
		} else if sure {
			n.FailErr(err)
		}
	}
	return v
}

// wordOf reads one of a few words, which stand for numbers from 0 up; 0 where none is given.
func wordOf(n input.Node, words ...string) int {
	i, _ := oneOf(n, func(word string) (int, bool) { return slices.Index(words, word), true }, words...)
	return i
}

// oneOf reads one of a few words, of which another function knows what they stand for. It reports
// false where none is given, or one that is not among them, which is told.
func oneOf[T any](n input.Node, meaning func(string) (T, bool), words ...string) (of T, ok bool) {
	word, ok := n.Text()
	if !ok {
		return of, false
	}
	if of, ok := meaning(word); ok && slices.Contains(words, word) {
		return of, true
	}
	n.Fail("unknown word "+quote(word), source.DidYouMean(word, words))
	return of, false
}

// venues reads a list of venues, or the file that is named instead. Where it is said for all of
// them what sending costs (sent), no venue lacks it, though what is said may be wrong. It reports
// false when some could not be read.
func (r *reader) venues(n input.Node, s *selling.Plan, sent bool) (whole bool) {
	read := func(n input.Node) resale.Venue {
		before := r.report.Len()
		v := r.venue(n)
		called := v.Name
		v.Name = "" // the field says it
		if what := sales.Unsent(s, &v); what != "" && !sent && v.Currency != 0 && r.report.Len() == before {
			if n.Marks().Comma { // which a venue does not know of itself
				what = input.OtherMarks(what)
			}
			n.Called("venue "+called).Fail(what, "write ships: no at the venue if nothing is sent from there, or what sending costs, as in postage: "+digitsOf("14.95", v.Currency))
		}
		v.Name = called
		return v
	}
	s.Venues, whole = namedList(r, n, "venue", "gable", read, func(v resale.Venue) string { return v.Name })
	return whole
}

// namedList reads a list whose entries have names of their own, or the file
// that is named instead. It reports false when some could not be read.
func namedList[T any](r *reader, n input.Node, kind, example string, read func(input.Node) T, name func(T) string) ([]T, bool) {
	before := r.report.Len()
	if !n.Given() {
		return nil, false
	}
	if file, ok := textOf(n); ok {
		if n = r.listFile(n, file); !n.Given() {
			return nil, false
		}
	}
	var list []T
	names := map[string]bool{}
	for _, entry := range n.List(false) {
		v := read(entry)
		if called := name(v); called != "" && names[called] {
			entry.Fail("the "+kind+" "+quote(called)+" stands twice", "give each "+kind+" a name of its own")
		} else {
			names[called] = true
		}
		list = append(list, v)
	}
	if len(list) == 0 && r.report.Len() == before {
		n.Fail("there are no "+kind+"s", "list at least one, as in - name: "+example)
	}
	return list, r.report.Len() == before && len(list) > 0
}

// called reads the name of an entry of such a list, and names its fields after it.
func called(m *input.Map, kind string) string {
	name, ok := m.Require("name", "give each "+kind+" a name of its own").Words()
	if ok {
		m.Called(kind, name)
	}
	return name
}

func textOf(n input.Node) (string, bool) {
	if !n.IsText() {
		return "", false
	}
	return n.Text()
}

func (r *reader) listFile(n input.Node, name string) input.Node {
	path, data, ok := r.fileText(n, name)
	if !ok {
		return input.Node{}
	}
	list, _ := r.parsed(n, path, data)
	marks := n.Marks()
	return list.Marked(&marks).Called("venues")
}

// fileText is the text of a file that the lot file names, or what is tried in its place.
func (r *reader) fileText(n input.Node, name string) (path string, data []byte, ok bool) {
	path = filepath.Join(r.folderOf(n), name)
	if data, ok = r.instead[path]; !ok {
		data, ok = r.fileBeside(n, name, input.MaxBytes)
	}
	return path, data, ok
}

// parsed is the tree of a file that the lot file names.
func (r *reader) parsed(n input.Node, path string, data []byte) (input.Node, bool) {
	root, err := input.ParseYAML(path, data, r.report)
	if err != nil {
		r.unparsed(n, path, data, err)
	}
	return root, err == nil
}

// unparsed tells what is wrong with a file that the lot file names, and keeps what is no YAML to be
// mended.
func (r *reader) unparsed(n input.Node, path string, data []byte, err error) {
	n.FailErr(err)
	if shape, is := errors.AsType[*input.ShapeError](err); is && shape.Broken {
		if r.broken == nil {
			r.broken = map[string][]byte{}
		}
		r.broken[path] = data
	}
}

func (r *reader) venue(n input.Node) resale.Venue {
	before := r.report.Len()
	m := n.Map("name", "currency", "ships", "fees", "sales-tax", "charged", "packing", "postage")
	v := resale.Venue{Currency: r.home}
	v.Name = called(m, "venue")
	if m.Has("currency") {
		v.Currency, _ = input.Scalar(m.Get("currency"), money.ParseCurrency)
	}
	if fees := m.Get("fees"); !bareFee(fees, v.Currency, "[", "]") {
		for _, fee := range fees.List(false) {
			if !bareFee(fee, v.Currency, "", "") {
				v.Fees = append(v.Fees, r.fee(fee, v.Currency))
			}
		}
	}
	tax := m.Get("sales-tax").Map("rate", "on-postage")
	v.SalesTax = r.rate(tax.Get("rate"))
	v.TaxOnPostage = r.yes(tax.Get("on-postage"))
	v.Sending = r.ships(m)
	v.Dispatch = r.dispatch(m, v.Currency)
	r.checkVenue(m, &v, r.report.Len() == before && v.Currency != 0)
	return v
}

// ships reads whether a venue ships. What a venue that does not would take for
// sending is strange, and not counted.
func (r *reader) ships(m *input.Map) resale.Sending {
	switch ships := m.Get("ships"); {
	case !ships.Given():
		return resale.SendingUnsaid
	case r.yes(ships):
		return resale.Sent
	}
	for _, key := range []string{"charged", "packing", "postage"} {
		if n := m.Get(key); n.Given() {
			n.Warn("it is not counted, since nothing is sent from there (ships: no)", "take it out, or write ships: yes")
		}
	}
	return resale.Fetched
}

// checkVenue tells what is wrong with the figures of a venue at the figure that is meant: of one
// that was not read whole its percentages alone, each of which is judged by itself.
func (r *reader) checkVenue(m *input.Map, v *resale.Venue, whole bool) {
	nameless := *v
	nameless.Name = "" // the field says it
	for _, err := range collect.Unjoin(nameless.Check()) {
		if at := keyOf(err); whole || at.Key == "rate" || at.Key == "sales-tax rate" {
			r.report.AddErr(at.In(m.Origin()), m.Field(), err)
		}
	}
}

// keyOf returns which figure an error of package resale is about.
func keyOf(err error) *resale.FieldError {
	if field, ok := errors.AsType[*resale.FieldError](err); ok {
		return field
	}
	return &resale.FieldError{}
}

// bareFee tells how a fee is written of which the figure alone stands there, between marks that it
// needs around it, and reports whether one does.
func bareFee(n input.Node, cur money.Currency, before, behind string) bool {
	n, key := n.Figure(), "percent"
	text, _ := textOf(n)
	if text == "" { // as of most: a group of keys
		return false
	}
	if _, err := money.ParsePercent(text); err != nil {
		key = "fixed"
		if _, err := money.ParseIn(text, cur); err != nil {
			return false
		}
	}
	n.Fail(quote(text)+" is the figure of a fee alone", "write "+before+"{what: commission, "+key+": "+text+"}"+behind)
	return true
}

func (r *reader) fee(n input.Node, cur money.Currency) resale.Fee {
	before := r.report.Len()
	m := n.Map("what", "kind", "of", "with-tax", "bands", "tiers", "percent", "fixed", "floor", "cap")
	f := resale.Fee{What: titled(m, parentField(n)+": fee")}
	kinds := []resale.FeeKind{resale.SellingFee, resale.SellingFee, resale.ListingFee, resale.AdvertisingFee}
	if word, _ := textOf(m.Get("kind")); word == "promotion" { // as files once had it
		f.Kind = resale.AdvertisingFee
	} else {
		f.Kind = kinds[wordOf(m.Get("kind"), "selling", "payment", "listing", "advertising")]
	}
	f.WithPostage = wordOf(m.Get("of"), "price", "price and postage") == 1
	f.WithTax = r.yes(m.Get("with-tax"))
	f.Whole = wordOf(m.Get("bands"), "marginal", "whole") == 1
	f.Fixed = r.notNegativeIn(m.Get("fixed"), cur)
	f.Floor = r.notNegativeIn(m.Get("floor"), cur)
	f.Cap = r.notNegativeIn(m.Get("cap"), cur)
	if m.Has("percent") {
		f.Bands = []resale.Band{{Rate: r.rate(m.Get("percent"))}}
	}
	if m.Has("tiers") {
		f.Bands = r.tiers(m.Get("tiers"), cur)
	}
	switch {
	case m.Has("percent") && m.Has("tiers"):
		m.Get("percent").Fail("a fee has either percent or tiers", "write a single rate as percent, bands as tiers")
		f.Bands = nil // which are meant is not known
	case n.IsMap() && r.report.Len() == before && !m.Has("percent") && !m.Has("tiers") && !m.Has("fixed") && !m.Has("floor"):
		m.Fail("the fee charges nothing", "write percent, tiers, fixed or floor, as in percent: 11%")
	}
	return f
}

// parentField is the field that the entry of a list of fees stands in.
func parentField(n input.Node) string {
	field, _, _ := strings.Cut(n.Field(), ": fees ")
	return field
}

func (r *reader) tiers(n input.Node, cur money.Currency) []resale.Band {
	var tiers []resale.Band
	for _, entry := range n.List(false) {
		m := entry.Map("from", "up-to", "rate")
		t := resale.Band{UpTo: r.notNegativeIn(m.Get("up-to"), cur)}
		t.Rate = r.rate(m.Require("rate", "write the rate of this band, as in rate: 13%"))
		if len(tiers) > 0 {
			t.From = tiers[len(tiers)-1].UpTo
		}
		if m.Has("from") {
			t.From = r.notNegativeIn(m.Get("from"), cur)
		}
		tiers = append(tiers, t)
	}
	return tiers
}

// rate reads a percentage; whether it is too high is for the venue's check to
// say.
func (r *reader) rate(n input.Node) decimal.Decimal {
	if text, ok := textOf(n); ok && text == "0" {
		return decimal.Decimal{}
	}
	rate, _ := input.Scalar(n, money.ParsePercent)
	return rate
}

// dispatch reads what getting an order to its buyer takes.
func (r *reader) dispatch(m *input.Map, cur money.Currency) resale.Dispatch {
	return resale.Dispatch{Charged: r.notNegativeIn(m.Get("charged"), cur), Packing: r.notNegativeIn(m.Get("packing"), cur), Postage: r.postage(m.Get("postage"), cur)}
}

// postage reads what sending costs: an amount, or a fixed amount and steps by
// weight.
func (r *reader) postage(n input.Node, cur money.Currency) resale.Postage {
	if text, ok := textOf(n.Figure()); ok {
		if _, err := money.ParseIn(text, cur); err != nil && len(money.Meant(text, cur)) == 0 && cur != 0 && strings.Trim(text, "0123456789.,") != "" {
			n.Misshapen(quote(text)+" is no amount", "write one, or steps by weight, as in postage: {steps: [{up-to: 2 kg, cost: "+digitsOf("9.80", cur)+"}]}", "fixed", "steps")
			return resale.Postage{}
		}
		return resale.Postage{Fixed: r.notNegativeIn(n, cur)}
	}
	m := n.Map("fixed", "steps")
	p := resale.Postage{Fixed: r.notNegativeIn(m.Get("fixed"), cur)}
	var before measure.Weight
	for _, entry := range m.Get("steps").List(false) {
		step := entry.Map("up-to", "cost")
		upTo, ok := input.Scalar(step.Require("up-to", "write the weight this step goes up to, as in up-to: 500 g"), measure.ParseWeight)
		cost := r.notNegativeIn(step.Require("cost", "write what it costs to send, as in cost: "+digitsOf("9.80", cur)), cur)
		if ok && upTo <= before {
			step.Get("up-to").Fail("the step does not go beyond the one before it, "+before.String(), "write the steps by rising weight")
		}
		before = max(before, upTo)
		p.Steps = append(p.Steps, money.Step[measure.Weight]{UpTo: upTo, Price: cost})
	}
	return p
}
