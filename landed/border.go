package landed

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Border is what a haul meets at the border of the country of entry. A haul
// without one is split as if there were none.
type Border struct {
	Book    *customs.Book
	Use     customs.Use
	Mode    customs.Mode
	Flat    bool   // where the rules leave a choice, the flat charge was chosen
	TaxPaid bool   // the seller charged the territory's tax at the sale
	Private bool   // the seller is a private person and charged none; where neither is set it is not said
	Class   string // of items that have none of their own; may be empty
	Made    string // country of making, ISO 3166; empty is the country of dispatch
	Classes map[string]customs.Class
	Fees    []customs.GivenFee // known from the carrier, of each parcel, in place of those of the rules; nil when not known
	Market  *fx.Market         // customs' own rates of exchange; nil means the haul's, without the spread
	Bill    Bill
	At      source.Origin
}

// Bill is what customs and the carrier really asked, line by line; a line
// without a currency is not known, and the estimate stands.
type Bill struct{ Duty, Tax, Fee money.Amount }

// assessor turns a splitter's lines into what customs looks at, and back.
type assessor struct {
	*splitter
	border *Border
	rules  *customs.Rules
	lines  []customs.Line // by item
	only   int            // so many parcels are charged; 0 is all
	used   []fx.Rate      // by which the value was found
	parts  [][]int        // the items of each parcel, once they were asked for
}

// Uncounted reports whether the haul goes from one country to another and what
// the border adds is not reckoned.
func (h *Haul) Uncounted() bool {
	from, _, _ := strings.Cut(h.From, "-")
	to, _, _ := strings.Cut(h.To, "-")
	return h.Border == nil && from != "" && to != "" && from != to
}

// border adds the lines of duty, tax and border fees.
func (s *splitter) border() {
	if s.haul.Border == nil || s.report.Len() > 0 {
		return
	}
	a, ok := s.assessor()
	if !ok || !a.value(s.st.Lines) {
		return
	}
	assessed, err := customs.Assess(a.rules, a.consignments())
	if err != nil {
		s.report.AddErr(a.border.At, "customs", err)
		return
	}
	s.st.Border = &BorderStatement{Rules: a.rules, Assessment: assessed, Rates: a.used}
	a.charge(assessed)
}

// assessor finds the rules of the haul's border.
func (s *splitter) assessor() (*assessor, bool) {
	b := s.haul.Border
	fail := func(what, remedy string) (*assessor, bool) {
		s.report.Add(&source.Fault{At: b.At, Field: "customs", What: what, Remedy: remedy})
		return nil, false
	}
	switch {
	case s.haul.Date.IsZero():
		return fail("the day of purchase is missing, and it picks the rules", "write it at the top, as in date: 2026-10-03")
	case s.haul.To == "":
		return fail("the country of entry is missing", "write it at the top, as in to: CA-ON")
	case s.haul.From == "":
		return fail("the country of dispatch is missing", "write it at the top, as in from: JP")
	}
	rules, err := b.Book.For(s.haul.To, s.haul.Date)
	if err != nil {
		s.report.AddErr(b.At, "customs", err)
		return nil, false
	}
	a := &assessor{splitter: s, border: b, rules: rules, lines: make([]customs.Line, len(s.items))}
	zero := money.New(0, rules.Currency)
	for i, item := range s.items {
		a.lines[i] = customs.Line{ID: item.ID, Class: cmp.Or(item.Class, b.Class), Origin: b.Made, Count: item.Count,
			Value: zero, Freight: zero, Insurance: zero, OtherFees: zero}
		if item.Weighed {
			a.lines[i].Weight, _ = item.Weight.Mul(item.Count)
		}
	}
	return a, true
}

// BorderStatement is what was assessed at the border, in the territory's
// currency, before a bill replaced any of it.
type BorderStatement struct {
	Rules      *customs.Rules
	Assessment *customs.Assessment
	Rates      []fx.Rate // by which the value was found, each once; the card's spread is not in them
}

// value adds lines to what customs looks at for each item: its share of the
// price with premium, of freight, insurance and fees, in the territory's currency.
// Each amount is converted whole, rounded once, and then shared as it was paid.
func (a *assessor) value(lines []Line) bool {
	for n := range lines {
		if !a.valueLine(&lines[n]) {
			return false
		}
	}
	return true
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
	if len(line.Parts) == 0 || a.part(line, line.Parts[0].Item) == nil {
		return true
	}
	whole, err := a.inTerritory(line)
	if err != nil {
		a.report.AddErr(a.border.At, "customs: "+line.words(), err)
		return false
	}
	minors, err := a.sharesLike(line, whole.Minor())
	if err != nil {
		a.report.AddErr(a.border.At, "customs: "+line.words(), err)
		return false
	}
	for n, part := range line.Parts {
		field := a.part(line, part.Item)
		*field = a.plus(*field, money.New(minors[n], a.rules.Currency), spot{of: a.border.At, field: "customs"})
	}
	return true
}

// inTerritory converts what was asked, not what the bank took, at customs'
// rate.
func (a *assessor) inTerritory(line *Line) (money.Amount, error) {
	number, from := line.Paid.Number, line.Paid.Currency
	if line.Paid.OfPrice {
		number, from = line.Home.Decimal(), a.haul.Home
	}
	if from == a.rules.Currency {
		return money.Round(number, decimal.NewFromInt(1), from)
	}
	rate, err := a.rate(from)
	if err != nil {
		return money.Amount{}, err
	}
	if !slices.ContainsFunc(a.used, func(r fx.Rate) bool { return r.From == rate.From }) {
		a.used = append(a.used, rate)
	}
	return money.Round(number.Mul(rate.Num), rate.Den, a.rules.Currency)
}

// rate finds the rate to the territory's currency: customs' own, or else the
// haul's, or else a cross through home.
func (a *assessor) rate(from money.Currency) (fx.Rate, error) {
	want, have, home := fx.Code(a.rules.Currency.Code()), fx.Code(from.Code()), fx.Code(a.haul.Home.Code())
	none := &fx.NoRateError{From: have, To: want}
	for _, market := range []*fx.Market{a.border.Market, a.haul.Market} {
		if market == nil {
			continue
		}
		if r, err := market.Rate(have, want); err == nil || !errors.As(err, &none) {
			return r, err
		}
	}
	if a.haul.Market == nil {
		return fx.Rate{}, none
	}
	return through(a.haul.Market, have, home, want)
}

// sharesLike shares a total over the parts of a line by the line's basis.
func (a *assessor) sharesLike(line *Line, total int64) ([]int64, error) {
	dst := make([]int64, len(line.Parts))
	if line.Item != "" || total == 0 {
		dst[0] = total
		return dst, nil
	}
	items := make([]int, len(line.Parts))
	for n, part := range line.Parts {
		items[n] = part.Item
	}
	return dst, a.weights.vector(line.By).apportion(dst, total, items)
}

func (a *assessor) consignments() *customs.Consignments {
	c := &customs.Consignments{On: a.haul.Date, From: a.haul.From, To: a.haul.To, Use: a.border.Use, Mode: a.border.Mode,
		Flat: a.border.Flat, Classes: a.border.Classes}
	for n, items := range a.charged() {
		p := customs.Parcel{Lines: make([]customs.Line, 0, len(items)), ID: a.parcelID(n), Seller: a.seller(items), TaxPaid: a.border.TaxPaid, Private: a.border.Private, Fees: a.border.Fees}
		for _, i := range items {
			p.Lines = append(p.Lines, a.lines[i])
		}
		c.Parcels = append(c.Parcels, p)
	}
	return c
}

// byParcel lists the items of each parcel.
func (s *splitter) byParcel() [][]int {
	parcels := make([][]int, max(len(s.haul.Parcels), 1))
	for i := range s.items {
		n := s.parcel[s.lotOf[i]]
		parcels[n] = append(parcels[n], i)
	}
	return parcels
}

// charged lists the items of the parcels that are charged.
func (a *assessor) charged() [][]int {
	if a.parts == nil {
		a.parts = a.byParcel()
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

// seller returns the one seller of some items, or "" when they are of several.
func (s *splitter) seller(items []int) string {
	seller := s.haul.Lots[s.lotOf[items[0]]].Seller
	for _, i := range items {
		if s.haul.Lots[s.lotOf[i]].Seller != seller {
			return ""
		}
	}
	return seller
}

// charge adds the lines of what was assessed, or of the bill that replaces it.
func (a *assessor) charge(assessed *customs.Assessment) {
	duties, taxes := make([]int64, len(a.items)), make([]int64, len(a.items))
	for n, items := range a.charged() {
		p := &assessed.Parcels[n]
		for k, i := range items {
			duties[i], taxes[i] = p.Lines[k].Duty.Minor(), p.Lines[k].Tax.Minor()
		}
	}
	a.addBorder(Duty, "Import duty", duties, a.border.Bill.Duty)
	a.addBorder(Tax, "Import tax", taxes, a.border.Bill.Tax)
	a.addFees(assessed)
}

// addBorder adds what was assessed of one kind: a line for each parcel, or one
// line for the bill. Items bear it as it was assessed on them.
func (a *assessor) addBorder(kind Kind, what string, assessed []int64, bill money.Amount) {
	line := Line{What: what, Kind: kind, Times: 1, By: a.haul.Share.For(kind)}
	if bill.Currency() != 0 {
		line.Paid = Paid{Number: bill.Decimal(), Currency: bill.Currency()}
		a.addAssessed(line, rangeOf(0, len(a.items)), a.bearing(assessed))
		return
	}
	line.Estimated = true
	for n, items := range a.charged() {
		weights := make([]int64, len(items))
		var sum int64
		for k, i := range items {
			weights[k] = assessed[i]
			sum += assessed[i]
		}
		if sum == 0 {
			continue
		}
		line.Parcel = a.parcelID(n)
		line.Paid = Paid{Number: money.New(sum, a.rules.Currency).Decimal(), Currency: a.rules.Currency}
		a.addAssessed(line, items, weights)
	}
}

// bearing returns by what a billed amount is shared: as estimated, or, where
// the estimate was nothing, by value for customs, or else by count.
func (a *assessor) bearing(assessed []int64) []int64 {
	values, counts := make([]int64, len(a.items)), make([]int64, len(a.items))
	var sum, valued int64
	for i := range a.items {
		sum += assessed[i]
		values[i], counts[i] = a.lines[i].Value.Minor(), a.items[i].Count
		valued += values[i]
	}
	switch {
	case sum > 0:
		return assessed
	case valued > 0:
		return values
	}
	return counts
}

// addFees adds the fees of the border, shared like other fees.
func (a *assessor) addFees(assessed *customs.Assessment) {
	line := Line{Kind: Fee, Times: 1, By: a.haul.Share.For(Fee)}
	if bill := a.border.Bill.Fee; bill.Currency() != 0 {
		line.What = "Border fees"
		line.Paid = Paid{Number: bill.Decimal(), Currency: bill.Currency()}
		a.addAssessed(line, rangeOf(0, len(a.items)), nil)
		return
	}
	line.Estimated = true
	for n, items := range a.charged() {
		for _, fee := range assessed.Parcels[n].Fees {
			line.What, line.Parcel = fee.What, a.parcelID(n)
			line.Paid = Paid{Number: fee.Amount.Decimal(), Currency: fee.Amount.Currency()}
			a.addAssessed(line, items, nil)
		}
	}
}

// addAssessed converts a line of the border and shares it, by the weights
// where its basis is as assessed.
func (a *assessor) addAssessed(line Line, items []int, weights []int64) {
	at := spot{of: a.border.At, field: "customs: " + line.What}
	if !a.convert(&line, money.Amount{}, at) {
		return
	}
	if line.By != ByAssessed {
		if a.share(&line, items, at) {
			a.st.Lines = append(a.st.Lines, line)
		}
		return
	}
	minors := make([]int64, len(items))
	if line.Home.Sign() != 0 {
		if err := money.Apportion(minors, line.Home.Minor(), weights); err != nil {
			a.report.AddErr(a.border.At, at.field, err)
			return
		}
		for k, i := range items {
			line.Parts = append(line.Parts, Part{i, minors[k]})
		}
	}
	a.st.Lines = append(a.st.Lines, line)
}
