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
	By     Basis        // NoBasis where one item bears it all
	Parts  []Part       // in file order; they sum to Home
	source conversion
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
	Cost          money.Amount // of all its pieces
	shares        [Kinds]int64
	bears         [Kinds]bool
}

// Bears reports whether the item has a part in any cost of a kind, be it zero.
func (c *ItemCost) Bears(k Kind) bool { return c.bears[k] }

// Share returns the item's share of all costs of a kind.
func (c *ItemCost) Share(k Kind) money.Amount { return money.New(c.shares[k], c.Cost.Currency()) }

// Pieces is a number of pieces that cost the same.
type Pieces struct {
	Count int64
	Each  money.Amount
}

// Each divides the item's cost equally over its pieces, by largest remainder:
// one group, or two that differ by one minor unit, the dearer first.
func (c *ItemCost) Each() []Pieces {
	parts, err := money.Equal(c.Cost.Minor(), c.Count)
	if err != nil {
		return nil
	}
	groups := []Pieces{{parts.Larger, money.New(parts.Large, c.Cost.Currency())}}
	if parts.Others > 0 {
		groups = append(groups, Pieces{parts.Others, money.New(parts.Small, c.Cost.Currency())})
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

// For names what a line is for: an item, a lot, a parcel, or "" for the whole
// haul.
func (l *Line) For() string { return cmp.Or(l.Item, l.Lot, l.Parcel) }
