package landed

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"

	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Check tells what is wrong with how a haul hangs together: ids that are
// missing, stand twice or are named without being there, and counts, weights
// and values that cannot be. [Split] checks this first; a reader may call it to
// tell these faults together with its own. It tells too that there is no haul.
func (h *Haul) Check() source.Faults {
	if h == nil {
		return noHaul
	}
	return h.check(&room{})
}

func (h *Haul) check(r *room) source.Faults {
	r.indexOf(h).check(&r.report)
	h.checkTwice(&r.report)
	h.checkLateSales(&r.report)
	return r.report.All()
}

func (x *index) check(report *collect.Report) {
	x.checkFigures(report)
	x.checkClasses(report)
	x.checkCharges(report)
}

// CheckRates tells each rate that is missing, to home for what is not settled, and to the
// currency of the border for what is in the value for customs. [Split] finds the same, but nothing
// of a haul in which anything else is wrong.
func (h *Haul) CheckRates() source.Faults {
	x := rateCheck{report: &collect.Report{}, rates: h.Exchange(), home: h.Home, reported: map[fx.Code]bool{}}
	if b := h.AsMet().Border; b != nil && b.Book != nil && !h.Date.IsZero() {
		if rules, err := b.Book.For(h.To, h.Date); err == nil {
			x.border = &assessor{splitter: &splitter{rates: x.rates}, border: b, rules: rules, lines: make([]customs.Line, 1)}
		}
	}
	for i := range h.Lots {
		lot := &h.Lots[i]
		x.need(&Charge{Kind: Price, Amount: lot.Price, Settled: lot.Settled}, Line{Kind: Price, Lot: lot.ID}, lot.At.Key("price"), "lot "+lot.ID+": price")
	}
	for i := range h.Parcels {
		p := &h.Parcels[i]
		for _, cost := range p.costs() {
			c := &Charge{Amount: cost.asked, Settled: cost.settled}
			x.need(c, Line{Kind: cost.kind, What: "parcel " + p.ID}, p.At.Key(cost.key), "parcel "+p.ID)
		}
	}
	for i := range h.Charges {
		c := &h.Charges[i]
		x.need(c, Line{Kind: c.Kind, What: c.What, dutiable: c.Dutiable}, c.At.Key("amount"), chargeField(c))
	}
	return x.report.All()
}

// rateCheck looks for rates that are missing.
type rateCheck struct {
	report   *collect.Report
	rates    *exchange.Converter
	home     money.Currency
	border   *assessor // nil where there is none, or it is not known by which rules
	reported map[fx.Code]bool
}

// need tells the rates that are missing for an amount, which stands at an origin, and its line.
func (x *rateCheck) need(c *Charge, line Line, at source.Origin, field string) {
	asked, amount := c.Amount.Currency(), c.Amount
	if c.OfPrice { // which is in home
		asked, amount = x.home, money.New(1, x.home)
	}
	if asked == 0 {
		return
	}
	var unrated error
	if c.Settled.Currency() == 0 {
		_, unrated = x.rates.Rate(asked, x.home)
		x.tell(unrated, at, field)
	}
	line.Home = amount
	if x.border == nil || x.border.part(&line, 0) == nil {
		return
	}
	if unrated != nil { // once it is there, what is asked goes by way of home
		asked = x.home
	}
	if _, err := x.border.rate(asked); err != nil {
		if _, none := x.rates.Rate(asked, x.home); none == nil {
			at = x.border.border.At
		}
		x.tell(err, at, "customs: "+line.words())
	}
}

func (x *rateCheck) tell(err error, at source.Origin, field string) {
	none, missing := errors.AsType[*fx.NoRateError](err)
	if err == nil || missing && x.reported[abroad(none, x.home)] {
		return
	}
	if missing {
		x.reported[abroad(none, x.home)] = true
	}
	x.report.AddErr(at, field, err)
}

// CheckWeights tells each item without a weight or without a value, once of each, where a price,
// what a parcel cost or a charge is shared by that. [Split] finds the same, but nothing of a haul
// in which anything else is wrong. What sure says no to, of an item, its value or a charge at an
// origin, is taken as not typed as it was meant, and left out; nil is sure of all. Nothing is told
// where [Haul.Check] has faults.
func (h *Haul) CheckWeights(sure func(at source.Origin) bool) (weightless source.Faults) {
	if h.Home == 0 {
		return nil
	}
	if sure == nil {
		sure = func(source.Origin) bool { return true }
	}
	typed := *h.WithoutLost().WithoutOpen()
	typed.Charges = slices.DeleteFunc(slices.Clone(typed.Charges), func(c Charge) bool { return !sure(c.At) })
	s := newSplitter(&typed)
	if s.check(s.report); s.report.Len() > 0 {
		return nil
	}
	s.lots()
	s.parcels()
	s.charges()
	reported := map[[2]string]bool{}
	for _, f := range s.report.All() {
		figure, _, _ := strings.Cut(f.Figure, " ")
		is := [2]string{f.Field, figure}
		if (figure == "weight" || figure == "value") && sure(f.At) && !reported[is] {
			reported[is] = true
			weightless = append(weightless, f)
		}
	}
	return weightless
}

// index finds lots and items by id and by place.
type index struct {
	room      *room
	haul      *Haul
	items     []*Item // of all lots, in file order
	all       []int   // their places
	class     string  // that was last found to be there
	classless []*Item // those whose class is not there
	meant     string  // the id that one of two lots of the same id is taken to have
	single    int     // how many charges for one item each there may be; set by checkCharges
	start     []int   // by lot, its first item; one more entry ends the last
	parcel    []int   // by lot, the parcel it travels in: the first in a haul without parcels
	lotIDs    ids
	itemIDs   ids
}

// indexOf finds what is in a haul, unless it was found when that was checked.
func (r *room) indexOf(h *Haul) *index {
	h = h.AsMet()
	if r.checked {
		r.index.haul = h
		return &r.index
	}
	r.index = index{haul: h, room: r}
	x, report, n := &r.index, &r.report, 0
	for i := range h.Lots {
		n += len(h.Lots[i].Items)
	}
	places, lots := r.places.Take(n+2*len(h.Lots)+1), len(h.Lots)
	x.items, x.start, x.parcel, x.all = r.items.Take(n)[:0], places[:0:lots+1], places[lots+1:][:lots:lots], places[2*lots+1:]
	switch {
	case h.allLost:
		report.Fail(h.At.Key("lots"), "lots", "every lot is lost, so that nothing is left", "take lost: yes from a lot that was won or is still to come")
	case len(h.Lots) == 0:
		report.Fail(h.At.Key("lots"), "lots", "the haul has no lots", "add at least one lot with its items")
	}
	for i := range h.Lots {
		x.addLot(i, report)
	}
	x.start = append(x.start, len(x.items))
	for i := range x.all {
		x.all[i] = i
	}
	x.itemIDs, x.lotIDs = x.newIDs(ofItems, n, report), x.newIDs(ofLots, lots, report)
	x.pack(report)
	h.checkBills(report)
	return x
}

// over is the same of another haul with the same lots.
func (x index) over(h *Haul) *index {
	x.haul = h
	return &x
}

func (x *index) lotOf(item int) int {
	return sort.Search(len(x.haul.Lots), func(lot int) bool { return x.start[lot+1] > item })
}

// pack finds the parcel of each lot. Without parcels all travel in one.
func (x *index) pack(report *collect.Report) {
	const nowhere = -1
	if len(x.haul.Parcels) == 0 {
		return
	}
	for i := range x.parcel {
		x.parcel[i] = nowhere
	}
	misnamed := false
	x.newIDs(ofParcels, len(x.haul.Parcels), report)
	for n := range x.haul.Parcels {
		p := &x.haul.Parcels[n]
		fail := func(at source.Origin, what, remedy string) *source.Fault {
			return report.Fail(at, "parcel "+p.ID, what, remedy)
		}
		if len(p.Lots) == 0 {
			misnamed = true // the lots that are in no parcel may belong here
			fail(p.At.Key("lots"), "the parcel holds no lots", "list them").Figure = "lots"
		}
		for i, id := range p.Lots {
			lot, known := x.lotIDs.find(id)
			switch {
			case !known && id != "" && id == x.meant:
				misnamed = true
			case !known:
				misnamed = true
				report.NoSuch(p.At.Entry(i, "lots"), "parcel "+p.ID, "lot", id, x.haul.LotIDs(), x.haul.packed()...)
			case x.parcel[lot] != nowhere:
				fail(p.At.Entry(i, "lots"), fmt.Sprintf("lot %s travels in parcel %s already", id, x.haul.Parcels[x.parcel[lot]].ID), "name each lot in one parcel")
			default:
				x.parcel[lot] = n
			}
		}
	}
	for i, n := range x.parcel {
		lot := &x.haul.Lots[i]
		if first, _ := x.lotIDs.find(lot.ID); n == nowhere && !misnamed && !lot.Lost && first == i { // else its id is reported
			report.Fail(lot.At, "lot "+lot.ID, "the lot travels in no parcel", "name it in one of the parcels, or in a further one")
		}
	}
}

// packed lists the ids of the lots that some parcel names.
func (h *Haul) packed() []string {
	var ids []string
	for i := range h.Parcels {
		ids = append(ids, h.Parcels[i].Lots...)
	}
	return ids
}

func (x *index) addLot(i int, report *collect.Report) {
	lot := &x.haul.Lots[i]
	x.start = append(x.start, len(x.items))
	if lot.Lost && lot.Bought() {
		report.Fail(lot.At.Key("lost"), "lot "+lot.ID+": lost", "a lot with a price is won", "take out the price, or lost: yes")
	}
	if len(lot.Items) == 0 {
		report.Fail(lot.At.Key("items"), "lot "+lot.ID, "the lot has no items", "list what is in it under items")
	}
	for j := range lot.Items {
		item := &lot.Items[j]
		x.checkItem(report, item)
		x.items = append(x.items, item)
	}
}

func (x *index) checkItem(report *collect.Report, item *Item) {
	fail := func(key, what, remedy string) *source.Fault {
		return report.Fail(item.At.Key(key), "item "+item.ID, what, remedy)
	}
	switch {
	case item.Count == 0 && (item.Found == nil || item.Found.Extra == 0):
		fail("count", "the count is 0", "write how many pieces there are, or, of pieces that nobody paid for, how many were found extra").Figure = "extra"
	case item.Count < 0 || item.Count > maxCount:
		fail("count", fmt.Sprintf("the count is %d", item.Count), fmt.Sprintf("write how many pieces there are, from 1 to %d", int64(maxCount)))
	}
	if item.Weighed && item.Weight < 0 {
		fail("weight", "the weight is negative", "write what one piece weighs")
	}
	if item.Value.Sign() < 0 {
		fail("value", "the value is negative", "write what one piece should sell for when right, or 0")
	}
	if len(item.Further) > 0 {
		other := func(a money.Amount) bool { return a.Sign() < 0 || a.Currency() != item.Value.Currency() }
		if _, fits := x.haul.valueOfAll(item); slices.ContainsFunc(item.Further, other) || !fits && item.Count > 0 && item.Count <= maxCount {
			fail("value", "the values do not go together", "write each in one currency, 0 or more")
		}
	}
	if item.Keep < 0 || item.Found == nil && item.Count > 0 && item.Keep > item.Count {
		fail("keep", fmt.Sprintf("%d are to be kept of %d", item.Keep, item.Count), "keep no more than there are")
	}
	checkFound(report, item)
	checkWork(report, item)
	if b := x.haul.Border; b != nil && item.Class != x.class {
		if x.class = item.Class; !b.knows(item.Class) {
			x.class = ""
			x.classless = append(x.classless, item)
		}
	}
	checkChances(report, item, x.haul.Home)
	x.checkSold(report, item)
}

// A small file can ask for a great many charges on a great many items. mostShares
// bounds the shares of all charges together, which a statement holds, and
// mostSingle the charges that are each for one item, repairs among them, which
// are a line each: their table takes more than a kilobyte a line, and none may take a
// gigabyte.
const mostShares, mostSingle = 10_000_000, 750_000

func (x *index) checkCharges(report *collect.Report) {
	shares := 0
	for _, item := range x.items {
		if item.Repair.Currency() != 0 {
			x.single++
		}
	}
	for i := range x.haul.Charges {
		c := &x.haul.Charges[i]
		n := len(x.covered(c, report))
		shares += n
		if c.Per == PerItem || c.Per == PerPiece {
			x.single += n
		}
		if shares > mostShares || x.single > mostSingle {
			what, most, key := count(shares, "share"), mostShares, "what"
			if x.single > mostSingle && (c.Per == PerItem || c.Per == PerPiece) {
				what, most, key = count(x.single, "charge")+" for one item each", mostSingle, "per"
			}
			report.Fail(c.At.Key(key), chargeField(c), fmt.Sprintf("up to this one the charges come to %s, and %d is the most", what, most), "make one charge of those that are alike, or name under on what each is for")
			return
		}
	}
}

// covered lists the items a charge covers, in file order. An id that is not
// there is a fault; so is an item under a percentage, which is of lots' prices.
func (x *index) covered(c *Charge, report *collect.Report) []int {
	fail := func(at source.Origin, what, remedy string) { report.Fail(at, chargeField(c), what, remedy) }
	if c.OfPrice && (c.Per == PerItem || c.Per == PerPiece) {
		fail(c.At.Key("per"), "a percentage of price cannot be per "+word(perNames, c.Per), "use per: haul, parcel or lot, since a price belongs to a lot")
	}
	if len(c.On) == 0 {
		return x.all
	}
	var list []int
	for i, id := range c.On {
		lot, isLot := x.lotIDs.find(id)
		item, isItem := x.itemIDs.find(id)
		switch {
		case isLot && isItem:
			fail(c.At.Entry(i, "on"), fmt.Sprintf("%q is the id of a lot and of an item", id), "give one of them another id")
		case isLot:
			list = append(list, x.all[x.start[lot]:x.start[lot+1]]...)
		case isItem && c.OfPrice:
			fail(c.At.Entry(i, "on"), fmt.Sprintf("%q is an item, but a percentage of price covers lots", id), "name the lot, or write an amount")
		case isItem:
			list = append(list, item)
		case id != x.meant || id == "":
			f := report.NoSuch(c.At.Entry(i, "on"), chargeField(c), "lot or item", id, x.haul.IDs(), c.On...)
			if n := slices.IndexFunc(x.haul.Parcels, func(p Parcel) bool { return p.ID == id }); n >= 0 {
				f.Remedy = "it is a parcel: name the lots in it, " + strings.Join(x.haul.Parcels[n].Lots, ", ")
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// LotAt is the place of the lot with an id, or -1.
func (h *Haul) LotAt(id string) int {
	for i := range h.Lots {
		if h.Lots[i].ID == id {
			return i
		}
	}
	return -1
}

// LotIDs lists the ids of the lots, in file order, as far as they are worth
// suggesting.
func (h *Haul) LotIDs() []string {
	var ids []string
	for i := range h.Lots[:min(len(h.Lots), mostSuggested)] {
		ids = append(ids, h.Lots[i].ID)
	}
	return ids
}

// IDs lists the ids of lots, and then of items, likewise.
func (h *Haul) IDs() []string {
	ids := h.LotIDs()
	most := len(ids) + mostSuggested
	for _, item := range h.Items() {
		if len(ids) == most {
			break
		}
		ids = append(ids, item.ID)
	}
	return ids
}

// mostSuggested bounds how many lots, and how many items, are searched for a
// like id.
const mostSuggested = 200

func chargeField(c *Charge) string {
	if c.What == "" {
		return "charge"
	}
	return fmt.Sprintf("charge %q", c.What)
}
