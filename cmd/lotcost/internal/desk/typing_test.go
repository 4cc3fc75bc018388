package desk

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestAsMeant types figures as people write them: what can only be one thing is written as a file
// has it, and the field shows it so; what may be two things is not.
func TestAsMeant(t *testing.T) {
	s := entered(t, "three.yaml", strings.Replace(three, "price: 9800 JPY", "price: open", 1))
	p := s.at("/haul/three.yaml?view=before")
	for _, c := range []struct{ path, typed, want string }{
		{"lots[levels].premium", "12,5", "12,5%"},
		{"lots[kanna].closes", "29.11.2026 20:15", "2026-11-29 20:15"},
		{"lots[kanna].closes", "3.12. 19:30", "2026-12-03 19:30"},
		{"date", "30.8.", "2026-08-30"},
		{"date", "3/9", "2026-09-03"},
		{"lots[kanna].likely", "4000-9000", "4000..9000 JPY"},
		{"lots[kanna].items[nomi].~chance", "80", "80%"},
		{"exchange.spread", "1,75", "1,75%"},
	} {
		typeInto(p, c.path, c.typed)
		p.Holds(`document.querySelector('[name="`+c.path+`"]').value`, c.want)
		if text := s.text("three.yaml"); !strings.Contains(text, c.want) {
			t.Errorf("%s, typed as %s:\n%s", c.path, c.typed, text)
		}
	}
	before := s.text("three.yaml")
	p.On(`[name="lots[levels].items[level].weight"]`, `select()`)
	p.Text(`(document.querySelector('[name="lots[levels].items[level].weight"]').focus(), 1)`)
	p.Keys("2\t")
	p.Holds(`said.textContent.startsWith("Not saved: ")`, "true")
	p.Holds(`document.querySelector(".bad .error").textContent.endsWith("no unit: write 2 kg")`, "true")
	if after := s.text("three.yaml"); after != before {
		t.Errorf("it was written:\n%s", after)
	}
}

// TestStroke: where decimals have points a day of a stroke is taken only as far as it is sure which
// figure is the month.
func TestStroke(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	for typed, want := range map[string]string{"30/11": "date: 2026-11-30", "11/30": "date: 2026-11-30", "3/4": ""} {
		got := s.post("/try", "file", "crate.yaml", "mark", mark([]byte(crate)), "view", "text", "path", "date", "value", typed)
		if want == "" && got.status == 200 || !strings.Contains(got.body, want) {
			t.Errorf("%s: %d\n%s", typed, got.status, got.body)
		}
	}
}

// TestRateAfterPrice types a price whose rate is not there yet, as whoever begins a haul does: it
// is saved by itself once the rate is typed.
func TestRateAfterPrice(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\nhome: EUR\nfrom: GB\nlots:\n  - id: a\n    price: open\n    items: [{id: x, what: Plane, value: 60, weight: 1 kg}]\n")
	p := s.at("/haul/one.yaml?view=before")
	p.Text(`(document.querySelector('[name="lots[a].price"]').select(), document.querySelector('[name="lots[a].price"]').focus(), 1)`)
	p.Keys("45 GBP\t")
	p.Holds(`document.querySelector(".bad .error").textContent`, `no rate from GBP to EUR: write it at “Rate”, as in 100 GBP = … EUR`)
	p.Text(`(document.querySelector('[name="exchange.rates[0]"]').focus(), 1)`)
	p.Keys("1 GBP = 1.14 EUR\t")
	s.waitSaved("one.yaml", "lotcost: 1\nhome: EUR\nfrom: GB\nexchange:\n  rates: [1 GBP = 1.14 EUR]\nlots:\n  - id: a\n    price: 45 GBP\n    items: [{id: x, what: Plane, value: 60, weight: 1 kg}]\n")
	p.Holds(`document.querySelectorAll(".error").length`, "0")
}

// TestCalledOtherwise names a lot: its heading and its fields say so at once, and what is wrong
// calls it by that; a box without lots is told where they are typed.
func TestCalledOtherwise(t *testing.T) {
	s := entered(t, "one.yaml", "lotcost: 1\nhome: EUR\nlots:\n  - {id: lot-1, price: 40 EUR, items: [{id: x, what: Plane}]}\ncharges:\n  - {what: Post, kind: freight, by: count, amount: 9}\n")
	p := s.at("/haul/one.yaml?view=before")
	typeInto(p, "lots[lot-1].title", "Planes, a crate")
	p.Holds(`document.querySelector(".lot h2").textContent`, "Planes, a crate")
	p.Holds(`document.querySelector('[name="lots[lot-1].items[x].weight"]').labels[0].textContent`, "Weight of Plane, Planes, a crate")
	wrong := func(text string) {
		t.Helper()
		p.Holds(`[...document.querySelectorAll(".error, .field > .open, #wrong li")].some(e => e.textContent.includes("`+text+`"))`, "true")
	}
	wrong("has no value, but the price of Planes, a crate is shared by value: ")
	typeInto(p, "parcels[0].id", "A")
	wrong("holds no lots: type them in “lots in it”, with a comma between two")
	const lots = `[name="parcels[A].~lots"]`
	for typed, error := range map[string]string{"planes": "planes", "planes, a crate, lot-9": "lot-9"} {
		p.On(lots, `focus()`)
		p.On(lots, `select()`)
		p.Keys(typed + "\t")
		wrong("no lot is called \\\"" + error + "\\\": known here: Planes, a crate")
	}
	typeInto(p, "parcels[A].~lots", "planes, A crate")
	p.Holds(`document.querySelector('`+lots+`').value`, "Planes, a crate")
	typeInto(p, "lots[lot-1].items[x].~value", "30")
	typeInto(p, "parcels[A].freight", "5") // what is only strange is told at once
	p.Holds(`document.querySelector(".strange").textContent.includes("both count: keep one of them")`, "true")
	if text := s.text("one.yaml"); !strings.Contains(text, "{id: A, lots: [lot-1], freight: 5}") {
		t.Error(text)
	}
}

// TestFormError types a price into a form that cannot be read: what is wrong stands at the field,
// where the eye is, and a figure without a currency is one in that of the sale.
func TestFormError(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	p.Look(360, 740, false)
	price := `form[data-path] [data-key=price]`
	p.On(price, `value = "6s00"`)
	p.On(`form[data-path] button`, `click()`)
	p.Holds(`document.querySelector("form[data-path] .error").textContent.includes("6s00")`, "true")
	p.Holds(`document.querySelector("`+price+`").value`, "6s00")
	p.Holds(`said.textContent.startsWith("Not saved: ")`, "true")
	p.On(price, `value = "6500"`)
	pressed(p, `form[data-path] button`)
	if text := s.text("tonight.yaml"); !strings.Contains(text, "price: 6500 JPY") {
		t.Errorf("not won at 6500 JPY:\n%s", text)
	}
}

// TestSliderAside goes from the number of a chance to the next figure, past its slider: digits that
// are typed into a slider are lost.
func TestSliderAside(t *testing.T) {
	s := entered(t, "three.yaml", strings.Replace(three, "price: 9800 JPY", "price: open", 1))
	p := s.at("/haul/three.yaml?view=before")
	p.On(`[name="lots[kanna].items[nomi].~chance"]`, `focus()`)
	p.Keys("60\t4\t")
	p.Holds(`document.querySelector('[name="lots[kanna].items[nomi].~else"]').value`, "4")
	s.waitSaved("three.yaml", strings.NewReplacer("price: 9800 JPY", "price: open", "value: 14 EUR}", "chances: [{chance: 60%, value: 14 EUR}, {chance: rest, value: 4}]}").Replace(three))
}

// TestReloaded: what was typed stands there at once when the page is loaded again, though it was
// not saved yet, and is saved by that page.
func TestReloaded(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	p := s.at("/haul/crate.yaml?view=before")
	const model = `[name="lots[crate].items[jack].model"]`
	p.On(model, `focus()`)
	p.Keys("jack-5")
	p.Holds(`said.textContent`, "")
	p.Eval(`window.old = true, window.fetch = () => new Promise(() => {}), location.reload(), null`, nil)
	p.Holds(`window.old + document.readyState + document.querySelector('`+model+`').value`, "undefinedcompletejack-5")
	s.waitSaved("crate.yaml", strings.Replace(crate, "what: Jack planes,", "what: Jack planes, model: jack-5,", 1))
	p.Holds(`said.textContent`, "Saved")
	p.Eval(`location.reload(), null`, nil)
	p.Holds(`document.readyState + sessionStorage.length + document.querySelector('`+model+`').value`, "complete0jack-5")
}

// TestOutOfSight: what stands in a field that was not left is saved when the page is loaded again,
// or another one in its place, as it is when a phone shows something else.
func TestOutOfSight(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	p := s.at("/haul/crate.yaml?view=before")
	for i, model := range []string{"jack-5", "jack-6"} {
		p.On(`[name="lots[crate].items[jack].model"]`, `select()`)
		p.Text(`(document.querySelector('[name="lots[crate].items[jack].model"]').focus(), 1)`)
		p.Keys(model)
		if i == 0 {
			p.Text(`(location.reload(), 1)`)
		} else {
			p.Go(s.base + "/")
		}
		s.waitSaved("crate.yaml", strings.Replace(crate, "what: Jack planes,", "what: Jack planes, model: "+model+",", 1))
		p.Go(s.base + "/haul/crate.yaml?view=before")
		p.Holds(`document.querySelector('[name="lots[crate].items[jack].model"]').value`, model)
	}
}

// TestNewKept: what is typed for a new haul stands there again when the page comes back, until the
// haul is begun. From a haul that is not there a way leads back.
func TestNewKept(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	p := s.at("/haul/gone.yaml")
	p.On(`a[href="/"]`, `click()`)
	p.On(`#new summary`, `click()`)
	p.On(`#new [name=title]`, `focus()`)
	p.Keys("Two braces")
	p.Eval(`window.old = true, location.reload(), null`, nil)
	p.Holds(`window.old + document.readyState + document.querySelector("#new").open + document.querySelector("#new [name=title]").value`, "undefinedcompletetrueTwo braces")
	p.On(`#new [name=from]`, `value = "GB"`)
	p.On(`#new [name=to]`, `value = "CA-ON"`)
	p.On(`#new button`, `click()`)
	p.Holds(`document.querySelector("h1").textContent`, "Two braces")
	p.Go(s.base + "/")
	p.Holds(`document.readyState + document.querySelector("#new").open + document.querySelector("#new [name=title]").value`, "completefalse")
}

// TestAllKept: what stands in the fields of a page that a phone ends is there again, though another
// one saved meanwhile: what was saved in vain is saved, what is wrong is told at its field, a form
// is as it was, and of what both changed both versions are shown.
func TestAllKept(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := s.at("/haul/tonight.yaml?view=evening")
	inVain := func(fields ...string) {
		t.Helper()
		p.Text(`(window.fetch = () => Promise.reject(new TypeError("no network")), window.old = true, 1)`)
		for i := 0; i < len(fields); i += 2 {
			p.On(fields[i], `select()`)
			p.On(fields[i], `focus()`)
			p.Keys(fields[i+1] + "\t")
		}
		p.Holds(`said.textContent`, "Not saved: the desk does not answer. What you typed still stands here.")
	}
	elsewhere := func(path, value string) string {
		t.Helper()
		was := s.text("tonight.yaml")
		s.get("/haul/tonight.yaml")
		if got := s.post("/save", "file", "tonight.yaml", "mark", mark([]byte(was)), "view", "evening", "path", path, "value", value); got.status != 200 {
			t.Fatal(got.status, got.body)
		}
		p.Eval(`location.reload(), null`, nil)
		p.Holds(`window.old + document.readyState`, "undefinedcomplete")
		return s.text("tonight.yaml")
	}
	inVain(`[id="price kanna"]`, "5000", `[name="lots[nomi].likely"]`, "a lot", `[name="lots[nomi].closes"]`, "20:50")
	now := elsewhere("lots[kanna].likely", "4500 JPY")
	s.waitSaved("tonight.yaml", strings.Replace(now, "20:40", "20:50", 1))
	p.Holds(`document.getElementById("price kanna").value + document.querySelector('[name="lots[nomi].likely"]').value + document.querySelector('[name="lots[nomi].likely"] ~ .error').textContent.includes("a lot")`, "5000a lottrue")

	inVain(`[name="lots[nomi].closes"]`, "20:55")
	now = elsewhere("lots[nomi].closes", "20:45")
	p.Holds(`document.querySelector("table.versions").textContent.includes("20:45") && document.querySelector("table.versions").textContent.includes("20:55")`, "true")
	if text := s.text("tonight.yaml"); text != now {
		t.Error(text)
	}

	// What stood in vain before another field was saved is still over what it was typed over.
	p.Go(s.base + "/haul/tonight.yaml?view=evening")
	p.Eval(`window.real = fetch, null`, nil)
	inVain(`[name="lots[nomi].closes"]`, "20:55")
	now = strings.Replace(now, "20:45", "20:30", 1)
	put(t, filepath.Join(s.folder, "tonight.yaml"), now)
	p.Text(`(window.fetch = real, 1)`)
	p.On(`[name="lots[nokogiri].closes"]`, `select()`)
	p.On(`[name="lots[nokogiri].closes"]`, `focus()`)
	p.Keys("21:10\t")
	p.Holds(`document.querySelector("table.versions").textContent.includes("20:30") && document.querySelector("table.versions").textContent.includes("20:55")`, "true")
	if text := s.text("tonight.yaml"); text != strings.Replace(now, "21:05", "21:10", 1) {
		t.Error(text)
	}
}
