package live

import (
	"math"
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/money"
)

// Columns of the sheet found. What follows foundValue is in minor units of home: what the item
// costs without repairs, the repairs, what those for parts carry, the sound ones at first, and the
// dead ones; what nobody bears and what the sound ones do, once the item, its lot and the haul have
// carried what was lost.
const (
	foundItem = iota
	foundSound
	foundParts
	foundDead
	foundMissing
	foundValue
	foundOwn
	foundRepair
	foundForParts
	foundFirst
	foundOfDead
	foundLost
	foundBear
	foundLotTook
	foundLotBear
	foundLotLost
	foundHaulTook
	foundHaulBear
	foundHaulLost
)

// opened is how the cost of the items lies on what was found, as [landed.Split] divides it.
type opened struct {
	*model
	rows  [][]sheet.Cell
	bear  []figure   // by item: what the sound pieces bear so far
	lost  []figure   // and nobody; "" where that is nothing, whatever is changed
	parts []figure   // those for parts
	made  [][]figure // those made from dead ones
}

// foundSheet is a row for each item, and for what was made from dead pieces.
func (m *model) foundSheet() {
	m.found = newGrid("found", append([]sheet.Column{{Head: "item"}}, figures("sound", "for parts", "dead", "missing", "value of one for parts", "cost without repairs, in "+minorName(m.digits()), "repairs",
		"those for parts carry", "sound ones at first", "dead ones", "lost", "sound ones carry", "took of the lot", "carry then", "lost then", "took of the haul", "carry in all", "lost in all")...)...)
	n := len(m.st.Items)
	o := &opened{model: m, rows: make([][]sheet.Cell, n), bear: make([]figure, n), lost: make([]figure, n), parts: make([]figure, n), made: make([][]figure, n)}
	m.opened = o
	for i := range m.st.Items {
		o.divide(i)
	}
	o.moveLosses()
	for i, cells := range o.rows {
		o.put(cells, i, foundHaulBear, o.bear[i])
		if o.lost[i].text != "" {
			o.put(cells, i, foundHaulLost, o.lost[i])
		}
	}
	for i := range o.rows {
		if o.rows[i][foundItem].Text == "" {
			o.rows[i][foundItem] = text(m.st.Items[i].ID)
		}
		m.found.add(sheet.Body, o.rows[i]...)
	}
	m.held = !o.agrees()
}

// put sets a cell of a row and returns what names it.
func (o *opened) put(cells []sheet.Cell, n, column int, f figure) figure {
	cells[column] = o.found.figured(f, count)
	return o.found.of(column, row(n), f.value)
}

// cost sums the shares of an item of the kinds that are wanted.
func (o *opened) cost(i int, wanted func(landed.Kind) bool) figure {
	item := &o.st.Items[i]
	sum := []figure{}
	for k, kind := range o.kinds {
		if wanted(kind) && len(o.shares[i*landed.Kinds+int(kind)]) > 0 { // be it 0 today, as below a limit of the border
			sum = append(sum, o.items.of(itemKinds+k, row(i), item.Share(kind).Decimal().InexactFloat64()))
		}
	}
	return o.minor(plus(sum...))
}

// divide divides the cost of one item over its pieces.
func (o *opened) divide(i int) {
	item := &o.st.Items[i]
	f := item.Found
	pieces := func(n int64) sheet.Cell { return fixed(number64(n), count) }
	all := []sheet.Cell{foundSound: pieces(f.Sound), foundParts: pieces(f.Parts), foundDead: pieces(f.Dead), foundMissing: pieces(f.Missing), foundHaulLost: {}}
	o.rows[i] = all
	own := o.put(all, i, foundOwn, o.cost(i, func(k landed.Kind) bool { return k != landed.Repair }))
	repair := o.put(all, i, foundRepair, o.cost(i, func(k landed.Kind) bool { return k == landed.Repair }))
	if item.Item.Found == nil {
		all[foundSound] = o.found.live(o.items.at(itemCount, row(i)), count, number64(f.Sound))
		o.bear[i] = o.put(all, i, foundBear, plus(own, repair))
		return
	}
	parts := o.put(all, i, foundForParts, o.forParts(i, &f, own, all))
	left, others := minus(own, parts), f.Sound+f.Dead+f.Missing
	first := o.put(all, i, foundFirst, firstOf(left, f.Sound, others))
	dead := o.put(all, i, foundOfDead, minus(firstOf(left, f.Sound+f.Dead, others), first))
	o.made[i] = o.yields(i, &f, dead)
	bear, lost := first, minus(append([]figure{own, parts, first}, o.made[i]...)...)
	switch {
	case f.Sound > 0 && o.st.Haul.Losses == landed.LossToItem:
		bear, lost = plus(first, lost, repair), figure{}
	case f.Sound > 0:
		bear = plus(first, repair)
	default:
		lost = plus(lost, repair)
	}
	if o.parts[i] = parts; lost.text != "" {
		o.lost[i] = o.put(all, i, foundLost, lost)
	}
	o.bear[i] = o.put(all, i, foundBear, bear)
}

// firstOf is what the first some of n pieces bear of a total divided equally.
func firstOf(total figure, some, n int64) figure {
	if some == 0 || n == 0 {
		return whole(0)
	}
	all := size(total)
	each := floor(over(all, whole(n)))
	return times(sign(total), plus(times(each, whole(some)), least(whole(some), minus(all, times(each, whole(n))))))
}

// worth is what so many pieces should bring, in minor units of home.
func (o *opened) worth(value figure, c money.Currency, n int64) figure {
	worth := times(value, whole(n), o.plainRate(c))
	return nearest(figure{worth.text + o.times(), worth.value * math.Pow10(o.digits())}, 0)
}

// forParts is what pieces for parts bear: what they should bring, but no more than their share.
func (o *opened) forParts(i int, f *landed.Found, own figure, cells []sheet.Cell) figure {
	value := o.st.Items[i].PartsValue
	if f.Parts == 0 || value.Currency() == 0 {
		return whole(0)
	}
	cells[foundValue] = amount(value.Decimal().String(), coded(value.Currency(), 0))
	worth := o.worth(o.found.of(foundValue, row(i), value.Decimal().InexactFloat64()), value.Currency(), f.Parts)
	share := floor(over(times(own, whole(f.Parts)), whole(f.Sound+f.Parts+f.Dead+f.Missing)))
	return choose(above(own, whole(0)), least(worth, share), whole(0))
}

// yields are what the pieces made from dead ones bear: what they should bring, or their part of
// what the dead ones cost where that is less.
func (o *opened) yields(i int, f *landed.Found, dead figure) []figure {
	var worths, bear []figure
	first := len(o.rows)
	for _, y := range f.Yields {
		n := len(o.rows)
		cells := []sheet.Cell{
			foundItem: text(o.st.Items[i].ID + ": " + y.What), foundSound: fixed(number64(y.Count), count),
			foundValue: amount(y.Value.Decimal().String(), coded(y.Value.Currency(), 0)), foundHaulLost: {},
		}
		value := o.found.of(foundValue, row(n), y.Value.Decimal().InexactFloat64())
		worths = append(worths, o.put(cells, n, foundOwn, o.worth(value, y.Value.Currency(), y.Count)))
		o.rows = append(o.rows, cells)
		o.bear, o.lost = append(o.bear, figure{}), append(o.lost, figure{})
	}
	if len(worths) == 0 {
		return nil
	}
	sum := plus(worths...)
	share := o.carried("made from dead pieces of "+o.st.Items[i].ID, o.unit, choose(above(dead, whole(0)), dead, whole(0)), worths, func(k int) string { return f.Yields[k].What })
	for k := range worths {
		bear = append(bear, o.put(o.rows[first+k], first+k, foundBear, choose(above(dead, whole(0)), choose(above(sum, dead), share(k), worths[k]), whole(0))))
		o.bear[first+k] = bear[k]
	}
	return bear
}

// carried shares a total by what figures weigh.
func (m *model) carried(what string, in unit, total figure, weights []figure, name func(int) string) func(k int) figure {
	s := &sharing{what: what, in: in, total: total}
	given := make([]int64, len(weights))
	for k := range weights {
		s.items, given[k] = append(s.items, name(k)), int64(weights[k].value)
	}
	s.shares = make([]int64, len(weights))
	if money.Apportion(s.shares, int64(total.value), given) != nil {
		clear(s.shares)
	}
	s.weighs = func(k int) (string, int64, bool) { return weights[k].text, given[k], true }
	cell := m.working.share(s)
	return func(k int) figure {
		return in.minor(figure{cell(k), float64(s.shares[k]) / math.Pow10(in.digits())})
	}
}

// moveLosses lets others carry what was lost, in the order of the rules.
func (o *opened) moveLosses() {
	items := o.st.Items
	switch o.st.Haul.Losses {
	case landed.LossWrittenOff:
		return
	case landed.LossToItem, landed.LossToLot:
		for first := 0; first < len(items); {
			end := first + 1
			for end < len(items) && items[end].Lot == items[first].Lot {
				end++
			}
			o.carry(first, end, foundBear, foundLotTook)
			first = end
		}
		for i := range items { // a column for the next step
			o.bear[i] = o.put(o.rows[i], i, foundLotBear, o.bear[i])
			if o.lost[i].text != "" {
				o.lost[i] = o.put(o.rows[i], i, foundLotLost, o.lost[i])
			}
		}
		o.carry(0, len(items), foundLotBear, foundHaulTook)
	default:
		o.carry(0, len(items), foundBear, foundHaulTook)
	}
}

// carry lets the sound pieces of some items carry what was lost of them: by what they bear, which
// stands in a column, if that is above zero, or by their number where none bears anything.
func (o *opened) carry(first, end, column, took int) {
	var lost, weights []figure
	var carriers []int
	most := 0.0
	for i := first; i < end; i++ {
		if o.lost[i].text != "" {
			lost = append(lost, o.lost[i])
		}
		if c := &o.st.Items[i]; c.Found.Sound > 0 && c.Count > 0 {
			carriers = append(carriers, i)
		}
		most = max(most, o.bear[i].value)
	}
	if len(lost) == 0 || len(carriers) == 0 {
		return
	}
	all := o.found.column(column, row(first), row(end-1))
	fair := o.working.fact("those who carry do so by what they carry already (1) or by number (0)",
		figure{"IF(MAX(" + all + ")>0,1,0)", truth(most > 0)})
	for _, i := range carriers {
		weights = append(weights, choose(fair, call("MAX", max(o.bear[i].value, 0), o.bear[i], whole(0)), o.found.of(foundSound, row(i), float64(o.st.Items[i].Found.Sound))))
	}
	share := o.carried("the cost of dead and missing pieces", o.unit, o.working.sum("part of the cost of dead and missing pieces", lost), weights, func(k int) string { return o.st.Items[carriers[k]].ID })
	for k, i := range carriers {
		o.bear[i] = plus(o.bear[i], o.put(o.rows[i], i, took, share(k)))
	}
	for i := first; i < end; i++ {
		o.lost[i] = figure{}
	}
}

// fact adds a row with a figure.
func (w *working) fact(what string, f figure) figure {
	at := w.section(1, func(at int, yield func(sheet.Row) bool) bool {
		return yield(headRow(at, []sheet.Cell{workWhat: text(what), workTotal: w.figured(f, count)}...))
	})
	return w.of(workTotal, at, f.value)
}

// mostSummed is how many cells a formula names one by one: programs allow one of 8192 characters.
const mostSummed = 200

// sum adds up figures, in parts with a row each where they are many.
func (w *working) sum(what string, of []figure) figure {
	for len(of) > mostSummed {
		var parts []figure
		for part := range slices.Chunk(of, mostSummed) {
			parts = append(parts, w.fact(what, plus(part...)))
		}
		of = parts
	}
	return plus(of...)
}

// agrees reports whether the formulas come to what the library says.
func (o *opened) agrees() bool {
	for i := range o.st.Items {
		for _, p := range portions(&o.st.Items[i]) {
			if o.borne(i, &p).value != float64(p.cost) {
				return false
			}
		}
	}
	return true
}

// borne is what the pieces of an item in one state bear, in minor units.
func (o *opened) borne(i int, p *portion) figure {
	switch p.state {
	case landed.ForParts:
		if o.parts[i].text != "" {
			return o.parts[i]
		}
	case landed.Made:
		if p.made < len(o.made[i]) {
			return o.made[i][p.made]
		}
	case landed.Sound:
		return o.found.of(foundHaulBear, row(i), o.bear[i].value)
	}
	return whole(0)
}

// borneBy is that in home.
func (m *model) borneBy(i int, p *portion) string {
	if m.held {
		return ""
	}
	return m.major(m.opened.borne(i, p)).text
}

// movedCell is what an item took over from others, or gave away.
func (m *model) movedCell(i int) sheet.Cell {
	moved := m.st.Items[i].Moved().Number()
	if m.held {
		return fixed(moved, plain(m.st.Home))
	}
	borne := []figure{m.found.of(foundHaulBear, row(i), 0)}
	if m.opened.parts[i].text != "" {
		borne = append(borne, m.opened.parts[i])
	}
	borne = append(borne, m.opened.made[i]...)
	own := plus(m.found.of(foundOwn, row(i), 0), m.found.of(foundRepair, row(i), 0))
	return m.items.live(m.major(minus(plus(borne...), own)).text, plain(m.st.Home), moved)
}

// lossOf is what is written off.
func (m *model) lossOf() string {
	if m.held {
		return ""
	}
	return "ROUND(SUM(" + m.found.column(foundHaulLost, 2, len(m.st.Items)+1) + ")" + m.cents() + "," + number64(int64(m.digits())) + ")"
}

// mayLose reports whether some cost may stay with nobody, whatever is changed.
func (m *model) mayLose() bool {
	return m.st.Loss.Sign() != 0 || !m.held && slices.ContainsFunc(m.opened.lost, func(f figure) bool { return f.text != "" })
}
