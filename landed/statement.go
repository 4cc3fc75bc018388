package landed

import (
	"iter"
	"slices"
	"strings"

	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Statement says what everything cost. All amounts are in Home.
type Statement struct {
	Haul  *Haul          // without the lots that are lost
	Home  money.Currency // the currency of all costs
	Total money.Amount   // all that is paid: the sum of the lines, and of the items with Loss
	Lines []Line         // every amount paid, lots first, then charges, in file order
	Lots  []LotCost      // in file order
	Items []ItemCost     // in file order

	// Loss is what nobody carries of the cost of pieces that came to nothing.
	// The items' costs and the loss sum to Total.
	Loss     money.Amount
	Border   *customs.Assessment // before a bill replaced any of it; nil when the border is not counted
	Unknown  []string            // the parcels for which what the border asks is left out, since it depends on an open price; "" is the one box of a haul without parcels
	WasFound bool                // it is known what was found of some item

	sums        kinds
	weights     *weights
	borderRates []fx.Rate
}

// Line is one amount that was paid, and how it was shared.
type Line struct {
	What   string       // it is for, in words
	Kind   Kind         // of cost
	charge int32        // the number of its charge in the haul, counted from 1; 0 of other lines
	Parcel string       // id, where the amount belongs to one parcel
	Lot    string       // id, where the amount belongs to one lot
	Item   string       // id, where it belongs to one item
	Times  int64        // how many alike charges stand in this line: 1, or the pieces of an item
	Home   money.Amount // all of it, in home
	By     Basis        // where Item is given, that one bears it all
	// Estimated marks what the rules of the border say and no bill confirms.
	Estimated bool
	// AsEstimated is what the rules say in place of a bill of the border, in home. It
	// has no currency where that is not known: nothing was assessed, or a rate is
	// missing.
	AsEstimated money.Amount
	Without     []string // ids of lots whose open price a percentage of prices leaves out
	paid        paid
	shares      []int64 // of items, in minor units of home; they sum to Home, and there are none where that is 0
	dutiable    Dutiable
	premiumIn   bool    // a price that holds the premium
	bill        bool    // of the border
	perPiece    bool    // asked for each piece of the item
	items       []int   // that it covers, in file order
	borne       []int64 // what each of them weighs in a sharing as assessed
	borneBy     string  // by what these are, "" as it was assessed
	source      conversion
}

// SharedBy says by what it was shared: a bill of the border of which nothing was assessed by what
// stands in for that.
func (l *Line) SharedBy() string {
	if l.By == ByAssessed && l.borneBy != "" {
		return strings.TrimPrefix(l.borneBy, "by ")
	}
	return l.By.String()
}

// paid is an amount as it was asked, before conversion and rounding: an amount, or a
// part of one, be it of prices in home.
type paid struct {
	amount  money.Amount
	part    decimal.Decimal // a fraction of the amount, when parted or ofPrice: a premium, the price and its premium, a percentage
	parted  bool
	ofPrice bool // the amount is prices in home
}

func (p *paid) factors() []decimal.Decimal {
	if p.parted || p.ofPrice {
		return []decimal.Decimal{p.part}
	}
	return nil
}

// number is what was asked, in major units, exact.
func (l *Line) number() decimal.Decimal {
	n := l.paid.amount.Decimal()
	for _, f := range l.paid.factors() {
		n = n.Mul(f)
	}
	if l.Times > 1 {
		n = n.Mul(decimal.NewFromInt(l.Times))
	}
	return n
}

// Asked prints the amount of a line as it was asked, before it was converted and
// rounded: "4200 JPY", "462.5 JPY", "1.5% of price".
func (l *Line) Asked() string {
	var room [32]byte
	return string(l.AppendAsked(room[:0]))
}

// AppendAsked appends what [Line.Asked] prints.
func (l *Line) AppendAsked(dst []byte) []byte {
	p := &l.paid
	if p.ofPrice {
		return append(append(dst, money.FormatPercent(p.part)...), " of price"...)
	}
	minor, decimals, ok := l.minorAsked()
	if !ok {
		return append(dst, l.longAsked()...)
	}
	return append(append(exact.AppendDecimal(dst, minor, decimals), ' '), p.amount.Currency().Code()...)
}

// minorAsked is what was asked as a number of the last of some decimals, as many as the currency
// has or as it takes; false where that does not fit.
func (l *Line) minorAsked() (minor int64, decimals int, ok bool) {
	p, digits := &l.paid, l.paid.amount.Currency().Digits()
	if !p.parted {
		all, err := p.amount.Times(max(l.Times, 1))
		return all.Minor(), digits, err == nil && p.amount.Currency() != 0
	}
	part, fits := exact.NewRatio(p.part)
	whole, ok := exact.Mul(p.amount.Minor(), part.Num)
	if !fits || !ok || l.Times > 1 {
		return 0, 0, false
	}
	decimals = digits
	for den := part.Den; den > 1; den /= 10 {
		if den%10 != 0 {
			return 0, 0, false
		}
		if whole%10 == 0 && decimals == digits {
			whole /= 10
			continue
		}
		decimals++
	}
	return whole, decimals, true
}

// longAsked is what was asked where it is long.
func (l *Line) longAsked() string {
	if l.paid.amount.Currency() == 0 {
		return l.paid.amount.String()
	}
	currency, number := l.paid.amount.Currency(), l.number()
	digits := int32(currency.Digits())
	if -number.Exponent() > digits && !number.Equal(number.Truncate(digits)) {
		return number.String() + " " + currency.Code()
	}
	return number.StringFixed(digits) + " " + currency.Code()
}

// LotCost is what the items of a lot cost. Where the price of the lot is open it is
// not in Cost ([Lot.Bought]).
type LotCost struct {
	*Lot
	Cost money.Amount // of all its items
}

// ItemCost is what the pieces of an item cost.
type ItemCost struct {
	*Item
	Lot    *Lot         // where its price is open that is not in Cost ([Lot.Bought])
	Cost   money.Amount // that its pieces bear: its shares, and what it took over or gave away
	Found  Found        // all sound where nothing is said
	shares kinds
	bears  [Kinds]bool
	opened *opened // nil where nothing was found of any item: the sound pieces bear it all
}

// opened is how an item's cost lies on its pieces once it is known what was
// found.
type opened struct {
	sound, parts kinds   // what the sound pieces, and those for parts, bear
	yields       []kinds // and what was made from dead ones, by Found.Yields
	lost         kinds   // what nobody carries of what the others cost
	moved        int64
}

// Moved returns what the item took over of the cost of pieces that came to
// nothing, or, below zero, gave away.
func (c *ItemCost) Moved() money.Amount {
	if c.opened == nil {
		return money.New(0, c.Cost.Currency())
	}
	return money.New(c.opened.moved, c.Cost.Currency())
}

// Bears reports whether the item has a part in any cost of a kind, be it zero.
func (c *ItemCost) Bears(k Kind) bool { return int(k) < Kinds && c.bears[k] }

// Share returns the item's share of all costs of a kind, before anything moved.
func (c *ItemCost) Share(k Kind) money.Amount { return money.New(c.shares.of(k), c.Cost.Currency()) }

func (o *opened) borne() int64 {
	sum := o.sound.sum() + o.parts.sum()
	for i := range o.yields {
		sum += o.yields[i].sum()
	}
	return sum
}

// Pieces is a number of pieces in one state that cost the same.
type Pieces struct {
	State State        // in which they were found
	What  string       // what they are, where they were made from dead ones; else empty
	Count int64        // of them, at least 1
	Each  money.Amount // what one costs, in home
}

// Group is some alike pieces and what they bear together.
type Group struct {
	Pieces
	Cost  money.Amount // Count x Each
	bears kinds
}

// Share returns what the pieces bear of a kind of cost. Over the kinds it sums
// to Cost, and over all groups of a statement to [Statement.Sum]: what one item
// took over from another came with its kinds. Within an item each group bears
// them as its cost is to that of all, by largest remainder, the earlier groups
// first and what was given back before what was paid; but repairs are borne by
// the sound pieces.
func (g *Group) Share(k Kind) money.Amount { return money.New(g.bears.of(k), g.Cost.Currency()) }

// Each divides what the item's pieces bear equally over them, by largest
// remainder: for each state, and each kind of piece made from dead ones, one
// group, or two that differ by one minor unit, the one farther from zero first.
// Pieces that came to nothing are in no group.
func (c *ItemCost) Each() []Pieces {
	var room [4]portion
	each := make([]Pieces, 0, 2)
	for _, p := range c.portions(room[:0]) {
		if p.state != Dead {
			each = p.pieces(each, c.Cost.Currency())
		}
	}
	return each
}

// AppendGroups appends [ItemCost.Each] with what each group bears, and with the
// pieces that came to nothing, which bear what is written off of the item. Where
// something is written off and none of them did, as when all are for parts and
// worth less than they cost, that stands as one dead piece.
func (c *ItemCost) AppendGroups(groups []Group) []Group {
	var room [4]portion
	for _, p := range c.portions(room[:0]) {
		groups = p.groups(groups, c.Cost.Currency())
	}
	return groups
}

// portion is the pieces of an item in one state and what they bear together.
type portion struct {
	state State
	what  string
	count int64
	bears *kinds
}

// portions appends those in which there are pieces.
func (c *ItemCost) portions(list []portion) []portion {
	add := func(state State, what string, count int64, bears *kinds) {
		if count > 0 {
			list = append(list, portion{})
			last := &list[len(list)-1]
			last.state, last.what, last.count, last.bears = state, what, count, bears
		}
	}
	f, o := &c.Found, c.opened
	if o == nil {
		add(Sound, "", f.Sound, &c.shares)
		return list
	}
	add(Sound, "", f.Sound, &o.sound)
	add(ForParts, "", f.Parts, &o.parts)
	for i := range o.yields {
		add(Made, f.Yields[i].What, f.Yields[i].Count, &o.yields[i])
	}
	dead := f.Dead + f.Missing
	if dead == 0 && o.lost != (kinds{}) {
		dead = 1
	}
	add(Dead, "", dead, &o.lost)
	return list
}

// pieces appends those that cost the same, as [ItemCost.Each] has them.
func (p *portion) pieces(list []Pieces, home money.Currency) []Pieces {
	large, small, larger, err := money.Equal(p.bears.sum(), p.count)
	if err != nil {
		return list // there are none
	}
	for _, some := range [...]struct{ count, each int64 }{{larger, large}, {p.count - larger, small}} {
		if some.count > 0 {
			list = append(list, Pieces{})
			last := &list[len(list)-1]
			last.State, last.What, last.Count, last.Each = p.state, p.what, some.count, money.New(some.each, home)
		}
	}
	return list
}

func (p *portion) groups(groups []Group, home money.Currency) []Group {
	var room [2]Pieces
	list := p.pieces(room[:0], home)
	if len(list) == 1 {
		return append(groups, Group{list[0], money.New(p.bears.sum(), home), *p.bears})
	}
	borne := make([]int64, len(list))
	for i := range list {
		borne[i] = list[i].Count * list[i].Each.Minor()
	}
	for i, bears := range p.bears.over(borne, 0) {
		groups = append(groups, Group{list[i], money.New(borne[i], home), bears})
	}
	return groups
}

// Sum returns the sum of all lines of a kind.
func (s *Statement) Sum(k Kind) money.Amount { return money.New(s.sums.of(k), s.Home) }

// Items goes through the items of all lots, in file order, each with its lot. The haul may be nil.
func (h *Haul) Items() iter.Seq2[*Lot, *Item] {
	return func(yield func(*Lot, *Item) bool) {
		if h == nil {
			return
		}
		for i := range h.Lots {
			for j := range h.Lots[i].Items {
				if !yield(&h.Lots[i], &h.Lots[i].Items[j]) {
					return
				}
			}
		}
	}
}

// ItemAt is the place of the item with an id, or -1.
func (s *Statement) ItemAt(id string) int {
	return slices.IndexFunc(s.Items, func(c ItemCost) bool { return c.ID == id })
}

// Pieces returns the number of pieces that were paid for.
func (s *Statement) Pieces() int64 {
	var n int64
	for _, item := range s.Haul.Items() {
		n += item.Count
	}
	return n
}

// conversion is how a line came to its amount in home.
type conversion struct {
	settled bool
	rate    *fx.Rate // nil where none was used; shared, as there may be many lines
	spread  decimal.Decimal
}

// Bills are the lines of bills of the border.
func (s *Statement) Bills() []*Line {
	var bills []*Line
	for i := range s.Lines {
		if s.Lines[i].bill {
			bills = append(bills, &s.Lines[i])
		}
	}
	return bills
}

// Estimate returns the sum of the lines that are estimates: what the rules of
// the border say and no bill confirms.
func (s *Statement) Estimate() money.Amount {
	var sum int64
	for i := range s.Lines {
		if s.Lines[i].Estimated {
			sum += s.Lines[i].Home.Minor()
		}
	}
	return money.New(sum, s.Home)
}

// Rates returns the exchange rates that were used, with the spread, each once, in the order in
// which they were needed.
func (s *Statement) Rates() []fx.Rate {
	var rates []fx.Rate
	seen := map[fx.Code]bool{}
	for i := range s.Lines {
		if r := s.Lines[i].source.rate; r != nil && !seen[r.From] {
			seen[r.From] = true
			rates = append(rates, r.Spread(s.Lines[i].source.spread))
		}
	}
	return rates
}

// BorderRates returns the rates by which the value for customs was found, each once; the card's
// spread is not in them.
func (s *Statement) BorderRates() []fx.Rate { return s.borderRates }
