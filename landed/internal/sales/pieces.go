package sales

import (
	"cmp"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/selling"
)

// Cost adds up what pieces of one item cost, in home; it is a part of the item's.
func Cost(groups []landed.Pieces, home money.Currency) money.Amount {
	var minor int64
	for _, g := range groups {
		minor += g.Count * g.Each.Minor()
	}
	return money.New(minor, home)
}

// Holding is some pieces in one state as they are on hand.
func Holding(each []landed.Pieces, home money.Currency) selling.Holding {
	return selling.Holding{State: each[0].State, Count: Pieces(each), Cost: Cost(each, home), Each: each}
}

// Pieces counts those of some groups.
func Pieces(groups []landed.Pieces) int64 {
	var n int64
	for _, g := range groups {
		n += g.Count
	}
	return n
}

// countOf returns how many pieces were sold of those made from dead ones that
// are called so, or with "" of those as they were bought.
func countOf(sales []landed.Sale, made string) int64 {
	return selling.Count(slices.DeleteFunc(slices.Clone(sales), func(s landed.Sale) bool { return s.Made != made }))
}

// Piece is an item as one of its pieces is sold: what was made from dead ones,
// which is called so, or with "" the item itself.
func Piece(item *landed.Item, made string) *landed.Item {
	if item.Found == nil || made == "" {
		return item
	}
	for _, y := range item.Found.Yields {
		if y.What == made {
			return &landed.Item{ID: y.What + " of " + item.ID, What: y.What, Weight: y.Weight, Weighed: y.Weighed, At: item.At}
		}
	}
	return item
}

// Take takes n pieces out of those of an item, as a sale does: the sound ones
// first, then those for parts, in each state the cheaper first, and no others.
// The pieces left keep the order of [landed.ItemCost.Each], and so does what was taken;
// fewer than n are taken only where there are no more.
func Take(pieces []landed.Pieces, n int64) (taken, left []landed.Pieces) {
	return take(pieces, &landed.Sale{Count: n})
}

// take takes the pieces of a sale: those as they were bought, or of those made from
// dead ones the kind that it names, the cheaper first too.
func take(pieces []landed.Pieces, s *landed.Sale) (taken, left []landed.Pieces) {
	order := make([]int, len(pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(pieces[a].State, pieces[b].State), pieces[a].Each.Cmp(pieces[b].Each))
	})
	some := make([]int64, len(pieces))
	n := max(s.Count, 0)
	for _, i := range order {
		if pieces[i].What == s.Made && (s.Made != "" || pieces[i].State <= landed.ForParts) {
			some[i] = min(n, pieces[i].Count)
			n -= some[i]
		}
	}
	part := func(list []landed.Pieces, p landed.Pieces, count int64) []landed.Pieces {
		if p.Count = count; count > 0 {
			list = append(list, p)
		}
		return list
	}
	for i, p := range pieces {
		taken, left = part(taken, p, some[i]), part(left, p, p.Count-some[i])
	}
	return taken, left
}

// Divide divides what some pieces of a kind carry equally over them.
func Divide(cost money.Amount, kind landed.Pieces) []landed.Pieces {
	large, small, larger, err := money.Equal(cost.Minor(), kind.Count)
	if err != nil {
		return nil
	}
	rest := kind
	kind.Count, kind.Each = larger, money.New(large, cost.Currency())
	groups := []landed.Pieces{kind}
	if rest.Count -= larger; rest.Count > 0 {
		rest.Each = money.New(small, cost.Currency())
		groups = append(groups, rest)
	}
	return groups
}
