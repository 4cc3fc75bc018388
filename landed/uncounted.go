package landed

import (
	"cmp"
	"errors"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Uncounted is a border of which a statement does not hold what it adds, or
// not all of that.
type Uncounted struct {
	// By roughly how much it may change the total, in home: by post, for
	// personal use, free of duty by class, on the day of purchase or else by the
	// newest rules. No currency where that is not known, or where all is counted but the duty, of
	// which a few figures in place of a file give no rate.
	Least   money.Amount
	Bill                 // which sums to Least
	Most    money.Amount // which of the two depends on If
	If      string       // "the seller is a private person"; "" where they are the same
	Missing []string     // what may be asked besides, and whose sum is in no rules
	Why     error        // why it is not known
}

// Uncounted tells what border the statement does not count; nil where none is
// left out.
func (s *Statement) Uncounted() *Uncounted {
	if s.weights == nil { // it is no haul's
		return nil
	}
	h := s.weights.haul
	switch {
	case h.Border != nil && h.Border.NoRate && s.dutyIsDue(h):
		return &Uncounted{}
	case h.Border != nil || h.Billed() || !h.CrossesBorder():
		return nil
	}
	u := &Uncounted{}
	if h.To != "" {
		u.Why = rootCause(u.estimate(s, h))
	}
	if h.billedInPart() && u.Most.Sign() == 0 { // as far as is known what was billed is all
		return nil
	}
	return u
}

// WithoutFreight names the parcels that come from one country to another and of whose freight
// nothing is said, not even that it is 0; "" is the one parcel of a haul that names none. A charge
// for freight is taken to be for all parcels that hold what it is on.
func (s *Statement) WithoutFreight() []string {
	h := s.Haul
	if h == nil || h.From == "" || h.To == "" || h.From[:min(2, len(h.From))] == h.To[:min(2, len(h.To))] {
		return nil
	}
	if len(h.Parcels) == 0 {
		if slices.ContainsFunc(h.Charges, func(c Charge) bool { return c.Kind == Freight }) {
			return nil
		}
		return []string{""}
	}
	var list []string
	for i := range h.Parcels {
		if p := &h.Parcels[i]; p.Freight.Currency() == 0 && p.Settled.Freight.Currency() == 0 && !h.freightOn(p) {
			list = append(list, p.ID)
		}
	}
	return list
}

// freightOn reports whether a charge for freight is on something in a parcel.
func (h *Haul) freightOn(p *Parcel) bool {
	holds := func(id string) bool {
		return slices.Contains(p.Lots, id) || slices.ContainsFunc(h.Lots, func(l Lot) bool {
			return slices.Contains(p.Lots, l.ID) && slices.ContainsFunc(l.Items, func(i Item) bool { return i.ID == id })
		})
	}
	return slices.ContainsFunc(h.Charges, func(c Charge) bool {
		return c.Kind == Freight && (len(c.On) == 0 || slices.ContainsFunc(c.On, holds))
	})
}

// OmitsBorder reports whether the haul crosses a border that nothing is said of: there
// is no section for it, and no bill for every parcel.
func (h *Haul) OmitsBorder() bool {
	return h.Border == nil && !h.billedInPart() && h.CrossesBorder()
}

// billedInPart reports whether every parcel has a bill of the border, or a line of one.
func (h *Haul) billedInPart() bool {
	return len(h.Parcels) > 0 && !slices.ContainsFunc(h.Parcels, func(p Parcel) bool { return p.Bill == Bill{} })
}

// Beyond is what the border adds more than another one, where both are known.
func (u *Uncounted) Beyond(other *Uncounted) *Uncounted {
	more := *u
	if other == nil || u.Least.Currency() == 0 || other.Least.Currency() == 0 {
		return &more
	}
	for _, pair := range [...]struct {
		sum  *money.Amount
		less money.Amount
	}{{&more.Least, other.Least}, {&more.Duty, other.Duty}, {&more.Tax, other.Tax}, {&more.Fee, other.Fee}, {&more.Most, other.Most}} {
		*pair.sum = money.New(pair.sum.Minor()-pair.less.Minor(), pair.sum.Currency())
	}
	more.If = cmp.Or(u.If, other.If)
	if more.Most.Cmp(more.Least) < 0 { // the question weighs more without what is new
		more.Least, more.Most = more.Most, more.Least
		more.Duty, more.Tax, more.Fee = money.Amount{}, money.Amount{}, money.Amount{}
	}
	return &more
}

// inland reports whether the goods are known to stay within a country or a union, where they meet
// no border.
func (h *Haul) inland() bool {
	return h.From != "" && h.To != "" && !customs.NewBook().HasBorder(h.From, h.To)
}

// AsMet returns the haul without the border that is said of one that is known to stay within a
// country or a union, unless a bill, or rules of the caller's own, say that something is asked
// there; else the haul itself.
// What counts a border counts that of AsMet.
func (h *Haul) AsMet() *Haul {
	if b := h.Border; b == nil || b.Bill != (Bill{}) || b.Book != customs.NewBook() || !h.inland() {
		return h
	}
	met := *h
	met.Border = nil
	return &met
}

// CrossesBorder reports whether the haul crosses a border. Where that is not said, a
// price in another currency than home makes it likely.
func (h *Haul) CrossesBorder() bool {
	if h.From != "" && h.To != "" {
		return !h.inland()
	}
	return slices.ContainsFunc(h.Lots, func(l Lot) bool { return l.Price.Currency() != 0 && l.Price.Currency() != h.Home })
}

// errOpen tells that what the border adds depends on a price.
var errOpen = errors.New("a price is still open")

// estimate finds by how much the border may change the total.
func (u *Uncounted) estimate(s *Statement, h *Haul) error {
	if len(h.Open()) > 0 {
		return errOpen
	}
	free := customs.Class{Code: "not known", Duty: &customs.Rate{}, Surcharges: map[string]decimal.Decimal{h.From: {}}}
	a, assessed, err := s.assessAs(h, &Border{Book: customs.NewBook(), Classes: map[string]customs.Class{"": free}})
	if err != nil {
		return err
	}
	if err := u.least(a, assessed); err != nil {
		return err
	}
	for _, o := range assessed.Others() {
		var other Uncounted
		if o.Err == nil && other.least(a, o.Assessment) == nil && other.Least.Cmp(u.Most) > 0 {
			u.Most, u.If = other.Least, o.If
		}
	}
	for _, m := range assessed.Missing {
		u.Missing = append(u.Missing, m.What)
	}
	return nil
}

// assessAs assesses the lines of a statement as if the haul met another border
// with all its goods of the class "".
func (s *Statement) assessAs(h *Haul, b *Border) (*assessor, *customs.Assessment, error) {
	rules, err := b.Book.For(h.To, h.Date)
	if err != nil {
		return nil, nil, err
	}
	met, r := *h, &room{}
	met.Border = b
	x := s.weights.over(&met)
	x.room = r
	a := r.splitterBy(x, s.weights).assessorBy(rules)
	for i := range a.lines {
		a.lines[i].Class = ""
	}
	if !a.value(s.Lines) {
		return nil, nil, a.report.Err()
	}
	assessed, err := customs.Assess(rules, a.consignments())
	return a, assessed, err
}

// least sums what was assessed and is in no bill, in home.
func (u *Uncounted) least(a *assessor, assessed *customs.Assessment) error {
	a.st.Lines = nil
	a.charge(assessed)
	zero := money.New(0, a.haul.Home)
	u.Least, u.Duty, u.Tax, u.Fee = zero, zero, zero, zero
	of := map[Kind]*money.Amount{Duty: &u.Duty, Tax: &u.Tax, Fee: &u.Fee}
	for i := range a.st.Lines {
		if l := &a.st.Lines[i]; l.Estimated {
			*of[l.Kind] = a.plus(*of[l.Kind], l.Home, spot{})
			u.Least = a.plus(u.Least, l.Home, spot{})
		}
	}
	u.Most = u.Least
	err := a.report.Err()
	if err != nil {
		u.Least, u.Most = money.Amount{}, money.Amount{}
	}
	return err
}

// dutyIsDue reports whether duty is due by a rate that is not given.
func (s *Statement) dutyIsDue(h *Haul) bool {
	b := *h.Border
	b.Classes = map[string]customs.Class{"": {}}
	_, _, err := s.assessAs(h, &b)
	var none *customs.NoRateError
	return errors.As(err, &none)
}

// rootCause is the first of some faults without its place, or the error.
func rootCause(err error) error {
	if faults, ok := errors.AsType[source.Faults](err); ok && faults[0].Err != nil {
		return faults[0].Err
	}
	return err
}
