package measure

import (
	"fmt"
	"math"
	"strings"

	"lotcost/landed/internal/exact"
)

// Weight is a mass in whole nanograms.
type Weight int64

// The pound and the ounce are those of the international agreement of 1959: 1 lb = 0.45359237 kg
// exactly and 16 oz = 1 lb (NIST Handbook 44, appendix C; from memory).
const (
	Gram     Weight = 1_000_000_000
	Kilogram Weight = 1000 * Gram
	ounce    Weight = 28_349_523_125
	pound    Weight = 453_592_370_000
)

const (
	maxWeight Weight = math.MaxInt64
	minWeight Weight = math.MinInt64
)

// weights is how weights are written; nothing changes it.
var weights = kind{
	name: "weight", max: maxWeight.String(),
	units: []unit{
		{name: "mg", size: int64(Gram / 1000), grouped: true, also: []string{"mgs", "milligram", "milligrams"}},
		{name: "g", size: int64(Gram), grouped: true, also: []string{"gr", "gm", "gms", "grs", "gram", "grams", "gramme", "grammes", "gramm", "gramms"}},
		{name: "kg", size: int64(Kilogram), also: []string{"kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramm", "k"}},
		{name: "oz", size: int64(ounce), also: []string{"ozs", "ounce", "ounces", "unzen"}},
		{name: "lb", size: int64(pound), also: []string{"lbs", "pound", "pounds"}},
	},
	join: joinOunces,
}

// ParseWeight reads a weight such as "780 g", "1.9 kg", "12 oz", "1.25lb" or "4 lb 6 oz", to the
// nearest nanogram, half up.
// Zero is a weight. The package comment has the rules, the one on commas among them. In the joined
// form the pounds are whole and the ounces fewer than 16.
func ParseWeight(s string) (Weight, error) {
	n, err := weights.parse(s)
	return Weight(n), err
}

func joinOunces(k *kind, num string, u unit, value int64, tail string) (int64, *fault) {
	ounces, name := cutNumber(tail)
	if u.name != "lb" || ounces == "" || name != "oz" {
		return 0, &fault{reason: fmt.Sprintf("%q after the unit", tail), advice: "give one number and one unit, or lb and oz as in 4 lb 6 oz"}
	}
	if strings.Contains(num, ".") {
		return 0, &fault{reason: "a fraction of a pound beside ounces", advice: "give whole pounds, or pounds alone"}
	}
	oz, f := k.amount(ounces, unit{name: "oz", size: int64(ounce)})
	switch {
	case f != nil:
		return 0, f.around(num+" lb ", " oz")
	case oz >= int64(pound):
		return 0, &fault{reason: "16 oz or more beside pounds", advice: "16 oz are 1 lb: carry them over"}
	case oz > math.MaxInt64-value:
		return 0, k.tooLarge()
	}
	return value + oz, nil
}

// String prints the weight exactly: in g below 1 kg, else in kg, without trailing zeros.
// [ParseWeight] reads it back to the same weight, unless it is negative.
func (w Weight) String() string {
	if w > -Kilogram && w < Kilogram {
		return printDecimal(int64(w), 9) + " g"
	}
	return printDecimal(int64(w), 12) + " kg"
}

// Add is w + o, in nanograms, exact. A sum outside the range is an error.
func (w Weight) Add(o Weight) (Weight, error) {
	sum := w + o
	if (w < 0) == (o < 0) && (sum < 0) != (w < 0) {
		return 0, passes(fmt.Sprintf("%s + %s", w, o), limit(w < 0))
	}
	return sum, nil
}

// Mul is n times w, in nanograms, exact. A product outside the range is an error.
func (w Weight) Mul(n int64) (Weight, error) {
	product, ok := exact.Mul(int64(w), n)
	if !ok {
		return 0, passes(fmt.Sprintf("%s x %d", w, n), limit((w < 0) != (n < 0)))
	}
	return Weight(product), nil
}

func limit(negative bool) Weight {
	if negative {
		return minWeight
	}
	return maxWeight
}
