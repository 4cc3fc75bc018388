package book_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"
)

// asks is a haul with one open lot.
func asks(items ...landed.Item) *landed.Haul {
	h := haul("new", day(20), money.Amount{}, items...)
	h.Lots[0].Open = true
	return h.Haul
}

// record is a book of 22 planes of one room, 14 of them sound, 3 for parts and 5 dead, of 9 dead
// braces, and of 7 planes at which nobody has looked.
func record(t *testing.T) *book.Result {
	h := haul("old", day(1), typed.Amount("9 CAD"), landed.Item{ID: "a", Class: "plane", Model: "jack-5", Count: 22, Found: &landed.Found{Sound: 14, Parts: 3, Dead: 5}},
		landed.Item{ID: "b", Class: "brace", Count: 9, Found: &landed.Found{Dead: 9}}, landed.Item{ID: "c", Class: "plane", Model: "jack-5", Count: 7})
	return keep(t, book.Options{}, h)
}

func outcome(chance, value string) landed.Outcome {
	return landed.Outcome{Chance: typed.Number(chance), Value: typed.Amount(value + " CAD")}
}

// TestLearnt: the next piece is of a kind with (found + own) / (all found + all own), by
// hand.
func TestLearnt(t *testing.T) {
	own := []landed.Outcome{outcome("0.5", "50"), outcome("0.25", "40"), outcome("0.25", "0")}
	own[1].State, own[1].Stated = landed.Sound, true
	for _, c := range []struct {
		name    string
		known   landed.Known
		chances []landed.Outcome
		want    string // chances, in order, and how far they are one's own
		pieces  string // as many as the record and one's own come to: sound, for parts, dead
	}{
		// 3 of 4 sound and 1 dead, beside 14, 3 and 5 of 22; what is sound is parted two to one.
		{"four of one's own", landed.Known{Class: "plane", Own: typed.Number("4")}, own, "17/39 17/78 3/13 3/26 | 2/13", "[17 3 6]"},
		{"all of a room", landed.Known{Seller: "tidemark", Own: typed.Number("4")}, own, "34/105 17/105 3/7 3/35 | 4/35", "[17 3 15]"},
		{"many of one's own", landed.Known{Model: "jack-5", Own: typed.Number("22")}, own, "61/132 61/264 21/88 3/44 | 1/2", "[30.5 3 10.5]"},
		{"no record", landed.Known{Class: "plane", Seller: "harbour", Own: typed.Number("4")}, own, "1/2 1/4 1/4 | 1", "[3 0 1]"},
	} {
		c.known.Asked = true
		h, said, err := record(t).Beside(asks(landed.Item{ID: "jack", Count: 3, Known: &c.known, Chances: c.chances}), nil)
		if err != nil || len(said) != 1 {
			t.Fatal(c.name, err, said)
		}
		chances, reported, _ := strings.Cut(c.want, " | ")
		near := func(got *big.Rat, want string) bool {
			w, _ := new(big.Rat).SetString(want)
			off := w.Sub(w, got)
			return off.Abs(off).Cmp(big.NewRat(1, 1_000_000_000_000)) < 0
		}
		item, sum := &h.Lots[0].Items[0], new(big.Rat)
		if wants := strings.Fields(chances); len(wants) != len(item.Chances) {
			t.Errorf("%s: %d outcomes, want %s", c.name, len(item.Chances), chances)
		}
		for i, want := range strings.Fields(chances) {
			got := item.Chances[i].Chance.Rat()
			sum.Add(sum, got)
			if !near(got, want) {
				t.Errorf("%s: outcome %d, %s: chance %s, want %s", c.name, i, item.Chances[i].State, item.Chances[i].Chance, want)
			}
		}
		if got := fmt.Sprint(item.Known.Weights); got != c.pieces {
			t.Errorf("%s: pieces %s, want %s", c.name, got, c.pieces)
		}
		if sum.Cmp(big.NewRat(1, 1)) != 0 || !near(said[0].Own.Rat(), reported) {
			t.Errorf("%s: sum %s, own %s, want %s", c.name, sum, said[0].Own, reported)
		}
	}
}

// TestLearntKinds: a kind that the user did not think of is worth what a piece is, or one for
// parts, where that is said; and what the user wrote stays as it was.
func TestLearntKinds(t *testing.T) {
	none := outcome("1", "0")
	none.State, none.Stated = landed.Dead, true
	for _, c := range []struct{ value, parts, want string }{{"50 CAD", "7 CAD", "0.00 CAD, 50.00 CAD, 7.00 CAD"}, {"", "", "0.00 CAD, 0.00 CAD, 0.00 CAD"}} {
		item := landed.Item{ID: "jack", Count: 1, Known: &landed.Known{Asked: true, Class: "plane", Own: typed.Number("1")}, Chances: []landed.Outcome{none}}
		if c.value != "" {
			item.Value, item.PartsValue = typed.Amount(c.value), typed.Amount(c.parts)
		}
		asked := asks(item)
		h, _, err := record(t).Beside(asked, nil)
		if err != nil {
			t.Fatal(err)
		}
		var values []string
		for _, o := range h.Lots[0].Items[0].Chances {
			values = append(values, o.Value.String())
		}
		if got := strings.Join(values, ", "); got != c.want {
			t.Errorf("values %s, want %s", got, c.want)
		}
		if is := &asked.Lots[0].Items[0]; len(is.Chances) != 1 || is.Known.Weights != nil {
			t.Errorf("what was asked is %+v", is)
		}
	}
}

// TestInterval: of three pieces after 14 of 22 with one of each kind before, by the
// fractions of the beta-binomial distribution of testdata/odds/urn.csv: none is sound
// with a chance of 33/520, which is more than 5 %, so none is ruled out. Of twelve, three
// or fewer are with 2.8 %, four or fewer with 7.5 %, by fractions of another program.
func TestInterval(t *testing.T) {
	two := []landed.Outcome{outcome("0.5", "50"), outcome("0.5", "0")}
	known := landed.Known{Asked: true, Class: "plane", Own: typed.Number("2")}
	h := haul("old", day(1), typed.Amount("9 CAD"), landed.Item{ID: "a", Class: "plane", Count: 22, Found: &landed.Found{Sound: 14, Dead: 8}})
	for pieces, want := range map[int64]string{3: "0 3", 1: "0 1", 12: "4 11"} {
		_, said, err := keep(t, book.Options{}, h).Beside(asks(landed.Item{ID: "jack", Count: pieces, Known: &known, Chances: two}), nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(said[0].Low, " ", said[0].High); got != want {
			t.Errorf("of %d: %s, want %s", pieces, got, want)
		}
	}
}

// TestShelf: what is on hand of a model is not kept again, item after item.
func TestShelf(t *testing.T) {
	there := jacks(3)
	there.Found = &landed.Found{Sound: 2, Parts: 1} // one for parts is no copy
	h := haul("old", day(1), typed.Amount("9 CAD"), there)
	jack := landed.Item{ID: "one", Model: "jack-5", Count: 2, Keep: 2}
	again := jack
	again.ID = "two"
	for _, c := range []struct {
		wanted int64
		want   string // of each item: kept, and copies sold before its own
	}{{1, "0 1, 0 3"}, {3, "1 0, 0 1"}, {5, "2 0, 1 0"}, {9, "2 0, 2 0"}} {
		asked := asks(jack, again)
		asked.Lots = append(asked.Lots, landed.Lot{ID: "bought", Price: typed.Amount("9 CAD"), Items: []landed.Item{jack}}, landed.Lot{ID: "lost", Open: true, Lost: true, Items: []landed.Item{jack}})
		beside, said, err := keep(t, book.Options{}, h).Beside(asked, map[string]int64{"jack-5": c.wanted})
		if err != nil || len(said) != 2 || beside.Lots[1].Items[0].Keep != 2 || asked.Lots[0].Items[0].Keep != 2 {
			t.Fatalf("%v: %+v beside %+v: %+v", err, asked.Lots, beside.Lots, said)
		}
		var got []string
		for i := range beside.Lots[0].Items {
			it, ahead := &beside.Lots[0].Items[i], int64(0)
			if it.Known != nil {
				ahead = it.Known.Ahead
			}
			got = append(got, fmt.Sprint(it.Keep, " ", ahead))
			if said[i].OnHand != 2 || said[i].Wanted != c.wanted || said[i].Keep != it.Keep {
				t.Errorf("said %+v", said[i])
			}
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("of %d wanted: %s, want %s", c.wanted, got, c.want)
		}
	}
}
