package customs

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// The sections of an entry: each reads its list and says in words what it read.

var whenKeys = []string{"use", "mode", "post", "from", "not-from", "to", "goods", "paid-at-sale", "flat-chosen", "open", "upto", "above"}

func (r *reader) when(n input.Node) when {
	m := n.Map(whenKeys...)
	w := when{
		uses: bitSet[uint8](m.Get("use"), "use", useNames), modes: bitSet[uint8](m.Get("mode"), "mode", modeNames),
		from: r.placesOf(m.Get("from")), notFrom: r.placesOf(m.Get("not-from")),
		to: r.placesOf(m.Get("to")), goods: list(m.Get("goods"), parseCode), open: r.question(m.Get("open")),
		paid: yes(m.Get("paid-at-sale")), flat: yes(m.Get("flat-chosen")), upto: r.bound(m.Get("upto")), above: r.bound(m.Get("above")),
	}
	w.stream, _ = input.Scalar(m.Get("post"), ParseStream)
	for _, l := range []*limit{w.upto, w.above} {
		if l != nil {
			r.looksAt(*l, w)
		}
	}
	return w
}

// placesOf reads places, or the name that the file gives to some.
func (r *reader) placesOf(n input.Node) []string {
	if n.IsText() {
		if some, named := r.places[text(n)]; named {
			return some
		}
	}
	return list(n, parsePlace)
}

// rule reads to what a rule applies, and where it is from.
func (r *reader) rule(m *input.Map) rule { return rule{r.when(m.Get("when")), r.cite(m)} }

// bound reads an amount, and what is compared with it; nil where none is given.
func (r *reader) bound(n input.Node) *limit {
	if !n.Given() {
		return nil
	}
	m := n.Map("amount", "weight", "of", "over")
	if !m.Has("weight") {
		return &limit{at: r.amount(m.Require("amount", "write the bound, as in amount: 150 EUR")), of: gaugeOf(m.Get("of")), over: scopeOf(m.Get("over"))}
	}
	w, _ := input.Scalar(m.Get("weight"), measure.ParseWeight)
	for _, other := range []string{"amount", "of", "over"} {
		if m.Has(other) {
			m.Get(other).Fail("a bound of the weight has nothing beside it", "leave it out")
		}
	}
	return &limit{at: int64(w), of: ofWeight}
}

// looksAt notes a limit of a rule of the section that is read.
func (r *reader) looksAt(l limit, w when) {
	if r.section < len(r.entry.bounds) {
		r.entry.bounds[r.section] = append(r.entry.bounds[r.section], bound{l, w})
	}
}

func gaugeOf(n input.Node) gauge { return choose(n, "measure", gaugeNames, ofGoods) }

func scopeOf(n input.Node) scope { return choose(n, "scope", scopeNames, overParcel) }

// question finds one of the entry's open questions by its name.
func (r *reader) question(n input.Node) question {
	name := text(n)
	i := slices.IndexFunc(r.entry.open, func(q question) bool { return q.name == name })
	if i >= 0 {
		return r.entry.open[i]
	}
	if name != "" {
		n.Fail(fmt.Sprintf("no open question is named %q", name), "write it under open: of the entry, as in "+name+": what it would mean")
	}
	return question{}
}

// parseCode reads the beginning of a tariff code.
func parseCode(s string) (string, error) {
	if code := scrub.Digits(s); code == s && s != "" && len(s) <= 12 {
		return code, nil
	}
	return "", fmt.Errorf("%q is no beginning of a tariff code: write its digits, as in 8205", s)
}

func originsOf(in, out input.Node) origins {
	return origins{list(in, parseCountry), list(out, parseCountry)}
}

func (r *reader) values(n input.Node) {
	r.entry.value = each(n.List(false), r.value)
	lastHoldsAlways(n, r.entry.value)
}

func (r *reader) value(entry input.Node) valueRule {
	m := entry.Map(withCite("when", "holds", "part", "without")...)
	v := valueRule{rule: r.rule(m), part: whole}
	if v.upto != nil && v.upto.of == ofValue || v.above != nil && v.above.of == ofValue {
		m.Get("when").Fail("the value for customs depends on itself", "compare the goods, with of: goods")
	}
	v.holds = bitSet[parts](m.Require("holds", "list goods, freight, insurance, fees"), "part of the value", partNames[:4])
	if v.holds&partGoods == 0 && m.Has("holds") {
		m.Get("holds").Fail("the value for customs holds no goods", "write goods first")
	}
	if m.Has("part") {
		v.part = r.ratio(m.Get("part"))
	}
	v.without = bitSet[parts](m.Get("without"), "part of the value", partNames[:4])
	if v.without&(v.holds|partGoods) != 0 {
		m.Get("without").Fail("a part of the value is left out of it too", "keep it in one of holds and without")
	}
	v.words = join(v.holds.words())
	text := v.words
	if v.part != whole {
		text = v.part.String() + " of " + text
	}
	if v.without != 0 {
		text += ", and no " + strings.Join(v.without.words(), " or ") + " in any base"
	}
	r.say(v.cite, "value", "value for customs"+v.when.words(r.entry.Currency), text)
	return v
}

// lastHoldsAlways makes sure that some rule of a list applies to any parcel.
func lastHoldsAlways[T any, P conditional[T]](n input.Node, list []T) {
	if n.Given() && (len(list) == 0 || !P(&list[len(list)-1]).condition().always()) {
		n.Fail("there are parcels to which none of these applies", "write a last one without when")
	}
}

func (r *reader) relief(entry input.Node) relief {
	m := entry.Map(withCite("of", "when", "upto", "below", "wholly", "measure", "over", "beyond", "seller-charges", "made-in", "not-made-in")...)
	v := relief{
		rule: r.rule(m), sale: yes(m.Get("seller-charges")),
		origins: originsOf(m.Get("made-in"), m.Get("not-made-in")),
		of:      bitSet[kinds](m.Require("of", "write duty, tax or both"), "charge", kindNames),
		beyond:  choose(m.Get("beyond"), "charge above the threshold", beyondNames, chargeFull),
		limit:   limit{of: gaugeOf(m.Get("measure")), over: scopeOf(m.Get("over"))},
	}
	if v.wholly = yes(m.Get("wholly")); v.wholly {
		for _, other := range []string{"upto", "below", "measure", "over", "beyond", "seller-charges", "made-in", "not-made-in"} {
			if m.Has(other) {
				m.Get(other).Fail("what is relieved wholly has no threshold", "leave it out, or wholly")
			}
		}
	} else {
		v.limit.at, v.limit.strict = r.threshold(m)
		r.looksAt(v.limit, v.when)
	}
	if v.beyond != chargeFull && (v.limit.of != ofGoods || v.limit.over != overParcel) {
		m.Get("beyond").Fail("only a threshold of the goods of one parcel can be taken off", "leave out measure and over, or write beyond: full")
	}
	if v.beyond != chargeFull && v.origins.any() {
		m.Get("beyond").Fail("a threshold for goods of some countries of making cannot be taken off", "write beyond: full")
	}
	v.words = v.text(r.entry.Currency)
	r.say(v.cite, "relief", v.title(r.entry.Currency), v.words)
	return v
}

// threshold reads that of a relief: up to a sum, or below one.
func (r *reader) threshold(m *input.Map) (at int64, strict bool) {
	switch up, below := m.Has("upto"), m.Has("below"); {
	case up && below:
		m.Get("below").Fail("upto and below exclude each other", "keep one")
	case below:
		return r.amount(m.Get("below")), true
	case !up:
		m.Fail("the threshold is missing", "write upto: and a sum, or below: and a sum")
	}
	return r.amount(m.Get("upto")), false
}

// maxSurcharges is how many fit in the bit set of a group.
const maxSurcharges = 64

func (r *reader) duty(n input.Node) dutyRule {
	m := n.Map("base", "amount", "ways", "surcharges")
	d := dutyRule{base: r.rounding(m.Get("base"), "base of the duty", byHeading, byRate)}
	d.amount = r.rounding(m.Get("amount"), "duty", d.base.over, byParcel)
	if d.amount.over != d.base.over && d.amount.over != byParcel {
		m.Get("amount").Fail("the duty is rounded over other goods than its base", "write over: parcel, or leave it out")
	}
	d.ways = each(m.Get("ways").List(false), r.way)
	lastHoldsAlways(m.Require("ways", "write ways: with - by: class below it"), d.ways)
	if d.base.keep && slices.ContainsFunc(r.entry.value, func(v valueRule) bool { return v.part != whole }) {
		m.Get("base").Fail("the total can only be kept where the whole price is the value", "leave out keep-total, or part")
	}
	d.surcharges = each(m.Get("surcharges").List(false), r.surcharge)
	if len(d.surcharges) > 0 && slices.ContainsFunc(d.ways, func(w way) bool { return w.less != 0 }) {
		m.Get("surcharges").Fail("a way of duty is less a sum, and surcharges stand beside it", "leave out one of the two")
	}
	if len(d.surcharges) > maxSurcharges {
		m.Get("surcharges").Fail("there are more than 64 surcharges", "keep those that can apply")
	}
	return d
}

// rounding reads how a base or an amount is rounded. What is left out is the minor unit, an exact
// half away from zero, over the heading.
func (r *reader) rounding(n input.Node, what string, otherwise, widest grouping) rounding {
	v := rounding{step: 1, over: otherwise}
	if !n.Given() {
		return v
	}
	m := n.Map(withCite("to", "mode", "over", "keep-total")...)
	v.cite = r.cite(m)
	if m.Has("to") {
		v.step = max(r.amount(m.Get("to")), 1)
	}
	v.mode = choose(m.Get("mode"), "way of rounding", modeWords, money.HalfAway)
	v.over = choose(m.Get("over"), "grouping", groupingNames[:widest+1], otherwise)
	if v.keep = yes(m.Get("keep-total")); v.keep && (v.over != byRate || v.mode != money.HalfAway) {
		m.Get("keep-total").Fail("the total can only be kept when goods at one rate are rounded together, to the nearest", "write over: rate, and leave out mode")
	}
	text := fmt.Sprintf("to %s, %s, over %s", money.New(v.step, r.entry.Currency), modeWords[v.mode], overWords[v.over])
	if v.keep {
		text += ", without moving the rounded total"
	}
	r.say(v.cite, "rounding", "rounding of the "+what, text)
	return v
}

var (
	modeWords = []string{"half-up", "down", "up", "half-even"}
	overWords = []string{"each line", "the lines of one heading and origin", "all lines at one rate", "the parcel"}
)

func (r *reader) way(n input.Node) way {
	cur := r.entry.Currency
	m := n.Map(withCite("when", "by", "rate", "lower", "free-goods", "less", "amount", "digits", "bands")...)
	w := way{rule: r.rule(m), by: choose(m.Require("by", "write by: class, or another way"), "way", mannerNames, byClass)}
	w.allGoods = true
	title := "duty" + w.when.words(cur)
	switch w.by {
	case byOneRate:
		w.rate = percent(m.Require("rate", "write the rate, as in rate: 2.5 %"))
		w.lower, w.free, w.less = yes(m.Get("lower")), yes(m.Get("free-goods")), r.amount(m.Get("less"))
		if w.lower && (w.free || w.less != 0) {
			m.Get("lower").Fail("what is on all goods, or less a sum, is not compared with the class's own rate", "leave out lower, or free-goods and less")
		}
		text := w.rate.String() + " of the value for customs"
		if !w.free {
			text += ", not counting free goods"
		}
		if w.less != 0 {
			text += ", less " + money.New(w.less, cur).String()
		}
		if w.lower {
			text += ", or the rate of the class where that gives less"
		}
		r.say(w.cite, "duty", title, text)
	case perHeading:
		w.amount = r.amount(m.Require("amount", "write the sum for each heading, as in amount: 3 EUR"))
		w.digits, _ = input.Scalar(m.Get("digits"), numberOf(1, 12, "no number of digits of a tariff code", "write 4, 6, 8 or 10"))
		r.say(w.cite, "duty", title, money.New(w.amount, cur).String()+" for each tariff heading")
	case perParcel:
		r.say(w.cite, "duty", title, "a sum for the parcel by the highest rate for the origins in it")
		w.bands = each(m.Require("bands", "list upto: a rate, and amount: a sum").List(false), func(b input.Node) band { return r.band(b, title) })
		r.checkBands(m, w.bands)
	default:
		r.say(w.cite, "duty", title, mannerWords[w.by])
	}
	return w
}

var mannerWords = map[manner]string{
	byClass:     "the rate of the class of goods, and surcharges",
	byOrigin:    "the surcharge for the country of making, given with the class",
	bySurcharge: "only the surcharges below",
	byNothing:   "none",
}

// numberOf reads a whole number within bounds.
func numberOf(least, most int, what, remedy string) func(string) (int, error) {
	return func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < least || n > most {
			return 0, parseError(s, "is "+what, remedy)
		}
		return n, nil
	}
}

func (r *reader) band(n input.Node, title string) band {
	m := n.Map(withCite("upto", "below", "amount")...)
	b := band{amount: r.amount(m.Require("amount", "write the sum, as in amount: 80 USD")), cite: r.cite(m)}
	words := " for any higher rate"
	switch {
	case m.Has("below"):
		b.upto, b.strict = r.ratio(m.Get("below")), true
		words = " for rates below " + b.upto.String()
	case m.Has("upto"):
		b.upto = r.ratio(m.Get("upto"))
		words = " for rates up to " + b.upto.String()
	}
	r.say(b.cite, "duty", title+words, money.New(b.amount, r.entry.Currency).String())
	return b
}

// checkBands makes sure that some band holds for every rate.
func (r *reader) checkBands(m *input.Map, bands []band) {
	for i, b := range bands {
		switch last := i == len(bands)-1; {
		case b.upto.den == 0 && !last:
			m.Get("bands").Fail("a band without a bound stands before others", "put it last")
		case b.upto.den != 0 && last:
			m.Get("bands").Fail("no band holds for the highest rates", "leave out the bound of the last")
		case i > 0 && !last && !bands[i-1].upto.less(b.upto):
			m.Get("bands").Fail("the bounds do not rise", "put the lowest first")
		}
	}
}

func (r *reader) surcharge(n input.Node) surcharge {
	m := n.Map(withCite("name", "when", "rate", "origins", "not-origins", "on")...)
	s := surcharge{
		rule: r.rule(m), name: text(m.Require("name", "name the surcharge")),
		rate:     percent(m.Require("rate", "write the rate, as in rate: 10 %")),
		origins:  originsOf(m.Get("origins"), m.Get("not-origins")),
		dutyPaid: choose(m.Get("on"), "base of a surcharge", []string{"value", "duty-paid"}, uint8(0)) == 1,
	}
	on := " of the value for customs"
	if s.dutyPaid {
		on = " of the value for customs and the duty"
	}
	r.say(s.cite, "duty", s.name+s.origins.words()+s.when.words(r.entry.Currency), s.rate.String()+on)
	return s
}

// taxes reads one after the other: one may be a part of another above it.
func (r *reader) taxes(n input.Node) {
	r.entry.taxes = nil
	for _, entry := range n.List(false) {
		r.entry.taxes = append(r.entry.taxes, r.tax(entry))
	}
}

func (r *reader) tax(entry input.Node) tax {
	m := entry.Map(withCite("name", "base", "plus", "of", "round-base", "amount", "rates")...)
	t := tax{name: text(m.Require("name", "name the tax")), cite: r.cite(m), of: text(m.Get("of"))}
	t.round = r.rounding(m.Get("round-base"), "base of "+t.name, byRate, byRate)
	t.amount = r.rounding(m.Get("amount"), t.name, t.round.over, byRate)
	if t.amount.over != t.round.over {
		m.Get("amount").Fail("the tax is rounded over other goods than its base", "write over: in round-base only")
	}
	switch {
	case t.of != "":
		t.ofIndex = slices.IndexFunc(r.entry.taxes, func(o tax) bool { return o.name == t.of })
		if t.ofIndex < 0 {
			m.Get("of").Fail(fmt.Sprintf("no tax above is named %q", t.of), "name the tax that this one is a part of")
		}
		t.words = "the " + t.of
	default:
		t.base = bitSet[parts](m.Require("base", "list what the tax is on: value, freight, insurance, fees, duty, handling"), "part of the base", partNames)
		if t.base&(partTax|partGoods) != 0 {
			m.Get("base").Fail("the base of a tax holds neither goods nor tax", "write value for the value for customs, and of: for a part of another tax")
		}
		t.words = join(t.base.words())
		if m.Has("plus") {
			t.plus = percent(m.Get("plus"))
			t.words += ", and " + t.plus.String() + " of the value for customs beside"
		}
	}
	r.say(t.cite, "tax", "base of "+t.name, t.words)
	rates := m.Require("rates", "list the rates, each with rate, source and confidence").List(false)
	t.rates = each(rates, func(n input.Node) taxRate { return r.taxRate(n, t.name) })
	return t
}

func (r *reader) taxRate(n input.Node, name string) taxRate {
	m := n.Map(withCite("rate", "part", "places", "kind", "when")...)
	v := taxRate{
		rule: r.rule(m), kind: cmp.Or(text(m.Get("kind")), "standard"),
		rate: r.ratio(m.Require("rate", "write the rate, as in rate: 20 %")), places: list(m.Get("places"), parsePlace),
	}
	figure := v.rate.String()
	if part := r.ratio(m.Get("part")); m.Has("part") {
		figure += " of " + part.String() + " of the base"
		if product := exact.Product(v.rate.num, part.num); part.den != 0 {
			num, ok := round(product, part.den, 1, money.Down)
			if v.rate.num = uint64(num); !ok || exact.Product(v.rate.num, part.den) != product {
				m.Get("part").Fail("the part of the rate has too many decimals", "write rate: with the rate that results")
			}
		}
	}
	title := name + ", " + v.kind
	if len(v.places) > 0 {
		title += ", " + strings.Join(v.places, " ")
	}
	r.say(v.cite, "tax", title+v.when.words(r.entry.Currency), figure)
	of := r.entry.figures[r.section]
	of[len(of)-1].places = strings.Join(v.places, " ")
	return v
}

func (r *reader) fee(entry input.Node) fee {
	m := entry.Map(withCite("name", "when", "amount", "percent", "of", "least", "most", "headings-above", "tax", "charged")...)
	f := fee{
		rule: r.rule(m), name: text(m.Require("name", "name the fee")),
		amount: r.amount(m.Get("amount")), percent: r.ratio(m.Get("percent")),
		least: r.amount(m.Get("least")), most: r.amount(m.Get("most")),
		taxed: r.ratio(m.Get("tax")), charged: occasionOf(m), each: m.Has("headings-above"),
		of: bitSet[parts](m.Get("of"), "part of the base", partNames[:len(partNames)-1]),
	}
	f.headings, _ = input.Scalar(m.Get("headings-above"), numberOf(0, 999, "no number of tariff headings", "write 0 where each one counts"))
	switch {
	case f.amount == 0 && f.percent.den == 0:
		m.Fail("the fee has neither amount nor percent", "write one of them, or both")
	case f.percent.den != 0 && f.of == 0:
		m.Get("percent").Fail("the percentage is of nothing", "write of: [value], say")
	case f.most != 0 && f.most < f.least:
		m.Get("most").Fail("the most is less than the least", "swap them")
	}
	f.words = f.text(r.entry.Currency)
	r.say(f.cite, "fee", f.name+f.when.words(r.entry.Currency), f.words)
	return f
}

// occasionOf reads when a charge is asked.
func occasionOf(m *input.Map) occasion {
	return choose(m.Get("charged"), "occasion", occasionNames, whenDue)
}

func (r *reader) least(entry input.Node) least {
	m := entry.Map(withCite("of", "when", "least")...)
	v := least{
		rule: r.rule(m),
		of:   bitSet[kinds](m.Require("of", "write duty, tax or both"), "charge", kindNames),
		at:   r.amount(m.Require("least", "write the least sum that is collected")),
	}
	r.say(v.cite, "collection", v.of.String()+" not collected"+v.when.words(r.entry.Currency), "below "+money.New(v.at, r.entry.Currency).String())
	return v
}

// refund reads what is paid back of the charges on goods that are sent back.
func (r *reader) refund(n input.Node) refund {
	m := n.Map(withCite("of", "part", "months", "where", "when")...)
	v := refund{
		rule: r.rule(m), part: whole, where: text(m.Require("where", "write what must be so, as in where: they are defective")),
		of: bitSet[kinds](m.Require("of", "write duty, tax or both"), "charge", kindNames),
	}
	if m.Has("part") {
		if v.part = percent(m.Get("part")); whole.less(v.part) {
			m.Get("part").Fail("more than all of it cannot be paid back", "write 100% at most")
		}
	}
	v.months, _ = input.Scalar(m.Get("months"), numberOf(1, 120, "no number of months", "write 12, say"))
	if v.words = v.part.String() + " of it, where " + v.where; v.months != 0 {
		v.words += ", claimed within " + strconv.Itoa(v.months) + " months"
	}
	r.say(v.cite, "refund", v.of.String()+" paid back for goods sent back"+v.when.words(r.entry.Currency), v.words)
	return v
}

// missing reads what may be asked besides and is not known.
func (r *reader) missing(entry input.Node) missing {
	m := entry.Map("what", "kind", "when", "charged")
	return missing{
		when: r.when(m.Get("when")), what: text(m.Require("what", "name the charge, as in what: the courier's own fee")),
		charged: occasionOf(m), always: choose(m.Get("kind"), "kind", []string{"fee", "duty"}, uint8(0)) == 1,
	}
}
