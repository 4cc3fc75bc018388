package book

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/sales"
)

// Double is a model of which there are more sound pieces than are wanted, kept
// ones among them.
type Double struct {
	Model                 string // its name
	OnHand, Wanted, Extra int64
	Sell                  []Copy // the extra ones: the cheapest, or the dearest where that is asked for, those that hauls keep last
}

// Copy is pieces of one item that cost the same.
type Copy struct {
	Item
	Kept bool // by the haul, which may then keep one too many
	landed.Pieces
}

// Unmodelled is sound pieces that are called the same, but for capitals and spaces, and of which no
// model was written: they may be doubles of each other.
type Unmodelled struct {
	What   string // as the first of them is called
	OnHand int64  // pieces
}

// unmodelled lists names of which there is more than is wanted of a model that no haul speaks of,
// those of most pieces first.
func (l *ledger) unmodelled() []Unmodelled {
	places := map[string]int{}
	var all []Unmodelled
	for i := range l.stock {
		s := &l.stock[i]
		name := strings.ToLower(strings.Join(strings.Fields(s.What), " "))
		if s.Model != "" || s.State != landed.Sound || name == "" {
			continue
		}
		at, known := places[name]
		if !known {
			at, places[name] = len(all), len(all)
			all = append(all, Unmodelled{What: s.What})
		}
		all[at].OnHand += s.Count
	}
	most := l.wanted.of("")
	all = slices.DeleteFunc(all, func(u Unmodelled) bool { return u.OnHand <= most })
	slices.SortStableFunc(all, func(a, b Unmodelled) int { return cmp.Compare(b.OnHand, a.OnHand) })
	return all
}

// wanted is how many of each model hauls want, once where they say the same.
type wanted []map[string]int64

func (w *wanted) add(some map[string]int64) {
	if len(some) > 0 && !slices.ContainsFunc(*w, func(known map[string]int64) bool { return maps.Equal(known, some) }) {
		*w = append(*w, some)
	}
}

// of is the greatest number that any haul gives for a model, 1 where none does.
func (w wanted) of(model string) int64 {
	most := int64(-1)
	for _, some := range w {
		n, known := some[model]
		if !known {
			n, known = some["default"]
		}
		if known {
			most = max(most, n)
		}
	}
	if most < 0 {
		return 1
	}
	return most
}

// doubles lists models of which there is more than is wanted, by name.
func (l *ledger) doubles() []Double {
	onHand := map[string][]Copy{}
	for i := range l.stock {
		s := &l.stock[i]
		if s.Model == "" || s.State != landed.Sound {
			continue
		}
		sell, kept := sales.Take(s.Each, s.Count-s.keep)
		for i, groups := range [][]landed.Pieces{sell, kept} {
			for _, g := range groups {
				onHand[s.Model] = append(onHand[s.Model], Copy{s.Item, i == 1, g})
			}
		}
	}
	var list []Double
	for _, model := range slices.Sorted(maps.Keys(onHand)) {
		d := Double{Model: model, Wanted: l.wanted.of(model)}
		for _, c := range onHand[model] {
			d.OnHand += c.Count
		}
		if d.Extra = d.OnHand - d.Wanted; d.Extra > 0 {
			d.Sell = l.toSell(onHand[model], d.Extra)
			list = append(list, d)
		}
	}
	return list
}

// toSell are the n cheapest of some copies, or the dearest; of equals the earlier.
func (l *ledger) toSell(copies []Copy, n int64) []Copy {
	slices.SortStableFunc(copies, func(a, b Copy) int {
		order := cmp.Compare(a.Each.Minor(), b.Each.Minor())
		switch {
		case a.Kept && !b.Kept:
			return 1
		case b.Kept && !a.Kept:
			return -1
		case l.Dearest:
			return -order
		}
		return order
	})
	var list []Copy
	for _, c := range copies {
		if c.Count = min(c.Count, n); c.Count > 0 {
			list, n = append(list, c), n-c.Count
		}
	}
	return list
}
