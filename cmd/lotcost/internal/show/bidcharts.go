package show

import (
	"fmt"
	"math/big"
	"slices"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/bid"
)

// bidCharts are the way from the price to the cost, and what a piece then costs.
func bidCharts(a *bid.Answer) sheet.PageOnly {
	return func() []sheet.Block {
		steps := stepsChart(a.Statement.Home, judged(a).Cost, live.Kinds(a.Statement, a.Before), a.Added, len(a.Beside) > 0)
		blocks := append([]sheet.Block{bidGlance(a)}, steps...)
		if a.Before == nil {
			blocks = append(blocks, piecesChart(a.Statement, costBars(a.Statement), "")...)
		}
		return blocks
	}
}

// bidGlance says what is bid for.
func bidGlance(a *bid.Answer) sheet.Glance {
	h := a.Statement.Haul
	var g sheet.Glance
	g.Add("haul", h.Title)
	for l := range sheet.All(h.Lots) {
		if l.ID == a.Lot {
			g.Add("lot", l.Title)
			g.Add("seller", l.Seller)
			g.Add("closes", closesCell(l.Closes).Text)
		}
	}
	g.Add("way", wayOf(h))
	g.Add("day", day(h.Date))
	return g
}

// ladderChart is what comes of each bid of a ladder.
func ladderChart(a *bid.Answer, points []bid.Point) []sheet.Block {
	if end := slices.IndexFunc(points, func(p bid.Point) bool { return a.Beyond(&p) }); end >= 0 {
		points = points[:end+1]
	}
	if len(points) < 2 {
		return nil
	}
	plot := &sheet.Plot{X: sheet.Axis{What: "bid, " + a.Bids.Code(), Print: printed(a.Bids)}, Y: sheet.Axis{What: "expected profit, " + a.Statement.Home.Code(), Print: printed(a.Statement.Home)}}
	var line, worst []sheet.Point
	for p := range sheet.All(points) {
		line = append(line, sheet.Point{X: p.Bid.Minor(), Y: p.Profit.Minor()})
		if w, err := a.Worst(p.Cost, worstPart); err == nil {
			worst = append(worst, sheet.Point{X: p.Bid.Minor(), Y: w.Minor()})
		}
	}
	plot.Bands, plot.Lines = []sheet.Band{{Low: worst, High: line}}, []sheet.Line{{Points: worst, Thin: true}, {Points: line}}
	c := &sheet.Chart{Title: "What comes of each bid", Drawing: plot, Figures: pointsTable(a, points)}
	if len(a.Ranges) > 0 {
		plot.Rules = append(plot.Rules, sheet.Rule{At: a.Best.Bid.Minor(), What: "up to " + a.Best.Bid.String()})
	}
	for cliff := range sheet.All(a.Cliffs) {
		at := slices.IndexFunc(points, func(p bid.Point) bool { return p.Bid == cliff.At.Bid })
		if at < 0 {
			continue
		}
		text := sheet.Upper(cliffText(cliff)) + "."
		c.Remarks = append(c.Remarks, text)
		plot.Points = append(plot.Points, sheet.Point{X: points[at].Bid.Minor(), Y: points[at].Profit.Minor(), Number: len(c.Remarks), What: text})
	}
	c.Says = ladderWords(a, points)
	return []sheet.Block{c}
}

func ladderWords(a *bid.Answer, points []bid.Point) string {
	first, last := &points[0], &points[len(points)-1]
	text := fmt.Sprintf("The thick line is the expected profit: %s at %s, %s at %s.", first.Profit, first.Bid, last.Profit, last.Bid)
	if i := slices.IndexFunc(points, func(p bid.Point) bool { return p.Profit.Sign() < 0 }); i >= 0 {
		text += fmt.Sprintf(" It falls below nothing at %s.", points[i].Bid)
	}
	text += " The thin one, at the lower end of the band, is the mean of the worst 5%."
	if len(a.Ranges) > 0 {
		text += fmt.Sprintf(" The goal is met up to %s.", a.Best.Bid)
	} else {
		text += " No bid meets the goal."
	}
	return text
}

// mayChart is what the pieces may bring, and what of it is a loss. Its figures are a table that
// stands on paper.
func mayChart(a *bid.Answer) *sheet.Chart {
	cost, home := judged(a).Cost, a.Statement.Home
	bins := a.Proceeds.Histogram(chartBins)
	plot := &sheet.Plot{X: sheet.Axis{What: "net proceeds, " + home.Code(), Print: printed(home)}, Y: sheet.Axis{What: "chance", Print: inPercent}, Low: new(int64)}
	plot.Rules = []sheet.Rule{{At: cost.Minor(), What: "cost " + cost.String()}}
	wide := int64(1)
	if n := len(bins); n > 0 {
		if wide = max((bins[n-1].To.Minor()-bins[0].From.Minor())/90, 1); n > 2 && bins[1].From != bins[1].To {
			wide = bins[1].To.Minor() - bins[1].From.Minor()
		}
	}
	for i, b := range bins {
		from, to, ink := b.From.Minor(), b.To.Minor(), sheet.Gain
		switch {
		case from == to: // one amount
			from, to = from-wide/2, to+wide/2
		case i == 0: // the ends take in all that lies beyond
			from = max(from, to-wide)
		case i == len(bins)-1:
			to = min(to, from+wide)
		}
		switch {
		case b.To.Cmp(cost) < 0:
			ink = sheet.Loss
		case b.From.Cmp(cost) < 0:
			ink = sheet.Quiet
		}
		plot.Columns = append(plot.Columns, sheet.PlotColumn{From: from, To: to, Y: millionths(b.Chance.Rat()), Ink: ink, What: binText(b) + " " + home.Code() + ": " + b.Chance.String()})
	}
	loss, _ := lossOf(a, judged(a))
	says := fmt.Sprintf("The chance of a loss, the columns left of the total cost, is %s. As likely as not it brings %s or more.", loss, a.Proceeds.Quantile(half))
	c := &sheet.Chart{Title: "What the pieces may bring", Says: says, Drawing: plot, Figures: chart(a), Legend: []sheet.Key{{Ink: sheet.Loss, What: "a loss"}, {Ink: sheet.Gain, What: "no loss"}}}
	if slices.ContainsFunc(plot.Columns, func(p sheet.PlotColumn) bool { return p.Ink == sheet.Quiet }) {
		c.Legend = append(c.Legend, sheet.Key{Ink: sheet.Quiet, What: "both: the cost lies in it"})
	}
	return c
}

// millionths is a fraction in millionths, for a drawing.
func millionths(r *big.Rat) int64 {
	n := new(big.Int).Mul(r.Num(), big.NewInt(1_000_000))
	return n.Div(n, r.Denom()).Int64()
}

func inPercent(at int64) string {
	text := big.NewRat(at, 10_000).FloatString(1)
	if text[len(text)-2:] == ".0" {
		text = text[:len(text)-2]
	}
	return text + "%"
}

// saleOf is what is read at the sale.
func saleOf(a *bid.Answer, points []bid.Point) *sheet.Sale {
	first := judged(a).Bid
	if !slices.ContainsFunc(points, func(p bid.Point) bool { return p.Bid == first }) {
		first = a.Best.Bid
	}
	s := &sheet.Sale{Bids: a.Bids.Code(), Home: a.Statement.Home.Code(), CostName: "total cost", First: first.Number()}
	if len(a.Beside) > 0 {
		s.CostName = "it adds"
	}
	for p := range sheet.All(points) {
		_, back := returnOf(a, p)
		_, loss := lossOf(a, p)
		s.Steps = append(s.Steps, sheet.SaleStep{p.Bid.Number(), p.Cost.Number(), p.Profit.Number(), back, loss, yesNo(p.Missing.Sign() == 0), p.Missing.Number()})
	}
	return s
}

// pointsTable is some bids and what comes of them.
func pointsTable(a *bid.Answer, points []bid.Point) *sheet.Table {
	t := ladderTable(a)
	t.Title, t.Topic, t.Rows = "", "ladder", nil
	for p := range sheet.All(points) {
		addPoint(t, a, p)
	}
	return t
}
