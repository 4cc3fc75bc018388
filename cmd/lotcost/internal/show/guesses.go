package show

import (
	"cmp"
	"fmt"
	"math/big"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"
)

// Guesses is how often came true what was said of untested pieces.
func Guesses(r *book.Result) Result {
	return resultOf(&r.Guesses, guessSheet, saidTable, guessesJSON)
}

func guessSheet(g *book.Guesses) *sheet.Sheet {
	if g.Pieces == 0 {
		return sheet.New(sheet.Heading("Nothing was guessed yet of which it is known what was found"))
	}
	text := guessText(g)
	doc := sheet.New(sheet.Heading(text[:len(text)-1]), sheet.PageOnly(func() []sheet.Block { return saidChart(g) }), saidTable(g))
	for _, by := range []struct {
		head string
		list []book.Scored
	}{{"seller", g.BySeller}, {"class", g.ByClass}, {"model", g.ByModel}} {
		doc.AddIf(len(by.list) > 1 || len(by.list) == 1 && by.list[0].Name != "", scoreTable(by.head, by.list))
	}
	return doc.Add(sheet.Text(fmt.Sprintf("Brier score %s: 0 is best, and %s is the score of saying the same average of every piece. Of it %s is since what was said is not how often it came, less %s since good pieces were known from bad ones.",
		score(g.Brier), score(g.Uncertainty), score(g.Reliability), score(g.Resolution))),
		remark("a guess is the chance that a piece is sound; in a thin record the parts of the score are rough"))
}

func ratio(a, b int64) *big.Rat { return big.NewRat(a, max(b, 1)) }

// saidTable is what came by what was said.
func saidTable(g *book.Guesses) *sheet.Table {
	t := &sheet.Table{Topic: "guesses", Columns: []sheet.Column{{Head: "said", Key: "said", Align: sheet.Decimal}, {Head: "pieces", Key: "pieces", Align: sheet.Right}, {Head: "were sound", Key: "came", Align: sheet.Right}, {Head: "that is", Align: sheet.Right}}}
	for s := range sheet.All(g.ByChance) {
		t.Add(sheet.Cell{Text: percent(s.Mean), Data: chanceText(s.Mean)}, s.Pieces, s.Came, percent(ratio(s.Came, s.Pieces)))
	}
	return t
}

func scoreTable(head string, list []book.Scored) *sheet.Table {
	t := &sheet.Table{Title: "By " + head, Columns: []sheet.Column{{Head: head, Wrap: true}, {Head: "pieces", Align: sheet.Right}, {Head: "said", Align: sheet.Right}, {Head: "were sound", Align: sheet.Right}, {Head: "that is", Align: sheet.Right}, {Head: "Brier score", Align: sheet.Right}}}
	for s := range sheet.All(list) {
		t.Add(cmp.Or(s.Name, "not named"), s.Pieces, percent(s.Mean), s.Came, percent(ratio(s.Came, s.Pieces)), score(s.Brier))
	}
	return t
}
