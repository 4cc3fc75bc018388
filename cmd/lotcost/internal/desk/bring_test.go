package desk

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/cmd/lotcost/internal/sheet"
)

// bringInto chooses a file in the form of the first lot that has one, and sends it.
func bringInto(p *browser.Page, name string, data []byte) {
	numbers := []int{}
	for _, b := range data {
		numbers = append(numbers, int(b))
	}
	text, _ := json.Marshal(numbers)
	p.On(`form[action="/bring"] [type=file]`, `files = (() => { const data = new DataTransfer(); data.items.add(new File([new Uint8Array(`+string(text)+`)], "`+name+`")); return data.files; })()`)
	p.On(`form[action="/bring"] button`, `click()`)
}

// TestBring takes the pieces of a lot from a list in Windows-1252 with semicolons and decimal
// commas, as a spreadsheet in Germany saves it, and those of another from a workbook. A list that
// cannot be read says where, and leaves nothing behind.
func TestBring(t *testing.T) {
	const haul = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n    price: 90 EUR\n    items:\n      -   # none yet\n  - {id: b, price: 20 EUR}\n"
	s := entered(t, "one.yaml", haul)
	p := s.at("/haul/one.yaml?view=before")
	for _, lot := range []string{"a", "b"} { // in words of the page, not of the file
		p.Holds(`[...document.querySelectorAll('[id="lots[`+lot+`]"] .field > .open')].map(e => e.textContent).join("; ").startsWith("it has no pieces yet: type what is in it")`, "true")
	}
	const list = "id;what;count;weight, kg;value\r\nhobel;Hobel, gro\xdf;3;0,87;31,50 \x80\r\nmeissel;Mei\xdfel;10;0,14;1.212,00\r\n"
	bringInto(p, "Meine Liste.CSV", []byte(strings.Replace(list, "0,87", "0;87", 1)))
	p.Holds(`document.getElementById("wrong").textContent.includes("meine-liste.csv, line 2")`, "true")
	if s.text("one.yaml") != haul {
		t.Errorf("it was written:\n%s", s.text("one.yaml"))
	}
	if _, err := os.Stat(s.folder + "/meine-liste.csv"); err == nil {
		t.Error("the list is left behind")
	}
	bringInto(p, "Meine Liste.CSV", []byte(list))
	p.Holds(`document.querySelectorAll('[name="lots[a].items[hobel].what"]').length`, "1")
	for _, want := range []string{"Hobel, groß", "870 g", "31,50 EUR", "1212,00 EUR", "count: 10"} {
		if !strings.Contains(s.text("one.yaml"), want) {
			t.Errorf("nothing of %s in\n%s", want, s.text("one.yaml"))
		}
	}
	notes, err := os.ReadFile("../../../../landed/lotfile/testdata/lists/list.xlsx") // its first sheet is no list
	if err != nil {
		t.Fatal(err)
	}
	bringInto(p, "Notes.xlsx", notes)
	p.Holds(`document.getElementById("wrong").textContent.includes("notes.xlsx")`, "true")
	table := &sheet.Table{Columns: []sheet.Column{{Head: "id", Key: "id"}, {Head: "what", Key: "what"}, {Head: "count", Key: "count", Align: sheet.Right}, {Head: "value", Key: "value", Align: sheet.Decimal}},
		Rows: []sheet.Row{{Cells: []sheet.Cell{{Text: "zirkel"}, {Text: "Zirkel"}, {Text: "4", Data: "4"}, {Text: "12.50", Data: "12.50"}}}}}
	var book bytes.Buffer
	if err := sheet.WriteWorkbook(&book, []*sheet.Table{table}); err != nil {
		t.Fatal(err)
	}
	bringInto(p, "Zirkel.xlsx", book.Bytes())
	p.Holds(`document.querySelector('[name="lots[b].items[zirkel].~value"]').value`, "12,50 EUR")
	look(t, p, "bring")
}
