package desk

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestFromNothing goes from an empty folder to a sale in the browser alone, where nobody wrote any
// file of defaults: two boxes, a place to sell, what is put right after the sale. Each figure typed
// after Tab arrives, though the row that it stands in is new and gets its name meanwhile.
func TestFromNothing(t *testing.T) {
	s := entered(t)
	p := s.at("/")
	const name = "2026/zwei-kisten.yaml"
	p.On(`[name=title]`, `value = "Zwei Kisten"`)
	p.On(`[name=from]`, `value = "Japan"`)
	p.On(`[name=to]`, `value = "Deutschland"`)
	p.On(`[name=decimal]`, `value = "comma"`)
	p.On(`form[action="/new"] button`, `click()`)
	p.Holds(`location.pathname + " " + document.readyState`, "/haul/"+name+" complete")
	pasteAt(p, "lots[lot-1].items[0].what", "Hobel\t3\t870 g\thobel-48\t31,50\t\t\n")
	typeInto(p, "exchange.rates[0]", "100 JPY = 0,61 EUR")
	pressed(p, `button[data-set*="lots[+].price"]`)
	pasteAt(p, "lots[lot-2].items[0].what", "Zirkel\t10\t100 g\tzirkel\t12\t\t\n")
	pressed(p, `[data-set='[["charges[0]",""]]']`)
	typeInto(p, "lots[lot-1].price", "6500") // the currency of the sale goes without saying
	typeInto(p, "lots[lot-2].price", "2800")
	typeInto(p, "customs.classes.goods.duty", "2,7")
	for i, box := range []string{"A\tlot-1\t4100 JPY", "B\tlot-2\t1800 JPY"} {
		pasteAt(p, "parcels["+string(rune('0'+i))+"].id", box+"\n")
	}
	lookAgain(t, p, "nothing 1, bought")

	// After the sale what was typed can still be put right.
	typeInto(p, "lots[lot-1].items[hobel].weight", "0,9 kg")
	typeInto(p, "to", "Österreich")
	p.Holds(`document.querySelector("[name=to]").value`, "AT")

	// A place to sell, typed from cell to cell.
	p.Go(s.base + "/haul/" + name + "?view=sale")
	p.Text(`(document.querySelector('[name="selling.venues[0].name"]').focus(), 1)`)
	p.Keys("Markt\t11\t0,45\t6,90\t7,20\t")
	p.Holds(`said.textContent + document.querySelectorAll('[name="selling.venues[Markt].postage"]').length`, "Saved1")
	p.Holds(`document.querySelector('[name="selling.venues[Markt].postage"]').defaultValue`, "7,20")
	lookAgain(t, p, "nothing 2, a place to sell")
	p.On(`[id="at zirkel"]`, `select()`)
	p.Keys("19,00")
	pressed(p, `[aria-label="Zirkel was sold"]`)
	text := s.text(name)
	for _, want := range []string{"{id: A, lots: [lot-1], freight: 4100 JPY}", "{id: B, lots: [lot-2], freight: 1800 JPY}", `weight: "0,9 kg"`, "from: JP", "to: AT", "price: 6500 JPY", "percent: 11%", `fixed: "0,45"`, `postage: "7,20"`} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing of %s in\n%s", want, text)
		}
	}
	var priced struct{ Sold []struct{ Left string } }
	s.said(&priced, "price", filepath.FromSlash(name))
	p.Holds(`document.getElementById("profit 0").textContent`, strings.Replace(figure(priced.Sold[0].Left, true), "-", "−", 1))

	// A fee that is taken out again leaves none behind.
	typeInto(p, "selling.venues[Markt].fees[0].percent", " ")
	typeInto(p, "selling.venues[Markt].fees[0].fixed", " ")
	s.said(&priced, "price", filepath.FromSlash(name))
	p.Holds(`document.getElementById("profit 0").textContent`, strings.Replace(figure(priced.Sold[0].Left, true), "-", "−", 1))
}

// TestBegun begins a haul: what is still to be typed stands at its fields, once, and nothing is
// called wrong of it. Folds stay as the reader has them, whatever is saved, but for one in which
// something is wrong that was not before.
func TestBegun(t *testing.T) {
	s := entered(t, "book.yaml", storyBook)
	p := s.at("/")
	p.On(`[name=title]`, `value = "Drei Posten"`)
	p.On(`[name=from]`, `value = "JP"`)
	p.On(`form[action="/new"] button`, `click()`)
	p.Holds(`location.pathname + document.readyState + document.querySelectorAll("[aria-invalid], #wrong li").length`, "/haul/2026/drei-posten.yamlcomplete0")
	p.Holds(`[...document.querySelectorAll(".field > .open")].map(e => e.parentElement.querySelector("input").name + ": " + e.textContent.split(":")[0]).join("; ")`,
		"lots[lot-1].items[0].what: it has no pieces yet; charges[0].amount: amount is missing")
	look(t, p, "begun")

	folds := `[...document.querySelectorAll("details[id]")].filter(d => d.open).map(d => d.id).join()`
	p.Holds(folds, "costs")
	p.Text(`(document.getElementById("costs").open = false, document.getElementById("goal").open = true, 1)`)
	typeInto(p, "lots[lot-1].seller", "tidemark")
	pressed(p, `button[data-then]`)
	p.Holds(folds, "goal")
	p.On(`[name="bidding.goal.return"]`, `select()`)
	p.Text(`(document.querySelector('[name="bidding.goal.return"]').focus(), 1)`)
	p.Keys("much\t")
	p.Holds(`said.textContent.startsWith("Not saved: ") && document.querySelectorAll(".error").length`, "1")
	p.Text(`(document.getElementById("goal").open = false, 1)`)
	typeInto(p, "lots[lot-2].seller", "gable-rooms")
	p.Holds(folds+` + document.querySelectorAll(".error").length`, "1")
}

// TestSameView changes a haul elsewhere so that it waits for something else: the page goes on
// showing the view at which one is.
func TestSameView(t *testing.T) {
	open := strings.Replace(three, "price: 9800 JPY", "price: open", 1)
	s := entered(t, "three.yaml", open)
	p := s.at("/haul/three.yaml")
	p.Holds(`main.dataset.view`, "before")
	put(t, filepath.Join(s.folder, "three.yaml"), three)
	p.Holds(`document.querySelector('[name="lots[kanna].price"]').value`, "9800 JPY")
	p.Holds(`main.dataset.view`, "before")
}

// TestStillToType opens a haul that is bought, and in which an amount is still to be typed: its
// fields are shown, and not the text of its file, as where something is spelt wrongly.
func TestStillToType(t *testing.T) {
	s := entered(t, "one.yaml", strings.Replace(three, "freight: 3200 JPY", "freight: 3200 JPY}\ncharges:\n  - {what: Paket, kind: freight, amount: ", 1), "odd.yaml", strings.Replace(three, "kind", "knid", 1)+"knid: 1\n")
	for name, want := range map[string]string{"one.yaml": `data-view="before"`, "odd.yaml": `data-view="text"`} {
		if page := s.get("/haul/" + name).body; !strings.Contains(page, want) {
			t.Errorf("%s: no %s in\n%s", name, want, page[:min(len(page), 6000)])
		}
	}
}

// TestBestValue changes what a kept piece is worth when right, where it has chances.
func TestBestValue(t *testing.T) {
	text := strings.Replace(three, "value: 14 EUR}", "chances: [{chance: 60%, value: 14 EUR}, {chance: rest, value: 4}]}", 1)
	s := entered(t, "three.yaml", text)
	p := s.at("/haul/three.yaml?view=sale")
	typeInto(p, "lots[kanna].items[nomi].~value", "16 EUR")
	s.waitSaved("three.yaml", strings.Replace(text, "14 EUR", "16 EUR", 1))
}
