package landed

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Found is what became of an item's pieces once the parcel was open. Sound,
// Parts, Dead and Missing together are the count and the extra pieces.
type Found struct {
	Sound   int64   // work, or were put right
	Parts   int64   // good for parts only
	Dead    int64   // came to nothing
	Missing int64   // were not in the parcel
	Extra   int64   // pieces beyond the count; they are among the others
	Yields  []Yield // what was made from dead ones
}

// Yield is what was made from dead pieces of an item: other pieces, alike.
type Yield struct {
	What    string         // was made
	Count   int64          // from 1 to maxCount
	Value   money.Amount   // what one should bring, selling costs off
	Weight  measure.Weight // of one, when Weighed
	Weighed bool           // whether Weight is known
}

// LossRule says what becomes of the cost of pieces that came to nothing.
type LossRule uint8

// The rules. Where there is no sound piece to carry a cost, the next rule
// applies.
const (
	LossToItem     LossRule = iota // the sound pieces of the same item carry it
	LossToLot                      // the sound pieces of the same lot
	LossToHaul                     // the sound pieces of the haul
	LossWrittenOff                 // nobody: it is a loss of its own
)

var lossNames = []string{"item", "lot", "haul", "written-off"}

// State is what a piece was found to be.
type State uint8

// The states of pieces.
const (
	Sound    State = iota
	ForParts       // good for parts only
	Made           // made from dead ones
	Dead           // came to nothing, or was missing: what it bears is written off
)

var stateNames = []string{"sound", "parts", "yield", "dead"}

// String returns the word used in files and output.
func (s State) String() string { return word(stateNames, s) }

func checkFound(report *collect.Report, item *Item) {
	found := item.Found
	if found == nil {
		return
	}
	fail := func(what, remedy string) *source.Fault {
		return report.Fail(item.At.Key("found"), "item "+item.ID+": found", what, remedy)
	}
	have, want := found.Sound+found.Parts+found.Dead+found.Missing, item.Count+found.Extra
	switch {
	case min(found.Sound, found.Parts, found.Dead, found.Missing, found.Extra) < 0:
		fail("a number of pieces is negative", "write how many there are of each, or leave it out")
	case max(found.Sound, found.Parts, found.Dead, found.Missing, found.Extra) > maxCount:
		fail("there are too many pieces", fmt.Sprintf("write how many there are of each, up to %d", int64(maxCount)))
	case item.Count < 0 || item.Count > maxCount || item.Count == 0 && found.Extra == 0: // told of the count
	case have != want && found.Extra > 0:
		fail(fmt.Sprintf("%s found, but the count is %d and %d extra", pieces(have), item.Count, found.Extra), "sound, parts, dead and missing must sum to the count and the extra ones")
	case have != want:
		fail(fmt.Sprintf("%s found, but the count is %d", pieces(have), item.Count), "sound, parts, dead and missing must sum to the count; write extra for pieces beyond it")
	case item.Keep > found.Sound:
		report.Fail(item.At.Key("keep"), "item "+item.ID+": keep", fmt.Sprintf("%d are to be kept, but %d are sound", item.Keep, found.Sound), "keep no more than are sound")
	case len(found.Yields) > 0 && found.Dead == 0:
		f := fail("pieces were made from dead ones, but none is dead", "write how many are dead")
		f.Figure, f.Or = "dead", "leave yields out"
	}
	for i := range found.Yields {
		checkYield(report, item, i)
	}
}

func checkYield(report *collect.Report, item *Item, place int) {
	y := &item.Found.Yields[place]
	fail := func(what, remedy string) *source.Fault {
		return report.Fail(item.At.Entry(place, "found", "yields"), "item "+item.ID+": yields", what, remedy)
	}
	switch {
	case y.What == "":
		fail("it is not said what was made", "name it").Figure = "yield"
	case slices.ContainsFunc(item.Found.Yields[:place], func(other Yield) bool { return other.What == y.What }):
		fail(fmt.Sprintf("%q stands twice", y.What), "write all of them together, or name them apart")
	case y.Count < 1 || y.Count > maxCount:
		fail(fmt.Sprintf("the count is %d", y.Count), fmt.Sprintf("write how many pieces were made, from 1 to %d", int64(maxCount)))
	case y.Value.Currency() == 0:
		fail("the value is missing", "write what one of them should sell for").Figure = "yield-value"
	case y.Value.Sign() < 0 || y.Weighed && y.Weight < 0:
		fail("the value or the weight is negative", "write what one of them should sell for and weighs")
	}
}

func pieces(n int64) string { return plural(fmt.Sprint(n), "piece") }

func (s *splitter) anyFound() bool {
	return slices.ContainsFunc(s.items, func(item *Item) bool { return item.Found != nil })
}

// allocate divides each item's cost over what was found, and moves what nobody
// in the item carries. The sum over items and the loss stays the total, and so
// does that of each kind of cost: what moves takes its kinds along.
//
// A piece for parts carries what it should bring and no more, like a
// by-product (IAS 2.14 as retold in Ind AS 2: its net realisable value is
// deducted from the cost of the main product), and so does one that was made
// from a dead piece. Neither carries more than its share: a piece for parts no
// more than the item's cost, repairs aside, over all its pieces, extra ones
// too; what was made from dead pieces no more than these cost, the others
// sharing equally what the pieces for parts leave. The order in which loss
// rules follow one another is ours (common practice, no source).
func (s *splitter) allocate() {
	s.st.WasFound = s.anyFound()
	for i, item := range s.items {
		c := &s.st.Items[i]
		c.Found, c.Cost = Found{Sound: item.Count}, money.New(c.shares.sum(), s.st.Home)
		if item.Found != nil {
			c.Found = *item.Found
		}
	}
	if !s.st.WasFound {
		return
	}
	for i, item := range s.items {
		s.st.Items[i].opened = s.divide(&s.st.Items[i], item)
	}
	s.moveLosses()
	lost := int64(0)
	for i := range s.st.Items {
		c := &s.st.Items[i]
		c.Cost = money.New(c.opened.borne(), s.st.Home)
		lost += c.opened.lost.sum()
	}
	s.st.Loss = money.New(lost, s.st.Home)
}

func (s *splitter) moveLosses() {
	if s.haul.Losses == LossWrittenOff {
		return
	}
	if s.haul.Losses != LossToHaul {
		for n := range s.haul.Lots {
			s.carry(s.start[n], s.start[n+1])
		}
	}
	s.carry(0, len(s.items))
}

// divide divides the cost of one item over its pieces. Repairs stay with the
// sound ones. What is lost stands with the item until others carry it.
func (s *splitter) divide(c *ItemCost, item *Item) *opened {
	if item.Found == nil {
		return &opened{sound: c.shares}
	}
	f, own := &c.Found, c.shares
	own[Repair] = 0
	cost, others := own.sum(), f.Sound+f.Dead+f.Missing
	parts := s.forParts(item, f, cost)
	sound := firstOf(cost-parts, f.Sound, others)
	dead := firstOf(cost-parts, f.Sound+f.Dead, others) - sound
	amounts := s.yields(item, f, dead)
	lost := cost - parts - sound - total(amounts)
	if f.Sound > 0 && s.haul.Losses == LossToItem {
		sound, lost = sound+lost, 0
	}
	n := len(amounts)
	rest := n // where what is left goes: to the sound pieces, or else it is lost
	if f.Sound == 0 {
		rest++
	}
	borne := own.over(append(amounts, sound, lost, parts), rest)
	borne[rest][Repair] += c.shares[Repair]
	return &opened{sound: borne[n], lost: borne[n+1], parts: borne[n+2], yields: borne[:n], moved: -borne[n+1].sum()}
}

// firstOf returns what the first some of n pieces bear of a total divided
// equally, the earlier pieces bearing the odd units: nothing where there are
// none.
func firstOf(total, some, n int64) int64 {
	large, small, larger, err := money.Equal(total, n)
	if err != nil {
		return 0
	}
	larger = min(some, larger)
	return larger*large + (some-larger)*small
}

// forParts returns what pieces for parts carry: what they should bring, but no
// more than their share of the cost, rounded down.
func (s *splitter) forParts(item *Item, f *Found, cost int64) int64 {
	if f.Parts == 0 || cost <= 0 || item.PartsValue.Currency() == 0 {
		return 0
	}
	share, _, _ := exact.MulDiv(uint64(cost), uint64(f.Parts), uint64(f.Sound+f.Parts+f.Dead+f.Missing))
	return min(s.worth(item.PartsValue, f.Parts, spot{of: item.At, key: "parts-value", field: "item " + item.ID + ": parts-value"}), int64(share))
}

// yields returns what the pieces made from dead ones carry: what they should
// bring, or, where that is more than the dead pieces cost, their part of that.
func (s *splitter) yields(item *Item, f *Found, dead int64) []int64 {
	worths, carried := make([]int64, len(f.Yields), len(f.Yields)+3), make([]int64, len(f.Yields), len(f.Yields)+3)
	if dead <= 0 {
		return carried
	}
	left, field := dead, "item "+item.ID+": yields"
	for i, y := range f.Yields {
		worths[i] = s.worth(y.Value, y.Count, spot{of: item.At.Entry(i, "found", "yields"), key: "value", field: field})
		left -= min(worths[i], left+1) // below zero once there is not enough
	}
	if left >= 0 {
		return worths
	}
	if err := money.Apportion(carried, dead, worths); err != nil {
		s.tooLarge(spot{of: item.At, key: "found", field: field}, err)
	}
	return carried
}

// worth returns what n pieces should bring in home, rounded once, in minor
// units.
func (s *splitter) worth(one money.Amount, n int64, at spot) int64 {
	value, err := s.rates.Exact(one, s.st.Home)
	if err != nil {
		s.report.AddErr(at.origin(), at.name(), err)
		return 0
	}
	worth, err := exchange.Round(value.Mul(value, new(big.Rat).SetInt64(n)), money.HalfAway, s.st.Home)
	if err != nil {
		return math.MaxInt64 // more than anything costs
	}
	return worth.Minor()
}

// carry lets the sound pieces of some items carry what was lost of them, by
// what they bear already, or by their number where none bears more than nothing.
// Pieces that nobody paid for carry nothing; without others the loss stays.
func (s *splitter) carry(first, end int) {
	bears, counts := make([]int64, end-first), make([]int64, end-first)
	var lost kinds
	var sum int64
	any, one := false, -1
	for k := range bears {
		c := &s.st.Items[first+k]
		if c.opened.lost.sum() != 0 {
			any = true
			lost.add(&c.opened.lost)
		}
		if c.Found.Sound == 0 || c.Count == 0 {
			continue
		}
		if one < 0 {
			one = k
		}
		bears[k], counts[k] = max(c.opened.sound.sum(), 0), c.Found.Sound
		sum += bears[k]
	}
	if one < 0 || !any {
		return
	}
	if sum == 0 {
		bears = counts
	}
	shares := make([]int64, len(bears))
	if err := money.Apportion(shares, lost.sum(), bears); err != nil {
		s.tooLarge(spot{of: s.haul.At, field: "losses"}, err)
		return
	}
	for k, took := range lost.over(shares, one) {
		o := s.st.Items[first+k].opened
		o.sound.add(&took)
		o.moved += shares[k]
		if o.lost.sum() != 0 {
			o.lost = kinds{}
		}
	}
}

// carriers says in words who carries the cost of dead and missing pieces.
var carriers = []string{
	"carried by the sound pieces of the item, or else of the lot or the haul, in proportion to what they cost",
	"carried by the sound pieces of the lot, or else of the haul, in proportion to what they cost",
	"carried by the sound pieces of the haul, in proportion to what they cost",
	"written off",
}

// pieceSteps tells how an item's shares became the cost of its pieces.
func (s *Statement) pieceSteps(c *ItemCost, shares int) []Step {
	amount := func(minor int64) string { return money.New(minor, s.Home).String() }
	var last []Step
	moved := c.Moved().Minor()
	steps := []Step{{"cost of " + c.ID, count(shares, "share"), "sum", amount(c.Cost.Minor() - moved)}}
	rule := carriers[s.weights.haul.Losses]
	switch {
	case moved < 0:
		steps = append(steps, Step{"moved to other items", "the dead and missing pieces of it", rule, amount(moved)})
	case moved > 0:
		steps = append(steps, Step{"moved from dead pieces", "the dead and missing pieces of others", rule, amount(moved)})
	}
	for _, p := range c.portions(nil) {
		switch p.state {
		case ForParts:
			steps = append(steps, Step{"pieces for parts", pieces(p.count), "what they should sell for, at most their share", p.text(s.Home)})
		case Made:
			steps = append(steps, Step{"made from dead pieces: " + p.what, pieces(p.count), "what they should sell for, at most what the dead ones cost", p.text(s.Home)})
		case Sound:
			sound := pieces(p.count)
			if p.count != c.Count {
				sound = plural(fmt.Sprint(p.count), "sound piece")
			}
			last = append(last, Step{"cost of a piece", amount(p.bears.sum()) + " over " + sound,
				"equally, the extra cents to the earlier pieces", p.text(s.Home)})
		}
	}
	return append(steps, last...)
}

// text prints groups of pieces that cost the same.
func (p *portion) text(home money.Currency) string {
	groups := p.groups(nil, home)
	texts := make([]string, len(groups))
	for i, g := range groups {
		texts[i] = fmt.Sprintf("%d x %s", g.Count, g.Each)
	}
	return strings.Join(texts, ", ")
}
