package show

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/money"
)

// costSheet is a statement as a sheet: first what each item and piece cost, then
// what was paid.
func costSheet(st *landed.Statement) *sheet.Sheet {
	doc := sheet.New(sheet.Heading(costAnswer(st)))
	doc.AddIf(st.Haul.Title != "", sheet.Text(st.Haul.Title))
	doc.Add(costCharts(st), costTable(st), sheet.Text(equality(st)))
	doc.Add(append(unpaid(st), paidTable(st))...)
	doc.Add(partial(st)...)
	switch bills := len(st.Bills()) > 0; {
	case bills && (st.Haul.Border == nil || st.Border != nil):
		doc.Add(billTable(st))
	case bills:
		doc.Add(sheet.Text("Nothing is estimated beside the bills of the border, for want of rules of entry for that day, or of what the goods are by class: duty and tax are shared by price and premium."))
	}
	for _, rate := range st.Rates() {
		doc.Add(remark("rate: " + strings.Join(rateSteps(rate), "; ")))
	}
	return doc.Add(stories(st))
}

// costAnswer is what all cost, and a piece of each of the first items.
func costAnswer(st *landed.Statement) string {
	var texts []string
	for item := range sheet.All(st.Items) {
		if each := dearest(item); each.Sign() != 0 && len(texts) < mostHeadlined {
			text := item.ID + " " + each.Said()
			if last := item.ID[strings.LastIndex(item.ID, " ")+1:]; strings.Trim(last, "0123456789") == "" { // a name that ends in a figure
				text = item.ID + ": " + each.Said()
			}
			if len(texts) == 0 {
				text = fmt.Sprintf("%s costs %s a piece", item.ID, each.Said())
			}
			texts = append(texts, text)
		}
	}
	answer := fmt.Sprintf("%s, %s: total cost %s%s", Plural(int64(len(st.Items)), "item"), pieceWords(st), st.Total, then(" ", withoutOpen(st))) + sheet.Either(len(texts) > 0, "; "+headlined(texts, len(st.Items)), "")
	return answer
}

// equality says that nothing was lost on the way.
func equality(st *landed.Statement) string {
	text := "The total cost equals what was paid"
	if estimate := st.Estimate(); estimate.Sign() != 0 {
		text += fmt.Sprintf(" and %s estimated at the border", estimate)
	}
	text += "."
	text += sheet.Either(st.Loss.Sign() != 0, fmt.Sprintf(" Of it %s is written off: no piece has it in its cost.", st.Loss), "")
	return text
}

// allFound sums what was found of all items.
func allFound(st *landed.Statement) landed.Found {
	var all landed.Found
	for item := range sheet.All(st.Items) {
		f := &item.Found
		all.Sound, all.Parts, all.Dead = all.Sound+f.Sound, all.Parts+f.Parts, all.Dead+f.Dead
		all.Missing, all.Extra = all.Missing+f.Missing, all.Extra+f.Extra
		all.Yields = append(all.Yields, f.Yields...)
	}
	return all
}

// pieceWords counts the pieces of a haul: where others came than were paid
// for, both.
func pieceWords(st *landed.Statement) string {
	paid, f := Plural(st.Pieces(), "piece"), allFound(st)
	if why := counted(some{f.Missing, "missing"}, some{f.Extra, "extra"}); len(why) > 0 {
		paid += fmt.Sprintf(" paid for, %d came (%s)", f.Sound+f.Parts+f.Dead, strings.Join(why, ", "))
	}
	if made := sumEach(f.Yields, func(y *landed.Yield) int64 { return y.Count }); made > 0 {
		paid += fmt.Sprintf(", %d made from dead ones", made)
	}
	return paid
}

// some is how many there are of something.
type some struct {
	n    int64
	word string
}

// counted are the counts of what there is.
func counted(of ...some) (words []string) {
	for _, c := range of {
		if c.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", c.n, c.word))
		}
	}
	return words
}

func yesNo(yes bool) string {
	return sheet.Either(yes, "yes", "no")
}

// unpaid names what nobody paid for, unless something was paid for it alone, as a repair.
func unpaid(st *landed.Statement) []sheet.Block {
	ids := itemsThat(st, func(item *landed.ItemCost) bool { return item.Count == 0 && item.Cost.Sign() == 0 })
	if len(ids) == 0 {
		return nil
	}
	return []sheet.Block{remark("Not paid for, and so without any cost: " + strings.Join(ids, ", ") + ".")}
}

// itemsThat are the ids of the items of a statement of which something holds.
func itemsThat(st *landed.Statement, holds func(*landed.ItemCost) bool) (ids []string) {
	for item := range sheet.All(st.Items) {
		if holds(item) {
			ids = append(ids, item.ID)
		}
	}
	return ids
}

// Plural is a count of things.
func Plural(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.FormatInt(n, 10) + " " + word + "s"
}

// costTable is the items of a statement with what they cost, lot by lot.
func costTable(st *landed.Statement) *sheet.Table {
	kinds := live.Kinds(st)
	t := &sheet.Table{Live: true, Continued: true, Folds: true, Columns: []sheet.Column{
		{Head: "item", Key: "id"},
		{Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 30},
		{Head: "pieces", Key: "count", Align: sheet.Right},
		{Head: "each, " + st.Home.Code(), Key: "each", Align: sheet.Right},
		{Head: "cost", Key: "cost", Align: sheet.Right},
	}}
	if st.WasFound {
		t.Columns[2].Head = "pieces\npaid for"
		t.Columns = slices.Insert(t.Columns, 2, sheet.Column{Head: "found", Key: "found", Wrap: true, Min: 10, Optional: 20})
		t.Columns = append(t.Columns, sheet.Column{Head: "moved from\ndead pieces", Align: sheet.Right, Optional: 15, Machine: !moves(st)})
	}
	for place, k := range kinds {
		t.Columns = append(t.Columns, sheet.Column{Head: k.String(), Key: k.String(), Align: sheet.Right, Optional: 2 + place})
	}
	item, opened := 0, openedLots(st.Haul)
	for _, lot := range st.Lots {
		head := lot.ID + then(", ", lot.Title) + ": " + lot.Cost.String() + sheet.Either(!lot.Bought(), " without the open price", "")
		t.AddRow(sheet.Group, sheet.Cell{Text: head, Data: lot.ID})
		for range lot.Items {
			addCosts(t, st, &st.Items[item], kinds, opened[lot.ID])
			item++
		}
	}
	if st.Loss.Sign() != 0 {
		t.AddSum("written off", nil, nil, nil, nil, st.Loss)
	}
	addSums(t, st, kinds)
	return t
}

// EachPiece is what a piece of an item costs, a line for each state.
func EachPiece(item *landed.ItemCost) string {
	var lines []string
	groups := item.AppendGroups(nil)
	for i := 0; i < len(groups); {
		first, n, each := groups[i], int64(0), []string(nil)
		for ; i < len(groups) && groups[i].State == first.State && groups[i].What == first.What; i++ {
			n += groups[i].Count
			each = append(each, fmt.Sprintf("%d x %s", groups[i].Count, groups[i].Each.Number()))
		}
		if len(each) == 1 {
			each[0] = first.Each.Number()
		}
		what := [...]string{landed.Sound: "sound", landed.ForParts: "for parts", landed.Made: first.What, landed.Dead: "dead or missing"}[first.State]
		if first.State != landed.Dead || first.Cost.Sign() != 0 {
			what += ": " + strings.Join(each, ", ")
			what += sheet.Either(len(each) == 1 && n > 1, " each", "")
		}
		lines = append(lines, strconv.FormatInt(n, 10)+" "+what)
	}
	return strings.Join(lines, "\n")
}

// moves reports whether the cost of dead or missing pieces went to other items.
func moves(st *landed.Statement) bool {
	return slices.ContainsFunc(st.Items, func(c landed.ItemCost) bool { return c.Moved().Sign() != 0 })
}

// ofHaul are the columns by which a record says which haul it is of.
var ofHaul = []sheet.Column{{Key: "haul", Machine: true}, {Key: "date", Machine: true}, {Key: "currency", Machine: true}}

// haulFile is where the haul stands, for another computer too.
func haulFile(st *landed.Statement) string { return filepath.ToSlash(st.Haul.At.File) }

// piecesTable is the pieces of a statement for a spreadsheet, with the same
// columns for every haul: a row for each group of alike pieces and what they
// cost, as [landed.ItemCost.AppendGroups] has them. The costs sum to what was paid,
// and so do those of each kind. Its rows are made as they are written.
func piecesTable(st *landed.Statement) *sheet.Table {
	t := &sheet.Table{Columns: append(slices.Clone(ofHaul), sheet.Column{Key: "lot"}, sheet.Column{Key: "id"}, sheet.Column{Key: "model"}, sheet.Column{Key: "state"},
		sheet.Column{Key: "count", Align: sheet.Right}, sheet.Column{Key: "each", Align: sheet.Right}, sheet.Column{Key: "cost", Align: sheet.Right})}
	for k := range landed.Kind(landed.Kinds) {
		t.Columns = append(t.Columns, sheet.Column{Key: k.String(), Align: sheet.Right})
	}
	t.Columns = append(t.Columns, sheet.Column{Key: "what"}, sheet.Column{Key: "without_open_price"})
	t.Made = func(yield func(sheet.Row) bool) {
		cells := append([]sheet.Cell{{Text: haulFile(st)}, {Text: day(st.Haul.Date)}, {Text: st.Home.Code()}}, make([]sheet.Cell, len(t.Columns)-len(ofHaul))...)
		var groups []landed.Group
		nothing := money.New(0, st.Home).Number()
		for i := range st.Items {
			item := &st.Items[i]
			groups = item.AppendGroups(groups[:0])
			for n := range groups {
				fillPieces(cells[len(ofHaul):], item, &groups[n], nothing)
				if !yield(sheet.Row{Kind: sheet.Body, Cells: cells}) {
					return
				}
			}
		}
	}
	return t
}

// fillPieces fills the cells of a group of pieces, whose other parts are empty. Most of what it
// bears is nothing, which is in words already.
func fillPieces(cells []sheet.Cell, item *landed.ItemCost, g *landed.Group, nothing string) {
	number := func(a money.Amount) string {
		if a.Sign() == 0 {
			return nothing
		}
		return a.Number()
	}
	each := number(g.Each)
	cost := each
	if g.Count != 1 {
		cost = number(g.Cost)
	}
	for i, text := range [...]string{item.Lot.ID, item.ID, item.Model, g.State.String(), strconv.FormatInt(g.Count, 10), each, cost} {
		cells[i].Text = text
	}
	cells = cells[7:]
	for k := range landed.Kind(landed.Kinds) {
		share := g.Share(k)
		if cells[k].Text = ""; item.Lot.Bought() || k != landed.Price && k != landed.Premium || share.Sign() != 0 {
			cells[k].Text = number(share)
		}
	}
	cells[landed.Kinds].Text, cells[landed.Kinds+1].Text = cmp.Or(g.What, item.What), yesNo(!item.Lot.Bought())
}

func addSums(t *sheet.Table, st *landed.Statement, kinds []landed.Kind) {
	cells := []any{"sum", withoutOpen(st), st.Pieces(), nil, sheet.Bold(st.Total)}
	if st.WasFound {
		cells = append(slices.Insert(cells, 2, nil), nil)
	}
	for _, k := range kinds {
		cells = append(cells, st.Sum(k))
	}
	t.AddSum(cells...)
}

func addCosts(t *sheet.Table, st *landed.Statement, item *landed.ItemCost, kinds []landed.Kind, opened bool) {
	cells := []any{sheet.Cell{Text: item.ID, Link: storyLink(st, item)}, item.What, item.Count, eachText(item.Each()), sheet.Bold(item.Cost)}
	if st.WasFound {
		found := ""
		if opened && item.Lot.Bought() {
			found = foundWords(&item.Found, item.Count)
		}
		cells = append(slices.Insert(cells, 2, any(found)), unlessNone(item.Moved()))
	}
	for _, k := range kinds {
		if item.Bears(k) {
			cells = append(cells, item.Share(k))
		} else {
			cells = append(cells, nil)
		}
	}
	t.Add(cells...)
}

// openedLots tells which lots came in a box in which something was found, or of which something
// was sold.
func openedLots(h *landed.Haul) map[string]bool {
	opened := map[string]bool{}
	for lot, item := range h.Items() {
		opened[lot.ID] = opened[lot.ID] || item.Found != nil || len(item.Sold) > 0
	}
	boxes := []landed.Parcel{{Lots: h.LotIDs()}}
	if len(h.Parcels) > 0 {
		boxes = h.Parcels
	}
	for _, p := range boxes {
		if slices.ContainsFunc(p.Lots, func(id string) bool { return opened[id] }) {
			for _, id := range p.Lots {
				opened[id] = true
			}
		}
	}
	return opened
}

// foundWords prints what was found where it is not simply all sound.
func foundWords(f *landed.Found, count int64) string {
	if f.Sound == count && f.Extra == 0 {
		return "all sound"
	}
	parts := counted(some{f.Sound, "sound"}, some{f.Parts, "for parts"}, some{f.Dead, "dead"}, some{f.Missing, "missing"})
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

// paidTable is what was paid and how it was shared; for a spreadsheet a record
// for each amount.
func paidTable(st *landed.Statement) *sheet.Table {
	t := &sheet.Table{Live: true, Title: "What was paid", Columns: append(slices.Clone(ofHaul),
		sheet.Column{Key: "lot", Machine: true}, sheet.Column{Key: "item", Machine: true}, sheet.Column{Key: "parcel", Machine: true},
		sheet.Column{Head: "what", Key: "what", Wrap: true, Min: 14},
		sheet.Column{Head: "kind", Key: "kind", Wrap: true, Min: 10},
		sheet.Column{Head: "for", Wrap: true, Min: 8, Optional: 2},
		sheet.Column{Head: "amount", Key: "asked", Align: sheet.Right, Optional: 1},
		sheet.Column{Head: st.Home.Code(), Key: "home", Align: sheet.Right},
		sheet.Column{Head: "shared by", Key: "by"},
		sheet.Column{Key: "estimated", Machine: true}, sheet.Column{Key: "without_open_price", Machine: true},
	)}
	file := haulFile(st)
	for line := range sheet.All(st.Lines) {
		asked, kind := sheet.Cell{Text: line.Asked()}, sheet.Cell{Text: line.Kind.String()}
		if line.Estimated {
			asked = sheet.Cell{Text: "estimate", Data: line.Asked()}
		}
		if st.Terms(line).WithPremium {
			kind = sheet.Cell{Text: kind.Text + " and premium", Data: kind.Text}
		}
		paidFor := cmp.Or(line.Item, line.Lot, line.Parcel)
		if n := st.Terms(line).Charge; n > 0 && paidFor == "" {
			paidFor = strings.Join(st.Haul.Charges[n-1].On, ", ")
		}
		t.Add(file, st.Haul.Date, st.Home, line.Lot, line.Item, line.Parcel, line.What, kind, paidFor, asked, line.Home, sharedBy(line), yesNo(line.Estimated), strings.Join(line.Without, " "))
	}
	t.AddSum(nil, nil, nil, nil, nil, nil, "sum"+then(" ", withoutOpen(st)), nil, nil, nil, sheet.Bold(st.Total))
	return t
}

// billTable sets the bills of the border beside what was estimated.
func billTable(st *landed.Statement) *sheet.Table {
	t := &sheet.Table{Topic: "bills", Title: billsTitle, Columns: []sheet.Column{
		{Head: "parcel"}, {Head: "what"},
		{Head: "estimate, " + st.Home.Code(), Align: sheet.Right}, {Head: "bill", Align: sheet.Right}, {Head: "difference", Align: sheet.Right}}}
	for _, b := range st.Bills() {
		t.Add(parcelName(b.Parcel), b.Kind, orDash(number(b.AsEstimated)), b.Home, orDash(billedMore(b)))
	}
	return t
}

// Total is what everything cost, or is to cost, in words; "" where nothing is known but open
// prices.
func Total(st *landed.Statement) string {
	open := withoutOpen(st)
	if open != "" && st.Total.Minor() == 0 {
		return ""
	}
	return "total cost " + st.Total.String() + then(" ", open)
}

const (
	billsTitle = "The bills of the border beside the estimates"
	billsHint  = "the bills in the file (assessed) take the place of these figures where they have them"
)

// BillsSay says what the border takes by its bills, beside the estimates that they take the place
// of, and what is still estimated; "" where no bill has come.
func BillsSay(st *landed.Statement) string {
	bills, sum, more, known := st.Bills(), billed(st), int64(0), true
	for _, b := range bills {
		more += b.Home.Minor() - b.AsEstimated.Minor()
		known = known && b.AsEstimated.Currency() != 0
	}
	in := func(minor int64) money.Amount { return money.New(minor, st.Home) }
	rest, text := st.Estimate(), ""
	switch {
	case len(bills) == 0:
		return ""
	case !known:
	case more == 0:
		text = ", as was estimated for them"
	case more < 0:
		text = fmt.Sprintf(", %s less than was estimated for them", in(-more).Said())
	default:
		text = fmt.Sprintf(", %s more than was estimated for them", in(more).Said())
	}
	if rest.Sign() == 0 {
		return fmt.Sprintf("The border takes %s by the bills that have come%s", sum, text)
	}
	return fmt.Sprintf("The border takes %s: %s by the bills that have come%s, and %s still estimated", asksOf(st), sum, text, rest)
}

// IsBills reports whether a block is the table of the bills of the border, or its note.
func IsBills(b sheet.Block) bool {
	switch b := b.(type) {
	case *sheet.Table:
		return b.Title == billsTitle
	case sheet.Note:
		return b.Text == billsHint
	}
	return false
}

// BillRow is what the border asks of a parcel of one kind, in home: as the rules have it, as the
// bill has it, and by how much that is more. What is not known is "".
type BillRow struct {
	Parcel               string // id, "" for the one box of a haul without parcels
	Kind                 landed.Kind
	Estimate, Bill, More string
}

// BillRows are duty, tax and fees of each parcel that was assessed or billed.
func BillRows(st *landed.Statement) []BillRow {
	var rows []BillRow
	for _, b := range st.Bills() {
		rows = append(rows, BillRow{b.Parcel, b.Kind, number(b.AsEstimated), b.Home.Number(), billedMore(b)})
	}
	if st.Border == nil {
		return rows
	}
	for i := range st.Border.Parcels {
		for _, k := range []landed.Kind{landed.Duty, landed.Tax, landed.Fee} {
			sum, id := int64(0), st.Border.Parcels[i].ID
			for l := range sheet.All(st.Lines) {
				if l.Estimated && l.Kind == k && l.Parcel == id {
					sum += l.Home.Minor()
				}
			}
			if !slices.ContainsFunc(rows, func(r BillRow) bool { return r.Kind == k && (r.Parcel == id || r.Parcel == "") }) {
				rows = append(rows, BillRow{Parcel: id, Kind: k, Estimate: money.New(sum, st.Home).Number()})
			}
		}
	}
	return rows
}

// billedMore prints by how much a bill is above its estimate, if that is known.
func billedMore(b *landed.Line) string {
	if b.AsEstimated.Currency() == 0 {
		return ""
	}
	return less(b.Home, b.AsEstimated).Number()
}

func sharedBy(line *landed.Line) sheet.Cell {
	if line.Item != "" {
		return sheet.Cell{Text: "charged to this item only"}
	}
	return sheet.Cell{Text: line.SharedBy(), Data: line.By.String()}
}

// working is how each amount was found and shared, step by step.
func working(st *landed.Statement) *sheet.Table {
	return workingTable("The working", allSteps(st))
}

func allSteps(st *landed.Statement) (steps []landed.Step) {
	for line := range sheet.All(st.Lines) {
		steps = append(steps, st.Working(line)...)
	}
	return steps
}

func itemWorking(st *landed.Statement, item int) *sheet.Table {
	return workingTable("The working of "+st.Items[item].ID, st.ItemWorking(item))
}

func workingTable(title string, steps []landed.Step) *sheet.Table {
	t := &sheet.Table{Title: title, Columns: []sheet.Column{
		{Head: "step", Key: "step", Wrap: true, Min: 14},
		{Head: "from", Key: "from", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 14},
		{Head: "result", Key: "result", Wrap: true, Min: 12},
	}}
	for _, s := range steps {
		t.Add(s.What, s.From, s.Rule, s.Result)
	}
	return t
}

// A Trial is what a haul costs when its prices are shared by one basis, or
// why they cannot be.
type Trial struct {
	Basis     landed.Basis
	Statement *landed.Statement // nil when Err is set
	Err       error
}

// basisKeys are the names of a basis for other programs: the first is that of a
// column.
func basisKeys(b landed.Basis) []string {
	if b == landed.ByLine {
		return []string{landed.ByEqual.String(), b.String()} // the first is the older one, which they may know
	}
	return []string{b.String()}
}

// Comparison sets what a piece of each item costs under every basis side by side. One of them must
// have a statement.
func Comparison(trials []Trial) Result {
	first := slices.IndexFunc(trials, func(t Trial) bool { return t.Statement != nil })
	return resultOf(trials, comparisonSheet, comparisonTable, comparisonJSON).about(trials[first].Statement)
}

func comparisonSheet(trials []Trial) *sheet.Sheet {
	doc := sheet.New(sheet.Heading("What one piece costs when prices are shared by …"), comparisonTable(trials))
	for _, trial := range trials {
		if trial.Statement == nil {
			doc.Add(hint(fmt.Sprintf("not possible by %s: %v", trial.Basis, trial.Err)))
		}
	}
	return doc.Add(adviceTable())
}

// basisAdvice says when each basis is the fair one. It is common practice, no
// source, but for value: tax guides ask for it when unlike things were bought
// for one price.
var basisAdvice = [][2]string{
	{"value", "unlike pieces for one price: each takes its part, by what it should sell for"},
	{"weight", "the price follows the material, as with tools sold by the kilo"},
	{"count", "pieces much alike, or nobody can say what they are worth"},
	{"line", "each line of the list the same, however many pieces it has: one line, one lot of trouble"},
}

// BasisAdvice says when each basis is the fair one, a line for each.
func BasisAdvice() string {
	var b strings.Builder
	for _, advice := range basisAdvice {
		fmt.Fprintf(&b, "%-7s %s\n", advice[0], advice[1])
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func adviceTable() *sheet.Table {
	t := &sheet.Table{Topic: "advice", Columns: []sheet.Column{{}, {Wrap: true}}}
	for _, advice := range basisAdvice {
		t.Add(advice[0], advice[1])
	}
	return t
}

func comparisonTable(trials []Trial) *sheet.Table {
	t := &sheet.Table{Topic: "bases", Columns: []sheet.Column{{Head: "item", Key: "id"}, {Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 1}}}
	var done []*landed.Statement
	for _, trial := range trials {
		if trial.Statement != nil {
			t.Columns = append(t.Columns, sheet.Column{Head: trial.Basis.String(), Key: basisKeys(trial.Basis)[0], Align: sheet.Right})
			done = append(done, trial.Statement)
		}
	}
	t.Columns = append(t.Columns, sheet.Column{Head: "spread", Key: "spread", Align: sheet.Right})
	for i := range done[0].Items {
		addCompared(t, done, i)
	}
	total := []any{"sum of all", nil}
	for _, st := range done {
		total = append(total, st.Total)
	}
	t.AddSum(total...)
	return t
}

func addCompared(t *sheet.Table, done []*landed.Statement, i int) {
	cells := []any{done[0].Items[i].ID, done[0].Items[i].What}
	var least, most money.Amount
	for n, st := range done {
		each := dearest(&st.Items[i])
		if n == 0 || each.Cmp(least) < 0 {
			least = each
		}
		if n == 0 || each.Cmp(most) > 0 {
			most = each
		}
		cells = append(cells, each)
	}
	if spread, err := most.Sub(least); err == nil {
		cells = append(cells, sheet.Bold(spread))
	}
	t.Add(cells...)
}

// dearest returns what the dearest piece of an item costs, below zero where more came back than was
// paid; zero where every piece came to nothing.
func dearest(item *landed.ItemCost) money.Amount {
	each := item.Each()
	if len(each) == 0 {
		return money.New(0, item.Cost.Currency())
	}
	return slices.MaxFunc(each, func(a, b landed.Pieces) int { return a.Each.Cmp(b.Each) }).Each
}
