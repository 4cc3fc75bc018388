package resale

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Scheme says how a seller accounts for value added tax.
type Scheme uint8

// The schemes.
const (
	NotRegistered  Scheme = iota // no tax on the sale
	OrdinaryScheme               // tax within price and postage: x r/(100+r)
	MarginScheme                 // tax within the margin only, none on a loss
)

// VAT is the value added tax on a sale. The zero value is a seller who is not registered.
type VAT struct {
	Scheme Scheme          // by which the seller accounts for it
	Rate   decimal.Decimal // a fraction from 0 to 1
	// Bought is, for [MarginScheme], the purchase price of all that is sold: of what the seller
	// imported its value for import tax plus that tax (Directive 2006/112/EC, article 317).
	Bought   money.Amount
	Imported bool // whether the seller imported the goods
	// Collectible is set for works of art, antiques over 100 years old and collectors' pieces,
	// which the margin scheme takes even where the seller imported them.
	Collectible bool
}

// Check returns a [*FieldError] for a rate that is negative, above 1 or of more than six decimals,
// with the key "rate", and for goods that the margin scheme does not cover: ordinary second-hand
// goods which the seller imported (Directive 2006/112/EC, articles 314 and 317). It says nothing of
// the scheme's other conditions, nor of Bought.
func (v VAT) Check() error {
	c := checker{}
	c.vatRate(v)
	c.eligible(v)
	return c.joined()
}

func (c *checker) vat(v VAT) (f vatFigures) {
	if v.Scheme == NotRegistered {
		return f
	}
	f.num = c.vatRate(v)
	f.den = f.num + million
	if v.Scheme == OrdinaryScheme {
		return f
	}
	c.eligible(v)
	if v.Bought == (money.Amount{}) {
		c.wrong("", "purchase price", "", "is missing", "the margin scheme needs what was paid for the goods")
	}
	f.bought = c.amount("", "purchase price", v.Bought)
	return f
}

func (c *checker) vatRate(v VAT) int64 {
	r := c.rate("rate", "value added tax", v.Rate)
	if r > million {
		c.wrong("rate", "value added tax", money.FormatPercent(v.Rate), "is more than the price without it", "write a rate of at most 100%")
		return 0
	}
	return r
}

func (c *checker) eligible(v VAT) {
	if v.Scheme == MarginScheme && v.Imported && !v.Collectible {
		c.fail("", "", `the margin scheme does not take "ordinary second-hand goods" that the seller imported: it wants goods bought within the `+
			"tax area from somebody who could not deduct the tax, and of imported goods only works of art, antiques over 100 years old "+
			"and collectors' pieces (Directive 2006/112/EC, articles 314 and 317): use the ordinary scheme, say which of these they are, or imported: no where they were bought within the tax area")
	}
}

// vatFigures is the tax on a sale: of what the buyer pays less bought, never below zero, num parts
// of den (Directive 2006/112/EC, articles 312 to 315).
type vatFigures struct {
	num, den int64
	bought   int64
}

func (v *vatFigures) tax(paid int64) int64 {
	if paid <= v.bought || v.num == 0 {
		return 0
	}
	return ((paid-v.bought)*v.num + v.den/2) / v.den // den odd: no half can occur
}
