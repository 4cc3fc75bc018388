package desk

import (
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/together"
)

// boxesView is the lots in boxes, moved by hand, and what that costs beside the best way.
var boxesView = &view{id: "boxes", Title: "Together or apart", fits: func(h *haul) bool {
	return h.File.Sending != nil && len(h.File.WithoutLost().Lots) > 1
}, show: showBoxes}

// boxesKey holds the boxes that are tried out, in an address.
const boxesKey = "boxes"

// boxed is a box with its lots.
type boxed struct {
	Name string
	Lots []boxedLot
}

type boxedLot struct {
	ID, Title string
	To        []move
}

// move is where a lot can go, by a link.
type move struct{ To, Address string }

type boxesBody struct {
	Boxes       []boxed
	Given, Rest template.HTML
	Put         set
	Takes       []string // charges that the boxes take the place of
	Why         string   // why they cannot go into the file
	Best        string   // the address of the best way; "" where it is shown
}

func showBoxes(h *haul, r *http.Request) (parts, error) {
	ctx, stop := h.search(r)
	defer stop()
	report, err := together.Plan(ctx, h.Shown().Haul, h.File.Sending, together.Options{})
	if err != nil {
		return parts{}, h.explain(err)
	}
	if report.Stopped {
		h.cut(r)
	}
	best := sheet.Each(report.Best.Parcels, func(s *together.Sent) []string { return h.Shown().idsOf(s.Parcel.Lots) })
	came := show.Stayed(&report.Best)
	boxes := boxesAsked(besides(came, h.File.Parcels), r.URL.Query().Get(boxesKey), best)
	way, err := together.Given(h.Shown().Haul, h.File.Sending, sheet.Each(boxes, func(lots *[]string) []string { return h.Shown().lotsNamed(*lots) }))
	if err != nil {
		return parts{}, err
	}
	b := boxesBody{Boxes: h.boxed(boxes, came)}
	if !slices.EqualFunc(boxes, best, slices.Equal) {
		b.Best = boxesAddress(best)
	}
	if way.Statement != nil {
		b.Put, b.Takes, b.Why = h.putBoxes(report, way, came)
	}
	var p parts
	answer, rest := show.Plans(report, nil).Whole().Parted()
	if b.Best != "" { // else these are the boxes of the best way
		given, table := show.Given(report, way).Parted()
		answer, rest = given.Add(answer.Blocks...), table.Add(rest.Blocks...)
	}
	if p.Answer, b.Given, err = h.halves(answer, rest); err != nil {
		return p, err
	}
	p.Work, err = fill("boxes.html", b)
	return p, err
}

// boxesAsked are the boxes of the address; those of the file that are to come where there are none,
// or they do not hold the same lots as the best, each once, and the best where none are either.
func boxesAsked(filed []landed.Parcel, text string, best [][]string) [][]string {
	var asked [][]string
	if json.Unmarshal([]byte(text), &asked) == nil && sameLots(asked, best) {
		return asked
	}
	still := sheet.Each(filed, func(p *landed.Parcel) []string { return p.Lots })
	if sameLots(still, best) {
		return still
	}
	return best
}

// besides are the parcels of a list that are not among some others, by their ids.
func besides(some, list []landed.Parcel) []landed.Parcel {
	return slices.DeleteFunc(slices.Clone(list), func(p landed.Parcel) bool { return named(some, p.ID) })
}

// named reports whether a parcel of a list has an id.
func named(list []landed.Parcel, id string) bool {
	return slices.ContainsFunc(list, func(p landed.Parcel) bool { return p.ID == id })
}

func sameLots(a, b [][]string) bool {
	held, want := slices.Concat(a...), slices.Concat(b...)
	slices.Sort(held)
	slices.Sort(want)
	return slices.Equal(held, want)
}

func boxesAddress(boxes [][]string) string {
	text, err := json.Marshal(boxes)
	if err != nil {
		return ""
	}
	return "?" + url.Values{"view": {"boxes"}, boxesKey: {string(text)}}.Encode()
}

// boxed are the boxes with where each lot may go, beside parcels that have come.
func (h *haul) boxed(boxes [][]string, came []landed.Parcel) []boxed {
	title := map[string]string{}
	for i := range h.File.Lots {
		title[h.File.Lots[i].ID] = h.Shown().lots[h.File.Lots[i].ID]
	}
	var list []boxed
	for i, lots := range boxes {
		b := boxed{Name: boxName(i, came)}
		for _, id := range lots {
			l := boxedLot{ID: id, Title: title[id]}
			for to := range len(boxes) + 1 {
				if to == i || to == len(boxes) && len(lots) == 1 {
					continue
				}
				m := move{To: boxName(to, came), Address: boxesAddress(moved(boxes, id, i, to)) + "#" + strings.ReplaceAll(url.PathEscape("lot-"+id), ":", "%3A")}
				if to == len(boxes) {
					m.To = "a box of its own"
				}
				l.To = append(l.To, m)
			}
			b.Lots = append(b.Lots, l)
		}
		list = append(list, b)
	}
	return list
}

// boxName is what a box of a plan is called: as no parcel that has come.
func boxName(i int, came []landed.Parcel) (name string) {
	for number := 0; i >= 0; i-- {
		for number++; ; number++ {
			if name = fmt.Sprintf("box-%d", number); !named(came, name) {
				break
			}
		}
	}
	return name
}

// moved are the boxes with a lot in another one; one that is empty then is gone.
func moved(boxes [][]string, id string, from, to int) [][]string {
	var after [][]string
	for i, lots := range append(slices.Clone(boxes), nil) {
		lots = slices.Clone(lots)
		if i == from {
			lots = slices.DeleteFunc(lots, func(l string) bool { return l == id })
		}
		if i == to {
			lots = append(lots, id)
		}
		if len(lots) > 0 {
			after = append(after, lots)
		}
	}
	return after
}

// putBoxes are the values that put the boxes into the file, and what goes for them; or why that
// cannot be.
func (h *haul) putBoxes(r *together.Report, w *together.Way, came []landed.Parcel) (put set, takes []string, why string) {
	var out []edit.Path
	for _, a := range r.Aside {
		if a.Warning {
			continue
		}
		if a.Figure != "" {
			return nil, nil, a.What + " stands in the file, and would be for what is still to come too: " + a.Remedy
		}
		p := h.Doc.At(a.At)
		if len(p) < 2 || p[0].Key != "charges" {
			return nil, nil, a.What + " stands in the file, and is for other boxes"
		}
		takes, out = append(takes, a.What), append(out, p[:2])
	}
	for _, p := range slices.Backward(out) {
		put = append(put, [2]string{p.String(), ""})
	}
	list, kept := edit.Path{{Key: "parcels"}}, len(h.File.Parcels)
	for i, p := range slices.Backward(h.File.Parcels) {
		if !named(came, p.ID) {
			put = append(put, [2]string{list.Below(i).String(), ""})
			kept--
		}
	}
	boxes := besides(h.File.Parcels, came) // where the file has no parcels, what has come is in one
	for i := range w.Parcels {
		boxes = append(boxes, w.Parcels[i].Parcel)
	}
	for i := range boxes {
		put = append(put, h.putBox(kept+i, &boxes[i])...)
	}
	return put, takes, ""
}

func (h *haul) putBox(i int, p *landed.Parcel) set {
	list := edit.Path{{Key: "parcels"}}
	put := set{{list.Below(edit.New, "id").String(), p.ID}}
	for _, id := range h.Shown().idsOf(p.Lots) {
		put = append(put, [2]string{list.Below(i, "lots", edit.New).String(), id})
	}
	for _, figure := range edit.ParcelFigures(p) {
		put = append(put, [2]string{list.Below(i, figure[0]).String(), h.figure(figure[1])})
	}
	return put
}
