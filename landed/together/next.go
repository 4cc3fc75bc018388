package together

import (
	"context"
	"fmt"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/came"
	"lotcost/landed/money"
)

// Addition is what one more lot adds to a haul: what the best way with it has more than the best
// way without it, the lot's own price aside.
type Addition struct {
	Without, With *Report
	Costs
	Price money.Amount // of the lot, in home
}

// Next tells what one more lot really adds: the total of the best way with it,
// less that of the best way without it, less its own price. It may be below
// zero. The errors are those of [Plan].
//
// Of the lot count Packed, Size and Price; one without a currency does not count at the border. Its
// seller and its customs class are those of the haul's lots, where these have one. It bears no
// storage, since the day of its arrival is not known.
func Next(ctx context.Context, h *landed.Haul, s *Sending, next landed.Lot, o Options) (*Addition, error) {
	if h == nil {
		return nil, h.Check()
	}
	with := *h.WithoutLost()
	s = s.For(&with)
	with.Lots = append(slices.Clone(with.Lots), added(&with, next))
	last := &with.Lots[len(with.Lots)-1]
	last.Open = true // so that it is in nothing that has come
	apart, _ := came.Apart(&with)
	without, err := Plan(ctx, apart.Only(func(l *landed.Lot) bool { return l.ID != last.ID }), s, o)
	if err != nil {
		return nil, err
	}
	last.Open = false
	more, err := Plan(ctx, apart, s, o)
	if err != nil {
		return nil, err
	}
	a := &Addition{Without: without, With: more}
	a.compare()
	return a, nil
}

// added makes the lot that is added.
func added(h *landed.Haul, n landed.Lot) landed.Lot {
	price := n.Price
	if price.Currency() == 0 {
		price = money.New(0, h.Home)
	}
	item := landed.Item{ID: freeID(h, "next"), What: "next lot", Count: 1, Weight: n.Packed, Weighed: true, Value: price}
	item.Class = common(h, func(l *landed.Lot) []string {
		var classes []string
		for i := range l.Items {
			classes = append(classes, l.Items[i].Class)
		}
		return classes
	})
	seller := common(h, func(l *landed.Lot) []string { return []string{l.Seller} })
	return landed.Lot{ID: item.ID, Title: "the next lot", Seller: seller, Price: price, Items: []landed.Item{item}, Size: n.Size, Packed: n.Packed}
}

// common returns the text that is the same in all lots, or none.
func common(h *landed.Haul, of func(*landed.Lot) []string) string {
	var all []string
	for i := range h.Lots {
		all = append(all, of(&h.Lots[i])...)
	}
	slices.Sort(all)
	if all = slices.Compact(all); len(all) == 1 {
		return all[0]
	}
	return ""
}

// freeID makes an id that no lot or item has.
func freeID(h *landed.Haul, id string) string {
	taken := func(id string) bool {
		return slices.ContainsFunc(h.Lots, func(l landed.Lot) bool {
			return l.ID == id || slices.ContainsFunc(l.Items, func(i landed.Item) bool { return i.ID == id })
		})
	}
	for n, base := 2, id; taken(id); n++ {
		id = fmt.Sprintf("%s-%d", base, n)
	}
	return id
}

// compare works out what was added.
func (a *Addition) compare() {
	w, b := &a.With.Best, &a.Without.Best
	less := func(x, y money.Amount) money.Amount { return money.New(x.Minor()-y.Minor(), x.Currency()) }
	a.Price = less(w.Statement.Sum(landed.Price), b.Statement.Sum(landed.Price))
	a.Costs = Costs{Carriage: landed.Carriage{Freight: less(w.Freight, b.Freight), Insurance: less(w.Insurance, b.Insurance), Fees: less(w.Fees, b.Fees)},
		Border: less(w.Border, b.Border), Other: less(less(w.Other, b.Other), a.Price), Total: less(less(w.Total, b.Total), a.Price)}
}
