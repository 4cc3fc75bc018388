package book

import (
	"cmp"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Haul is what a book is made of.
type Haul struct {
	Name string // of its file, by the path inside the book
	*landed.Haul
	Selling *selling.Plan    // may be nil
	Wanted  map[string]int64 // how many of each model are to be kept; under "default" for every other one

	// YearFrom is the day on which the years of the book begin, of whichever year: 6 April, say.
	// Zero says nothing: the day that most hauls say is taken, 1 January where none does.
	YearFrom time.Time
}

// Options say how a book is kept.
type Options struct {
	Average bool // by the average cost of a model, not by each piece's own
	Sales   bool // tell each sale; its number is then kept in memory
	Prices  bool // tell what the pieces in stock must bring, which takes a search for each
	Dearest bool // of what is double, the dearest pieces are to be sold, not the cheapest
}

// Entry is a haul as a book takes it.
type Entry struct {
	Name      string            // of the file, in the book
	Statement *landed.Statement // of what was bought
	wanted    map[string]int64
	yearFrom  time.Time
	venue     string // the usual one
	items     []itemEntry
}

type itemEntry struct {
	*landed.ItemCost
	groups  []landed.Group
	sales   []Sale
	left    []landed.Pieces
	outlook []outlook        // of the sound pieces, those for parts, and each kind made from dead ones; none unless asked for
	said    *decimal.Decimal // the chance that a piece is sound; nil where nothing was guessed, or nothing found
}

// outlook is what is said of the pieces of an item in one state; no currency where nothing is.
type outlook struct {
	value  money.Amount // of one, in home
	even   money.Amount // what one must bring at the usual venue
	brings money.Amount // in home, what all of them that are for sale should
	left   int64        // how many there are
}

// of is the outlook of pieces in a state, or of the kind made from dead ones that is called so; nil
// where there is none.
func (i *itemEntry) of(state landed.State, made string) *outlook {
	at := int(state)
	if state == landed.Made {
		at = 2 + slices.IndexFunc(i.Found.Yields, func(y landed.Yield) bool { return y.What == made })
	}
	if state == landed.Dead || at >= len(i.outlook) {
		return nil
	}
	return &i.outlook[at]
}

// Enter makes an entry of a haul: of the lots that were bought, those lost or with
// an open price not being there. It returns nil where there are none. The errors
// are those of [landed.Split] and [sales.Seller.Sold], and a [*source.Fault] for
// a haul without a day.
func Enter(h Haul, o Options) (*Entry, error) {
	bought := h.OnlyBought()
	if len(bought.Lots) == 0 {
		return nil, nil
	}
	if bought.Date.IsZero() {
		at := bought.At.Key("date")
		if at.Line == 0 {
			at = bought.At.Key("lotcost")
		}
		return nil, source.Faults{{At: at, Field: "date", What: "the day of purchase is missing, and the book goes by days", Remedy: "write it", Figure: "date"}}
	}
	st, err := landed.Split(bought)
	if err != nil {
		return nil, err
	}
	e := &Entry{Name: h.Name, Statement: st, wanted: h.Wanted, yearFrom: h.YearFrom}
	if i, err := h.Selling.Venue(""); err == nil {
		e.venue = h.Selling.Venues[i].Name
	}
	seller, report := sales.New(bought, h.Selling), &collect.Report{}
	e.items = make([]itemEntry, len(st.Items))
	for i := range st.Items {
		item := &st.Items[i]
		if err := e.item(&e.items[i], item, seller); err != nil {
			report.AddErr(item.At, "item "+item.ID, err)
		}
	}
	if err := report.Err(); err != nil {
		return nil, err
	}
	if o.Prices {
		return e, e.price(h.Selling)
	}
	return e, nil
}

func (e *Entry) item(i *itemEntry, c *landed.ItemCost, seller *sales.Seller) error {
	i.ItemCost, i.groups = c, c.AppendGroups(nil)
	sold, left, err := seller.Sold(c.Item, c)
	if err != nil {
		return err
	}
	i.left, i.sales = left, make([]Sale, 0, len(sold))
	for k := range sold {
		s := e.sale(c, &sold[k])
		i.sales = append(i.sales, s)
		for b := range sold[k].Returned {
			i.sales = append(i.sales, s.returned(&sold[k].Returned[b]))
		}
	}
	for k := range i.sales {
		if err := sales.Fits(&i.sales[k].Earnings); err != nil {
			return err
		}
	}
	i.said, err = guessOf(e.Statement.Haul, c)
	return err
}

// sale sets a sale of an item beside where it came from.
func (e *Entry) sale(c *landed.ItemCost, sold *selling.Sold) Sale {
	s := Sale{Item: Item{e.Name, c.Lot.ID, c.ID, c.Model, c.What}, seller: c.Lot.Seller, Venue: sold.Sale.Venue,
		bought: e.Statement.Haul.Date, Day: sold.Sale.Date, Count: sold.Sale.Count,
		Earnings: selling.Earnings{Takings: sold.Takings, Cost: sold.Cost, WrittenOff: money.New(0, e.Statement.Home)}}
	if len(sold.Returned) > 0 {
		s.out = &[3]pool{}
	}
	if sold.Sale.Made != "" {
		s.Model, s.What = "", sold.Sale.Made
	}
	s.Venue, s.Day, s.states = cmp.Or(s.Venue, e.venue), cmp.Or(s.Day, s.bought), inStates(sold.Pieces)
	return s
}

// returned is the entry that takes back what came back of a sale: as the sale, below zero.
func (s *Sale) returned(b *selling.Returned) Sale {
	back := *s
	back.Day, back.ReturnOf, back.Count, back.Earnings = b.Return.Date, s.Day, -b.Return.Count, b.Earnings
	back.as, back.worth, back.states = b.Return.As, b.Worth, inStates(b.Pieces)
	return back
}

// inStates counts pieces by their states.
func inStates(pieces []landed.Pieces) (counts [3]int64) {
	for _, g := range pieces {
		counts[g.State] += g.Count
	}
	return counts
}

// price finds what the pieces should bring, and what those that are left must.
// Where there is no telling the latter, as of kept ones, nothing is said.
func (e *Entry) price(p *selling.Plan) error {
	h := e.Statement.Haul
	for i := range e.items {
		if err := e.items[i].worth(h); err != nil {
			return err
		}
	}
	r, err := doubles.Price(h, p, e.Statement, doubles.Options{Venue: e.venue})
	if err != nil {
		return nil // nothing is said of selling, or it cannot be calculated: lotcost price tells
	}
	items := e.items
	for i := range r.Offers {
		o := &r.Offers[i]
		for items[0].ItemCost != o.ItemCost { // both are in file order
			items = items[1:]
		}
		q, of := r.Quote(o), items[0].of(o.State, o.What)
		if q.BreakEven.Err == nil {
			of.even = q.BreakEven.Price
		}
		if o.State != landed.Sound && q.Expected != nil { // at the price that leaves what they are valued at
			of.brings = money.Amount{}
			if err := of.sells(h, q.Expected.Price, o.Count); err != nil {
				return err
			}
		}
	}
	return nil
}

// worth finds what the pieces of an item that are left and not kept should sell for by the values
// of the haul.
func (i *itemEntry) worth(h *landed.Haul) error {
	i.outlook = make([]outlook, 2+len(i.Found.Yields))
	for _, g := range i.left {
		if o := i.of(g.State, g.What); o != nil {
			o.left += g.Count
		}
	}
	sound, parts := &i.outlook[landed.Sound], &i.outlook[landed.ForParts]
	runs := h.Values(i.Item, sound.left-min(i.Keep, sound.left))
	for n := len(runs) - 1; n >= 0; n-- { // the value of one is that of the first
		if err := sound.sells(h, runs[n].Each, runs[n].Count); err != nil {
			return err
		}
	}
	if len(runs) == 0 {
		if err := sound.sells(h, h.ValueOf(i.Item), 0); err != nil {
			return err
		}
	}
	for _, y := range i.Found.Yields {
		made := i.of(landed.Made, y.What)
		if err := made.sells(h, y.Value, made.left); err != nil {
			return err
		}
	}
	return parts.sells(h, i.PartsValue, parts.left)
}

// sells enters what one of so many more pieces should sell for.
func (o *outlook) sells(h *landed.Haul, one money.Amount, count int64) error {
	if one.Currency() == 0 {
		return nil
	}
	var sums tally.Tally
	o.value = sums.Of(h.Exchange().Value(one, h.Home))
	all := sums.Times(o.value, count)
	if o.brings.Currency() != 0 {
		all = sums.Add(all, o.brings)
	}
	o.brings = all
	return sums.Err
}

// Sale is a sale of pieces of an item, or what came back of one: then Count and the amounts that
// it takes back are below zero. Amounts are in home.
type Sale struct {
	Item
	ReturnOf         time.Time // of what came back, the day of the sale; else zero
	Venue            string    // the usual one of the haul where nothing is said; "" where there is none
	Day              time.Time // of the sale, or of the return
	Count            int64     // of pieces
	selling.Earnings           // with the cost by the method of the book

	seller string
	bought time.Time
	states [3]int64 // how many of them were sound, for parts, and made from dead ones, which are called What
	place  int      // among the sales of its haul

	as    landed.State // what pieces that came back are now, where they are not what they were
	worth money.Amount // of them for parts
	out   *[3]pool     // of a sale of which something came back, what did not yet, by state
}

// Days is how long the pieces of the sale were held.
func (s *Sale) Days() int64 {
	if s.isReturn() {
		return days(s.bought, s.ReturnOf)
	}
	return days(s.bought, s.Day)
}

// turn is 0 for what came back of a sale of an earlier day, so that it can be sold again, else 1.
func (s *Sale) turn() int {
	if s.isReturn() && s.Day.After(s.ReturnOf) {
		return 0
	}
	return 1
}

func (s *Sale) isReturn() bool { return !s.ReturnOf.IsZero() }

func days(from, to time.Time) int64 { return int64(to.Sub(from) / (24 * time.Hour)) }

// guessOf is the chance that was said of an item that was found for a piece to be sound; nil where
// none was.
func guessOf(h *landed.Haul, c *landed.ItemCost) (*decimal.Decimal, error) {
	if c.Item.Found == nil || len(c.Chances) == 0 || c.Spread {
		return nil, nil
	}
	states, err := statesOf(h, c.Chances)
	if err != nil {
		return nil, err
	}
	sound := decimal.Decimal{}
	for i := range c.Chances {
		if states[i] == landed.Sound {
			sound = sound.Add(c.Chances[i].Chance)
		}
	}
	return &sound, nil
}
