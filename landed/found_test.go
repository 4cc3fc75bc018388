package landed_test

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/published"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// byProductCase is a cost of making a main product and a by-product.
type byProductCase struct {
	published.Case `yaml:",inline"`
	Home           string
	Losses         string
	Price          string
	Items          []struct {
		Count, Sound, Parts int64
		Value               string
		PartsValue          string `yaml:"parts_value"`
	}
	Sound    []string // what the sound pieces of each item carry
	ForParts []string `yaml:"for_parts"` // and those for parts
}

func TestByProducts(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []byProductCase
	}
	published.Read(t, "byproduct.yaml", &data)
	if len(data.Cases) == 0 {
		t.Fatal("no cases")
	}
	for _, c := range data.Cases {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			st := split(t, c.haul())
			for i := range st.Items {
				if got := carriedBy(&st.Items[i], landed.Sound); got.Number() != c.Sound[i] {
					t.Errorf("item %d: sound pieces carry %s, want %s", i, got.Number(), c.Sound[i])
				}
				if got := carriedBy(&st.Items[i], landed.ForParts); got.Number() != c.ForParts[i] {
					t.Errorf("item %d: pieces for parts carry %s, want %s", i, got.Number(), c.ForParts[i])
				}
			}
		})
	}
}

func (c byProductCase) haul() *landed.Haul {
	lot := landed.Lot{ID: "lot", Price: amount(c.Price + " " + c.Home)}
	for i, it := range c.Items {
		made := item(fmt.Sprintf("part-%d", i+1), it.Count, "", it.Value+" "+c.Home)
		made.Found = &landed.Found{Sound: it.Sound, Parts: it.Parts}
		if it.PartsValue != "" {
			made.PartsValue = amount(it.PartsValue + " " + c.Home)
		}
		lot.Items = append(lot.Items, made)
	}
	h := &landed.Haul{Home: money.MustCurrency(c.Home), Lots: []landed.Lot{lot}}
	h.Losses, _ = landed.ParseLossRule(c.Losses)
	return h
}

// carriedBy sums what the pieces of an item in a state cost.
func carriedBy(c *landed.ItemCost, state landed.State) money.Amount {
	var minor int64
	for _, g := range c.Each() {
		if g.State == state {
			minor += g.Count * g.Each.Minor()
		}
	}
	return money.New(minor, c.Cost.Currency())
}

// TestOneOfFour: of four alike pieces bought for one price, the one that works
// carries the lot (common practice, no source).
func TestOneOfFour(t *testing.T) {
	jack := item("jack", 4, "", "38 CAD")
	jack.Found = &landed.Found{Sound: 1, Dead: 3}
	h := &landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "crate", Price: amount("40 CAD"), Items: []landed.Item{jack}}}}
	want := []landed.Pieces{{State: landed.Sound, Count: 1, Each: amount("40.00 CAD")}}
	if got := split(t, h).Items[0].Each(); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestLossRules sets the rules side by side: two lots of 30.00 and 10.00, whose
// items cost 20.00, 10.00 and 10.00; of the first, one of two is dead.
func TestLossRules(t *testing.T) {
	cases := []struct {
		rule  string
		found [3]landed.Found
		cost  []string
		loss  string
	}{
		{"item", [3]landed.Found{{Sound: 1, Dead: 1}, {Sound: 1}, {Sound: 1}}, []string{"20.00", "10.00", "10.00"}, "0.00"},
		{"lot", [3]landed.Found{{Sound: 1, Dead: 1}, {Sound: 1}, {Sound: 1}}, []string{"15.00", "15.00", "10.00"}, "0.00"},
		{"haul", [3]landed.Found{{Sound: 1, Dead: 1}, {Sound: 1}, {Sound: 1}}, []string{"13.34", "13.33", "13.33"}, "0.00"},
		{"written-off", [3]landed.Found{{Sound: 1, Dead: 1}, {Sound: 1}, {Sound: 1}}, []string{"10.00", "10.00", "10.00"}, "10.00"},
		// Nothing of the item is sound: the lot carries it, or else the haul, or else nobody.
		{"item", [3]landed.Found{{Dead: 2}, {Sound: 1}, {Sound: 1}}, []string{"0.00", "30.00", "10.00"}, "0.00"},
		{"item", [3]landed.Found{{Dead: 1, Missing: 1}, {Dead: 1}, {Sound: 1}}, []string{"0.00", "0.00", "40.00"}, "0.00"},
		{"lot", [3]landed.Found{{Dead: 2}, {Missing: 1}, {Sound: 1}}, []string{"0.00", "0.00", "40.00"}, "0.00"},
		{"item", [3]landed.Found{{Dead: 2}, {Missing: 1}, {Dead: 1}}, []string{"0.00", "0.00", "0.00"}, "40.00"},
		{"written-off", [3]landed.Found{{Dead: 2}, {Sound: 1}, {Sound: 1}}, []string{"0.00", "10.00", "10.00"}, "20.00"},
		// An extra piece shares equally and lowers what each costs, not the sum.
		{"item", [3]landed.Found{{Sound: 3, Extra: 1}, {Sound: 1}, {Sound: 1}}, []string{"20.00", "10.00", "10.00"}, "0.00"},
		{"written-off", [3]landed.Found{{Sound: 3, Dead: 1, Extra: 2}, {Sound: 1}, {Sound: 1}}, []string{"15.00", "10.00", "10.00"}, "5.00"},
	}
	for _, c := range cases {
		t.Run(c.rule, func(t *testing.T) {
			h := &landed.Haul{Home: cad, Lots: []landed.Lot{
				{ID: "a", Price: amount("30 CAD"), Items: []landed.Item{item("jack", 2, "", "10 CAD"), item("block", 1, "", "10 CAD")}},
				{ID: "b", Price: amount("10 CAD"), Items: []landed.Item{item("brace", 1, "", "10 CAD")}},
			}}
			h.Lots[0].Items[0].Found, h.Lots[0].Items[1].Found, h.Lots[1].Items[0].Found = &c.found[0], &c.found[1], &c.found[2]
			var known bool
			if h.Losses, known = landed.ParseLossRule(c.rule); !known || h.Losses.String() != c.rule {
				t.Fatalf("%q is not known", c.rule)
			}
			st := split(t, h)
			if got := numbers(st); !slices.Equal(got, c.cost) {
				t.Errorf("got %v, want %v", got, c.cost)
			}
			if st.Loss.Number() != c.loss || !st.WasFound {
				t.Errorf("written off: %s, want %s", st.Loss.Number(), c.loss)
			}
		})
	}
}

// TestRepairStays checks that a repair is carried by the sound pieces of its
// item, and a refund lowers what they carry.
func TestRepairStays(t *testing.T) {
	jack := item("jack", 2, "", "10 CAD")
	jack.Found = &landed.Found{Sound: 1, Dead: 1}
	jack.Repair = amount("6.40 CAD")
	h := &landed.Haul{Home: cad, Losses: landed.LossWrittenOff,
		Lots:    []landed.Lot{{ID: "a", Price: amount("20 CAD"), Items: []landed.Item{jack}}},
		Charges: []landed.Charge{{What: "claim", Kind: landed.Fee, Amount: amount("-8 CAD"), On: []string{"jack"}}}}
	st := split(t, h)
	if got, want := st.Items[0].Cost.Number()+" and "+st.Loss.Number()+" of "+st.Total.Number(), "12.40 and 6.00 of 18.40"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// TestFoundFaults compares the whole text of what does not add up.
func TestFoundFaults(t *testing.T) {
	cases := []struct {
		name  string
		found *landed.Found
		keep  int64
		want  string
	}{
		{"too few", &landed.Found{Sound: 2}, 0, "haul.yaml:7:9: item jack: found: 2 pieces found, but the count is 3: sound, parts, dead and missing must sum to the count; write extra for pieces beyond it"},
		{"one", &landed.Found{Dead: 1}, 0, "haul.yaml:7:9: item jack: found: 1 piece found, but the count is 3: sound, parts, dead and missing must sum to the count; write extra for pieces beyond it"},
		{"extra not among them", &landed.Found{Sound: 3, Extra: 1}, 0, "haul.yaml:7:9: item jack: found: 3 pieces found, but the count is 3 and 1 extra: sound, parts, dead and missing must sum to the count and the extra ones"},
		{"negative", &landed.Found{Sound: 4, Dead: -1}, 0, "haul.yaml:7:9: item jack: found: a number of pieces is negative: write how many there are of each, or leave it out"},
		{"keep more than sound", &landed.Found{Sound: 1, Parts: 2}, 2, "haul.yaml:7:9: item jack: keep: 2 are to be kept, but 1 are sound: keep no more than are sound"},
		{"keep more than there are", nil, 4, "haul.yaml:7:9: item jack: 4 are to be kept of 3: keep no more than there are"},
		{"keep less than nothing", nil, -1, "haul.yaml:7:9: item jack: -1 are to be kept of 3: keep no more than there are"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			jack := item("jack", 3, "", "10 CAD")
			jack.At, jack.Keep, jack.Found = source.Origin{File: "haul.yaml", Line: 7, Column: 9}, c.keep, c.found
			_, err := landed.Split(&landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "a", Price: amount("10 CAD"), Items: []landed.Item{jack}}}})
			var faults source.Faults
			if !errors.As(err, &faults) || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// drawFound makes a haul of which something was found.
func drawFound(t *rapid.T) *landed.Haul {
	h := &landed.Haul{Home: cad, Market: market("100 JPY = 0.93 CAD"), Losses: landed.LossRule(rapid.IntRange(0, 3).Draw(t, "rule"))}
	small := rapid.OneOf(rapid.Int64Range(0, 3), rapid.Int64Range(0, 40))
	for l := range rapid.IntRange(1, 3).Draw(t, "lots") {
		lot := landed.Lot{ID: fmt.Sprintf("lot-%d", l), Price: money.New(rapid.Int64Range(0, 900).Draw(t, "price"), cad)}
		for i := range rapid.IntRange(1, 3).Draw(t, "items") {
			it := item(fmt.Sprintf("item-%d-%d", l, i), 1, "", "")
			it.Value = money.New(rapid.Int64Range(1, 50).Draw(t, "value"), cad)
			f := landed.Found{Sound: small.Draw(t, "sound"), Parts: small.Draw(t, "parts"), Dead: small.Draw(t, "dead"), Missing: small.Draw(t, "missing")}
			all := f.Sound + f.Parts + f.Dead + f.Missing
			if all == 0 {
				f.Sound, all = 1, 1
			}
			f.Extra = rapid.Int64Range(0, all-1).Draw(t, "extra")
			it.Count = all - f.Extra
			if it.Found = &f; f.Sound == it.Count && f.Extra == 0 && rapid.Bool().Draw(t, "said nothing") {
				it.Found = nil
			}
			if rapid.Bool().Draw(t, "worth parts") {
				it.PartsValue = money.New(rapid.Int64Range(0, 60).Draw(t, "parts value"), rapid.SampledFrom([]money.Currency{cad, jpy}).Draw(t, "in"))
			}
			if rapid.Bool().Draw(t, "repaired") {
				it.Repair = money.New(rapid.Int64Range(0, 99).Draw(t, "repair"), cad)
			}
			lot.Items = append(lot.Items, it)
		}
		h.Lots = append(h.Lots, lot)
	}
	if rapid.Bool().Draw(t, "refunded") { // perhaps more than was paid
		h.Charges = []landed.Charge{{What: "refund", Kind: landed.Fee, Amount: money.New(-rapid.Int64Range(0, 1500).Draw(t, "refund"), cad), Per: landed.PerLot}}
	}
	return h
}

// TestFoundOracle compares what is made of pieces that came to nothing with a
// second, plain reading of the rules, and checks the laws.
func TestFoundOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawFound(t)
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		want := foundOracle(t, h)
		sum := new(big.Int).SetInt64(st.Loss.Minor())
		var moved int64
		for i := range st.Items {
			c := &st.Items[i]
			if sound, parts := carriedBy(c, landed.Sound).Minor(), carriedBy(c, landed.ForParts).Minor(); sound != want.sound[i] || parts != want.parts[i] {
				t.Errorf("%s: sound %d, for parts %d, want %d and %d", c.ID, sound, parts, want.sound[i], want.parts[i])
			}
			checkStates(t, c)
			sum.Add(sum, big.NewInt(c.Cost.Minor()))
			moved += c.Moved().Minor()
		}
		if st.Loss.Minor() != want.loss {
			t.Errorf("written off %d, want %d", st.Loss.Minor(), want.loss)
		}
		if sum.Cmp(big.NewInt(st.Total.Minor())) != 0 || moved != -st.Loss.Minor() {
			t.Errorf("items and loss sum to %s of %d; %d moved, %d lost", sum, st.Total.Minor(), moved, st.Loss.Minor())
		}
	})
}

// checkStates checks that each state's pieces are all there, sum to the cost
// and differ by one unit at most.
func checkStates(t *rapid.T, c *landed.ItemCost) {
	counts, first := [2]int64{}, [2]money.Amount{}
	var sum int64
	for _, g := range c.Each() {
		if counts[g.State] == 0 {
			first[g.State] = g.Each
		} else if d := first[g.State].Minor() - g.Each.Minor(); d < -1 || d > 1 {
			t.Errorf("%s: pieces cost %s and %s", c.ID, first[g.State], g.Each)
		}
		counts[g.State] += g.Count
		sum += g.Count * g.Each.Minor()
	}
	if counts != [2]int64{c.Found.Sound, c.Found.Parts} || sum != c.Cost.Minor() {
		t.Errorf("%s: %v pieces carry %d of %s", c.ID, counts, sum, c.Cost)
	}
}

// verdictOfOracle is what sound pieces and those for parts carry, by item.
type verdictOfOracle struct {
	sound, parts []int64
	loss         int64
}

// foundOracle deals costs out piece by piece, in minor units. What the items
// cost as bought comes from a haul in which nothing was found.
func foundOracle(t *rapid.T, h *landed.Haul) verdictOfOracle {
	bought := *h
	bought.Lots = slices.Clone(h.Lots)
	for l := range bought.Lots {
		bought.Lots[l].Items = slices.Clone(h.Lots[l].Items)
		for i := range bought.Lots[l].Items {
			bought.Lots[l].Items[i].Found = nil
		}
	}
	before, err := landed.Split(&bought)
	if err != nil {
		t.Fatal(err)
	}
	var v verdictOfOracle
	var counts, lotOf []int64
	lots, all := make([]int64, len(h.Lots)), int64(0)
	for l := range h.Lots {
		for i := range h.Lots[l].Items {
			it, c := &h.Lots[l].Items[i], &before.Items[len(v.sound)]
			f := landed.Found{Sound: it.Count}
			if it.Found != nil {
				f = *it.Found
			}
			repair := c.Share(landed.Repair).Minor()
			cost := c.Cost.Minor() - repair
			parts := min(partsWorth(it, f.Parts), max(cost, 0))
			sound, lost := cost-parts+repair, int64(0)
			if f.Sound > 0 && h.Losses != landed.LossToItem {
				sound = dealt(cost-parts, f.Sound, f.Sound+f.Dead+f.Missing) + repair
				lost = cost - parts + repair - sound
			} else if f.Sound == 0 {
				sound, lost = 0, sound
			}
			switch h.Losses {
			case landed.LossWrittenOff:
				v.loss += lost
			case landed.LossToHaul:
				all += lost
			default:
				lots[l] += lost
			}
			v.sound, v.parts = append(v.sound, sound), append(v.parts, parts)
			counts, lotOf = append(counts, f.Sound), append(lotOf, int64(l))
		}
	}
	for l, lost := range lots {
		all += v.takeOver(lost, counts, func(i int) bool { return lotOf[i] == int64(l) })
	}
	v.loss += v.takeOver(all, counts, func(int) bool { return true })
	return v
}

// partsWorth is what pieces for parts should bring, to the nearest minor unit.
func partsWorth(it *landed.Item, n int64) int64 {
	worth := new(big.Rat).SetInt64(it.PartsValue.Minor() * n)
	if it.PartsValue.Currency() == jpy {
		worth.Mul(worth, big.NewRat(93, 100)) // a yen is 0.93 cents
	}
	return new(big.Int).Div(new(big.Int).Add(new(big.Int).Mul(worth.Num(), big.NewInt(2)), worth.Denom()), new(big.Int).Mul(worth.Denom(), big.NewInt(2))).Int64()
}

// dealt deals a cost out over n pieces, unit by unit, round after round, and
// counts what the first some of them got.
func dealt(cost, some, n int64) int64 {
	unit := int64(1)
	if cost < 0 {
		unit, cost = -1, -cost
	}
	got := int64(0)
	for k := range cost {
		if k%n < some {
			got += unit
		}
	}
	return got
}

// takeOver shares a loss over the sound pieces of some items, by largest
// remainder, and returns what nobody took.
func (v *verdictOfOracle) takeOver(lost int64, counts []int64, among func(int) bool) int64 {
	weights, sum := make([]*big.Rat, len(counts)), new(big.Rat)
	fair := true
	for i := range counts {
		weights[i] = new(big.Rat)
		if among(i) && counts[i] > 0 {
			fair = fair && v.sound[i] >= 0
			weights[i].SetInt64(v.sound[i])
			sum.Add(sum, weights[i])
		}
	}
	if !fair || sum.Sign() == 0 {
		sum.SetInt64(0)
		for i := range counts {
			if among(i) {
				weights[i].SetInt64(counts[i])
				sum.Add(sum, weights[i])
			}
		}
	}
	if lost == 0 || sum.Sign() == 0 {
		return lost
	}
	unit := int64(1)
	if lost < 0 {
		unit, lost = -1, -lost
	}
	rest, left := make([]*big.Rat, len(counts)), lost
	for i, w := range weights {
		quota := new(big.Rat).Quo(new(big.Rat).Mul(w, new(big.Rat).SetInt64(lost)), sum)
		floor := new(big.Int).Quo(quota.Num(), quota.Denom())
		rest[i] = quota.Sub(quota, new(big.Rat).SetInt(floor))
		v.sound[i] += unit * floor.Int64()
		left -= floor.Int64()
	}
	for ; left > 0; left-- {
		best := -1
		for i := range rest {
			if rest[i].Sign() > 0 && (best < 0 || rest[i].Cmp(rest[best]) > 0) {
				best = i
			}
		}
		v.sound[best] += unit
		rest[best] = new(big.Rat)
	}
	return 0
}

// TestFoundWorking compares the whole working of an item that gave something
// away, and the end of that of one that took it over.
func TestFoundWorking(t *testing.T) {
	jack, block := item("jack", 4, "", "10 CAD"), item("block", 2, "", "10 CAD")
	jack.Found, jack.PartsValue = &landed.Found{Sound: 2, Parts: 1, Dead: 1}, amount("3 CAD")
	h := &landed.Haul{Home: cad, Losses: landed.LossToLot, Lots: []landed.Lot{{ID: "a", Price: amount("60 CAD"), Items: []landed.Item{jack, block}}}}
	st := split(t, h)
	// 40.00 less 3.00 over three pieces: one, 12.33, goes to 24.67 and 20.00.
	want := []landed.Step{
		{What: "price: a", From: "40.00 CAD of 60.00 CAD, of 60.00 CAD", Rule: "by value, largest remainder", Result: "40.00 CAD"},
		{What: "cost of jack", From: "1 share", Rule: "sum", Result: "40.00 CAD"},
		{What: "given away", From: "what came to nothing of it", Rule: "carried by the sound pieces of the lot, or else of the haul", Result: "-5.52 CAD"},
		{What: "pieces for parts", From: "1 piece", Rule: "what they should bring, at most the cost", Result: "1 x 3.00 CAD"},
		{What: "cost of a piece", From: "31.48 CAD over 2 sound pieces", Rule: "equally, the odd minor units to the earlier pieces", Result: "2 x 15.74 CAD"},
	}
	if got := st.ItemWorking(0); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	got := st.ItemWorking(1)
	want = []landed.Step{
		{What: "taken over", From: "what came to nothing of others", Rule: "carried by the sound pieces of the lot, or else of the haul", Result: "5.52 CAD"},
		{What: "cost of a piece", From: "25.52 CAD over 2 pieces", Rule: "equally, the odd minor units to the earlier pieces", Result: "2 x 12.76 CAD"},
	}
	if got := got[len(got)-2:]; !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestTargetString checks the words of a target.
func TestTargetString(t *testing.T) {
	for want, target := range map[string]landed.Target{
		"5.00 CAD":     {Amount: amount("5 CAD")},
		"25%":          {Margin: number("0.25")},
		"30% on cost":  {Markup: number("0.3")},
		"nothing lost": {Amount: amount("0 CAD"), Margin: decimal.Decimal{}},
	} {
		if got := target.String(); got != want || target.IsZero() != (want == "nothing lost") {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
