package measure

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/scrub"
)

// unit is one unit as it is written, and its size in base units.
type unit struct {
	name    string
	size    int64
	grouped bool     // whether commas may group its thousands
	also    []string // other spellings, answered with a suggestion
}

// kind is a quantity that is written as a number and a unit.
type kind struct {
	name  string
	max   string // the greatest value, printed
	units []unit
	join  func(k *kind, num string, u unit, value int64, tail string) (int64, *fault) // nil: no joined units
}

// fault is a reason with the readings that may have been meant. Readings are checked before they
// are shown; if none can be read, the advice is shown instead.
type fault struct {
	reason   string
	readings []string
	advice   string
}

// around puts every reading back in the text it was taken from.
func (f *fault) around(before, after string) *fault {
	for i, r := range f.readings {
		f.readings[i] = before + r + after
	}
	return f
}

// at makes an error of the fault. Where no reading of its own can be read, those
// that meant finds are shown.
func (f *fault) at(kind, input string, reads func(string) bool, meant func(string) []string) *parseError {
	fails := func(r string) bool { return !reads(r) }
	readings := slices.DeleteFunc(f.readings, fails)
	if len(readings) == 0 {
		const most = 2
		readings = slices.Compact(slices.DeleteFunc(meant(input), fails))
		readings = readings[:min(len(readings), most)]
	}
	remedy := f.advice
	if len(readings) > 0 {
		remedy = "write " + strings.Join(readings, " or ")
	}
	if scrub.Unlettered(input) != input {
		f.reason = scrub.LettersFor
	}
	return &parseError{input: input, kind: kind, reason: f.reason, remedy: remedy}
}

func (k *kind) parse(s string) (int64, error) {
	if v, ok := k.plain(s); ok {
		return v, nil
	}
	v, f := k.read(s)
	if f == nil {
		return v, nil
	}
	return 0, f.at(k.name, s, func(r string) bool { _, f := k.read(r); return f == nil }, k.meant)
}

// plain reads a quantity as most are written, such as 1.9 kg: digits, perhaps a point with more
// behind it, perhaps a space, and a unit. It reports false of all others, right ones too.
func (k *kind) plain(s string) (int64, bool) {
	const most = 9 // digits, which leave room for every unit
	n, scale, digits, end := uint64(0), uint64(0), 0, 0
	for ; end < len(s) && digits < most; end++ {
		c := s[end]
		if c == '.' && scale == 0 && digits > 0 {
			scale = 1
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		n = 10*n + uint64(c-'0')
		digits++
		scale *= 10
	}
	name := strings.TrimPrefix(s[end:], " ")
	for i := range k.units {
		if u := &k.units[i]; u.name == name && digits > 0 && scale != 1 {
			v, ok := exact.MulDivHalf(n, uint64(u.size), max(scale, 1))
			return int64(v), ok && v <= math.MaxInt64
		}
	}
	return 0, false
}

func (k *kind) read(s string) (int64, *fault) {
	num, rest := cutNumber(strings.TrimSpace(s))
	if f := k.shape(num, rest); f != nil {
		return 0, f
	}
	name, tail := cutName(rest)
	u, f := k.unit(name)
	if f != nil {
		return 0, f.around(num+" ", spaced(tail))
	}
	v, f := k.amount(num, u)
	if f != nil {
		return 0, f.around("", " "+u.name+spaced(tail))
	}
	if tail == "" {
		return v, nil
	}
	if k.join == nil {
		return 0, &fault{reason: fmt.Sprintf("%q after the unit", tail), advice: "give one number and one unit"}
	}
	return k.join(k, num, u, v, tail)
}

func spaced(tail string) string {
	if tail == "" {
		return ""
	}
	return " " + tail
}

// shape refuses what is not a plain number with a unit behind it.
func (k *kind) shape(num, rest string) *fault {
	switch {
	case num == "" && rest == "":
		return &fault{reason: "nothing is given", advice: "give a number and a unit: " + k.names()}
	case num == "":
		return signOrWord(k.name, rest, "give a number and a unit: "+k.names())
	case rest == "":
		return &fault{reason: "no unit", advice: "add " + k.names()}
	case rest[0] >= '0' && rest[0] <= '9':
		return spaceInside(num, rest)
	case isExponent(rest):
		return &fault{reason: "an exponent is not taken", advice: "give the number in full"}
	}
	return nil
}

// spaceInside offers to close the gap where it looks like a thousands mark.
func spaceInside(num, rest string) *fault {
	f := &fault{reason: "a space inside the number", advice: "give one number and one unit"}
	group, _ := cutNumber(rest)
	if whole, _, _ := strings.Cut(group, "."); len(whole) == 3 {
		f.readings = []string{num + rest}
	}
	return f
}

func signOrWord(kind, text, advice string) *fault {
	for _, minus := range []string{"-", "\u2212"} {
		if after, ok := strings.CutPrefix(text, minus); ok {
			return &fault{reason: "a " + kind + " cannot be negative", readings: []string{strings.TrimSpace(after)}, advice: advice}
		}
	}
	if after, ok := strings.CutPrefix(text, "+"); ok {
		return &fault{reason: "a sign is not taken", readings: []string{strings.TrimSpace(after)}, advice: advice}
	}
	return &fault{reason: "no number at the start", advice: advice}
}

func isExponent(rest string) bool {
	if rest[0] != 'e' && rest[0] != 'E' {
		return false
	}
	digits := strings.TrimLeft(rest[1:], "+-")
	return digits != "" && digits[0] >= '0' && digits[0] <= '9'
}

// cutNumber splits off the leading digits, points and commas, and the space after them.
func cutNumber(s string) (num, rest string) {
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.' || s[end] == ',') {
		end++
	}
	return s[:end], strings.TrimSpace(s[end:])
}

func cutName(s string) (name, tail string) {
	end := strings.IndexFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r >= '0' && r <= '9' })
	if end < 0 {
		return s, ""
	}
	return s[:end], strings.TrimSpace(s[end:])
}

// names lists the units, for advice: "mm, cm, m or in".
func (k *kind) names() string {
	names := make([]string, len(k.units))
	for i, u := range k.units {
		names[i] = u.name
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// unit finds a unit by its exact name. A fault's readings are unit names.
func (k *kind) unit(name string) (unit, *fault) {
	for _, u := range k.units {
		if u.name == name {
			return u, nil
		}
	}
	f := &fault{reason: fmt.Sprintf("unknown unit %q", name), advice: "use " + k.names()}
	if known := k.known(strings.TrimSuffix(strings.ToLower(name), ".")); known != "" {
		f.readings = []string{known}
	}
	return unit{}, f
}

// amount is the number in base units. A fault's readings are numbers.
func (k *kind) amount(num string, u unit) (int64, *fault) {
	plain, f := ungroup(num, u)
	if f != nil {
		return 0, f
	}
	whole, frac, point := strings.Cut(plain, ".")
	if whole == "" || point && frac == "" || strings.Contains(frac, ".") {
		return 0, badNumber(num)
	}
	n, err := strconv.ParseInt(whole, 10, 64)
	product, ok := exact.Mul(n, int64(u.size))
	part := fraction(frac, uint64(u.size))
	if err != nil || !ok || part > math.MaxInt64-product {
		return 0, k.tooLarge()
	}
	return product + part, nil
}

func (k *kind) tooLarge() *fault {
	return &fault{reason: "too large", advice: "a " + k.name + " is at most " + k.max}
}

func badNumber(num string) *fault {
	f := &fault{reason: fmt.Sprintf("%q is not a number", num), advice: "give digits, and decimals after one point"}
	if digits, ok := strings.CutPrefix(num, "."); ok && digits != "" {
		f.readings = []string{"0." + digits}
	}
	if digits, ok := strings.CutSuffix(num, "."); ok && digits != "" {
		f.readings = []string{digits}
	}
	return f
}

// fraction is 0.frac times size, rounded half up. Decimals behind the eighteenth are too small to
// count: no unit is larger than ten to the fifteenth.
func fraction(frac string, size uint64) int64 {
	const most = 18
	short := frac[:min(len(frac), most)]
	if short == "" {
		return 0
	}
	n, _ := strconv.ParseUint(short, 10, 64)
	scale := uint64(1)
	for range short {
		scale *= 10
	}
	part, _ := exact.MulDivHalf(n, size, scale)
	return int64(part)
}

// ungroup applies the rule on commas of the package comment.
func ungroup(num string, u unit) (string, *fault) {
	if !strings.Contains(num, ",") {
		return num, nil
	}
	if u.grouped && isGrouped(num) {
		return strings.ReplaceAll(num, ",", ""), nil
	}
	return "", &fault{
		reason:   "a comma may be a decimal or a thousands mark",
		readings: commaReadings(num),
		advice:   "leave commas out and give decimals after a point",
	}
}

func isGrouped(num string) bool {
	whole, frac, _ := strings.Cut(num, ".")
	return !strings.Contains(frac, ",") && scrub.Thousands(strings.Split(whole, ","))
}

func commaReadings(num string) []string {
	var out []string
	before, after, _ := strings.Cut(num, ",")
	if !strings.ContainsAny(after, ".,") && (!strings.Contains(before, ".") || isGrouped(strings.ReplaceAll(before, ".", ","))) {
		out = append(out, strings.ReplaceAll(before, ".", "")+"."+after)
	}
	if isGrouped(num) {
		out = append(out, strings.ReplaceAll(num, ",", ""))
	}
	return out
}

// printDecimal prints n divided by ten to the places, exactly and without trailing zeros.
func printDecimal(n int64, places int) string {
	return strings.TrimSuffix(strings.TrimRight(string(exact.AppendDecimal(nil, n, places)), "0"), ".")
}
