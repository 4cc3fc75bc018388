package measure

import (
	"fmt"
	"strconv"
	"strings"

	"lotcost/landed/internal/exact"
)

// Size is the outside of a box, its sides in the order they were typed. The zero value is a size
// that is not known.
type Size struct{ L, W, H Length }

const sizeAdvice = "give three sides and a unit, as in 30x20x10 cm"

// ParseSize reads three sides with one unit at the end, such as "30x20x10 cm", "12 x 8 x 4 in" or
// "300×200×100 mm", exactly. Every side is above zero, and length plus girth fits a [Length].
// Numbers, units and commas are as in [ParseLength].
func ParseSize(s string) (Size, error) {
	size, f := readSize(s)
	if f == nil {
		return size, nil
	}
	return Size{}, f.at("size", s, func(r string) bool { _, f := readSize(r); return f == nil }, meantSizes)
}

func readSize(s string) (Size, *fault) {
	text := strings.TrimSpace(s)
	end := strings.LastIndexAny(text, "0123456789.,") + 1
	body, name := text[:end], strings.TrimSpace(text[end:])
	sides := strings.Split(strings.ReplaceAll(strings.ReplaceAll(body, "X", "x"), "×", "x"), "x")
	for i := range sides {
		sides[i] = strings.TrimSpace(sides[i])
	}
	if len(sides) != 3 {
		return Size{}, &fault{reason: countSides(body, sides), advice: sizeAdvice}
	}
	if name == "" {
		return Size{}, &fault{reason: "no unit", advice: "add " + lengths.names()}
	}
	u, f := lengths.unit(name)
	if f != nil {
		return Size{}, f.around(body+" ", "")
	}
	return readSides(sides, u)
}

func countSides(body string, sides []string) string {
	switch {
	case body == "":
		return "no sides"
	case len(sides) == 1:
		return "1 side, not 3"
	}
	return strconv.Itoa(len(sides)) + " sides, not 3"
}

func readSides(sides []string, u unit) (Size, *fault) {
	if bare := withoutUnit(sides, u); bare != "" {
		return Size{}, &fault{reason: "the unit is given more than once", readings: []string{bare + " " + u.name}, advice: sizeAdvice}
	}
	var got [3]Length
	for i, side := range sides {
		n, f := readSide(side, u)
		if f != nil {
			return Size{}, inSides(f, sides, i, u)
		}
		got[i] = n
	}
	l, w, h := int64(got[0]), int64(got[1]), int64(got[2])
	if _, ok := exact.Sum(l, l, w, w, h, h, -max(l, w, h)); !ok {
		return Size{}, &fault{reason: "too large", advice: "length plus girth is at most " + lengths.max}
	}
	return Size{got[0], got[1], got[2]}, nil
}

// withoutUnit is the sides with the unit taken off each, or nothing if none but the last has it.
func withoutUnit(sides []string, u unit) string {
	bare, found := make([]string, len(sides)), false
	for i, side := range sides {
		cut, ok := strings.CutSuffix(side, u.name)
		bare[i], found = strings.TrimSpace(cut), found || ok
	}
	if !found {
		return ""
	}
	return strings.Join(bare, "x")
}

// inSides turns the fault's readings of side i into readings of the whole size.
func inSides(f *fault, sides []string, i int, u unit) *fault {
	for j, r := range f.readings {
		whole := append([]string(nil), sides...)
		whole[i] = r
		f.readings[j] = strings.Join(whole, "x") + " " + u.name
	}
	return f
}

// readSide reads the number of one side. A fault's readings are sides.
func readSide(side string, u unit) (Length, *fault) {
	num, rest := cutNumber(side)
	switch {
	case side == "":
		return 0, &fault{reason: "a side is missing", advice: sizeAdvice}
	case num == "":
		return 0, signOrWord("side", side, sizeAdvice)
	case rest != "":
		return 0, &fault{reason: fmt.Sprintf("%q is not a number", side), advice: sizeAdvice}
	}
	n, f := lengths.amount(num, u)
	if f != nil {
		return 0, f
	}
	if n == 0 {
		return 0, &fault{reason: "a side is zero", advice: "every side is more than zero"}
	}
	return Length(n), nil
}

// String prints the sides in cm, exactly and in order: "30x20x10 cm". [ParseSize] reads it back to
// the same size, if it is one that ParseSize can give.
func (s Size) String() string {
	side := func(l Length) string { return printDecimal(int64(l), 4) }
	return side(s.L) + "x" + side(s.W) + "x" + side(s.H) + " cm"
}
