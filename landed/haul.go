package landed

import (
	"slices"
	"strconv"
	"time"

	"lotcost/fx"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Haul is what was, or may be, bought together.
type Haul struct {
	Title    string          // in words; "" where it has none
	Home     money.Currency  // the currency of every result
	Date     time.Time       // day of purchase, at 00:00 UTC; zero when not known
	From, To string          // ISO 3166 country, or country-subdivision; may be empty
	Market   *fx.Market      // rates; may be nil when everything is in Home
	Spread   decimal.Decimal // what the card adds to the rate, as a fraction
	Share    Bases           // by what each kind of cost is shared
	Lots     []Lot           // in the order of the documents
	Parcels  []Parcel        // how the lots travelled; none means all in one parcel
	Charges  []Charge        // what was paid beside prices and premiums
	Border   *Border         // what is met at the border; nil when that is not counted
	Losses   LossRule        // what becomes of the cost of pieces that came to nothing
	At       source.Origin   // of the file

	open    openRule // what becomes of open prices
	allLost bool     // there were lots, but all are lost
	quiet   bool     // what may be asked once figures change stands in the statement though it comes to nothing
}

// Exchange returns what converts the haul's amounts.
func (h *Haul) Exchange() *exchange.Converter { return exchange.New(h.Market, h.Home, h.Spread) }

// Lot is what was bought under one number for one price.
type Lot struct {
	ID, Title, Seller string
	Price             money.Amount    // hammer or asking price of the whole lot; no currency when not given
	Premium           decimal.Decimal // buyer's premium, a fraction of Price
	Open              bool            // the price is not known yet
	Lost              bool            // it went to another buyer, and counts as not there
	Closes            time.Time       // when it is sold, by the clock of the sale; zero when not known
	Likely            *Likely         // what others may pay for it, while the price is open; nil when not said
	Settled           money.Amount    // in home, what the bank took for price and premium; no currency when not known
	Items             []Item          // what is in it
	Size              measure.Size    // outside, as the lot goes into a box; zero when not known
	Packed            measure.Weight  // as it goes into a box; 0 when it is that of its items
	Arrived           time.Time       // day on which the forwarder has it, at 00:00 UTC; zero when not known
	Contents          []string        // what a service may refuse, such as "liquids"
	Roll              bool            // a tube, for which services may have limits of their own
	At                source.Origin   // where it was typed
}

// Likely says what the highest price may be that others pay for a lot: one of several
// each as likely as the others, or any bid of a ladder. Just one of the three is given.
type Likely struct {
	Prices     []money.Amount // one that stands twice counts twice
	From, To   money.Amount   // the bids from one to the other, both included
	Half, Most money.Amount   // half the chance on the bids up to Half, half on those above it, up to Most
	At         source.Origin  // where it was typed
}

// Item is one or more pieces that are alike.
type Item struct {
	ID, What string
	Model    string         // under which alike pieces of other hauls go too; may be empty
	Count    int64          // pieces paid for, from 1 to maxCount; 0 where all there are were found extra
	Weight   measure.Weight // of one piece, when Weighed
	Weighed  bool           // whether Weight is known
	Alike    bool           // one outcome for all pieces of the item
	Value    money.Amount   // of one piece when right; no currency when not given, see [Haul.ValueOf]
	Further  []money.Amount // of copies sold at once, what the second, the third and each further one sell for, in the currency of Value; none where each sells for Value
	Class    string         // customs class; may be empty
	At       source.Origin  // where it was typed

	Found      *Found          // nil before the parcel is open: all are taken to be sound
	PartsValue money.Amount    // what one piece for parts should bring, selling costs off; no currency when not given
	Repair     money.Amount    // what was spent on putting the item right; no currency when nothing
	Hours      decimal.Decimal // worked on the item
	Keep       int64           // how many sound pieces are kept; before that is known, of those that come out best
	Worth      money.Amount    // of one kept piece to its keeper; no currency when not given

	Chances []Outcome // what may become of each piece, before that is known; none means all are right
	Spread  bool      // Chances are no guess: a value that was given as a range, or what is said before a record is asked
	Known   *Known    // what the user's own record says of it; nil where that is not asked
	Sold    []Sale    // what was sold of it, in file order
}

// Known is what a record of other hauls says of the pieces of an item, beside which
// the item's own chances count as so many pieces.
type Known struct {
	Asked                bool            // the record is to give the chances
	Class, Seller, Model string          // of which pieces; an empty one is any
	Own                  decimal.Decimal // what was said weighs so many pieces, or this part of all once the record is counted in
	At                   source.Origin   // where it was asked for

	// Of the three states Sound, ForParts and Dead: the parameters of a Dirichlet
	// distribution, the record counted in. None before there is one, and the pieces
	// are then independent.
	Weights []decimal.Decimal
	Ahead   int64 // copies that are there already and are sold before these
}

// maxCount is the most pieces an [Item] may have, so that those of any haul
// that fits in memory can be counted.
const maxCount = 1_000_000_000_000

// Parcel is a box in which some of the lots travelled.
type Parcel struct {
	ID       string         // by which charges and errors name it
	Lots     []string       // ids; each lot travels in one parcel
	Carriage                // what was asked for it; no currency when it stands among the charges
	Settled  Carriage       // in home, what the bank took for each of the three
	Bill     Bill           // of the border for this parcel
	Billed   measure.Weight // the weight the carrier billed; 0 when not known
	Size     measure.Size   // zero when not known
	At       source.Origin  // where it was typed
}

// Charge is a cost beside the prices. Exactly one of Amount and Percent is
// given.
type Charge struct {
	What     string          // it is for, in words
	Kind     Kind            // Freight, Insurance, Fee or Repair
	Amount   money.Amount    // may be negative, a refund
	Percent  decimal.Decimal // a fraction of the covered lots' price and premium, when OfPrice
	OfPrice  bool            // whether it is Percent of prices and premiums, and no Amount
	Settled  money.Amount    // in home, what the bank took; no currency when not known
	Per      Per             // what it is paid for once
	On       []string        // ids of the lots or items covered; none means all
	By       Basis           // NoBasis means the haul's basis for Kind
	Dutiable Dutiable        // how it counts in the value for customs
	At       source.Origin   // where it was typed
}

// OfParcels reports whether the charge is freight of what travels together, which another way to
// send it takes the place of. Freight for each lot, item or piece is not: it is paid however the
// lots are boxed, as the way to a forwarder is.
func (c *Charge) OfParcels() bool {
	return c.Kind == Freight && (c.Per == PerHaul || c.Per == PerParcel)
}

// Kind is the kind of a cost.
type Kind uint8

// The kinds of cost, in the order in which statements list them.
const (
	Price Kind = iota
	Premium
	Freight
	Insurance
	Fee
	Repair
	Duty
	Tax
	Kinds int = iota // how many there are
)

var kindNames = [Kinds]string{"price", "premium", "freight", "insurance", "fee", "repair", "duty", "tax"}

// String returns the kind's name in files and output.
func (k Kind) String() string { return word(kindNames[:], k) }

// Per says for what a charge is asked once.
type Per uint8

// What a charge is asked for.
const (
	PerHaul Per = iota
	PerParcel
	PerLot
	PerItem
	PerPiece
)

var perNames = []string{"haul", "parcel", "lot", "item", "piece"}

// Dutiable says how a charge counts in the value for customs. The zero value is by its kind: as
// freight, insurance or fees; a repair, and what is given back of fees, nowhere. What is given back
// of freight or insurance makes that less, be it the insurer who paid, but for NotDutiable.
type Dutiable uint8

// How charges count. Where a value for customs holds other fees than freight
// and insurance, those of the seller, the sale room and a forwarder are in it,
// packing among them: Directive 2006/112/EC, article 86(1)(b). A buying
// commission is not: Regulation (EU) 952/2013, article 72(e).
const (
	AsGoods     Dutiable = iota + 1 // a part of the goods' value, as the seller's packing is
	NotDutiable                     // nowhere: a buying commission, the bank's fee
)

// Basis is what a cost is shared by.
type Basis uint8

// The bases.
const (
	NoBasis    Basis = iota // not given
	ByWeight                // count x weight
	ByCount                 // count
	ByValue                 // count x value
	ByLine                  // each item the same: one line of the list
	ByEqual                 // the same, by the word that files once had for it
	ByAssessed              // as customs assessed each item
)

var basisNames = []string{"", "weight", "count", "value", "line", "equal", "assessed"}

// String returns the word used in files.
func (b Basis) String() string { return word(basisNames, b) }

// Parse finds what a word used in files stands for; the basis assessed is among
// them.
func Parse[T Kind | Per | Basis | LossRule](word string) (T, bool) {
	var names []string
	switch any(T(0)).(type) {
	case Kind:
		names = kindNames[:]
	case Per:
		names = perNames
	case Basis:
		names = basisNames
	case LossRule:
		names = lossNames
	}
	i := slices.Index(names, word)
	return T(max(i, 0)), i >= 0 && word != ""
}

// word returns the name of a value, or its number where it is none of those
// known.
func word[T ~uint8](names []string, value T) string {
	if int(value) < len(names) {
		return names[value]
	}
	return strconv.Itoa(int(value))
}

// Bases holds the basis for each kind of cost. The zero value stands for
// [DefaultBases].
type Bases [Kinds]Basis

// DefaultBases are the bases used where none is given: prices and insurance by
// value, freight by weight, fees and repairs by count, duty and tax as
// assessed. These are a choice of this project; no rule fixes them (common
// practice, no source).
func DefaultBases() Bases {
	return Bases{Price: ByValue, Premium: ByValue, Freight: ByWeight, Insurance: ByValue,
		Fee: ByCount, Repair: ByCount, Duty: ByAssessed, Tax: ByAssessed}
}

func (b Bases) of(k Kind) Basis {
	if int(k) >= Kinds {
		return NoBasis
	}
	if b[k] == NoBasis {
		return DefaultBases()[k]
	}
	return b[k]
}

// WithPrice returns the bases with prices and premiums shared by basis.
func (b Bases) WithPrice(basis Basis) Bases {
	b[Price], b[Premium] = basis, basis
	return b
}
