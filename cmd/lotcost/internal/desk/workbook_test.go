package desk

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"

	"github.com/xuri/excelize/v2"
)

// handIn chooses a workbook in the form of the haul, and sends it.
func handIn(p *browser.Page, data []byte) {
	numbers := []int{}
	for _, b := range data {
		numbers = append(numbers, int(b))
	}
	text, _ := json.Marshal(numbers)
	p.On(`form[action="/workbook"] [type=file]`, `files = (() => { const data = new DataTransfer(); data.items.add(new File([new Uint8Array(`+string(text)+`)], "Costs.xlsx")); return data.files; })()`)
	p.On(`form[action="/workbook"] button`, `click()`)
}

// changedBook is a workbook with figures typed into cells, as an independent program saves it.
func changedBook(t *testing.T, whole []byte, cells map[string]any) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for cell, value := range cells {
		page, at, _ := strings.Cut(cell, "!")
		if err := f.SetCellValue(page, at, value); err != nil {
			t.Fatal(err)
		}
	}
	out, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestWorkbook hands the workbook over that the desk wrote, with figures typed into it: the changes
// are shown, written once they are agreed to, and taken back as one.
func TestWorkbook(t *testing.T) {
	const haul = "lotcost: 1\ndecimal: comma\nhome: EUR\nexchange: {rates: [\"1 GBP = 1,16 EUR\"]}\nlots:\n  - id: a\n    title: Kiste\n    price: 90 GBP # gefragt\n    items:\n      - {id: hobel, what: Hobel, weight: \"1,9 kg\", value: 31 EUR}\n      - {id: feile, what: Feile, weight: 300 g, value: 9 EUR}\ncharges:\n  - {what: Post, kind: freight, amount: \"12,50 GBP\"}\n"
	s := entered(t, "one.yaml", haul)
	answer := s.get("/write/one.yaml?of=costs&as=xlsx")
	if answer.status != http.StatusOK {
		t.Fatal(answer)
	}
	whole := []byte(answer.body)
	p := s.at("/haul/one.yaml?view=costs")
	p.Holds(`document.querySelectorAll("[data-undo]").length`, "0") // there is nothing to take back yet
	handIn(p, changedBook(t, whole, map[string]any{"sharing!E2": "1,8 kg", "paid!C3": 13}))
	p.Holds(`document.getElementById("wrong").textContent.includes("sharing!E2") && document.getElementById("wrong").textContent.includes("type the figure alone, in g: 1800")`, "true")
	p.Holds(`(r => r.top >= 0 && r.bottom <= innerHeight)(document.querySelector("#wrong li").getBoundingClientRect())`, "true") // far above what was pressed
	handIn(p, changedBook(t, whole, map[string]any{"sharing!E2": 1850.5, "paid!C3": 13, "paid!G2": 105.4}))
	p.Holds(`document.querySelector("h1").textContent`, "3 changes in the workbook")
	p.Holds(`[...document.querySelectorAll("tbody tr")].some(r => [...r.cells].map(c => c.textContent).join("|") === "What the bank took for Kiste|nothing|105,40 EUR|paid!G2")`, "true")
	p.Holds(`[...document.querySelectorAll("tbody tr")].map(r => [...r.cells].map(c => c.textContent).join("|")).join("\n").includes("12,50 GBP|13.00 GBP")`, "false")
	look(t, p, "workbook")
	if s.text("one.yaml") != haul {
		t.Errorf("it was written:\n%s", s.text("one.yaml"))
	}
	p.On(`form[action="/save"] button`, `click()`)
	p.Holds(`document.getElementById("main").dataset.view`, "costs")
	want := strings.NewReplacer(`"1,9 kg"`, `"1,8505 kg"`, `"12,50 GBP"`, `"13 GBP"`, "price: 90 GBP # gefragt\n", "price: 90 GBP # gefragt\n    settled: 105,40 EUR\n").Replace(haul)
	if got := s.text("one.yaml"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	p.On(`[data-undo]`, `focus()`)
	p.On(`[data-undo]`, `click()`)
	p.Holds(`document.getElementById("said").textContent.length > 0`, "true")
	p.Holds(`document.querySelectorAll("[data-undo]").length + document.activeElement.id`, "0main")
	if got := s.text("one.yaml"); got != haul {
		t.Errorf("taken back it is\n%s", got)
	}
	handIn(p, changedBook(t, whole, nil))
	p.Holds(`document.querySelector("h1").textContent.startsWith("Nothing was changed")`, "true")
}

// TestWorkbookOfPrices: what was typed over a result of the workbook of prices is told by the name
// of its piece, with the workbook that takes it.
func TestWorkbookOfPrices(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\ndecimal: comma\nhome: EUR\nselling: {venues: [{name: Stand}]}\nlots:\n  - {id: a, title: Kiste, price: 90 EUR, items: [{id: hobel, what: Hobel, value: 31 EUR}, {id: feile, what: Feile, value: 9 EUR}]}\n  - {id: b, price: 4 EUR, items: [{id: zirkel, value: \"8,50 EUR\"}]}\n")
	p := s.at("/haul/one.yaml?view=costs")
	handIn(p, changedBook(t, []byte(s.get("/write/one.yaml?of=prices&as=xlsx").body), map[string]any{"prices!H2": 33.5, "prices!G2": 15}))
	p.Holds(`[...document.querySelectorAll("tbody tr")].map(r => [...r.cells].map(c => c.textContent).join("|")).join("\n")`, "Value of Hobel, Kiste|31 EUR|33,50 EUR|prices!H2")
	p.Holds(`document.querySelector("main li").textContent`, "prices!G2, Hobel, sound: cost at Stand: what a piece costs follows from what was paid: change that in the workbook of what it cost")
}

// TestWorkbookOfList: pieces of a list are put into the file first, as the remedy says; the
// workbook that was written before that is then taken.
func TestWorkbookOfList(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\nhome: CAD\nlots:\n  - {id: a, price: 90 CAD, items: list.csv}\n", "list.csv", "id,what,weight,value\njack,Jack,1.9 kg,31 CAD\n")
	book := changedBook(t, []byte(s.get("/write/one.yaml?of=costs&as=xlsx").body), map[string]any{"sharing!F2": 32})
	p := s.at("/haul/one.yaml?view=before")
	handIn(p, book)
	p.Holds(`document.getElementById("wrong").textContent.includes("which is not changed here: in “Lots and pieces” press “Put them into the lot file”")`, "true")
	p.On(`form[action="/list"] button`, `click()`)
	p.Holds(`document.querySelectorAll('[name="lots[a].items[jack].what"]').length`, "1")
	handIn(p, book)
	p.Holds(`document.querySelector("h1").textContent`, "1 change in the workbook")
	p.On(`form[action="/save"] button`, `click()`)
	p.Holds(`document.getElementById("main").dataset.view`, "costs")
	if got := s.text("one.yaml"); !strings.Contains(got, "value: 32 CAD") || !strings.Contains(got, "weight: 1.9 kg") {
		t.Error(got)
	}
}
