package desk

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
)

// pasted pastes cells into a field of a grid, without waiting for anything.
func pasted(p *browser.Page, path, cells string) {
	p.On(fmt.Sprintf(`[name="%s"]`, path), fmt.Sprintf(`dispatchEvent((() => { said.textContent = ""; const data = new DataTransfer(); data.setData("text/plain", %q); return new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}); })())`, cells))
}

// TestPastedTable pastes what spreadsheets copy, with a head, in quotes, with semicolons and a row
// of sums: it is said what each column is taken for, nothing is written before that is agreed to,
// and what was changed there holds. A second paste goes behind the pieces that are there.
func TestPastedTable(t *testing.T) {
	const haul = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n    title: Kiste\n    price: 90 EUR\n    items:\n      -   # none yet\n"
	s := entered(t, "one.yaml", haul)
	p := s.at("/haul/one.yaml?view=before")
	pasted(p, "lots[a].items[0].what", "\ufeffBezeichnung;Anzahl;Gewicht (kg);Notiz;Wert\n\"Hobel; breit\";3;12,5;aus Eiche;1.234,50\nHobel;1;0,9 kg;;12,00 €\nSumme;4;;;1.246,50\n")
	p.Holds(`document.querySelector("h1").textContent`, "Pieces for Kiste")
	p.Holds(`[...document.querySelectorAll("[name=as]")].map(s => s.selectedOptions[0].textContent).join(", ")`, "what it is, pieces, weight, each, left out, value, each")
	p.Holds(`document.querySelector("main").textContent.includes("“Summe 4 1.246,50” sums up the others")`, "true")
	look(t, p, "pasted rows")
	if s.text("one.yaml") != haul {
		t.Errorf("it was written:\n%s", s.text("one.yaml"))
	}
	p.Text(`(document.querySelectorAll("[name=as]")[3].value = "model", 1)`)
	p.On(`form[action="/rows"] button`, `click()`)
	p.Holds(`document.querySelector('[name="lots[a].items[hobel].what"]').value`, "Hobel")
	p.Holds(`document.querySelectorAll("table.grid [name$='.what'][value]:not([value=''])").length`, "2")
	for _, want := range []string{"what: Hobel; breit", "12,5 kg", "model: aus Eiche", "1234,50 EUR", "900 g", "12,00 EUR"} {
		if !strings.Contains(s.text("one.yaml"), want) {
			t.Errorf("nothing of %s in\n%s", want, s.text("one.yaml"))
		}
	}
	p.Holds(`document.getElementById("main").dataset.mark.length > 0`, "true")
	pasted(p, "lots[a].items[2].what", "what\tpieces\nHobel\t7\nSäge\t2\n")
	p.On(`form[action="/rows"] button`, `click()`)
	labelled := func(label, value string) {
		t.Helper()
		p.Holds(fmt.Sprintf(`[...document.querySelectorAll("label")].find(l => l.textContent === %q).control.value`, label), value)
	}
	labelled("Pieces of Säge, Kiste", "2")
	labelled("Pieces of Hobel (hobel-3), Kiste", "7")
	pasted(p, "lots[a].items[4].what", "Gjenstand\tAntall\tVekt (g)\nHøvel\t7\t900\n") // in another language
	p.Holds(`[...document.querySelectorAll("[name=as]")].map(s => s.selectedOptions[0].textContent).join(", ")`, "what it is, pieces, weight, each")
	p.On(`main p a`, `click()`)
	pasted(p, "lots[a].items[4].what", "Zange\t1\nBohrer\t5\n") // plain cells stay what they were
	labelled("Pieces of Bohrer, Kiste", "5")
}

// TestPastedChances pastes a table that says how sure each piece is: the column can be chosen, and
// the pieces are as if each cell was typed.
func TestPastedChances(t *testing.T) {
	const haul = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n    price: 90 EUR\n    items:\n      -   # none yet\n"
	s := entered(t, "one.yaml", haul)
	p := s.at("/haul/one.yaml?view=before")
	pasted(p, "lots[a].items[0].what", "Bezeichnung\tGewicht (kg)\tChance\tWert €\tRest\nHobel\t0,9\t80\t31,50\t6\nSäge\t1,2\t\t12,00\t\n")
	p.Holds(`[...document.querySelectorAll("[name=as]")].map(s => s.selectedOptions[0].textContent).join("; ")`, "what it is; weight, each; chance that it is right, each; value, each; left out")
	p.Text(`(document.querySelectorAll("[name=as]")[4].value = "~else", 1)`)
	p.On(`form[action="/rows"] button`, `click()`)
	p.Holds(`document.querySelector('[name="lots[a].items[hobel].~chance"]').value`, "80%")
	want := `{id: hobel, what: Hobel, weight: "0,9 kg", chances: [{chance: 80%, value: "31,50 EUR"}, {chance: rest, value: 6}]}   # none yet` + "\n      - {id: säge, what: Säge, weight: \"1,2 kg\", value: \"12,00 EUR\"}\n"
	if !strings.HasSuffix(s.text("one.yaml"), want) {
		t.Errorf("it is\n%s", s.text("one.yaml"))
	}
}

// TestBesideMistakes: a haul that cannot be read yet has the currency and the decimal marks of its
// defaults.
func TestBesideMistakes(t *testing.T) {
	s := entered(t, "2026/one.yaml", "lotcost: 1\nwith: ../book.yaml\nlots:\n  - {id: a, price: ninety JPY, items: [{id: b}]}\ncharges: [{what: Post, amount: 900 JPY}]\n",
		"book.yaml", "lotcost-book: 1\ndecimal: comma\nhome: EUR\n")
	p := s.at("/haul/2026/one.yaml?view=before")
	p.Holds(`document.querySelector('[name="exchange.spread"]').placeholder`, "2,5%")
}

// TestManyRows pastes more rows than a page has fields for: they become a list beside the lot file.
func TestManyRows(t *testing.T) {
	s := entered(t, "2026/one.yaml", "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n    price: 90 EUR\n")
	var rows strings.Builder
	rows.WriteString("Bezeichnung\tGewicht (g)\tWert €\n")
	for i := range 300 {
		fmt.Fprintf(&rows, "Eisen, %d mm\t%d\t%d,50\n", i, 100+i, 3+i%20)
	}
	rows.WriteString("Summe\t\t4.000,00\n")
	p := s.at("/haul/2026/one.yaml?view=before")
	pasted(p, "lots[a].items[0].what", rows.String())
	p.Holds(`document.querySelector("main > p").textContent.includes("300 rows")`, "true")
	p.On(`form[action="/rows"] button`, `click()`)
	p.Holds(`document.querySelectorAll("table.opened tbody tr").length`, "300")
	if !strings.Contains(s.text("2026/one.yaml"), "items: rows.csv") || strings.Count(s.text("2026/rows.csv"), "\n") != 301 {
		t.Errorf("it is\n%s", s.text("2026/one.yaml"))
	}
}
