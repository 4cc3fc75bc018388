package customs

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Statement is one figure of an entry in words.
type Statement struct {
	Topic      string // value, relief, rounding, duty, tax, fee, collection
	What       string // "duty and tax relieved, by post"
	Figure     string // "up to 20.00 CAD of goods in the parcel"
	Source     string
	Dated      string // the day, month or year of the page read, where it is known and no law
	Confidence Confidence
}

// Words returns the entry in words, in the order of the assessment: each figure
// with its source.
func (r *Rules) Words() []Statement {
	return slices.Concat(r.value.said, r.relief.said, r.duty.said, r.taxes.said, r.fees.said, r.collect.said)
}

// Difference is a figure that differs between two entries. Before or After is
// empty where only the other entry has it. Source and Confidence are those of
// the later figure, or of the earlier where there is no later.
type Difference struct {
	Topic, What, Before, After string
	Source                     string
	Confidence                 Confidence
}

// Differences returns what differs between two entries, in the order of b and
// then what only a has.
func Differences(a, b *Rules) []Difference {
	left := a.Words()
	var diff []Difference
	for _, s := range b.Words() {
		i := slices.IndexFunc(left, func(o Statement) bool { return o.Topic == s.Topic && o.What == s.What })
		before := ""
		if i >= 0 {
			before = left[i].Figure
			left = slices.Delete(left, i, i+1)
		}
		if before != s.Figure {
			diff = append(diff, Difference{s.Topic, s.What, before, s.Figure, s.Source, s.Confidence})
		}
	}
	for _, s := range left {
		diff = append(diff, Difference{s.Topic, s.What, s.Figure, "", s.Source, s.Confidence})
	}
	return diff
}

func (s *section[T]) say(topic, what, figure string, c cite) {
	s.said = append(s.said, Statement{topic, what, figure, c.source, c.dated, c.confidence})
}

func (k kinds) String() string { return join(pick(uint8(k), kindNames)) }

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
	if w.modes != 0 {
		b.WriteString(", by " + join(pick(w.modes, modeNames)))
	}
	if w.uses != 0 {
		b.WriteString(", for " + join(pick(w.uses, []string{"personal use", "gifts", "resale"})))
	}
	if len(w.from) > 0 {
		b.WriteString(", sent from " + strings.Join(w.from, " "))
	}
	if len(w.notFrom) > 0 {
		b.WriteString(", not sent from " + strings.Join(w.notFrom, " "))
	}
	if len(w.to) > 0 {
		b.WriteString(", to " + strings.Join(w.to, " "))
	}
	if len(w.goods) > 0 {
		b.WriteString(", for goods of " + strings.Join(w.goods, " "))
	}
	if w.stream != AnyStream {
		b.WriteString(", with the " + w.stream.String())
	}
	if w.open.name != "" {
		b.WriteString(", if " + w.open.cond)
	}
	if w.paid {
		b.WriteString(", where the seller has charged the tax")
	}
	if w.flat {
		b.WriteString(", where the flat charge was chosen")
	}
	if w.upto != nil {
		b.WriteString(", up to " + w.upto.words(cur))
	}
	if w.above != nil {
		b.WriteString(", above " + w.above.words(cur))
	}
	return b.String()
}

func (l *limit) words(cur money.Currency) string {
	if l.of == ofWeight {
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

func (m makers) words() string {
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
	return v.of.String() + how + v.makers.words() + v.when.words(cur)
}

func (v *relief) figure(cur money.Currency) string {
	word := "up to "
	if v.strict {
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

func (f *fee) figure(cur money.Currency) string {
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
