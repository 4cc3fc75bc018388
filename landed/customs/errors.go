package customs

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// NoRulesError tells that no rules are known for a place, or none for the day.
type NoRulesError struct {
	Place       string
	On          time.Time
	Known       []string  // the territories that there are
	Territory   string    // the one that the place lies in; "" for none
	First, Last time.Time // the days its entries cover; Last is zero when open
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoRulesError) Error() string {
	const remedy = "write the rules in a file of your own, in the schema of the shipped ones, and name it with --rules or as customs: rules:"
	if e.Territory == "" {
		return fmt.Sprintf("there are no customs rules for %q, only for %s: %s", e.Place, strings.Join(e.Known, ", "), remedy)
	}
	span := "from " + e.First.Format(time.DateOnly)
	if !e.Last.IsZero() {
		span += " to " + e.Last.Format(time.DateOnly)
	}
	return fmt.Sprintf("the customs rules of %s are known %s, not for %s: check the date, or %s",
		e.Territory, span, e.On.Format(time.DateOnly), remedy)
}

// ErrNothing tells that [Assess] was given rules that no book or file holds, or
// no consignments.
var ErrNothing = errors.New("nothing can be assessed: take the rules from a book or from Parse, and give the consignments")

// lineOf names an item, and its parcel where that has an id.
func lineOf(parcel, line string) string {
	var parts []string
	if parcel != "" {
		parts = append(parts, fmt.Sprintf("parcel %q", parcel))
	}
	if line != "" {
		parts = append(parts, fmt.Sprintf("item %q", line))
	}
	if len(parts) == 0 {
		return "the parcel"
	}
	return strings.Join(parts, ": ")
}

// NoRateError tells that a duty is due and the class of a line does not say at
// which rate.
type NoRateError struct {
	Parcel, Line string
	Class        string // "" when the line has no class
	Code         string // the tariff code, when it is known
	Origin       string // the origin whose surcharge is missing; "" for the duty rate
	Tariff       string // where rates are found
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoRateError) Error() string {
	code := "find the heading of the goods"
	if e.Code != "" {
		code = fmt.Sprintf("find the heading %s", e.Code)
	}
	switch {
	case e.Class == "":
		return fmt.Sprintf("%s: duty is due and the goods have no customs class: %s in %s, and write the class with its duty rate under customs: classes", lineOf(e.Parcel, e.Line), code, e.Tariff)
	case e.Origin != "":
		return fmt.Sprintf("%s: class %q has no surcharge for goods made in %s, and here the duty is that surcharge: %s in %s, and write the rate under customs: classes: %s: surcharges: %s", lineOf(e.Parcel, e.Line), e.Class, e.Origin, code, e.Tariff, e.Class, e.Origin)
	}
	return fmt.Sprintf("%s: class %q has no duty rate: %s in %s, and write the rate under customs: classes: %s: duty", lineOf(e.Parcel, e.Line), e.Class, code, e.Tariff, e.Class)
}

// NoTaxRateError tells that a tax has no rate of the kind that a class asks for.
type NoTaxRateError struct {
	Class, Kind, Tax, Place string
	Known                   []string // the kinds there are
	// Elsewhere is set where other places of the territory have a rate of the
	// kind: that of this one was not found.
	Elsewhere bool
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoTaxRateError) Error() string {
	if e.Elsewhere {
		return fmt.Sprintf("class %q: the rate %q of %s in %s was not found: leave tax out for the standard rate, which is the most it can be, or write the rate in a file of rules of your own", e.Class, e.Kind, e.Tax, e.Place)
	}
	return fmt.Sprintf("class %q: %s has no rate %q in %s: choose %s, or zero", e.Class, e.Tax, e.Kind, e.Place, strings.Join(e.Known, ", "))
}

// RateError tells what is wrong with a written rate and how to write it.
type RateError struct {
	Input  string // as given
	Reason string // what is wrong
	Remedy string // what would put it right
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *RateError) Error() string { return fmt.Sprintf("%q %s: %s", e.Input, e.Reason, e.Remedy) }

// PlaceError tells that a place is not one that the rules can be applied to.
type PlaceError struct {
	Place, Territory string
	Subdivision      bool // it lacks its province or state
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *PlaceError) Error() string {
	if e.Subdivision {
		return fmt.Sprintf("%q does not say which part of the territory: taxes differ, write it as in %s-ON", e.Place, e.Territory)
	}
	return fmt.Sprintf("%q does not lie in %s: choose the rules of the place of entry", e.Place, e.Territory)
}

// UnknownClassError tells that a line names a class that was not given.
type UnknownClassError struct {
	Parcel, Line, Class string
	Nearest             string // in words: what was perhaps meant
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *UnknownClassError) Error() string {
	return fmt.Sprintf("%s: there is no customs class %q: %s", lineOf(e.Parcel, e.Line), e.Class, e.Nearest)
}

// LineError tells that a figure given for assessment makes no sense.
type LineError struct {
	Parcel, Line string // Line is "" where the figure is the parcel's
	Class        string // set, and the others not, where it is a class's
	What         string // the figure: "freight"
	Got, Want    string
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *LineError) Error() string {
	where := lineOf(e.Parcel, e.Line)
	if e.Class != "" {
		where = fmt.Sprintf("class %q", e.Class)
	}
	return fmt.Sprintf("%s: %s is %q: %s", where, e.What, e.Got, e.Want)
}
