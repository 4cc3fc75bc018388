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
	Pieces []landed.Pieces // those that were sold
	Cost   money.Amount    // of them, their own
}

// Count returns how many pieces were sold.
func Count(sales []landed.Sale) int64 {
	var n int64
	for i := range sales {
		n += sales[i].Count
	}
	return n
}
