package resale

import (
	"cmp"
	"fmt"
	"slices"

	"lotcost/landed/money"
)

// Offer is a number of alike orders that can be sold.
type Offer struct {
	Name   string
	Orders int64        // how many there are; 0 is 1
	Pieces int64        // in each order; 0 is 1
	Net    money.Amount // what one order brings, as [Outcome.Net]
}

// Payback says how much must be sold before a haul has paid for itself.
type Payback struct {
	Steps  []PaybackStep // the offers sold, best first
	Orders int64
	Pieces int64
	Sum    money.Amount // what the orders bring
	Over   money.Amount // Sum less the cost; negative if everything together does not pay
	Paid   bool
}

// PaybackStep is how many orders of one offer are sold.
type PaybackStep struct {
	Offer  int // index into the offers
	Orders int64
	Pieces int64
	Sum    money.Amount // brought by all steps up to this one
}

// BestOrder returns the indices of the offers by falling net, the earlier first
// where nets are equal.
func BestOrder(offers []Offer) []int {
	order := make([]int, len(offers))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(offers[b].Net.Minor(), offers[a].Net.Minor())
	})
	return order
}

// PayBack sells the offers in their [BestOrder], order by order, until they
// have brought the cost of the haul. Where that order is of single pieces it is
// the smallest number of pieces that can do it. Offers that bring nothing are
// never sold. A cost of zero or less is paid for by no sale at all.
//
// It returns a [*money.MismatchError] for an offer in another currency than the
// cost, a [*FieldError] for a number that is negative or above a million, or [money.ErrOverflow].
func PayBack(cost money.Amount, offers []Offer) (Payback, error) {
	zero := money.New(0, cost.Currency())
	p := Payback{Sum: zero, Paid: cost.Sign() <= 0}
	for i, o := range offers {
		if err := o.check(i); err != nil {
			return Payback{}, err
		}
		if _, err := zero.Add(o.Net); err != nil {
			return Payback{}, err
		}
	}
	for _, i := range BestOrder(offers) {
		if p.Paid || offers[i].Net.Sign() <= 0 {
			break
		}
		if err := p.sell(i, offers[i], cost); err != nil {
			return Payback{}, err
		}
	}
	var err error
	p.Over, err = p.Sum.Sub(cost)
	return p, err
}

func (o Offer) check(i int) error {
	name := o.Name
	if name == "" {
		name = fmt.Sprint(i + 1)
	}
	for _, n := range []struct {
		what string
		n    int64
	}{{"orders", o.Orders}, {"pieces", o.Pieces}} {
		if n.n < 0 || n.n > mostOrders {
			return &FieldError{Field: fmt.Sprintf("offer %q, %s", name, n.what), Got: fmt.Sprint(n.n),
				Problem: "is out of range", Remedy: fmt.Sprintf("write a number from 1 to %d", mostOrders)}
		}
	}
	return nil
}

// sell adds as many orders of an offer as are needed and there.
func (p *Payback) sell(i int, o Offer, cost money.Amount) error {
	open, err := cost.Sub(p.Sum)
	if err != nil {
		return err
	}
	needed := (open.Minor()-1)/o.Net.Minor() + 1 // both above zero: rounds up
	orders := min(needed, max(o.Orders, 1))
	brought, err := o.Net.Times(orders)
	if err != nil {
		return err
	}
	if p.Sum, err = p.Sum.Add(brought); err != nil {
		return err
	}
	pieces := orders * max(o.Pieces, 1)
	p.Orders += orders
	p.Pieces += pieces
	p.Paid = orders == needed
	p.Steps = append(p.Steps, PaybackStep{i, orders, pieces, p.Sum})
	return nil
}
