package doubles

import (
	"cmp"
	"fmt"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Options say what is asked. The zero value asks for every venue, with the
// haul's target, any price, and each piece at its own cost.
type Options struct {
	Venue    string         // ask only for this venue; "" is all of them
	Target   *resale.Target // in place of the haul's; may be nil
	Ending   resale.Ending  // of the prices to ask
	CarryAll bool           // the pieces to be sold carry all that was paid for the haul, so that the kept ones are free
}

// Result is what the pieces of a haul must bring.
type Result struct {
	Options                     // as asked, with the target
	Statement *landed.Statement // of the haul
	Tax       money.Amount      // import tax in the costs, where the seller may recover it under the ordinary scheme; else 0
	Venues    []resale.Venue    // those asked for
	At        int               // index into Venues: where the pieces are taken to be sold
	Sold      []Sold            // in file order of the items, by date
	Offers    []Offer           // in file order, sound pieces before those for parts
	Payback   Payback           // when all is paid back
	Kept      Kept              // what the kept pieces cost
}

// Item is what pieces are of.
type Item struct {
	*landed.ItemCost        // of the statement
	What             string // the item's, or what was made from dead pieces of it
}

// Offer is the pieces of an item, in one state, that are to be sold.
type Offer struct {
	Item
	selling.Holding         // at the cost that Options.CarryAll says
	Quotes          []Quote // by venue
	Set             *Set    // of two pieces or more with an expected value, all in one order; else nil

	item    *landed.Item
	value   money.Amount // expected of one; no currency when none is given
	net     money.Amount // in home, what one brings at its value at the usual venue; 0 where there is no telling
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
		return nil, h.Check()
	}
	h = h.WithoutLost()
	if p == nil {
		return nil, source.Faults{{At: h.At, Field: "selling", What: "the file says nothing of selling", Remedy: "say where you would sell", Figure: "selling"}}
	}
	if !of(st, h) {
		return nil, source.Faults{{What: "the statement is not that of the haul", Remedy: "split the haul that is to be sold from", Asked: "statement"}}
	}
	r := &Result{Options: o, Statement: st, Venues: p.Venues}
	var err error
	if r.At, err = p.Venue(o.Venue); err != nil {
		return nil, err
	}
	if o.Venue != "" {
		r.Venues, r.At = r.Venues[r.At:r.At+1], 0
	}
	if v := &r.Venues[r.At]; o.Ending > resale.Whole00 && v.Currency.Digits() == 0 {
		return nil, source.Faults{{What: fmt.Sprintf("prices at %s are in %s, which has no cents", v.Name, v.Currency), Remedy: "ask for whole prices, or at another venue", Asked: "ending"}}
	}
	r.Target = cmp.Or(r.Target, &p.Target)
	r.Tax = money.New(0, st.Home)
	if p.VAT.Scheme == resale.OrdinaryScheme {
		r.Tax = st.Sum(landed.Tax)
	}
	w := &worker{Result: r, haul: h, home: h.Home, plan: p, seller: sales.New(h, p), rates: h.Exchange(), orders: make([]*resale.Sale, len(r.Venues))}
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
	for _, item := range h.Items() {
		if i == len(st.Items) || st.Items[i].ID != item.ID || st.Items[i].Count != item.Count {
			return false
		}
		i++
	}
	return i == len(st.Items)
}

// asFaults makes a fault of an error about rates or figures too large.
func (w *worker) asFaults(err error) error {
	at, _ := sales.PlaceOf(w.plan, err, w.home)
	return collect.Fault(at, "selling", err)
}

// worker holds what one Price works with.
type worker struct {
	*Result
	haul   *landed.Haul
	home   money.Currency
	plan   *selling.Plan
	seller *sales.Seller
	rates  *exchange.Converter
	desk   resale.Desk
	orders []*resale.Sale // at each venue, those of one piece, but for what differs by piece
}

func (w *worker) work() error {
	if w.Target.Amount.Sign() < 0 {
		return source.Faults{{At: w.plan.At, Field: "selling: target", What: w.Target.Amount.String() + " is a loss", Remedy: "write an amount of 0 or more, or no target"}}
	}
	if err := w.gather(); err != nil {
		return err
	}
	if w.CarryAll {
		if err := w.carry(); err != nil {
			return err
		}
	}
	for i := range w.Offers {
		o := &w.Offers[i]
		err := w.quote(o)
		if err == nil {
			err = w.set(o)
		}
		if err != nil {
			return err
		}
	}
	if err := w.payBack(); err != nil {
		return err
	}
	return w.keep()
}
