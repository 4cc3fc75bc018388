package resale

import (
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Venue is a place to sell at: what it charges, in its currency.
type Venue struct {
	Name     string         // unlike that of any other
	Currency money.Currency // of prices and fees
	Fees     []Fee          // at most 100
	// SalesTax is a tax, a fraction below 1, that the venue adds to the price, takes from the buyer
	// and hands on by itself; zero is none. The seller never sees it, but fees may be taken of it.
	SalesTax     decimal.Decimal
	TaxOnPostage bool    // whether the postage that the buyer pays is taxed too
	Sending      Sending // whether pieces are sent from there
	Dispatch             // as it is here, whatever the sale says
}

// Dispatch is what it takes to get an order to its buyer. The zero Amount is nothing said.
type Dispatch struct {
	Charged money.Amount // postage that the buyer pays on top of the price
	Packing money.Amount // what packing costs the seller
	Postage Postage      // what sending costs the seller
}

// Sending says whether what is sold at a venue is sent.
type Sending uint8

// How goods reach the buyer.
const (
	SendingUnsaid Sending = iota // sent, as far as anything is said of postage
	Sent
	Fetched // nothing is sent: no postage is charged or paid, and nothing is packed
)

// Fee is one charge of a venue for one order: a percentage, a fixed amount, or both, within a floor
// and a cap.
type Fee struct {
	What        string  // its name, as in "commission"
	Kind        FeeKind // which of the seller's costs it is
	WithPostage bool    // it is a percentage of price and postage paid by the buyer, not of the price alone
	WithTax     bool    // and of the sales tax on that
	// Whole has the rate of the band that the base falls in taken of all of it; else each band's
	// rate is taken of the part within it. Then a step up in the rate makes a gap: just above the
	// edge less is left than at it.
	Whole bool
	Bands []Band       // by the base, from 0 upwards without gaps; none is no percentage
	Fixed money.Amount // added to the percentage; the zero Amount is none
	Floor money.Amount // the least of percentage and Fixed together; the zero Amount is none
	Cap   money.Amount // the most of them; the zero Amount, without a currency, is none
}

// FeeKind says when a fee is charged.
type FeeKind uint8

// The kinds of fees.
const (
	SellingFee     FeeKind = iota // once it is sold, or paid for
	ListingFee                    // at each listing, sold or not
	AdvertisingFee                // once it is sold, if the sale is advertised
)

// Band is a band of a fee: Rate for what is above From, up to and including UpTo. The first band
// also covers a base of zero.
type Band struct {
	From money.Amount    // where the band before ends; the zero Amount is 0
	UpTo money.Amount    // the zero Amount, without a currency, is no end
	Rate decimal.Decimal // a fraction from 0 to below 1
}

// Postage is what it costs to send an order, by weight, fixed, or both added up. The zero value is
// nothing.
type Postage struct {
	Fixed money.Amount                 // where it does not go by weight; no currency where it does
	Steps []money.Step[measure.Weight] // by rising weight
}
