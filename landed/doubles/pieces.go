package doubles

import (
	"fmt"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/exchange"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Sold is a sale of pieces of an item. Amounts are in home.
type Sold struct {
	Item          int // index into the statement's items
	ID, What, Lot string
	Sale          landed.Sale
	selling.Proceeds
	Cost money.Amount // of the pieces that were sold, their own
	Left money.Amount // Net less Cost
}

// gather parts the pieces of each item in sold ones, kept ones and those to be
// sold.
func (w *worker) gather() error {
	report, i := &source.Report{}, 0
	w.Kept.Sold = money.New(0, w.Home)
	for l := range w.haul.Lots {
		for n := range w.haul.Lots[l].Items {
			item := &w.haul.Lots[l].Items[n]
			report.AddErr(item.At, "item "+item.ID, w.part(i, item))
			i++
		}
	}
	return report.Err()
}

func (w *worker) part(i int, item *landed.Item) error {
	c := &w.st.Items[i]
	pieces, err := w.sold(i, item)
	if err != nil {
		return err
	}
	groups, made := map[landed.State][]landed.Pieces{}, map[string][]landed.Pieces{}
	for _, g := range pieces {
		groups[g.State] = append(groups[g.State], g)
		made[g.What] = append(made[g.What], g)
	}
	if item.Found == nil && len(item.Chances) > 1 {
		w.AtBest = append(w.AtBest, c.ID)
	}
	keep := min(item.Keep, count(groups[landed.Sound]))
	sell, kept := selling.Take(groups[landed.Sound], count(groups[landed.Sound])-keep) // the dearer ones are kept
	if keep > 0 {
		k := KeptPieces{Item: i, ID: c.ID, What: c.What, Lot: c.Lot.ID, Count: keep, Own: sum(kept, w.Home), Worth: item.Worth}
		w.Kept.Items = append(w.Kept.Items, k)
	}
	w.offer(i, item, landed.Sound, sell, w.haul.ValueOf(item))
	w.offer(i, item, landed.ForParts, groups[landed.ForParts], item.PartsValue)
	for _, y := range c.Found.Yields {
		piece := landed.Item{ID: item.ID, What: y.What, Weight: y.Weight, Weighed: y.Weighed, At: item.At}
		w.offer(i, &piece, landed.Made, made[y.What], y.Value)
	}
	return nil
}

// sold takes the pieces that were sold out of those of an item, and returns
// those that are left.
func (w *worker) sold(i int, item *landed.Item) ([]landed.Pieces, error) {
	c := &w.st.Items[i]
	left := c.Each()
	for _, k := range w.seller.Order(item.Sold) {
		s := Sold{Item: i, ID: c.ID, What: c.What, Lot: c.Lot.ID, Sale: item.Sold[k]}
		var pieces []landed.Pieces
		if pieces, left = selling.Take(left, s.Sale.Count); count(pieces) < s.Sale.Count {
			return nil, source.Faults{{At: s.Sale.At, Field: "item " + item.ID + ": sold", What: fmt.Sprintf("more were sold (%d) than are sound or for parts (%d)", selling.Count(item.Sold), c.Found.Sound+c.Found.Parts),
				Remedy: "correct what was sold, or what was found"}}
		}
		s.Cost = sum(pieces, w.Home)
		err := w.proceeds(&s, item, w.bought(c))
		if err != nil {
			report := &source.Report{}
			at, inSelling := w.placeOf(err)
			field := "selling"
			if !inSelling {
				at, field = s.Sale.At, "item "+item.ID+": sold"
			}
			report.AddErr(at, field, err)
			return nil, report.Err()
		}
		w.Sold = append(w.Sold, s)
	}
	return left, nil
}

// proceeds adds up what a sale brought.
func (w *worker) proceeds(s *Sold, item *landed.Item, bought money.Amount) error {
	var err error
	if s.Proceeds, err = w.seller.Proceeds(item, &s.Sale, bought); err != nil {
		return err
	}
	if s.Left, err = s.Net.Sub(s.Cost); err != nil {
		return err
	}
	w.Kept.Sold, err = w.Kept.Sold.Add(s.Net)
	return err
}

func (w *worker) offer(i int, item *landed.Item, state landed.State, each []landed.Pieces, value money.Amount) {
	if len(each) == 0 {
		return
	}
	c := &w.st.Items[i]
	o := Offer{Item: i, ID: c.ID, What: item.What, Lot: c.Lot.ID, State: state, Count: count(each), Cost: sum(each, w.Home), Each: each, Value: value, item: item, pieces: c.Found.Sound}
	o.Net = money.New(0, w.Home)
	if o.bought = money.New(0, w.Home); state != landed.Made { // what a part was bought for nobody can say
		o.bought = w.bought(c)
	}
	if state != landed.Sound && w.Carry == Own && w.carriesValue(c, &o) {
		o.carries = value
	}
	w.Offers = append(w.Offers, o)
}

// carriesValue reports whether the pieces of an item in the state of an offer
// carry what they should bring, and not less.
func (w *worker) carriesValue(c *landed.ItemCost, o *Offer) bool {
	if o.Value.Currency() == 0 {
		return false
	}
	exact, err := w.rates.Exact(o.Value, w.Home)
	if err != nil {
		return false
	}
	alike := slices.DeleteFunc(c.Each(), func(g landed.Pieces) bool { return g.State != o.State || g.What != o.Each[0].What })
	exact.Mul(exact, new(big.Rat).SetInt64(count(alike)))
	worth, err := exchange.Round(exact, money.HalfAway, w.Home)
	return err == nil && worth == sum(alike, w.Home)
}

// bought is the purchase price of one piece for the margin scheme: its part of
// price and premium or, of imported goods, of the value for import tax and that
// tax (Directive 2006/112/EC, articles 312 and 317), taken as all but fees and
// repairs. Odd units make it lower, which never makes the tax too low.
func (w *worker) bought(c *landed.ItemCost) money.Amount {
	kinds := []landed.Kind{landed.Price, landed.Premium}
	if w.plan.VAT.Imported {
		kinds = append(kinds, landed.Freight, landed.Insurance, landed.Duty, landed.Tax)
	}
	var paid int64
	for _, k := range kinds {
		paid += c.Share(k).Minor()
	}
	parts, err := money.Equal(paid, c.Count+c.Found.Extra)
	if err != nil || paid < 0 {
		return money.New(0, w.Home)
	}
	return money.New(min(parts.Large, parts.Small), w.Home)
}

// count adds up pieces.
func count(groups []landed.Pieces) int64 {
	var n int64
	for _, g := range groups {
		n += g.Count
	}
	return n
}

// sum adds up parts of an item's cost.
func sum(groups []landed.Pieces, home money.Currency) money.Amount {
	var minor int64
	for _, g := range groups {
		minor += g.Count * g.Each.Minor()
	}
	return money.New(minor, home)
}

// divide divides what some pieces carry equally.
func divide(cost money.Amount, state landed.State, n int64) []landed.Pieces {
	parts, err := money.Equal(cost.Minor(), n)
	if err != nil {
		return nil
	}
	groups := []landed.Pieces{{State: state, Count: parts.Larger, Each: money.New(parts.Large, cost.Currency())}}
	if parts.Others > 0 {
		groups = append(groups, landed.Pieces{State: state, Count: parts.Others, Each: money.New(parts.Small, cost.Currency())})
	}
	return groups
}
