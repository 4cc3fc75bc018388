package landed

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Border is what a haul meets at the border of the country of entry. A haul
// without one is split as if there were none, and so is one that comes over none: see [Haul.AsMet].
type Border struct {
	Book    *customs.Book            // the rules that are known
	Use     customs.Use              // what the goods are for
	Mode    customs.Mode             // by whom they come
	Flat    bool                     // where the rules leave a choice, the flat charge was chosen
	TaxPaid bool                     // the seller charged the territory's tax at the sale
	Private bool                     // the seller is a private person and charged none; where neither is set it is not said
	Class   string                   // of items that have none of their own; may be empty
	Made    string                   // country of making, ISO 3166; empty is the country of dispatch
	Holds   []string                 // open questions of the rules that are answered yes
	Classes map[string]customs.Class // of goods, by their names
	NoRate  bool                     // the rate of duty is not given and stands as free: what it adds is not counted
	Fees    []customs.Fee            // told by the carrier, of each parcel, in place of those of the rules; nil when not known
	Market  *fx.Market               // customs' own rates of exchange; nil means the haul's, without the spread
	Bill    Bill                     // for all parcels; or else each may have one of its own
	At      source.Origin            // of the section
}

// knows reports whether a class is there, or need not be: none is named, or no
// classes are written.
func (b *Border) knows(class string) bool {
	_, known := b.Classes[class]
	return known || class == "" || len(b.Classes) == 0
}

func (b *Border) noClass(class string) string {
	return fmt.Sprintf("there is no customs class %q", class)
}

func (b *Border) likeClass(class string) string {
	return source.DidYouMean(class, slices.Sorted(maps.Keys(b.Classes)))
}

// assessor turns a splitter's lines into what customs looks at, and back.
type assessor struct {
	*splitter
	border  *Border
	rules   *customs.Rules
	lines   []customs.Line                // by item
	only    int                           // so many parcels are charged; 0 is all
	used    []fx.Rate                     // by which the value was found
	parts   [][]int                       // the items of each parcel, once they were asked for
	left    []bool                        // parcels that are not assessed, since an open price is left out; nil is none
	minors  []int64                       // of sharesLike
	levy    [1]customs.Fee                // of levied
	outline *customs.Outline              // what may be asked, where that is wanted
	known   map[money.Amount]money.Amount // of inTerritory; nil where that is not kept
}

// border adds the lines of duty, tax and border fees. Where nothing is assessed
// there may still be bills of parcels.
func (s *splitter) border() {
	if bare := s.haul.Border == nil; bare || s.haul.Billed() && s.unruled() {
		some := !bare || slices.ContainsFunc(s.haul.Parcels, func(p Parcel) bool { return p.Bill != (Bill{}) })
		if some && s.report.Len() == 0 {
			s.billed()
		}
		return
	}
	a, ok := s.assessor()
	if ok && s.report.Len() > 0 { // which does not hide rates that are missing here too
		for _, f := range s.haul.CheckRates() {
			if _, unrated := errors.AsType[*fx.NoRateError](f.Err); unrated && !s.knownUnrated(f.Err) {
				s.report.Add(f)
			}
		}
	}
	if !ok || s.report.Len() > 0 || !a.value(s.st.Lines) {
		return
	}
	assessed, err := customs.Assess(a.rules, a.consignments())
	if err == nil && a.leave() { // what is wrong has been found
		assessed, err = customs.Assess(a.rules, a.consignments())
	}
	switch {
	case err != nil && s.haul.Billed(): // what is known needs no estimate
		s.billed()
		return
	case err != nil:
		s.borderFault(err)
		return
	}
	if len(assessed.Parcels) > 0 {
		s.st.Border, s.st.borderRates = assessed, a.used
	}
	a.charge(assessed)
}

// billed adds the bills of the border, beside which nothing is estimated.
func (s *splitter) billed() { (&assessor{splitter: s, border: s.haul.Border}).charge(nil) }

// unruled reports whether no rules of entry are known, as for the day of a haul of some years ago.
func (s *splitter) unruled() bool {
	h := s.haul
	_, err := h.Border.Book.For(h.To, h.Date)
	_, is := errors.AsType[*customs.NoRulesError](err)
	return is && h.To != ""
}

// assessor finds the rules of the haul's border.
func (s *splitter) assessor() (*assessor, bool) {
	b, known := s.haul.Border, true
	need := func(given bool, key, what string) {
		if known = known && given; !given {
			s.report.Add(&source.Fault{At: s.topFor(key), Field: "customs", What: what, Remedy: "write it at the top", Figure: key})
		}
	}
	need(!s.haul.Date.IsZero(), "date", "the day of purchase is missing, and it picks the rules")
	need(s.haul.To != "", "to", "the country of entry is missing")
	need(s.haul.From != "", "from", "the country of dispatch is missing")
	if !known {
		return nil, false
	}
	rules, err := b.Book.For(s.haul.To, s.haul.Date)
	if err != nil {
		s.borderFault(err)
		return nil, false
	}
	return s.assessorBy(rules), true
}

// assessorBy begins an assessment of the haul's items by some rules.
func (s *splitter) assessorBy(rules *customs.Rules) *assessor {
	b := s.haul.Border
	a := &s.room.assessors.Take(1)[0]
	a.splitter, a.border, a.rules, a.lines, a.used = s, b, rules, s.room.goods.Take(len(s.items)), s.room.used.Take(1)[:0]
	zero := money.New(0, rules.Currency)
	for i, item := range s.items {
		a.lines[i] = customs.Line{ID: item.ID, Class: cmp.Or(item.Class, b.Class), Origin: b.Made, Count: item.Count,
			Value: zero, Freight: zero, Insurance: zero, OtherFees: zero}
		if a.lines[i].Unweighed = !item.Weighed; item.Weighed {
			a.lines[i].Weight, _ = item.Weight.Mul(item.Count)
		}
	}
	return a
}

// value adds lines to what customs looks at for each item: its share of the
// price with premium, of freight, insurance and fees, in the territory's currency.
// Each amount is converted whole, rounded once, and then shared as it was paid.
func (a *assessor) value(lines []Line) bool {
	whole := true
	for n := range lines {
		whole = a.valueLine(&lines[n]) && whole
	}
	return whole
}

// part says which part of an item's value for customs a line goes to; nil is
// none.
func (a *assessor) part(line *Line, item int) *money.Amount {
	c := &a.lines[item]
	switch {
	case line.Kind == Price, line.Kind == Premium, line.dutiable == AsGoods:
		return &c.Value
	case line.dutiable == NotDutiable:
	case line.Kind == Freight:
		return &c.Freight
	case line.Kind == Insurance:
		return &c.Insurance
	case line.Kind == Fee && line.Home.Sign() > 0: // a refund comes after the border
		return &c.OtherFees
	}
	return nil
}

func (a *assessor) valueLine(line *Line) bool {
	if len(line.shares) == 0 || a.part(line, line.items[0]) == nil {
		return true
	}
	whole, err := a.inTerritory(line)
	if err != nil {
		if !a.knownUnrated(err) {
			a.report.AddErr(a.askedAt(line), "customs: "+line.words(), err)
		}
		return false
	}
	minors, err := a.sharesLike(line, whole.Minor())
	if err != nil {
		a.report.AddErr(a.border.At, "customs: "+line.words(), err)
		return false
	}
	for n, item := range line.items {
		field := a.part(line, item)
		sum, err := field.Add(money.New(minors[n], a.rules.Currency))
		if err != nil {
			a.tooLarge(spot{of: a.border.At, field: "customs"}, err)
			continue
		}
		*field = sum
	}
	return true
}

// askedAt is where an amount stands that has no rate: the bank settled it, so that customs alone
// looks for one. Where there is one to home it is the border's that is missing.
func (a *assessor) askedAt(line *Line) source.Origin {
	if _, err := a.rates.Rate(line.paid.amount.Currency(), a.haul.Home); err == nil {
		return a.border.At
	}
	if line.charge > 0 {
		return a.haul.Charges[line.charge-1].At.Key("amount")
	}
	if lot, known := a.lotIDs.find(line.Lot); known && line.Kind <= Premium {
		return a.haul.Lots[lot].At.Key("price")
	}
	for i := range a.haul.Parcels {
		for _, cost := range a.haul.Parcels[i].costs() {
			if p := &a.haul.Parcels[i]; p.ID == line.Parcel && cost.kind == line.Kind {
				return p.At.Key(cost.key)
			}
		}
	}
	return a.border.At
}

// inTerritory converts what was asked, not what the bank took, at customs'
// rate.
func (a *assessor) inTerritory(line *Line) (money.Amount, error) {
	asked, factors := line.paid.amount, line.paid.factors()
	if line.Times > 1 {
		factors = append(factors, decimal.NewFromInt(line.Times))
	}
	if line.paid.ofPrice {
		asked, factors = line.Home, nil
	}
	if asked.Currency() == a.rules.Currency {
		return money.Convert(asked, a.rules.Currency, decimal.NewFromInt(1), factors...)
	}
	if there, is := a.known[asked]; is && len(factors) == 0 {
		return there, nil
	}
	rate, err := a.rate(asked.Currency())
	if err != nil {
		return money.Amount{}, err
	}
	if !slices.ContainsFunc(a.used, func(r fx.Rate) bool { return r.From == rate.From }) {
		a.used = append(a.used, rate)
	}
	there, err := exchange.At(asked, &rate, a.rules.Currency, factors...)
	if a.known != nil && len(factors) == 0 && err == nil {
		a.known[asked] = there
	}
	return there, err
}

// rate finds the rate to the territory's currency: the one that customs' own
// rates state, or else that of the haul.
func (a *assessor) rate(from money.Currency) (fx.Rate, error) {
	if own := a.border.Market; own != nil {
		r, err := own.Rate(fx.Code(from.Code()), fx.Code(a.rules.Currency.Code()))
		if _, none := errors.AsType[*fx.NoRateError](err); !none {
			return r, err
		}
	}
	r, err := a.rates.Rate(from, a.rules.Currency)
	if err != nil {
		return fx.Rate{}, err
	}
	return *r, nil
}

// sharesLike shares a total over the parts of a line by the line's basis. The shares are good until
// it is asked again.
func (a *assessor) sharesLike(line *Line, total int64) ([]int64, error) {
	if len(line.items) > len(a.minors) {
		a.minors = a.room.minors.Take(len(a.items))
	}
	dst := a.minors[:len(line.items)]
	clear(dst)
	if line.Item != "" || total == 0 {
		dst[0] = total
		return dst, nil
	}
	return dst, a.weights.vector(line.By).apportion(dst, total, line.items)
}

func (a *assessor) consignments() *customs.Consignments {
	c, parts := &a.room.consignments.Take(1)[0], a.charged()
	*c = customs.Consignments{On: a.haul.Date, From: a.haul.From, To: a.haul.To, Use: a.border.Use, Mode: a.border.Mode,
		Flat: a.border.Flat, Holds: a.border.Holds, Classes: a.border.Classes, Parcels: a.room.boxes.Take(len(parts))[:0]}
	for n, items := range parts {
		if a.leaves(n) {
			continue
		}
		p := customs.Parcel{ID: a.parcelID(n), TaxPaid: a.border.TaxPaid, Private: a.border.Private, Fees: a.border.Fees}
		for _, i := range items {
			addSeller(&p, a.haul.Lots[a.lotOf(i)].Seller, i == items[0])
		}
		if p.Lines = a.lines; len(items) != len(a.lines) {
			p.Lines = a.room.goods.Take(len(items))[:0]
			for _, i := range items {
				p.Lines = append(p.Lines, a.lines[i])
			}
		}
		c.Parcels = append(c.Parcels, p)
	}
	return c
}

func (s *splitter) byParcel() [][]int {
	parcels := s.room.parcels.Take(max(len(s.haul.Parcels), 1))
	if len(s.haul.Parcels) == 0 {
		parcels[0] = s.all
		return parcels
	}
	sizes, room := s.room.places.Take(len(parcels)), s.room.places.Take(len(s.items))
	for lot, n := range s.parcel {
		sizes[n] += s.start[lot+1] - s.start[lot]
	}
	for n, size := range sizes {
		parcels[n], room = room[:0:size], room[size:]
	}
	for lot, n := range s.parcel {
		parcels[n] = append(parcels[n], s.all[s.start[lot]:s.start[lot+1]]...)
	}
	return parcels
}

// charged lists the items of the parcels that are charged.
func (a *assessor) charged() [][]int {
	if a.parts == nil {
		a.parts = a.byParcel()
		unpaid := func(i int) bool { return a.items[i].Count == 0 } // and not assessed
		for n, items := range a.parts {
			if slices.ContainsFunc(items, unpaid) {
				a.parts[n] = slices.DeleteFunc(slices.Clone(items), unpaid)
			}
		}
	}
	if a.only > 0 {
		return a.parts[:a.only]
	}
	return a.parts
}

// parcelID returns the id of a parcel; the one box of a haul without parcels
// has none.
func (s *splitter) parcelID(n int) string {
	if len(s.haul.Parcels) == 0 {
		return ""
	}
	return s.haul.Parcels[n].ID
}

// addSeller tells of a parcel whose goods it holds too, as its first or beside others.
func addSeller(p *customs.Parcel, seller string, first bool) {
	switch {
	case first:
		p.Seller = seller
	case p.Sellers == nil && p.Seller != seller:
		p.Seller, p.Sellers = "", []string{p.Seller, seller}
	case p.Sellers != nil && !slices.Contains(p.Sellers, seller):
		p.Sellers = append(p.Sellers, seller)
	}
}
