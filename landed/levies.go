package landed

import (
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Bill is what customs and the carrier really asked, line by line; a line
// without a currency is not known, and the estimate stands.
type Bill struct{ Duty, Tax, Fee money.Amount }

// Sum adds up the lines that are known, in the currency of the duty.
func (b *Bill) Sum() money.Amount {
	return money.New(b.Duty.Minor()+b.Tax.Minor()+b.Fee.Minor(), b.Duty.Currency())
}

// Whole reports whether each line is known, so that nothing is estimated.
func (b *Bill) Whole() bool {
	return b.Duty.Currency() != 0 && b.Tax.Currency() != 0 && b.Fee.Currency() != 0
}

func (b *Bill) of(k Kind) money.Amount {
	switch k {
	case Duty:
		return b.Duty
	case Tax:
		return b.Tax
	}
	return b.Fee
}

// Billed reports whether all that the border asked is known, so that nothing of it is estimated.
func (h *Haul) Billed() bool {
	return h.Border != nil && h.Border.Bill.Whole() || len(h.Parcels) > 0 && !slices.ContainsFunc(h.Parcels, func(p Parcel) bool { return !p.Bill.Whole() })
}

// BillOf is the bill of the border for a parcel, by its id: that of all, or its own. An assessment
// has not every parcel of the haul where prices are open.
func (h *Haul) BillOf(parcel string) Bill {
	return h.billOf(slices.IndexFunc(h.Parcels, func(p Parcel) bool { return p.ID == parcel }))
}

// billOf is the bill for the parcel at a place. Without parcels, all lots are in one at any place.
func (h *Haul) billOf(place int) Bill {
	switch b := h.Border; {
	case b != nil && (b.Bill != (Bill{}) || len(h.Parcels) == 0):
		return b.Bill
	case place < 0: // of no parcel that there is
		return Bill{}
	}
	return h.Parcels[place].Bill
}

// WithoutBills returns the haul as it is estimated: without any bill of the border.
func (h *Haul) WithoutBills() *Haul {
	other := *h
	other.Border = h.Border.unbilled()
	other.Parcels = slices.Clone(h.Parcels)
	for i := range other.Parcels {
		other.Parcels[i].Bill = Bill{}
	}
	return &other
}

func (b *Border) unbilled() *Border {
	if b == nil {
		return nil
	}
	other := *b
	other.Bill = Bill{}
	return &other
}

// checkBills refuses a parcel's bill beside one of the whole haul.
func (h *Haul) checkBills(report *collect.Report) {
	if h.Border == nil || h.Border.Bill == (Bill{}) {
		return
	}
	for i := range h.Parcels {
		if p := &h.Parcels[i]; p.Bill != (Bill{}) {
			report.Fail(p.At.Key("assessed"), "parcel "+p.ID+": assessed", "there is a bill of the whole haul too, under customs: assessed", "keep the bills of the parcels, or that of the haul")
		}
	}
}

// levy is what the border asks of some items, of one kind.
type levy struct {
	items []int
	borne []int64       // by item, as it was assessed; nil where that is not known
	asked []customs.Fee // not converted yet
	open  bool          // what is asked depends on an open price
}

// sort puts the items of several parcels in file order, as sharing has them.
func (l *levy) sort() {
	borne := make(map[int]int64, len(l.borne))
	for k, minor := range l.borne {
		borne[l.items[k]] = minor
	}
	slices.Sort(l.items)
	for k := range l.borne {
		l.borne[k] = borne[l.items[k]]
	}
}

// charge adds the lines of what was assessed, or of the bills that replace it.
// Without an assessment there are only bills.
func (a *assessor) charge(assessed *customs.Assessment) {
	for _, k := range [...]Kind{Duty, Tax, Fee} {
		var all levy
		whole := money.Amount{}
		if a.border != nil {
			whole = a.border.Bill.of(k)
		}
		for n, items := range a.charged() {
			l, bill := a.levied(k, n, items, assessed), money.Amount{}
			if len(a.haul.Parcels) > 0 {
				bill = a.haul.Parcels[n].Bill.of(k)
			}
			switch {
			case whole.Currency() != 0:
				all.items, all.borne, all.asked = append(all.items, l.items...), append(all.borne, l.borne...), append(all.asked, l.asked...)
				all.open = all.open || l.open
			case bill.Currency() != 0:
				a.addBill(k, a.parcelID(n), bill, &l, a.haul.Parcels[n].At)
			case l.open:
				a.unknown(n)
			default:
				for _, fee := range l.asked {
					line := a.levyLine(k, a.parcelID(n), fee)
					line.Estimated = true
					a.addAssessed(line, l.items, l.borne, spot{of: a.border.At, field: "customs: ", what: line.What})
				}
			}
		}
		if whole.Currency() != 0 {
			all.sort()
			a.addBill(k, "", whole, &all, a.border.At)
		}
	}
}

// levied is what the rules ask of a parcel; it is good until it is asked again.
func (a *assessor) levied(k Kind, n int, items []int, assessed *customs.Assessment) levy {
	l := levy{items: items, open: a.leaves(n)}
	if assessed == nil || l.open {
		return l
	}
	p := &assessed.Parcels[a.place(n)]
	if k == Fee {
		l.asked = append(slices.Clip(p.Fees), a.quietFees(n, p.Fees)...)
		return l
	}
	sum := (&Bill{Duty: p.Duty, Tax: p.Tax}).of(k)
	l.borne = a.room.minors.Take(len(p.Lines))
	for i := range p.Lines {
		l.borne[i] = (&Bill{Duty: p.Lines[i].Duty, Tax: p.Lines[i].Tax}).of(k).Minor()
	}
	if sum.Sign() != 0 || a.mayAsk(k, n) {
		a.levy[0] = customs.Fee{What: levyNames[k], Amount: sum}
		l.asked = a.levy[:]
	}
	return l
}

// WithQuietLines returns the statement with a line of nothing, behind its own, for whatever may
// come to something once other figures change: each duty, tax and fee that the border does not ask
// of a parcel as it is, and each premium that is in what the bank took; for those who calculate it
// again. It is the statement itself where it is not known what that may be.
func (s *Statement) WithQuietLines() *Statement {
	if s.Haul == nil {
		return s
	}
	h := *s.Haul
	h.quiet = true
	all, err := Split(&h)
	if err != nil {
		return s
	}
	own, quiet := make([]Line, 0, len(all.Lines)), []Line{}
	for _, line := range all.Lines {
		if n := len(own); n < len(s.Lines) && s.Lines[n].alike(&line) {
			own = append(own, line)
		} else {
			quiet = append(quiet, line)
		}
	}
	all.Lines = append(own, quiet...)
	return all
}

// alike reports whether two lines are of one cost.
func (l *Line) alike(o *Line) bool {
	return l.What == o.What && l.Kind == o.Kind && l.Lot == o.Lot && l.Item == o.Item && l.Parcel == o.Parcel && l.Home == o.Home
}

// outlined is what may be asked of a parcel, once that is wanted.
func (a *assessor) outlined(n int) *customs.ParcelOutline {
	if !a.haul.quiet {
		return nil
	}
	if a.outline == nil {
		if a.outline, _ = a.st.Border.Outline(); a.outline == nil {
			a.outline = &customs.Outline{}
		}
	}
	if at := a.place(n); at < len(a.outline.Parcels) {
		return &a.outline.Parcels[at]
	}
	return nil
}

// mayAsk reports whether a parcel may owe duty, or tax, once other figures change.
func (a *assessor) mayAsk(k Kind, n int) bool {
	o := a.outlined(n)
	return o != nil && slices.ContainsFunc(o.Levies, func(l customs.Levy) bool { return l.Tax == (k == Tax) })
}

// quietFees are the fees that a parcel does not owe, but may once other figures change.
func (a *assessor) quietFees(n int, owed []customs.Fee) []customs.Fee {
	var quiet []customs.Fee
	if o := a.outlined(n); o != nil {
		for _, f := range o.Fees {
			named := func(c customs.Fee) bool { return c.What == f.What }
			if !slices.ContainsFunc(owed, named) && !slices.ContainsFunc(quiet, named) {
				quiet = append(quiet, customs.Fee{What: f.What, Amount: money.New(0, f.Amount.Currency())})
			}
		}
	}
	return quiet
}

func (a *assessor) levyLine(k Kind, parcel string, asked customs.Fee) Line {
	return Line{What: asked.What, Kind: k, Parcel: parcel, Times: 1, By: a.haul.Share.of(k), paid: paid{amount: asked.Amount}}
}

// levyNames is what lines of the border are called.
var levyNames = [...]string{Duty: "Import duty", Tax: "Import tax", Fee: "Border fees"}

// addBill adds the line of a bill in place of what was assessed.
func (a *assessor) addBill(k Kind, parcel string, bill money.Amount, l *levy, at source.Origin) {
	line, before := a.levyLine(k, parcel, customs.Fee{What: levyNames[k], Amount: bill}), len(a.st.Lines)
	line.dutiable = NotDutiable
	var weights []int64
	weights, line.borneBy = a.bearing(l)
	a.addAssessed(line, l.items, weights, spot{of: at, key: "assessed/" + k.String(), field: "assessed: ", what: k.String()})
	if len(a.st.Lines) > before {
		a.st.Lines[before].bill, a.st.Lines[before].AsEstimated = true, a.estimate(l)
	}
}

// estimate sums what was assessed, in home.
func (a *assessor) estimate(l *levy) money.Amount {
	sum, quiet := money.New(0, a.haul.Home), *a.splitter
	quiet.report = &collect.Report{} // a bill needs no rate for the estimate
	for _, fee := range l.asked {
		line := Line{paid: paid{amount: fee.Amount}}
		quiet.convert(&line, money.Amount{}, spot{})
		sum = quiet.plus(sum, line.Home, spot{})
	}
	if a.rules == nil || l.open || quiet.report.Len() > 0 {
		return money.Amount{}
	}
	return sum
}

// bearing returns by what a billed amount is shared: as estimated, or, where
// the estimate was nothing, by value, or else by count, as where a price is open.
func (a *assessor) bearing(l *levy) (weights []int64, by string) {
	values, counts := make([]int64, len(l.items)), make([]int64, len(l.items))
	var sum, valued int64
	for _, borne := range l.borne {
		sum += borne
	}
	all := a.values()
	for k, i := range l.items {
		values[k], counts[k] = all[i], a.items[i].Count
		valued += values[k]
	}
	switch {
	case sum > 0 && !l.open:
		return l.borne, ""
	case valued == 0 || l.open:
		return counts, "by count"
	case a.lines == nil:
		return values, "by price and premium"
	}
	return values, "by value for customs"
}

// values returns the value of each item for customs without freight and the
// like, or, where nothing was assessed, its price and premium in home.
func (a *assessor) values() []int64 {
	shares := make([]int64, len(a.items))
	for i := range a.lines {
		shares[i] = a.lines[i].Value.Minor()
	}
	if a.lines != nil {
		return shares
	}
	for n := range a.st.Lines {
		if line := &a.st.Lines[n]; line.Kind == Price || line.Kind == Premium {
			for i, share := range line.shares {
				shares[line.items[i]] += share
			}
		}
	}
	return shares
}

// addAssessed converts a line of the border and shares it, by the weights
// where its basis is as assessed.
func (a *assessor) addAssessed(line Line, items []int, weights []int64, at spot) {
	if !a.convert(&line, money.Amount{}, at) {
		return
	}
	if line.By != ByAssessed {
		if a.share(&line, items, at) {
			a.st.Lines = append(a.st.Lines, line)
		}
		return
	}
	line.items, line.borne = items, weights
	if line.Home.Sign() != 0 {
		line.shares = a.room.minors.Take(len(items))
		if err := money.Apportion(line.shares, line.Home.Minor(), weights); err != nil {
			a.report.AddErr(at.origin(), at.name(), err)
			return
		}
	}
	a.st.Lines = append(a.st.Lines, line)
}
