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
	look(t, p, "many hauls")
	p.Look(360, 740, false)
	p.On(`.hauls tr:not([hidden]) a`, `click()`)
	p.Holds(`location.pathname + document.readyState`, "/haul/h12.yamlcomplete")
	p.Text(`(history.back(), 1)`)
	p.Holds(shown, "鉋と鑿, Posten 12")
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
		p.Holds(`said.textContent.startsWith("Not saved: the desk does not answer.")`, "true")
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
