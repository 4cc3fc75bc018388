package desk

import (
	"strings"
	"testing"
)

// TestPhoneWithoutNet: at a sale a phone loses its network while it marks lots, and another one
// goes on. What was typed still stands once the network is there again, beside what the other
// marked, and a press that was in vain is made again.
func TestPhoneWithoutNet(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	p.Look(390, 844, false)
	p.Net(false)
	p.On(`[id="price kanna"]`, `focus()`)
	p.Keys("5000\r")
	p.Holds(`said.textContent`, "Not saved: the desk does not answer. Press again once it does.")
	p.On(`[name="lost nomi"]`, `click()`)
	p.Holds(`document.querySelectorAll('[name="lost nomi"]').length`, "1")
	if got := s.post("/save", "file", "tonight.yaml", "mark", mark([]byte(tonight)), "view", "evening", "path", "lots[nokogiri].lost", "value", "yes"); got.status != 200 {
		t.Fatal(got.status, got.body)
	}
	p.Net(true)
	p.Holds(`document.querySelectorAll('[name="open nokogiri"]').length + document.getElementById("price kanna").value`, "15000")
	pressed(p, `[id="won kanna"]`)
	pressed(p, `[name="lost nomi"]`)
	if text := s.text("tonight.yaml"); !strings.Contains(text, "price: 5000 JPY") || strings.Count(text, "lost: yes") != 2 {
		t.Error(text)
	}
}
