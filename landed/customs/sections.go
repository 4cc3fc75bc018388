package customs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// The sections of an entry: each reads its list and says in words what it read.

var whenKeys = []string{"use", "mode", "post", "from", "not-from", "to", "goods", "paid-at-sale", "flat-chosen", "open", "upto", "above"}

func (r *reader) when(n input.Node) when {
	m := n.Map(whenKeys...)
	w := when{
		uses: bitSet(m.Get("use"), "use", useNames), modes: bitSet(m.Get("mode"), "mode", modeNames),
		from: r.words(m.Get("from"), parseCountry), notFrom: r.words(m.Get("not-from"), parseCountry),
		to: r.words(m.Get("to"), parsePlace), goods: r.words(m.Get("goods"), parseCode), open: r.question(m.Get("open")),
		paid: yes(m.Get("paid-at-sale")), flat: yes(m.Get("flat-chosen")),
	}
	w.stream, _ = input.Scalar(m.Get("post"), ParseStream)
	if m.Has("upto") {
		w.upto = r.limit(m.Get("upto"))
	}
	if m.Has("above") {
		w.above = r.limit(m.Get("above"))
	}
	return w
}

// limit reads a bound: an amount, and what is compared with it.
func (r *reader) limit(n input.Node) *limit {
	m := n.Map("amount", "weight", "of", "over")
	if m.Has("weight") {
		w, _ := input.Scalar(m.Get("weight"), measure.ParseWeight)
		for _, other := range []string{"amount", "of", "over"} {
			if m.Has(other) {
				m.Get(other).Fail("a bound of the weight has nothing beside it", "leave it out")
			}
		}
		return &limit{at: int64(w), of: ofWeight}
	}
	return &limit{
		at:   r.amount(m.Require("amount", "write the bound, as in amount: 150 EUR")),
		of:   gauge(choose(m.Get("of"), "measure", gaugeNames[:ofWeight], int(ofGoods))),
		over: scope(choose(m.Get("over"), "scope", scopeNames, int(overParcel))),
	}
}

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
	if code := digitsOf(s); code == s && s != "" && len(s) <= 12 {
		return code, nil
	}
	return "", fmt.Errorf("%q is no beginning of a tariff code: write its digits, as in 8205", s)
}

func (r *reader) makers(in, out input.Node) makers {
	return makers{r.words(in, parseCountry), r.words(out, parseCountry)}
}

func (r *reader) value(n input.Node) {
	e := r.entry
	e.value = section[valueRule]{}
	for _, entry := range n.List(false) {
		m := entry.Map(withCite("when", "holds", "part", "without")...)
		v := valueRule{when: r.when(m.Get("when")), part: whole, cite: r.cite(m)}
		if v.upto != nil && v.upto.of == ofValue || v.above != nil && v.above.of == ofValue {
			m.Get("when").Fail("the value for customs depends on itself", "compare the goods, with of: goods")
		}
		v.holds = parts(bitSet(m.Require("holds", "list goods, freight, insurance, fees"), "part of the value", partNames[:4]))
		if v.holds&partGoods == 0 && m.Has("holds") {
			m.Get("holds").Fail("the value for customs holds no goods", "write goods first")
		}
		if m.Has("part") {
			v.part = r.ratio(m.Get("part"))
		}
		v.without = parts(bitSet(m.Get("without"), "part of the value", partNames[:4]))
		if v.without&(v.holds|partGoods) != 0 {
			m.Get("without").Fail("a part of the value is left out of it too", "keep it in one of holds and without")
		}
		v.words = join(v.holds.words())
		e.value.list = append(e.value.list, v)
		figure := v.words
		if v.part != whole {
			figure = v.part.String() + " of " + figure
		}
		if v.without != 0 {
			figure += ", and no " + strings.Join(v.without.words(), " or ") + " in any base"
		}
		e.value.say("value", "value for customs"+v.when.words(e.Currency), figure, v.cite)
	}
	lastHoldsAlways(n, e.value.list, func(v *valueRule) *when { return &v.when })
}

// lastHoldsAlways makes sure that some rule of a list applies to any parcel.
func lastHoldsAlways[T any](n input.Node, list []T, of func(*T) *when) {
	if n.Given() && (len(list) == 0 || of(&list[len(list)-1]).conditional()) {
		n.Fail("there are parcels to which none of these applies", "write a last one without when")
	}
}

func (r *reader) relief(n input.Node) {
	e := r.entry
	e.relief = section[relief]{}
	for _, entry := range n.List(false) {
		m := entry.Map(withCite("of", "when", "upto", "below", "measure", "over", "beyond", "seller-charges", "made-in", "not-made-in")...)
		v := relief{
			when: r.when(m.Get("when")), cite: r.cite(m), sale: yes(m.Get("seller-charges")),
			makers: r.makers(m.Get("made-in"), m.Get("not-made-in")),
			of:     kinds(bitSet(m.Require("of", "write duty, tax or both"), "charge", kindNames)),
			beyond: beyond(choose(m.Get("beyond"), "charge above the threshold", beyondNames, int(chargeFull))),
		}
		v.limit.of = gauge(choose(m.Get("measure"), "measure", gaugeNames[:ofWeight], int(ofGoods)))
		v.limit.over = scope(choose(m.Get("over"), "scope", scopeNames, int(overParcel)))
		v.limit.at, v.strict = r.bound(m)
		if v.beyond != chargeFull && (v.limit.of != ofGoods || v.limit.over != overParcel) {
			m.Get("beyond").Fail("only a threshold of the goods of one parcel can be taken off", "leave out measure and over, or write beyond: full")
		}
		if v.beyond != chargeFull && v.makers.any() {
			m.Get("beyond").Fail("a threshold for goods of some countries of making cannot be taken off", "write beyond: full")
		}
		v.words = v.figure(e.Currency)
		e.relief.list = append(e.relief.list, v)
		e.relief.say("relief", v.title(e.Currency), v.words, v.cite)
	}
}

// bound reads the threshold of a relief: up to a sum, or below one.
func (r *reader) bound(m input.Map) (at int64, strict bool) {
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

func (r *reader) duty(n input.Node) {
	e := r.entry
	e.duty = section[dutyRule]{}
	m := n.Map("base", "amount", "ways", "surcharges")
	d := dutyRule{
		base: r.rounding(m.Get("base"), "base of the duty", &e.duty.said, byHeading, byRate),
	}
	d.amount = r.rounding(m.Get("amount"), "duty", &e.duty.said, d.base.over, byParcel)
	if d.amount.over != d.base.over && d.amount.over != byParcel {
		m.Get("amount").Fail("the duty is rounded over other goods than its base", "write over: parcel, or leave it out")
	}
	for _, entry := range m.Get("ways").List(false) {
		d.ways = append(d.ways, r.way(entry))
	}
	lastHoldsAlways(m.Require("ways", "write ways: with - by: class below it"), d.ways, func(w *way) *when { return &w.when })
	if d.base.keep && slices.ContainsFunc(e.value.list, func(v valueRule) bool { return v.part != whole }) {
		m.Get("base").Fail("the total can only be kept where the whole price is the value", "leave out keep-total, or part")
	}
	for _, entry := range m.Get("surcharges").List(false) {
		d.surcharges = append(d.surcharges, r.surcharge(entry))
	}
	if len(d.surcharges) > maxSurcharges {
		m.Get("surcharges").Fail("there are more than 64 surcharges", "keep those that can apply")
	}
	e.duty.list = []dutyRule{d}
}

// rounding reads how a base or an amount is rounded. What is left out is the
// minor unit, an exact half away from zero, over the heading.
func (r *reader) rounding(n input.Node, what string, said *[]Statement, otherwise, widest grouping) rounding {
	v := rounding{step: 1, over: otherwise}
	if !n.Given() {
		return v
	}
	m := n.Map(withCite("to", "mode", "over", "keep-total")...)
	v.cite = r.cite(m)
	if m.Has("to") {
		v.step = max(r.amount(m.Get("to")), 1)
	}
	v.mode = money.Mode(choose(m.Get("mode"), "way of rounding", modeWords, int(money.HalfAway)))
	v.over = grouping(choose(m.Get("over"), "grouping", groupingNames[:widest+1], int(otherwise)))
	if v.keep = yes(m.Get("keep-total")); v.keep && (v.over != byRate || v.mode != money.HalfAway) {
		m.Get("keep-total").Fail("the total can only be kept when goods at one rate are rounded together, to the nearest", "write over: rate, and leave out mode")
	}
	figure := fmt.Sprintf("to %s, %s, over %s", money.New(v.step, r.set.Currency), modeWords[v.mode], overWords[v.over])
	if v.keep {
		figure += ", without moving the rounded total"
	}
	*said = append(*said, Statement{"rounding", "rounding of the " + what, figure, v.source, v.dated, v.confidence})
	return v
}

var (
	modeWords = []string{"half-up", "down", "up", "half-even"}
	overWords = []string{"each line", "the lines of one heading and origin", "all lines at one rate", "the parcel"}
)

func (r *reader) way(n input.Node) way {
	e := r.entry
	m := n.Map(withCite("when", "by", "rate", "lower", "amount", "digits", "bands")...)
	w := way{when: r.when(m.Get("when")), cite: r.cite(m), by: manner(choose(m.Require("by", "write by: class, or another way"), "way", mannerNames, 0))}
	title := "duty" + w.when.words(e.Currency)
	switch w.by {
	case byOneRate:
		w.rate = percent(m.Require("rate", "write the rate, as in rate: 2.5 %"))
		w.lower = yes(m.Get("lower"))
		figure := w.rate.String() + " of the value for customs, free goods aside"
		if w.lower {
			figure += ", or the rate of the class where that gives less"
		}
		e.duty.say("duty", title, figure, w.cite)
	case perHeading:
		w.amount = r.amount(m.Require("amount", "write the sum for each heading, as in amount: 3 EUR"))
		w.digits, _ = input.Scalar(m.Get("digits"), parseDigits)
		e.duty.say("duty", title, money.New(w.amount, e.Currency).String()+" for each tariff heading", w.cite)
	case perParcel:
		e.duty.say("duty", title, "a sum for the parcel by the highest rate for the origins in it", w.cite)
		for _, b := range m.Require("bands", "list upto: a rate, and amount: a sum").List(false) {
			w.bands = append(w.bands, r.band(b, title))
		}
		r.checkBands(m, w.bands)
	default:
		e.duty.say("duty", title, mannerWords[w.by], w.cite)
	}
	return w
}

var mannerWords = map[manner]string{
	byClass:     "the rate of the class of goods, and surcharges",
	byOrigin:    "the surcharge for the country of making, given with the class",
	bySurcharge: "only the surcharges below",
	byNothing:   "none",
}

func parseDigits(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > 12 {
		return 0, fmt.Errorf("%q is no number of digits of a tariff code: write 4, 6, 8 or 10", s)
	}
	return n, nil
}

func parseHeadings(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 || n > 999 {
		return 0, fmt.Errorf("%q is no number of tariff headings: write 0 where each one counts", s)
	}
	return n, nil
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
	r.entry.duty.say("duty", title+words, money.New(b.amount, r.set.Currency).String(), b.cite)
	return b
}

// checkBands makes sure that some band holds for every rate.
func (r *reader) checkBands(m input.Map, bands []band) {
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
		when: r.when(m.Get("when")), cite: r.cite(m), name: text(m.Require("name", "name the surcharge")),
		rate:     percent(m.Require("rate", "write the rate, as in rate: 10 %")),
		makers:   r.makers(m.Get("origins"), m.Get("not-origins")),
		dutyPaid: choose(m.Get("on"), "base of a surcharge", []string{"value", "duty-paid"}, 0) == 1,
	}
	title := s.name + s.makers.words() + s.when.words(r.set.Currency)
	on := " of the value for customs"
	if s.dutyPaid {
		on = " of the value for customs and the duty"
	}
	r.entry.duty.say("duty", title, s.rate.String()+on, s.cite)
	return s
}

func (r *reader) taxes(n input.Node) {
	e := r.entry
	e.taxes = section[tax]{}
	for _, entry := range n.List(false) {
		m := entry.Map(withCite("name", "base", "of", "round-base", "amount", "rates")...)
		t := tax{name: text(m.Require("name", "name the tax")), baseCite: r.cite(m), of: text(m.Get("of"))}
		t.round = r.rounding(m.Get("round-base"), "base of "+t.name, &e.taxes.said, byRate, byRate)
		t.amount = r.rounding(m.Get("amount"), t.name, &e.taxes.said, t.round.over, byRate)
		if t.amount.over != t.round.over {
			m.Get("amount").Fail("the tax is rounded over other goods than its base", "write over: in round-base only")
		}
		switch {
		case t.of != "":
			t.ofIndex = slices.IndexFunc(e.taxes.list, func(o tax) bool { return o.name == t.of })
			if t.ofIndex < 0 {
				m.Get("of").Fail(fmt.Sprintf("no tax above is named %q", t.of), "name the tax that this one is a part of")
			}
			t.words = "the " + t.of
		default:
			t.base = parts(bitSet(m.Require("base", "list what the tax is on: value, freight, insurance, fees, duty, handling"), "part of the base", partNames))
			if t.base&(partTax|partGoods) != 0 {
				m.Get("base").Fail("the base of a tax holds neither goods nor tax", "write value for the value for customs, and of: for a part of another tax")
			}
			t.words = join(t.base.words())
		}
		e.taxes.say("tax", "base of "+t.name, t.words, t.baseCite)
		for _, rate := range m.Require("rates", "list the rates, each with rate, source and confidence").List(false) {
			t.rates = append(t.rates, r.taxRate(rate, t.name))
		}
		e.taxes.list = append(e.taxes.list, t)
	}
}

func (r *reader) taxRate(n input.Node, name string) taxRate {
	e := r.entry
	m := n.Map(withCite("rate", "part", "places", "kind", "when")...)
	v := taxRate{
		when: r.when(m.Get("when")), cite: r.cite(m), kind: orElse(text(m.Get("kind")), "standard"),
		rate: r.ratio(m.Require("rate", "write the rate, as in rate: 20 %")), places: r.words(m.Get("places"), parsePlace),
	}
	figure := v.rate.String()
	if m.Has("part") {
		part := r.ratio(m.Get("part"))
		figure += " of " + part.String() + " of the base"
		product := mul(v.rate.num, part.num)
		if part.den != 0 {
			num, ok := product.round(part.den, 1, money.Down)
			if v.rate.num = uint64(num); !ok || mul(v.rate.num, part.den) != product {
				m.Get("part").Fail("the part of the rate has too many decimals", "write rate: with the rate that results")
			}
		}
	}
	title := name + ", " + v.kind
	if len(v.places) > 0 {
		title += ", " + strings.Join(v.places, " ")
	}
	e.taxes.say("tax", title+v.when.words(e.Currency), figure, v.cite)
	return v
}

func (r *reader) fees(n input.Node) {
	e := r.entry
	e.fees = section[fee]{}
	for _, entry := range n.List(false) {
		m := entry.Map(withCite("name", "when", "amount", "percent", "of", "least", "most", "headings-above", "tax", "charged")...)
		f := fee{
			when: r.when(m.Get("when")), cite: r.cite(m), name: text(m.Require("name", "name the fee")),
			amount: r.amount(m.Get("amount")), percent: r.ratio(m.Get("percent")),
			least: r.amount(m.Get("least")), most: r.amount(m.Get("most")),
			taxed: r.ratio(m.Get("tax")), charged: occasion(choose(m.Get("charged"), "occasion", occasionNames, 0)),
		}
		if f.each = m.Has("headings-above"); f.each {
			f.headings, _ = input.Scalar(m.Get("headings-above"), parseHeadings)
		}
		f.of = parts(bitSet(m.Get("of"), "part of the base", partNames[:len(partNames)-1]))
		switch {
		case f.amount == 0 && f.percent.den == 0:
			m.Fail("the fee has neither amount nor percent", "write one of them, or both")
		case f.percent.den != 0 && f.of == 0:
			m.Get("percent").Fail("the percentage is of nothing", "write of: [value], say")
		case f.most != 0 && f.most < f.least:
			m.Get("most").Fail("the most is less than the least", "swap them")
		}
		f.words = f.figure(e.Currency)
		e.fees.list = append(e.fees.list, f)
		e.fees.say("fee", f.name+f.when.words(e.Currency), f.words, f.cite)
	}
}

func (r *reader) collect(n input.Node) {
	e := r.entry
	e.collect = section[least]{}
	for _, entry := range n.List(false) {
		m := entry.Map(withCite("of", "when", "least")...)
		v := least{
			when: r.when(m.Get("when")), cite: r.cite(m),
			of: kinds(bitSet(m.Require("of", "write duty, tax or both"), "charge", kindNames)),
			at: r.amount(m.Require("least", "write the least sum that is collected")),
		}
		e.collect.list = append(e.collect.list, v)
		e.collect.say("collection", v.of.String()+" not collected"+v.when.words(e.Currency), "below "+money.New(v.at, e.Currency).String(), v.cite)
	}
}

// missing reads what may be asked besides and is not known.
func (r *reader) missing(n input.Node) {
	e := r.entry
	e.missing = nil
	for _, entry := range n.List(false) {
		m := entry.Map("what", "kind", "when", "charged")
		e.missing = append(e.missing, missing{
			when: r.when(m.Get("when")), what: text(m.Require("what", "name the charge, as in what: the courier's own fee")),
			charged: occasion(choose(m.Get("charged"), "occasion", occasionNames, 0)),
			always:  choose(m.Get("kind"), "kind", []string{"fee", "duty"}, 0) == 1,
		})
	}
}
