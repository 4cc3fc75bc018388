package desk

import (
	"regexp"
	"strings"
	"testing"
)

// TestNames: results call pieces and lots what was typed of them, alike ones with their ids behind;
// nobody who hears the fields of a page is read a path of the file; what is exported does not say
// where the folder lies, and what is handed on has the ids.
func TestNames(t *testing.T) {
	const haul = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nselling: {venues: [{name: stall}]}\nlots:\n  - {id: a, title: Crate of planes, price: 40 CAD, items: [{id: jack, what: Jack plane, count: 2, weight: 1.9 kg, value: 38 CAD}, {id: jack-old, what: Jack plane, weight: 1 kg, value: 20 CAD}]}\n  - {id: b, price: 9 CAD, items: [{id: sq, what: Try square, weight: 310 g, value: 12 CAD}]}\ncharges: [{what: Parcel, kind: freight, amount: 12 CAD, on: [b]}]\n"
	s := entered(t, "one.yaml", haul)
	p := s.at("/haul/one.yaml?view=costs")
	p.Holds(`document.querySelector("#answer h2").textContent`, "3 items, 4 pieces: total cost 61.00 CAD; Jack plane (jack) costs 15.84 a piece, Jack plane (jack-old) 8.33 and Try square 21.00")
	p.Holds(`document.body.innerText.split("total cost 61.00").length`, "2") // said once
	for _, v := range views {
		if v == textView || v == boxesView || v == eveningView {
			continue
		}
		p.Go(s.base + "/haul/one.yaml?view=" + v.id)
		p.Holds(`[...document.querySelectorAll("label, [aria-label]")].map(l => (l.matches("label") ? l.textContent : "") + " " + (l.ariaLabel || "")).filter(text => /\[|\]|~|\.\w+$/.test(text)).join("; ")`, "")
	}
	p.Go(s.base + "/haul/one.yaml?view=before")
	p.Holds(`document.querySelector('[name="lots[b].items[sq].weight"]').labels[0].textContent`, "Weight of Try square, lot b")
	p.Go(s.base + "/haul/one.yaml?view=opened")
	p.Holds(`[...document.querySelectorAll("tbody th")].map(h => h.textContent).join(", ")`, "Jack plane (jack), Jack plane (jack-old), Try square")
	if list := s.get("/write/one.yaml?of=costs&as=csv").body; strings.Contains(list, s.folder) || !strings.Contains(list, "one.yaml") || !strings.Contains(list, "jack-old") {
		t.Errorf("the list is\n%s", list)
	}
	p.Go(s.base + "/stock")
	p.Holds(`document.querySelector("main table a").textContent`, "one")
	look(t, p, "stock by name")
}

// TestApart: what is called alike in two lots has its lot behind, and its id only where that does
// not tell it apart; lots of a box, and pieces in a headline, go by what was typed of them.
func TestApart(t *testing.T) {
	const haul = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\nlots:\n  - {id: a, title: Crate, price: 40 CAD, items: [{id: jack, what: Jack plane}, {id: sq, what: Square}, {id: sq-2, what: Square}]}\n  - {id: b, title: Box, price: 9 CAD, items: [{id: jack-2, what: Jack plane}]}\nshare: {price: count}\nparcels: [{id: one, lots: [a, b]}]\ncustoms: {use: personal, by: post, class: g, classes: {g: {duty: free}}, assessed: {duty: 1 CAD, tax: 1 CAD}}\n"
	s := entered(t, "one.yaml", haul)
	for view, want := range map[string][]string{
		"opened": {"Jack plane (Crate) costs", "Square (sq)", "Square (sq-2)", "Jack plane (Box)"},
		"border": {"<p>Crate, Box</p>"},
		"before": {`value="Crate, Box"`},
	} {
		page := s.get("/haul/one.yaml?view=" + view).body
		for _, text := range want {
			if !strings.Contains(page, text) {
				t.Errorf("%s has no %s:\n%s", view, text, page)
			}
		}
	}
}

// TestUntitled: a lot without a title is read as "lot 1" wherever it is told of, and keeps its id
// in addresses and in the file.
func TestUntitled(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nlots:\n  - {id: lot-1, price: 40 CAD, items: [{id: jack, what: Jack plane, value: 50 CAD}]}\n  - {id: lot-2, price: 9 CAD, items: [{id: jack-2, what: Jack plane, value: 5 CAD}]}\n  - {id: lot-b, price: 9 CAD, items: [{id: square, value: 5 CAD}]}\n")
	page := s.get("/haul/one.yaml?view=opened").body
	for _, want := range []string{"Jack plane (lot 1) costs", "<h2>lot 1</h2>", "<h2>lot-b</h2>", `lots[lot-1].items[jack].found.sound`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s:\n%s", want, page)
		}
	}
	for _, v := range views {
		if v == textView { // which is the file
			continue
		}
		page := s.get("/haul/one.yaml?view=" + v.id).body
		if reported := regexp.MustCompile(`>[^<]*lot-[12][^<]*`).FindString(page); reported != "" {
			t.Errorf("%s: it is told of as in %s", v.id, reported)
		}
	}
}

// TestOnlyPiece: a lot that is called as its only piece needs no id, a lot and a piece of another
// that have the same id keep their own names, of a single month no line is told of, and a change is
// told of by no key of ours.
func TestOnlyPiece(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nlots:\n  - {id: lot-1, title: Level, price: 40 CAD, items: [{id: lvl, what: Level, value: 50 CAD}]}\n  - {id: roll, title: Roll in canvas, price: 9 CAD, items: [{id: roll, what: Chisel, count: 3, value: 5 CAD}]}\n")
	h, err := s.read("one.yaml")
	if err != nil || h.File == nil {
		t.Fatal(err, h.Faults)
	}
	names := h.Shown()
	for got, want := range map[string]string{names.lots["lot-1"]: "Level (lot)", names.names["lvl"]: "Level", names.lots["roll"]: "Roll in canvas", names.names["roll"]: "Chisel"} {
		if got != want {
			t.Errorf("%s for %s", got, want)
		}
	}
	item := h.at("lots", 1, "items", 0)
	if got, want := h.inWords([]change{{item.Below("~value"), "6"}, {item.Below("~chance"), "60%"}, {item.Below("found", "sound"), "2"}, {item.Below("found", "parts"), "1"}}), "Value of Chisel, Roll in canvas: 6; Chance of Chisel, Roll in canvas: 60%; Sound of Chisel, Roll in canvas: 2; For parts of Chisel, Roll in canvas: 1"; strings.Join(got, "; ") != want {
		t.Errorf("%s, want %s", got, want)
	}
	if page := s.get("/years").body; !strings.Contains(page, `The stock cost <data value="49.00">49.00 CAD</data> at the end of 2026-10; the profit was <data value="0.00">0.00 CAD</data>.`) || strings.Contains(page, "thick line") {
		t.Error(page)
	}
}
