package desk

import (
	"html/template"
	"net/http"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
)

// borderView is what the border asks by its rules, and what came: the bill beside each estimate,
// and what the bank really took for all the rest.
var borderView = &view{id: "border", Title: "The border and the bills", when: []waits{onTheWay}, mends: true, fits: (*haul).hasBought, show: showBorder}

// billed is a line of a bill beside its estimate.
type billed struct {
	What, Estimate, More string
	ID                   string // of what is live in it
	Bill                 field
}

// billedBox is the bills of a box.
type billedBox struct {
	Title string
	Lots  string
	Lines []billed
	Begin set     // makes a parcel of the file that takes the bill; empty where it has a place
	Other []field // what the bank took for it, and what it weighed
}

type paidFor struct {
	What, Asked string
	Settled     field
}

type borderBody struct {
	Home  string
	Bare  bool // a border is met, and nothing is said of it
	Boxes []billedBox
	Taken []paidFor
	Many  bool // pieces, of which one looks for some
	Rest  template.HTML
}

func showBorder(h *haul, _ *http.Request) (parts, error) {
	b := borderBody{Home: h.home(), Boxes: h.billedBoxes(), Taken: h.paid()}
	b.Bare = h.File != nil && h.File.Border == nil && h.File.CrossesBorder()
	answer, rest := sheet.New(), sheet.New()
	if st := h.ShownStatement(); st != nil {
		if st.Border == nil {
			bills := show.BillsSay(st)
			answer.AddIf(bills != "", sheet.Heading(bills))
		} else {
			answer, rest = show.Duty(st, nil).Whole().Parted()
			b.Many = len(st.Items) > sheet.AtOnce
			rest.Blocks = slices.DeleteFunc(rest.Blocks, show.IsBills) // each stands beside its estimate already
		}
		answer.AddIf(len(st.Unknown) > 0, sheet.Note{Kind: sheet.Caution, Text: show.OpenText(st)})
	}
	var p parts
	var err error
	p.Answer, b.Rest, err = h.halves(answer, rest)
	if err != nil {
		return p, err
	}
	p.Work, err = fill("border.html", b)
	return p, err
}

// billedBoxes are the boxes with the bills of the border; all in one where the file names none.
func (h *haul) billedBoxes() []billedBox {
	var rows []show.BillRow
	if st := h.Statement(); st != nil {
		rows = show.BillRows(st)
	}
	n := h.Doc.Len(h.at("parcels"))
	one := n == 0 || h.Doc.Has(h.at("customs", "assessed")) // bill, for all of it
	var boxes []billedBox
	if one {
		switch {
		case h.Doc.Has(h.at("customs")):
			title := sheet.Either(n > 0, "One bill for all parcels", "All in one parcel")
			boxes = append(boxes, billedBox{Title: title, Lines: h.billedLines(rows, "", h.at("customs", "assessed"))})
		case h.meetsBorder(): // by the defaults, which a section of its own would take the place of
			boxes = append(boxes, billedBox{Title: "All in one parcel", Begin: h.putBox(0, &landed.Parcel{ID: "box", Lots: h.File.LotIDs()})})
		}
	}
	for i := range n {
		at := h.at("parcels", i)
		id := h.typed(at.Below("id"))
		box := billedBox{Title: id, Lots: h.lotsIn(at.Below("lots"))}
		if !one && h.meetsBorder() {
			box.Lines = h.billedLines(rows, id, at.Below("assessed"))
		}
		for _, f := range []struct{ label, key string }{{"Freight", "freight"}, {"Insurance", "insurance"}, {"Forwarder's fees", "fees"}} {
			if asked := at.Below(f.key); h.Doc.Has(asked) {
				box.Other = append(box.Other, h.field(f.label+" was "+h.typed(asked)+", the bank took", h.home(), at, "settled", f.key))
			}
		}
		box.Other = append(box.Other, h.field("Weight that was billed", "4.6 kg", at, "billed"))
		boxes = append(boxes, box)
	}
	return boxes
}

// meetsBorder reports whether the file or its defaults say how the border is met.
func (h *haul) meetsBorder() bool {
	return h.Doc.Has(h.at("customs")) || h.File != nil && h.File.Border != nil
}

// billedLines are duty, tax and fee of a box, with a field for each bill.
func (h *haul) billedLines(rows []show.BillRow, box string, at edit.Path) []billed {
	var lines []billed
	for _, k := range []landed.Kind{landed.Duty, landed.Tax, landed.Fee} {
		l := billed{What: k.String(), ID: box + " " + k.String(), Bill: h.field("Bill for "+k.String()+" "+box, h.home(), at, k.String())}
		l.Bill.Quiet = true
		if i := slices.IndexFunc(rows, func(r show.BillRow) bool { return r.Parcel == box && r.Kind == k }); i >= 0 {
			l.Estimate, l.More = h.figure(rows[i].Estimate), h.figure(rows[i].More)
		}
		lines = append(lines, l)
	}
	return lines
}

// figure is a text with figures in the marks of the file, and a minus for a hyphen before them.
func (h *haul) figure(text string) string {
	return minus().ReplaceAllString(h.marked(text), "$1\u2212$2")
}

var minus = sheet.Pattern(`(^| )-(\d)`)

// paid is what was asked for lots and charges, and what the bank took for it.
func (h *haul) paid() []paidFor {
	var list []paidFor
	for i := range h.Doc.Len(h.at("lots")) {
		at := h.at("lots", i)
		asked := h.typed(at.Below("price"))
		if asked == "" || h.isOpen(i) || h.isLost(i) {
			continue
		}
		if premium := h.typed(at.Below("premium")); premium != "" && strings.Trim(premium, "0%., ") != "" {
			asked += " and " + premium
		}
		list = append(list, h.takenFor(h.lotName(i), asked, at))
	}
	for i := range h.Doc.Len(h.at("charges")) {
		at := h.at("charges", i)
		list = append(list, h.takenFor(h.typed(at.Below("what")), h.typed(at.Below("amount")), at))
	}
	return list
}

func (h *haul) takenFor(what, asked string, at edit.Path) paidFor {
	f := h.field("The bank took for "+what, h.home(), at, "settled")
	f.Quiet = true
	return paidFor{what, asked, f}
}
