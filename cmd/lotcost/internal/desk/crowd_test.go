package desk

import (
	"fmt"
	"strings"
	"testing"
)

// TestManyHauls has a folder of many: those that wait for nothing are folded, what is sought is
// shown wherever it stands, and the way back leads to the same list.
func TestManyHauls(t *testing.T) {
	var files []string
	for i := range 14 {
		files = append(files, fmt.Sprintf("h%02d.yaml", i), strings.NewReplacer("drei Posten", fmt.Sprintf("Posten %d", i), "price: 9800 JPY", "lost: yes\n    price: open", "price: 6400 JPY", "lost: yes\n    price: open", "price: 1500 JPY", "lost: yes\n    price: open").Replace(three))
	}
	s := entered(t, append(files, "tonight.yaml", tonight)...)
	p := s.at("/")
	p.Look(360, 740, false)
	shown := `[...document.querySelectorAll(".hauls tbody tr")].filter(r => r.checkVisibility()).map(r => r.cells[0].textContent).join()`
	p.Holds(shown, "Three lots tonight")
	p.Holds(`document.querySelector("[name=title]").checkVisibility()`, "false")
	p.Holds(`document.querySelector("#find").getBoundingClientRect().bottom < innerHeight`, "true")
	p.On(`#find`, `focus()`)
	p.Keys("posten 12")
	p.Holds(shown, "鉋と鑿, Posten 12")
	p.On(`#find`, `select()`)
	p.Insert("nokogiri") // a piece of the one, by what it is called
	p.Holds(shown, "Three lots tonight")
	p.On(`#find`, `select()`)
	p.Insert("no such thing")
	p.Holds(shown+` + document.getElementById("said").textContent`, "Nothing here has that.")
	p.On(`#find`, `select()`)
	p.Insert("posten 12")
	look(t, p, "many hauls")
	p.Look(360, 740, false)
	p.On(`.hauls tr:not([hidden]) a`, `click()`)
	p.Holds(`location.pathname + document.readyState`, "/haul/h12.yamlcomplete")
	p.Text(`(history.back(), 1)`)
	p.Holds(shown, "鉋と鑿, Posten 12")
}

// TestManyWait has a folder of many hauls that wait for the same: the newest are shown, the others
// folded, and found there.
func TestManyWait(t *testing.T) {
	var files []string
	for i := range 34 {
		files = append(files, fmt.Sprintf("h%02d.yaml", i), strings.NewReplacer("drei Posten", fmt.Sprintf("Posten %d", i), "2026-09-03", fmt.Sprintf("2026-0%d-%02d", 1+i/28, 1+i%28)).Replace(three))
	}
	s := entered(t, files...)
	p := s.at("/")
	p.Look(390, 844, false)
	shown := `[...document.querySelectorAll(".hauls tbody th")].filter(r => r.checkVisibility())`
	p.Holds(shown+`.length + " to " + `+shown+`.at(-1).textContent + ", " + document.querySelector("section summary").textContent`, "30 to 鉋と鑿, Posten 4, 4 more")
	p.On(`#find`, `focus()`)
	p.Insert("posten 3")
	p.Holds(shown+`.map(r => r.textContent.slice(5)).join()`, "Posten 33,Posten 32,Posten 31,Posten 30,Posten 3")
	lookAgain(t, p, "many wait")
}

// TestManyPieces has a haul of many pieces: they are folded by their lots, those that nobody looked
// at first; what is sought is shown and can be sold there, and on paper stand all.
func TestManyPieces(t *testing.T) {
	text := strings.Builder{}
	text.WriteString("lotcost: 1\ntitle: Two crates\nhome: CAD\ndate: 2026-10-03\nselling: {venues: [{name: stall}]}\nlots:\n")
	for lot := range 2 {
		fmt.Fprintf(&text, "  - id: lot-%d\n    title: Crate %d\n    price: 90 CAD\n    items:\n", lot+1, lot+1)
		for i := range 20 + 40*lot {
			found := ", found: {sound: 2}"
			if lot == 1 {
				found = ""
			}
			fmt.Fprintf(&text, "      - {id: p%d-%d, what: Chisel %d of %d, count: 2, weight: 140 g, value: 9 CAD%s}\n", lot, i, i+1, lot+1, found)
		}
	}
	s := entered(t, "many.yaml", text.String())
	p := s.at("/haul/many.yaml?view=opened")
	p.Look(390, 844, false)
	folds := `[...document.querySelectorAll(".many")].map(d => d.open + " " + d.querySelector("summary").textContent).join("; ")`
	shown := `[...document.querySelectorAll(".many .opened > tbody > tr > th")].filter(r => r.checkVisibility()).length`
	p.Holds(folds, "false Crate 1: 20 items, Chisel 1 of 1 to Chisel 20 of 1; true Crate 2: 50 items, Chisel 1 of 2 to Chisel 50 of 2; false Crate 2: 10 items, Chisel 51 of 2 to Chisel 60 of 2")
	p.Holds(shown, "50")
	p.On(`#find`, `focus()`)
	p.Insert("l 59 of")
	p.Holds(shown, "1")
	p.On(`tr:not([hidden]) button[name$=dead]`, `click()`)
	p.Holds(`said.textContent + document.getElementById("find").value + document.querySelector('[name="p1-58 dead"]').getAttribute("aria-pressed")`, "Savedl 59 oftrue")
	p.Holds(shown, "1")

	p.Go(s.base + "/haul/many.yaml?view=sale&only=l+59+of")
	p.Holds(shown, "2") // for sale, and kept
	p.On(`tr:not([hidden]) details summary`, `click()`)
	pressed(p, `[aria-label="Chisel 59 of 2 was sold"]`)
	if sold := "what: Chisel 59 of 2, count: 2, weight: 140 g, value: 9 CAD, found: {sound: 1, dead: 1}, sold: "; !strings.Contains(s.text("many.yaml"), sold) {
		t.Error(s.text("many.yaml"))
	}
	p.Text(`(document.getElementById("find").select(), document.getElementById("find").focus(), 1)`)
	p.Keys("\b")
	p.Holds(shown+` + " of " + document.querySelectorAll("[id^=offers] .opened > tbody > tr").length`, "0 of 79") // all folded
	lookAgain(t, p, "many for sale")
	p.Paper()
	p.Holds(`[...document.querySelectorAll("[id^=offers] tr > th[scope=row]")].filter(r => r.checkVisibility()).length`, "79")

	p.Go(s.base + "/haul/many.yaml?view=costs")
	p.Look(390, 844, false)
	accounts := `[...document.querySelectorAll(".many tbody tr:not(.group)")].filter(r => r.checkVisibility())`
	var said splitJSON
	s.said(&said, "split", "many.yaml")
	p.Holds(accounts+`.length + " of " + document.querySelectorAll(".many tbody tr:not(.group)").length`, "0 of 80")
	p.Holds(`[...document.querySelectorAll("tr.sum")].find(r => r.checkVisibility()).textContent.includes("`+said.Total+`")`, "true")
	lookAgain(t, p, "many costs")
	p.Paper()
	p.Holds(accounts+`.length`, "80")
	p.Look(390, 844, false)
	p.On(`#find`, `focus()`)
	p.Insert("l 59 of")
	p.Holds(accounts+`.map(r => r.cells[0].textContent).join()`, "Chisel 59 of 2")
	p.On(`tr:not([hidden]) a[href*="item=p1-58"]`, `click()`)
	p.Holds(`document.querySelector("#work h2").textContent`, "The working of Chisel 59 of 2")

	p.Go(s.base + "/haul/many.yaml?view=before&only=20+of+1")
	p.Look(390, 844, false)
	p.Holds(`[...document.querySelectorAll(".grid [name$=weight]")].filter(f => f.checkVisibility()).length`, "1")
}

// TestOutOfReach: what was typed while the desk did not answer is saved once it does, with what is
// saved next or when the network is there again.
func TestOutOfReach(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=before")
	lose := func(premium string) {
		t.Helper()
		p.Text(`(window.real ??= fetch, window.fetch = () => Promise.reject(new TypeError("no network")), 1)`)
		p.On(`[name="lots[levels].premium"]`, `select()`)
		p.On(`[name="lots[levels].premium"]`, `focus()`)
		p.Keys(premium + "\t")
		p.Holds(`said.textContent`, "Not saved: the desk does not answer. What you typed still stands here.")
		p.On(`.out`, `click()`) // a press is not kept
		p.Holds(`said.textContent`, "Not saved: the desk does not answer. Press again once it does.")
		p.Text(`(window.fetch = real, 1)`)
	}
	lose("12%")
	typeInto(p, "lots[levels].seller", "gable")
	with := func(premium string) string {
		return strings.Replace(three, "seller: gable-rooms\n    price: 6400 JPY\n", "seller: gable\n    price: 6400 JPY\n    premium: "+premium+"\n", 1)
	}
	s.waitSaved("three.yaml", with("12%"))
	lose("13%")
	p.Text(`(dispatchEvent(new Event("online")), 1)`)
	s.waitSaved("three.yaml", with("13%"))
}

// TestEnded: a page says that the desk was ended before anything is typed in vain.
func TestEnded(t *testing.T) {
	t.Parallel()
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=before")
	p.Holds(`said.textContent`, "")
	s.stop()
	p.Holds(`said.textContent`, "The desk does not answer: it was ended, or the network is gone. Nothing is saved until it does.")
}

// TestTapTooMany: two taps in one place add one lot, and what is taken back by the keyboard leaves
// the focus where the next is.
func TestTapTooMany(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=before")
	for tap := range 2 {
		p.On(`button[data-then]`, fmt.Sprintf(`dispatchEvent(new MouseEvent("click", {detail: %d, bubbles: true, cancelable: true}))`, tap+1))
	}
	p.Holds(`said.textContent + document.querySelectorAll("section.lot").length`, "Saved4")
	typeInto(p, "lots[lot-4].seller", "gable")
	p.On(`[data-undo]`, `focus()`)
	p.Keys("\r")
	p.Holds(`said.textContent + document.activeElement.matches("[data-undo]")`, "Taken backtrue")
	s.waitSaved("three.yaml", strings.Replace(three, "parcels:\n", "  - id: lot-4\n    price: open\nparcels:\n", 1))
}
