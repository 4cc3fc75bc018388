package desk

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// tonight is an evening of three lots of two sellers.
const tonight = `lotcost: 1
title: Three lots tonight
home: CAD
date: 2026-10-03
exchange: {spread: 2.5%, rates: [100 JPY = 0.93 CAD]}
lots:
  - id: kanna   # the first to close
    seller: tidemark
    price: open
    closes: 2026-10-03 20:15
    likely: [4000 JPY, 6000 JPY]
    items: [{id: kanna, what: 平鉋, count: 3, value: 31 CAD}]
  - id: nomi
    seller: gable-rooms
    price: open
    closes: 2026-10-03 20:40
    likely: 3000..5000 JPY
    items: [{id: nomi, count: 4, value: 14 CAD}]
  - id: nokogiri
    seller: tidemark
    price: open
    closes: 2026-10-03 21:05
    likely: [2000 JPY, 9000 JPY]
    items: [{id: nokogiri, value: 60 CAD}]
charges:
  - {what: Surface parcel, kind: freight, amount: 3600 JPY, by: count}
bidding: {steps: [{from: 0 JPY, step: 500 JPY}], goal: {return: 20%, budget: 140 CAD}}
`

// TestEvening wins the first lot and loses the second, each by one press; the limits are then
// those of the command.
func TestEvening(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	var said struct {
		Lots []struct{ ID, Limit string }
	}
	limits := func() {
		t.Helper()
		said.Lots = nil
		s.said(&said, "bid", "tonight.yaml")
		for _, l := range said.Lots {
			p.Holds(`document.getElementById("limit `+l.ID+`").textContent.replace(/\u202f/g, "").replace("\u00a0", " ")`, l.Limit+" JPY")
		}
	}
	limits()
	if len(said.Lots) != 3 {
		t.Fatalf("%d lots are open", len(said.Lots))
	}
	p.On(`[id="price kanna"]`, `value = "5000 JPY"`)
	p.On(`[id="price kanna"]`, `focus()`)
	p.On(`[aria-label="lot kanna was won"]`, `click()`)
	won := strings.Replace(tonight, "price: open", "price: 5000 JPY", 1)
	s.waitSaved("tonight.yaml", won)
	p.Holds(`document.activeElement.id`, "lot kanna")
	p.Holds(`document.querySelectorAll("[name='open kanna']").length`, "1")
	limits()
	left := func(of string) { // by hand: 5000 JPY are 47.66 CAD, and the freight of all 34.32
		t.Helper()
		p.Holds(`document.getElementById("`+of+`").textContent.replace(/\u00a0/g, " ").split("58.02 CAD is left of the budget of 140.00 CAD.").length`, "2")
	}
	left("main")
	p.On(`[name="lost nokogiri"]`, `click()`)
	p.Holds(`document.querySelectorAll("[name='open nokogiri']").length`, "1")
	if text := s.text("tonight.yaml"); strings.Replace(text, "    lost: yes\n", "", 1) != won || text == won {
		t.Errorf("more than that it is lost was written:\n%s", text)
	}
	var last struct{ Best struct{ Bid string } }
	s.said(&last, "bid", "tonight.yaml")
	p.Holds(`document.getElementById("limit nomi").textContent.replace(/\u202f/g, "").replace("\u00a0", " ")`, last.Best.Bid+" JPY")
	p.Look(360, 740, false)
	p.Holds(`["[id='won nomi']", "[name='lost nomi']"].map(b => document.querySelector(b).getBoundingClientRect().top).every((top, _, all) => top === all[0])`, "true")
	left("answer")
	look(t, p, "evening")
	p.On(`[name="open nokogiri"]`, `click()`)
	s.waitSaved("tonight.yaml", won)
	limits()
}

// TestLimitsOnce: of an evening without a plan each limit is told once, at its lot.
func TestLimitsOnce(t *testing.T) {
	s := entered(t, "tonight.yaml", strings.Replace(tonight, "    likely: 3000..5000 JPY\n", "", 1))
	page := s.get("/haul/tonight.yaml?view=evening").body
	if strings.Contains(page, "if the others") || !strings.Contains(page, "there is no plan for them together") {
		t.Error(page)
	}
	if page := s.get("/haul/tonight.yaml?view=before").body; !strings.Contains(page, "if the others") {
		t.Error("where the lots have no limits beside them there is no table of them")
	}
}

// TestAllWon: what all lots cost together at their limits is told where the budget lets all be won.
func TestAllWon(t *testing.T) {
	for budget, told := range map[string]bool{"": true, ", budget: 500 CAD": true, ", budget: 80 CAD": false} {
		s := entered(t, "tonight.yaml", strings.Replace(tonight, ", budget: 140 CAD", budget, 1))
		if page := s.get("/haul/tonight.yaml?view=evening").body; strings.Contains(page, "won at the limit: ") != told || !strings.Contains(page, ">Bid up to ") {
			t.Errorf("%q: %s", budget, page)
		}
	}
}

// TestAtAPrice asks, while several lots are open, what a price for one of them means.
func TestAtAPrice(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	p.On(`a[aria-label="lot nomi at a price"]`, `click()`)
	p.Holds(`location.search + document.readyState`, "?view=before&lot=nomicomplete")
	for _, price := range []string{"500", "9000"} {
		p.On(`#ask-at`, `select()`)
		p.Text(`(document.getElementById("ask-at").focus(), 1)`)
		p.Keys(price)
		first, _, _ := strings.Cut(says(t, "bid", s.folder+"/tonight.yaml", "--lot", "nomi", "--at", price+" JPY"), "\n")
		p.Holds(`document.querySelector("#answer h2").textContent.replace(/\u2009/g, "").replace(/\u2212/g, "-")`, first)
	}
	lookAgain(t, p, "at a price")
}

// TestCarried writes what can be carried away: of an evening a page that answers as lots are won
// and lost, of pieces for sale a workbook, each as the command writes it where the pieces have no
// names but their ids.
func TestCarried(t *testing.T) {
	s := entered(t, "tonight.yaml", strings.Replace(tonight, "what: 平鉋, ", "", 1), "three.yaml", regexp.MustCompile(`what: ("[^"]*"|[^,{}]*), |    title: .*\n`).ReplaceAllString(three, ""))
	for of, args := range map[string][]string{"tonight.yaml?of=bid&as=html": {"bid", "tonight.yaml", "--format", "html"}, "three.yaml?of=prices&as=xlsx": {"price", "three.yaml", "--format", "xlsx"}} {
		got := s.get("/write/" + of)
		if want := string(s.runs(args...)); got.status != 200 || got.body != want {
			t.Errorf("%s: %d, %d bytes, want %d", of, got.status, len(got.body), len(want))
		}
	}
}

// TestEveningOnPhone holds a phone at the sale: the limit for the lot that closes first, and what
// is pressed when it is over, are seen without scrolling; of one that is over, what came of it.
func TestEveningOnPhone(t *testing.T) {
	s := entered(t, "tonight.yaml", strings.Replace(tonight, "21:05", "19:30", 1))
	p := s.at("/haul/tonight.yaml?view=evening")
	p.Look(360, 740, false)
	order := `[...document.querySelectorAll(".evening tbody th")].map(h => h.firstChild.textContent).join()`
	p.Holds(order, "lot nokogiri,lot kanna,lot nomi")
	p.Holds(`document.getElementById("won nokogiri").getBoundingClientRect().bottom < innerHeight`, "true")
	pressed(p, `[name="lost nokogiri"]`)
	p.Holds(order, "lot nokogiri,lot kanna,lot nomi")
	p.Holds(`[...document.querySelector(".evening tbody tr").cells].filter(c => c.checkVisibility()).map(c => c.innerText.trim().replace("\n", " ")).join()`, "lot nokogiri,lost open again")
	p.Holds(`document.getElementById("won kanna").getBoundingClientRect().bottom < innerHeight`, "true")
}

// TestEveningOver says what comes next once all lots are decided; before that, from the day on
// which they close, the haul opens on its evening, and on the day after it asks what came of them.
func TestEveningOver(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	for day, want := range map[string][2]string{"2026-10-02": {"closes 3 October 20:15: 平鉋", "before"}, "2026-10-03": {"closes 3 October 20:15: 平鉋", "evening"}, "2026-10-04": {"closed 3 October 20:15: say whether it was won or lost", "evening"}} {
		s.Today = func() time.Time { at, _ := time.Parse(time.DateOnly, day); return at }
		if page := s.get("/").body; !strings.Contains(page, want[0]) {
			t.Errorf("%s: %s", day, page)
		}
		if page := s.get("/haul/tonight.yaml").body; !strings.Contains(page, `data-view="`+want[1]+`"`) {
			t.Errorf("%s: it does not open on %s", day, want[1])
		}
	}
	for won, want := range map[string]string{"price: 5000 JPY": "3 lots are won</h2>\n<p>37.30 CAD more is paid already than the budget of 140.00 CAD.", "lost: yes": "none is won"} {
		put(t, filepath.Join(s.folder, "tonight.yaml"), strings.ReplaceAll(tonight, "price: open", won))
		if page := s.get("/haul/tonight.yaml?view=evening").body; !strings.Contains(page, "All are decided: "+want) || strings.Contains(page, `once the parcel is here`) == (won == "lost: yes") {
			t.Error(page)
		}
	}
}

// TestFirstBid asks for the first bid where nothing says in which currency the lots are bid for,
// in words of the page, and only there.
func TestFirstBid(t *testing.T) {
	const unsaid = "lotcost: 1\nhome: EUR\nlots:\n  - {id: a, price: open, items: [{id: x, value: 20}]}\n  - {id: b, price: open, items: [{id: y, value: 30}]}\n"
	s := entered(t, "one.yaml", unsaid)
	page := s.get("/haul/one.yaml?view=evening").body
	for _, want := range []string{"The first bid that is taken", `name="bidding.start"`, "write the first bid, as in 5"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in it", want)
		}
	}
	if strings.Contains(page, "{start") {
		t.Error("a key is in it")
	}
	put(t, filepath.Join(s.folder, "one.yaml"), unsaid+"bidding: {start: 10 EUR}\n")
	if page := s.get("/haul/one.yaml?view=evening").body; strings.Contains(page, "The first bid that is taken") {
		t.Error("it is asked for though it is known")
	}
}
