package landed

import (
	"cmp"

	"lotcost/fx"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Statement says what everything cost. All amounts are in Home.
type Statement struct {
	Title string
	Home  money.Currency
	Total money.Amount
	Lines []Line     // every amount paid, lots first, then charges, in file order
	Lots  []LotCost  // in file order
	Items []ItemCost // in file order

	// Loss is what nobody carries of the cost of pieces that came to nothing.
	// The items' costs and the loss sum to Total.
	Loss   money.Amount
	Border *BorderStatement // what was assessed; nil when the border was not reckoned
	Bills  []Billed         // the bills of the border beside their estimates
	// Uncounted: the haul crosses a border, and what that adds is not in it.
	Uncounted bool
	WasFound  bool // it is known what was found of some item

	sums    [Kinds]int64 // in minor units
	weights *weights
}

// Line is one amount that was paid, and how it was shared.
type Line struct {
	What   string
	Kind   Kind
	Parcel string // id, where the amount belongs to one parcel
	Lot    string // id, where the amount belongs to one lot
	Item   string // id, where it belongs to one item
	Times  int64  // how many alike charges stand in this line: 1, or the pieces of an item
	Paid   Paid
	Home   money.Amount // all of it, in home
	By     Basis        // where Item is given, that one bears it all
	// Estimated marks what the rules of the border say and no bill confirms.
	Estimated bool
	Parts     []Part // in file order; they sum to Home
	dutiable  Dutiable
	perParcel bool // asked for each parcel
	premiumIn bool // a price that holds the premium
	source    conversion
}

// Part is an item's share of a line, in minor units of home.
type Part struct {
	Item  int // index into Statement.Items
	Minor int64
}

// Paid is an amount as it was asked, before conversion and rounding: a number
// of a currency, or a percentage of prices.
type Paid struct {
	Number   decimal.Decimal // in major units, exact
	Currency money.Currency
	Percent  decimal.Decimal // a fraction of prices, when OfPrice
	OfPrice  bool
}

// String prints the amount as it was asked: "4200 JPY", "462.5 JPY", "1.5% of
// price".
func (p Paid) String() string {
	if p.OfPrice {
		return money.FormatPercent(p.Percent) + " of price"
	}
	digits := int32(p.Currency.Digits())
	if -p.Number.Exponent() > digits && !p.Number.Equal(p.Number.Truncate(digits)) {
		return p.Number.String() + " " + p.Currency.Code()
	}
	return p.Number.StringFixed(digits) + " " + p.Currency.Code()
}

// LotCost is what the items of a lot cost.
type LotCost struct {
	ID, Title, Seller string
	Cost              money.Amount // of all its items
	First, End        int          // its items are Statement.Items[First:End]
}

// ItemCost is what the pieces of an item cost.
type ItemCost struct {
	ID, What, Lot string
	Count         int64
	Cost          money.Amount // that its pieces bear: its shares, and what it took over or gave away
	Found         Found
	shares        [Kinds]int64
	bears         [Kinds]bool
	sound, parts  int64 // what the sound pieces, and those for parts, bear
	moved         int64
}

// Moved returns what the item took over of the cost of pieces that came to
// nothing, or, below zero, gave away.
func (c *ItemCost) Moved() money.Amount { return money.New(c.moved, c.Cost.Currency()) }

// Bears reports whether the item has a part in any cost of a kind, be it zero.
func (c *ItemCost) Bears(k Kind) bool { return c.bears[k] }

// Share returns the item's share of all costs of a kind.
func (c *ItemCost) Share(k Kind) money.Amount { return money.New(c.shares[k], c.Cost.Currency()) }

// Pieces is a number of pieces in one state that cost the same.
type Pieces struct {
	State State
	Count int64
	Each  money.Amount
}

// Each divides what the item's pieces bear equally over them, by largest
// remainder: for each state one group, or two that differ by one minor unit,
// the dearer first. Pieces that came to nothing are in no group.
func (c *ItemCost) Each() []Pieces {
	groups := c.divide(nil, Sound, c.sound, c.Found.Sound)
	return c.divide(groups, ForParts, c.parts, c.Found.Parts)
}

func (c *ItemCost) divide(groups []Pieces, state State, cost, n int64) []Pieces {
	parts, err := money.Equal(cost, n)
	if err != nil {
		return groups // there are none
	}
	groups = append(groups, Pieces{state, parts.Larger, money.New(parts.Large, c.Cost.Currency())})
	if parts.Others > 0 {
		groups = append(groups, Pieces{state, parts.Others, money.New(parts.Small, c.Cost.Currency())})
	}
	return groups
}

// Sum returns the sum of all lines of a kind.
func (s *Statement) Sum(k Kind) money.Amount { return money.New(s.sums[k], s.Home) }

// Pieces returns the number of pieces in the haul.
func (s *Statement) Pieces() int64 {
	var n int64
	for i := range s.Items {
		n += s.Items[i].Count
	}
	return n
}

// conversion is how a line came to its amount in home.
type conversion struct {
	settled bool
	rate    fx.Rate
	spread  decimal.Decimal
	base    money.Amount // what a percentage was taken of
}

// WithPremium reports whether a price holds the premium, as a settled one does.
func (l *Line) WithPremium() bool { return l.premiumIn }

// For names what a line is for: an item, a lot, a parcel, or "" for the whole
// haul.
func (l *Line) For() string { return cmp.Or(l.Item, l.Lot, l.Parcel) }

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
