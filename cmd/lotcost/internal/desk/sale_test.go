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
	p.Holds(`document.body.innerText.split("`+figure(said.Sold[0].Left, true)+`").length`, "2") // it is said once
	p.On(`[name="lots[kanna].items[kanna-48].keep"]`, `focus()`)
	p.Keys("1\t")
	p.Holds(`document.getElementById("pieces at kanna-48").textContent`, "2")
	var kept struct{ Kept struct{ Net string } }
	s.said(&kept, "price", "three.yaml")
	p.Holds(`document.getElementById("work").textContent.includes("`+figure(kept.Kept.Net, true)+`")`, "true")
	look(t, p, "sale")
}

// TestSaleReturned: a piece that was sold comes back, for less than was paid, and is for sale
// again; then it did not come back after all.
func TestSaleReturned(t *testing.T) {
	was := strings.Replace(three, `value: 28 EUR}`, `value: 28 EUR, sold: ["30,00 EUR"]}`, 1)
	s := entered(t, "three.yaml", was)
	p := s.at("/haul/three.yaml?view=sale")
	p.Holds(`document.querySelectorAll('table[aria-label="Returned"]').length`, "0")
	p.On(`[aria-label="Returned: sale 1 of Compass set in a case, Compasses"]`, `click()`)
	day := strings.Replace(was, `sold: ["30,00 EUR"]`, `sold: [{price: "30,00 EUR", returned: {date: 2026-11-28}}]`, 1)
	s.waitSaved("three.yaml", day)
	// 30.00 and 6.90 of postage went back, and what cost 15.59 came back.
	p.Holds(`document.getElementById("back-profit 0").textContent`, "−21,31")
	p.Holds(`document.getElementById("pieces at compass-set").textContent`, "1")
	p.On(`[name$="sold[0].returned.refund"]`, `focus()`)
	p.Keys("22,50\t")
	s.waitSaved("three.yaml", strings.Replace(day, `{date: 2026-11-28}`, `{date: 2026-11-28, refund: "22,50"}`, 1))
	var said struct {
		Sold []struct {
			Returned []struct{ Left, Refund string }
		}
	}
	s.said(&said, "price", "three.yaml")
	if back := said.Sold[0].Returned[0]; back.Refund != "22.50" {
		t.Errorf("%+v", back)
	}
	p.Holds(`document.getElementById("back-profit 0").textContent`, strings.Replace(figure(said.Sold[0].Returned[0].Left, true), "-", "−", 1))
	p.On(`[name$="sold[0].returned.refund"]`, `focus()`)
	p.On(`[name$="sold[0].returned.refund"]`, `select()`)
	p.Keys("99\t")
	p.Holds(`[...document.querySelectorAll("main p, main li, main output, main span")].some(e => e.textContent.includes("write no more than that"))`, "true")
	p.On(`[name$="sold[0].returned.refund"]`, `select()`)
	p.Keys("22,50\t")
	p.Holds(`document.getElementById("back-profit 0").textContent`, "−6,91")
	lookAgain(t, p, "returned")
	p.On(`[aria-label="Not returned after all: return of sale 1 of Compass set in a case, Compasses"]`, `click()`)
	s.waitSaved("three.yaml", strings.Replace(was, `["30,00 EUR"]`, `[{price: "30,00 EUR"}]`, 1))
}

// TestReturnedTwice: of two pieces that one buyer took, one comes back, is sold to another and
// comes back from there too; then the second of the first order comes back as well. The year is
// that of the command. A return that a file has as the only one becomes the first of a list.
func TestReturnedTwice(t *testing.T) {
	was := strings.Replace(three, "value: 45 EUR}", `value: 45 EUR, sold: [{price: "80,00 EUR", count: 2, date: 2026-11-02, venue: gable, returned: {date: 2026-11-20, count: 1, refund: 40 EUR}}]}`, 1)
	s := entered(t, "three.yaml", was)
	p := s.at("/haul/three.yaml?view=sale")
	again := func(sale string) { pressed(p, `[aria-label="Returned: sale `+sale+` of Rosewood level, Long levels"]`) }
	pressed(p, `[aria-label="Rosewood level was sold"]`)
	again("2")
	p.Holds(`document.querySelectorAll('[aria-label="Returned: sale 2 of Rosewood level, Long levels"]').length`, "0") // all of it did
	again("1")
	p.Holds(`document.querySelectorAll('[aria-label^="Returned: "]').length`, "0")
	for _, want := range []string{"returned: [{count: 1, date: 2026-11-20, refund: 40 EUR}, {count: 1, date: 2026-11-28}]", "date: 2026-11-28, venue: gable, returned: {date: 2026-11-28}}"} {
		if text := s.text("three.yaml"); !strings.Contains(text, want) {
			t.Errorf("there is no %s in\n%s", want, text)
		}
	}
	p.Holds(`document.getElementById("pieces at level").textContent`, "2")
	p.Holds(`document.querySelectorAll('table[aria-label="Returned"] tbody tr').length`, "3")
	var said struct{ Years []struct{ Profit string } }
	s.said(&said, "book", "years", ".")
	p.Go(s.base + "/years")
	p.Holds(`document.querySelector("main").innerText.includes("`+strings.Replace(figure(said.Years[0].Profit, true), "-", "−", 1)+`")`, "true")
	sales := s.get("/sales").body
	if !strings.Contains(sales, "Rosewood level, returned") {
		t.Errorf("sales have ids:\n%s", sales)
	}
}

// TestSeveralFees: a figure that stands in a second fee is not asked for as if there was none.
func TestSeveralFees(t *testing.T) {
	for fees, empty := range map[string]bool{`{percent: 11%}`: true, `{percent: 11%}, {fixed: "0,45"}`: false} {
		s := entered(t, "three.yaml", strings.Replace(three, `{what: commission, percent: 11%, fixed: "0,45"}`, fees, 1))
		page := s.get("/haul/three.yaml?view=sale").body
		if got := strings.Contains(page, `name="selling.venues[gable].fees[0].fixed"`); got != empty {
			t.Errorf("%s: the field of what each sale costs is there: %t", fees, got)
		}
		if !strings.Contains(page, `name="selling.venues[gable].fees[0].percent" value="11%"`) {
			t.Errorf("%s: the field of the part of the price is not there", fees)
		}
	}
}
