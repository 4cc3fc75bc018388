package book_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/internal/published"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"
)

var cad = money.MustCurrency("CAD")

func day(n int) time.Time { return time.Date(2026, time.January, n, 0, 0, 0, 0, time.UTC) }

// haul is one lot of one item at a price.
func haul(name string, on time.Time, price money.Amount, items ...landed.Item) book.Haul {
	h := &landed.Haul{Home: cad, Date: on, Lots: []landed.Lot{{ID: "lot", Seller: "tidemark", Price: price, Items: items}}}
	h.Share = h.Share.WithPrice(landed.ByCount)
	return book.Haul{Name: name, Haul: h}
}

func keep(t testing.TB, o book.Options, hauls ...book.Haul) *book.Result {
	t.Helper()
	b := book.New(o)
	for _, h := range hauls {
		e, err := book.Enter(h, o)
		if err != nil {
			t.Fatal(err)
		}
		b.Add(e)
	}
	r, err := b.Result()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func times(t *testing.T, each string, n int64) money.Amount {
	t.Helper()
	a, err := typed.Amount(each + " CAD").Times(n)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestPublishedStock(t *testing.T) {
	type move struct {
		Day, Of int
		Pieces  int64
		Each    string
	}
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case     `yaml:",inline"`
			Average            bool
			Bought, Sales      []move
			Sold, Left, Profit string
		}
	}
	published.Read(t, "stock/inventory.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			var hauls []book.Haul
			for i, b := range c.Bought {
				item := landed.Item{ID: "unit", Model: "unit", Count: b.Pieces}
				for _, s := range c.Sales {
					if s.Of == i+1 {
						item.Sold = append(item.Sold, landed.Sale{Price: times(t, s.Each, s.Pieces), Count: s.Pieces, Date: day(s.Day)})
					}
				}
				hauls = append(hauls, haul(fmt.Sprint("haul-", i), day(b.Day), times(t, b.Each, b.Pieces), item))
			}
			r := keep(t, book.Options{Average: c.Average}, hauls...)
			y := r.Years[0]
			if y.Cost.Number() != c.Sold || r.Total.Number() != c.Left || y.End != r.Total {
				t.Errorf("sold %s, left %s, want %s and %s", y.Cost, r.Total, c.Sold, c.Left)
			}
			if profit := y.Profit().Number(); c.Profit != "" && profit != c.Profit {
				t.Errorf("profit %s, want %s", profit, c.Profit)
			}
		})
	}
}

func TestPublishedGuesses(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case                              `yaml:",inline"`
			Said                                        string
			Brier, Reliability, Resolution, Uncertainty string
		}
	}
	published.Read(t, "stock/guesses.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			var items []landed.Item
			for i, group := range strings.Fields(c.Said) {
				var n, came int64
				said, counts, _ := strings.Cut(group, ":")
				if _, err := fmt.Sscanf(counts, "%d:%d", &n, &came); err != nil {
					t.Fatal(err)
				}
				chance := typed.Number(said)
				items = append(items, landed.Item{ID: fmt.Sprint(i), Count: n, Found: &landed.Found{Sound: came, Dead: n - came}, Chances: []landed.Outcome{
					{Chance: chance, Value: typed.Amount("9 CAD")}, {Chance: typed.Number("1").Sub(chance), Value: typed.Amount("0 CAD")}}})
			}
			g := keep(t, book.Options{}, haul("a", day(1), typed.Amount("9 CAD"), items...)).Guesses
			for _, part := range []struct {
				what, want string
				got        *big.Rat
			}{{"score", c.Brier, g.Brier}, {"reliability", c.Reliability, g.Reliability}, {"resolution", c.Resolution, g.Resolution}, {"uncertainty", c.Uncertainty, g.Uncertainty}} {
				if part.want != "" && part.got.RatString() != part.want {
					t.Errorf("%s %s, want %s", part.what, part.got.RatString(), part.want)
				}
			}
		})
	}
}
