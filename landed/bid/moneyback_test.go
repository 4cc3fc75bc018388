package bid_test

import (
	"fmt"
	"math/big"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// TestMoneyBack: four planes at 45.00 or 8.00. At 100.00 in all, 32.00 is there whatever
// comes, and each that works adds 37.00: two are needed, of which the chance is
// 1 - 0.4^4 - 4 x 0.6 x 0.4^3.
func TestMoneyBack(t *testing.T) {
	for _, c := range []struct{ cost, want string }{ // four that bring 45 or 8; one that is kept is worth 1, and none is
		{"100 CAD", "[{jack 2 4}] true 0.820800"},
		{"32 CAD", "[] true 1.000000"},
		{"32.01 CAD", "[{jack 1 4}] true 0.974400"},
		{"180 CAD", "[{jack 4 4}] true 0.129600"},
		{"180.01 CAD", "[{jack 4 4}] false 0.129600"},
	} {
		h := crate()
		h.Charges[0].Amount, h.Lots[0].Items[0].Worth = amount(c.cost), amount("1 CAD")
		back := moneyBack(t, h)
		if got := fmt.Sprintf("%v %t %s", back.Good, back.Enough, back.Chance.FloatString(6)); got != c.want {
			t.Errorf("at %s: %s, want %s", c.cost, got, c.want)
		}
	}
}

// moneyBack is when the money is back of lots that are had for nothing beside what is charged.
func moneyBack(t rapid.TB, h *haul) *bid.MoneyBack {
	t.Helper()
	b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, err := b.Judge(money.New(0, jpy))
	if err != nil {
		t.Fatal(err)
	}
	return a.Back
}

// TestMoneyBackByBruteForce goes through all that can happen: with so many good pieces of each item
// the money is back whatever becomes of the others; fewer would not do, where none are kept; the
// chance is that of the outcomes with so many.
func TestMoneyBackByBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, cost := crate(), rapid.Int64Range(0, 30_000).Draw(t, "cost")
		h.Charges[0].Amount = money.New(cost, cad)
		h.Lots[0].Items = nil
		for i := range rapid.IntRange(1, 3).Draw(t, "items") {
			part := rapid.Int64Range(1, 9).Draw(t, "tenths")
			value := func(name string) money.Amount { return money.New(rapid.Int64Range(0, 6000).Draw(t, name), cad) }
			h.Lots[0].Items = append(h.Lots[0].Items, landed.Item{ID: fmt.Sprint("item-", i), Count: rapid.Int64Range(1, 3).Draw(t, "count"), Weight: 1, Weighed: true,
				Alike: rapid.Bool().Draw(t, "alike"), Keep: rapid.Int64Range(0, 1).Draw(t, "keep"), Worth: value("worth"),
				Chances: []landed.Outcome{{What: "works", Chance: decimal.New(part, -1), Value: value("works")},
					{What: "not", Chance: decimal.New(10-part, -1), Value: value("not")}}})
		}
		checkBack(t, h.Lots[0].Items, cost, moneyBack(t, h))
	})
}

// checkBack walks over every outcome of every piece; alike pieces are one walk.
func checkBack(t *rapid.T, items []landed.Item, cost int64, back *bid.MoneyBack) {
	need, needed, rough := make([]int64, len(items)), int64(0), false
	for i := range items {
		for _, g := range back.Good {
			if g.Item == items[i].ID {
				need[i], needed = g.Pieces, needed+g.Pieces
			}
		}
		rough = rough || items[i].Alike || items[i].Keep > 0 // the best first is then not always the fewest
	}
	chance, fewest := new(big.Rat), int64(-1)
	var walk func(i int, good []int64, sum, count int64, p *big.Rat)
	walk = func(i int, good []int64, sum, count int64, p *big.Rat) {
		if i == len(items) {
			if sum >= cost && (fewest < 0 || count < fewest) {
				fewest = count
			}
			for n := range need {
				if good[n] < need[n] {
					return
				}
			}
			chance.Add(chance, p)
			if back.Enough && sum < cost {
				t.Fatalf("%v good, and %d of %d", good, sum, cost)
			}
			return
		}
		it := &items[i]
		best, other := it.Chances[0], it.Chances[1]
		if other.Value.Cmp(best.Value) > 0 {
			best, other = other, best
		}
		for n := range it.Count + 1 {
			if it.Alike && n > 0 && n < it.Count {
				continue
			}
			kept := min(it.Keep, n)
			q := new(big.Rat).SetInt(new(big.Int).Binomial(it.Count, n))
			for k := range it.Count {
				switch {
				case it.Alike && k > 0:
				case k < n:
					q.Mul(q, best.Chance.Rat())
				default:
					q.Mul(q, other.Chance.Rat())
				}
			}
			walk(i+1, append(good[:i:i], n), sum+kept*it.Worth.Minor()+(n-kept)*best.Value.Minor()+(it.Count-n)*other.Value.Minor(), count+n, q.Mul(q, p))
		}
	}
	walk(0, nil, 0, 0, big.NewRat(1, 1))
	if back.Enough && fewest < 0 || !rough && (back.Enough != (fewest >= 0) || back.Enough && fewest != needed) {
		t.Fatalf("%v, enough %t, fewest %d", back.Good, back.Enough, fewest)
	}
	if back.Chance.Cmp(chance) != 0 {
		t.Fatalf("chance %v, want %v", back.Chance, chance)
	}
}
