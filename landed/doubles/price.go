package doubles

import (
	"errors"
	"slices"

	"lotcost/landed"
	"lotcost/landed/exchange"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Carry says what the pieces to be sold have to bring in.
type Carry uint8

// What they carry.
const (
	Own     Carry = iota // each piece its own cost
	Doubles              // together all that was paid for the haul: the kept pieces are free
)

var carryNames = []string{"own", "doubles"}

// String returns the word for it.
func (c Carry) String() string { return carryNames[min(int(c), len(carryNames)-1)] }

// ParseCarry finds what is carried by its word.
func ParseCarry(word string) (Carry, bool) {
	i := slices.Index(carryNames, word)
	return Carry(max(i, 0)), i >= 0
}

// CarryNames lists the words that [ParseCarry] knows.
func CarryNames() []string { return slices.Clone(carryNames) }

// Options say what is asked. The zero value asks for every venue, with the
// haul's target, any price, and each piece at its own cost.
type Options struct {
	Venue  string         // ask only for this venue; "" is all of them
	Target *resale.Target // in place of the haul's; may be nil
	Ending resale.Ending  // of the prices to ask
	Carry  Carry
}

// Result is what the pieces of a haul must bring.
type Result struct {
	Title   string
	Home    money.Currency
	Total   money.Amount // what was paid for the haul
	Lost    money.Amount // of it, what no piece carries
	Carry   Carry
	Target  resale.Target
	Ending  resale.Ending
	Tax     money.Amount   // import tax in the costs, where the seller may recover it under the ordinary scheme; else 0
	Venues  []resale.Venue // those asked for
	At      int            // index into Venues: where the pieces are taken to be sold
	Sold    []Sold         // in file order of the items, by date
	Offers  []Offer        // in file order, sound pieces before those for parts
	Payback Payback
	Kept    Kept
	Sets    []Set    // of those offers that have two pieces or more and an expected value
	AtBest  []string // ids of items that may come out in several ways; nothing is said of what was found, so all are taken to come out best
}

// Offer is the pieces of an item, in one state, that are to be sold.
type Offer struct {
	Item          int // index into the statement's items
	ID, What, Lot string
	State         landed.State
	Count         int64
	Cost          money.Amount    // of all, as Carry says
	Each          []landed.Pieces // what each of them carries, the dearer first; they sum to Cost
	Value         money.Amount    // expected of one; no currency when none is given
	Quotes        []Quote         // by venue
	Net           money.Amount    // in home, what one brings at Value at the usual venue; 0 where there is no telling

	item    *landed.Item
	bought  money.Amount // for the margin scheme, of one piece, in home
	pieces  int64        // sound pieces of the item, kept ones too
	carries money.Amount // of one piece, exactly; no currency where that is not known
}

// Dearest returns what the dearest piece carries.
func (o *Offer) Dearest() money.Amount {
	var most money.Amount
	for i, g := range o.Each {
		if i == 0 || g.Each.Cmp(most) > 0 {
			most = g.Each
		}
	}
	return most
}

// carried is what a piece carries, of which a share is known in home: in other
// currencies exactly, where that is known.
func (o *Offer) carried(share money.Amount, in money.Currency) money.Amount {
	if o.carries.Currency() != 0 && in != share.Currency() {
		return o.carries
	}
	return share
}

// Quote returns the offer's quote at the venue where it is taken to be sold.
func (r *Result) Quote(o *Offer) *Quote { return &o.Quotes[r.At] }

// Price says what each piece to be sold must bring. The statement must be that
// of the haul.
func Price(h *landed.Haul, p *selling.Plan, st *landed.Statement, o Options) (*Result, error) {
	if h == nil {
		return nil, landed.ErrNoHaul
	}
	h = h.WithoutLost()
	if p == nil {
		return nil, noSelling(h)
	}
	if !of(st, h) {
		return nil, &OtherHaulError{}
	}
	r := &Result{Title: h.Title, Home: st.Home, Total: st.Total, Lost: st.Loss, Carry: o.Carry, Target: p.Target, Venues: p.Venues, Ending: o.Ending}
	var err error
	if r.At, err = p.Venue(o.Venue); err != nil {
		return nil, err
	}
	if o.Venue != "" {
		r.Venues, r.At = r.Venues[r.At:r.At+1], 0
	}
	if v := &r.Venues[r.At]; o.Ending > resale.Whole00 && v.Currency.Digits() == 0 {
		return nil, &EndingError{v.Name, v.Currency}
	}
	if o.Target != nil {
		r.Target = *o.Target
	}
	r.Tax = money.New(0, st.Home)
	if p.VAT.Scheme == resale.OrdinaryScheme {
		r.Tax = st.Sum(landed.Tax)
	}
	w := &worker{Result: r, haul: h, plan: p, seller: selling.New(h, p), rates: h.Exchange(), st: st}
	if err := w.work(); err != nil {
		return nil, w.asFaults(err)
	}
	return r, nil
}

// of reports whether a statement has the items of a haul.
func of(st *landed.Statement, h *landed.Haul) bool {
	if st == nil || st.Home != h.Home || len(st.Lots) != len(h.Lots) {
		return false
	}
	i := 0
	for l := range h.Lots {
		for n := range h.Lots[l].Items {
			item := &h.Lots[l].Items[n]
			if i == len(st.Items) || st.Items[i].ID != item.ID || st.Items[i].Count != item.Count {
				return false
			}
			i++
		}
	}
	return i == len(st.Items)
}

// asFaults makes a fault of an error about rates or figures too large.
func (w *worker) asFaults(err error) error {
	var none *NothingToSellError
	if errors.As(err, &none) {
		return err
	}
	report := &source.Report{}
	at, _ := w.plan.PlaceOf(err, w.Home)
	report.AddErr(at, "selling", err)
	return report.Err()
}

// worker holds what one Price works with.
type worker struct {
	*Result
	haul   *landed.Haul
	plan   *selling.Plan
	seller *selling.Seller
	rates  *exchange.Converter
	st     *landed.Statement
}

func (w *worker) work() error {
	if w.Target.Amount.Sign() < 0 {
		return source.Faults{{At: w.plan.At, Field: "selling: target", What: w.Target.Amount.String() + " is a loss", Remedy: "write an amount of 0 or more, or no target"}}
	}
	if err := w.gather(); err != nil {
		return err
	}
	if w.Carry == Doubles {
		if err := w.carry(); err != nil {
			return err
		}
	}
	for i := range w.Offers {
		if err := w.quote(&w.Offers[i]); err != nil {
			return err
		}
	}
	if err := w.payBack(); err != nil {
		return err
	}
	if err := w.keep(); err != nil {
		return err
	}
	return w.sets()
}
