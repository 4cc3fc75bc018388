// Package measure holds weights, lengths and parcel sizes exactly, and reads and prints them.
//
// Most users need [ParseWeight], [ParseLength] and [ParseSize].
//
// # Representation and range
//
// A [Weight] is a whole number of nanograms and a [Length] a whole number of micrometres, each in
// an int64. One ounce (28,349,523,125 ng) and one inch (25,400 um) are whole by definition, so
// customary and metric figures add up without rounding. The most a weight can be is
// 9223372.036854775807 kg, the most a length can be is 9223372036854.775807 m. The zero values are
// no weight and no length. Values compare with == and <.
//
// # What is read
//
// A number, then a unit, with or without a space: mg, g, kg, oz, lb for weights; mm, cm, m, in for
// lengths. Pounds and ounces may be joined, as in "4 lb 6 oz". A number is digits, and if need be a
// point and more digits. Signs, exponents and bare numbers are refused. A value between two
// nanograms or micrometres, such as half an ounce, is read as the nearer, half up: no scale sees
// the difference.
//
// # Commas
//
// A comma is taken only as a thousands mark, only in complete groups of three that do not begin
// with a zero, and only in mg, g and mm, where nobody writes thousandths: "1,900 g" is 1900 g. In
// any other unit "1,900 kg" may be 1.9 kg or 1900 kg, so every comma there is refused, and the
// error gives the readings to choose from. A comma as a decimal mark is always refused.
//
// # Rounding
//
// Reading rounds to the base unit, half up. Nothing else rounds.
//
// # Errors
//
// The error of text that cannot be read quotes it and says what to write. A result that does not
// fit an int64 is an error. Nothing wraps around and nothing panics.
package measure
