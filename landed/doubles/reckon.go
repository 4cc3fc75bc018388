package doubles

import (
	"errors"
	"math/big"
	"slices"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
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
func (c Carry) String() string { return carryNames[c] }

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
	Target *landed.Target // in place of the haul's; may be nil
	Ending resale.Ending  // of the prices to ask
	Carry  Carry
}

// Reckoning is what the pieces of a haul must bring.
type Reckoning struct {
	Title   string
	Home    money.Currency
	Total   money.Amount // what was paid for the haul
	Carry   Carry
	Target  landed.Target
	Ending  resale.Ending
	Tax     money.Amount   // import tax in the costs, where the seller may recover it under the ordinary scheme; else 0
	Venues  []resale.Venue // those asked for
	At      int            // index into Venues: where the pieces are taken to be sold
	Offers  []Offer        // in file order, sound pieces before those for parts
	Payback resale.Payback // Steps refer to Offers; nets are those at expected values, in home
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

	item   *landed.Item
	bought money.Amount // for the margin scheme, of one piece, in home
	pieces int64        // sound pieces of the item, kept ones too
}

// Dearest returns what the dearest piece carries.
func (o *Offer) Dearest() money.Amount {
	most := o.Each[0].Each
	for _, g := range o.Each {
		if g.Each.Cmp(most) > 0 {
			most = g.Each
		}
	}
	return most
}

// Quote returns the offer's quote at the venue where it is taken to be sold.
func (r *Reckoning) Quote(o *Offer) *Quote { return &o.Quotes[r.At] }

// Reckon says what each piece to be sold must bring. The statement is that of
// the haul.
func Reckon(h *landed.Haul, st *landed.Statement, o Options) (*Reckoning, error) {
	if h.Selling == nil {
		return nil, noSelling(h)
	}
	at, known := h.Selling.Venue(o.Venue)
	if !known {
		return nil, &UnknownVenueError{o.Venue, h.Selling.VenueNames()}
	}
	r := &Reckoning{Title: st.Title, Home: st.Home, Total: st.Total, Carry: o.Carry, Target: h.Selling.Target, Venues: h.Selling.Venues, At: at}
	if o.Venue != "" {
		r.Venues, r.At = r.Venues[at:at+1], 0
	}
	if o.Target != nil {
		r.Target = *o.Target
	}
	r.Ending, r.Tax = o.Ending, money.New(0, st.Home)
	if h.Selling.VAT.Scheme == resale.OrdinaryScheme {
		r.Tax = st.Sum(landed.Tax)
	}
	w := &worker{Reckoning: r, exchange: exchange{h}, st: st}
	if err := w.work(); err != nil {
		return nil, told(h, err)
	}
	return r, nil
}

// told makes a fault of an error about rates or figures too large.
func told(h *landed.Haul, err error) error {
	var none *NothingToSellError
	if errors.As(err, &none) {
		return err
	}
	report := &source.Report{}
	report.AddErr(placeOf(h.Selling, err), "selling", err)
	return report.Err()
}

// placeOf is where a currency stands for which there is no rate.
func placeOf(s *landed.Selling, err error) source.Origin {
	var none *fx.NoRateError
	if !errors.As(err, &none) {
		return s.At
	}
	for _, of := range []struct {
		key    string
		amount money.Amount
	}{{"charged", s.Charged}, {"packing", s.Packing}, {"postage", s.Postage.Fixed}, {"target", s.Target.Amount}} {
		if of.amount.Currency() != 0 && of.amount.Currency().Code() == string(none.From) {
			return s.At.Key(of.key)
		}
	}
	for i := range s.Venues {
		if code := s.Venues[i].Currency.Code(); code == string(none.From) || code == string(none.To) {
			return s.At.Entry(i, "venues").Key("currency")
		}
	}
	return s.At
}

// worker holds what one Reckon works with.
type worker struct {
	*Reckoning
	exchange
	st *landed.Statement
}

func (w *worker) work() error {
	w.gather()
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

// gather parts the pieces of each item in kept ones and those to be sold.
func (w *worker) gather() {
	i := 0
	for l := range w.haul.Lots {
		for n := range w.haul.Lots[l].Items {
			w.part(i, &w.haul.Lots[l].Items[n])
			i++
		}
	}
}

func (w *worker) part(i int, item *landed.Item) {
	c := &w.st.Items[i]
	var groups [landed.States][]landed.Pieces
	made := map[string][]landed.Pieces{}
	for _, g := range c.Each() {
		groups[g.State] = append(groups[g.State], g)
		made[g.What] = append(made[g.What], g)
	}
	if item.Found == nil && len(item.Chances) > 1 {
		w.AtBest = append(w.AtBest, c.ID)
	}
	kept, sell := take(groups[landed.Sound], item.Keep)
	if item.Keep > 0 {
		k := KeptPieces{Item: i, ID: c.ID, What: c.What, Lot: c.Lot, Count: item.Keep, Own: sum(kept, w.Home), Worth: item.Worth}
		w.Kept.Items = append(w.Kept.Items, k)
	}
	w.offer(i, item, landed.Sound, sell, w.haul.ValueOf(item))
	w.offer(i, item, landed.ForParts, groups[landed.ForParts], item.PartsValue)
	for _, y := range c.Found.Yields {
		piece := landed.Item{ID: item.ID, What: y.What, Weight: y.Weight, Weighed: y.Weighed}
		w.offer(i, &piece, landed.Made, made[y.What], y.Value)
	}
}

func (w *worker) offer(i int, item *landed.Item, state landed.State, each []landed.Pieces, value money.Amount) {
	if len(each) == 0 {
		return
	}
	c := &w.st.Items[i]
	o := Offer{Item: i, ID: c.ID, What: item.What, Lot: c.Lot, State: state, Cost: sum(each, w.Home), Each: each, Value: value, item: item, pieces: c.Found.Sound}
	o.Net = money.New(0, w.Home)
	for _, g := range each {
		o.Count += g.Count
	}
	if o.bought = money.New(0, w.Home); state != landed.Made { // what a part was bought for nobody can say
		o.bought = w.bought(c)
	}
	w.Offers = append(w.Offers, o)
}

// bought is the purchase price of one piece for the margin scheme: its part of
// price and premium or, of imported goods, of the value for import tax and that
// tax (Directive 2006/112/EC, articles 312 and 317), taken as all but fees and
// repairs. Odd units make it lower, which never makes the tax too low.
func (w *worker) bought(c *landed.ItemCost) money.Amount {
	kinds := []landed.Kind{landed.Price, landed.Premium}
	if w.haul.Selling.VAT.Imported {
		kinds = append(kinds, landed.Freight, landed.Insurance, landed.Duty, landed.Tax)
	}
	var paid int64
	for _, k := range kinds {
		paid += c.Share(k).Minor()
	}
	parts, err := money.Equal(paid, c.Count+c.Found.Extra)
	if err != nil || paid < 0 {
		return money.New(0, w.Home)
	}
	return money.New(min(parts.Large, parts.Small), w.Home)
}

// take takes n pieces from the beginning of some groups.
func take(groups []landed.Pieces, n int64) (taken, rest []landed.Pieces) {
	for _, g := range groups {
		some := min(n, g.Count)
		n -= some
		if some > 0 {
			taken = append(taken, landed.Pieces{State: g.State, Count: some, Each: g.Each})
		}
		if g.Count > some {
			rest = append(rest, landed.Pieces{State: g.State, Count: g.Count - some, Each: g.Each})
		}
	}
	return taken, rest
}

// sum adds up parts of an item's cost.
func sum(groups []landed.Pieces, home money.Currency) money.Amount {
	var minor int64
	for _, g := range groups {
		minor += g.Count * g.Each.Minor()
	}
	return money.New(minor, home)
}

// divide divides what some pieces carry equally.
func divide(cost money.Amount, state landed.State, n int64) []landed.Pieces {
	parts, err := money.Equal(cost.Minor(), n)
	if err != nil {
		return nil
	}
	groups := []landed.Pieces{{State: state, Count: parts.Larger, Each: money.New(parts.Large, cost.Currency())}}
	if parts.Others > 0 {
		groups = append(groups, landed.Pieces{State: state, Count: parts.Others, Each: money.New(parts.Small, cost.Currency())})
	}
	return groups
}

// carry lets the offers carry all that was paid.
func (w *worker) carry() error {
	if len(w.Offers) == 0 {
		return &NothingToSellError{}
	}
	weights, err := w.expectations()
	if err != nil {
		return err
	}
	shares := make([]int64, len(w.Offers))
	if err := money.ApportionBig(shares, w.Total.Minor(), weights); err != nil {
		return err
	}
	for i := range w.Offers {
		o := &w.Offers[i]
		o.Cost = money.New(shares[i], w.Home)
		o.Each = divide(o.Cost, o.State, o.Count)
	}
	return nil
}

// expectations is what the pieces of each offer should bring in home, unrounded
// and over a common denominator, or how many there are where none has a value.
func (w *worker) expectations() ([]*big.Int, error) {
	values, common := make([]*big.Rat, len(w.Offers)), big.NewInt(1)
	any := false
	for i := range w.Offers {
		o := &w.Offers[i]
		values[i] = new(big.Rat)
		if o.Value.Sign() == 0 {
			continue
		}
		v, err := w.exact(o.Value)
		if err != nil {
			return nil, err
		}
		values[i].Mul(v, new(big.Rat).SetInt64(o.Count))
		gcd := new(big.Int).GCD(nil, nil, common, values[i].Denom())
		common.Mul(common, new(big.Int).Quo(values[i].Denom(), gcd))
		any = true
	}
	weights := make([]*big.Int, len(w.Offers))
	for i, v := range values {
		if any {
			weights[i] = new(big.Int).Mul(v.Num(), new(big.Int).Quo(common, v.Denom()))
		} else {
			weights[i] = big.NewInt(w.Offers[i].Count)
		}
	}
	return weights, nil
}
