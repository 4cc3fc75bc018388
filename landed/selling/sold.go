package selling

import (
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Sold is a sale of pieces of an item, with what it brought. All amounts are in home, each rounded
// by itself, half away from zero; Net is the exact sum, rounded once. Of the result, the steps and
// what belongs to a target are not given.
type Sold struct {
	Sale landed.Sale
	resale.Result
	Pieces   []landed.Pieces // those that were sold
	Cost     money.Amount    // of them, their own
	Returned []Returned      // what came back of it, by day
}

// Returned is what came back of a sale. Amounts are in home, each rounded by itself, half away from
// zero; what comes to what was paid, be it in parts, takes back the very amounts of the sale.
type Returned struct {
	Return            *landed.Return
	Price, Charged    money.Amount    // refunded: of the price, and what is more, of the postage paid by the buyer
	FeesBack, VATBack money.Amount    // what is got back: fees, and the tax that is no longer due
	Postage           money.Amount    // of the way back
	Net               money.Amount    // FeesBack and VATBack less the others: below zero as a rule
	Pieces            []landed.Pieces // that came back, as they left
	Cost              money.Amount    // of them, at which they left and are in stock again
	Worth             money.Amount    // what those that came back for parts are worth, all of them; 0 of others
	WrittenOff        money.Amount    // what of Cost they are no longer worth
	Left              money.Amount    // Net and Cost less WrittenOff
}

// Count returns how many pieces were sold and did not come back.
func Count(sales []landed.Sale) int64 {
	var n int64
	for i := range sales {
		n += sales[i].Count
		for k := range sales[i].Returned {
			n -= sales[i].Returned[k].Count
		}
	}
	return n
}
