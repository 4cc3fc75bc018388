package show

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/selling"
)

// mostLabels is how many labels are written at most.
const mostLabels = 10_000

// Labels are labels for the pieces that are to be sold, one a piece. The cost stands on them in the
// letters of the user's own word, and not at all without one.
func Labels(r *doubles.Result, word selling.CostWord) Result {
	return Result{
		Sheet: func() *sheet.Sheet {
			n, _ := offered(r)
			doc := sheet.New(sheet.Heading(Plural(n, "label")))
			doc.AddIf(word.Write("0") == "", hint("no cost stands on them: give a word of ten different letters for its digits, --cost-word blacksmith, or in the file selling: {cost-word: blacksmith}"))
			return doc.Add(sheet.PageOnly(func() []sheet.Block { return []sheet.Block{labels(r, word)} }), labelTable(r, word))
		},
		Table: func() *sheet.Table { return labelTable(r, word) },
		JSON:  func() any { return labelsJSON(r, word) },
		Of:    r.Statement,
	}
}

// label is one label.
type label struct{ ID, What, State, Cost, Asking, Lowest string }

// allLabels are the labels, one a piece, the dearer pieces of an item first.
func allLabels(r *doubles.Result, word selling.CostWord) []label {
	list := []label{}
	for o := range sheet.All(r.Offers) {
		q := r.Quote(o)
		one := label{ID: o.ID, What: o.What, State: o.State.String()}
		if q.BreakEven.Err == nil {
			one.Lowest = q.BreakEven.Price.String()
		}
		switch {
		case asks(r) && q.Ask.Err == nil:
			one.Asking = q.Ask.Price.String()
		case !asks(r) && q.Expected != nil: // nobody said what is to be made of it
			one.Asking = q.Expected.Price.String()
		}
		for _, p := range o.Each {
			one.Cost = word.Write(p.Each.Number())
			for range p.Count {
				list = append(list, one)
			}
		}
	}
	return list
}

func labels(r *doubles.Result, word selling.CostWord) sheet.Labels {
	var list sheet.Labels
	for _, l := range allLabels(r, word) {
		out := sheet.Label{ID: l.ID, What: l.What}
		if l.State == landed.ForParts.String() {
			out.What = strings.TrimPrefix(l.What+", for parts", ", ")
		}
		for _, line := range [][2]string{{"asking", l.Asking}, {"lowest", l.Lowest}, {"", l.Cost}} {
			if line[1] != "" {
				out.Lines = append(out.Lines, line)
			}
		}
		list = append(list, out)
	}
	return list
}

func labelTable(r *doubles.Result, word selling.CostWord) *sheet.Table {
	t := &sheet.Table{Topic: "labels", Drawn: true, Columns: []sheet.Column{{Head: "item", Key: "id"}, {Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 2}, {Head: "state", Key: "state", Machine: allSound(r)},
		{Head: "cost, in letters", Key: "cost_code", Align: sheet.Right, Machine: word.Write("0") == ""}, {Head: "asking price", Key: "asking", Align: sheet.Right}, {Head: "lowest price", Key: "lowest", Align: sheet.Right}}}
	for _, l := range allLabels(r, word) {
		t.Add(l.ID, l.What, l.State, l.Cost, l.Asking, l.Lowest)
	}
	return t
}

func labelsJSON(r *doubles.Result, word selling.CostWord) any {
	return object{"title", r.Statement.Haul.Title, "venue", at(r), "labels", sheet.Each(allLabels(r, word), func(l *label) object {
		return object{"id", l.ID, "what", l.What, "state", l.State, "cost_code?", l.Cost, "asking?", l.Asking, "lowest?", l.Lowest}
	})}
}

// TooManyLabels says that there are more pieces than labels are written for; "" where not.
func TooManyLabels(r *doubles.Result) string {
	n := int64(0)
	for i := range r.Offers {
		if n += r.Offers[i].Count; n > mostLabels || n < 0 {
			return fmt.Sprintf("there are more than %d pieces to sell", mostLabels)
		}
	}
	return ""
}
