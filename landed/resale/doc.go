// Package resale finds the exact lowest price at which nothing is lost when a piece is sold, for
// venues whose fees come in bands, with floors and caps.
//
// Two calls: [Desk.Price] finds the smallest price that meets a target, [Sale.At] works one price
// out line by line.
//
// # Units and currency
//
// All amounts of a sale are in the currency of its venue. A price is a whole number of minor units
// from 0 to 10^12, as the buyer sees it: without postage and without the sales tax that the venue
// adds and keeps, but with the value added tax of a registered seller. A rate is an exact fraction,
// 0.1325 for 13.25%, of at most six decimals.
//
// # Rounding
//
// Each fee, the sales tax and the value added tax are rounded once, half away from zero, to the
// minor unit. A target is met exactly, never by rounding: a margin of 25% is met when what is left
// is a quarter of the price or more.
//
// # What is taken for granted
//
// A fee is what it burdens the seller with: where tax comes on top of fees and cannot be recovered,
// it belongs into the rates. The cost of a sale is the landed cost, without the import tax that a
// registered seller recovers.
//
// # Gaps
//
// A higher price can leave less: where a venue's rate for the whole price steps up, and, by a unit
// or two, wherever several fees round up together. [Least.Gaps] lists every range of prices above
// the answer where the target is missed again.
//
// # Errors
//
// Everything that is wrong with a venue or a sale is reported at once, joined: a [FieldError] for
// each figure. That an order is too heavy, and that no price exists, are errors of their own.
package resale
