package show

import (
	"fmt"
	"math"
	"strconv"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"
)

// mostMonths is how many months are drawn; years are where there are more.
const mostMonths = 36

// periodsChart is what was bought and sold in each month, and what was then tied up.
func periodsChart(r *book.Result) []sheet.Block {
	periods := r.Months
	if len(periods) == 0 || len(periods) > mostMonths {
		periods = r.Years
	}
	if len(periods) == 0 {
		return nil
	}
	const wide = 12 // of the axis, for each period
	name := func(at int64) string { return periodName(&periods[min(max(at/wide, 0), int64(len(periods)-1))]) }
	plot := &sheet.Plot{X: sheet.Axis{What: "month", Unit: wide, Print: name, Names: true}, Y: sheet.Axis{What: r.Home.Code(), Print: printed(r.Home)}}
	if periods[0].Month == 0 {
		plot.X.What = "year"
	}
	var tied, profits []sheet.Point
	for i := range periods {
		p, at := &periods[i], int64(i*wide)
		for n, c := range []struct {
			ink  sheet.Ink
			what string
			sum  int64
		}{{boughtInk, "bought", p.Bought.Minor()}, {soldInk, "proceeds", p.Proceeds().Minor()}} {
			if c.sum != 0 {
				plot.Columns = append(plot.Columns, sheet.PlotColumn{From: at + 2 + int64(n)*4, To: at + 5 + int64(n)*4, Y: c.sum, Ink: c.ink, What: fmt.Sprintf("%s: %s %s", periodName(p), c.what, printed(r.Home)(c.sum))})
			}
		}
		tied = append(tied, sheet.Point{X: at + wide/2, Y: p.End.Minor()})
		profits = append(profits, sheet.Point{X: at + wide/2, Y: p.Profit().Minor()})
	}
	plot.Columns = append(plot.Columns, sheet.PlotColumn{From: 0, To: int64(len(periods) * wide), Ink: sheet.Quiet})
	plot.Lines = []sheet.Line{{Points: tied}, {Points: profits, Thin: true}}
	last := &periods[len(periods)-1]
	says := fmt.Sprintf("The thick line is what the stock cost at the end of each %s, %s at the end of %s; the thin one is the profit.", plot.X.What, last.End, periodName(last))
	if len(periods) == 1 { // which makes no line
		says = fmt.Sprintf("The stock cost %s at the end of %s; the profit was %s.", last.End, periodName(last), last.Profit())
	}
	figures := periodTable(r.Home, periods)
	figures.Topic = "periods"
	return []sheet.Block{&sheet.Chart{Title: "What is tied up", Drawing: plot, Figures: figures, Says: says,
		Legend: []sheet.Key{{Ink: boughtInk, What: "bought"}, {Ink: soldInk, What: "sold, what buyers paid"}}}}
}

// The inks of what is not a kind of cost.
const (
	boughtInk = sheet.Quiet
	soldInk   = sheet.Gain
)

// whole is a sure thing, in millionths.
const whole = 1_000_000

// saidChart sets how often pieces came sound beside the chance that was said.
func saidChart(g *book.Guesses) []sheet.Block {
	if g.Pieces == 0 {
		return nil
	}
	plot := &sheet.Plot{X: sheet.Axis{What: "said", Print: inPercent}, Y: sheet.Axis{What: "were sound", Print: inPercent},
		Lines: []sheet.Line{{Thin: true, Points: []sheet.Point{{}, {X: whole, Y: whole}}}}}
	figures := saidTable(g)
	figures.Topic = "said"
	figures.Columns = append(figures.Columns, sheet.Column{Head: "likely from", Key: "from", Align: sheet.Right}, sheet.Column{Head: "to", Key: "to", Align: sheet.Right})
	for i := range g.ByChance {
		s := &g.ByChance[i]
		low, high := interval(s.Came, s.Pieces)
		p := sheet.Point{X: millionths(s.Mean), Y: millionths(ratio(s.Came, s.Pieces)), Low: low, High: high,
			What: fmt.Sprintf("said %s: %d of %d were sound", percent(s.Mean), s.Came, s.Pieces)}
		if s.Pieces < 100 {
			p.Number = int(s.Pieces)
		}
		plot.Points = append(plot.Points, p)
		figures.Rows[i].Cells = append(figures.Rows[i].Cells, sheet.Cell{Text: inPercent(low)}, sheet.Cell{Text: inPercent(high)})
	}
	says := guessText(g) + " Above the thin line more were sound than was said, below it fewer; in each ring is the number of pieces, and its stroke is where the true share likely lies (90%)."
	return []sheet.Block{&sheet.Chart{Title: "What was said, and what came", Says: says, Drawing: plot, Figures: figures}}
}

// interval is where, in millionths, the chance of what came so often lies with 90 %:
// that of E. B. Wilson (J. Amer. Statist. Assoc. 22 (1927) 209; from memory). It is drawn, and
// nothing is worked out from it.
func interval(came, of int64) (low, high int64) {
	const z = 1.6449
	n, p := float64(of), float64(came)/float64(of)
	middle, off := p+z*z/(2*n), z*math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	at := func(x float64) int64 { return int64(math.Round(whole * min(max(x/(1+z*z/n), 0), 1))) }
	return at(middle - off), at(middle + off)
}

// doublesChart is the models with more than is wanted: what is, and what is more.
func doublesChart(r *book.Result) []sheet.Block {
	bars := &sheet.Bars{Axis: sheet.Axis{What: "sound pieces on hand", Unit: 1, Print: func(n int64) string { return strconv.FormatInt(n, 10) }}}
	most := &r.Doubles[0]
	for d := range sheet.All(r.Doubles) {
		if d.Extra > most.Extra {
			most = d
		}
		kept := d.OnHand - d.Extra
		bars.Rows = append(bars.Rows, sheet.BarRow{Label: d.Model, Figure: Plural(d.Extra, "piece") + " to sell", Parts: []sheet.Part{
			{To: kept, Ink: sheet.Quiet, What: Plural(kept, "piece") + " wanted"}, {From: kept, To: d.OnHand, Ink: sheet.Gain, What: Plural(d.Extra, "piece") + " more"}}})
	}
	return []sheet.Block{&sheet.Chart{Title: "What is double", Says: fmt.Sprintf("There is most of %s: %d on hand, %d of them more than is wanted.", most.Model, most.OnHand, most.Extra), Drawing: bars,
		Legend: []sheet.Key{{Ink: sheet.Quiet, What: "wanted"}, {Ink: sheet.Gain, What: "more than wanted"}}}}
}

// bookGlance is the book in a few figures.
func bookGlance(r *book.Result) sheet.Glance {
	g := sheet.Glance{{"hauls", strconv.Itoa(r.Hauls)}, {"on hand", Plural(onHand(r), "piece")}, {"they cost", r.Total.String()}}
	if n := len(r.Years); n > 0 {
		g.Add("profit of "+periodName(&r.Years[n-1]), r.Years[n-1].Profit().String())
	}
	g.Add("more than wanted", sheet.Either(extra(r) > 0, Plural(extra(r), "piece"), ""))
	return g
}
