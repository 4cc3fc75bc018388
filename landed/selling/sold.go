package selling

import (
	"lotcost/landed"
	"lotcost/landed/money"
)

// Proceeds is what a sale brought, in home. The parts are rounded each by
// itself, half away from zero; Net is the exact sum, rounded once.
type Proceeds struct {
	Price, Charged          money.Amount // what the buyer paid for the goods, and for postage
	Fees, ValueTax, Postage money.Amount // what was paid, above zero; Postage with packing
	Net                     money.Amount // Price and Charged less Fees, ValueTax and Postage
}

// Sold is a sale of pieces of an item. Amounts are in home.
type Sold struct {
	Sale landed.Sale
	Proceeds
	Pieces []landed.Pieces // those that were sold
	Cost   money.Amount    // of them, their own
	Left   money.Amount    // Net less Cost
}

// Count returns how many pieces were sold.
func Count(sales []landed.Sale) int64 {
	var n int64
	for i := range sales {
		n += sales[i].Count
	}
	return n
}
