package customs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"lotcost/landed/money"
)

// InputError tells what [Assess] cannot make sense of.
type InputError struct {
	Line  string // its id; "" where it is the parcel's, or neither's
	Class string // key of a class: of that named, or of that whose figure it is
	What  string // the figure: "to", "class", "tax", "freight" ...

	said string // where it stands, what is wrong, and what would put it right
}

// Error says where it stands, what is wrong and what would put it right.
func (e *InputError) Error() string { return e.said }

// NoRateError tells that a duty is due and the class of a line does not say at which rate: What is
// "duty", or "surcharges" where that for the country of making is missing.
type NoRateError struct{ InputError }

// NoRulesError tells that no rules are known for a place, or none for the day.
type NoRulesError struct {
	Territory string // in which the place lies; "" for none

	place       string
	on          time.Time
	known       []string  // the territories that there are
	first, last time.Time // the days its entries cover; last is zero when open
}

// Error says which places and days there are rules for, and what would do instead.
func (e *NoRulesError) Error() string {
	what, remedy := e.Parts()
	return what + ": " + remedy
}

// Parts are what it says and what would do instead, by themselves, other ways among the latter that
// the caller knows.
func (e *NoRulesError) Parts(others ...string) (what, remedy string) {
	ways := append(others, "write the rules in a file of your own, in the schema of the shipped ones")
	if e.Territory == "" {
		return fmt.Sprintf("there are no customs rules for %q, only for %s", e.place, strings.Join(e.known, ", ")), strings.Join(ways, ", or ")
	}
	span := "from " + e.first.Format(time.DateOnly)
	if !e.last.IsZero() {
		span += " to " + e.last.Format(time.DateOnly)
	}
	return fmt.Sprintf("the customs rules of %s are known %s, not for %s", e.Territory, span, e.on.Format(time.DateOnly)), "check the date, or " + strings.Join(ways, ", or ")
}

// lineOf names an item, and its parcel where that has an id.
func lineOf(parcel, line string) string {
	var parts []string
	if parcel != "" {
		parts = append(parts, fmt.Sprintf("parcel %q", parcel))
	}
	if line != "" {
		parts = append(parts, fmt.Sprintf("item %q", line))
	}
	return cmp.Or(strings.Join(parts, ": "), "the parcel")
}

// wrong is the error of a figure of a parcel or of one of its lines.
func wrong(parcel, line, what, got, want string) error {
	return &InputError{Line: line, What: what, said: fmt.Sprintf("%s: %s is %q: %s", lineOf(parcel, line), what, got, want)}
}

// wrongInClass is that of a figure of a class.
func wrongInClass(class, what, got, want string) error {
	return &InputError{Class: class, What: what, said: fmt.Sprintf("class %q: %s is %q: %s", class, what, got, want)}
}

// wrongPlace is that of a place of entry which the rules cannot be applied to.
func wrongPlace(r *Rules, place string) error {
	said := fmt.Sprintf("%q does not lie in %s: choose the rules of the place of entry", place, r.Territory)
	if r.set.covers(place) {
		said = fmt.Sprintf("%q does not say which part of the territory: taxes differ, write it as in %s-ON", place, r.Territory)
	}
	return &InputError{What: "to", said: said}
}

// notOpen is that of an answer to a question that the rules do not leave open.
func notOpen(r *Rules, name string) error {
	var open []string
	for _, q := range r.open {
		open = append(open, q.name+" ("+q.cond+")")
	}
	remedy := "the rules of " + r.Name + " leave nothing open: take it out"
	if len(open) > 0 {
		remedy = "known here: " + strings.Join(open, ", ")
	}
	return &InputError{What: "holds", said: fmt.Sprintf("nothing named %q is left open: %s", name, remedy)}
}

// noRate tells which rate of a line is missing, and where to find it. Origin is the country whose
// surcharge it is; "" for the rate of duty.
func (a *assessor) noRate(w *parcelWork, l *lineWork, origin string) error {
	e := &NoRateError{InputError{Line: l.ID, Class: l.Class, What: "duty"}}
	find := "find the heading of the goods"
	if code := a.c.Classes[l.Class].Code; code != "" {
		find = "find the heading " + code
	}
	find += " in " + a.rules.Tariff
	switch {
	case l.Class == "":
		if len(a.c.Classes) > 0 {
			find = "say which they are of, as in class: " + slices.Min(slices.Collect(maps.Keys(a.c.Classes))) + ", or " + find
		}
		e.said = fmt.Sprintf("%s: duty is due and the goods have no customs class: %s, and write the class with its duty rate under customs: classes", lineOf(w.ID, l.ID), find)
	case origin != "":
		e.What = "surcharges"
		e.said = fmt.Sprintf("%s: class %q has no surcharge for goods made in %s, and here the duty is that surcharge: %s, and write the rate under customs: classes: %s: surcharges: %s", lineOf(w.ID, l.ID), l.Class, origin, find, l.Class, origin)
	default:
		e.said = fmt.Sprintf("%s: class %q has no duty rate: %s, and write the rate under customs: classes: %s: duty", lineOf(w.ID, l.ID), l.Class, find, l.Class)
	}
	return e
}

// noTaxRate tells that a tax has no rate of the kind that a class asks for, among those for the
// place. Where other places have one, that of this one was not found.
func (a *assessor) noTaxRate(l *lineWork, kind string, t *tax, here []*taxRate) error {
	e := &InputError{Class: l.Class, What: "tax"}
	for i := range t.rates {
		if t.rates[i].kind == kind {
			e.said = fmt.Sprintf("class %q: the rate %q of %s in %s was not found: leave tax out for the standard rate, which is the most it can be, or write the rate in a file of rules of your own", l.Class, kind, t.name, a.c.To)
			return e
		}
	}
	var known []string
	for _, r := range here {
		if !slices.Contains(known, r.kind) {
			known = append(known, r.kind)
		}
	}
	e.said = fmt.Sprintf("class %q: %s has no rate %q in %s: choose %s, or zero", l.Class, t.name, kind, a.c.To, strings.Join(known, ", "))
	return e
}

func parseError(input, reason, remedy string) error {
	return &money.ParseError{Input: input, Reason: reason, Remedy: remedy}
}
