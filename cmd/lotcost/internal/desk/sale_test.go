package desk

import (
	"strings"
	"testing"
)

// TestSale tries out a price with the slider, sells a piece at it, and keeps one.
func TestSale(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=sale")
	p.On(`[data-slides="at compass-set"]`, `value = 3000`)
	p.On(`[data-slides="at compass-set"]`, `dispatchEvent(new Event("input", {bubbles: true}))`)
	p.Holds(`document.getElementById("at compass-set").value`, "30,00")
	// Less 11 % of 30.00, 0.45, and 0.30 of postage that the buyer does not pay; it cost 15.59, with
	// its part of one duty of 3.00 on the tools in box-1.
	p.Holds(`document.getElementById("says at compass-set").textContent`, "net proceeds 25,95, profit 10,36 at gable. How that comes out")
	if s.text("three.yaml") != three {
		t.Fatal("trying wrote")
	}
	p.On(`[aria-label="Compass set in a case was sold"]`, `click()`)
	s.waitSaved("three.yaml", strings.Replace(three, `value: 28 EUR}`, `value: 28 EUR, sold: [{price: "30,00 EUR", count: 1, date: 2026-11-28, venue: gable}]}`, 1))
	var said struct{ Sold []struct{ Left string } }
	s.said(&said, "price", "three.yaml")
	p.Holds(`document.getElementById("profit 0").textContent`, figure(said.Sold[0].Left, true))
	p.On(`[name="lots[kanna].items[kanna-48].keep"]`, `focus()`)
	p.Keys("1\t")
	p.Holds(`document.getElementById("pieces at kanna-48").textContent`, "2")
	var kept struct{ Kept struct{ Net string } }
	s.said(&kept, "price", "three.yaml")
	p.Holds(`document.getElementById("work").textContent.includes("`+figure(kept.Kept.Net, true)+`")`, "true")
	look(t, p, "sale")
}
