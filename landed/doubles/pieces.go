package doubles

import (
	"cmp"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/selling"
)

// Sold is a sale of pieces of an item. Amounts are in home.
type Sold struct {
	Item
	selling.Sold
}

// gather parts the pieces of each item in sold ones, kept ones and those to be
// sold.
func (w *worker) gather() error {
	report, costs := &collect.Report{}, w.Statement.Items
	w.Kept.Sold = money.New(0, w.home)
	for _, item := range w.haul.Items() {
		report.AddErr(item.At, "item "+item.ID, w.part(&costs[0], item))
		costs = costs[1:]
	}
	return report.Err()
}

func (w *worker) part(c *landed.ItemCost, item *landed.Item) error {
	pieces, err := w.sold(c, item)
	if err != nil {
		return err
	}
	groups, made := map[landed.State][]landed.Pieces{}, map[string][]landed.Pieces{}
	for _, g := range pieces {
		groups[g.State] = append(groups[g.State], g)
		made[g.What] = append(made[g.What], g)
	}
	keep := min(item.Keep, sales.Pieces(groups[landed.Sound]))
	sell, kept := sales.Take(groups[landed.Sound], sales.Pieces(groups[landed.Sound])-keep) // the dearer ones are kept
	if keep > 0 {
		k := KeptPieces{Item: Item{c, c.What}, Count: keep, Own: sales.Cost(kept, w.home)}
		w.Kept.Items = append(w.Kept.Items, k)
	}
	for _, run := range w.haul.Values(item, sales.Pieces(sell)) { // sold at once, some may bring less
		var some []landed.Pieces
		some, sell = sales.Take(sell, run.Count)
		w.offer(c, item, landed.Sound, some, run.Each)
	}
	w.offer(c, item, landed.ForParts, groups[landed.ForParts], item.PartsValue)
	for _, y := range c.Found.Yields {
		w.offer(c, sales.Piece(item, y.What), landed.Made, made[y.What], y.Value)
	}
	return nil
}

// sold takes the pieces that were sold out of those of an item, and returns
// those that are left.
func (w *worker) sold(c *landed.ItemCost, item *landed.Item) ([]landed.Pieces, error) {
	var sums tally.Tally
	sold, left, err := w.seller.Sold(item, c)
	for _, s := range sold {
		w.Sold = append(w.Sold, Sold{Item{c, cmp.Or(s.Sale.Made, c.What)}, s})
		w.Kept.Sold = sums.Add(w.Kept.Sold, s.Net)
		for k := range s.Returned {
			w.Kept.Sold = sums.Add(w.Kept.Sold, s.Returned[k].Sum())
		}
	}
	return left, cmp.Or(err, sums.Err)
}

func (w *worker) offer(c *landed.ItemCost, item *landed.Item, state landed.State, each []landed.Pieces, value money.Amount) {
	if len(each) == 0 {
		return
	}
	o := Offer{Item: Item{c, item.What}, Holding: sales.Holding(each, w.home), value: value, item: item, pieces: c.Found.Sound}
	o.net = money.New(0, w.home)
	if o.bought = money.New(0, w.home); state != landed.Made { // what a part was bought for nobody can say
		o.bought = sales.Bought(w.plan, c)
	}
	if state != landed.Sound && !w.CarryAll && w.carriesValue(c, &o) {
		o.carries = value
	}
	w.Offers = append(w.Offers, o)
}

// carriesValue reports whether the pieces of an item in the state of an offer
// carry what they should bring, and not less.
func (w *worker) carriesValue(c *landed.ItemCost, o *Offer) bool {
	if o.value.Currency() == 0 {
		return false
	}
	exact, err := w.rates.Exact(o.value, w.home)
	if err != nil {
		return false
	}
	if slices.ContainsFunc(c.Sold, cameForParts) { // and may carry less
		return false
	}
	alike := slices.DeleteFunc(c.Each(), func(g landed.Pieces) bool { return g.State != o.State || g.What != o.Each[0].What })
	exact.Mul(exact, new(big.Rat).SetInt64(sales.Pieces(alike)))
	worth, err := exchange.Round(exact, money.HalfAway, w.home)
	return err == nil && worth == sales.Cost(alike, w.home)
}

func cameForParts(s landed.Sale) bool {
	return slices.ContainsFunc(s.Returned, func(r landed.Return) bool { return r.As == landed.ForParts })
}
