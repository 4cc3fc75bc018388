package sheet

import (
	"cmp"
	_ "embed"
	"fmt"
	"html"
	"math"
	"slices"
	"strings"
)

// A drawing is as wide as there is room and its text as large as all other: what lies across is in
// percent, what lies upwards in pixels. Figures are whole numbers of their own unit; only where ink
// goes is worked out in floating point.

// canvas collects the shapes of a drawing.
type canvas struct {
	strings.Builder
	height    int
	low, high int64 // what the width stands for
	marks     marks
}

// set is a text as it is shown.
func (v *canvas) set(s string, all bool) string { return typeset(v.marks.of(s), all) }

// What is left free at both sides, in percent, so that marks at the ends are whole.
const left, right = 0.2, 98.5

// x is where a figure lies, in percent.
func (v *canvas) x(at int64) float64 {
	if v.high == v.low {
		return left
	}
	return left + (right-left)*(float64(at)-float64(v.low))/(float64(v.high)-float64(v.low))
}

func pc(x float64) string { return trimZeros(fmt.Sprintf("%.3f", x)) + "%" }

func px(y float64) string { return trimZeros(fmt.Sprintf("%.2f", y)) }

func trimZeros(s string) string { return strings.TrimSuffix(strings.TrimRight(s, "0"), ".") }

// inked is a rectangle in a colour with its pattern over it.
func inked(ink Ink, where string) string {
	return fmt.Sprintf(`<rect class="k%d" %s/><rect class="pt" fill="url(#p%d)" %s/>`, ink, where, ink, where)
}

// rect draws from one figure to another; said is shown where the reader points.
func (v *canvas) rect(from, to int64, y, height float64, ink Ink, said string) {
	a, b := v.x(min(from, to)), v.x(max(from, to))
	where := fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"`, pc(a), px(y), pc(max(b-a, 0.15)), px(height))
	fmt.Fprintf(v, "<g>%s<title>%s</title></g>\n", inked(ink, where), html.EscapeString(v.set(said, false)))
}

// label writes text at a place, so that it does not leave the drawing.
func (v *canvas) label(x, y float64, class, text string) {
	anchor := "middle"
	if x < 14 {
		anchor = "start"
	} else if x > 86 {
		anchor = "end"
	}
	v.words(x, y, anchor, class, text)
}

func (v *canvas) words(x, y float64, anchor, class, text string) {
	fmt.Fprintf(v, `<text x="%s" y="%s" text-anchor="%s" class="%s">%s</text>`+"\n", pc(x), px(y), anchor, class, html.EscapeString(text))
}

func (v *canvas) line(x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(v, `<line x1="%s" y1="%s" x2="%s" y2="%s" class="%s"/>`+"\n", pc(x1), px(y1), pc(x2), px(y2), class)
}

// Axis is what lies along one side of a drawing.
type Axis struct {
	What  string             // with its unit, such as "total cost, CAD"
	Print func(int64) string // a figure in words
	Unit  int64              // ticks lie on multiples of it; 0 is 1
	Names bool               // these words are names, as of years, and no figures
}

// printed is a figure of the axis in words.
func (a *Axis) printed(at int64) string {
	if a.Print == nil {
		return fmt.Sprint(at)
	}
	return a.Print(at)
}

// ticks are round figures between two, at most so many and a few.
func (a *Axis) ticks(low, high int64, most int) []int64 {
	unit := float64(max(a.Unit, 1))
	span := (float64(high) - float64(low)) / unit
	if span <= 0 {
		return []int64{low}
	}
	step := math.Pow(10, math.Floor(math.Log10(span)))
	for _, part := range []float64{0.1, 0.2, 0.25, 0.5, 1, 2, 5} {
		if s := step * part; s >= 1 && s == math.Trunc(s) && span/s <= float64(most) {
			step = s
			break
		}
	}
	step = max(step, 1) * unit
	var list []int64
	for at := math.Ceil(float64(low)/step) * step; at <= float64(high); at += step {
		list = append(list, int64(at))
	}
	return list
}

// Bars is a bar for each row, parts of it one behind the other.
type Bars struct {
	Rows []BarRow
	Axis Axis
	all  []BarRow // of which Rows are some, on one axis; nil where they are all
}

// BarRow is one bar.
type BarRow struct {
	Label, Figure string // at the left and at the right above it
	Parts         []Part
	Marks         []Mark
	Strong        bool // as a sum
}

// Part is a part of a bar, from one figure to another.
type Part struct {
	From, To int64
	Ink      Ink
	What     string // said where the reader points
}

// Mark is a figure beside those of a bar.
type Mark struct {
	At   int64
	Kind MarkKind
	What string // said where the reader points
}

// MarkKind is the shape of a mark.
type MarkKind int

// The shapes of marks.
const (
	Tick MarkKind = iota // a line across the bar
	Dot                  // a ring on it
)

const (
	barRow    = 40 // px from a row to the next
	barHeight = 13
	axisRoom  = 36
)

// mostRows is how many bars a printed page has room for, with what stands above them.
const mostRows = 20

// inParts are bars of which each part fits on a page, with an axis of its own.
func (b *Bars) inParts() []Drawing {
	var list []Drawing
	n := (len(b.Rows) + mostRows - 1) / mostRows
	for rows := range slices.Chunk(b.Rows, (len(b.Rows)+n-1)/max(n, 1)) {
		list = append(list, &Bars{Rows: rows, Axis: b.Axis, all: b.Rows})
	}
	return list
}

// extent is the least and the greatest figure, with zero.
func (b *Bars) extent() (low, high int64) {
	rows := Either(b.all != nil, b.all, b.Rows)
	for _, r := range rows {
		for _, p := range r.Parts {
			low, high = min(low, p.From, p.To), max(high, p.From, p.To)
		}
		for _, m := range r.Marks {
			low, high = min(low, m.At), max(high, m.At)
		}
	}
	return low, high
}

// longestLabel is how many cells of a label are drawn.
const longestLabel = 30

func short(s string, room int) string {
	s = strings.ReplaceAll(Visible(s), "\n", " ")
	if Cells(s) <= room {
		return s
	}
	return strings.TrimRight(truncate(s, room-1), " ") + "…"
}

func (b *Bars) draw(v *canvas) {
	v.low, v.high = b.extent()
	bottom := float64(len(b.Rows) * barRow)
	v.height = len(b.Rows)*barRow + axisRoom
	for _, at := range b.Axis.ticks(v.low, v.high, 4) {
		class := Either(at == 0, "zero", "grid")
		v.line(v.x(at), 0, v.x(at), bottom, class)
		v.label(v.x(at), bottom+14, "small", v.set(b.Axis.printed(at), true))
	}
	v.words(right, bottom+31, "end", "small", Visible(v.marks.of(b.Axis.What)))
	for i, r := range b.Rows {
		v.barRow(&r, float64(i*barRow))
	}
}

func (v *canvas) barRow(r *BarRow, top float64) {
	class := "label" + Either(r.Strong, " strong", "")
	room := longestLabel - max(Cells(r.Figure)-10, 0)
	v.words(left, top+14, "start", class, short(r.Label, max(room, 8)))
	v.words(100, top+14, "end", class+" n", v.set(r.Figure, true))
	y := top + 19
	for _, p := range r.Parts {
		v.rect(p.From, p.To, y, barHeight, p.Ink, p.What)
	}
	for _, m := range r.Marks {
		said := html.EscapeString(v.set(m.What, false))
		if m.Kind == Dot {
			fmt.Fprintf(v, `<circle class="dot" cx="%s" cy="%s" r="4.5"><title>%s</title></circle>`+"\n", pc(v.x(m.At)), px(y+barHeight/2.0), said)
			continue
		}
		x := pc(v.x(m.At))
		fmt.Fprintf(v, `<g><line class="halo" x1="%s" x2="%s" y1="%s" y2="%s"/><line class="tick" x1="%s" x2="%s" y1="%s" y2="%s"/><title>%s</title></g>`+"\n", x, x, px(y-3), px(y+barHeight+3), x, x, px(y-3), px(y+barHeight+3), said)
	}
}

// Plot is figures over figures: bands under lines, columns, rules and points.
type Plot struct {
	X, Y    Axis
	Bands   []Band
	Columns []PlotColumn
	Lines   []Line
	Rules   []Rule
	Points  []Point
	Low     *int64 // the least of Y that is drawn; nil for what there is
}

// Band is what lies between two lines.
type Band struct{ Low, High []Point }

// PlotColumn is a column from zero up to Y.
type PlotColumn struct {
	From, To, Y int64
	Ink         Ink
	What        string // said where the reader points
}

// Line is a line through points.
type Line struct {
	Points []Point
	Thin   bool
}

// Rule is an upright line across the drawing, at a figure of X.
type Rule struct {
	At   int64
	What string
}

// Point is a point of a line, or one by itself: with a number, an interval, both or none.
type Point struct {
	X, Y      int64
	Low, High int64 // of Y; both 0 for no interval
	Number    int   // shown in it; 0 for none
	What      string
}

const (
	plotTop    = 38 // px; what lies upwards and the words of rules stand above it
	plotHeight = 220
)

// extents are the least and the greatest figures both ways.
func (p *Plot) extents() (x0, x1, y0, y1 int64) {
	x0, x1, y0, y1 = math.MaxInt64, math.MinInt64, math.MaxInt64, math.MinInt64
	see := func(x, y int64) { x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y) }
	points := slices.Clone(p.Points)
	for _, b := range p.Bands {
		points = slices.Concat(points, b.Low, b.High)
	}
	for _, l := range p.Lines {
		points = append(points, l.Points...)
	}
	for _, c := range p.Columns {
		see(c.From, 0)
		see(c.To, c.Y)
	}
	for _, q := range points {
		see(q.X, q.Y)
		if q.Low != 0 || q.High != 0 {
			see(q.X, q.Low)
			see(q.X, q.High)
		}
	}
	for _, r := range p.Rules {
		x0, x1 = min(x0, r.At), max(x1, r.At)
	}
	if p.Low != nil {
		y0 = *p.Low
	}
	return x0, x1, y0, y1
}

func (p *Plot) draw(v *canvas) {
	v.height = plotTop + plotHeight + axisRoom
	x0, x1, y0, y1 := p.extents()
	if x0 > x1 || y0 > y1 {
		return
	}
	v.low, v.high = x0, x1
	bottom := float64(plotTop + plotHeight)
	y := func(at int64) float64 {
		if y1 == y0 {
			return bottom
		}
		return bottom - 6 - (plotHeight-12)*(float64(at)-float64(y0))/(float64(y1)-float64(y0))
	}
	v.grid(p, y, y0, y1, bottom)
	v.paths(p, y)
	for _, c := range p.Columns {
		v.rect(c.From, c.To, min(y(c.Y), y(0)), math.Abs(y(c.Y)-y(0)), c.Ink, c.What)
	}
	for _, r := range slices.SortedFunc(slices.Values(p.Rules), func(a, b Rule) int { return cmp.Compare(a.At, b.At) }) {
		v.line(v.x(r.At), plotTop-5, v.x(r.At), bottom, "rule")
		v.label(v.x(r.At), plotTop-9, "small onpaper rulename", v.set(r.What, false))
	}
	for _, q := range p.Points {
		v.point(q, y)
	}
}

// grid draws the axes.
func (v *canvas) grid(p *Plot, y func(int64) float64, y0, y1 int64, bottom float64) {
	for _, at := range p.Y.ticks(y0, y1, 5) {
		class := Either(at == 0, "zero", "grid")
		v.line(left, y(at), right, y(at), class)
		v.words(left, y(at)-3, "start", "small onpaper", v.set(p.Y.printed(at), true))
	}
	v.words(left, 11, "start", "small", Visible(v.marks.of(p.Y.What)))
	v.line(left, bottom, right, bottom, "zero")
	for _, at := range p.X.ticks(v.low, v.high, 4) {
		v.line(v.x(at), bottom, v.x(at), bottom+4, "zero")
		v.label(v.x(at), bottom+16, "small", v.set(p.X.printed(at), !p.X.Names))
	}
	v.words(right, bottom+32, "end", "small", Visible(v.marks.of(p.X.What)))
}

// paths draws what is not straight, in a box of its own that is stretched to the width.
func (v *canvas) paths(p *Plot, y func(int64) float64) {
	if len(p.Bands)+len(p.Lines) == 0 {
		return
	}
	fmt.Fprintf(v, `<svg x="0" y="0" width="100%%" height="%d" viewBox="0 0 1000 %d" preserveAspectRatio="none">`+"\n", v.height, v.height)
	at := func(points []Point) string {
		return strings.Join(Each(points, func(q *Point) string { return px(10*v.x(q.X)) + "," + px(y(q.Y)) }), " ")
	}
	for _, band := range p.Bands {
		low := slices.Clone(band.Low)
		slices.Reverse(low)
		fmt.Fprintf(v, `<polygon class="band" points="%s"/>`+"\n", at(slices.Concat(band.High, low)))
	}
	for _, l := range p.Lines {
		class := Either(l.Thin, "line thin", "line")
		fmt.Fprintf(v, `<polyline class="%s" points="%s"/>`+"\n", class, at(l.Points))
	}
	v.WriteString("</svg>\n")
}

func (v *canvas) point(q Point, y func(int64) float64) {
	x := pc(v.x(q.X))
	fmt.Fprintf(v, "<g><title>%s</title>", html.EscapeString(v.set(q.What, false)))
	if q.Low != 0 || q.High != 0 {
		fmt.Fprintf(v, `<line class="tick" x1="%s" x2="%s" y1="%s" y2="%s"/>`, x, x, px(y(q.Low)), px(y(q.High)))
	}
	if q.Number > 0 {
		fmt.Fprintf(v, `<circle class="number" cx="%s" cy="%s" r="9"/><text class="small" x="%s" y="%s" text-anchor="middle">%d</text>`, x, px(y(q.Y)), x, px(y(q.Y)+4), q.Number)
	} else {
		fmt.Fprintf(v, `<circle class="dot" cx="%s" cy="%s" r="4.5"/>`, x, px(y(q.Y)))
	}
	v.WriteString("</g>\n")
}

// Patterns are the patterns of inks, for once in each page before what [Sheet.WriteHTML] writes.
//
//go:embed patterns.svg
var Patterns string
