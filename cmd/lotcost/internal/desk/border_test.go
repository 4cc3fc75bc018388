package desk

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

// TestBorder types the bill of one of two boxes beside its estimate: the difference and the total
// are those of the command on the file.
func TestBorder(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=border")
	p.Holds(`document.getElementById("estimate box-1 tax").textContent`, "19,55")
	p.On(`[name="parcels[box-1].assessed.tax"]`, `focus()`)
	p.Keys("21,4")
	p.Holds(`document.getElementById("more box-1 tax").textContent`, "1,85")
	if s.text("three.yaml") != three {
		t.Fatal("it was written before the field was left")
	}
	p.Keys("0\t")
	s.waitSaved("three.yaml", strings.Replace(three, "freight: 4100 JPY}", `freight: 4100 JPY, assessed: {tax: "21,40"}}`, 1))
	var said struct {
		Total   string
		Bills   []struct{ Parcel, Kind, Difference string }
		Charges []struct{ Kind, Home string }
	}
	s.said(&said, "split", "three.yaml")
	border := decimal.Zero // of both boxes, of which one has a bill, for tax alone
	for _, c := range said.Charges {
		if c.Kind == "duty" || c.Kind == "tax" {
			border = border.Add(decimal.RequireFromString(c.Home))
		}
	}
	estimated := figure(border.Sub(decimal.RequireFromString("21.40")).StringFixed(2), true)
	p.Holds(`document.querySelector("#answer h2").textContent.replace(/\u00a0/g, " ")`, "The border takes "+figure(border.StringFixed(2), true)+" EUR: 21,40 EUR by the bills that have come, 1,85 more than was estimated for them, and "+estimated+" EUR still estimated")
	p.Holds(`document.getElementById("total").textContent.replace("\u00a0", " ")`, "total cost "+figure(said.Total, true)+" EUR")
	p.Holds(`document.getElementById("more box-1 tax").textContent`, "1,85")
	p.Holds(`document.activeElement.name`, "parcels[box-1].assessed.fee")
	look(t, p, "border")
	for bill, says := range map[string]string{"19,55": ", as was estimated for them", "18,55": "less than was estimated for them"} {
		put(t, filepath.Join(s.folder, "three.yaml"), strings.Replace(three, "freight: 4100 JPY}", `freight: 4100 JPY, assessed: {tax: "`+bill+`"}}`, 1))
		if page := s.get("/haul/three.yaml?view=border").body; !strings.Contains(page, says) {
			t.Errorf("%s: %s", bill, page)
		}
	}
}

// TestBillBesideDefaults types a bill where the way over the border stands in the defaults alone: a
// customs section of the haul's own would take their place.
func TestBillBesideDefaults(t *testing.T) {
	const haul = "lotcost: 1\nwith: book.yaml\ntitle: One\ndate: 2026-10-03\nfrom: JP\nlots:\n  - {id: lot, price: 90 CAD, items: [{id: jack, class: plane, value: 120 CAD}]}\n"
	const defaults = "lotcost-book: 1\nhome: CAD\nto: CA-ON\ncustoms: {use: resale, by: courier, classes: {plane: {what: Planes, duty: 6.5%}}}\n"
	s := entered(t, "one.yaml", haul, "book.yaml", defaults)
	p := s.at("/haul/one.yaml?view=border")
	before := p.Text(`document.getElementById("total").textContent`)
	p.On(`[name="begin bill"]`, `click()`)
	s.waitSaved("one.yaml", haul+"parcels:\n  - {id: box, lots: [lot]}\n")
	p.Holds(`document.getElementById("total").textContent`, before)
	p.Holds(`document.getElementById("estimate box duty")?.textContent`, "5.85")
	p.On(`[name="parcels[box].assessed.duty"]`, `focus()`)
	p.Keys("6.10\t")
	p.Holds(`document.getElementById("more box duty").textContent`, "0.25")
	lookAgain(t, p, "border, defaults")
}

// TestNoBorder has no bills to type where nothing is said of customs: for none of the boxes.
func TestNoBorder(t *testing.T) {
	s := entered(t, "crate.yaml", crate+"parcels:\n  - {id: first, freight: 900 JPY, lots: [crate]}\n  - {id: second, freight: 800 JPY, lots: [crate]}\n")
	page := s.get("/haul/crate.yaml?view=border").body
	if !strings.Contains(page, "parcels[second].billed") || strings.Contains(page, "assessed") {
		t.Errorf("without customs there is\n%s", page)
	}
}

// TestFieldsByDefaults wants no field of a section that stands in the defaults: what is typed would
// be a section of the haul's own, in place of all that they say.
func TestFieldsByDefaults(t *testing.T) {
	const haul = "lotcost: 1\nwith: book.yaml\ntitle: One\ndate: 2026-10-03\nfrom: JP\nlots:\n  - {id: lot, price: open, items: [{id: jack, class: plane, value: 120 CAD}]}\n"
	const defaults = "lotcost-book: 1\nhome: CAD\nto: CA-ON\ncustoms: {use: resale, by: courier, classes: {plane: {what: Planes, duty: 6.5%}}}\nbidding: {goal: {return: 25%, risk: 20%}}\n"
	s := entered(t, "one.yaml", haul, "book.yaml", defaults, "own.yaml", haul+"bidding: {goal: {return: 30%}}\n")
	page := s.get("/haul/one.yaml?view=before").body
	for _, want := range []string{">resale, in book.yaml<", ">courier, in book.yaml<"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, name := range []string{"customs.use", "bidding.goal.return", "bidding.goal.risk"} {
		if strings.Contains(page, `name="`+name+`"`) {
			t.Errorf("%s may be typed", name)
		}
	}
	if page := s.get("/haul/own.yaml?view=before").body; !strings.Contains(page, `name="bidding.goal.risk"`) || strings.Contains(page, `name="customs.use"`) {
		t.Error("a section of the haul's own has no fields, or that of the defaults has")
	}
}

// TestBorderOfOpenLots says why nothing is estimated while prices are open, and which bills came.
func TestBorderOfOpenLots(t *testing.T) {
	const open = "lotcost: 1\nhome: CAD\nfrom: JP\nto: CA-ON\ndate: 2026-10-03\nexchange: {rates: [100 JPY = 0.93 CAD]}\ncustoms: {classes: {plane: {duty: 6.5%}}}\nlots:\n  - {id: lot, price: open, items: [{id: jack, class: plane, value: 120 CAD}]}\n"
	s := entered(t, "open.yaml", open)
	if page := s.get("/haul/open.yaml?view=border").body; !strings.Contains(page, "Without the open price of lot") || strings.Contains(page, "lotcost duty") || strings.Contains(page, "The border takes") {
		t.Errorf("the page does not say why it has no estimate:\n%s", page)
	}
	s = entered(t, "billed.yaml", open+"  - {id: other, price: 900 JPY, items: [{id: block, class: plane, value: 20 CAD}]}\nparcels: [{id: a, lots: [other], assessed: {duty: 1, tax: 2.50, fee: 9.95}}, {id: b, lots: [lot]}]\n")
	if page := s.get("/haul/billed.yaml?view=border").body; !strings.Contains(page, `13.45 CAD</data> by the bills that have come`) || !strings.Contains(page, "Without the open price of lot") {
		t.Errorf("the page does not say what has come:\n%s", page)
	}
}
