package desk

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

// storyBook is what the owner of a folder says of all hauls.
const storyBook = `lotcost-book: 1
decimal: comma
home: EUR
to: DE
exchange: {spread: "2,5%", rates: ["100 JPY = 0,61 EUR"]}
customs:
  use: personal
  by: post
  class: hand-tool
  classes: {hand-tool: {what: Hand tools, duty: "2,7%"}}
sending:
  services:
    - name: surface
      currency: JPY
      steps: [{up-to: 1 kg, price: 1800}, {up-to: 2 kg, price: 2500}, {up-to: 5 kg, price: 4100}, {up-to: 10 kg, price: 7400}]
      limits: {weight: 6 kg, longest: 60 cm}
    - name: long
      currency: JPY
      steps: [{up-to: 2 kg, price: 2900}, {up-to: 5 kg, price: 4700}]
      limits: {weight: 5 kg}
  packing: {share: 6%, fixed: 250 g}
selling:
  venues:
    - {name: gable, fees: [{what: commission, percent: 11%, fixed: "0,45"}], charged: "6,90", postage: "7,20"}
    - {name: Marktstand, ships: no}
  target: 10%
bidding: {steps: [{from: 0 JPY, step: 250 JPY}], goal: {return: 15%}}
`

// typeInto types a value into a field by its path, key by key where all cases are tried, each of
// which the desk answers, and waits until it is saved.
func typeInto(p *browser.Page, path, value string) {
	at := fmt.Sprintf(`[name="%s"]`, path)
	p.On(at, `select?.()`)
	p.Text(fmt.Sprintf(`(said.textContent = "", document.querySelector('%s').closest("details")?.setAttribute("open", ""), document.querySelector('%s').focus(), 1)`, at, at))
	if effort.All() {
		p.Keys(value)
	} else {
		p.Insert(value)
	}
	p.Keys("\t")
	p.Holds(`document.getElementById("said").textContent`, "Saved")
}

// pasteAt pastes cells of a spreadsheet into a field of a grid.
func pasteAt(p *browser.Page, path, cells string) {
	quoted, _ := json.Marshal(cells)
	p.On(fmt.Sprintf(`[name="%s"]`, path), fmt.Sprintf(`dispatchEvent((() => { said.textContent = ""; const data = new DataTransfer(); data.setData("text/plain", %s); return new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}); })())`, quoted))
	p.Holds(`document.getElementById("said").textContent`, "Saved")
}

// pressed presses what a selector finds, and waits until that is saved.
func pressed(p *browser.Page, selector string) {
	p.Text(`(said.textContent = "", 1)`)
	p.On(selector, `click()`)
	p.Holds(`document.getElementById("said").textContent`, "Saved")
}

// TestStory is the whole job in the browser: three lots of two sellers in two boxes, in a country
// with decimal commas, from the first page to the year. After each step the figures on the page are
// those that the command gives for the file that was saved. Pages with prices are looked at in the
// tests of their views.
func TestStory(t *testing.T) {
	s := entered(t, "book.yaml", storyBook)
	p := s.at("/")
	const name = "2026/drei-posten.yaml"
	go1 := func(view string) { p.Go(s.base + "/haul/" + name + "?view=" + view) }

	// A new haul, its pieces from pasted cells.
	p.On(`[name=title]`, `value = "Drei Posten"`)
	p.On(`[name=from]`, `value = "JP"`)
	p.On(`form[action="/new"] button`, `click()`)
	p.Holds(`location.pathname + " " + document.readyState`, "/haul/"+name+" complete")
	go1("before")
	lookAgain(t, p, "story 1, new")
	typeInto(p, "lots[lot-1].seller", "tidemark")
	typeInto(p, "lots[lot-1].premium", "10%")
	pasteAt(p, "lots[lot-1].items[0].what", "Hobel, breit\t3\t0,87 kg\thobel-48\t31,50 EUR\t80%\t6 EUR\nStemmeisen\t4\t140 g\t\t14,25 EUR\n")
	pressed(p, `button[data-set*="lots[+].price"]`)
	typeInto(p, "lots[lot-2].seller", "gable-rooms")
	typeInto(p, "lots[lot-2].size", "78x9x6 cm")
	pasteAt(p, "lots[lot-2].items[0].what", "Wasserwaage\t2\t1,8 kg\t\t45 EUR\n")
	pressed(p, `button[data-set*="lots[+].price"]`)
	typeInto(p, "lots[lot-3].seller", "tidemark")
	pasteAt(p, "lots[lot-3].items[0].what", "Reisszeug im Etui\t2\t420 g\t\t28 EUR\n")
	pressed(p, `[data-set='[["charges[0]",""]]']`) // what the parcels cost stands in the defaults
	p.Holds(`document.querySelector("[name=to]").placeholder`, "DE, by the defaults")
	lookAgain(t, p, "story 2, three open lots")

	// The evening: one is won, the next too, and the bid for the last is that of the command.
	for i, price := range []string{"9800 JPY", "6400 JPY"} {
		typeInto(p, fmt.Sprintf("lots[lot-%d].price", i+1), price)
	}
	var bidSaid struct{ Best struct{ Bid string } }
	s.said(&bidSaid, "bid", name)
	p.Holds(`document.querySelector("#answer h2").textContent.replace(/\u2009/g, "").includes("up to `+bidSaid.Best.Bid+` JPY")`, "true")
	lookAgain(t, p, "story 3, a bid")
	p.On(`[data-ask=at]`, `focus()`)
	p.Keys("1750")
	var asked struct{ Asked struct{ Cost string } }
	s.said(&asked, "bid", name, "--at", "1750 JPY")
	p.Holds(`document.getElementById("answer").textContent.includes("`+figure(asked.Asked.Cost, true)+`")`, "true")
	typeInto(p, "lots[lot-3].price", "1750 JPY")

	// Together or apart: the best way goes into the file.
	go1("boxes")
	var plans struct {
		Plans []struct{ Plan, Total string }
	}
	s.said(&plans, "together", name)
	best := figure(plans.Plans[len(plans.Plans)-1].Total, true)
	p.Holds(`document.getElementById("answer").textContent.replace(/\u2009/g, "").includes("`+best+` EUR")`, "true")
	pressed(p, `[name="put boxes"]`)
	total := func() {
		t.Helper()
		var said splitJSON
		s.said(&said, "split", name)
		p.Holds(`document.querySelector("main").innerText.replace(/[\u2009\u202f]/g, "").replace(/\u00a0/g, " ").includes("total cost `+figure(said.Total, true)+` EUR")`, "true")
	}
	total()
	if n := strings.Count(s.text(name), "freight:"); n < 2 {
		t.Fatalf("%d boxes:\n%s", n, s.text(name))
	}

	// The border, with the bills of both boxes.
	go1("border")
	for box, bill := range map[string][3]string{"box-1": {"2,10", "15,40", "6,00"}, "box-2": {"0,00", "14,25", "6,00"}} {
		for i, kind := range []string{"duty", "tax", "fee"} {
			typeInto(p, "parcels["+box+"].assessed."+kind, bill[i])
		}
	}
	total()
	p.Holds(`document.getElementById("answer").textContent.includes("The border takes 43,75 EUR by the bills that have come, ")`, "true")

	// Opened: two are dead.
	go1("opened")
	for _, id := range []string{"hobel-breit", "stemmeisen"} {
		pressed(p, `[name="`+id+` dead"]`)
	}
	var opened splitJSON
	s.said(&opened, "split", name)
	for _, item := range opened.Items {
		for _, each := range item.Each {
			p.Holds(`document.getElementById("cost `+item.ID+`").innerText.replace(/\u2009/g, "").includes("`+figure(each.Cost, true)+`")`, "true")
		}
	}
	total()

	// Prices: one is kept, one is sold at what the slider says.
	go1("sale")
	var priced struct {
		Items []struct {
			ID     string
			Quotes []struct{ Venue, Ask string }
		}
		Sold []struct{ Left string }
		Kept struct{ Net string }
	}
	typeInto(p, "lots[lot-1].items[hobel-breit].keep", "1")
	p.On(`[id="at hobel-breit"]`, `select()`)
	p.Keys("39,00")
	pressed(p, `[aria-label="Hobel, breit was sold"]`)
	p.Holds(`document.getElementById("profit 0") !== null`, "true") // what else is saved may be said to be before it
	s.said(&priced, "price", name)
	p.Holds(`document.getElementById("profit 0").textContent`, strings.Replace(figure(priced.Sold[0].Left, true), "-", "−", 1))
	p.Holds(`document.getElementById("work").textContent.includes("`+figure(priced.Kept.Net, true)+`")`, "true")

	// The year.
	p.Go(s.base + "/years")
	if got, want := s.get("/years?as=csv").body, string(s.runs("book", "years", ".", "--format", "csv")); got != want {
		t.Errorf("the year is\n%s\nwant\n%s", got, want)
	}
	var years struct{ Years []struct{ Profit string } }
	s.said(&years, "book", "years", ".")
	p.Holds(`document.querySelector("main").innerText.includes("`+strings.Replace(figure(years.Years[0].Profit, true), "-", "−", 1)+`")`, "true")
}
