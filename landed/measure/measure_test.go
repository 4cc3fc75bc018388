package measure_test

import (
	"errors"
	"math"
	"math/big"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"lotcost/landed/internal/published"
	"lotcost/landed/measure"

	"pgregory.net/rapid"
)

// The units that have no name in the package, as the agreement of 1959 has them.
const (
	ounce      measure.Weight = 28_349_523_125
	pound      measure.Weight = 16 * ounce
	inch       measure.Length = 25_400
	millimetre measure.Length = 1000
)

func weight(t *testing.T, s string) measure.Weight {
	t.Helper()
	w, err := measure.ParseWeight(s)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func length(t *testing.T, s string) measure.Length {
	t.Helper()
	l, err := measure.ParseLength(s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func size(t *testing.T, s string) measure.Size {
	t.Helper()
	z, err := measure.ParseSize(s)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func TestPublishedUnits(t *testing.T) {
	for _, row := range published.Rows(t, "measures/units.csv", 2) {
		if a, b := weight(t, row[0]), weight(t, row[1]); a != b {
			t.Errorf("%s = %s, want %s", row[0], a, b)
		}
	}
	for _, row := range published.Rows(t, "measures/inch.csv", 2) {
		if a, b := length(t, row[0]), length(t, row[1]); a != b {
			t.Errorf("%s = %s, want %s", row[0], a, b)
		}
	}
}

func TestParseWeight(t *testing.T) {
	for _, c := range []struct {
		in   string
		want measure.Weight
	}{
		{"780 g", 780 * measure.Gram},
		{"1.9 kg", 1900 * measure.Gram},
		{"12 oz", 12 * ounce},
		{"4 lb", 4 * pound},
		{"1.25lb", pound + 4*ounce},
		{"4 lb 6 oz", 4*pound + 6*ounce},
		{"4lb6oz", 4*pound + 6*ounce},
		{"0 lb 6.2 oz", 6*ounce + ounce/5},
		{"0.5 oz", (ounce + 1) / 2}, // between two nanograms, half up
		{"12.5 oz", 12*ounce + (ounce+1)/2},
		{"\t 5\u00a0mg ", 5 * measure.Gram / 1000},
		{"0 g", 0},
		{"007 g", 7 * measure.Gram},
		{"1.90000000000000000000000000 kg", 1900 * measure.Gram},
		{"1,900 g", 1900 * measure.Gram},
		{"1,234,567.5 g", 1234567*measure.Gram + measure.Gram/2},
		{"0.000000001 g", measure.Weight(1)},
		{"9223372.036854775807 kg", math.MaxInt64},
	} {
		if got, err := measure.ParseWeight(c.in); err != nil || got != c.want {
			t.Errorf("%q: %s, %v, want %s", c.in, got, err, c.want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	parse := map[string]func(string) error{
		"weight": func(s string) error { _, err := measure.ParseWeight(s); return err },
		"length": func(s string) error { _, err := measure.ParseLength(s); return err },
		"size":   func(s string) error { _, err := measure.ParseSize(s); return err },
	}
	const comma = "a comma may be a decimal or a thousands mark: "
	for _, c := range []struct{ kind, in, want string }{
		{"weight", "1,5 kg", comma + "write 1.5 kg"},
		{"weight", "1,900 kg", comma + "write 1.900 kg or 1900 kg"},
		{"weight", "1,900.5 kg", comma + "write 1900.5 kg"},
		{"weight", "1.900,5 g", comma + "write 1900.5 g"},
		{"weight", "0,500 g", comma + "write 0.500 g"},
		{"weight", "1,2,3 g", comma + "leave commas out and give decimals after a point"},
		{"weight", "4 lb 1,2 oz", comma + "write 4 lb 1.2 oz"},
		{"weight", "4,000 lb 6 oz", comma + "write 4000 lb 6 oz"},
		{"weight", "", "nothing is given: give a number and a unit: mg, g, kg, oz or lb"},
		{"weight", "heavy", "no number at the start: give a number and a unit: mg, g, kg, oz or lb"},
		{"weight", "780", "no unit: write 780 g or 780 oz"},
		{"weight", "1.9", "no unit: write 1.9 kg or 1.9 lb"},
		{"weight", "ca. 1,9 kg", "no number at the start: write 1.9 kg"},
		{"weight", "kg 1.9", "no number at the start: write 1.9 kg"},
		{"weight", "1lb. 4oz.", `unknown unit "lb.": write 1 lb 4 oz`},
		{"weight", "1.9 kg or 2 kg", `"or 2 kg" after the unit: give one number and one unit, or lb and oz as in 4 lb 6 oz`},
		{"size", "40 by 30 by 20 cm", "1 side, not 3: write 40x30x20 cm"},
		{"size", "L40,5 W30 H20", "1 side, not 3: write 40.5x30x20 cm or 40.5x30x20 in"},
		{"weight", "780 stone", `unknown unit "stone": use mg, g, kg, oz or lb`},
		{"weight", "4 lbs", `unknown unit "lbs": write 4 lb`},
		{"weight", "4 lbs 6 oz", `unknown unit "lbs": write 4 lb 6 oz`},
		{"weight", "31O g", "has letters for figures: write 310 g"},
		{"weight", "l.9 kg", "has letters for figures: write 1.9 kg"},
		{"weight", "2 KG", `unknown unit "KG": write 2 kg`},
		{"weight", "-5 g", "a weight cannot be negative: write 5 g"},
		{"weight", "\u22125 g", "a weight cannot be negative: write 5 g"},
		{"weight", "+5 g", "a sign is not taken: write 5 g"},
		{"weight", "1e3 g", "an exponent is not taken: give the number in full"},
		{"weight", ".5 kg", `".5" is not a number: write 0.5 kg`},
		{"weight", "5. kg", `"5." is not a number: write 5 kg`},
		{"weight", "1.2.3 kg", `"1.2.3" is not a number: give digits, and decimals after one point`},
		{"weight", "1 900 g", "a space inside the number: write 1900 g"},
		{"weight", "4 6 oz", "a space inside the number: give one number and one unit"},
		{"weight", "4.5 lb 6 oz", "a fraction of a pound beside ounces: give whole pounds, or pounds alone"},
		{"weight", "4 lb 16 oz", "16 oz or more beside pounds: 16 oz are 1 lb: carry them over"},
		{"weight", "1 kg 200 g", `"200 g" after the unit: write 1.2 kg`},
		{"weight", "9223372.036854775808 kg", "too large: a weight is at most 9223372.036854775807 kg"},
		{"weight", "99999999999999999999 g", "too large: a weight is at most 9223372.036854775807 kg"},
		{"weight", "20334054 lb 15.8 oz", "too large: a weight is at most 9223372.036854775807 kg"},
		{"length", "12 inches", `unknown unit "inches": write 12 in`},
		{"length", "12 ft", `unknown unit "ft": use mm, cm, m or in`},
		{"length", "4 cm 2 mm", `"2 mm" after the unit: give one number and one unit`},
		{"length", "9223372036854.775808 m", "too large: a length is at most 9223372036854.775807 m"},
		{"size", "", "no sides: give three sides and a unit, as in 30x20x10 cm"},
		{"size", "30 cm", "1 side, not 3: give three sides and a unit, as in 30x20x10 cm"},
		{"size", "30x20 cm", "2 sides, not 3: give three sides and a unit, as in 30x20x10 cm"},
		{"size", "30x20x10", "no unit: write 30x20x10 cm or 30x20x10 in"},
		{"size", "30x20x10 inches", `unknown unit "inches": write 30x20x10 in`},
		{"size", "30 cm x 20 cm x 10 cm", "the unit is given more than once: write 30x20x10 cm"},
		{"size", "30x0x10 cm", "a side is zero: every side is more than zero"},
		{"size", "30 x -20 x 10 cm", "a side cannot be negative: write 30x20x10 cm"},
		{"size", "30x20,5x10 cm", comma + "write 30x20.5x10 cm"},
		{"size", "30xx10 cm", "a side is missing: give three sides and a unit, as in 30x20x10 cm"},
		{"size", "30x1e2x10 cm", `"1e2" is not a number: give three sides and a unit, as in 30x20x10 cm`},
		{"size", "9000000000000x9000000000000x1 m", "too large: length plus girth is at most 9223372036854.775807 m"},
	} {
		err := parse[c.kind](c.in)
		var pe *measure.ParseError
		if !errors.As(err, &pe) || !strings.HasPrefix(pe.Error(), c.kind+" ") || pe.Input() != c.in {
			t.Errorf("%s %q: %#v", c.kind, c.in, err)
			continue
		}
		if want := c.kind + " " + quoted(c.in) + ": " + c.want; err.Error() != want {
			t.Errorf("got  %s\nwant %s", err, want)
		}
	}
}

func quoted(s string) string {
	e := measure.Unread(s).Error()
	return strings.TrimSuffix(strings.TrimPrefix(e, " "), ": : ")
}

func TestQuotedIsPlain(t *testing.T) {
	if got := quoted("1,5 kg"); got != `"1,5 kg"` {
		t.Errorf("quoted: %s", got)
	}
}

func TestParseSize(t *testing.T) {
	want := measure.Size{L: 12 * inch, W: 8 * inch, H: 4 * inch}
	for _, in := range []string{"12x8x4 in", "12 x 8 x 4 in", "12×8X4in", " 304.8x203.2x101.6 mm", "30.48x20.32x10.16 cm"} {
		if got, err := measure.ParseSize(in); err != nil || got != want {
			t.Errorf("%q: %v, %v", in, got, err)
		}
	}
	if got := size(t, "1,200x300x200 mm"); got != (measure.Size{L: 1200 * millimetre, W: 300 * millimetre, H: 200 * millimetre}) {
		t.Errorf("grouped mm: %v", got)
	}
}

func TestPrint(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{measure.Weight(0).String(), "0 g"},
		{(999 * measure.Gram).String(), "999 g"},
		{measure.Kilogram.String(), "1 kg"},
		{pound.String(), "453.59237 g"},
		{measure.Weight(math.MinInt64).String(), "-9223372.036854775808 kg"},
		{measure.Length(1).String(), "0.0001 cm"},
		{(100 * measure.Centimetre).String(), "1 m"},
		{measure.Size{}.String(), "0x0x0 cm"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

func TestComputationErrors(t *testing.T) {
	const top = measure.Weight(math.MaxInt64)
	_, mul := (2 * measure.Kilogram).Mul(9_000_000)
	_, add := top.Add(measure.Weight(1))
	_, low := measure.Weight(math.MinInt64).Add(-1)
	for _, c := range []struct {
		err  error
		want string
	}{
		{mul, "2 kg x 9000000: passes 9223372.036854775807 kg, the limit of a weight"},
		{add, "9223372.036854775807 kg + 0.000000001 g: passes 9223372.036854775807 kg, the limit of a weight"},
		{low, "-9223372.036854775808 kg + -0.000000001 g: passes -9223372.036854775808 kg, the limit of a weight"},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", c.err, c.want)
		}
	}
}

// anyInt draws bounds and small figures often, because that is where overflow and rounding live.
func anyInt() *rapid.Generator[int64] {
	return rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1000, 1000),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64 - 1, math.MaxInt64}))
}

func isOverflow(err error) bool {
	return err != nil && strings.HasSuffix(err.Error(), "the limit of a weight")
}

// agree checks a result against the exact one: equal if it fits, else an error.
func agree(t *rapid.T, got measure.Weight, err error, exact *big.Int) {
	switch {
	case exact.IsInt64() && (err != nil || int64(got) != exact.Int64()):
		t.Fatalf("got %d, %v, want %d", got, err, exact)
	case !exact.IsInt64() && !isOverflow(err):
		t.Fatalf("got %d, %v, want an overflow", got, err)
	}
}

func TestWeightArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyInt().Draw(t, "a"), anyInt().Draw(t, "b")
		x, y := big.NewInt(a), big.NewInt(b)
		got, err := measure.Weight(a).Add(measure.Weight(b))
		agree(t, got, err, new(big.Int).Add(x, y))
		got, err = measure.Weight(a).Mul(b)
		agree(t, got, err, new(big.Int).Mul(x, y))
	})
}

func TestPrintParseInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.Int64Min(0), rapid.Int64Range(0, 5_000_000_000_000)).Draw(t, "n")
		if w, err := measure.ParseWeight(measure.Weight(n).String()); err != nil || int64(w) != n {
			t.Fatalf("weight %d: %d, %v", n, w, err)
		}
		if l, err := measure.ParseLength(measure.Length(n).String()); err != nil || int64(l) != n {
			t.Fatalf("length %d: %d, %v", n, l, err)
		}
		s := measure.Size{L: measure.Length(n/8 + 1), W: measure.Length(n/9 + 1), H: measure.Length(n/7 + 1)}
		if got, err := measure.ParseSize(s.String()); err != nil || got != s {
			t.Fatalf("size %s: %v, %v", s, got, err)
		}
	})
}

// The oracle: the grammar as regular expressions, the value as a rational.
var (
	weightRE  = regexp.MustCompile(`^ *(?:(\d+(?:\.\d+)?) *(mg|g|kg|oz|lb)|([1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?) *(mg|g)) *$`)
	poundsRE  = regexp.MustCompile(`^ *(\d+) *lb *(\d+(?:\.\d+)?) *oz *$`)
	sizeRE    = regexp.MustCompile(`^ *([\d.,]+) *[xX×] *([\d.,]+) *[xX×] *([\d.,]+) *(mm|cm|m|in) *$`)
	plainRE   = regexp.MustCompile(`^\d+(\.\d+)?$`)
	groupedRE = regexp.MustCompile(`^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$`)
	baseUnits = map[string]int64{
		"mg": 1_000_000, "g": 1_000_000_000, "kg": 1_000_000_000_000, "oz": 28_349_523_125, "lb": 453_592_370_000,
		"mm": 1000, "cm": 10_000, "m": 1_000_000, "in": 25_400,
	}
)

func plainSpaces(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, s)
}

func value(num, unit string) *big.Rat {
	r, ok := new(big.Rat).SetString(strings.ReplaceAll(num, ",", ""))
	if !ok {
		panic("the grammar let through " + num)
	}
	return r.Mul(r, new(big.Rat).SetInt64(baseUnits[unit]))
}

// exactWeight is the weight in nanograms, or nil where ParseWeight must refuse.
func exactWeight(s string) *big.Int {
	s = plainSpaces(s)
	var r *big.Int
	if m := weightRE.FindStringSubmatch(s); m != nil {
		r = nearest(value(m[1]+m[3], m[2]+m[4]))
	} else if m := poundsRE.FindStringSubmatch(s); m != nil {
		oz := nearest(value(m[2], "oz"))
		if oz.Cmp(value("1", "lb").Num()) >= 0 {
			return nil
		}
		r = oz.Add(oz, value(m[1], "lb").Num())
	}
	if r == nil || !r.IsInt64() {
		return nil
	}
	return r
}

// nearest is the nearest whole number, half up; no written value is negative.
func nearest(r *big.Rat) *big.Int {
	r = new(big.Rat).Add(r, big.NewRat(1, 2))
	return new(big.Int).Quo(r.Num(), r.Denom())
}

// exactSize is the sides in micrometres, or nil where ParseSize must refuse.
func exactSize(s string) []int64 {
	m := sizeRE.FindStringSubmatch(plainSpaces(s))
	if m == nil {
		return nil
	}
	var sides []int64
	var sum, longest big.Int
	for _, num := range m[1:4] {
		if !plainRE.MatchString(num) && !(m[4] == "mm" && groupedRE.MatchString(num)) {
			return nil
		}
		r := nearest(value(num, m[4]))
		if !r.IsInt64() || r.Sign() == 0 {
			return nil
		}
		sides = append(sides, r.Int64())
		sum.Add(&sum, r)
		if r.Cmp(&longest) > 0 {
			longest.Set(r)
		}
	}
	// longest + 2 x the two others = 2 x sum - longest
	if lg := sum.Sub(sum.Lsh(&sum, 1), &longest); !lg.IsInt64() {
		return nil
	}
	return sides
}

// remedied checks the promise of ParseError: what it says to write can be read.
func remedied(t *testing.T, err error, parse func(string) error) {
	var pe *measure.ParseError
	if !errors.As(err, &pe) || pe.Reason() == "" || pe.Remedy() == "" {
		t.Fatalf("%#v", err)
	}
	if text, ok := strings.CutPrefix(pe.Remedy(), "write "); ok {
		for r := range strings.SplitSeq(text, " or ") {
			if err := parse(r); err != nil {
				t.Fatalf("remedy for %q: %v", pe.Input(), err)
			}
		}
	}
}

func FuzzParseWeight(f *testing.F) {
	for _, s := range []string{"780 g", "1.9 kg", "12 oz", "4 lb 6 oz", "1.25lb", "1,900 g", "1,900 kg", "1.900,5 g", "0.5 oz", "-5 g",
		"4 lb 6.5 oz", "1e3 g", ".5 kg", "9223372.036854775808 kg", "20334054 lb 15.8 oz", "5\u00a0g", "1 900 g", "0,000 mg", "4 lbs 6 oz",
		"0.0000000000000000001 kg", "9223372036854775807.5 kg"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, err := measure.ParseWeight(s)
		exact := exactWeight(s)
		if (err == nil) != (exact != nil) {
			t.Fatalf("%q: %d, %v, the oracle says %v", s, w, err, exact)
		}
		if err != nil {
			remedied(t, err, func(s string) error { _, err := measure.ParseWeight(s); return err })
			return
		}
		if int64(w) != exact.Int64() {
			t.Fatalf("%q: %d, want %d", s, w, exact)
		}
		if back, err := measure.ParseWeight(w.String()); err != nil || back != w {
			t.Fatalf("%q prints as %s: %d, %v", s, w, back, err)
		}
	})
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"30x20x10 cm", "12 x 8 x 4 in", "300×200×100 mm", "1,200x300x200 mm", "30x20,5x10 cm", "30 cm x 20 cm x 10 cm",
		"0x1x1 m", "-1x2x3 cm", "9000000000000x9000000000000x1 m", "0.0625x1x1 in", "30x20x10 inches", ".5x1x1 cm", "1Xx3 cm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		z, err := measure.ParseSize(s)
		exact := exactSize(s)
		if (err == nil) != (exact != nil) {
			t.Fatalf("%q: %v, %v, the oracle says %v", s, z, err, exact)
		}
		if err != nil {
			remedied(t, err, func(s string) error { _, err := measure.ParseSize(s); return err })
			return
		}
		if int64(z.L) != exact[0] || int64(z.W) != exact[1] || int64(z.H) != exact[2] {
			t.Fatalf("%q: %v, want %v", s, z, exact)
		}
		if back, err := measure.ParseSize(z.String()); err != nil || back != z {
			t.Fatalf("%q prints as %s: %v, %v", s, z, back, err)
		}
	})
}

func BenchmarkParseWeight(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := measure.ParseWeight("1.25 lb"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseSize(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := measure.ParseSize("30.5 x 20 x 10 cm"); err != nil {
			b.Fatal(err)
		}
	}
}

// TestPlain: what is read in the short way is what the long way reads, which reads all of it.
func TestPlain(t *testing.T) {
	plain := 0
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[0-9]{0,10}([.,][0-9]{0,8})?[ .]?(mg|g|kg|oz|lb|mm|cm|m|in|kgs|)( 3 oz)?`).Draw(t, "text")
		for _, read := range [...]struct{ plain, slow func(string) (int64, bool) }{
			{measure.PlainWeight, measure.SlowWeight}, {measure.PlainLength, measure.SlowLength}} {
			got, ok := read.plain(s)
			if !ok {
				continue
			}
			plain++
			if want, ok := read.slow(s); !ok || got != want {
				t.Fatalf("%q is %d, want %d, %v", s, got, want, ok)
			}
		}
	})
	if v, ok := measure.PlainWeight("1.9 kg"); !ok || v != 1.9e12 {
		t.Errorf("1.9 kg is %d, %v", v, ok)
	}
	if plain == 0 {
		t.Error("nothing was read in the short way")
	}
}
