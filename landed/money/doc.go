// Package money holds amounts of money exactly: a whole number of minor units
// of an ISO 4217 currency, and the one apportionment that everything uses.
//
// Most callers need two calls: [Parse], which reads an amount as people write
// it, and [Apportion], which shares a total over weights to the last minor
// unit.
//
// # Representation and range
//
// An [Amount] is an int64 of minor units (cents, yen, fils) and a [Currency];
// it is comparable with == and its zero value is no money in no currency. The
// range is that of int64: 92 233 720 368 547 758.07 in a currency of two
// digits. Whatever would leave it is an [ErrOverflow], never a wrap.
//
// # Rounding
//
// Only [Round] and [Mode.Round] round. They take an exact ratio of two
// decimals in major units and round once, half away from zero unless asked
// otherwise. Nothing else in this package loses a digit.
//
// # Errors
//
// [ParseError] and [MismatchError] tell the offending
// value; [ErrOverflow] and [ErrNoWeight] are sentinels.
package money
