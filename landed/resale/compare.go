package resale

import (
	"fmt"

	"lotcost/landed/money"
)

// Priced is a sale at a price, as often as alike orders are sold.
type Priced struct {
	Sale  *Sale
	Price money.Amount
	Times int64 // 0 is once
}

// Sum is what several orders come to together.
type Sum struct {
	Orders, Pieces  int64
	Net, Cost, Left money.Amount // as in [Outcome]
}

// Comparison sets two ways of selling the same pieces side by side.
type Comparison struct {
	A, B Sum
	Gain money.Amount // how much more A leaves than B
}

// Compare works out which of two ways of selling the same pieces leaves more: as
// a pair or set in one postage, or singly.
//
// It returns the errors of [Sale.At], a [*FieldError] where the two ways do not
// sell the same number of pieces or a number is negative, a
// [*money.MismatchError] for venues of different currencies, or
// [money.ErrOverflow].
func Compare(a, b []Priced) (Comparison, error) {
	var c Comparison
	var err error
	if c.A, err = Total(a); err != nil {
		return Comparison{}, err
	}
	if c.B, err = Total(b); err != nil {
		return Comparison{}, err
	}
	if err = samePieces(c.A.Pieces, c.B.Pieces); err != nil {
		return Comparison{}, err
	}
	c.Gain, err = c.A.Left.Sub(c.B.Left)
	return c, err
}

func samePieces(a, b int64) error {
	if a == b {
		return nil
	}
	return &FieldError{Field: "pieces", Got: fmt.Sprint(a),
		Problem: fmt.Sprintf("are set against %d", b), Remedy: "compare two ways of selling the same pieces"}
}

// Total adds up orders. The errors are those of [Compare].
func Total(orders []Priced) (Sum, error) {
	var sum Sum
	for i, p := range orders {
		o, err := p.outcome()
		if err != nil {
			return Sum{}, err
		}
		if i == 0 {
			zero := money.New(0, o.Price.Currency())
			sum = Sum{Net: zero, Cost: zero, Left: zero}
		}
		times := max(p.Times, 1)
		sum.Orders += times
		sum.Pieces += times * max(p.Sale.Pieces, 1)
		for _, part := range []struct {
			sum *money.Amount
			add money.Amount
		}{{&sum.Net, o.Net}, {&sum.Cost, o.Cost}, {&sum.Left, o.Left}} {
			if err := addTimes(part.sum, part.add, times); err != nil {
				return Sum{}, err
			}
		}
	}
	return sum, nil
}

func (p Priced) outcome() (Outcome, error) {
	if p.Times < 0 || p.Times > mostOrders {
		return Outcome{}, &FieldError{Field: "orders", Got: fmt.Sprint(p.Times),
			Problem: "is out of range", Remedy: fmt.Sprintf("write a number from 1 to %d", mostOrders)}
	}
	if p.Sale == nil {
		return Outcome{}, noSale()
	}
	return p.Sale.At(p.Price)
}

func noSale() error {
	return &FieldError{Field: "order", Problem: "is no sale", Remedy: "say what is sold"}
}

func addTimes(sum *money.Amount, a money.Amount, times int64) error {
	all, err := a.Times(times)
	if err != nil {
		return err
	}
	*sum, err = sum.Add(all)
	return err
}

// AsGoodAs finds the smallest price at which a set, sold in one order, leaves
// at least as much as its pieces do when sold singly; the set's own target is
// disregarded. The errors are those of [Price] and [Compare].
func AsGoodAs(set *Sale, singly []Priced) (Answer, error) {
	sum, err := Total(singly)
	if err == nil && set == nil {
		err = noSale()
	}
	if err != nil {
		return Answer{}, err
	}
	if err := samePieces(max(set.Pieces, 1), sum.Pieces); err != nil {
		return Answer{}, err
	}
	sale := *set
	sale.Target = AtLeast(sum.Left)
	return Price(&sale)
}
