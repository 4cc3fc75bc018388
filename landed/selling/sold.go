package selling

import (
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Sold is a sale of pieces of an item, with what it brought. All amounts are in home, each rounded
// by itself, half away from zero; Net is what those parts come to, as the book adds them up. Of the
// result, the steps and what belongs to a target are not given.
type Sold struct {
	Sale landed.Sale // as it was typed
	resale.Result
	Pieces   []landed.Pieces // those that were sold
	Cost     money.Amount    // of them, their own
	Returned []Returned      // what came back of it, by day
}

// Returned is what came back of a sale. Amounts are in home, each rounded by itself, half away from
// zero; what comes to what was paid, be it in parts, takes back the very amounts of the sale.
type Returned struct {
	Return *landed.Return // as it was typed
	Earnings
	Pieces []landed.Pieces // that came back, as they left
	Worth  money.Amount    // what those that came back for parts are worth, all of them; 0 of others
}

// Earnings are what sales brought and what their pieces cost, in home. Of what came back they are
// what it takes off: below zero, but for what the way back cost and what is written off.
type Earnings struct {
	resale.Takings
	Cost       money.Amount // of the pieces that left, less that of those in stock again
	WrittenOff money.Amount // what of the cost of pieces nobody carries, since they are no longer worth it
}

// Profit is what is left of the proceeds once all else is taken off; it is known to fit.
func (e *Earnings) Profit() money.Amount {
	return money.New(e.Sum().Minor()-e.Cost.Minor()-e.WrittenOff.Minor(), e.Price.Currency())
}

// Holding is pieces of an item, in one state, that are on hand.
type Holding struct {
	State landed.State    // in which they are
	Count int64           // of pieces
	Cost  money.Amount    // of all
	Each  []landed.Pieces // what each of them carries, the dearer first; they sum to Cost
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
