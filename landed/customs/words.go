package customs

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Figure is a figure of the rules, or of an assessment by them, in words.
type Figure struct {
	Topic      string     // value, relief, rounding, duty, tax, fee, collection, refund
	What       string     // "duty and tax relieved, by post"
	Text       string     // "up to 20.00 CAD of goods in the parcel", "4% of 115.00 CAD"
	Source     string     // where it is from
	Dated      string     // the day, month or year of the page read, where it is known and no law
	Old        bool       // that page was old on the day of entry
	Confidence Confidence // how well it is known

	places string // where alone it holds, with spaces between them; empty where it holds in all of the territory
}

// In returns the entry with the figures that hold in a place, such as "DE" or "CA-ON": those of the
// other members or subdivisions are left out of its words.
func (r *Rules) In(place string) *Rules {
	if place == r.Territory {
		return r
	}
	in := *r
	in.Name += ", " + place
	for i, figures := range r.figures {
		in.figures[i] = nil
		for _, f := range figures {
			if f.places != "" && !inPlaces(strings.Fields(f.places), place) {
				continue
			}
			if f.places != "" {
				f.What, f.places = strings.Replace(f.What, f.places, place, 1), ""
			}
			in.figures[i] = append(in.figures[i], f)
		}
	}
	return &in
}

// Figures returns the entry in words, in the order of the assessment: each figure with its source.
func (r *Rules) Figures() []Figure { return slices.Concat(r.figures[:]...) }

// Differences returns what differs between two entries, each figure as a has it and as b has it, in
// the order of b and then what only a has. Where one of them has none its Text is empty, and the
// source is the other's.
func Differences(a, b *Rules) [][2]Figure {
	left := a.Figures()
	var diff [][2]Figure
	for _, f := range b.Figures() {
		before := f
		before.Text = ""
		if i := slices.IndexFunc(left, func(o Figure) bool { return o.Topic == f.Topic && o.What == f.What }); i >= 0 {
			before = left[i]
			left = slices.Delete(left, i, i+1)
		}
		if before.Text != f.Text {
			diff = append(diff, [2]Figure{before, f})
		}
	}
	for _, f := range left {
		after := f
		after.Text = ""
		diff = append(diff, [2]Figure{f, after})
	}
	return diff
}

// figure is one of a topic, as a citation has it.
func (c cite) figure(topic, what, text string) Figure {
	return Figure{Topic: topic, What: what, Text: text, Source: c.source, Dated: c.dated, Confidence: c.confidence}
}

func (k kinds) String() string {
	switch k {
	case duty:
		return kindNames[0]
	case taxKind:
		return kindNames[1]
	}
	return join(pick(uint8(k), kindNames))
}

// words lists the parts as people say them, the value for customs first.
func (p parts) words() []string {
	return append(pick(uint8(p&partValue), partWords), pick(uint8(p&^partValue), partWords)...)
}

var partWords = []string{"goods", "freight", "insurance", "other fees", "value for customs", "duty", "tax", "handling fees"}

func pick(set uint8, names []string) []string {
	var words []string
	for i, name := range names {
		if set&(1<<i) != 0 {
			words = append(words, name)
		}
	}
	return words
}

// join lists words as in a sentence.
func join(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// words says to what a rule applies, as the end of a sentence.
func (w *when) words(cur money.Currency) string {
	var b strings.Builder
	add := func(before, words string) {
		if words != "" {
			b.WriteString(before + words)
		}
	}
	add(", by ", join(pick(w.modes, modeNames)))
	add(", for ", join(pick(w.uses, []string{"personal use", "gifts", "resale", "returned goods"})))
	add(", sent from ", strings.Join(w.from, " "))
	add(", not sent from ", strings.Join(w.notFrom, " "))
	add(", to ", strings.Join(w.to, " "))
	alone := ""
	if w.allGoods {
		alone = "nothing but "
	}
	add(", for "+alone+"goods of ", strings.Join(w.goods, " "))
	if w.stream != 0 {
		add(", with the ", streamNames[w.stream-Letters])
	}
	add(", if ", w.open.cond)
	if w.paid {
		add(", where the seller ", "has charged the tax")
	}
	if w.flat {
		add(", where the flat charge ", "was chosen")
	}
	add(", up to ", w.upto.words(cur))
	add(", above ", w.above.words(cur))
	return b.String()
}

// words says a bound; nothing where there is none.
func (l *limit) words(cur money.Currency) string {
	switch {
	case l == nil:
		return ""
	case l.of == ofWeight:
		return measure.Weight(l.at).String() + " of weight"
	}
	return money.New(l.at, cur).String() + l.measured()
}

// measured says what is compared with a bound.
func (l *limit) measured() string {
	if l.of == ofPiece {
		return " for the dearest piece"
	}
	return [...]string{" of goods", " of value for customs"}[l.of] +
		[...]string{" in the parcel", " from one seller in a day", " in a day"}[l.over]
}

func (m origins) words() string {
	switch {
	case len(m.in) > 0:
		return ", on goods made in " + strings.Join(m.in, " ")
	case len(m.out) > 0:
		return ", on goods not made in " + strings.Join(m.out, " ")
	}
	return ""
}

func (v *relief) title(cur money.Currency) string {
	how := " relieved"
	if v.sale {
		how = " charged by the seller and not at the border"
	}
	return v.of.String() + how + v.origins.words() + v.when.words(cur)
}

func (v *relief) text(cur money.Currency) string {
	if v.wholly {
		return "goods of any value"
	}
	word := "up to "
	if v.limit.strict {
		word = "below "
	}
	after := ""
	switch v.beyond {
	case chargeExcess:
		after = "; above, only the excess is charged"
	case chargePieces:
		after = "; above, as many whole pieces as fit are relieved"
	}
	return word + v.limit.words(cur) + after
}

var chargedWords = []string{"when duty or tax is due", "when duty or tax is not relieved", "on every parcel"}

func (f *fee) text(cur money.Currency) string {
	var parts []string
	if f.amount != 0 {
		words := money.New(f.amount, cur).String()
		switch {
		case f.each && f.headings == 0:
			words += " for each tariff heading"
		case f.each:
			words += fmt.Sprintf(" for each tariff heading above %d", f.headings)
		}
		parts = append(parts, words)
	}
	if f.percent.den != 0 {
		parts = append(parts, f.percent.String()+" of "+join(f.of.words()))
	}
	words := strings.Join(parts, " and ")
	if f.least != 0 {
		words += ", at least " + money.New(f.least, cur).String()
	}
	if f.most != 0 {
		words += ", at most " + money.New(f.most, cur).String()
	}
	if f.taxed.den != 0 {
		words += ", and " + f.taxed.String() + " tax on it"
	}
	return words + ", " + chargedWords[f.charged]
}
