package show

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/money"
)

// Costs is a statement as a sheet: first what each item and piece cost, then
// what was paid.
func Costs(st *landed.Statement) *Sheet {
	sheet := &Sheet{}
	if st.Title != "" {
		sheet.add(Heading(st.Title))
	}
	sheet.add(CostTable(st), Text(equality(st)))
	sheet.add(append(unpaid(st), PaidTable(st))...)
	sheet.add(partial(st)...)
	if len(st.Bills) > 0 {
		sheet.add(billTable(st))
	}
	for _, rate := range st.Rates() {
		sheet.add(Note{Remark, "rate: " + strings.Join(rateSteps(rate), "; ")})
	}
	return sheet
}

func (s *Sheet) add(blocks ...Block) { s.Blocks = append(s.Blocks, blocks...) }

// equality says that nothing was lost.
func equality(st *landed.Statement) string {
	text := fmt.Sprintf("%s, %s: %s in all%s, which equals what was paid", plural(int64(len(st.Items)), "item"), pieceWords(st), st.Total, then(" ", withoutOpen(st)))
	if estimate := st.Estimate(); estimate.Sign() != 0 {
		text += fmt.Sprintf(" and %s estimated at the border", estimate)
	}
	text += "."
	if st.Loss.Sign() != 0 {
		text += fmt.Sprintf(" Of it %s is written off; no piece carries it.", st.Loss)
	}
	return text
}

// pieceWords counts the pieces of a haul: where others came than were paid
// for, both.
func pieceWords(st *landed.Statement) string {
	paid, f := plural(st.Pieces(), "piece"), st.Found()
	var why []string
	for _, n := range []struct {
		count int64
		word  string
	}{{f.Missing, "missing"}, {f.Extra, "extra"}} {
		if n.count > 0 {
			why = append(why, fmt.Sprintf("%d %s", n.count, n.word))
		}
	}
	if len(why) > 0 {
		paid += fmt.Sprintf(" paid for, %d came (%s)", f.Came(), strings.Join(why, ", "))
	}
	if made := f.Made(); made > 0 {
		paid += fmt.Sprintf(", %d made from dead ones", made)
	}
	return paid
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// unpaid names what nobody paid for.
func unpaid(st *landed.Statement) []Block {
	var ids []string
	for i := range st.Items {
		if st.Items[i].Count == 0 {
			ids = append(ids, st.Items[i].ID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	return []Block{Note{Remark, "Not paid for, and so bearing no cost and no loss: " + strings.Join(ids, ", ") + "."}}
}

func plural(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.FormatInt(n, 10) + " " + word + "s"
}

// CostTable is the items of a statement with what they cost, lot by lot.
func CostTable(st *landed.Statement) *Table {
	kinds := usedKinds(st)
	t := &Table{Columns: []Column{
		{Head: "item"},
		{Head: "what", Wrap: true, Min: 14},
		{Head: "pieces", Align: Right},
		{Head: "each, " + st.Home.Code(), Align: Right},
		{Head: "cost", Align: Right},
	}}
	if st.WasFound {
		t.Columns[2].Head = "pieces\npaid for"
		t.Columns = slices.Insert(t.Columns, 2, Column{Head: "found", Wrap: true, Min: 10})
		t.Columns = append(t.Columns, Column{Head: "taken over", Align: Right, Optional: 1})
	}
	for place, k := range kinds {
		t.Columns = append(t.Columns, Column{Head: k.String(), Key: k.String(), Align: Right, Optional: 2 + place})
	}
	for _, lot := range st.Lots {
		t.Rows = append(t.Rows, Row{Group, []Cell{{Text: lotHead(lot)}}})
		for i := lot.First; i < lot.End; i++ {
			t.Rows = append(t.Rows, costRow(st, &st.Items[i], kinds))
		}
	}
	if st.Loss.Sign() != 0 {
		t.Rows = append(t.Rows, Row{Sum, []Cell{{Text: "written off"}, {}, {}, {}, {}, {Text: st.Loss.Number()}}})
	}
	t.Rows = append(t.Rows, sumRow(st, kinds))
	return t
}

// ofHaul are the columns by which a record says which haul it is of.
var ofHaul = []Column{{Key: "haul", Machine: true}, {Key: "date", Machine: true}, {Key: "currency", Machine: true}}

func haulCells(st *landed.Statement) []Cell {
	day := ""
	if !st.Date.IsZero() {
		day = st.Date.Format(time.DateOnly)
	}
	return []Cell{{Text: filepath.ToSlash(st.At.File)}, {Text: day}, {Text: st.Home.Code()}}
}

// PiecesTable is the pieces of a statement for a spreadsheet, with the same
// columns for every haul: a row for each group of alike pieces and what they
// cost, as [landed.ItemCost.Groups] has them. The costs sum to what was paid,
// and so do those of each kind.
func PiecesTable(st *landed.Statement) *Table {
	t := &Table{Columns: slices.Clone(ofHaul)}
	for _, key := range []string{"lot", "id", "model", "state"} {
		t.Columns = append(t.Columns, Column{Key: key})
	}
	for _, key := range []string{"count", "each", "cost"} {
		t.Columns = append(t.Columns, Column{Key: key, Align: Right})
	}
	for k := range landed.Kind(landed.Kinds) {
		t.Columns = append(t.Columns, Column{Key: k.String(), Align: Right})
	}
	t.Columns = append(t.Columns, Column{Key: "what"}, Column{Key: "without_open_price"})
	for i := range st.Items {
		item := &st.Items[i]
		for _, g := range item.Groups() {
			cells := append(haulCells(st), Cell{Text: item.Lot}, Cell{Text: item.ID}, Cell{Text: item.Model}, Cell{Text: g.State.String()},
				Cell{Text: strconv.FormatInt(g.Count, 10)}, Cell{Text: g.Each.Number()}, Cell{Text: g.Cost.Number()})
			for k := range landed.Kind(landed.Kinds) {
				share, cell := g.Share(k), Cell{}
				if !item.Open || k != landed.Price && k != landed.Premium || share.Sign() != 0 {
					cell.Text = share.Number()
				}
				cells = append(cells, cell)
			}
			t.Rows = append(t.Rows, Row{Body, append(cells, Cell{Text: cmp.Or(g.What, item.What)}, Cell{Text: yesNo(item.Open)})})
		}
	}
	return t
}

func sumRow(st *landed.Statement, kinds []landed.Kind) Row {
	cells := []Cell{{Text: "sum"}, {Text: withoutOpen(st)}, {Text: strconv.FormatInt(st.Pieces(), 10)}, {}, {Text: st.Total.Number(), Tone: Strong}}
	if st.WasFound {
		cells = append(slices.Insert(cells, 2, Cell{}), Cell{})
	}
	for _, k := range kinds {
		cells = append(cells, Cell{Text: st.Sum(k).Number()})
	}
	return Row{Sum, cells}
}

// usedKinds lists the kinds of cost that some statements hold; nil is none.
func usedKinds(statements ...*landed.Statement) []landed.Kind {
	var used [landed.Kinds]bool
	for _, st := range statements {
		for i := 0; st != nil && i < len(st.Lines); i++ {
			used[st.Lines[i].Kind] = true
		}
	}
	var kinds []landed.Kind
	for k := range landed.Kinds {
		if used[k] {
			kinds = append(kinds, landed.Kind(k))
		}
	}
	return kinds
}

func lotHead(lot landed.LotCost) string {
	head := lot.ID
	if lot.Title != "" {
		head += ", " + lot.Title
	}
	head += ": " + lot.Cost.String()
	if lot.Open {
		head += " without the open price"
	}
	return head
}

func costRow(st *landed.Statement, item *landed.ItemCost, kinds []landed.Kind) Row {
	cells := []Cell{{Text: item.ID}, {Text: item.What}, {Text: strconv.FormatInt(item.Count, 10)},
		{Text: eachText(item.Each())}, {Text: item.Cost.Number(), Tone: Strong}}
	if st.WasFound {
		cells = slices.Insert(cells, 2, Cell{Text: foundWords(&item.Found, item.Count)})
		moved := Cell{}
		if item.Moved().Sign() != 0 {
			moved.Text = item.Moved().Number()
		}
		cells = append(cells, moved)
	}
	for _, k := range kinds {
		share := Cell{}
		if item.Bears(k) {
			share.Text = item.Share(k).Number()
		}
		cells = append(cells, share)
	}
	return Row{Body, cells}
}

// foundWords prints what was found where it is not simply all sound.
func foundWords(f *landed.Found, count int64) string {
	if f.Sound == count && f.Extra == 0 {
		return "all sound"
	}
	var parts []string
	for _, n := range []struct {
		count int64
		word  string
	}{{f.Sound, "sound"}, {f.Parts, "for parts"}, {f.Dead, "dead"}, {f.Missing, "missing"}} {
		if n.count > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n.count, n.word))
		}
	}
	switch {
	case f.Extra > 0 && count == 0:
		parts = append(parts, "all extra")
	case f.Extra > 0:
		parts = append(parts, fmt.Sprintf("%d of them extra", f.Extra))
	}
	return strings.Join(parts, ", ")
}

// eachText prints what a piece costs: "22.56", or, where it does not divide,
// "1 x 22.56" and "1 x 22.55" on two lines.
func eachText(groups []landed.Pieces) string {
	if len(groups) == 1 && groups[0].State == landed.Sound {
		return groups[0].Each.Number()
	}
	texts := make([]string, len(groups))
	for i, g := range groups {
		kind := map[landed.State]string{landed.ForParts: "for parts ", landed.Made: g.What + " "}[g.State]
		texts[i] = fmt.Sprintf("%d %sx %s", g.Count, kind, g.Each.Number())
	}
	return strings.Join(texts, "\n")
}

// PaidTable is what was paid and how it was shared; for a spreadsheet a record
// for each amount.
func PaidTable(st *landed.Statement) *Table {
	t := &Table{Title: "What was paid", Columns: append(slices.Clone(ofHaul),
		Column{Key: "lot", Machine: true}, Column{Key: "item", Machine: true}, Column{Key: "parcel", Machine: true},
		Column{Head: "what", Key: "what", Wrap: true, Min: 14},
		Column{Head: "kind", Key: "kind"},
		Column{Head: "for", Optional: 2},
		Column{Head: "asked", Key: "asked", Align: Right, Optional: 1},
		Column{Head: st.Home.Code(), Key: "home", Align: Right},
		Column{Head: "shared by", Key: "by"},
		Column{Key: "estimated", Machine: true}, Column{Key: "without_open_price", Machine: true},
	)}
	for i := range st.Lines {
		line := &st.Lines[i]
		asked, kind := Cell{Text: line.Paid.String()}, Cell{Text: line.Kind.String()}
		if line.Estimated {
			asked = Cell{Text: "estimate", Data: line.Paid.String()}
		}
		if line.WithPremium() {
			kind = Cell{Text: kind.Text + " and premium", Data: kind.Text}
		}
		t.Rows = append(t.Rows, Row{Body, append(haulCells(st), Cell{Text: line.Lot}, Cell{Text: line.Item}, Cell{Text: line.Parcel},
			Cell{Text: line.What}, kind, Cell{Text: line.For()}, asked, Cell{Text: line.Home.Number()}, Cell{Text: sharedBy(line)}, Cell{Text: yesNo(line.Estimated)}, Cell{Text: strings.Join(line.Without, " ")})})
	}
	sum := make([]Cell, len(t.Columns))
	sum[6], sum[10] = Cell{Text: "sum" + then(" ", withoutOpen(st))}, Cell{Text: st.Total.Number(), Tone: Strong}
	t.Rows = append(t.Rows, Row{Sum, sum})
	return t
}

// billTable sets the bills of the border beside what was estimated.
func billTable(st *landed.Statement) *Table {
	t := &Table{Title: "The bills of the border beside the estimates", Columns: []Column{
		{Head: "parcel"}, {Head: "what"},
		{Head: "estimate, " + st.Home.Code(), Align: Right}, {Head: "bill", Align: Right}, {Head: "difference", Align: Right}}}
	for i := range st.Bills {
		b := &st.Bills[i]
		t.Rows = append(t.Rows, Row{Body, []Cell{{Text: parcelName(b.Parcel)}, {Text: b.Kind.String()},
			{Text: orDash(number(b.Estimate))}, {Text: b.Bill.Number()}, {Text: orDash(billedMore(b))}}})
	}
	return t
}

// billedMore prints by how much a bill is above its estimate, if that is known.
func billedMore(b *landed.Billed) string {
	if b.Estimate.Currency() == 0 {
		return ""
	}
	return money.New(b.Bill.Minor()-b.Estimate.Minor(), b.Bill.Currency()).Number()
}

func sharedBy(line *landed.Line) string {
	if line.Item != "" {
		return "borne whole"
	}
	return line.By.String()
}

// Working is how each amount was found and shared, step by step.
func Working(st *landed.Statement) *Table {
	t := workingTable("The working")
	for i := range st.Lines {
		t.addSteps(st.Working(&st.Lines[i]))
	}
	return t
}

// ItemWorking is how one item's cost came about; item is an index into Items.
func ItemWorking(st *landed.Statement, item int) *Table {
	t := workingTable("The working of " + st.Items[item].ID)
	t.addSteps(st.ItemWorking(item))
	return t
}

func workingTable(title string) *Table {
	return &Table{Title: title, Columns: []Column{
		{Head: "step", Key: "step", Wrap: true, Min: 14},
		{Head: "from", Key: "from", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 14},
		{Head: "result", Key: "result", Wrap: true, Min: 12},
	}}
}

func (t *Table) addSteps(steps []landed.Step) {
	for _, s := range steps {
		t.Rows = append(t.Rows, Row{Body, []Cell{{Text: s.What}, {Text: s.From}, {Text: s.Rule}, {Text: s.Result}}})
	}
}

// A Trial is what a haul costs when its prices are shared by one basis, or
// why they cannot be.
type Trial struct {
	Basis     landed.Basis
	Statement *landed.Statement // nil when Err is set
	Err       error
}

// Comparison sets what a piece of each item costs under every basis side by
// side.
func Comparison(trials []Trial) *Sheet {
	sheet := &Sheet{}
	var first *landed.Statement
	for _, trial := range trials {
		if trial.Statement == nil {
			sheet.add(Note{Hint, fmt.Sprintf("by %s is left out: %v", trial.Basis, trial.Err)})
		} else if first == nil {
			first = trial.Statement
		}
	}
	if first == nil {
		return sheet
	}
	sheet.Blocks = append([]Block{Heading("What one piece costs when prices are shared by …"), ComparisonTable(trials)}, sheet.Blocks...)
	sheet.add(adviceTable())
	return sheet
}

// basisAdvice says when each basis is the fair one. It is common practice, no
// source, but for value: tax guides ask for it when unlike things were bought
// for one price.
var basisAdvice = [][2]string{
	{"value", "unlike pieces for one price: each bears its part of what the whole should fetch"},
	{"weight", "the price follows the material, as with tools sold by the kilo"},
	{"count", "pieces much alike, or nobody can say what they are worth"},
	{"equal", "each item the same, however many pieces it has: one line, one lot of trouble"},
}

// BasisAdvice says when each basis is the fair one, a line for each.
func BasisAdvice() string {
	var b strings.Builder
	for _, advice := range basisAdvice {
		fmt.Fprintf(&b, "%-7s %s\n", advice[0], advice[1])
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func adviceTable() *Table {
	t := &Table{Columns: []Column{{}, {Wrap: true}}}
	for _, advice := range basisAdvice {
		t.Rows = append(t.Rows, Row{Body, []Cell{{Text: advice[0]}, {Text: advice[1]}}})
	}
	return t
}

// ComparisonTable is the table of a [Comparison].
func ComparisonTable(trials []Trial) *Table {
	t := &Table{Columns: []Column{{Head: "item", Key: "id"}, {Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 1}}}
	var done []*landed.Statement
	for _, trial := range trials {
		if trial.Statement != nil {
			t.Columns = append(t.Columns, Column{Head: trial.Basis.String(), Key: trial.Basis.String(), Align: Right})
			done = append(done, trial.Statement)
		}
	}
	if len(done) == 0 {
		return t
	}
	t.Columns = append(t.Columns, Column{Head: "spread", Key: "spread", Align: Right})
	total := Row{Sum, []Cell{{Text: "sum of all"}, {}}}
	for _, st := range done {
		total.Cells = append(total.Cells, Cell{Text: st.Total.Number()})
	}
	for i := range done[0].Items {
		t.Rows = append(t.Rows, comparisonRow(done, i))
	}
	t.Rows = append(t.Rows, total)
	return t
}

func comparisonRow(done []*landed.Statement, i int) Row {
	row := Row{Body, []Cell{{Text: done[0].Items[i].ID}, {Text: done[0].Items[i].What}}}
	var least, most money.Amount
	for n, st := range done {
		each := dearest(&st.Items[i])
		if n == 0 || each.Cmp(least) < 0 {
			least = each
		}
		if n == 0 || each.Cmp(most) > 0 {
			most = each
		}
		row.Cells = append(row.Cells, Cell{Text: each.Number()})
	}
	spread, err := most.Sub(least)
	if err != nil {
		return row
	}
	row.Cells = append(row.Cells, Cell{Text: spread.Number(), Tone: Strong})
	return row
}

// dearest returns what the dearest piece of an item costs; zero where every
// piece came to nothing.
func dearest(item *landed.ItemCost) money.Amount {
	most := money.New(0, item.Cost.Currency())
	for _, g := range item.Each() {
		if g.Each.Cmp(most) > 0 {
			most = g.Each
		}
	}
	return most
}
