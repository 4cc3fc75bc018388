package live

import (
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
)

// Columns of the sheet working: those of each item, and those of a sharing as a whole, which
// stand in the row above its items.
const (
	workWhat = iota
	workItem
	workWeighs
	workHundreds
	workRest
	workWhole
	workLeft
	workEqual
	workShare
	workTotal
	workSum
	workOver
	workLeast
	workTies
	workExact
	workRow // its own number, of a row that stands above others
)

// working is the sheet of all sharings. Its rows are made as they are written.
type working struct {
	grid
	sections []section
	rows     int
	held     bool // the sharing added last stands as it is
}

// section is some rows, of which the first is at a row.
type section struct {
	at    int
	write func(at int, yield func(sheet.Row) bool) bool
}

func newWorking(digits int) *working {
	w := &working{}
	cents := minorName(digits)
	columns := append([]sheet.Column{{Head: "what is shared", Min: 24}, {Head: "item", Min: 12}}, figures("counts as", "hundreds", "left of hundreds", "whole "+cents, "left of the division",
		"equal ones so far", "share", cents+" to share", "all count as", cents+" over", "one more from what is left of", "of equal ones, so many")...)
	columns = append(columns, sheet.Column{Head: "exact to the last " + strings.TrimSuffix(cents, "s"), Min: 12}, sheet.Column{Head: orderHead, Align: sheet.Right, Unprinted: true})
	w.grid = newGrid("working", columns...)
	w.Made = func(yield func(sheet.Row) bool) {
		for _, s := range w.sections {
			if !s.write(s.at, yield) {
				return
			}
		}
	}
	return w
}

// minorName is what the minor units of a currency of so many digits are called.
func minorName(digits int) string {
	switch digits {
	case 0:
		return "units"
	case 2:
		return "cents"
	}
	return "1/1" + strings.Repeat("0", digits)
}

// section takes so many rows.
func (w *working) section(rows int, write func(at int, yield func(sheet.Row) bool) bool) int {
	at := w.rows + 2
	w.rows += rows
	w.sections = append(w.sections, section{at, write})
	return at
}

// headRow is a row that stands above others, with its number.
func headRow(at int, cells ...sheet.Cell) sheet.Row {
	cells = append(cells[:len(cells):len(cells)], make([]sheet.Cell, workRow-len(cells))...)
	return sheet.Row{Kind: sheet.Sum, Cells: append(cells, fixed(strconv.Itoa(at), count))}
}

// finish adds a row that says whether all others are where they were written.
func (w *working) finish() {
	if w.rows == 0 {
		return
	}
	w.section(1, func(at int, yield func(sheet.Row) bool) bool {
		span := sheet.Ref(workRow, 2) + ":" + sheet.Ref(workRow, at-1)
		exact := "IF(SUMPRODUCT((" + span + `<>"")*(` + span + "<>ROW(" + span + `)))=0,"yes","no: rows of this sheet were added, taken out or sorted")`
		return yield(headRow(at, []sheet.Cell{workWhat: text("all rows as they were written"), workExact: {Text: "yes", Formula: exact}}...))
	})
}

// sharing is a total that is shared over some items by largest remainder, in minor units.
type sharing struct {
	what   string
	in     unit   // of its currency
	total  figure // in minor units
	items  []string
	weighs func(k int) (formula string, weight int64, known bool) // of the k-th; a formula of "" is a number
	shares []int64                                                // what the library says of each; none is 0
}

// share adds a sharing and returns what names the share of the k-th item.
func (w *working) share(s *sharing) func(k int) string {
	if w.held = false; len(s.items) == 1 {
		return func(int) string { return "(" + s.total.text + s.in.cents() + ")" }
	}
	live := w.agrees(s)
	w.held = !live
	at := w.section(len(s.items)+1, func(at int, yield func(sheet.Row) bool) bool {
		if live {
			return w.writeSharing(s, at, yield)
		}
		return w.writeHeld(s, at, yield)
	})
	return func(k int) string { return w.at(workShare, at+1+k) }
}

// shareOf is what the library says of the k-th item.
func (s *sharing) shareOf(k int) int64 {
	if k < len(s.shares) {
		return s.shares[k]
	}
	return 0
}

// division is how a spreadsheet shares.
type division struct {
	total, sum, over, least, ties int64
	negative                      bool
	inHundreds                    bool  // in two steps, since the products would be too large
	equal                         int64 // so far
}

// of divides for one weight.
func (d *division) of(weight int64) (units, left int64) {
	if d.sum == 0 {
		return 0, 0
	}
	q, r := new(big.Int).Mul(big.NewInt(d.total), big.NewInt(weight)), new(big.Int)
	q.QuoRem(q, big.NewInt(d.sum), r)
	return q.Int64(), r.Int64()
}

// take is the share of a weight, in order.
func (d *division) take(units, left int64) int64 {
	if left == d.least {
		d.equal++
	}
	if left > d.least || left == d.least && d.equal <= d.ties {
		units++
	}
	if d.negative {
		return -units
	}
	return units
}

// divide finds how a total is shared; false where a spreadsheet cannot do it exactly.
func (s *sharing) divide() (*division, bool) {
	d := &division{total: int64(math.Abs(s.total.value)), negative: s.total.value < 0}
	heaviest := int64(0)
	for k := range s.items {
		_, weight, known := s.weighs(k)
		if !known || weight < 0 || weight >= exactBelow {
			return nil, false
		}
		if heaviest, d.sum = max(heaviest, weight), d.sum+weight; d.sum >= exactBelow {
			return nil, false
		}
	}
	product := float64(d.total) * float64(heaviest)
	if d.inHundreds = product >= exactBelow/100; d.inHundreds && (product >= 100*exactBelow || d.sum >= exactBelow/200) {
		return nil, false
	}
	lefts := make([]int64, len(s.items))
	if d.sum > 0 {
		d.over = d.total
	}
	for k := range s.items {
		_, weight, _ := s.weighs(k)
		units, left := d.of(weight)
		lefts[k] = left
		d.over -= units
	}
	d.least = d.sum
	if d.over > 0 {
		slices.Sort(lefts)
		d.least = lefts[len(lefts)-int(d.over)]
		d.ties = d.over
		for _, left := range lefts {
			if left > d.least {
				d.ties--
			}
		}
	}
	return d, true
}

// agrees reports whether the formulas come to what the library says.
func (w *working) agrees(s *sharing) bool {
	d, ok := s.divide()
	for k := 0; ok && k < len(s.items); k++ {
		_, weight, _ := s.weighs(k)
		ok = d.take(d.of(weight)) == s.shareOf(k)
	}
	return ok
}

// writeHeld writes the shares as they are, where formulas would not be exact.
func (w *working) writeHeld(s *sharing, at int, yield func(sheet.Row) bool) bool {
	if !yield(headRow(at, text(s.what), text("held as they are: not exact in a spreadsheet"))) {
		return false
	}
	for k, item := range s.items {
		share := fixed(s.in.number(s.shareOf(k)), sheet.Decimals(s.in.digits()))
		if !yield(sheet.Row{Cells: []sheet.Cell{workItem: text(item), workShare: share}}) {
			return false
		}
	}
	return true
}

func (w *working) writeSharing(s *sharing, at int, yield func(sheet.Row) bool) bool {
	d, _ := s.divide()
	first, last := at+1, at+len(s.items)
	span := func(column int) string { return sheet.Ref(column, first) + ":" + sheet.Ref(column, last) }
	head := func(column int) string { return sheet.Locked(column, at) }
	total, sum, over, leastAt, ties := head(workTotal), head(workSum), head(workOver), head(workLeast), head(workTies)
	cells := make([]sheet.Cell, workExact+1)
	cells[workWhat] = text(s.what)
	cells[workShare] = w.live("ROUND(SUM("+span(workShare)+"),"+strconv.Itoa(s.in.digits())+")", sheet.Decimals(s.in.digits()), s.in.number(int64(s.total.value)))
	cells[workTotal] = w.figured(s.total, count)
	cells[workSum] = w.live("SUM("+span(workWeighs)+")", count, number64(d.sum))
	cells[workOver] = w.live("IF("+sum+"=0,0,ABS("+total+")-SUM("+span(workWhole)+"))", count, number64(d.over))
	cells[workLeast] = w.live("IF("+over+">0,LARGE("+span(workLeft)+","+over+"),"+sum+")", count, number64(d.least))
	cells[workTies] = w.live("IF("+over+">0,"+over+"-SUMPRODUCT(--("+span(workLeft)+">"+leastAt+")),0)", count, number64(d.ties))
	exact := "ABS(" + total + ")*MAX(" + span(workWeighs) + ")<1E14"
	if d.inHundreds {
		exact = "AND(ABS(" + total + ")*MAX(" + span(workWeighs) + ")<1E16," + sum + "<5E11)"
		cells[workHundreds] = w.live("INT(ABS("+total+")/100)", count, number64(d.total/100))
		cells[workRest] = w.live("ABS("+total+")-100*"+sheet.Ref(workHundreds, at), count, number64(d.total%100))
	}
	cells[workExact] = sheet.Cell{Text: "yes", Formula: "IF(" + exact + `,"yes","no: run lotcost again")`}
	if !yield(headRow(at, cells...)) {
		return false
	}
	cells = make([]sheet.Cell, workShare+1)
	before := "0"
	for k, item := range s.items {
		at := func(column int) string { return sheet.Ref(column, at+1+k) }
		formula, weight, _ := s.weighs(k)
		whole, rest := d.of(weight)
		share := d.take(whole, rest)
		cells[workItem] = text(item)
		cells[workWeighs] = w.live(formula, count, number64(weight))
		if d.inHundreds {
			w.inHundreds(d, cells, at, head, weight, whole, rest)
		} else {
			cells[workWhole] = w.live("IF("+sum+"=0,0,INT(ABS("+total+")*"+at(workWeighs)+"/"+sum+"))", count, number64(whole))
			cells[workLeft] = w.live("ABS("+total+")*"+at(workWeighs)+"-"+at(workWhole)+"*"+sum, count, number64(rest))
		}
		cells[workEqual] = w.live("("+at(workLeft)+"="+leastAt+")+"+before, count, number64(d.equal))
		cells[workShare] = w.live("SIGN("+total+")*("+at(workWhole)+"+IF("+at(workLeft)+">"+leastAt+",1,IF(AND("+at(workLeft)+"="+leastAt+","+at(workEqual)+"<="+ties+"),1,0)))"+s.in.cents(), sheet.Decimals(s.in.digits()), s.in.number(share))
		if !yield(sheet.Row{Cells: cells}) {
			return false
		}
		before = at(workEqual)
	}
	return true
}

// inHundreds divides the hundreds first, and then what is left of them with the rest, so that
// larger numbers stay exact.
func (w *working) inHundreds(d *division, cells []sheet.Cell, at, head func(int) string, weight, whole, rest int64) {
	sum := head(workSum)
	hundreds, _ := (&division{total: d.total / 100, sum: d.sum}).of(weight)
	cells[workHundreds] = w.live("IF("+sum+"=0,0,INT("+head(workHundreds)+"*"+at(workWeighs)+"/"+sum+"))", count, number64(hundreds))
	cells[workRest] = w.live("("+head(workHundreds)+"*"+at(workWeighs)+"-"+at(workHundreds)+"*"+sum+")*100+"+head(workRest)+"*"+at(workWeighs), count, number64((whole-100*hundreds)*d.sum+rest))
	cells[workWhole] = w.live("IF("+sum+"=0,0,100*"+at(workHundreds)+"+INT("+at(workRest)+"/"+sum+"))", count, number64(whole))
	cells[workLeft] = w.live(at(workRest)+"-("+at(workWhole)+"-100*"+at(workHundreds)+")*"+sum, count, number64(rest))
}

func number64(n int64) string { return strconv.FormatInt(n, 10) }
