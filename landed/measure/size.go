package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lotcost/landed/internal/exact"
)

// Size is the outside of a box, its sides in the order they were typed.
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
	size := Size{got[0], got[1], got[2]}
	if _, ok := size.lengthPlusGirth(); !ok {
		return Size{}, &fault{reason: "too large", advice: "length plus girth is at most " + lengths.max}
	}
	return size, nil
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

// Sorted gives the sides by length. Carriers call the longest the length, whatever was typed first.
func (s Size) Sorted() (longest, middle, shortest Length) {
	low, high := min(s.L, s.W), max(s.L, s.W)
	return max(high, s.H), max(low, min(high, s.H)), min(low, s.H)
}

// LengthPlusGirth is the longest side plus the girth, the measure most limits are set in. The girth
// is the distance round the thickest part perpendicular to the length: twice the sum of the two
// shorter sides (postal practice; testdata/measures names the sources). For a size that ParseSize
// did not give it stops at the bounds of a [Length] and does not wrap.
func (s Size) LengthPlusGirth() Length {
	total, _ := s.lengthPlusGirth()
	return total
}

func (s Size) lengthPlusGirth() (Length, bool) {
	l, m, n := s.Sorted()
	return sum(l, m, m, n, n)
}

// SumOfSides is length plus width plus height, the measure of small-packet limits. It stops at the
// bounds as [Size.LengthPlusGirth] does.
func (s Size) SumOfSides() Length {
	total, _ := sum(s.L, s.W, s.H)
	return total
}

// sum adds up to five lengths, held at the bounds of a Length, and tells whether it was in them.
func sum(ls ...Length) (Length, bool) {
	// Five int64 add up in 67 bits: a high and a low half cannot overflow.
	var high, low int64
	for _, l := range ls {
		high += int64(l >> 32)
		low += int64(l & math.MaxUint32)
	}
	high += low >> 32
	switch {
	case high > math.MaxInt32:
		return math.MaxInt64, false
	case high < math.MinInt32:
		return math.MinInt64, false
	}
	return Length(high<<32 | low&math.MaxUint32), true
}

// Volumetric is the weight a carrier charges the volume as: the volume in cm3 over the divisor, in
// kg, rounded up to a whole nanogram and not to any billing step. The divisor is in cm3 per kg, as
// tariffs give it; a tariff of 250 kg per m3 has the divisor 4000. Sources are in
// testdata/measures. A divisor that is not above zero, a negative side and a result outside the
// range are an error.
func (s Size) Volumetric(divisor int64) (Weight, error) {
	if divisor <= 0 {
		return 0, mustBe("volumetric divisor", strconv.FormatInt(divisor, 10), "more than zero")
	}
	if min(s.L, s.W, s.H) < 0 {
		return 0, mustBe("size", s.String(), "without a negative side")
	}
	// 10^12 um3 are 1 cm3 and 10^12 ng are 1 kg, so the two cancel: ng = um3 / divisor. A volume
	// beyond 128 bits is too much by any divisor.
	volume, ok := exact.Product(uint64(s.L), uint64(s.W)).Times(uint64(s.H))
	quo, rest, fits := volume.Div(uint64(divisor))
	if rest > 0 && quo < math.MaxInt64 {
		quo, rest = quo+1, 0
	}
	if !ok || !fits || quo > math.MaxInt64 || rest > 0 {
		return 0, passes(fmt.Sprintf("volumetric weight of %s by %d", s, divisor), maxWeight)
	}
	return Weight(quo), nil
}
