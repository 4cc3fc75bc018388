package book_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/testdata/effort"
)

func jacks(n int64, sold ...landed.Sale) landed.Item {
	return landed.Item{ID: "jack", Model: "jack-5", Count: n, Sold: sold}
}

func TestRefused(t *testing.T) {
	undated := haul("a", time.Time{}, typed.Amount("9 CAD"), jacks(1))
	early := haul("a", day(3), typed.Amount("9 CAD"), jacks(1, landed.Sale{Price: typed.Amount("9 CAD"), Count: 1, Date: day(2)}))
	more := haul("a", day(3), typed.Amount("9 CAD"), landed.Item{ID: "jack", Count: 2, Found: &landed.Found{Sound: 1, Dead: 1}, Sold: []landed.Sale{{Price: typed.Amount("9 CAD"), Count: 2}}})
	unsplit := haul("a", day(3), typed.Amount("9 USD"), jacks(1))
	for _, c := range []struct {
		haul book.Haul
		want string
	}{
		{undated, "date: the day of purchase is missing, and the book goes by days: write it"},
		{early, "item jack: sold: sold on 2026-01-02, before the haul was bought on 2026-01-03: correct one of the two dates"},
		{more, "item jack: sold: more were sold (2) than are sound or for parts (1): correct what was sold, or what was found"},
		{unsplit, "lot lot: price: no rate"},
	} {
		e, err := book.Enter(c.haul, book.Options{})
		if e != nil || err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// An open or lost lot is not bought, nor is it in the book where there is no other.
func TestNotBought(t *testing.T) {
	h := haul("a", day(1), typed.Amount("9 CAD"), jacks(2))
	open := h.Lots[0]
	open.ID, open.Open, open.Price = "open", true, money.Amount{}
	open.Items = []landed.Item{{ID: "plough", Count: 1}}
	lost := open
	lost.ID, lost.Lost, lost.Items = "lost", true, []landed.Item{{ID: "rebate", Count: 1}}
	h.Lots = append(h.Lots, open, lost)
	none := haul("b", time.Time{}, money.Amount{})
	none.Lots = []landed.Lot{open, lost}
	if e, err := book.Enter(none, book.Options{}); e != nil || err != nil {
		t.Errorf("nothing is bought: %v, %v", e, err)
	}
	r := keep(t, book.Options{}, h, none)
	if r.Hauls != 1 || r.Total != typed.Amount("9 CAD") || len(r.Stock) != 1 {
		t.Errorf("%+v", r)
	}
	if r := keep(t, book.Options{}); r.Home != 0 || r.Hauls != 0 || len(r.Years) != 0 {
		t.Errorf("an empty book: %+v", r)
	}
}

// Of two currencies that of most hauls is the book's; of equally many the first by name.
func TestOtherHome(t *testing.T) {
	in := func(name, home string) book.Haul {
		h := haul(name, day(1), typed.Amount("9 "+home), jacks(1))
		h.Home = money.MustCurrency(home)
		h.At.File = name
		return h
	}
	r := keep(t, book.Options{}, in("c", "USD"), in("b", "USD"), in("a", "CAD"))
	if r.Home.Code() != "USD" || len(r.Outside) != 1 || r.Outside[0].Error() != "a: home: home is CAD, but that of the book is USD, which most of its hauls have, or the first of equally many: keep hauls in CAD in a book of their own" {
		t.Errorf("%s, %v", r.Home, r.Outside)
	}
	if r := keep(t, book.Options{}, in("d", "USD"), in("c", "CAD"), in("b", "CAD"), in("a", "USD")); r.Home.Code() != "USD" || len(r.Outside) != 2 || r.Outside[0].At.File != "b" {
		t.Errorf("%s, %v", r.Home, r.Outside)
	}
}

// The greatest number that any haul wants of a model counts, 1 where none says.
func TestWanted(t *testing.T) {
	a, b := haul("a", day(1), typed.Amount("9.01 CAD"), jacks(2)), haul("b", day(2), typed.Amount("30 CAD"), jacks(3))
	doubles := func(o book.Options, wanted ...map[string]int64) string {
		a, b := a, b
		a.Wanted, b.Wanted = wanted[0], wanted[1]
		text := ""
		for _, d := range keep(t, o, b, a).Doubles {
			text += fmt.Sprint(d.OnHand, d.Wanted, d.Extra)
			for _, c := range d.Sell {
				text += fmt.Sprint(" ", c.Haul, c.Count, "x", c.Each.Number())
			}
		}
		return text
	}
	for _, c := range []struct {
		o    book.Options
		a, b map[string]int64
		keep int64
		want string
	}{
		{want: "5 1 4 a1x4.50 a1x4.51 b2x10.00"},
		{o: book.Options{Dearest: true}, want: "5 1 4 b3x10.00 a1x4.51"},
		{a: map[string]int64{"default": 3, "jack-5": 2}, want: "5 2 3 a1x4.50 a1x4.51 b1x10.00"},
		{a: map[string]int64{"jack-5": 2}, b: map[string]int64{"default": 4}, want: "5 4 1 a1x4.50"},
		{a: map[string]int64{"block-9": 7}, b: map[string]int64{"jack-5": 0}, want: "5 0 5 a1x4.50 a1x4.51 b3x10.00"},
		{a: map[string]int64{"default": 5}, want: ""},
		{keep: 1, a: map[string]int64{"default": 2}, want: "5 2 3 a1x4.50 b2x10.00"}, // the dearer of a is kept
		{keep: 2, a: map[string]int64{"default": 1}, want: "5 1 4 b3x10.00 a1x4.50"},
	} {
		a.Lots[0].Items[0].Keep = c.keep
		if got := doubles(c.o, c.a, c.b); got != c.want {
			t.Errorf("wanted %v and %v: %s, want %s", c.a, c.b, got, c.want)
		}
	}
}

// TestYearFrom: years begin on the day that most hauls say, and hold what was bought from it up to
// the day before it, as Income Tax Act 2007 s. 4(3) has it: "begins on 6 April and ends on the
// following 5 April".
func TestYearFrom(t *testing.T) {
	april, july := time.Date(2001, 4, 6, 0, 0, 0, 0, time.UTC), time.Date(2001, 7, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		from []time.Time
		want string
	}{
		{nil, "2024-01-01 32.00, 2025-01-01 7.00"},
		{[]time.Time{april}, "2023-04-06 8.00, 2024-04-06 30.00, 2025-04-06 1.00"},
		{[]time.Time{july, april}, "2023-04-06 8.00, 2024-04-06 30.00, 2025-04-06 1.00"}, // of equally many the earliest
		{[]time.Time{april, july, july}, "2023-07-01 24.00, 2024-07-01 15.00"},
	} {
		var hauls []book.Haul
		for i, b := range []struct {
			month time.Month
			year  int
			day   int
			cost  string
		}{{4, 2024, 5, "8 CAD"}, {4, 2024, 6, "16 CAD"}, {12, 2024, 31, "8 CAD"}, {1, 2025, 1, "2 CAD"}, {4, 2025, 5, "4 CAD"}, {4, 2025, 6, "1 CAD"}} {
			h := haul(fmt.Sprint(i), time.Date(b.year, b.month, b.day, 0, 0, 0, 0, time.UTC), typed.Amount(b.cost), jacks(1))
			if i < len(c.from) {
				h.YearFrom = c.from[i]
			}
			hauls = append(hauls, h)
		}
		var got []string
		for _, y := range keep(t, book.Options{}, hauls...).Years {
			got = append(got, y.From.Format(time.DateOnly)+" "+y.Bought.Number())
		}
		if all := strings.Join(got, ", "); all != c.want {
			t.Errorf("%v: %s, want %s", c.from, all, c.want)
		}
	}
}

// TestUnmodelled: what is called the same and has no model is told where sound pieces of it are
// more than are wanted, whichever hauls they are in.
func TestUnmodelled(t *testing.T) {
	called := func(id, what string, n int64) landed.Item { return landed.Item{ID: id, What: what, Count: n} }
	dead, sold, own := called("dead", "Try square", 2), called("sold", "Bevel", 2), called("own", "Jack plane", 9)
	dead.Found = &landed.Found{Sound: 1, Dead: 1}
	sold.Sold = []landed.Sale{{Price: typed.Amount("9 CAD"), Count: 1, Date: day(3)}}
	own.Model = "jack-5"
	a := haul("a", day(1), typed.Amount("9 CAD"), called("jack", "Jack plane", 1), dead, sold, called("nameless", "", 5))
	b := haul("b", day(2), typed.Amount("9 CAD"), called("jack", "jack  Plane", 1), called("brace", "Brace", 3), own)
	if got := fmt.Sprint(keep(t, book.Options{}, b, a).Unmodelled); got != "[{Brace 3} {Jack plane 2}]" {
		t.Error(got)
	}
	b.Wanted = map[string]int64{"default": 2}
	if got := fmt.Sprint(keep(t, book.Options{}, b, a).Unmodelled); got != "[{Brace 3}]" {
		t.Error(got)
	}
}

// What an outcome stands for says the file, or else its value.
func TestStandsFor(t *testing.T) {
	chance := func(part, value string, state ...landed.State) landed.Outcome {
		f := landed.Outcome{Chance: typed.Number(part), Value: typed.Amount(value + " CAD"), Stated: len(state) > 0}
		if f.Stated {
			f.State = state[0]
		}
		return f
	}
	for _, c := range []struct {
		said string
		of   []landed.Outcome
	}{
		{"3/5", []landed.Outcome{chance("0.6", "40"), chance("0.3", "9"), chance("0.1", "0")}},
		{"3/10", []landed.Outcome{chance("0.6", "9"), chance("0.3", "40"), chance("0.1", "40")}},
		{"9/10", []landed.Outcome{chance("0.6", "40"), chance("0.3", "30", landed.Sound), chance("0.1", "0")}},
		{"0", []landed.Outcome{chance("0.6", "40", landed.ForParts), chance("0.4", "9")}},
	} {
		item := landed.Item{ID: "a", Count: 2, Chances: c.of, Found: &landed.Found{Sound: 1, Missing: 1}}
		g := keep(t, book.Options{}, haul("a", day(1), typed.Amount("9 CAD"), item)).Guesses
		if len(g.ByChance) != 1 || g.ByChance[0].Mean.RatString() != c.said || g.ByChance[0].Brier.Cmp(g.Brier) != 0 || g.Pieces != 1 || g.Came != 1 || g.Items != 1 {
			t.Errorf("said %+v, want %s", g.ByChance, c.said)
		}
		item.Spread = true // a value that is a range is no guess
		if g := keep(t, book.Options{}, haul("a", day(1), typed.Amount("9 CAD"), item)).Guesses; g.Brier != nil {
			t.Errorf("%+v", g)
		}
	}
}

// What pieces in stock must bring, and should.
func TestStockPrices(t *testing.T) {
	h := haul("a", day(1), typed.Amount("20 CAD"), landed.Item{ID: "jack", Count: 2, Value: typed.Amount("40 CAD")})
	h.Selling = &selling.Plan{Venues: []resale.Venue{{Name: "gable", Currency: cad, Fees: []resale.Fee{{What: "commission", Fixed: typed.Amount("2 CAD")}}}}}
	r := keep(t, book.Options{Prices: true}, h)
	if s := r.Stock[0]; s.Even != typed.Amount("12 CAD") || s.Value != typed.Amount("40 CAD") || s.Age(day(31)) != 30 {
		t.Errorf("%+v", s)
	}
	// one jack is kept, and the only square; nobody says what rules are worth
	h.Lots[0].Items = []landed.Item{{ID: "jack", Count: 3, Keep: 1, Value: typed.Amount("40 CAD")}, {ID: "square", Count: 1, Keep: 1, Value: typed.Amount("9 CAD")}, {ID: "rule", Count: 3, Keep: 1}}
	r = keep(t, book.Options{Prices: true}, h)
	if sum, pieces, blank, err := r.Expected(); err != nil || sum != typed.Amount("80 CAD") || pieces != 2 || blank != 2 || r.Stock[1].Value != typed.Amount("9 CAD") {
		t.Errorf("%s for %d, %d without a value, %v; %+v", sum, pieces, blank, err, r.Stock[1])
	}
}

// Two irons at 6.00 are made from two dead planes, which leaves 48.00 to the sound
// one; one iron is sold, and is no plane of the model.
func TestMade(t *testing.T) {
	item := jacks(3, landed.Sale{Price: typed.Amount("5 CAD"), Count: 1, Made: "iron", Date: day(2)})
	item.Found = &landed.Found{Sound: 1, Dead: 2, Yields: []landed.Yield{{What: "iron", Count: 2, Value: typed.Amount("6 CAD")}}}
	for _, average := range []bool{false, true} {
		r := keep(t, book.Options{Average: average, Sales: true}, haul("a", day(1), typed.Amount("60 CAD"), item))
		if s := r.Sales[0]; s.Cost != typed.Amount("6 CAD") || s.Profit() != typed.Amount("-1 CAD") || s.What != "iron" || s.Model != "" {
			t.Errorf("sale %+v", s)
		}
		var left []string
		for _, s := range r.Stock {
			left = append(left, fmt.Sprint(s.State, " ", s.What, " ", s.Count, " ", s.Cost))
		}
		if got := strings.Join(left, ", "); got != "sound  1 48.00 CAD, yield iron 1 6.00 CAD" {
			t.Errorf("stock %s", got)
		}
	}
}

// TestApart: items of two hauls that are called alike have nothing in common without a model, by
// either way of counting; sales of a day and the stock stand by haul, in the order of the file,
// whichever haul came first. Of 60.00 a jack costs 10.00, and the sound one bears what the irons
// and totes of two dead ones leave: 10 + 20 - 6 - 2.
func TestApart(t *testing.T) {
	of := func(name, price, iron, tote string) book.Haul {
		var sold []landed.Sale
		for _, made := range []string{"", "iron", "tote"} {
			sold = append(sold, landed.Sale{Price: typed.Amount("50 CAD"), Count: 1, Date: day(5), Made: made})
		}
		yields := []landed.Yield{{What: "iron", Count: 2, Value: typed.Amount(iron)}, {What: "tote", Count: 1, Value: typed.Amount(tote)}}
		h := haul(name, day(1), typed.Amount(price),
			landed.Item{ID: "jack", Count: 3, Value: typed.Amount("10 CAD"), Sold: sold, Found: &landed.Found{Sound: 1, Dead: 2, Yields: yields}},
			landed.Item{ID: "square", Count: 3, Value: typed.Amount("10 CAD"), Sold: sold[:1]})
		h.Share = h.Share.WithPrice(landed.ByValue)
		return h
	}
	a, b := of("a", "60 CAD", "3 CAD", "2 CAD"), of("b", "90 CAD", "4 CAD", "5 CAD")
	for _, average := range []bool{false, true} {
		r := keep(t, book.Options{Average: average, Sales: true}, b, a)
		var sold, left []string
		for _, s := range r.Sales {
			sold = append(sold, fmt.Sprint(s.Haul, " ", s.ID, s.What, " ", s.Cost.Number(), " ", s.Days()))
		}
		for _, s := range r.Stock {
			left = append(left, fmt.Sprint(s.Haul, " ", s.Count, " ", s.ID, s.What, " ", s.Cost.Number()))
		}
		if got := strings.Join(sold, ", "); got != "a jack 22.00 4, a jackiron 3.00 4, a jacktote 2.00 4, a square 10.00 4, b jack 32.00 4, b jackiron 4.00 4, b jacktote 5.00 4, b square 15.00 4" {
			t.Errorf("average %t: sold %s", average, got)
		}
		if got := strings.Join(left, ", "); got != "a 1 jackiron 3.00, a 2 square 20.00, b 1 jackiron 4.00, b 2 square 30.00" {
			t.Errorf("average %t: left %s", average, got)
		}
		year, seller := r.Years[0].Figures, r.Sellers[0].Figures
		for what, f := range map[string]book.Figures{"year": year, "seller": seller} { // six were bought of each haul
			if f.PiecesBought != 12 || f.Sales != 8 || f.PiecesSold != 8 || f.PieceDays != 32 || f.Bought != typed.Amount("150 CAD") {
				t.Errorf("average %t: %s %+v", average, what, f)
			}
		}
	}
}

// TestPiecesBought: what was paid for, and what was found beside it; where pieces bear less than
// they cost, that is written off, and is none.
func TestPiecesBought(t *testing.T) {
	item := jacks(3)
	item.Found, item.PartsValue = &landed.Found{Parts: 2, Missing: 2, Extra: 1}, typed.Amount("1 CAD")
	square := landed.Item{ID: "square", Count: 2, Found: &landed.Found{Parts: 2}, PartsValue: typed.Amount("1 CAD")}
	h := haul("a", day(1), typed.Amount("60 CAD"), item, square)
	h.Losses = landed.LossWrittenOff
	if s := keep(t, book.Options{}, h).Sellers[0]; s.PiecesBought != 6 || s.WrittenOff != typed.Amount("56 CAD") {
		t.Errorf("%+v", s)
	}
}

// TestBelowNothing: two jacks that a rebate brought to -0.01 cost half a cent less than nothing
// each on average, rounded away from nothing.
func TestBelowNothing(t *testing.T) {
	h := haul("a", day(1), typed.Amount("10 CAD"), jacks(2, landed.Sale{Price: typed.Amount("5 CAD"), Count: 1, Date: day(2)}))
	h.Charges = []landed.Charge{{What: "rebate", Kind: landed.Fee, Amount: typed.Amount("-10.01 CAD")}}
	r := keep(t, book.Options{Average: true, Sales: true}, h)
	if r.Sales[0].Cost != typed.Amount("-0.01 CAD") || r.Stock[0].Cost != typed.Amount("0 CAD") {
		t.Errorf("sold %s, left %s", r.Sales[0].Cost, r.Stock[0].Cost)
	}
}

// TestMadeBring: what is made from dead pieces is to bring what it is valued at, which is left of
// the price after the fees of the venue: 6.67 less 10% is 6.00.
func TestMadeBring(t *testing.T) {
	item := jacks(3, landed.Sale{Price: typed.Amount("5 CAD"), Count: 1, Made: "iron", Date: day(2)})
	item.Value, item.Found = typed.Amount("40 CAD"), &landed.Found{Sound: 1, Dead: 2, Yields: []landed.Yield{{What: "iron", Count: 3, Value: typed.Amount("6 CAD")}, {What: "tote", Count: 1, Value: typed.Amount("2 CAD")}}}
	h := haul("a", day(1), typed.Amount("60 CAD"), item)
	for _, c := range []struct{ fee, iron, sum string }{{"", "6 CAD", "54 CAD"}, {"0.1", "6.67 CAD", "55.56 CAD"}} { // 40 + 2 x 6.67 + 2.22
		h.Selling = &selling.Plan{Venues: []resale.Venue{{Name: "stall", Currency: cad}}}
		if c.fee != "" {
			h.Selling.Venues[0].Fees = []resale.Fee{{What: "commission", Bands: []resale.Band{{Rate: typed.Number(c.fee)}}}}
		}
		r := keep(t, book.Options{Prices: true}, h)
		sum, pieces, blank, err := r.Expected()
		if err != nil || sum != typed.Amount(c.sum) || pieces != 4 || blank != 0 || r.Stock[1].What != "iron" || r.Stock[1].Value != typed.Amount(c.iron) || r.Stock[1].Even != typed.Amount(c.iron) {
			t.Errorf("fee %q: %s for %d, %d without a value: %v; %+v", c.fee, sum, pieces, blank, err, r.Stock[1])
		}
	}
}

func TestOverflow(t *testing.T) {
	b := book.New(book.Options{})
	for _, name := range []string{"a", "b"} {
		e, err := book.Enter(haul(name, day(1), money.New(math.MaxInt64-1, cad), jacks(1)), book.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b.Add(e)
	}
	if _, err := b.Result(); err == nil {
		t.Error("the sums do not fit")
	}
}

func Example() {
	b := book.New(book.Options{})
	for _, h := range []book.Haul{
		haul("spring", day(5), typed.Amount("40 CAD"), jacks(2, landed.Sale{Price: typed.Amount("35 CAD"), Count: 1, Date: day(9)})),
		haul("summer", day(7), typed.Amount("18 CAD"), jacks(1)),
	} {
		entry, err := book.Enter(h, book.Options{})
		if err != nil {
			fmt.Println(err)
			return
		}
		b.Add(entry)
	}
	r, err := b.Result()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, y := range r.Years {
		fmt.Println(y.From.Year(), "stock", y.End, "profit", y.Profit())
	}
	for _, d := range r.Doubles {
		fmt.Println(d.OnHand, d.Model, "on hand; sell first that of", d.Sell[0].Haul, "at", d.Sell[0].Each)
	}
	// Output:
	// 2026 stock 38.00 CAD profit 15.00 CAD
	// 2 jack-5 on hand; sell first that of summer at 18.00 CAD
}

// TestBookAllocates: what a book allocates grows as the hauls do.
func TestBookAllocates(t *testing.T) {
	effort.Grows(t, 10, 1000, 700, 1.02, func(n int) float64 {
		var hauls []book.Haul
		for i := range n {
			hauls = append(hauls, haul(fmt.Sprint("haul-", i), day(1+i%300), typed.Amount("80 CAD"), jacks(2)))
		}
		return effort.Allocations(func() { keep(t, book.Options{}, hauls...) })
	})
}

// TestGuessesRise: chances stand in the order of what was said, whatever came first; what is
// missing tells nothing.
func TestGuessesRise(t *testing.T) {
	var items []landed.Item
	for i, said := range []string{"0.5", "0.9", "0.05", "0.25", "0.5"} {
		chance := typed.Number(said)
		items = append(items, landed.Item{ID: fmt.Sprint(i), Count: 1, Found: &landed.Found{Sound: 1}, Chances: []landed.Outcome{
			{Chance: chance, Value: typed.Amount("9 CAD")}, {Chance: typed.Number("1").Sub(chance), Value: typed.Amount("0 CAD")}}})
	}
	items[0].Count, items[0].Found = 2, &landed.Found{Sound: 1, Parts: 1}
	items[1].Found = &landed.Found{Missing: 1}
	var got []string
	for _, s := range keep(t, book.Options{}, haul("a", day(1), typed.Amount("9 CAD"), items...)).Guesses.ByChance {
		got = append(got, fmt.Sprint(s.Mean.RatString(), " of ", s.Pieces))
	}
	if want := "1/20 of 1, 1/4 of 1, 1/2 of 3"; strings.Join(got, ", ") != want {
		t.Errorf("%s, want %s", strings.Join(got, ", "), want)
	}
}

// TestOmitted counts the hauls that say nothing of the border that they cross.
func TestOmitted(t *testing.T) {
	abroad := haul("a", day(1), typed.Amount("9 CAD"), jacks(1))
	abroad.From, abroad.To = "JP", "CA"
	other := haul("b", day(1), typed.Amount("9 CAD"), jacks(1))
	other.From, other.To = "GB", "CA"
	if r := keep(t, book.Options{}, abroad, haul("c", day(1), typed.Amount("9 CAD"), jacks(1)), other); r.OmitBorder != 2 || r.Hauls != 3 {
		t.Errorf("%d of %d, want 2 of 3", r.OmitBorder, r.Hauls)
	}
}
