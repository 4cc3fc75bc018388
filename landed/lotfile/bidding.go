package lotfile

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// oddsKeys are the keys of an item that say what may become of it.
var oddsKeys = []string{"alike", "chances"}

// odds reads what may become of an item, and what its pieces were sold for. A
// value that was given as a range is taken as chances of its own where there are
// no others.
func (r *reader) odds(item *landed.Item, m *input.Map) {
	before := r.report.Len()
	var outcomes []landed.Outcome
	rest := -1
	chances := m.Get("chances")
	if chances.IsMap() {
		chances = r.known(item, chances)
	}
	list := chances.List(false)
	outcomes = slices.Grow(outcomes, len(list))
	for i, n := range list {
		f, isRest := r.outcome(n, rest >= 0)
		if isRest {
			rest = i
		}
		outcomes = append(outcomes, f)
	}
	item.Alike = r.yes(m.Get("alike"))
	for _, n := range m.Get("sold").List(true) {
		if s, ok := r.sale(n); ok {
			item.Sold = append(item.Sold, s)
		}
	}
	if r.report.Len() > before {
		return
	}
	if rest >= 0 {
		outcomes[rest].Chance = left(outcomes, rest)
		if outcomes[rest].Chance.Sign() < 0 {
			m.Get("chances").Fail("the chances before the rest come to "+money.FormatPercent(decimal.NewFromInt(1).Sub(outcomes[rest].Chance)), "take away "+money.FormatPercent(outcomes[rest].Chance.Neg()))
			return
		}
	}
	switch {
	case outcomes != nil:
		item.Chances, item.Spread = outcomes, false
	case item.Known != nil:
		r.evenly(item, m)
	}
}

// ownPieces is as how many pieces of a record one's own chances count where that is
// not said: one for each way in which a piece may come out, as if nothing was known
// (common practice, no source).
const ownPieces = 3

// known reads which record an item's chances come from, and returns one's own.
func (r *reader) known(item *landed.Item, n input.Node) input.Node {
	m := n.Map("from", "class", "seller", "model", "own", "own-counts")
	if from, ok := m.Require("from", "write from: book, or list what may become of a piece").Text(); ok && from != "book" {
		m.Get("from").Fail("chances come from a book alone, not from "+quote(from), "write from: book")
	}
	k := &landed.Known{Asked: true, Own: decimal.NewFromInt(ownPieces), At: n.Origin()}
	k.Class, _ = m.Get("class").Text()
	k.Seller, _ = m.Get("seller").Words()
	k.Model, _ = m.Get("model").Words()
	if counts := m.Get("own-counts"); counts.Given() {
		if pieces := r.count(counts); pieces > 0 {
			k.Own = decimal.NewFromInt(pieces)
		}
	}
	item.Known = k
	return m.Get("own")
}

// evenly makes chances of one's own that tell nothing: a piece is worth its value,
// what it is worth for parts, or nothing.
func (r *reader) evenly(item *landed.Item, m *input.Map) {
	if item.Value.Currency() == 0 {
		m.Get("chances").Fail("it is not said what a sound piece sells for", "write value: 52 CAD at the item, or your own chances, as in own: [{chance: 60%, value: 52 CAD}, {chance: rest, value: 0}]")
		return
	}
	sound := landed.Outcome{What: "sound", Value: item.Value, State: landed.Sound}
	if item.Spread {
		sound = item.Chances[0]
		sound.What = "sound"
	}
	worth := item.PartsValue
	if worth.Currency() == 0 {
		worth = money.New(0, item.Value.Currency())
	}
	item.Chances, item.Spread = []landed.Outcome{sound, {What: "for parts", Value: worth, State: landed.ForParts}, {What: "dead", Value: money.New(0, item.Value.Currency()), State: landed.Dead}}, true
	left := decimal.NewFromInt(1)
	for i := range item.Chances {
		f := &item.Chances[i]
		f.Chance, f.Stated, f.At = left.Div(decimal.NewFromInt(int64(3-i))).Truncate(16), true, item.Known.At
		left = left.Sub(f.Chance)
	}
	item.Chances[2].Chance = item.Chances[2].Chance.Add(left)
}

// left is what the other chances leave.
func left(outcomes []landed.Outcome, rest int) decimal.Decimal {
	sum := decimal.NewFromInt(1)
	for i := range outcomes {
		if i != rest {
			sum = sum.Sub(outcomes[i].Chance)
		}
	}
	return sum
}

func stateOf(word string) (landed.State, bool) {
	state, known := map[string]landed.State{"sound": landed.Sound, "parts": landed.ForParts, "dead": landed.Dead}[word]
	return state, known
}

var outcomeKeys = []string{"chance", "what", "value", "repair", "state"}

// outcome reads one entry of chances, and whether its chance is the rest, which
// stands but once.
func (r *reader) outcome(n input.Node, again bool) (landed.Outcome, bool) {
	m := n.Map(outcomeKeys...)
	f := landed.Outcome{At: n.Origin()}
	f.What, _ = m.Get("what").Words()
	chance := m.Require("chance", "write how likely it is, as in chance: 60%, or chance: rest for the last")
	word, _ := textOf(chance)
	switch {
	case word != "rest" && strings.ContainsFunc(word, unicode.IsLetter) && source.Meant(word, []string{"rest"}) != "":
		chance.Fail(quote(word)+" is not a percentage", "did you mean rest?")
		return f, false
	case word != "rest":
		f.Chance = r.fraction(chance, "chance: 60%")
	case again:
		chance.Fail("the rest is given twice", "keep one of them, and give the other its chance")
	}
	f.Value, f.UpTo = r.valueRange(m.Require("value", "write what one piece then sells for, as in value: 8 CAD, or value: 0"))
	f.Repair = r.notNegativeIn(m.Get("repair"), r.home)
	f.State, f.Stated = oneOf(m.Get("state"), stateOf, "sound", "parts", "dead")
	return f, word == "rest"
}

// valueRange reads a value, or a range such as "30..50 CAD"; the second amount
// is none for a single value.
func (r *reader) valueRange(n input.Node) (low, high money.Amount) {
	n = n.Figure()
	text, ok := textOf(n)
	if !ok {
		return r.amount(n), money.Amount{}
	}
	value, err := money.ParseIn(text, r.home)
	switch {
	case err == nil && value.Sign() < 0:
		n.Fail("a value cannot be negative", "write what one piece should sell for when right, or 0")
		return money.Amount{}, money.Amount{}
	case err == nil:
		return value, money.Amount{}
	}
	if !r.isRange(text) {
		return r.amount(n), money.Amount{}
	}
	if low, high, ok = r.ends(n, text); !ok {
		return money.Amount{}, money.Amount{}
	}
	what := "a value from " + low.String() + " to " + high.String() + " makes no sense"
	switch {
	case low.Currency() != high.Currency():
		n.Fail(what, "write both in one currency, as in value: 30..50 CAD")
	case low.Sign() < 0 || high.Cmp(low) < 0:
		n.Fail(what, "write the lesser one first, as in value: 30..50 CAD")
	default:
		return low, high
	}
	return money.Amount{}, money.Amount{}
}

func (r *reader) isRange(text string) bool {
	return strings.Contains(text, "..") || meantRange(text, r.home) != ""
}

// ends reads both ends of a range of amounts, the first in the currency of the second where it
// names none. It reports false for what is not one, and where home is missing, which was reported.
func (r *reader) ends(n input.Node, text string) (low, high money.Amount, ok bool) {
	if meant := meantRange(text, r.home); meant != "" && !rangeIn().MatchString(text) {
		n.Fail(quote(text)+" is not written as a range", "write "+meant)
		return low, high, false
	}
	read := func(s string, bare money.Currency) (money.Amount, bool) {
		if bare == 0 && !strings.ContainsFunc(s, isCurrencyMark) {
			return money.Amount{}, false
		}
		return input.Parsed(n, strings.TrimSpace(s), func(s string) (money.Amount, error) { return money.ParseIn(s, bare) })
	}
	from, to, _ := strings.Cut(text, "..")
	if high, ok = read(to, r.home); ok {
		low, ok = read(from, high.Currency())
	}
	return low, high, ok
}

func (r *reader) risk(n input.Node, risk *bid.Risk) {
	m := n.Map("chance", "what", "keeps", "on")
	risk.At = n.Origin()
	risk.What = titled(m, "risk")
	risk.Chance = r.fraction(m.Require("chance", "write how likely it is, as in chance: 2%"), "chance: 2%")
	risk.Keeps = r.fraction(m.Require("keeps", "write the part of the values that remains, as in keeps: 30%"), "keeps: 30%")
	risk.On = r.texts(m.Get("on"))
}

func (r *reader) bidding(n input.Node) *bid.Bidding {
	if !n.Given() {
		return nil
	}
	m := n.Map("lot", "start", "steps", "goal")
	b := &bid.Bidding{At: n.Origin()}
	b.Lot, _ = m.Get("lot").Text()
	b.Start = r.notNegativeIn(m.Get("start"), r.home)
	for _, entry := range m.Get("steps").List(false) {
		b.Steps = append(b.Steps, r.bidStep(entry))
	}
	r.goal(m.Get("goal").Map("profit", "return", "margin", "risk", "budget").Get, &b.Goal)
	return b
}

// goal reads the parts of a goal that are given.
func (r *reader) goal(get func(key string) input.Node, goal *bid.Goal) {
	if n := get("profit"); n.Given() {
		goal.Profit = r.amount(n)
	}
	if n := get("budget"); n.Given() {
		goal.Budget = r.notNegativeIn(n, r.home)
	}
	goal.Return = r.goalPart(get("return"), goal.Return)
	goal.Margin = r.goalPart(get("margin"), goal.Margin)
	goal.Risk = r.goalPart(get("risk"), goal.Risk)
}

// bidStep reads one of the steps. Of what could not be read no more is said.
func (r *reader) bidStep(n input.Node) bid.BidStep {
	m := n.Map("from", "step")
	s := bid.BidStep{Step: r.amount(m.Require("step", "write by how much bids rise, as in step: 100 JPY"))}
	s.From = money.New(0, s.Step.Currency())
	if m.Has("from") {
		s.From = r.amountIn(m.Get("from"), s.Step.Currency())
	}
	if s.Step.Currency() == 0 {
		note(&r.steps, n.Origin().Key("step"))
	}
	if s.From.Currency() == 0 {
		note(&r.steps, n.Origin().Key("from"))
	}
	return s
}

// goalPart reads a percentage that may be above the whole; whether it makes
// sense as what it is for is for the haul's check to say.
func (r *reader) goalPart(n input.Node, usual *decimal.Decimal) *decimal.Decimal {
	text, ok := n.Text()
	if !ok {
		return usual
	}
	if text == "0" {
		return &decimal.Decimal{}
	}
	f, ok := input.Scalar(n, money.ParsePercent)
	if !ok {
		return nil
	}
	return &f
}

// ParseGoal puts the figures goal-profit, goal-return, goal-margin, risk and budget, where they are
// given, in place of those parts of a goal. Bare amounts are of home; decimal is the mark that they
// were typed with, comma or else the point. Faults call a part by its flag.
func ParseGoal(typed Figures, decimals string, goal bid.Goal, home money.Currency) (bid.Goal, error) {
	r := newReader(".", Options{Decimal: decimals})
	r.home = home
	part := func(key string) input.Node {
		if key != "risk" && key != "budget" {
			key = "goal-" + key
		}
		return r.figure(typed, key)
	}
	r.goal(part, &goal)
	goal.Check(home, func(key, what, remedy string) {
		if n := part(key); n.Given() { // the file's own are told with the rest of it
			n.Fail(what, remedy)
		}
	})
	return goal, Explain(r.report.Err(), Examples{Comma: r.Decimal == "comma", Home: home})
}

// bidAlike has open lots of which nothing says in which currency they are sold be bid for in that
// of the others, where all open ones are then bid for in one.
func (f *File) bidAlike() {
	var all money.Currency
	untold := false
	for i := range f.Lots {
		lot := &f.Lots[i]
		if !lot.Open || lot.Lost {
			continue
		}
		cur := f.Bidding.Currency(lot)
		if cur == 0 {
			cur, untold = cmp.Or(f.soldIn(lot.Seller), f.soldIn("")), true
		}
		if cur == 0 || all != 0 && cur != all {
			return
		}
		all = cur
	}
	if !untold {
		return
	}
	var terms bid.Bidding
	if f.Bidding != nil {
		terms = *f.Bidding
	}
	terms.Start = money.New(0, all)
	f.Bidding = &terms
}

// soldIn is the currency of all that a seller sells, of any where it is not said of whom; 0 where
// nothing says it, or there are several.
func (f *File) soldIn(seller string) (one money.Currency) {
	for i := range f.Lots {
		lot := &f.Lots[i]
		if seller != "" && lot.Seller != seller {
			continue
		}
		cur := f.Bidding.Currency(lot)
		if cur != 0 && one != 0 && cur != one {
			return 0
		}
		one = cmp.Or(one, cur)
	}
	return one
}

// quickBid is [Quick] of a lot to bid for.
func quickBid(f Figures, o Options) (*File, error) {
	r := newReader(".", o)
	r.quickHome(f)
	bids, _ := input.Scalar(r.must(f, "in", "write the currency of the bids, as in --in JPY"), money.ParseCurrency)
	item := r.quickPiece(f)
	lot := landed.Lot{ID: "bundle", Open: true, Premium: r.fraction(r.figure(f, "premium"), "--premium 10%"), Items: []landed.Item{item}}
	h := r.quick(lot, f)
	h.Bidding = &bid.Bidding{Start: money.New(0, bids)}
	if f.of("bought") != "" {
		n := r.figure(f, "bought")
		others := landed.Lot{ID: "others", Price: r.price(n), Items: []landed.Item{{ID: "others", Count: 1, Value: money.New(0, r.home)}}}
		if others.Price.Sign() < 0 {
			n.Fail("a price is never negative", "write what the lots cost")
		}
		h.Lots = append(h.Lots, others)
		r.checkBare(h)
	}
	for i := range h.Charges { // of one piece, so that nothing depends on it
		h.Charges[i].By = landed.ByCount
	}
	if r.report.Len() == 0 {
		r.check(h)
	}
	r.warn(r.report)
	return h, Explain(r.report.Err(), h.typed(&r.Options))
}

func (r *reader) quickPiece(f Figures) landed.Item {
	item := landed.Item{ID: "piece", What: "piece", Count: r.count(r.figure(f, "pieces"))}
	sound := landed.Outcome{What: "works", Chance: decimal.NewFromInt(1)}
	sound.Value, sound.UpTo = r.valueRange(r.must(f, "value", "write what one piece sells for when right, as in --value '120 CAD'"))
	item.Value = sound.Mean()
	item.Chances = []landed.Outcome{sound}
	if f.of("works") != "" {
		item.Chances[0].Chance = r.fraction(r.figure(f, "works"), "--works 60%")
		other := landed.Outcome{What: "parts", Chance: decimal.NewFromInt(1).Sub(item.Chances[0].Chance), Value: money.New(0, r.home)}
		if f.of("parts") != "" {
			other.Value, other.UpTo = r.valueRange(r.figure(f, "parts"))
		}
		item.Chances = append(item.Chances, other)
	} else if f.of("parts") != "" {
		r.figure(f, "parts").Fail("it is not said how likely that is", "add --works 60%")
	}
	return item
}

// itemKeys are the keys of an item in a lot file.
var itemKeys = slices.Concat([]string{"id", "what", "model", "count", "weight", "value", "class"}, oddsKeys, benchKeys, []string{"sold"})
