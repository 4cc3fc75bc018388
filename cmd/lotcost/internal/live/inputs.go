package live

import (
	"cmp"
	"path/filepath"
	"slices"
	"strconv"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Written is the sheet, not shown, that says what a workbook was written from: of each cell that
// may be changed what it is, where it stood and what it held.
const Written = "written"

// WrittenHeads are the heads of that sheet. The rows of its first column that begin with HaulKeys
// say in the last of which haul it is.
var (
	WrittenHeads = []string{"what", "sheet", "row", "column", "of", "held"}
	HaulKeys     = []string{"lot file", "title", "home"}
)

// MadeKey begins the rows of that sheet that say, in the last column, in which rows of a sheet the
// cells below a head are calculated.
const MadeKey = "calculated"

// OrderHead is the head of the column with the number by which a row is known wherever it is sorted
// to.
const OrderHead = orderHead

// Input is a cell that may be changed, and the value of a lot file that it stands for.
type Input struct {
	Key        string // what it is, wherever it stands: "item jack: weight"
	Sheet      string
	Row        int // the number of its row
	Head       string
	Name       string // what the first cell of the row says
	Data       string // the number that it holds; "" for none
	Calculated bool   // from another cell, until something is typed over it

	At       source.Origin // of the entry that has the value; nowhere for one of a whole file
	Way      edit.Path     // from there
	As       As
	Currency money.Currency  // of an amount, or that of a rate
	Spread   decimal.Decimal // what a rate holds for the card, as a fraction
	Optional bool            // it may be empty
	Not      string          // why no lot file has a place for it; "" where one has
	Paid     bool            // since it follows from what was paid
}

// As says how a lot file has a number.
type As int

// How numbers stand in a lot file.
const (
	Amount  As = iota // in Currency
	Weight            // in grams
	Count             // whole
	Part              // a fraction, as a percentage
	OfPrice           // a fraction, as a percentage of the price
	Rate              // home for one of Currency, the card's part in it
)

// Inputs are the cells of the workbook of [Costs] that may be changed.
func Inputs(st *landed.Statement) []Input { return modelOf(st).inputs().list }

// PriceInputs are those of the workbook of [Prices].
func PriceInputs(r *doubles.Result) []Input { return pricesOf(r).inputs().list }

// inputs are the cells that may be changed of a haul.
type inputs struct {
	haul *landed.Haul
	list []Input
}

// take adds a cell, where it may be changed.
func (l *inputs) take(g grid, n, column int, in Input) {
	c := g.Rows[n].Cell(column)
	if !c.Input {
		return
	}
	in.Sheet, in.Row, in.Head, in.Name, in.Data, in.Calculated = g.Topic, row(n), g.Columns[column].Head, g.Rows[n].Cell(0).Text, c.Data, c.Formula != ""
	l.list = append(l.list, in)
}

// keyed is the way to a value by keys.
func keyed(keys ...string) edit.Path {
	p := make(edit.Path, len(keys))
	for i, key := range keys {
		p[i].Key = key
	}
	return p
}

// written is the sheet of what may be changed, and of where it is not.
func written(l *inputs, tables []*sheet.Table) *sheet.Table {
	t := &sheet.Table{Topic: Written, Hidden: true, Guarded: true}
	t.Columns = sheet.Each(WrittenHeads, func(head *string) sheet.Column { return sheet.Column{Head: *head} })
	file := l.haul.At.File // "" where figures alone stand in for one
	if file != "" {
		file = filepath.Base(file)
	}
	for i, says := range []string{file, l.haul.Title, l.haul.Home.Code()} {
		t.Add(HaulKeys[i], nil, nil, nil, nil, says)
	}
	for in := range sheet.All(l.list) {
		t.Add(in.Key, in.Sheet, in.Row, in.Head, in.Name, in.Data)
	}
	for _, of := range tables {
		for column, rows := range (grid{of}).made() {
			if rows != "" && column != (grid{of}).order() {
				t.Add(MadeKey, of.Topic, 0, of.Columns[column].Head, nil, rows)
			}
		}
	}
	return t
}

// inputs are those of a workbook of costs.
func (m *model) inputs() *inputs {
	l := &inputs{haul: m.st.Haul}
	lots, parcels := map[string]*landed.Lot{}, map[string]*landed.Parcel{}
	for i := range l.haul.Lots {
		lots[l.haul.Lots[i].ID] = &l.haul.Lots[i]
	}
	for i := range l.haul.Parcels {
		parcels[l.haul.Parcels[i].ID] = &l.haul.Parcels[i]
	}
	charges := chargeNames(l.haul.Charges)
	bills := m.st.Bills()
	for n := range m.st.Lines {
		line := &m.st.Lines[n]
		t := m.st.Terms(line)
		asked := Input{Currency: t.Currency}
		settled := Input{Way: keyed("settled"), Currency: m.st.Home, Optional: true}
		switch {
		case line.Kind == landed.Price || line.Kind == landed.Premium:
			asked.Key, asked.At, asked.Way = "lot "+line.Lot+": "+line.Kind.String(), lots[line.Lot].At, keyed(line.Kind.String())
			settled.Key, settled.At = "lot "+line.Lot+": settled", asked.At
		case t.Charge > 0:
			name := charges[t.Charge-1] + forOne(line)
			asked.Key, asked.At, asked.Way = name+": amount", l.haul.Charges[t.Charge-1].At, keyed("amount")
			settled.Key, settled.At = name+": settled", asked.At
		case line.Kind == landed.Repair && line.Item != "":
			asked.Key, asked.At, asked.Way = "item "+line.Item+": repair", m.st.Items[m.itemOf(line)].Item.At, keyed("repair")
		case slices.Contains(bills, line):
			asked.Key, asked.Way = "bill of the border: "+line.Kind.String()+forOne(line), keyed("customs", "assessed", line.Kind.String())
			if line.Parcel != "" && parcels[line.Parcel] != nil {
				asked.At, asked.Way = parcels[line.Parcel].At, asked.Way[1:]
			}
		case parcels[line.Parcel] != nil:
			key := sheet.Either(line.Kind == landed.Fee, "fees", line.Kind.String())
			asked.Key, asked.At, asked.Way = "parcel "+line.Parcel+": "+key, parcels[line.Parcel].At, keyed(key)
			settled.Key, settled.At, settled.Way = asked.Key+", settled", asked.At, keyed("settled", key)
		}
		m.lineInputs(l, n, &t, asked, settled)
	}
	m.itemInputs(l)
	return l
}

// forOne says for what of several a charge is asked; "" where it is asked once.
func forOne(line *landed.Line) string {
	if of := cmp.Or(line.Item, line.Lot, line.Parcel); of != "" {
		return " for " + of
	}
	return ""
}

// chargeNames name charges by what they are; alike ones are counted.
func chargeNames(charges []landed.Charge) []string {
	names, seen := make([]string, len(charges)), map[string]int{}
	for i := range charges {
		name := "charge " + cmp.Or(charges[i].What, charges[i].Kind.String())
		if seen[name]++; seen[name] > 1 {
			name += " (" + strconv.Itoa(seen[name]) + ")"
		}
		names[i] = name
	}
	return names
}

// lineInputs are the cells of a line that may be changed: what was asked, as an amount, a
// percentage or for one piece, what the bank took, and the rate.
func (m *model) lineInputs(l *inputs, n int, t *landed.Terms, asked, settled Input) {
	part := asked
	if part.As = OfPrice; !t.OfPrice {
		part.As = Part
	}
	l.take(m.paid, n, paidAsked, asked)
	l.take(m.paid, n, paidPercent, part)
	l.take(m.paid, n, paidSettled, settled)
	if t.PerPiece {
		l.take(m.paid, n, paidOne, asked)
	}
	rate := Input{Key: "rate of " + t.Currency.Code(), As: Rate, Currency: t.Currency, Spread: t.Spread}
	if m.rates[t.Currency] != n {
		rate.Key += " in row " + strconv.Itoa(row(n))
		rate.Not = "a lot file has one rate for a currency: type that in row " + strconv.Itoa(row(m.rates[t.Currency])) + ", or what the bank took under settled"
	}
	l.take(m.paid, n, paidRate, rate)
}

// itemInputs are what items weigh in a sharing, and what their broken pieces are worth.
func (m *model) itemInputs(l *inputs) {
	made := len(m.st.Items)
	for i := range m.st.Items {
		item := m.st.Items[i].Item
		of := func(key string, as As, c money.Currency) Input {
			return Input{Key: "item " + item.ID + ": " + key, At: item.At, Way: keyed(key), As: as, Currency: c}
		}
		l.take(m.items, i, itemCount, of("count", Count, 0))
		weight := of("weight", Weight, 0)
		weight.Optional = true
		l.take(m.items, i, itemWeight, weight)
		value := of("value", Amount, cmp.Or(m.st.Haul.ValueOf(item).Currency(), m.st.Home))
		if value.Optional = true; !hasValue(item) {
			value.Not = "its value comes from what may become of it: change its chances in the lot file"
		}
		l.take(m.items, i, itemValue, value)
		value.Key, value.Not = "item "+item.ID+": values", "each of its pieces has a value of its own: change the list in the lot file"
		l.take(m.items, i, itemValues, value)
		if m.found.Table == nil || m.held || item.Found == nil {
			continue
		}
		l.take(m.found, i, foundValue, of("parts-value", Amount, item.PartsValue.Currency()))
		for k, y := range item.Found.Yields {
			made++
			yield := Input{Key: "item " + item.ID + ": yield " + strconv.Itoa(k+1), At: item.At, Currency: y.Value.Currency()}
			yield.Way = edit.Path{{Key: "found"}, {Key: "yields"}, {Index: k}, {Key: "value"}}
			l.take(m.found, made-1, foundValue, yield)
		}
	}
}

// hasValue reports whether the value of an item is one that its file says, or may say.
func hasValue(item *landed.Item) bool {
	return len(item.Chances) == 0 || item.Value.Currency() != 0 && !item.Spread
}

// inputs are those of a workbook of prices.
func (p *prices) inputs() *inputs {
	l := &inputs{haul: p.r.Statement.Haul}
	usual := p.r.Venues[p.r.At].Name
	for k, venue := range p.order {
		for i := range p.r.Offers {
			n, o := k*len(p.r.Offers)+i, &p.r.Offers[i]
			q, item, at := &o.Quotes[venue], o.ItemCost.Item, " at "+p.r.Venues[venue].Name
			name := "item " + o.ID + ", " + o.State.String()
			l.take(p.prices, n, priceCost, Input{Key: name + ": cost" + at, Paid: true, Not: "what a piece costs follows from what was paid: change that in the workbook of split, or in the lot file"})
			price := Input{Key: "item " + o.ID + ": value", At: item.At, Way: keyed("value"), Currency: item.Value.Currency()}
			switch {
			case venue != p.r.At:
				price.Key, price.Not = name+": price"+at, "a lot file has one value for a piece: type it at "+usual+", the usual venue"
			case o.State != landed.Sound || !hasValue(item) || len(item.Further) > 0 || q.Expected == nil || q.Expected.Price != item.Value:
				price.Key, price.Not = name+": price"+at, "this price is not what the lot file has as the value of one piece: change that there"
			}
			l.take(p.prices, n, priceAt, price)
			l.take(p.prices, n, priceCharged, Input{Key: name + ": postage charged" + at, Not: "postage follows from the section selling: change it in the lot file"})
			l.take(p.prices, n, priceSending, Input{Key: name + ": sending" + at, Not: "postage follows from the section selling: change it in the lot file"})
		}
	}
	p.feeInputs(l)
	return l
}

// feeInputs are the fees of all venues.
func (p *prices) feeInputs(l *inputs) {
	n := 0
	for v := range p.r.Venues {
		venue := &p.r.Venues[v]
		for f := range venue.Fees {
			fee := &venue.Fees[f]
			bands := max(len(fee.Bands), 1)
			simple := bands == 1 && (len(fee.Bands) == 0 || fee.Bands[0].From.Sign() == 0 && fee.Bands[0].UpTo.Currency() == 0)
			for b := range bands {
				of := func(key string, as As, way ...edit.Step) Input {
					in := Input{Key: "fee " + strconv.Itoa(f+1) + " at " + venue.Name + ": " + key, As: as, Currency: venue.Currency, Optional: as == Amount}
					in.Way = append(edit.Path{{Key: "selling"}, {Key: "venues"}, {ID: venue.Name}, {Key: "fees"}, {Index: f}}, way...)
					return in
				}
				tier := func(key string, as As) Input {
					return of("tier "+strconv.Itoa(b+1)+" "+key, as, edit.Step{Key: "tiers"}, edit.Step{Index: b}, edit.Step{Key: key})
				}
				from, upTo, rate := tier("from", Amount), tier("up-to", Amount), tier("rate", Part)
				if simple {
					from.Not, rate = "this fee has one rate for all prices: write its tiers in the lot file", of("percent", Part, edit.Step{Key: "percent"})
					upTo.Not = from.Not
				}
				l.take(p.fees, n, feeFrom, from)
				l.take(p.fees, n, feeUpTo, upTo)
				l.take(p.fees, n, feeRate, rate)
				for i, key := range []string{"fixed", "floor", "cap"} {
					l.take(p.fees, n, feeFixed+i, of(key, Amount, edit.Step{Key: key}))
				}
				n++
			}
		}
	}
}
