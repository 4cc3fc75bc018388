package live

import (
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// What a workbook says of itself after a change.
const (
	allFollows  = "All figures of the other sheets follow what is changed in them."
	noNumber    = "Something typed is no number: look for #VALUE!, and type figures alone, without a unit."
	passed      = "No longer right: a limit of the border was passed, or a number is too large. Change the lot file too and run lotcost again; the sheets border and working say which."
	notHere     = "not calculated here"
	asFound     = "as found"
	partFollows = "No longer right: part of it is not calculated here, as those sheets say. Change the lot file too and run lotcost again."
)

// Lead makes the first sentence of an answer tell the figure of now, and adds one that says whether
// the sheets of [Costs] or [Prices] of a statement are right after what was changed in them.
func Lead(answer *sheet.Table, tables []*sheet.Table, st *landed.Statement) {
	l := lead{st: st, tables: map[string]grid{}}
	for _, t := range slices.Backward(tables) {
		l.tables[t.Topic] = grid{t}
	}
	changed, total, now := l.costs()
	if prices, ok := l.tables["prices"]; ok && len(prices.Rows) > 0 {
		changed = differs(prices.sums(priceCost, priceAt, priceProfit, priceEven, priceAsk))
		total = "SUM(" + prices.column(priceProfit, 2, len(prices.Rows)+1) + ")"
		now = `"The figures after what was changed stand in the sheet prices."`
	}
	if changed == "" || len(answer.Rows) == 0 {
		return
	}
	first, second := &answer.Rows[0].Cells[0], quoted(allFollows)
	first.Formula = "IF(ISERROR(" + total + ")," + quoted(noNumber) + ",IF(" + changed + "," + now + "," + quoted(first.Text) + "))"
	if l.held() {
		second = "IF(" + changed + "," + quoted(partFollows) + "," + second + ")"
	}
	if no := l.warned(); no != "" {
		second = "IF(" + no + "," + quoted(passed) + "," + second + ")"
	}
	second = "IF(ISERROR(" + total + "),\"\"," + second + ")"
	answer.Rows = slices.Insert(answer.Rows, 1, sheet.Row{Cells: []sheet.Cell{{Text: allFollows, Formula: second}}})
}

// lead finds what the sheets of a workbook say of themselves.
type lead struct {
	st     *landed.Statement
	tables map[string]grid
}

// costs tells how a workbook of costs sees that something was changed, where its total stands, and
// what to say of it then.
func (l *lead) costs() (changed, total, now string) {
	sharing, pieces, paid := l.tables["sharing"], l.tables["pieces"], l.tables["paid"]
	if pieces.Table == nil || len(sharing.Rows) < 2 {
		return "", "", ""
	}
	cost := slices.IndexFunc(sharing.Columns, func(c sheet.Column) bool { return c.Head == "cost" })
	total = paid.at(paidHome, len(paid.Rows)+1)
	now = `"Total cost after what was changed: "&FIXED(` + total + "," + strconv.Itoa(l.st.Home.Digits()) + `)&" ` + l.st.Home.Code() + `. What each piece costs stands in the sheet pieces."`
	return differs(append(sharing.sums(itemCount, cost), pieces.sums(pieceCost)...)), total, now
}

// sums are those of columns, each figure times its row, so that one that goes up does not make
// good for another that goes down.
func (g grid) sums(columns ...int) []figure {
	var list []figure
	for _, c := range columns {
		span := g.column(c, 2, len(g.Rows)+1)
		sum := 0.0
		for r := range g.Rows {
			if cell := g.Rows[r].Cell(c); cell.Format != "" {
				sum += parsed(cell.Data) * float64(row(r))
			}
		}
		list = append(list, figure{"SUMPRODUCT(" + span + ",ROW(" + span + "))", sum})
	}
	return list
}

// differs is true where some figures are no longer what they were.
func differs(of []figure) string {
	sum := plus(of...)
	return "ABS(" + sum.text + "-" + number(sum.value).text + ")>0.0001"
}

// held reports whether something stands as it is, whatever is changed.
func (l *lead) held() bool {
	says := func(of string, column int, what string) bool {
		t := l.tables[of].Table
		return t != nil && slices.ContainsFunc(t.Rows, func(r sheet.Row) bool { return strings.Contains(r.Cell(column).Text, what) })
	}
	if l.tables["prices"].Table != nil {
		return says("prices", priceFound, asFound)
	}
	return l.st.WasFound && l.tables["found"].Table == nil || says("paid", paidBy, notHere) || says("paid", paidEstimated, notHere)
}

// warned is true where a row of the border or of the working says that it is no longer right; ""
// where there is neither.
func (l *lead) warned() string {
	var parts []string
	if border, ok := l.tables["border"]; ok {
		span := border.column(len(border.Columns)-1, 2, len(border.Rows)+1)
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
