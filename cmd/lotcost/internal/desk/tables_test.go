package desk

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// TestTables sorts the stock by its cost and shows some rows of it alone; the lists are those of
// the commands.
func TestTables(t *testing.T) {
	s := entered(t)
	if err := os.CopyFS(s.folder, os.DirFS("../../../../examples/book")); err != nil {
		t.Fatal(err)
	}
	for _, v := range bookViews {
		args := []string{"book", v.id, ".", "--format", "csv"}
		if v.id == "stock" {
			args = append(args, "--on", "2026-11-28")
		}
		if got, want := s.get("/"+v.id+"?as=csv").body, string(s.runs(args...)); got != want {
			t.Errorf("%s:\n%s\nwant\n%s", v.id, got, want)
		}
		for as, begins := range map[string]string{"xlsx": "PK", "html": "<!DOCTYPE html>"} {
			if got := s.get("/" + v.id + "?as=" + as); got.status != 200 || len(got.body) < len(begins) || got.body[:len(begins)] != begins {
				t.Errorf("%s as %s: %d %.40q", v.id, as, got.status, got.body)
			}
		}
	}
	if got := s.get("/stock?as=exe"); got.status != 404 {
		t.Errorf("%d", got.status)
	}
	p := s.at("/stock")
	shown := `[...document.querySelector("main table:not(details table)").tBodies].flatMap(b => [...b.rows]).filter(r => !r.matches(".sum, .group") && !r.hidden)`
	costs := `JSON.stringify(` + shown + `.map(r => Number(r.querySelector("td[data-h^=cost]").innerText)))`
	read := func() (list []float64) {
		t.Helper()
		var text string
		p.Eval(costs, &text)
		if err := json.Unmarshal([]byte(text), &list); err != nil {
			t.Fatal(err)
		}
		return list
	}
	want := read()
	slices.Sort(want)
	p.Text(`[...document.querySelectorAll("main table th button.head")].find(b => b.innerText.startsWith("cost")).focus()`)
	p.Keys("\r")
	if got := read(); !slices.Equal(got, want) {
		t.Errorf("sorted they are %v, want %v", got, want)
	}
	p.Keys("\r")
	slices.Reverse(want)
	if got := read(); !slices.Equal(got, want) {
		t.Errorf("downwards they are %v, want %v", got, want)
	}
	p.Holds(`document.querySelectorAll("[aria-sort=descending]").length`, "1")
	p.On(`input[type=search]`, `focus()`)
	p.Keys("JACK")
	p.Holds(shown+`.every(r => r.innerText.toLowerCase().includes("jack")) && `+shown+`.length > 0`, "true")
	p.Holds(`document.querySelectorAll("tr.sum:not([hidden])").length`, "0")
	p.Holds(`new URL(location.href).searchParams.get("only")`, "JACK")
	p.Look(360, 740, false)
	p.Holds(`[...document.querySelectorAll("tr[hidden]")].filter(r => r.checkVisibility()).length + " of " + (document.querySelectorAll("tr[hidden]").length > 0)`, "0 of true")
}

// TestLongTable opens a stock of more rows than a phone lays out at once: the first of them are
// shown, a filter goes through all, a press shows them all, and paper has them all.
func TestLongTable(t *testing.T) {
	pieces := strings.Builder{}
	for i := range 230 {
		fmt.Fprintf(&pieces, "      - {id: p%d, what: Chisel %d, value: 9 EUR}\n", i, i+1)
	}
	s := entered(t, "many.yaml", "lotcost: 1\nhome: EUR\ndate: 2026-10-03\nlots:\n  - id: lot\n    price: 900 EUR\n    items:\n"+pieces.String())
	p := s.at("/stock")
	p.Look(360, 740, false)
	shown := `[...document.querySelectorAll("main .t > table:not(details table) > tbody > tr:not(.sum)")].filter(r => r.checkVisibility()).map(r => r.cells[1].textContent + r.cells[0].textContent)`
	p.Holds(shown+".length", "200")
	p.Holds(`document.querySelector(".tools .count").textContent`, "the first 200 of 230 rows")
	p.Text(`(dispatchEvent(new Event("beforeprint")), 1)`)
	p.Holds(shown+`.length + document.querySelector(".tools .count").textContent`, "230230 rows")
	p.Text(`(dispatchEvent(new Event("afterprint")), 1)`)
	p.Holds(`document.querySelector(".tools .count").textContent`, "the first 200 of 230 rows")
	p.On(`.tools input[type=search]`, `focus()`)
	p.Insert("l 229")
	p.Holds(shown+`.length + " " + `+shown+`[0].includes("Chisel 229")`, "1 true")
	p.On(`.tools input[type=search]`, `select()`)
	p.Keys("\b")
	p.On(`.tools button:last-child`, `click()`)
	p.Holds(shown+".length", "230")
	p.Holds(`document.querySelector(".tools .count").textContent`, "230 rows")
}
