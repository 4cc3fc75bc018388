package bid_test

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"

	"pgregory.net/rapid"
)

// Reckoned by hand: four planes of which each brings 45 or 8 with chances of
// 0.6 and 0.4 have a mean of 4 x 30.20 = 120.80. A return of 30 % leaves 120.80
// / 1.3 = 92.92 for all; freight is 27.90, so 65.02 may go to the sale, at 0.93
// for 100 yen 6 991 yen, and the steps of 250 from 5 000 on stop at 6 750. The
// binomial chances of 0 to 4 that work are 0.0256, 0.1536, 0.3456, 0.3456 and
// 0.1296, and 90.68 is lost on two or fewer but 106: 0.0256 + 0.1536.
func TestByHand(t *testing.T) {
	h := crate()
	h.Bidding.Goal.Return = fraction("0.3")
	a := highest(t, h, bid.Options{})
	p := a.Best
	got := fmt.Sprintln(len(a.Ranges) > 0, a.Limits[0].Goal, a.Limits[0].Want, a.Limits[0].Most, p.Bid, p.Cost, p.Profit, p.Loss.Rat().FloatString(4), p.Missing, a.Ranges)
	const want = "true return on cost 30% 92.92 CAD 6750 JPY 90.68 CAD 30.12 CAD 0.1792 0.00 CAD [[500 JPY 6750 JPY]]\n"
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if a.Best.Return.Cmp(big.NewRat(3012, 9068)) != 0 || a.Statement.Total != p.Cost || a.Ladder[4].Bid != p.Bid || len(a.Ladder) != 9 {
		t.Errorf("return %v, ladder %v", a.Best.Return, a.Ladder)
	}
}

// The same, goal by goal. The quantiles are those of the binomial chances above:
// sums of 32, 69, 106, 143 and 180.
func TestGoals(t *testing.T) {
	for _, c := range []struct {
		name string
		goal bid.Goal
		want string
	}{
		{"none: nothing lost on average", bid.Goal{}, "no expected loss 120.80 CAD"},
		{"profit", bid.Goal{Profit: amount("20.05 CAD")}, "expected profit 100.75 CAD"},
		{"a loss allowed", bid.Goal{Profit: amount("-5 CAD")}, "expected profit 125.80 CAD"},
		{"return", bid.Goal{Return: fraction("0.5")}, "return on cost 80.53 CAD"},
		{"margin", bid.Goal{Margin: fraction("0.2")}, "margin on proceeds 96.64 CAD"},
		{"never a loss", bid.Goal{Risk: fraction("0")}, "chance of a loss 32.00 CAD"},
		{"risk just below a chance", bid.Goal{Risk: fraction("0.1791")}, "chance of a loss 69.00 CAD"},
		{"risk of just that chance", bid.Goal{Risk: fraction("0.1792")}, "chance of a loss 106.00 CAD"},
		{"any risk", bid.Goal{Risk: fraction("1")}, "no expected loss 120.80 CAD"},
		{"budget", bid.Goal{Budget: amount("77.70 CAD")}, "budget 77.70 CAD"},
		{"budget out of reach", bid.Goal{Budget: amount("500 CAD")}, "no expected loss 120.80 CAD"},
		{"all", bid.Goal{Profit: amount("1 CAD"), Return: fraction("0.1"), Margin: fraction("0.1"), Risk: fraction("0.5"), Budget: amount("99 CAD")}, "budget 99.00 CAD"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := crate()
			h.Bidding.Goal = c.goal
			a := highest(t, h, bid.Options{})
			l := a.Limits[a.Binding]
			if got := fmt.Sprint(l.Goal, " ", l.Most); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestDefaultSteps(t *testing.T) {
	for _, c := range []struct{ code, want string }{
		{"JPY", "0 JPY +100 JPY, 5000 JPY +250 JPY, 10000 JPY +500 JPY, 20000 JPY +1000 JPY, 50000 JPY +2500 JPY"},
		{"CAD", "0.00 CAD +1.00 CAD, 50.00 CAD +2.50 CAD, 100.00 CAD +5.00 CAD, 200.00 CAD +10.00 CAD, 500.00 CAD +25.00 CAD"},
		{"KWD", "0.000 KWD +1.000 KWD, 50.000 KWD +2.500 KWD, 100.000 KWD +5.000 KWD, 200.000 KWD +10.000 KWD, 500.000 KWD +25.000 KWD"},
	} {
		var got []string
		for _, s := range bid.DefaultSteps(money.MustCurrency(c.code))[:5] {
			got = append(got, fmt.Sprintf("%s +%s", s.From, s.Step))
		}
		if list := strings.Join(got, ", "); list != c.want {
			t.Errorf("got  %s\nwant %s", list, c.want)
		}
	}
}

// The bid that loses the relief of 20.00 CAD by post costs the duty, the tax and
// the handling more at once; all of that is named.
func TestCliff(t *testing.T) {
	h := crate()
	h.Border = border(customs.Post)
	a := highest(t, h, bid.Options{})
	if len(a.Cliffs) != 1 {
		t.Fatalf("%d cliffs: %v", len(a.Cliffs), a.Cliffs)
	}
	c := a.Cliffs[0]
	// 2200 yen are 20.46: duty 1.02, HST 2.79, handling 9.95; 93 for 10 000.
	const want = "2100 JPY 2200 JPY 47.43 CAD 62.12 CAD [above the duty-free limit of 20.00 CAD (duty and tax), at 20.46 CAD postal handling begins, 9.95 CAD]"
	if got := fmt.Sprint(c.Below.Bid, c.At.Bid, c.Below.Cost, c.At.Cost, c.At.Turns); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// Duty and tax may begin or end without any relief. Swiss tax, 8.1 % of the value in
// whole francs, is due from 5 francs on: 61 would owe 4.94, 62 owe 5.02. Pens are
// free of duty in the Union above 150 euros, and owe 3 euros up to there.
func TestChargeTurns(t *testing.T) {
	for _, c := range []struct {
		to, class string
		mode      customs.Mode
		count     int64
		from      string
		budget    string
		want      string
	}{
		{"CH", "tool", customs.Courier, 4, "11240 JPY", "113.10 CAD", "11241 JPY 11242 JPY 104.54 CAD 113.08 CAD [tax begins]"},
		{"DE", "pen", customs.Post, 12, "25800 JPY", "288 CAD", "25807 JPY 25808 JPY 291.32 CAD 285.61 CAD [duty ends]"},
	} {
		h := crate()
		h.To, h.Charges = c.to, nil
		h.Market = market("100 JPY = 0.93 CAD", "1 CHF = 1.70 CAD", "1 EUR = 1.60 CAD")
		h.Border = border(c.mode)
		h.Lots[0].Items[0].Count, h.Lots[0].Items[0].Class = c.count, c.class
		h.Bidding.Goal.Budget = amount(c.budget)
		h.Bidding.Start, h.Bidding.Steps = amount(c.from), []bid.BidStep{{From: amount("0 JPY"), Step: amount("1 JPY")}}
		var got []string
		for _, cliff := range highest(t, h, bid.Options{}).Cliffs {
			got = append(got, fmt.Sprint(cliff.Below.Bid, cliff.At.Bid, cliff.Below.Cost, cliff.At.Cost, cliff.At.Turns))
		}
		if list := strings.Join(got, ", "); list != c.want {
			t.Errorf("%s: got %s, want %s", c.to, list, c.want)
		}
	}
}

func TestNotReached(t *testing.T) {
	h := crate()
	h.Bidding.Goal.Profit = amount("100 CAD")
	a := highest(t, h, bid.Options{})
	// 500 yen and the freight are 4.65 + 27.90, and 20.80 may be spent
	if got := fmt.Sprint(len(a.Ranges) > 0, a.Best.Bid, a.Best.Cost, a.Best.Missing, len(a.Ranges)); got != "false 500 JPY 32.55 CAD 11.75 CAD 0" {
		t.Errorf("got %s", got)
	}
}

func TestJudge(t *testing.T) {
	h := crate()
	h.Bidding.Goal.Return = fraction("0.3")
	b := bidder(t, h, bid.Options{})
	for _, c := range []struct{ bid, want string }{
		{"5123 JPY", "true 75.54 CAD 0.00 CAD"},
		{"6990 JPY", "true 92.91 CAD 0.00 CAD"},
		{"6992 JPY", "false 92.93 CAD 0.01 CAD"},
		{"0 JPY", "true 27.90 CAD 0.00 CAD"},
	} {
		a, err := b.Judge(amount(c.bid))
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(a.Asked.Missing.Sign() == 0, a.Asked.Cost, a.Asked.Missing); got != c.want || a.Statement.Total != a.Asked.Cost || a.Best.Bid != amount("6750 JPY") {
			t.Errorf("%s: got %s, want %s", c.bid, got, c.want)
		}
	}
}

// Values are prices at the venue; what sale leaves nothing of is not sold, a kept
// piece counts at its worth, a range is five points.
func TestProceeds(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*haul, *landed.Item)
		want   string // least, mean, most
	}{
		{"a venue", func(h *haul, it *landed.Item) { h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}} }, "6.04 25.58 38.60"},
		{"not worth selling", func(h *haul, it *landed.Item) {
			h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}, Dispatch: resale.Dispatch{Packing: amount("7 CAD")}}
		}, "0.00 18.96 31.60"},
		{"repairs", func(h *haul, it *landed.Item) { it.Chances[0].Repair = amount("5 CAD") }, "8.00 27.20 40.00"},
		{"repairs are paid by card", func(h *haul, it *landed.Item) {
			h.Spread, it.Chances[0].Repair = number("0.1"), amount("1000 JPY")
		}, "8.00 24.06 34.77"},
		{"a repair in vain", func(h *haul, it *landed.Item) { it.Chances[1].Repair = amount("10 CAD") }, "-2.00 26.20 45.00"},
		{"kept", func(h *haul, it *landed.Item) { it.Keep, it.Worth = 1, amount("70 CAD") }, "8.00 45.20 70.00"},
		{"kept at its value", func(h *haul, it *landed.Item) {
			h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}}
			it.Keep = 1
		}, "6.04 29.42 45.00"},
		{"a range", func(h *haul, it *landed.Item) { it.Chances[0].UpTo = amount("65 CAD") }, "8.00 36.20 65.00"},
		// 0.875 that one of three works at all, and 1.5 - 0.875 that are left for sale
		{"one of three is kept, if one works", func(h *haul, it *landed.Item) {
			it.Count, it.Keep, it.Worth = 3, 1, amount("50 CAD")
			it.Chances = []landed.Outcome{{What: "works", Chance: number("0.5"), Value: amount("40 CAD")}, {What: "dead", Chance: number("0.5"), Value: amount("0 CAD")}}
		}, "0.00 68.75 130.00"},
		// of two at 30, 35, ... 50 the lesser is kept and counts 60: means of 36 and 44 of the two
		{"the lesser of a range is kept", func(h *haul, it *landed.Item) {
			it.Count, it.Keep, it.Worth = 2, 1, amount("60 CAD")
			it.Chances = []landed.Outcome{{What: "works", Chance: number("1"), Value: amount("30 CAD"), UpTo: amount("50 CAD")}}
		}, "90.00 104.00 110.00"},
		{"the best is so by its mean", func(h *haul, it *landed.Item) {
			it.Keep, it.Worth = 1, amount("100 CAD")
			it.Chances = []landed.Outcome{{What: "works", Chance: number("0.5"), Value: amount("40 CAD")}, {What: "for parts", Chance: number("0.5"), Value: amount("20 CAD"), UpTo: amount("59.99 CAD")}}
		}, "20.00 70.00 100.00"},
		{"of equals the first is the best", func(h *haul, it *landed.Item) {
			it.Keep, it.Worth = 1, amount("100 CAD")
			it.Chances = []landed.Outcome{{What: "a", Chance: number("0.5"), Value: amount("30 CAD"), UpTo: amount("50 CAD")}, {What: "b", Chance: number("0.5"), Value: amount("40 CAD")}}
		}, "40.00 70.00 100.00"},
		{"kept though a sale would bring more", func(h *haul, it *landed.Item) { it.Keep, it.Worth = 1, amount("5 CAD") }, "5.00 6.20 8.00"},
		{"yen", func(h *haul, it *landed.Item) { it.Chances[1].Value = amount("1000 JPY") }, "9.30 30.72 45.00"},
		{"a risk", func(h *haul, it *landed.Item) {
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("0.5"), Keeps: number("0.5")}}
		}, "4.00 22.65 45.00"},
		// it works or not, and the repair is spent either way: 0.5 (5 - 10), and half the 5 is lost
		{"a repair is spent in spite of a risk", func(h *haul, it *landed.Item) {
			it.Chances = []landed.Outcome{{What: "works", Chance: number("0.5"), Value: amount("5 CAD"), Repair: amount("10 CAD")}, {What: "dead", Chance: number("0.5"), Value: amount("0 CAD")}}
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("0.5"), Keeps: number("0")}}
		}, "-10.00 -3.75 0.00"},
		// 45.00 makes 38.60, half of it 18.80; 8.00 makes 6.04, half of it 2.52
		{"a risk at a venue", func(h *haul, it *landed.Item) {
			h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}}
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("0.5"), Keeps: number("0.5")}}
		}, "2.52 18.93 38.60"},
		{"a risk to what is kept", func(h *haul, it *landed.Item) {
			it.Keep, it.Worth = 1, amount("70 CAD")
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("1"), Keeps: number("0.5")}}
		}, "4.00 22.60 35.00"},
		// 0.45 x 0.1 x 0.1 is 0.0045, which is nothing; by two roundings it were 0.01
		{"two risks, rounded once", func(h *haul, it *landed.Item) {
			it.Chances = []landed.Outcome{{What: "right", Chance: number("1"), Value: amount("0.45 CAD")}}
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("1"), Keeps: number("0.1")}, {What: "wet", Chance: number("1"), Keeps: number("0.1")}}
		}, "0.00 0.00 0.00"},
		{"a risk to another item", func(h *haul, it *landed.Item) {
			h.Lots[0].Items = append(h.Lots[0].Items, landed.Item{ID: "vice", Count: 1, Value: amount("10 CAD"), Weighed: true})
			h.Risks = []bid.Risk{{What: "dropped", Chance: number("0.5"), Keeps: number("0"), On: []string{"vice"}}}
		}, "8.00 35.20 55.00"},
		{"no chances", func(h *haul, it *landed.Item) { it.Chances = nil }, "45.00 45.00 45.00"},
		{"nothing known", func(h *haul, it *landed.Item) {
			it.Chances, it.Value = nil, money.Amount{}
			h.Lots[0].Items = append(h.Lots[0].Items, landed.Item{ID: "vice", Count: 1, Value: amount("10 CAD"), Weighed: true})
			h.Share = h.Share.WithPrice(landed.ByCount)
		}, "10.00 10.00 10.00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := crate()
			h.Lots[0].Items[0].Count = 1
			c.change(h, &h.Lots[0].Items[0])
			d := bidder(t, h, bid.Options{}).Proceeds()
			if got := fmt.Sprintf("%s %s %s", d.Quantile(number("0")).Number(), d.Mean().Number(), d.Quantile(number("1")).Number()); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

// Pieces that share one outcome have the same mean and a wider spread.
func TestAlike(t *testing.T) {
	h := crate()
	apart := bidder(t, h, bid.Options{}).Proceeds()
	h.Lots[0].Items[0].Alike = true
	alike := bidder(t, h, bid.Options{}).Proceeds()
	if apart.Mean() != alike.Mean() || len(alike.Histogram(10)) != 2 || len(apart.Histogram(10)) != 5 || alike.StdDev() != money.New(2*apart.StdDev().Minor(), cad) {
		t.Errorf("apart %v ± %v, alike %v ± %v", apart.Mean(), apart.StdDev(), alike.Mean(), alike.StdDev())
	}
}

func TestNoValueAndTax(t *testing.T) {
	h := crate()
	h.Lots[0].Items[0].Chances, h.Lots[0].Items[0].Value = nil, money.Amount{}
	h.Lots[0].Items = append(h.Lots[0].Items, landed.Item{ID: "vice", Count: 1, Value: amount("90 CAD"), Weighed: true})
	h.Share = h.Share.WithPrice(landed.ByCount)
	h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}, Terms: resale.Terms{VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: number("0.2"), Collectible: true}}}
	a := highest(t, h, bid.Options{})
	// 90.00 less 11.80 for the venue, and a sixth of it, 15.00, as if all were margin
	if !slices.Equal(a.NoValue, []string{"jack"}) || !a.MarginTax || a.Proceeds.Mean() != amount("63.20 CAD") || a.Venue != "gable" {
		t.Errorf("no value %v, tax %v, mean %v", a.NoValue, a.MarginTax, a.Proceeds.Mean())
	}
}

func TestMoves(t *testing.T) {
	h := crate()
	moves, err := bidder(t, h, bid.Options{}).Moves()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range moves {
		got = append(got, fmt.Sprintf("%s: %s, %s", m.Factor, m.Less, m.More))
	}
	// 92.90 may go to the sale, 9 989 yen; 80.82 and 104.98 with other values,
	// 84.02 and 101.78 with other chances, 95.69 and 90.11 with other freight,
	// and with other rates 120.80/0.837 - 3 000 and 120.80/1.023 - 3 000.
	want := []string{
		"values: 8500 JPY, 11000 JPY",
		"chances: 9000 JPY, 10500 JPY",
		"freight: 10000 JPY, 9500 JPY",
		"rate: 11000 JPY, 8750 JPY",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "\n     "), strings.Join(want, "\n     "))
	}
	// What it brings in yen, 4 x (60 % of 5 000 + 40 % of 900), less 3 000 is 10 440 yen at any rate.
	yen := crate()
	it := &yen.Lots[0].Items[0]
	it.Value, it.Chances[0].Value, it.Chances[1].Value = amount("5000 JPY"), amount("5000 JPY"), amount("900 JPY")
	moves, err = bidder(t, yen, bid.Options{}).Moves()
	if at := len(moves) - 1; err != nil || moves[at].Factor != "rate" || moves[at].Less != amount("10000 JPY") || moves[at].More != amount("10000 JPY") {
		t.Errorf("in yen: %v, %v", moves, err)
	}
	h.Charges, h.Lots[0].Items[0].Chances, h.Bidding.Start = nil, nil, amount("1 CAD")
	moves, err = bidder(t, h, bid.Options{}).Moves()
	if err != nil || len(moves) != 1 || moves[0].Factor != "values" {
		t.Errorf("got %v, %v", moves, err)
	}
}

func fact() *haul {
	h := crate()
	h.Lots[0].Open, h.Lots[0].Price = false, amount("4000 JPY")
	h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}}
	it := &h.Lots[0].Items[0]
	it.Found = &landed.Found{Sound: 2, Parts: 1, Dead: 1}
	it.Sold, it.Keep, it.Worth, it.Repair = []landed.Sale{{Price: amount("41 CAD"), Count: 1}}, 1, amount("50 CAD"), amount("6 CAD")
	return h
}

// 41.00 makes 35.08 at the venue, the kept one counts 50.00, 6.00 went into
// repairs; of three fit pieces one is not sold.
func TestLook(t *testing.T) {
	f, err := look(fact(), bid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	it := f.Items[0]
	got := fmt.Sprint(f.Statement.Total, f.Brought, f.Expected, f.Unsold, it.Net, it.Kept, it.Repaired, it.Pieces[0], it.Pieces[1])
	// expected: four that bring 25.576 each, and 50.00 in place of 38.60 unless all four fail, 0.4^4
	if want := "65.10 CAD 79.08 CAD 113.41 CAD 1 35.08 CAD 50.00 CAD 6.00 CAD 12/5 8/5"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// none works, 24.16; one, which is kept, 68.12; two, 100.68: below 79.08 are none and one,
	// 0.0256 + 0.1536
	if low, high := f.Less.Rat(), f.AtMost.Rat(); low.Cmp(big.NewRat(1792, 10000)) != 0 || high.Cmp(low) != 0 {
		t.Errorf("chances %v and %v", low, high)
	}
}

// Of five fit pieces one was sold and one is kept. By value two sound ones leave
// 45.00 less 12 % and 1.00 each, 38.60, one for parts brings its 7.00, and two
// irons of the dead one 3.00 each.
func TestLookUnsold(t *testing.T) {
	h := fact()
	it := &h.Lots[0].Items[0]
	it.Count, it.PartsValue = 6, amount("7 CAD")
	it.Found = &landed.Found{Sound: 4, Parts: 1, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 2, Value: amount("3 CAD")}}}
	for _, c := range []struct {
		sold int64
		want string
	}{
		{1, "169.28 CAD 90.20 CAD 5 [] 50.00 CAD"},
		{3, "92.08 CAD 13.00 CAD 3 [] 50.00 CAD"},
		{4, "42.08 CAD 13.00 CAD 3 [] 0.00 CAD"}, // the kept one was sold too
		{5, "35.08 CAD 6.00 CAD 2 [] 0.00 CAD"},
	} {
		it.Sold[0].Count = c.sold
		f, err := look(h, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(f.Brought, f.Items[0].NotSold, f.Unsold, f.NoValue, f.Items[0].Kept); got != c.want {
			t.Errorf("%d sold: got %s, want %s", c.sold, got, c.want)
		}
	}
	it.Sold[0].Count, it.PartsValue = 1, money.Amount{}
	if f, err := look(h, bid.Options{}); err != nil || !slices.Equal(f.NoValue, []string{"jack"}) {
		t.Errorf("got %+v, %v", f, err)
	}
}

func TestErrors(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*haul)
		o      bid.Options
		want   string
	}{
		{"unknown lot", nil, bid.Options{Lot: "crate-b"}, `no lot has the id "crate-b": did you mean crate-a?`},
		{"unknown lot in the haul", func(h *haul) { h.Bidding.Lot = "box" }, bid.Options{}, `bidding: lot: no lot has the id "box": known here: crate-a`},
		{"several lots", func(h *haul) {
			lot := h.Lots[0]
			lot.ID, lot.Items = "box", []landed.Item{{ID: "vice", Count: 1, Weighed: true, Value: amount("5 CAD")}}
			h.Lots = append(h.Lots, lot)
		}, bid.Options{}, "there are several lots: name the one to bid for, of crate-a, box"},
		{"unknown venue", func(h *haul) { h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}} }, bid.Options{Venue: "gabel"}, `no venue is called "gabel": did you mean gable?`},
		{"no venue", nil, bid.Options{Venue: "gable"}, `no venue is called "gable": the haul names none`},
		{"no currency", func(h *haul) { h.Bidding = nil }, bid.Options{}, `nothing says in which currency lot "crate-a" is bid for: write the first bid, or what it may go for, as its likely`},
		{"over 100 %", func(h *haul) { h.Lots[0].Items[0].Chances[1].Chance = number("0.45") }, bid.Options{}, "item jack: chances: the chances come to 105%: take away 5%"},
		{"under 100 %", func(h *haul) { h.Lots[0].Items[0].Chances[1].Chance = number("0.3") }, bid.Options{}, "item jack: chances: the chances come to 90%: name what happens in the other 10%, or write the last as chance: rest"},
		{"a negative chance", func(h *haul) {
			h.Lots[0].Items[0].Chances[0].Chance, h.Lots[0].Items[0].Chances[1].Chance = number("-0.1"), number("1.1")
		}, bid.Options{}, "item jack: chances: a chance of -10% makes no sense: write one from 0% to 100%\nitem jack: chances: a chance of 110% makes no sense: write one from 0% to 100%"},
		{"a negative value", func(h *haul) { h.Lots[0].Items[0].Chances[0].Value = amount("-1 CAD") }, bid.Options{}, "item jack: chances: the value is negative: write what a piece then sells for, 0 or more"},
		{"no value", func(h *haul) { h.Lots[0].Items[0].Chances[0].Value = money.Amount{} }, bid.Options{}, "item jack: chances: the value is missing: write what one piece then sells for"},
		{"a range turned round", func(h *haul) { h.Lots[0].Items[0].Chances[0].UpTo = amount("40 CAD") }, bid.Options{}, "item jack: chances: a value from 45.00 CAD to 40.00 CAD makes no sense: write the lesser one first"},
		{"a step of zero", func(h *haul) {
			h.Bidding.Steps = []bid.BidStep{{From: amount("0 JPY"), Step: amount("0 JPY")}}
		}, bid.Options{}, "bidding: steps: a step of 0 JPY gets nowhere: write by how much bids rise"},
		{"steps from above 0", func(h *haul) {
			h.Bidding.Steps = []bid.BidStep{{From: amount("100 JPY"), Step: amount("50 JPY")}}
		}, bid.Options{}, "bidding: steps: the first steps begin at 100 JPY: begin at 0"},
		{"steps in no order", func(h *haul) {
			h.Bidding.Steps = []bid.BidStep{{From: amount("0 JPY"), Step: amount("50 JPY")}, {From: amount("0 JPY"), Step: amount("60 JPY")}}
		}, bid.Options{}, "bidding: steps: steps from 0 JPY stand after those from 0 JPY: write them by rising amounts"},
		{"steps in two currencies", func(h *haul) {
			h.Bidding.Steps = []bid.BidStep{{From: amount("0 CAD"), Step: amount("1 CAD")}}
		}, bid.Options{}, "bidding: start: the first bid is in JPY, but the steps are in CAD: write all of them in the currency of the sale"},
		{"a negative start", func(h *haul) { h.Bidding.Start = amount("-5 JPY") }, bid.Options{}, "bidding: start: the first bid is negative: write the first bid that is taken"},
		{"goals", func(h *haul) {
			h.Bidding.Goal = bid.Goal{Return: fraction("-1"), Profit: amount("5 JPY")}
		}, bid.Options{}, "bidding: goal: profit: 5 JPY is not in CAD: write it in the currency of your books\nbidding: goal: return: -100% on cost makes no sense: write what is to be gained on the cost, as in 30%"},
		{"margin", func(h *haul) { h.Bidding.Goal.Margin = fraction("1") }, bid.Options{}, "bidding: goal: margin: 100% of the proceeds leaves nothing to pay with: write less than 100%, as in 20%"},
		{"risk", func(h *haul) { h.Bidding.Goal.Risk = fraction("1.2") }, bid.Options{}, "bidding: goal: risk: a chance of 120% makes no sense: write the greatest chance of a loss you take, from 0% to 100%"},
		{"a risk of the haul", func(h *haul) {
			h.Risks = []bid.Risk{{What: "rain", Chance: number("1.5"), Keeps: number("-1"), On: []string{"jak"}}}
		}, bid.Options{}, "risk \"rain\": a chance of 150% makes no sense: write one from 0% to 100%\nrisk \"rain\": keeping -100% makes no sense: write the part of the values that remains, from 0% to 100%\nrisk \"rain\": no lot or item has the id \"jak\": did you mean jack?"},
		{"no weight", func(h *haul) {
			h.Lots[0].Items[0].Weighed = false
			h.Charges = nil
			h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}, Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: 1, Price: amount("1 CAD")}}}}}
		}, bid.Options{}, "item jack: has no weight, but postage at gable goes by weight: write what one piece weighs"},
		{"no rate", func(h *haul) { h.Lots[0].Items[0].Chances[1].Value = amount("3 USD") }, bid.Options{}, `item jack: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`},
		{"more than can be calculated", func(h *haul) {
			h.Lots[0].Items[0].Count, h.Lots[0].Items[0].Keep, h.Lots[0].Items[0].Worth = 500_000, 1, amount("60 CAD")
		}, bid.Options{}, `item jack: some of 500000 pieces are kept, and which can be calculated for 87381 more at most: make the kept ones an item of their own`},
		{"more pieces than can be counted", func(h *haul) { h.Lots[0].Items[0].Count = 1_000_001 }, bid.Options{},
			`item jack: up to here there are 1000001 pieces, and chances are counted of 1000000 at most: write as one piece what is sold together, such as a box of nails`},
		{"a chance too fine", func(h *haul) {
			h.Lots[0].Items[0].Chances = []landed.Outcome{{What: "right", Chance: number("0.1234567890123456789"), Value: amount("45 CAD")}, {What: "dead", Chance: number("0.8765432109876543211"), Value: amount("0 CAD")}}
		}, bid.Options{}, `item jack: "right": a chance of 12.34567890123456789%: write it with at most 16 decimals`},
		{"seven risks", func(h *haul) {
			h.Risks = slices.Repeat([]bid.Risk{{What: "rain", Chance: number("0.1"), Keeps: number("0.5")}}, 7)
		}, bid.Options{}, `risk "rain": with this one, more than 6 risks hit what is calculated: make one risk of several that are alike, or leave out the least likely`},
		{"a discount of the price", func(h *haul) {
			h.Charges = append(h.Charges, landed.Charge{What: "rebate", Kind: landed.Fee, OfPrice: true, Percent: number("-0.05")})
		}, bid.Options{}, `charge "rebate": a percentage of price is negative: write a refund as an amount`},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := crate()
			if c.change != nil {
				c.change(h)
			}
			if _, err := bid.New(&h.Haul, h.Plans, c.o); err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestErrorsOfOneBid(t *testing.T) {
	b := bidder(t, crate(), bid.Options{})
	for _, c := range []struct{ bid, want string }{
		{"50 CAD", `"50.00 CAD" is not in JPY, the currency of the bids: write it in JPY`},
		{"-5 JPY", `"-5 JPY" is no bid: write an amount of 0 or more`},
	} {
		if _, err := b.Judge(amount(c.bid)); askedOf(err) != "bid" || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
	h := crate()
	h.Border = border(customs.Post)
	h.Bidding = &bid.Bidding{Steps: []bid.BidStep{{From: amount("0 JPY"), Step: amount("1 JPY")}}, Goal: bid.Goal{Profit: amount("-500 CAD")}}
	const want = `more than 20000 bids are within the goal, at steps of "1 JPY": make the steps larger, or the goal smaller`
	if _, err := bidder(t, h, bid.Options{}).Highest(); askedOf(err) != "bids" || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := look(h, bid.Options{}); err == nil || askedOf(err) == "result" {
		t.Errorf("the price is open: got %v", err)
	}
	extra := fact()
	extra.Lots[0].Items = append(extra.Lots[0].Items, landed.Item{ID: "vice", Found: &landed.Found{Extra: 1, Sound: 1}, Weighed: true})
	if f, err := look(extra, bid.Options{}); err != nil || f.Items[1].Expected.Sign() != 0 || f.Expected != amount("113.41 CAD") {
		t.Errorf("what nobody paid for: %v, %v", f, err)
	}
	f := fact()
	f.Lots[0].Items[0].Found, f.Lots[0].Items[0].Sold = nil, nil
	if _, err := look(f, bid.Options{}); askedOf(err) != "result" {
		t.Errorf("got %v", err)
	}
}

// A lot whose price is open is not split, and the fault says what to do.
func TestOpenPrice(t *testing.T) {
	const want = "lot crate-a: the price is still open: write it once it is known"
	if _, err := landed.Split(&crate().Haul); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Without a border bisection alone finds the bid, at steps as small as one
// minor unit: the one above costs too much, it does not.
func TestSmallSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := crate()
		h.Lots[0].Premium = number("0.01").Mul(number(fmt.Sprint(rapid.IntRange(0, 30).Draw(t, "premium"))))
		h.Bidding = &bid.Bidding{Steps: []bid.BidStep{{From: amount("0 JPY"), Step: amount("1 JPY")}}}
		h.Bidding.Goal.Profit = money.New(rapid.Int64Range(-9000, 9000).Draw(t, "profit"), cad)
		b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		a, err := b.Highest()
		if err != nil {
			t.Fatal(err)
		}
		limit := 12080 - h.Bidding.Goal.Profit.Minor()
		if len(a.Ranges) == 0 {
			if a.Best.Cost.Minor() <= limit {
				t.Fatalf("%v meets it", a.Best)
			}
			return
		}
		above, err := b.Judge(money.New(a.Best.Bid.Minor()+1, jpy))
		if err != nil {
			t.Fatal(err)
		}
		if a.Best.Cost.Minor() > limit || above.Asked.Cost.Minor() <= limit {
			t.Fatalf("%v costs %v, one more %v, the limit is %d", a.Best.Bid, a.Best.Cost, above.Asked.Cost, limit)
		}
	})
}

// A bid does not change the haul it is asked of.
func TestHaulIsLeftAlone(t *testing.T) {
	h := crate()
	before := fmt.Sprintf("%+v", *h)
	b := bidder(t, h, bid.Options{})
	if _, err := b.Highest(); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Moves(); err != nil {
		t.Fatal(err)
	}
	if after := fmt.Sprintf("%+v", *h); after != before {
		t.Errorf("the haul was\n%s\nand is\n%s", before, after)
	}
}

// TestNoHaul checks that a haul that is not there is refused.
func TestNoHaul(t *testing.T) {
	_, none := bid.New(nil, bid.Plans{}, bid.Options{})
	_, look := bid.Look(nil, bid.Plans{}, bid.Options{})
	_, border := bid.Border(nil, bid.Plans{}, "")
	for _, err := range []error{none, look, border} {
		if err == nil || err.Error() != "there is no haul" {
			t.Errorf("got %v", err)
		}
	}
}

// What is said of too many pieces of which some are kept helps when it is done.
func TestKeptApart(t *testing.T) {
	h := crate()
	items := &h.Lots[0].Items
	(*items)[0].Count, (*items)[0].Keep, (*items)[0].Worth = 300_000, 4, amount("60 CAD")
	_, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err == nil || !strings.HasSuffix(err.Error(), ": make the kept ones an item of their own") {
		t.Fatal(err)
	}
	kept, rest := (*items)[0], (*items)[0]
	kept.ID, kept.Count = "kept", 4
	rest.Count, rest.Keep = rest.Count-4, 0
	*items = []landed.Item{kept, rest}
	// 299 996 x 30.20, and 4 x (0.6 x 60.00 + 0.4 x 8.00)
	if mean := bidder(t, h, bid.Options{}).Proceeds().Mean(); mean != amount("9060036 CAD") {
		t.Errorf("they bring %v", mean)
	}
}

// A range of values counts as five, evenly spread and equally likely, ends
// included, or as fewer where there are not so many minor units. What a risk
// leaves of each is rounded once: 1.25 of 2.5, not 1.5 of 3.
func TestRange(t *testing.T) {
	for _, c := range []struct {
		low, high int64
		keeps     string
		want      []int64
	}{
		{3000, 5000, "1", []int64{3000, 3500, 4000, 4500, 5000}},
		{0, 5, "1", []int64{0, 1, 3, 4, 5}},
		{0, 45, "0.5", []int64{0, 6, 11, 17, 23}},
		{7, 9, "1", []int64{7, 8, 9}},
		{7, 7, "1", []int64{7}},
	} {
		h := crate()
		h.Lots[0].Items = h.Lots[0].Items[:1]
		h.Lots[0].Items[0].Count = 1
		h.Lots[0].Items[0].Chances = []landed.Outcome{{What: "right", Chance: number("1"), Value: money.New(c.low, cad), UpTo: money.New(c.high, cad)}}
		h.Risks = []bid.Risk{{What: "rain", Chance: number("1"), Keeps: number(c.keeps)}}
		var got []int64
		for _, b := range bidder(t, h, bid.Options{}).Proceeds().Histogram(10) {
			got = append(got, b.From.Minor())
			off := new(big.Rat).Sub(b.Chance.Rat(), big.NewRat(1, int64(len(c.want))))
			if b.From != b.To || off.Abs(off).Cmp(number("0.000000000000000001").Rat()) > 0 {
				t.Errorf("%v: %v has %v", c, b.From, b.Chance.Rat())
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: got %v", c, got)
		}
	}
}
