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
	first, rest := result.Whole().Parted()
	find := template.HTML("")
	if len(st.Items) > sheet.AtOnce {
		find, _ = fill("find", "pieces")
		rest = h.piecesFirst(rest)
	}
	answer, work, err := h.halves(first, rest)
	return parts{Answer: answer, Work: find + `<div id="costs" data-live>` + work + `</div><p><a href="?view=costs&amp;working">How each amount was found and shared</a></p>`}, err
}

// piecesFirst is an account of many pieces with them before the charts, below the field that looks
// for some; each leads to how its cost came about.
func (h *haul) piecesFirst(s *sheet.Sheet) *sheet.Sheet {
	at := slices.IndexFunc(s.Blocks, func(b sheet.Block) bool { t, is := b.(*sheet.Table); return is && t.Folds })
	n := 0
	for _, row := range s.Blocks[at].(*sheet.Table).Rows {
		if row.Kind == sheet.Body {
			row.Cells[0].Link = "?view=costs&item=" + url.QueryEscape(h.Statement().Items[n].ID)
			n++
		}
	}
	return &sheet.Sheet{Blocks: slices.Concat(s.Blocks[at:at+1], s.Blocks[:at], s.Blocks[at+1:])}
}
