// Package selling says what comes of selling the pieces of a haul: what a sale at
// a venue leaves ([Seller.Sale]), and what one has really brought
// ([Seller.Proceeds]).
//
// Amounts of a [Plan] and of sales may be in any currency for which the haul has a
// rate. They are values: converted without the card's spread, each rounded once,
// half away from zero.
package selling
