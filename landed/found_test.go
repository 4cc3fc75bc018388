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
	published.Read(t, "sharing/byproduct.yaml", &data)
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
	h.Losses, _ = landed.Parse[landed.LossRule](c.Losses)
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
			if h.Losses, known = landed.Parse[landed.LossRule](c.rule); !known {
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
		{"made, but what", &landed.Found{Sound: 2, Dead: 1, Yields: []landed.Yield{{Count: 1, Value: amount("2 CAD")}}}, 0, "haul.yaml:7:9: item jack: yields: it is not said what was made: name it"},
		{"made of no value", &landed.Found{Sound: 2, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 1}}}, 0, "haul.yaml:7:9: item jack: yields: the value is missing: write what one of them should sell for"},
		{"made less than nothing", &landed.Found{Sound: 2, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 1, Value: amount("-2 CAD")}}}, 0, "haul.yaml:7:9: item jack: yields: the value or the weight is negative: write what one of them should sell for and weighs"},
		{"made no pieces", &landed.Found{Sound: 2, Dead: 1, Yields: []landed.Yield{{What: "iron", Value: amount("2 CAD")}}}, 0, "haul.yaml:7:9: item jack: yields: the count is 0: write how many pieces were made, from 1 to 1000000000000"},
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

// drawFound makes a haul of which something was found, and the rates that its
// market states.
func drawFound(t *rapid.T) (*landed.Haul, rates) {
	h := &landed.Haul{Home: cad, Market: market("100 JPY = 0.93 CAD"), Losses: landed.LossRule(rapid.IntRange(0, 3).Draw(t, "rule"))}
	for l := range rapid.IntRange(1, 3).Draw(t, "lots") {
		lot := landed.Lot{ID: fmt.Sprintf("lot-%d", l), Price: money.New(rapid.Int64Range(0, 900).Draw(t, "price"), cad)}
		for i := range rapid.IntRange(1, 3).Draw(t, "items") {
			lot.Items = append(lot.Items, drawFoundItem(t, fmt.Sprintf("item-%d-%d", l, i), i > 0))
		}
		h.Lots = append(h.Lots, lot)
	}
	if rapid.Bool().Draw(t, "sent") {
		h.Charges = append(h.Charges, landed.Charge{What: "parcel", Kind: landed.Freight, Amount: money.New(rapid.Int64Range(0, 500).Draw(t, "freight"), jpy), By: landed.ByEqual})
	}
	if rapid.Bool().Draw(t, "refunded") { // perhaps more than was paid
		h.Charges = append(h.Charges, landed.Charge{What: "refund", Kind: landed.Fee, Amount: money.New(-rapid.Int64Range(0, 1500).Draw(t, "refund"), cad), Per: landed.PerLot})
	}
	return h, rates{"JPY": big.NewRat(93, 10_000)}
}

// drawFoundItem makes an item of which something was found; perhaps one that
// nobody paid for.
func drawFoundItem(t *rapid.T, id string, mayBeFree bool) landed.Item {
	small := rapid.OneOf(rapid.Int64Range(0, 3), rapid.Int64Range(0, 40))
	it := item(id, 1, "", "")
	it.Value = money.New(rapid.Int64Range(1, 50).Draw(t, "value"), cad)
	f := landed.Found{Sound: small.Draw(t, "sound"), Parts: small.Draw(t, "parts"), Dead: small.Draw(t, "dead"), Missing: small.Draw(t, "missing")}
	all := f.Sound + f.Parts + f.Dead + f.Missing
	if all == 0 {
		f.Sound, all = 1, 1
	}
	f.Extra = rapid.Int64Range(0, all-1).Draw(t, "extra")
	if mayBeFree && rapid.IntRange(0, 4).Draw(t, "free") == 0 {
		f.Extra = all
	}
	it.Count = all - f.Extra
	if f.Dead > 0 {
		for range rapid.IntRange(0, 3).Draw(t, "yields") {
			f.Yields = append(f.Yields, landed.Yield{What: fmt.Sprint("iron ", len(f.Yields)), Count: rapid.Int64Range(1, 5).Draw(t, "made"), Value: drawWorth(t)})
		}
	}
	if it.Found = &f; f.Sound == it.Count && f.Extra == 0 && rapid.Bool().Draw(t, "said nothing") {
		it.Found = nil
	}
	if rapid.Bool().Draw(t, "worth parts") {
		it.PartsValue = drawWorth(t)
	}
	if rapid.Bool().Draw(t, "repaired") {
		it.Repair = money.New(rapid.Int64Range(0, 99).Draw(t, "repair"), cad)
	}
	return it
}

func drawWorth(t *rapid.T) money.Amount {
	return money.New(rapid.OneOf(rapid.Int64Range(0, 60), rapid.Int64Range(0, 600)).Draw(t, "worth"), rapid.SampledFrom([]money.Currency{cad, jpy}).Draw(t, "in"))
}

// TestFoundOracle compares what is made of pieces that came to nothing with a
// second, plain reading of the rules, and checks the laws.
func TestFoundOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, r := drawFound(t)
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		want := newFoundOracle(t, h, r)
		sum := new(big.Int).SetInt64(st.Loss.Minor())
		var moved int64
		for i := range st.Items {
			c := &st.Items[i]
			if got := borneBy(c); !slices.Equal(got, want.borne(i)) {
				t.Errorf("%s: pieces bear %v, want %v", c.ID, got, want.borne(i))
			}
			checkStates(t, c)
			sum.Add(sum, big.NewInt(c.Cost.Minor()))
			moved += c.Moved().Minor()
		}
		if sum.Cmp(big.NewInt(st.Total.Minor())) != 0 || moved != -st.Loss.Minor() {
			t.Errorf("items and loss sum to %s of %d; %d moved, %d lost", sum, st.Total.Minor(), moved, st.Loss.Minor())
		}
		checkGroups(t, h, st)
	})
}

// borneBy lists what the pieces of an item bear: sound, for parts, dead, and
// each kind of what was made.
func borneBy(c *landed.ItemCost) []int64 {
	byState, made := [4]int64{}, make([]int64, len(c.Found.Yields))
	at, left := -1, int64(0)
	for _, g := range c.AppendGroups(nil) {
		if byState[g.State] += g.Cost.Minor(); g.State == landed.Made {
			if left == 0 {
				at++
				left = c.Found.Yields[at].Count
			}
			made[at] += g.Cost.Minor()
			left -= g.Count
		}
	}
	return append([]int64{byState[landed.Sound], byState[landed.ForParts], byState[landed.Dead]}, made...)
}

// checkStates checks that each state's pieces are all there, sum to the cost
// and differ by one unit at most.
func checkStates(t *rapid.T, c *landed.ItemCost) {
	counts, first := [4]int64{}, [4]money.Amount{}
	var sum, made int64
	for _, g := range c.Each() {
		if counts[g.State] == 0 {
			first[g.State] = g.Each
		} else if d := first[g.State].Minor() - g.Each.Minor(); g.State != landed.Made && (d < -1 || d > 1) {
			t.Errorf("%s: pieces cost %s and %s", c.ID, first[g.State], g.Each)
		}
		counts[g.State] += g.Count
		sum += g.Count * g.Each.Minor()
	}
	for _, y := range c.Found.Yields {
		made += y.Count
	}
	if counts != [4]int64{c.Found.Sound, c.Found.Parts, made} || sum != c.Cost.Minor() {
		t.Errorf("%s: %v pieces carry %d of %s", c.ID, counts, sum, c.Cost)
	}
}

// checkGroups checks that groups of alike pieces hold all that was paid, in
// all, by kind and, where nothing went to others, by item.
func checkGroups(t *rapid.T, h *landed.Haul, st *landed.Statement) {
	var total int64
	var all [landed.Kinds]int64
	for i := range st.Items {
		c := &st.Items[i]
		var own [landed.Kinds]int64
		for _, g := range c.AppendGroups(nil) {
			row := int64(0)
			for k := range landed.Kind(landed.Kinds) {
				share := g.Share(k).Minor()
				if k == landed.Repair && share != 0 && c.Found.Sound > 0 && g.State != landed.Sound {
					t.Errorf("%s: %v pieces bear %d of a repair", c.ID, g.State, share)
				}
				if len(h.Charges) == 0 && share < 0 {
					t.Errorf("%s: %v pieces bear %d of %v, but nothing was given back", c.ID, g.State, share, k)
				}
				row, own[k], all[k] = row+share, own[k]+share, all[k]+share
			}
			if row != g.Cost.Minor() || g.Count*g.Each.Minor() != row || g.Count < 1 {
				t.Errorf("%s: %d pieces at %s cost %s, by kind %d", c.ID, g.Count, g.Each, g.Cost, row)
			}
			total += row
		}
		for k := range landed.Kind(landed.Kinds) {
			if staysWithItem(h, st) && own[k] != c.Share(k).Minor() {
				t.Errorf("%s: groups bear %d of %v, want %s", c.ID, own[k], k, c.Share(k))
			}
		}
	}
	for k := range landed.Kind(landed.Kinds) {
		if all[k] != st.Sum(k).Minor() {
			t.Errorf("groups bear %d of %v, want %s", all[k], k, st.Sum(k))
		}
	}
	if total != st.Total.Minor() {
		t.Errorf("groups cost %d, want %s", total, st.Total)
	}
}

// staysWithItem reports whether no item carries anything of another.
func staysWithItem(h *landed.Haul, st *landed.Statement) bool {
	return h.Losses == landed.LossWrittenOff || h.Losses == landed.LossToItem &&
		!slices.ContainsFunc(st.Items, func(c landed.ItemCost) bool { return c.Moved().Sign() != 0 })
}

// foundOracle deals costs out piece by piece, in minor units, from the meaning
// of the lot file in words.
type foundOracle struct {
	counts, sound, parts, lost []int64 // by item
	found                      []landed.Found
	made                       [][]int64
}

// newFoundOracle reads what the items cost as bought from the oracle of Split.
func newFoundOracle(t *rapid.T, h *landed.Haul, r rates) *foundOracle {
	before := newOracle(h, r)
	before.run()
	if before.fails {
		t.Fatal("the haul cannot be split")
	}
	v, start := &foundOracle{}, []int{0}
	for l := range h.Lots {
		for i := range h.Lots[l].Items {
			n, cost := len(v.sound), int64(0)
			for _, line := range before.lines {
				if part := line.parts[n]; part != nil {
					cost += part.Int64()
				}
			}
			v.add(&h.Lots[l].Items[i], cost, h.Losses == landed.LossToItem)
		}
		start = append(start, len(v.sound))
	}
	if h.Losses < landed.LossToHaul {
		for l := range h.Lots {
			v.takeOver(start[l], start[l+1])
		}
	}
	if h.Losses < landed.LossWrittenOff {
		v.takeOver(0, len(v.sound))
	}
	return v
}

func (v *foundOracle) borne(i int) []int64 {
	return append([]int64{v.sound[i], v.parts[i], v.lost[i]}, v.made[i]...)
}

// add divides what an item cost as bought, without its repair.
func (v *foundOracle) add(it *landed.Item, cost int64, within bool) {
	f := landed.Found{Sound: it.Count}
	if it.Found != nil {
		f = *it.Found
	}
	parts := int64(0)
	if cost > 0 {
		parts = min(worthOf(it.PartsValue, f.Parts), cost*f.Parts/(f.Sound+f.Parts+f.Dead+f.Missing))
	}
	rest, others := cost-parts, f.Sound+f.Dead+f.Missing
	sound := dealt(rest, 0, f.Sound, others)
	made := madeOf(f, max(dealt(rest, f.Sound, f.Sound+f.Dead, others), 0))
	lost := rest - sound
	for _, m := range made {
		lost -= m
	}
	switch {
	case f.Sound > 0 && within:
		sound, lost = sound+lost+it.Repair.Minor(), 0
	case f.Sound > 0:
		sound += it.Repair.Minor()
	default:
		lost += it.Repair.Minor()
	}
	v.counts, v.sound, v.parts, v.lost = append(v.counts, it.Count), append(v.sound, sound), append(v.parts, parts), append(v.lost, lost)
	v.made, v.found = append(v.made, made), append(v.found, f)
}

// madeOf takes from what the dead pieces cost.
func madeOf(f landed.Found, dead int64) []int64 {
	made, sum, weights := make([]int64, len(f.Yields)), int64(0), make([]*big.Rat, len(f.Yields))
	for i, y := range f.Yields {
		made[i] = worthOf(y.Value, y.Count)
		sum += made[i]
		weights[i] = new(big.Rat).SetInt64(made[i])
	}
	if sum <= dead {
		return made
	}
	shares, _ := shareOut(big.NewInt(dead), weights)
	for i := range made {
		made[i] = shares[i].Int64()
	}
	return made
}

// worthOf is what n pieces should bring, to the nearest minor unit.
func worthOf(a money.Amount, n int64) int64 {
	worth := new(big.Rat).SetInt64(a.Minor() * n)
	if a.Currency() == jpy {
		worth.Mul(worth, big.NewRat(93, 100)) // a yen is 0.93 cents
	}
	return new(big.Int).Div(new(big.Int).Add(new(big.Int).Mul(worth.Num(), big.NewInt(2)), worth.Denom()), new(big.Int).Mul(worth.Denom(), big.NewInt(2))).Int64()
}

// dealt deals a cost out over n pieces, unit by unit, round after round, and
// counts what those from one to another got.
func dealt(cost, from, to, n int64) int64 {
	unit := int64(1)
	if cost < 0 {
		unit, cost = -1, -cost
	}
	got := int64(0)
	for k := range cost {
		if n > 0 && k%n >= from && k%n < to {
			got += unit
		}
	}
	return got
}

// takeOver shares what some items lost over their sound pieces, by what these
// bear, or by their number.
func (v *foundOracle) takeOver(first, end int) {
	weights, counts, lost := make([]*big.Rat, end-first), make([]*big.Rat, end-first), int64(0)
	sum, sound := int64(0), int64(0)
	for k := range weights {
		i := first + k
		weights[k], counts[k] = new(big.Rat), new(big.Rat)
		lost += v.lost[i]
		if v.counts[i] > 0 && v.found[i].Sound > 0 { // nobody paid for the others
			bears := max(v.sound[i], 0) // a refund may be more than they cost
			weights[k].SetInt64(bears)
			counts[k].SetInt64(v.found[i].Sound)
			sum, sound = sum+bears, sound+v.found[i].Sound
		}
	}
	if sound == 0 {
		return
	}
	if sum == 0 {
		weights = counts
	}
	shares, _ := shareOut(big.NewInt(lost), weights)
	for k := range weights {
		v.sound[first+k] += shares[k].Int64()
		v.lost[first+k] = 0
	}
}

// TestRefundAboveCost: what was given back for more than it cost carries no part of a dead
// piece's cost, and the others do so in proportion all the same.
func TestRefundAboveCost(t *testing.T) {
	brace := item("brace", 1, "", "20 CAD")
	brace.Found = &landed.Found{Dead: 1}
	st := split(t, &landed.Haul{Home: cad, Losses: landed.LossToHaul,
		Lots:    []landed.Lot{{ID: "a", Price: amount("232 CAD"), Items: []landed.Item{item("saw", 1, "", "200 CAD"), item("file", 1, "", "2 CAD"), item("plane", 1, "", "10 CAD"), brace}}},
		Charges: []landed.Charge{{What: "refund", Kind: landed.Fee, Amount: amount("-10.05 CAD"), On: []string{"plane"}}}})
	var got []string
	for i := range st.Items {
		got = append(got, st.Items[i].Cost.Number())
	}
	if want := []string{"219.80", "2.20", "-0.05", "0.00"}; !slices.Equal(got, want) { // 20.00 as 200 to 2
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestPartsShare: a piece for parts carries no more than its own share of what
// the item cost, repairs aside, extra and missing pieces counted.
func TestPartsShare(t *testing.T) {
	for _, c := range []struct {
		name                      string
		count                     int64
		found                     landed.Found
		repair                    string
		rule                      landed.LossRule
		sound, parts, lost, worth string
	}{
		{"one and one", 2, landed.Found{Sound: 1, Parts: 1}, "", 0, "5.00", "5.00", "0.00", "50"},
		{"worth less", 2, landed.Found{Sound: 1, Parts: 1}, "", 0, "6.00", "4.00", "0.00", "4"},
		{"an extra one", 2, landed.Found{Sound: 2, Parts: 1, Extra: 1}, "", 0, "6.67", "3.33", "0.00", "50"},
		{"one missing", 4, landed.Found{Sound: 1, Parts: 2, Missing: 1}, "", 0, "5.00", "5.00", "0.00", "50"},
		{"one dead, written off", 4, landed.Found{Sound: 1, Parts: 2, Dead: 1}, "", landed.LossWrittenOff, "2.50", "5.00", "2.50", "50"},
		{"a repair stays", 2, landed.Found{Sound: 1, Parts: 1}, "3", 0, "8.00", "5.00", "0.00", "50"},
		{"none sound", 2, landed.Found{Parts: 2}, "", 0, "0.00", "8.00", "2.00", "4"},
	} {
		t.Run(c.name, func(t *testing.T) {
			jack := item("jack", c.count, "", "20 CAD")
			jack.Found, jack.PartsValue = &c.found, amount(c.worth+" CAD")
			if c.repair != "" {
				jack.Repair = amount(c.repair + " CAD")
			}
			st := split(t, &landed.Haul{Home: cad, Losses: c.rule, Lots: []landed.Lot{{ID: "a", Price: amount("10 CAD"), Items: []landed.Item{jack}}}})
			sound, parts := carriedBy(&st.Items[0], landed.Sound), carriedBy(&st.Items[0], landed.ForParts)
			if sound.Number() != c.sound || parts.Number() != c.parts || st.Loss.Number() != c.lost {
				t.Errorf("sound %s, parts %s, lost %s, want %s, %s, %s", sound, parts, st.Loss, c.sound, c.parts, c.lost)
			}
		})
	}
}

// TestYields sets what is made from dead pieces beside each rule: a lot of
// 40.00, of which jack, four pieces, costs 30.00 and block 10.00; of jack two
// are sound and two dead, which cost 15.00.
func TestYields(t *testing.T) {
	iron := func(n int64, value string) landed.Yield {
		return landed.Yield{What: "iron", Count: n, Value: amount(value + " CAD")}
	}
	for _, c := range []struct {
		name  string
		rule  landed.LossRule
		made  []landed.Yield
		sound [2]string
		yield []string
		loss  string
	}{
		{"the item carries the rest", landed.LossToItem, []landed.Yield{iron(3, "2")}, [2]string{"24.00", "10.00"}, []string{"6.00"}, "0.00"},
		{"the lot", landed.LossToLot, []landed.Yield{iron(3, "2")}, [2]string{"20.40", "13.60"}, []string{"6.00"}, "0.00"},
		{"written off", landed.LossWrittenOff, []landed.Yield{iron(3, "2")}, [2]string{"15.00", "10.00"}, []string{"6.00"}, "9.00"},
		{"no more than the dead cost", landed.LossToItem, []landed.Yield{iron(1, "20"), {What: "screw", Count: 2, Value: amount("5 CAD")}}, [2]string{"15.00", "10.00"}, []string{"10.00", "5.00"}, "0.00"},
		{"worth nothing", landed.LossWrittenOff, []landed.Yield{iron(1, "0")}, [2]string{"15.00", "10.00"}, []string{"0.00"}, "15.00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			jack, block := item("jack", 4, "", "15 CAD"), item("block", 1, "", "20 CAD")
			jack.Found = &landed.Found{Sound: 2, Dead: 2, Yields: c.made}
			st := split(t, &landed.Haul{Home: cad, Losses: c.rule, Lots: []landed.Lot{{ID: "a", Price: amount("40 CAD"), Items: []landed.Item{jack, block}}}})
			got := borneBy(&st.Items[0])
			for i, minor := range got[3:] {
				if money.New(minor, cad).Number() != c.yield[i] {
					t.Errorf("yield %d carries %d, want %s", i, minor, c.yield[i])
				}
			}
			if money.New(got[0], cad).Number() != c.sound[0] || st.Items[1].Cost.Number() != c.sound[1] || st.Loss.Number() != c.loss {
				t.Errorf("%d and %s, lost %s, want %v and %s", got[0], st.Items[1].Cost, st.Loss, c.sound, c.loss)
			}
		})
	}
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
		{What: "moved to other items", From: "the dead and missing pieces of it", Rule: "carried by the sound pieces of the lot, or else of the haul, in proportion to what they cost", Result: "-5.52 CAD"},
		{What: "pieces for parts", From: "1 piece", Rule: "what they should sell for, at most their share", Result: "1 x 3.00 CAD"},
		{What: "cost of a piece", From: "31.48 CAD over 2 sound pieces", Rule: "equally, the extra cents to the earlier pieces", Result: "2 x 15.74 CAD"},
	}
	if got := st.ItemWorking(0); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	got := st.ItemWorking(1)
	want = []landed.Step{
		{What: "moved from dead pieces", From: "the dead and missing pieces of others", Rule: "carried by the sound pieces of the lot, or else of the haul, in proportion to what they cost", Result: "5.52 CAD"},
		{What: "cost of a piece", From: "25.52 CAD over 2 pieces", Rule: "equally, the extra cents to the earlier pieces", Result: "2 x 12.76 CAD"},
	}
	if got := got[len(got)-2:]; !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}
