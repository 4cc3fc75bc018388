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

// Goods says what is sold, as far as the margin scheme asks.
type Goods uint8

// The goods that the margin scheme tells apart.
const (
	SecondHand      Goods = iota
	Art                   // works of art
	Antique               // over 100 years old
	CollectorsPiece       // collectors' pieces
)

// String names the goods in plain words.
func (g Goods) String() string {
	switch g {
	case Art:
		return "works of art"
	case Antique:
		return "antiques over 100 years old"
	case CollectorsPiece:
		return "collectors' pieces"
	}
	return "ordinary second-hand goods"
}

// VAT is the value added tax on a sale. The zero value is a seller who is not
// registered.
type VAT struct {
	Scheme   Scheme
	Rate     decimal.Decimal // a fraction from 0 to 1
	Bought   money.Amount    // for MarginScheme: the purchase price of all that is sold; see ImportedPurchase
	Imported bool            // whether the seller imported the goods
	Goods    Goods
}

// Eligible returns a [*NotEligibleError] if the margin scheme is asked for and
// does not cover the goods: ordinary second-hand goods which the seller
// imported do not qualify, while imported works of art, antiques and
// collectors' pieces may (Directive 2006/112/EC, articles 314 and 317). It says
// nothing of the scheme's other conditions.
func (v VAT) Eligible() error {
	if e := v.eligible(""); e != nil {
		return e
	}
	return nil
}

func (v VAT) eligible(venue string) *NotEligibleError {
	if v.Scheme == MarginScheme && v.Imported && v.Goods == SecondHand {
		return &NotEligibleError{Venue: venue, Goods: v.Goods}
	}
	return nil
}

// ImportedPurchase is the purchase price, for the margin scheme, of works of
// art, antiques and collectors' pieces which the seller imported: their value
// for import tax plus that tax (Directive 2006/112/EC, article 317). The errors
// are those of [money.Amount.Add].
func ImportedPurchase(value, tax money.Amount) (money.Amount, error) { return value.Add(tax) }

// MarginTax is the tax within the margin between a purchase and a selling
// price: margin x r/(100+r), rounded once, half away from zero, and zero on a
// loss (Directive 2006/112/EC, articles 312 to 315). The rate is a fraction, 0.2
// for 20%. It also serves the totals of a period under global accounting.
//
// It returns a [*money.MismatchError], [money.ErrOverflow], or a [*FieldError]
// for a rate that is negative, above 1 or of more than six decimals.
func MarginTax(sold, bought money.Amount, rate decimal.Decimal) (money.Amount, error) {
	margin, err := sold.Sub(bought)
	if err != nil {
		return money.Amount{}, err
	}
	c := checker{currency: sold.Currency()}
	r := c.vatRate(rate)
	switch {
	case len(c.errs) > 0:
		return money.Amount{}, c.errs[0]
	case margin.Sign() < 0:
		margin = money.New(0, sold.Currency())
	}
	return money.Round(margin.Decimal().Mul(decimal.New(r, 0)), decimal.New(r+million, 0), sold.Currency())
}

// vatFigures is the tax on a sale: of what the buyer pays less bought, never
// below zero, num parts of den.
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
