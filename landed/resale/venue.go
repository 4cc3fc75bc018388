package resale

import (
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Venue is a place to sell at: what it charges, in its currency.
type Venue struct {
	Name     string
	Currency money.Currency
	Fees     []Fee // at most 100
	SalesTax SalesTax
	Sending  Sending
	Charged  money.Amount // postage that the buyer pays; the zero Amount: as the sale says
	Packing  money.Amount // what packing an order costs; the zero Amount: as the sale says
	Postage  Postage      // what sending costs the seller, unless the sale says otherwise
}

// Sending says whether what is sold at a venue is sent.
type Sending uint8

// How goods reach the buyer.
const (
	SendingUnsaid Sending = iota // sent, as far as anything is said of postage
	Sent
	Fetched // nothing is sent: no postage is charged or paid, and nothing is packed
)

// SalesTax is a tax that the venue adds to the price, takes from the buyer and
// hands on by itself. The seller never sees it, but fees may be taken of it.
type SalesTax struct {
	Rate      decimal.Decimal // a fraction below 1; zero is no tax
	OnPostage bool            // whether the postage that the buyer pays is taxed too
}

// Fee is one charge of a venue for one order: a percentage, a fixed amount, or
// both, within a floor and a cap.
type Fee struct {
	What    string
	Kind    FeeKind
	Of      Base
	WithTax bool         // the base includes the sales tax on it
	Method  Method       // how Tiers are applied
	Tiers   []Tier       // by the base, from 0 upwards without gaps; none is no percentage
	Fixed   money.Amount // added to the percentage; the zero Amount is none
	Floor   money.Amount // the least of percentage and Fixed together; the zero Amount is none
	Cap     money.Amount // the most of them; the zero Amount, without a currency, is none
}

// FeeKind says when a fee is charged.
type FeeKind uint8

// The kinds of fees.
const (
	SellingFee   FeeKind = iota // once it is sold
	PaymentFee                  // once it is paid for
	ListingFee                  // at each listing, sold or not
	PromotionFee                // once it is sold, if the sale is promoted
)

// Base says what a fee is a percentage of.
type Base uint8

// The bases of fees.
const (
	OfPrice           Base = iota
	OfPriceAndPostage      // and the postage that the buyer pays
)

// Method says how a fee's bands are applied.
type Method uint8

// The methods. With Whole, a step up in the rate makes a gap: just above the
// edge less is left than at it.
const (
	Marginal Method = iota // each band's rate on the part of the base within it
	Whole                  // the rate of the band that the base falls in, on all of it
)

// Tier is a band of a fee: Rate for what is above From, up to and including
// UpTo. The first band also covers a base of zero.
type Tier struct {
	From money.Amount    // where the band before ends; the zero Amount is 0
	UpTo money.Amount    // the zero Amount, without a currency, is no end
	Rate decimal.Decimal // a fraction from 0 to below 1
}

// Postage is what it costs to send an order, by weight, fixed, or both added
// up. The zero value is nothing.
type Postage struct {
	Fixed money.Amount
	Steps []PostageStep // by rising weight
}

// PostageStep is the cost of sending anything heavier than the step before, up
// to and including UpTo.
type PostageStep struct {
	UpTo measure.Weight
	Cost money.Amount
}

func (p Postage) empty() bool { return p.Fixed == money.Amount{} && len(p.Steps) == 0 }
