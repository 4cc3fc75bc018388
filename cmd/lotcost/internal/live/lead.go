package live

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// What a workbook says of itself after a change.
const (
	allFollows = "All figures of the other sheets follow what is changed in them."
	noNumber   = "Something typed is no number, or what others are calculated from was taken out: look for #VALUE!, #REF! and #N/A, type figures alone, without a unit, and undo what was changed last."
	noPiece    = notRight + ": in the sheet sharing a count, a weight or a value is missing, below 0 or no number. Type the figure alone, without a unit."
	notRight   = "No longer right"
	rowsMoved  = notRight + ": rows were added, taken out or sorted in the sheet "
	undoIt     = ". Undo that, or sort them by the column row; what is new belongs in the lot file, then run lotcost again."
	notPaid    = notRight + ": what the pieces cost is not what was paid, so something was typed over a formula, or there is nothing to share a cost by. Undo that."
	noWhole    = notRight + ": in the sheet sharing a count is no whole number."
	passed     = notRight + ": a limit of the border was passed, a number is too large, or rows of the sheet working were moved. Change the lot file too and run lotcost again; the sheets border and working say which."
	notHere    = "not calculated here"
	asFound    = "as found"
	keptNow    = "All figures follow what is changed but these, which are " + notHere + ": "
	keptThen   = notRight + ": these figures are " + notHere + ": "
	costStays  = "What a piece costs is shared by value, and stands here as it was: it changes too once a price is taken into the lot file as the value of its piece."
	runAgain   = ". After a change, change the lot file too and run lotcost again."
)

// Lead makes the first sentence of an answer tell the figure of now, and adds one that says whether
// the sheets of [Costs] or [Prices] of a statement are right after what was changed in them.
func Lead(answer *sheet.Table, tables []*sheet.Table, st *landed.Statement) {
	l := lead{st: st, tables: map[string]grid{}}
	for _, t := range slices.Backward(tables) {
		l.tables[t.Topic] = grid{t}
	}
	c := l.costs()
	repriced := ""
	if prices, ok := l.tables["prices"]; ok && len(prices.Rows) > 0 {
		if slices.ContainsFunc(st.Lines, func(line landed.Line) bool { return line.By == landed.ByValue }) {
			repriced = differs([]figure{prices.sound(priceAt)})
		}
		c = claims{changed: differs(prices.sums(priceCost, priceAt, priceProfit, priceEven, priceAsk)), total: "SUM(" + prices.whole(priceProfit) + ")",
			now: `"The figures after what was changed stand in the sheet prices."`}
	}
	if c.changed == "" || len(answer.Rows) == 0 {
		return
	}
	first, says := &answer.Rows[0].Cells[0], allFollows
	kept := l.kept()
	if kept != "" {
		says = keptNow + kept + runAgain
	}
	stays := staying(tables)
	says += stays
	second := quoted(says)
	first.Formula = "IF(" + c.changed + "," + c.now + "," + quoted(first.Text) + ")"
	for _, w := range slices.Backward(append(append(l.moved(), warning{"ISERROR(" + c.total + "+" + c.changed + ")", noNumber}), c.warnings...)) {
		first.Formula = "IF(" + w.when + "," + quoted(w.says) + "," + first.Formula + ")"
	}
	if kept != "" {
		second = "IF(" + c.changed + "," + quoted(keptThen+kept+runAgain+stays) + "," + second + ")"
	}
	if repriced != "" {
		second = "IF(" + repriced + "," + quoted(costStays+stays) + "," + second + ")"
	}
	if no := l.warned(); no != "" {
		second = "IF(" + no + "," + quoted(passed) + "," + second + ")"
	}
	begins := func(with string) string { return "LEFT(A2," + strconv.Itoa(len(with)) + ")=" + quoted(with) }
	second = "IF(OR(" + begins(notRight) + "," + begins(noNumber[:9]) + "),\"\"," + second + ")"
	answer.Rows = slices.Insert(answer.Rows, 1, sheet.Row{Cells: []sheet.Cell{{Text: says, Formula: second}}})
}

// staying tells which sheets have no formulas; "" where all have some.
func staying(tables []*sheet.Table) string {
	var names []string
	for _, t := range tables {
		if !t.Guarded {
			names = append(names, cmp.Or(t.Topic, t.Title))
		}
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return " The sheet " + names[0] + " does not follow: it stays as it was written."
	default:
		return " The sheets " + sheet.Listed(names) + " do not follow: they stay as they were written."
	}
}

// warning is what the first sentence says when something is wrong.
type warning struct{ when, says string }

// claims are how a workbook sees that something was changed, where its total stands, what to say of
// it then, and what must not be.
type claims struct {
	changed, total, now string
	warnings            []warning
}

// lead finds what the sheets of a workbook say of themselves.
type lead struct {
	st     *landed.Statement
	tables map[string]grid
}

// costs are the claims of a workbook of costs.
func (l *lead) costs() claims {
	sharing, pieces, paid := l.tables["sharing"], l.tables["pieces"], l.tables["paid"]
	if pieces.Table == nil || len(sharing.Rows) < 2 {
		return claims{}
	}
	total, unequal := paid.at(paidHome, len(paid.Rows)+1), notPaid
	if kept := l.kept(); kept != "" { // whose amounts may be changed all the same
		unequal = keptThen + kept + runAgain
	}
	costs := pieces.column(pieceCost, 2, len(pieces.Rows))
	counts := sharing.column(itemCount, 2, len(sharing.Rows))
	return claims{
		changed: differs(append(sharing.sums(itemCount, itemWeight, itemValue, sharing.columnOf("cost")), pieces.sums(pieceCost)...)),
		total:   total,
		now:     `"Total cost after what was changed: "&FIXED(` + total + "," + strconv.Itoa(l.st.Home.Digits()) + `)&" ` + l.st.Home.Code() + `. What each piece costs stands in the sheet pieces."`,
		warnings: []warning{
			{"SUMPRODUCT(--(" + counts + "<>INT(" + counts + ")))>0", noWhole},
			{"ABS(SUM(" + costs + ")-" + total + ")>0.0001", unequal},
		},
	}
}

// sums are those of columns, each figure times the number of its row, so that one that goes up does
// not make good for another that goes down.
func (g grid) sums(columns ...int) []figure {
	return sheet.Each(columns, func(c *int) figure {
		return g.sumOf(*c, "", func(r *sheet.Row) bool { return r.Cell(*c).Format != "" })
	})
}

// sumOf is the sum of a column in the rows that are counted, as a formula tells them too.
func (g grid) sumOf(column int, told string, counts func(*sheet.Row) bool) figure {
	sum := 0.0
	for r := range sheet.All(g.Rows) {
		if counts(r) {
			sum += parsed(r.Cell(column).Data) * parsed(r.Cell(g.order()).Data)
		}
	}
	return figure{"SUMPRODUCT(" + g.whole(column) + "," + g.whole(g.order()) + told + ")", sum}
}

// sound is the sum of a column of the sheet prices in the rows of sound pieces, as [grid.sums]
// has it: what others bring is calculated, and nothing is shared by it.
func (g grid) sound(column int) figure {
	state := landed.Sound.String()
	return g.sumOf(column, ",--("+g.whole(priceState)+"="+quoted(state)+")", func(r *sheet.Row) bool { return r.Cell(priceState).Text == state })
}

// differs is true where some figures are no longer what they were.
func differs(of []figure) string {
	sum := plus(of...)
	return "ABS(" + sum.text + "-" + number(sum.value).text + ")>0.0001"
}

// mostKept is how many of the figures that stay as they are the second sentence names.
const mostKept = 6

// kept names the figures that stay as they are, whatever is changed; "" where there are none.
func (l *lead) kept() string {
	var list []string
	rows := func(of string, column int, says, before string) {
		t := l.tables[of].Table
		if t == nil {
			return
		}
		for i := range t.Rows {
			if name := before + t.Rows[i].Cell(0).Text; strings.Contains(t.Rows[i].Cell(column).Text, says) && !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	if l.tables["prices"].Table != nil {
		if rows("prices", priceFound, asFound, ""); len(list) > 0 {
			list = []string{"the break-evens and asking prices that the sheet prices calls " + asFound}
		}
	} else {
		rows("paid", paidEstimated, notHere, "")
		rows("paid", paidBy, notHere, "the shares of ")
		if l.st.WasFound && l.tables["found"].Table == nil {
			list = append(list, "what the pieces cost after what was found")
		}
	}
	if more := len(list) - mostKept; more > 0 {
		list = append(list[:mostKept], "and "+strconv.Itoa(more)+" more")
	}
	return strings.Join(list, ", ")
}

// warned is true where a row of the border or of the working says that it is no longer right; ""
// where there is neither.
func (l *lead) warned() string {
	var parts []string
	if border, ok := l.tables["border"]; ok {
		span := border.whole(border.columnOf(assessedHead))
		parts = append(parts, "SUMPRODUCT(--(LEFT("+span+`,3)="no:"))`)
	}
	if _, ok := l.tables["working"]; ok {
		name := strings.TrimRight(sheet.Ref(workExact, 1), "1")
		parts = append(parts, "COUNTIF(working!"+name+":"+name+`,"no:*")`)
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, "+") + ">0"
}

// quoted is a text in a formula: in parts, since one may not be longer than 255 characters.
func quoted(s string) string {
	const most = 250
	var parts []string
	for part := []rune(s); len(part) > 0; part = part[min(most, len(part)):] {
		parts = append(parts, `"`+strings.ReplaceAll(string(part[:min(most, len(part))]), `"`, `""`)+`"`)
	}
	return strings.Join(append(parts, `""`)[:max(1, len(parts))], "&")
}
