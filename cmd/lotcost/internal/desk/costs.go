package desk

import (
	"errors"
	"html/template"
	"net/http"
	"net/url"
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
)

// costsView is what each piece cost.
var costsView = &view{id: "costs", Title: "What it cost", show: showCosts}

func showCosts(h *haul, r *http.Request) (parts, error) {
	st := h.ShownStatement()
	if st == nil {
		return parts{}, nil
	}
	if id := r.URL.Query().Get("item"); id != "" {
		i := h.Statement().ItemAt(id)
		if i < 0 {
			return parts{}, errors.New("there is no item with the id " + id)
		}
		work, err := written(show.ItemWorking(st, i).Sheet(), h.Comma())
		return parts{Work: work}, err
	}
	result := show.Split(st)
	if r.URL.Query().Has("working") {
		result = show.SplitWorking(st, h.File.Defaults)
	}
	first, rest := parted(result.Whole())
	find := template.HTML("")
	if len(st.Items) > atOnce {
		find, _ = fill("find", "pieces")
		rest = h.inFolds(rest)
	}
	answer, work, err := h.halves(first, rest)
	return parts{Answer: answer, Work: find + `<div id="costs" data-live>` + work + `</div><p><a href="?view=costs&amp;working">How each amount was found and shared</a></p>`}, err
}

// costRow is a row of the account, with that of its lot.
type costRow struct {
	lot  string
	head sheet.Row
	row  sheet.Row
}

// inFolds is the account with its pieces in folds, below the field that looks for some, and the
// charts behind them; each piece leads to how its cost came about.
func (h *haul) inFolds(s *sheet.Sheet) *sheet.Sheet {
	at := slices.IndexFunc(s.Blocks, func(b sheet.Block) bool { t, is := b.(*sheet.Table); return is && t.Continued })
	t := withoutEmpty(s.Blocks[at].(*sheet.Table))
	var rows []costRow
	var head sheet.Row
	sums := *t
	sums.Topic, sums.Rows = "sum", nil
	for _, row := range t.Rows {
		switch row.Kind {
		case sheet.Group:
			head = row
		case sheet.Sum:
			sums.Rows = append(sums.Rows, row)
		default:
			n := len(rows)
			row.Cells = slices.Clone(row.Cells)
			row.Cells[0].Link = "?view=costs&item=" + url.QueryEscape(h.Statement().Items[n].ID)
			rows = append(rows, costRow{h.ShownStatement().Items[n].Lot.ID, head, row})
		}
	}
	var list []sheet.Block
	for _, p := range inParts("costs", rows, true, func(r *costRow) (lot, name string) { return r.lot, r.row.Cell(0).Text }) {
		of := *t
		of.Topic, of.Rows = p.Title, nil
		for i, r := range p.Rows {
			if i == 0 || r.lot != p.Rows[i-1].lot {
				of.Rows = append(of.Rows, r.head)
			}
			of.Rows = append(of.Rows, r.row)
		}
		list = append(list, &sheet.Folded{Title: p.Title, ID: p.ID, Many: true, Blocks: []sheet.Block{&of}})
	}
	return &sheet.Sheet{Blocks: slices.Concat(list, []sheet.Block{&sums}, s.Blocks[:at], s.Blocks[at+1:])}
}
