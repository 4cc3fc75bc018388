package desk

import (
	"path/filepath"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
)

// small finds what a thumb misses on a phone, being lower than 44 px, and what the phone zooms in
// on, being written smaller than 16 px.
const small = `[...document.querySelectorAll("input:not([type=hidden], [type=checkbox]), select, textarea, button:not(.head), summary, nav a")].filter(e => e.checkVisibility()).flatMap(e => {
	const high = e.getBoundingClientRect().height, size = parseFloat(getComputedStyle(e).fontSize), is = e.outerHTML.slice(0, 120);
	return [...(high < 43.5 ? [high + " px high: " + is] : []), ...(e.matches("input, select, textarea") && size < 16 ? [size + " px small: " + is] : [])];
})`

// thumbs tells of what is too small for a thumb.
func thumbs(p *browser.Page) (what []string) {
	p.Eval(small, &what)
	return what
}

// TestAddOnPhone has the fields of a new piece behind one press where there are pieces already, and
// open where there is none; beside a wide grid they stand below it.
func TestAddOnPhone(t *testing.T) {
	s := entered(t, "three.yaml", three, "bare.yaml", strings.Replace(three, "      - {id: level, what: Rosewood level, count: 2, weight: \"1,8 kg\", value: 45 EUR}\n", "      -\n", 1))
	p := s.at("/haul/three.yaml?view=before")
	const seen = `document.querySelector('[name="lots[levels].items[1].what"]').checkVisibility() + " " + document.querySelector('[id="add lots[levels].items"]').checkVisibility()`
	p.Look(1280, 900, false)
	p.Holds(seen, "true false")
	p.Look(360, 740, false)
	p.Holds(seen, "false true")
	p.On(`[id="add lots[levels].items"] summary`, `click()`)
	p.Holds(seen, "true true")
	typeInto(p, "lots[levels].items[1].what", "Plumb bob")
	p.Holds(`document.querySelector('[name="lots[levels].items[plumb-bob].count"]') === document.activeElement`, "true")
	p.Holds(`document.querySelector('[name="lots[levels].items[2].what"]').checkVisibility()`, "true") // for the next
	p.Holds(`document.querySelectorAll('[aria-label="Take out Plumb bob, Long levels"]').length`, "1")
	p.Go(s.base + "/haul/bare.yaml?view=before")
	p.Holds(`document.querySelector('[name="lots[levels].items[0].what"]').checkVisibility()`, "true")
}

// TestFocusAfterPress: what had the focus and is gone hands it to its row, where a second press
// does not take back the first, and a button that adds a lot to the first field of that.
func TestFocusAfterPress(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	p.On(`[name="lost nomi"]`, `focus()`)
	p.Keys("\r")
	p.Holds(`document.activeElement.id`, "lot nomi")
	p.Keys("\r")
	p.Holds(`document.querySelectorAll("[name='open nomi']").length`, "1")
	p.Go(s.base + "/haul/tonight.yaml?view=before")
	pressed(p, `button[data-then]`)
	p.Holds(`document.activeElement.name`, "lots[lot-4].title")
}

// TestBegunTwice: two taps on a button begin one haul, in which what is typed is read as it is
// meant while much is not typed yet, and again after the way back.
func TestBegunTwice(t *testing.T) {
	s := entered(t)
	p := s.at("/")
	for n, title := range []string{"First", "Second"} {
		p.On(`[name=title]`, `value = "`+title+`"`)
		p.On(`[name=from]`, `value = "GB"`)
		p.On(`[name=to]`, `value = "DE"`)
		p.On(`[name=decimal]`, `value = "comma"`)
		p.Text(`(document.querySelector("form[action='/new'] button").click(), document.querySelector("form[action='/new'] button").click(), 1)`)
		p.Holds(`document.title + " " + document.readyState`, title+" complete")
		files, err := filepath.Glob(filepath.Join(s.folder, "*", "*.yaml"))
		if err != nil || len(files) != n+1 {
			t.Fatalf("%d taps begin %v: %v", 2*(n+1), files, err)
		}
		for _, f := range [][3]string{{"exchange.rates[0]", "1,15", "1 GBP = 1,15 EUR"}, {"lots[lot-1].items[0].what", "Plane", ""}, {"lots[lot-1].items[plane].~value", "45", "45"}, {"lots[lot-1].items[plane].~chance", "70", "70%"}, {"charges[0].amount", "£30", "30 GBP"}} {
			typeInto(p, f[0], f[1])
			if f[2] != "" {
				p.Holds(`document.querySelector('[name="`+f[0]+`"]').value`, f[2])
			}
		}
		p.Text(`(history.back(), 1)`)
		p.Holds(`location.pathname + document.readyState`, "/complete")
	}
}

// TestOffered: a price that is offered is gone with the first figure typed after a tap on it.
func TestOffered(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=sale")
	const price = `.sell input[inputmode]`
	p.Holds(`document.querySelector("`+price+`").value !== ""`, "true")
	p.On(price, `focus()`)
	p.On(price, `setSelectionRange(0, 0)`)
	p.On(price, `click()`)
	p.Keys("35")
	p.Holds(`document.querySelector("`+price+`").value`, "35")
}

// TestWonUntyped: a lot is not won at a price that nobody typed.
func TestWonUntyped(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	p.On(`[id="won kanna"]`, `click()`)
	p.Holds(`document.getElementById("price kanna").validity.valueMissing`, "true")
	p.On(`[id="price kanna"]`, `focus()`)
	p.Keys("3500\r")
	s.waitSaved("tonight.yaml", strings.Replace(tonight, "price: open", "price: 3500 JPY", 1))
}

// TestDutyAsked: where an answer waits for the duty on a class, its field stands beside what is
// wrong, on each page that shows the answer.
func TestDutyAsked(t *testing.T) {
	unsaid := strings.Replace(three, `, duty: "2,7%"`, "", 1)
	s := entered(t, "three.yaml", strings.Replace(unsaid, "price: 6400 JPY", "price: 64000 JPY", 1))
	p := s.at("/haul/three.yaml?view=border")
	p.Holds(`document.querySelector("[name='customs.classes.hand-tool.duty'] + .open").textContent.length > 20`, "true")
	p.On(`[name='customs.classes.hand-tool.duty']`, `focus()`)
	p.Keys("2,7\t")
	p.Holds(`document.getElementById("said").textContent + document.querySelectorAll(".error, .field > .open, #wrong li").length`, "Saved0")
	p.Holds(`document.querySelector("#answer h2").textContent.startsWith("The border adds ")`, "true")
}

// TestVenueInItsCurrency sells at a place that pays in another currency than the usual one: the
// price is in that of the place.
func TestVenueInItsCurrency(t *testing.T) {
	s := entered(t, "three.yaml", strings.NewReplacer("venues:\n", "venues:\n    - {name: quay, currency: USD}\n", `"100 JPY = 0,61 EUR"`, `"100 JPY = 0,61 EUR", "1 USD = 0,90 EUR"`).Replace(three))
	p := s.at("/haul/three.yaml?view=sale")
	const at = `[id="sell at compass-set"] select`
	p.Holds(`[...document.querySelector('`+at+`').options].some(o => o.textContent === "quay, USD")`, "true")
	p.On(at, `value = "quay"`)
	p.On(`[id="at compass-set"]`, `select()`)
	p.Keys("33,00")
	pressed(p, `[aria-label="Compass set in a case was sold"]`)
	if text := s.text("three.yaml"); !strings.Contains(text, `price: "33,00 USD"`) {
		t.Error(text)
	}
}
