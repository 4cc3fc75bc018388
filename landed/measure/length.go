package measure

import "math"

// Length is a length in whole micrometres.
type Length int64

// The inch is that of the international agreement of 1959: 25.4 mm exactly (NIST Handbook 44,
// appendix C; from memory).
const (
	millimetre Length = 1000
	Centimetre Length = 10_000
	inch       Length = 25_400
	metre      Length = 1_000_000
)

const maxLength Length = math.MaxInt64

// lengths is how lengths are written; nothing changes it.
var lengths = kind{
	name: "length", max: maxLength.String(),
	units: []unit{
		{name: "mm", size: int64(millimetre), grouped: true, also: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
		{name: "cm", size: int64(Centimetre), also: []string{"cms", "centimetre", "centimetres", "centimeter", "centimeters"}},
		{name: "m", size: int64(metre), also: []string{"metre", "metres", "meter", "meters"}},
		{name: "in", size: int64(inch), also: []string{"ins", "inch", "inches", `"`, "\u2033", "\u201d"}},
	},
}

// ParseLength reads a length such as "300 mm", "30.5 cm", "1.2 m" or "12in", exactly. Zero is a
// length. The package comment has the rules, the one on commas among them. The error
// quotes the text and says what to write.
func ParseLength(s string) (Length, error) {
	n, err := lengths.parse(s)
	return Length(n), err
}

// String prints the length exactly: in cm below 1 m, else in m, without trailing zeros.
// [ParseLength] reads it back to the same length, unless it is negative.
func (l Length) String() string {
	if l > -metre && l < metre {
		return printDecimal(int64(l), 4) + " cm"
	}
	return printDecimal(int64(l), 6) + " m"
}
