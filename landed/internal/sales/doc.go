// Package sales works out what comes of selling the pieces of a haul: what a sale at a venue leaves
// ([Seller.Sale]), and what one has really brought ([Seller.Proceeds]).
package sales
