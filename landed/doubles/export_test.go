package doubles

import "lotcost/landed/money"

// Value is what is expected of one piece.
func (o *Offer) Value() money.Amount { return o.value }

// Net is what one brings at its value at the usual venue, in home.
func (o *Offer) Net() money.Amount { return o.net }
