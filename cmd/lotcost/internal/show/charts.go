package show

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// The charts of pages that are about cost. What a chart says in words is what is seen in it.

// printed prints minor units of a currency beside a chart, without cents where there are none.
func printed(c money.Currency) func(int64) string {
	return func(at int64) string {
		text := money.New(at, c).Number()
		if whole, cents, _ := strings.Cut(text, "."); strings.Trim(cents, "0") == "" {
			return whole
		}
		return text
	}
}

// part is an amount as a part of another, such as "47.3%"; "" of nothing.
func part(of, whole money.Amount) string {
	if whole.Sign() == 0 {
		return ""
	}
	return percent(ratio(of.Minor(), whole.Minor()))
}

// stepsChart is the way from the price to the total cost, a step for each kind of cost; nothing
// where there is none.
func stepsChart(home money.Currency, total money.Amount, kinds []landed.Kind, sumOf func(landed.Kind) money.Amount, adds bool) []sheet.Block {
	if len(kinds) == 0 {
		return nil
	}
	bars := &sheet.Bars{Axis: sheet.Axis{What: home.Code(), Print: printed(home)}}
	figures := &sheet.Table{Topic: "steps", Columns: []sheet.Column{{Head: "kind", Key: "kind"}, {Head: home.Code(), Key: "home", Align: sheet.Right}, {Head: "part of it", Key: "part", Align: sheet.Right}}}
	at, beyond := int64(0), int64(0)
	most, greatest := money.New(0, home), landed.Price
	for _, k := range kinds {
		sum := sumOf(k)
		next := at + sum.Minor()
		bars.Rows = append(bars.Rows, sheet.BarRow{Label: k.String(), Figure: sum.Number(), Parts: []sheet.Part{{From: at, To: next, Ink: sheet.Ink(k), What: fmt.Sprintf("%s %s", k, sum)}}})
		figures.Add(k, sum, part(sum, total))
		if at = next; k == landed.Price {
			continue
		}
		if beyond += sum.Minor(); sum.Cmp(most) > 0 {
			most, greatest = sum, k
		}
	}
	name := sheet.Either(adds, "it adds", "total cost")
	bars.Rows = append(bars.Rows, sheet.BarRow{Label: name, Figure: total.Number(), Strong: true, Parts: []sheet.Part{{From: 0, To: total.Minor(), Ink: sheet.Quiet, What: name + " " + total.String()}}})
	figures.AddSum(name, total, nil)
	return []sheet.Block{&sheet.Chart{Title: "From the price to the total cost", Says: stepsWords(total, money.New(beyond, home), most, greatest), Drawing: bars, Figures: figures}}
}

func stepsWords(total, beyond, most money.Amount, greatest landed.Kind) string {
	switch {
	case beyond.Sign() == 0 || total.Sign() <= 0:
		return fmt.Sprintf("All of the %s is the price.", total)
	case most.Sign() == 0:
		return fmt.Sprintf("What is not the price comes to %s of %s.", beyond, total)
	}
	return fmt.Sprintf("%s (%s) of it is not the price; the greatest part of that is %s, %s.", beyond, part(beyond, total), greatest, most)
}

// mostBars is how many bars a chart of pieces has.
const mostBars = 40

// pieceBar is a piece in a chart.
type pieceBar struct {
	id, name string
	item     *landed.ItemCost
	group    landed.Group
	even     money.Amount // break-even, in home; no currency where it is not known
	value    money.Amount // likewise
}

// costBars are the dearest piece of each item and state.
func costBars(st *landed.Statement) []pieceBar {
	var bars []pieceBar
	for i := range st.Items {
		item, seen := &st.Items[i], -1
		for _, g := range item.AppendGroups(nil) {
			if g.State == landed.Dead || int(g.State) == seen && g.What == "" {
				continue
			}
			seen = int(g.State)
			b := pieceBar{id: item.ID, name: inState(item.ID, g.State, g.What), item: item, group: g}
			if value := st.Haul.ValueOf(item.Item); g.State == landed.Sound && value.Currency() != 0 {
				b.value, _ = st.Haul.Exchange().Value(value, st.Home) // without a rate there is no dot
			}
			bars = append(bars, b)
		}
	}
	return bars
}

// piecesChart is what a piece costs, a bar for each by kind of cost.
func piecesChart(st *landed.Statement, bars []pieceBar, evens string) []sheet.Block {
	all := len(bars)
	if all == 0 {
		return nil
	}
	if all > mostBars {
		slices.SortStableFunc(bars, func(a, b pieceBar) int { return b.group.Each.Cmp(a.group.Each) })
		bars = bars[:mostBars]
	}
	kinds := live.Kinds(st)
	c := &sheet.Chart{Title: "What a piece costs, by kind", Figures: piecesFigures(st, kinds, bars)}
	drawing := &sheet.Bars{Axis: sheet.Axis{What: st.Home.Code() + " a piece", Print: printed(st.Home)}}
	valued := false
	for _, b := range bars {
		drawing.Rows = append(drawing.Rows, b.row(kinds))
		valued = valued || b.value.Currency() != 0
	}
	c.Legend = sheet.Each(kinds, func(k *landed.Kind) sheet.Key { return sheet.Key{Ink: sheet.Ink(*k), What: k.String()} })
	c.Drawing, c.Says = drawing, piecesWords(bars, all)
	if valued {
		c.Says += " A ring marks what a piece should sell for"
		if evens != "" {
			c.Says += ", a stroke its break-even " + evens
		}
		c.Says += "."
	}
	return []sheet.Block{c}
}

func (b *pieceBar) row(kinds []landed.Kind) sheet.BarRow {
	row := sheet.BarRow{Label: b.name, Figure: b.group.Each.Number()}
	if b.item.What != "" {
		row.Label += ", " + b.item.What
	}
	n, at, below := max(b.group.Count, 1), int64(0), int64(0)
	for _, k := range kinds { // refunds are drawn to the left of nothing
		share := b.group.Share(k)
		from := sheet.Either(share.Sign() < 0, &below, &at)
		if share.Sign() != 0 {
			to := *from + share.Minor()
			row.Parts = append(row.Parts, sheet.Part{From: *from / n, To: to / n, Ink: sheet.Ink(k), What: fmt.Sprintf("%s: %s", b.name, k)})
			*from = to
		}
	}
	if b.even.Currency() != 0 {
		row.Marks = append(row.Marks, sheet.Mark{At: b.even.Minor(), Kind: sheet.Tick, What: b.name + ": break-even at " + b.even.String()})
	}
	if b.value.Currency() != 0 {
		row.Marks = append(row.Marks, sheet.Mark{At: b.value.Minor(), Kind: sheet.Dot, What: b.name + ": value " + b.value.String()})
	}
	return row
}

// tooDear reports whether a piece costs, or must bring, more than it should sell for.
func (b *pieceBar) tooDear() bool {
	least := sheet.Either(b.even.Currency() != 0, b.even, b.group.Each)
	return b.value.Currency() != 0 && least.Cmp(b.value) > 0
}

func piecesWords(bars []pieceBar, all int) string {
	most := slices.MaxFunc(bars, func(a, b pieceBar) int { return a.group.Each.Cmp(b.group.Each) })
	text := fmt.Sprintf("The dearest piece is %s, %s.", most.name, most.group.Each)
	if all > len(bars) {
		text = fmt.Sprintf("The %d dearest of %d. ", len(bars), all) + text
	}
	var dear []string
	for b := range sheet.All(bars) {
		if b.tooDear() {
			dear = append(dear, b.name)
		}
	}
	text += sheet.Either(len(dear) > 0, " Not paid for by what it should sell for: "+firstOf(dear)+".", "")
	return text
}

// piecesFigures are the figures of the bars.
func piecesFigures(st *landed.Statement, kinds []landed.Kind, bars []pieceBar) *sheet.Table {
	t := &sheet.Table{Topic: "a-piece", Columns: []sheet.Column{{Head: "item"}, {Head: "pieces", Key: "count", Align: sheet.Right}, {Head: "each, " + st.Home.Code(), Key: "each", Align: sheet.Right},
		{Head: "break-even", Key: "even", Align: sheet.Right}, {Head: "value", Key: "value", Align: sheet.Right}}}
	for _, k := range kinds {
		t.Columns = append(t.Columns, sheet.Column{Head: k.String() + " of all", Key: k.String(), Align: sheet.Right})
	}
	for _, b := range bars {
		cells := []any{b.name, b.group.Count, sheet.Bold(b.group.Each), b.even, b.value}
		for _, k := range kinds {
			cells = append(cells, b.group.Share(k))
		}
		t.Add(cells...)
	}
	return t.WithoutEmpty("even", "value")
}

// costCharts are the haul at a glance and its charts.
func costCharts(st *landed.Statement) sheet.PageOnly {
	return func() []sheet.Block {
		return slices.Concat([]sheet.Block{costGlance(st)}, stepsChart(st.Home, st.Total, live.Kinds(st), st.Sum, false), piecesChart(st, costBars(st), ""))
	}
}

func costGlance(st *landed.Statement) sheet.Glance {
	ofIt := func(sum money.Amount) string {
		if sum.Sign() == 0 {
			return ""
		}
		return sum.String() + then(", ", part(sum, st.Total))
	}
	var g sheet.Glance // what all cost the answer says
	g.Add("of it price", ofIt(st.Sum(landed.Price)))
	g.Add("of it freight", ofIt(st.Sum(landed.Freight)))
	g.Add("of it duty and tax", ofIt(money.New(st.Sum(landed.Duty).Minor()+st.Sum(landed.Tax).Minor(), st.Home)))
	g.Add("of it written off", asked(unlessNone(st.Loss)))
	g.Add("pieces", pieceWords(st))
	g.Add("way", wayOf(st.Haul))
	g.Add("bought", day(st.Haul.Date))
	return g
}

// wayOf is from where to where a haul goes; "" where that is not known.
func wayOf(h *landed.Haul) string {
	return sheet.Either(h.From == "" || h.To == "", "", h.From+" to "+h.To)
}

// priceCharts are what each piece costs beside what it must bring and should.
func priceCharts(r *doubles.Result) sheet.PageOnly {
	return func() []sheet.Block {
		bars := costBars(r.Statement)
		for o := range sheet.All(r.Offers) {
			even := r.Quote(o).BreakEven
			if even.Err != nil || even.Price.Currency() != r.Statement.Home || r.CarryAll {
				continue
			}
			for b := range sheet.All(bars) {
				if b.id == o.ID && b.group.State == o.State && (o.State != landed.Made || b.group.What == o.What) {
					b.even = even.Price
				}
			}
		}
		return append([]sheet.Block{priceGlance(r)}, piecesChart(r.Statement, bars, "at "+at(r))...)
	}
}

func priceGlance(r *doubles.Result) sheet.Glance {
	g := sheet.Glance{{"total cost", r.Statement.Total.String()}}
	n, cost := offered(r)
	g.Add("to sell", sheet.Either(n > 0, fmt.Sprintf("%s that cost %s", Plural(n, "piece"), cost), ""))
	g.Add("sold so far", sheet.Either(len(r.Sold) > 0, r.Kept.Sold.String(), ""))
	g.Add("the kept ones cost, after sales", sheet.Either(len(r.Kept.Items) > 0, r.Kept.Net.String(), ""))
	return g
}

// boxesChart is each parcel of a way by its billed weight, against the steps of its service.
func boxesChart(w *together.Way) []sheet.Block {
	c := &sheet.Chart{Title: "The parcels against the steps of their services"}
	bars := &sheet.Bars{Axis: sheet.Axis{What: "g, billed", Unit: 1}}
	c.Figures = &sheet.Table{Topic: "boxes", Columns: []sheet.Column{{Head: "parcel", Key: "parcel"}, {Head: "service", Key: "service"}, {Head: "billed", Key: "billed", Align: sheet.Decimal}, {Head: "up to the next step", Key: "room", Align: sheet.Decimal}}}
	var words []string
	for s := range sheet.All(w.Parcels) {
		billed, steps := grams(s.Quote.Billed), weightSteps(s.Quote.Service, s.Quote.Billed)
		row := sheet.BarRow{Label: fmt.Sprintf("%s: %s", s.Parcel.ID, strings.Join(s.Parcel.Lots, ", ")), Figure: shortWeight(s.Quote.Billed).String(), Parts: []sheet.Part{{To: billed, Ink: sheet.Gain, What: s.Parcel.ID + ": " + s.Quote.Billed.String() + " billed, by " + s.Quote.Service.Name}}}
		room := sheet.Cell{}
		for _, up := range steps {
			row.Marks = append(row.Marks, sheet.Mark{At: grams(up), Kind: sheet.Tick, What: "up to " + up.String()})
			if up >= s.Quote.Billed && room.Text == "" {
				left := up - s.Quote.Billed
				room.Text = left.String()
				words = append(words, fmt.Sprintf("parcel %s by %s is %s below the end of its step, %s", s.Parcel.ID, s.Quote.Service.Name, left, up))
			}
		}
		bars.Rows = append(bars.Rows, row)
		c.Figures.Add(s.Parcel.ID, s.Quote.Service.Name, weightCell(s.Quote.Billed), room)
	}
	if len(bars.Rows) == 0 {
		return nil
	}
	c.Drawing, c.Says = bars, "Strokes mark where the next step of a service begins."
	if len(words) > 0 {
		c.Says = sheet.Upper(firstOf(words)) + ". " + c.Says
	}
	return []sheet.Block{c}
}

func grams(w measure.Weight) int64 { return int64(w / measure.Gram) }

// weightSteps are the steps of a service up to a little above a weight. Of one with several zones
// they are those of the first that has such a step.
func weightSteps(s *freight.Service, billed measure.Weight) []measure.Weight {
	for _, z := range s.Zones {
		steps := sheet.Each(z.Steps, func(s *money.Step[measure.Weight]) measure.Weight { return s.UpTo })
		last := slices.Max(steps)
		for z.Further.UpTo > 0 && last < billed && len(steps) < 1000 {
			last += z.Further.UpTo
			steps = append(steps, last)
		}
		slices.Sort(steps)
		if at, _ := slices.BinarySearch(steps, billed); at < len(steps) {
			const around = 3 // so many on each side are drawn
			return steps[max(at-around, 0):min(at+2, len(steps))]
		}
	}
	return nil
}

// wayParts are the parts of what a way costs, in their order.
var wayParts = []sheet.Key{{Ink: sheet.Ink(landed.Price), What: "prices and other charges"}, {Ink: sheet.Ink(landed.Freight), What: "freight"},
	{Ink: sheet.Ink(landed.Insurance), What: "insurance"}, {Ink: sheet.Ink(landed.Fee), What: "fees"}, {Ink: sheet.Ink(landed.Tax), What: "border"}}

// waysChart sets the three ways to send a haul beside each other.
func waysChart(r *together.Report) []sheet.Block {
	bars := &sheet.Bars{Axis: sheet.Axis{What: r.Best.Statement.Home.Code(), Print: printed(r.Best.Statement.Home)}}
	for _, w := range []*together.Way{&r.Apart, &r.One, &r.Best} {
		if w.Statement == nil {
			continue
		}
		row, at := sheet.BarRow{Label: wayName(w.Name), Figure: w.Total.Number(), Strong: w == &r.Best}, int64(0)
		for n, sum := range []money.Amount{w.Other, w.Freight, w.Insurance, w.Fees, w.Border} {
			if of := wayParts[n]; sum.Sign() > 0 {
				row.Parts = append(row.Parts, sheet.Part{From: at, To: at + sum.Minor(), Ink: of.Ink, What: of.What + " " + sum.String()})
				at += sum.Minor()
			}
		}
		bars.Rows = append(bars.Rows, row)
	}
	if len(bars.Rows) < 2 {
		return nil
	}
	legend := slices.DeleteFunc(slices.Clone(wayParts), func(k sheet.Key) bool {
		return !slices.ContainsFunc(bars.Rows, func(row sheet.BarRow) bool {
			return slices.ContainsFunc(row.Parts, func(p sheet.Part) bool { return p.Ink == k.Ink })
		})
	})
	figures := wayTable(r)
	figures.Rows = slices.Clone(figures.Rows[:slices.IndexFunc(figures.Rows, func(row sheet.Row) bool { return row.Kind == sheet.Group })])
	return []sheet.Block{&sheet.Chart{Title: "Apart, in one box, or the best way", Says: planAnswer(r) + ".", Drawing: bars, Legend: legend, Figures: figures}}
}

// planCharts are the ways beside each other, and the parcels of the best.
func planCharts(r *together.Report) sheet.PageOnly {
	return func() []sheet.Block {
		glance := sheet.Glance{{"total cost" + then(" ", withoutOpen(r.Best.Statement)), r.Best.Total.String()}, {"parcels", fmt.Sprint(len(r.Best.Parcels))}}
		glance.Add("saved against apart", asked(r.Best.Saving))
		return slices.Concat([]sheet.Block{glance}, waysChart(r), boxesChart(&r.Best))
	}
}
