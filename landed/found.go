package landed

import (
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Found is what became of an item's pieces once the parcel was open. Sound,
// Parts, Dead and Missing together are the count and the extra pieces.
type Found struct {
	Sound   int64 // work, or were put right
	Parts   int64 // good for parts only
	Dead    int64 // came to nothing
	Missing int64 // were not in the parcel
	Extra   int64 // pieces beyond the count; they are among the others
}

// found returns what was found, all pieces being sound where nothing is said.
func (i *Item) found() Found {
	if i.Found == nil {
		return Found{Sound: i.Count}
	}
	return *i.Found
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

// String returns the word used in files.
func (l LossRule) String() string { return lossNames[l] }

// ParseLossRule finds the rule of a word used in files.
func ParseLossRule(word string) (LossRule, bool) { return find[LossRule](lossNames, word, 0) }

// State is what a piece was found to be.
type State uint8

// The states of pieces that bear a cost.
const (
	Sound State = iota
	ForParts
)

var stateNames = []string{"sound", "parts"}

// String returns the word used in files and output.
func (s State) String() string { return stateNames[s] }

func checkFound(report *source.Report, item *Item) {
	f := item.Found
	if f == nil {
		return
	}
	fail := func(what, remedy string) {
		report.Add(&source.Fault{At: item.At.Key("found"), Field: "item " + item.ID + ": found", What: what, Remedy: remedy})
	}
	have, want := f.Sound+f.Parts+f.Dead+f.Missing, item.Count+f.Extra
	switch {
	case min(f.Sound, f.Parts, f.Dead, f.Missing, f.Extra) < 0:
		fail("a number of pieces is negative", "write how many there are of each, or leave it out")
	case have != want && f.Extra > 0:
		fail(fmt.Sprintf("%s found, but the count is %d and %d extra", pieces(have), item.Count, f.Extra), "sound, parts, dead and missing must sum to the count and the extra ones")
	case have != want:
		fail(fmt.Sprintf("%s found, but the count is %d", pieces(have), item.Count), "sound, parts, dead and missing must sum to the count; write extra for pieces beyond it")
	case item.Keep > f.Sound:
		report.Add(&source.Fault{At: item.At.Key("keep"), Field: "item " + item.ID + ": keep", What: fmt.Sprintf("%d are to be kept, but %d are sound", item.Keep, f.Sound), Remedy: "keep no more than are sound"})
	}
}

func pieces(n int64) string { return plural(fmt.Sprint(n), "piece") }

// settler moves the cost of pieces that came to nothing to those that carry it.
type settler struct {
	*splitter
	lots []int64 // by lot, what its sound pieces are to carry
	all  int64   // what the sound pieces of the haul are to carry
}

// settle divides each item's cost over what was found, and moves what nobody
// in the item carries. The sum over items and the loss stays the total.
//
// A piece for parts carries what it should bring and no more, like a
// by-product (IAS 2.14 as retold in Ind AS 2: its net realisable value is
// deducted from the cost of the main product), never more than the item's
// cost; pieces beyond the count share equally with the others. The order in
// which rules follow one another is ours (common practice, no source).
func (s *splitter) settle() {
	t := &settler{splitter: s, lots: make([]int64, len(s.haul.Lots))}
	s.st.Loss = money.New(0, s.haul.Home)
	any := false
	for i, item := range s.items {
		any = any || item.Found != nil
		t.item(i, item)
	}
	s.st.WasFound = any
	if !any {
		return
	}
	for n := range t.lots {
		if t.lots[n] != 0 && !t.carry(t.lots[n], s.start[n], s.start[n+1]) {
			t.all += t.lots[n]
		}
	}
	if t.all != 0 && !t.carry(t.all, 0, len(s.items)) {
		s.st.Loss = money.New(s.st.Loss.Minor()+t.all, s.haul.Home)
	}
}

// item divides the cost of one item. Repairs stay with the sound pieces.
func (t *settler) item(i int, item *Item) {
	c, f := &t.st.Items[i], item.found()
	c.Found = f
	repair := c.shares[Repair]
	cost := c.Cost.Minor() - repair
	c.parts = t.byProduct(item, f.Parts, cost)
	rest := cost - c.parts
	switch {
	case f.Sound == 0:
		c.sound = 0
	case t.haul.Losses == LossToItem:
		c.sound = rest + repair
	default:
		c.sound = firstOf(rest, f.Sound, f.Sound+f.Dead+f.Missing) + repair
	}
	c.moved = c.sound + c.parts - c.Cost.Minor()
	switch lost := -c.moved; t.haul.Losses {
	case LossToHaul:
		t.all += lost
	case LossWrittenOff:
		t.st.Loss = money.New(t.st.Loss.Minor()+lost, t.st.Home)
	default:
		t.lots[t.lotOf[i]] += lost
	}
	c.Cost = money.New(c.sound+c.parts, t.st.Home)
}

// firstOf returns what the first some of n pieces bear of a total divided
// equally, the earlier pieces bearing the odd units.
func firstOf(total, some, n int64) int64 {
	parts, err := money.Equal(total, n)
	if err != nil {
		return total
	}
	large := min(some, parts.Larger)
	return large*parts.Large + (some-large)*parts.Small
}

// byProduct returns what pieces for parts carry: what they should bring, but
// no more than the cost.
func (t *settler) byProduct(item *Item, n, cost int64) int64 {
	if n == 0 || cost <= 0 || item.PartsValue.Currency() == 0 {
		return 0
	}
	value := item.PartsValue.Decimal().Mul(decimal.NewFromInt(n))
	den := decimal.NewFromInt(1)
	if c := item.PartsValue.Currency(); c != t.st.Home {
		rate, err := t.haul.rate(c)
		if err != nil {
			t.report.AddErr(item.At.Key("parts-value"), "item "+item.ID+": parts-value", err)
			return 0
		}
		value, den = value.Mul(rate.Num), rate.Den
	}
	worth, err := money.Round(value, den, t.st.Home)
	if err != nil || worth.Minor() > cost {
		return cost
	}
	return worth.Minor()
}

// carry shares a cost over the sound pieces of some items, by what they bear
// already, or by their number where they bear nothing. It reports false when
// there is no sound piece.
func (t *settler) carry(cost int64, first, end int) bool {
	bears, counts := make([]int64, end-first), make([]int64, end-first)
	var sum int64
	fair := true
	for i := first; i < end; i++ {
		c := &t.st.Items[i]
		if c.Found.Sound == 0 {
			continue
		}
		bears[i-first], counts[i-first] = c.sound, c.Found.Sound
		sum += c.sound
		fair = fair && c.sound >= 0
	}
	if !fair || sum == 0 {
		bears = counts
	}
	shares := make([]int64, end-first)
	if err := money.Apportion(shares, cost, bears); err != nil {
		return false
	}
	for k, share := range shares {
		c := &t.st.Items[first+k]
		c.sound += share
		c.moved += share
		c.Cost = money.New(c.sound+c.parts, t.st.Home)
	}
	return true
}

// carriers says in words who carries what came to nothing.
var carriers = []string{
	"carried by the sound pieces of the item, or else of the lot or the haul",
	"carried by the sound pieces of the lot, or else of the haul",
	"carried by the sound pieces of the haul",
	"written off",
}

// pieceSteps tells how an item's shares became the cost of its pieces.
func (s *Statement) pieceSteps(c *ItemCost, shares int) []Step {
	amount := func(minor int64) string { return money.New(minor, s.Home).String() }
	steps := []Step{{"cost of " + c.ID, count(shares, "share"), "sum", amount(c.Cost.Minor() - c.moved)}}
	rule := carriers[s.weights.haul.Losses]
	switch {
	case c.moved < 0:
		steps = append(steps, Step{"given away", "what came to nothing of it", rule, amount(c.moved)})
	case c.moved > 0:
		steps = append(steps, Step{"taken over", "what came to nothing of others", rule, amount(c.moved)})
	}
	if c.Found.Parts > 0 {
		steps = append(steps, Step{"pieces for parts", pieces(c.Found.Parts), "what they should bring, at most the cost", piecesText(c.divide(nil, ForParts, c.parts, c.Found.Parts))})
	}
	if c.Found.Sound == 0 {
		return steps
	}
	sound := pieces(c.Found.Sound)
	if c.Found.Sound != c.Count {
		sound = plural(fmt.Sprint(c.Found.Sound), "sound piece")
	}
	return append(steps, Step{"cost of a piece", amount(c.sound) + " over " + sound,
		"equally, the odd minor units to the earlier pieces", piecesText(c.divide(nil, Sound, c.sound, c.Found.Sound))})
}

// piecesText prints groups of pieces that cost the same.
func piecesText(groups []Pieces) string {
	texts := make([]string, len(groups))
	for i, g := range groups {
		texts[i] = fmt.Sprintf("%d x %s", g.Count, g.Each)
	}
	return strings.Join(texts, ", ")
}
