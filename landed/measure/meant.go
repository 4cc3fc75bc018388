package measure

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/internal/scrub"
)

// measured is a number and what stands behind it in the place of a unit.
var measured = scrub.Pattern(`([0-9](?:[0-9.,]*[0-9])?)\s*([\p{L}"]*)\.?`)

// joiner is what may stand between two figures of one weight.
var joiner = scrub.Pattern(`^(?:[\s,+&.]|and|und)*$`)

// meant are the readings of a text that is none as it stands: with a note round it,
// its unit in front or left out, in two units.
func (k *kind) meant(s string) []string {
	text := strings.ToLower(scrub.Figure(s))
	if u := strings.TrimRight(text, "0123456789., "); u != "" && strings.Trim(u, "0123456789.,") == u && k.known(strings.TrimRight(u, ". ")) != "" {
		text = strings.TrimSpace(text[len(u):]) + " " + strings.TrimRight(u, ". ")
	}
	parts := measured().FindAllStringSubmatch(text, -1)
	if len(parts) == 0 || !joiner().MatchString(measured().ReplaceAllString(text, "")) {
		return nil
	}
	number, name := parts[0][1], k.known(parts[0][2])
	switch {
	case len(parts) == 1 && parts[0][2] == "":
		return k.unnamed(number)
	case len(parts) == 1 && name != "":
		return append([]string{number + " " + name}, (&fault{readings: commaReadings(number)}).around("", " "+name).readings...)
	case len(parts) == 2 && k.name == weights.name && name == "kg" && slices.Contains([]string{"", "g"}, k.known(parts[1][2])):
		kg, err := ParseWeight(number + " kg")
		g, err2 := ParseWeight(parts[1][1] + " g")
		if sum, err3 := kg.Add(g); err == nil && err2 == nil && err3 == nil && g < Kilogram {
			return []string{sum.String()}
		}
	case len(parts) == 2 && name == "lb":
		return []string{number + " lb " + parts[1][1] + " oz"}
	}
	return nil
}

// unnamed are the readings of a number without a unit: what weighs a few is rather
// of the larger units.
func (k *kind) unnamed(number string) []string {
	units := []string{"cm", "in"}
	if k.name == weights.name {
		units = []string{"kg", "lb"}
		if len(strings.Split(number, ".")[0]) > len("9") {
			units = []string{"g", "oz"}
		}
	}
	var meant []string
	for _, reading := range append([]string{number}, commaReadings(number)...) {
		meant = append(meant, reading+" "+units[0], reading+" "+units[1])
	}
	return meant
}

// known is the unit of a name or of another spelling, "" where there is none.
func (k *kind) known(name string) string {
	for _, u := range k.units {
		if name == u.name || slices.Contains(u.also, name) {
			return u.name
		}
	}
	return ""
}

// sidesIn are three numbers with anything between them that is no number.
var sidesIn = scrub.Pattern(`^[^0-9]*` + oneSide + `([^0-9]+)` + oneSide + `([^0-9]+)` + oneSide + `([^0-9]*)$`)

const oneSide = `([0-9]+(?:[.,][0-9]+)?)`

// meantSizes are the readings of a text with three sides in it.
func meantSizes(s string) []string {
	parts := sidesIn().FindStringSubmatch(strings.ToLower(scrub.Figure(s)))
	if parts == nil {
		return nil
	}
	units := []string{"cm", "in"}
	for word := range strings.FieldsFuncSeq(parts[2]+" "+parts[4]+" "+parts[6], func(r rune) bool { return !strings.ContainsRune(`abcdefghijklmnopqrstuvwxyz"`, r) }) {
		if name := lengths.known(word); name != "" {
			units = []string{name}
		}
	}
	var meant []string
	for _, u := range units {
		meant = append(meant, strings.ReplaceAll(fmt.Sprintf("%sx%sx%s %s", parts[1], parts[3], parts[5], u), ",", "."))
	}
	return meant
}
