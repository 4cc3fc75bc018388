package main

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

// paged writes the page of a command line and returns its path.
func paged(t *testing.T, line ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "result.html")
	if code, said := quietly(append(slices.Clone(line), "-o", file)); code != exitFine && code != exitNo {
		t.Fatalf("%q: exit %d: %s", line, code, said)
	}
	return file
}

// pageLines are command lines whose pages are looked at, the most telling first.
var pageLines = []string{
	"bid ../../examples/one-crate/1-before/haul.yaml", "split ../../examples/three-crates/haul.yaml", "price ../../examples/one-crate/2-opened/haul.yaml", "together ../../examples/three-lots/haul.yaml", "book ../../examples/book", "bid ../../examples/evening/haul.yaml",
	"split ../../examples/one-crate/2-opened/haul.yaml --working", "split ../../examples/three-crates/haul.yaml --compare", "split ../../examples/three-crates/haul.yaml --item jack", "bid ../../examples/before-bidding/haul.yaml --decimal comma", "bid ../../examples/first-bid/haul.yaml",
	"price ../../examples/bench-day/haul.yaml", "duty ../../examples/at-the-border/haul.yaml", "check ../../examples/first-bid/haul.yaml", "rules", "rules CA", "book years ../../examples/book --months", "book stock ../../examples/book", "book sales ../../examples/book", "book guesses ../../examples/book", "book doubles ../../examples/book",
	"split ../../examples/bench-day/haul.yaml", "bid ../../examples/one-crate/1-before/haul.yaml --at 9000", "together ../../examples/three-lots/haul.yaml --next 1.2kg",
}

// TestPages looks at pages as a browser shows them.
func TestPages(t *testing.T) {
	lines := pageLines[:min(effort.Cases(len(pageLines), 3, 2), len(pageLines))]
	p := browser.Open(t)
	for n, line := range lines {
		file := paged(t, strings.Fields(line)...)
		if info, err := os.Stat(file); err != nil || info.Size() > 250_000 {
			t.Errorf("%s: %d bytes, %v", line, info.Size(), err)
		}
		p.GoFile(file)
		p.Check(t.Errorf, line)
		var wrong []string
		p.Eval(`[...[...document.querySelectorAll('a[href^="#"]')].map(a => decodeURIComponent(a.hash.slice(1))).filter(id => !document.getElementById(id)),
			...[...document.querySelectorAll("[id]")].map(e => e.id).filter((id, i, all) => all.indexOf(id) < i || /\s/.test(id)),
			...[...document.querySelectorAll("svg.drawing")].filter(s => !s.querySelector("title").textContent || !document.getElementById(s.getAttribute("aria-describedby")).textContent || !s.closest("figure").querySelector("details table") && !s.closest("figure").nextElementSibling.querySelector("table")).map(s => "no words or figures: " + s.textContent),
			...[...document.querySelectorAll("[src], link[href]:not([href^='data:']), [style]")].map(e => e.outerHTML)]`, &wrong)
		if len(wrong) > 0 {
			t.Errorf("%s: %q", line, wrong)
		}
		if n > 0 && !effort.All() {
			continue // printing takes as long as all else
		}
		if printed := p.PDF(len(line)%2 == 0); !strings.HasPrefix(string(printed), "%PDF-") {
			t.Errorf("%s: not printed", line)
		}
	}
}

// TestSlimTables: on a phone a table with few figures stays a table, and one with many is read row
// by row.
func TestSlimTables(t *testing.T) {
	p := browser.Open(t)
	p.GoFile(paged(t, "bid", "../../examples/one-crate/1-before/haul.yaml"))
	p.Look(390, 844, false)
	for title, want := range map[string]string{"What would change it": "table-row", "The bids around it": "block"} {
		p.Holds(fmt.Sprintf(`getComputedStyle([...document.querySelectorAll("table[aria-labelledby]")].find(t => document.getElementById(t.getAttribute("aria-labelledby")).textContent === %q).tBodies[0].rows[0]).display`, title), want)
	}
}

// TestOnPaper: on paper tables stay tables and are not cut, and no drawing is higher than a page.
func TestOnPaper(t *testing.T) {
	haul := "lotcost: 1\nhome: EUR\nlots:\n  - id: a\n    price: 900 EUR\n    items:\n"
	for n := range 60 {
		haul += fmt.Sprintf("      - {id: tool-%d, weight: 1 kg, value: %d}\n", n, 20+n)
	}
	many := filepath.Join(t.TempDir(), "many.yaml")
	if err := os.WriteFile(many, []byte(haul), 0o600); err != nil {
		t.Fatal(err)
	}
	p := browser.Open(t)
	for _, line := range []string{"price ../../examples/bench-day/haul.yaml", "split ../../examples/bench-day/haul.yaml", "split " + many} {
		p.GoFile(paged(t, strings.Fields(line)...))
		p.Paper()
		var wrong []string
		p.Eval(`[...[...document.querySelectorAll(".t > table")].filter(t => t.checkVisibility() && (getComputedStyle(t.tBodies[0].rows[0]).display !== "table-row" || t.getBoundingClientRect().right > t.parentNode.getBoundingClientRect().right + 1)).map(t => "table: " + t.innerText.slice(0, 60)),
			...[...document.querySelectorAll(".t > table > tbody")].filter(b => !b.rows.length).map(b => "an empty body: " + b.parentNode.innerText.slice(0, 60)),
			...[...document.querySelectorAll("svg.drawing")].map(s => s.getBoundingClientRect().height).filter(h => h > 900).map(h => "a drawing is high: " + h)]`, &wrong)
		if len(wrong) > 0 {
			t.Errorf("%s: %q", line, wrong)
		}
	}
}

// TestPagesUntyped: nobody who reads a page is sent to a command or its flags.
func TestPagesUntyped(t *testing.T) {
	typed := regexp.MustCompile(`[^>\n]*(lotcost (duty|bid|split|price|check|rules|book|together|help)\b|[ (]--[a-z])[^<\n]*`)
	for n, line := range append(pageLines, "split ../../examples/evening/haul.yaml", "duty ../../examples/evening/haul.yaml", "split ../../examples/at-the-border/haul.yaml", "split ../../examples/before-bidding/haul.yaml") {
		if n%effort.Cases(1, 2, 4) > 0 {
			continue
		}
		page, err := os.ReadFile(paged(t, strings.Fields(line)...))
		if err != nil {
			t.Fatal(err)
		}
		_, body, _ := strings.Cut(string(page), "<body")
		if found := typed.FindString(body); found != "" {
			t.Errorf("%s: %s", line, found)
		}
	}
}

// answered is what stands in the attributes of the answer at the sale.
type answered struct{ Cost, Profit, ChanceOfLoss, Meets string }

// typeIn types a price into a page for the sale, as a thumb would.
func typeIn(p *browser.Page, price string) (a answered, said string) {
	quoted, _ := json.Marshal(price)
	p.Eval(fmt.Sprintf(`price.value = %s, price.dispatchEvent(new Event("input", {bubbles: true})), {...answer.dataset}`, quoted), &a)
	p.Eval(`answer.textContent`, &said)
	return a, said
}

// TestAtTheSale wants the page of a bid to say of each price what bid --at says of it.
func TestAtTheSale(t *testing.T) {
	for _, haul := range []string{"one-crate/1-before", "first-bid"} {
		line := []string{"bid", "../../examples/" + haul + "/haul.yaml"}
		p := browser.Open(t)
		p.Look(360, 780, false)
		p.GoFile(paged(t, line...))
		var steps struct {
			Bids  string     `json:"bids"`
			Steps [][]string `json:"steps"`
		}
		p.Eval(`JSON.parse(document.getElementById("steps").textContent)`, &steps)
		dice := rand.New(rand.NewPCG(1, 2))
		dice.Shuffle(len(steps.Steps), func(i, j int) { steps.Steps[i], steps.Steps[j] = steps.Steps[j], steps.Steps[i] })
		for _, step := range steps.Steps[:min(effort.Cases(50, 8, 5), len(steps.Steps))] {
			got, _ := typeIn(p, step[0])
			if want := judgedAt(t, append(slices.Clone(line), "--at", step[0]+" "+steps.Bids, "--decimal", "point")); got != want {
				t.Errorf("%s at %s: %+v, want %+v", haul, step[0], got, want)
			}
		}
		if len(p.Complaints()) > 0 {
			t.Error(p.Complaints())
		}
	}
}

// asJSON reads what a command answers in JSON.
func asJSON(t *testing.T, line []string, into any) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "result.json")
	code, said := quietly(append(slices.Clone(line), "-o", file))
	data, err := os.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(data, into)
	}
	if err != nil {
		t.Fatalf("%q: exit %d: %v: %s", line, code, err, said)
	}
}

// judgedAt is what a command says of one price.
func judgedAt(t *testing.T, line []string) answered {
	t.Helper()
	var result struct {
		Asked struct {
			Cost   string `json:"cost"`
			Profit string `json:"profit"`
			Loss   string `json:"chance_of_loss"`
			Meets  bool   `json:"meets"`
		} `json:"asked"`
	}
	asJSON(t, line, &result)
	a := result.Asked
	return answered{a.Cost, a.Profit, a.Loss, map[bool]string{true: "yes", false: "no"}[a.Meets]}
}

// TestTypedAtTheSale types what people type.
func TestTypedAtTheSale(t *testing.T) {
	p := browser.Open(t)
	p.GoFile(paged(t, "bid", "../../examples/one-crate/1-before/haul.yaml"))
	is, _ := typeIn(p, "4700")
	if is.Meets != "yes" || is.Cost != "103.34" {
		t.Errorf("at the limit: %+v", is)
	}
	for _, same := range []string{" 4 700 ", "4,700", "4700.00", "4700,0", "４７００", "4700 JPY", "jpy4700", "04700", "4 700", "4'700"} {
		if got, said := typeIn(p, same); got != is {
			t.Errorf("%q: %+v, %s", same, got, said)
		}
	}
	for typed, want := range map[string]string{"": "Type the price", "4750": "those beside it are 4 700 JPY and 4 800 JPY", "x": "no price", "-4700": "no price", "4700 CAD": "no price", "1e3": "no price", "47..00": "no price", "99999999": "goes up to", "1": "the first is 500 JPY", "4700,5": "No bid of the ladder", "<b>": "no price"} {
		got, said := typeIn(p, typed)
		if got != (answered{}) || !strings.Contains(strings.ReplaceAll(said, "\u2009", " "), want) {
			t.Errorf("%q: %+v, %s", typed, got, said)
		}
	}
	var value string
	p.Eval(`slide.value = slide.max, slide.dispatchEvent(new Event("input", {bubbles: true})), price.value`, &value)
	if got := judgedAt(t, []string{"bid", "../../examples/one-crate/1-before/haul.yaml", "--at", value + " JPY"}); got.Meets != "no" {
		t.Errorf("at the end of the ladder, %s: %+v", value, got)
	}

	p.GoFile(paged(t, "bid", "../../examples/one-crate/1-before/haul.yaml", "--decimal", "comma"))
	for _, same := range []string{"4.700", "4700", "4700,00", "4.700,0"} {
		if got, said := typeIn(p, same); got != is {
			t.Errorf("%q in a page with commas: %+v, %s", same, got, said)
		}
	}
}

// TestEveningPage marks lots won and lost, and wants the limits to be those that the command gives
// for that.
func TestEveningPage(t *testing.T) {
	line := []string{"bid", "../../examples/evening/haul.yaml"}
	p := browser.Open(t)
	p.Look(360, 780, true)
	p.GoFile(paged(t, line...))
	var lots [][]string // the prices at which each may be won
	p.Eval(`[...document.querySelectorAll("#evening select")].map(s => [...s.options].filter(o => o.text.includes("up to")).map(o => o.text.replace(/.* up to |\u2009/g, "")))`, &lots)
	ids := []string{"smoothers", "chisels", "braces", "instruments", "marking"}
	if len(lots) != len(ids) || len(lots[0]) != 2 || len(lots[4]) != 0 {
		t.Fatal(lots)
	}
	for n, marks := range []string{"", "l", "0", "l1", "10l", "0l01", "lllll"} {
		asked := slices.Clone(line)
		p.Eval(`evening.reset(), evening.dispatchEvent(new Event("change")), null`, nil)
		for i, mark := range marks {
			p.Eval(fmt.Sprintf(`{const s = document.querySelector("[name=lot-%d]"); s.value = "%c", s.dispatchEvent(new Event("change", {bubbles: true}))}`, i, mark), nil)
			if asked = append(asked, "--lost", ids[i]); mark != 'l' {
				asked = append(asked[:len(asked)-2], "--won", ids[i]+"="+lots[i][mark-'0'])
			}
		}
		p.Holds(`since.checkVisibility()`, fmt.Sprint(marks != ""))
		var shown []string
		p.Eval(`[...document.querySelectorAll(".limit")].map(e => e.textContent.replace(/ /g, ""))`, &shown)
		if len(marks) == len(ids) {
			if strings.Join(shown, "") != "" {
				t.Errorf("all decided: %q", shown)
			}
			p.Holds(`document.querySelector("h1").textContent + ". " + answer.textContent`, "All are decided. Nothing was won, and nothing is to be paid.")
			p.Eval(`location.reload(), null`, nil)
			p.Holds(`document.querySelector("h1").textContent + [...document.querySelectorAll("#evening select")].map(s => s.value).join("")`, "All are decided"+marks)
			continue
		}
		if n%2 == 1 && !effort.All() {
			continue
		}
		var result struct {
			Lots []struct {
				Limit *string `json:"limit"`
			}
		}
		if len(marks) == len(ids)-1 { // one lot is left, which is no evening
			continue
		}
		asJSON(t, asked, &result)
		if l := result.Lots[0]; l.Limit != nil {
			p.Holds(`document.querySelector("h1").textContent.replace(/\u2009/g, "")`, "Bid up to "+*l.Limit+" JPY for "+ids[len(marks)]+", which closes first")
		}
		for i, l := range result.Lots {
			want := "no bid"
			if l.Limit != nil {
				want = *l.Limit + " JPY"
			}
			if got := shown[len(marks)+i]; got != want {
				t.Errorf("%q: %s up to %s, want %s", marks, ids[len(marks)+i], got, want)
			}
		}
		if strings.Join(shown[:len(marks)], "") != "" {
			t.Errorf("%q: decided lots have limits: %q", marks, shown)
		}
	}
	if len(p.Complaints()) > 0 {
		t.Error(p.Complaints())
	}
}

// hostileHaul has names that would act if they were not taken as text.
const hostileHaul = `
lotcost: 1
title: "</title><script>window.hit = 1</script> 二つの箱"
home: CAD
lots:
  - id: "<img/src=x/onerror=window.hit=1>"
    title: "' onmouseover='window.hit=1"
    seller: "</style><b>"
    price: 400000
    items:
      - {id: "a<script>window.hit=1</script>", what: "\u202Eevil \"quoted\" & <i>it</i> ]]> <!--", count: 3, value: 9000}
      - {id: Donaudampfschifffahrtsgesellschaftskapitaensmuetzenabzeichenaufbewahrungskaestchendeckel, what: 平鉋（刃幅二寸）、台は白樫。使い込まれた道具で、刃先に小さな欠けがあるが研げば直る, count: 2, value: 1234567}
      - {id: שלום, what: "מסור יד, 12", value: 2000000}
charges:
  - {what: "<svg onload=window.hit=1>", amount: 1234.56}
`

// turnedRound finds the figures whose last digits stand before their first, as after a name that is
// written from the right.
const turnedRound = `document.querySelectorAll("details").forEach(d => { d.open = true; }), [...document.querySelectorAll("data")].filter(d => {
	const at = n => { const r = document.createRange(); r.setStart(d.firstChild, n); r.setEnd(d.firstChild, n + 1); return r.getBoundingClientRect().left; };
	return at(0) > at(d.textContent.lastIndexOf("\u2009") + 1);
}).map(d => d.parentElement.textContent).join("; ")`

// TestHostilePage wants names to be seen as they are and to do nothing, on all widths.
func TestHostilePage(t *testing.T) {
	haul := filepath.Join(t.TempDir(), "haul.yaml")
	if err := os.WriteFile(haul, []byte(hostileHaul), 0o600); err != nil {
		t.Fatal(err)
	}
	p := browser.Open(t)
	for _, command := range []string{"split", "check"} {
		p.GoFile(paged(t, command, haul))
		p.Check(t.Errorf, command)
		var hit any
		p.Eval(`window.hit || null`, &hit)
		var text string
		p.Eval(`document.body.textContent`, &text)
		if hit != nil || !strings.Contains(text, "<img/src=x/onerror=window.hit=1>") && command == "split" {
			t.Errorf("%s: hit %v, in %s", command, hit, text)
		}
		p.Eval(turnedRound, &text)
		if text != "" {
			t.Errorf("%s: the thousands of a figure are turned round: %s", command, text)
		}
	}
}

// figuresOf reads the figures of a page by their addresses.
func figuresOf(t *testing.T, file string) map[string]string {
	t.Helper()
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(page), "<main>")
	body, _, _ = strings.Cut(body, "</main>")
	d := xml.NewDecoder(strings.NewReader("<main>" + body + "</main>"))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	figures, open := map[string]string{}, []string{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			return figures
		}
		if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			id := ""
			for _, a := range token.Attr {
				if a.Name.Local == "id" {
					id = a.Value
				}
			}
			if token.Name.Local == "br" {
				figures[open[len(open)-1]] += "\n"
			}
			open = append(open, id)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			for _, id := range open {
				if id != "" {
					figures[id] += strings.NewReplacer("\u2009", "", "−", "-").Replace(string(token))
				}
			}
		}
	}
}

// TestPageAgrees wants the page of what pieces cost to say what JSON says, figure by figure, of the
// examples and of hauls at random.
func TestPageAgrees(t *testing.T) {
	hauls, err := filepath.Glob("../../examples/*/haul.yaml")
	if err != nil || len(hauls) < 6 {
		t.Fatal(len(hauls), err)
	}
	dir, dice := t.TempDir(), rand.New(rand.NewPCG(3, 4))
	for n := range effort.Cases(200, 10, 5) {
		haul := filepath.Join(dir, fmt.Sprintf("%d.yaml", n))
		if err := os.WriteFile(haul, []byte(randomHaul(dice)), 0o600); err != nil {
			t.Fatal(err)
		}
		hauls = append(hauls, haul)
	}
	for _, haul := range hauls {
		var result struct {
			Total   string
			Charges []struct{ What, Home string }
			Items   []struct {
				ID     string
				Cost   string
				Count  int64
				Shares map[string]string
			}
		}
		asJSON(t, []string{"split", haul}, &result)
		figures, want := figuresOf(t, paged(t, "split", haul, "--decimal", "point")), map[string]string{"what-was-paid-sum:home": result.Total}
		for _, it := range result.Items {
			want["item-"+it.ID+":cost"], want["item-"+it.ID+":count"] = it.Cost, fmt.Sprint(it.Count)
			for kind, share := range it.Shares {
				want["item-"+it.ID+":"+kind] = share
			}
		}
		for id, figure := range want {
			if figures[id] != figure {
				t.Errorf("%s: %s is %q, want %q", haul, id, figures[id], figure)
			}
		}
		paid := 0
		for id := range figures {
			if strings.HasPrefix(id, "what-was-paid-") && strings.HasSuffix(id, ":home") {
				paid++
			}
		}
		if paid != len(result.Charges)+1 {
			t.Errorf("%s: %d amounts paid, want %d", haul, paid-1, len(result.Charges))
		}
	}
}

// randomHaul is a haul with lots, charges and refunds of all sizes.
func randomHaul(dice *rand.Rand) string {
	var b strings.Builder
	b.WriteString("lotcost: 1\nhome: CAD\nexchange: {rates: [100 JPY = 0.93 CAD]}\nlots:\n")
	item := 0
	for lot := range 1 + dice.IntN(4) {
		fmt.Fprintf(&b, "  - id: lot-%d\n    price: %d JPY\n    premium: %d%%\n    items:\n", lot, dice.IntN(1<<dice.IntN(30)), dice.IntN(20))
		for range 1 + dice.IntN(6) {
			item++
			fmt.Fprintf(&b, "      - {id: item-%d, count: %d, weight: %d g, value: %d.%02d}\n", item, 1+dice.IntN(9), 1+dice.IntN(3000), 1+dice.IntN(1<<dice.IntN(20)), dice.IntN(100))
		}
	}
	b.WriteString("charges:\n")
	for n := range 1 + dice.IntN(5) {
		amount := dice.IntN(1 << dice.IntN(24))
		if dice.IntN(5) == 0 {
			amount = -amount / 100
		}
		fmt.Fprintf(&b, "  - {what: charge %d, kind: %s, amount: %d JPY}\n", n, []string{"freight", "insurance", "fee", "repair"}[dice.IntN(4)], amount)
	}
	return b.String()
}

// TestLongPage writes a page of many items: ten thousand where all cases are tried.
func TestLongPage(t *testing.T) {
	var b strings.Builder
	b.WriteString("lotcost: 1\nhome: CAD\nfrom: JP\nto: CA-ON\ndate: 2026-10-03\ncustoms: {use: personal, by: post, class: tool, classes: {tool: {what: Tools, duty: 6.5%}}}\nlots:\n  - id: crate\n    price: 40000\n    items:\n")
	items := effort.Cases(10_000, 1_000, 300)
	for i := range items {
		fmt.Fprintf(&b, "      - {id: plane-%d, what: A plane, weight: %d g, value: %d}\n", i, 100+i%700, 10+i%90)
	}
	b.WriteString("charges:\n  - {what: Parcel, kind: freight, amount: 7400}\n  - {what: Cover, kind: insurance, amount: 120}\n")
	haul := filepath.Join(t.TempDir(), "haul.yaml")
	if err := os.WriteFile(haul, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	file := paged(t, "split", haul)
	if figures := figuresOf(t, file); figures[fmt.Sprintf("item-plane-%d:cost", items-1)] == "" || figures["item-plane-0:freight"] == "" {
		t.Error("figures are missing")
	}
}

// yen is a haul in a currency without decimals, in which a figure may be a count or a year as well.
const yen = `lotcost: 1
title: Crates to Japan
home: JPY
from: GB
to: JP
date: 2026-10-03
exchange:
  rates: [1 GBP = 195.40 JPY]
  spread: 2.5%
lots:
  - id: crate
    price: 142 GBP
    premium: 10%
    items:
      - id: jack
        what: Jack planes
        count: 3
        weight: 1.9 kg
        value: 25800 JPY
        found: {sound: 2, dead: 1}
        keep: 1
      - {id: square, what: Try square, weight: 310 g, value: 12400 JPY}
charges:
  - {what: Post, kind: freight, amount: 31.50 GBP}
customs:
  use: personal
  by: post
  class: tool
  classes: {tool: {duty: 0%}}
selling:
  target: 10%
  venues:
    - name: gable
      charged: 1200
      postage: 1450
      fees: [{what: commission, percent: 8.8%, fixed: 100}]
bidding: {goal: {return: 20%}}
`

// TestNoDecimals: no amount of four digits or more stands on a page without marks between its
// thousands, in sentences and tables alike, where the currency has no decimals.
func TestNoDecimals(t *testing.T) {
	haul := filepath.Join(t.TempDir(), "haul.yaml")
	if err := os.WriteFile(haul, []byte(yen), 0o666); err != nil {
		t.Fatal(err)
	}
	script := regexp.MustCompile(`(?s)<(script|style).*?</(script|style)>`)
	between := regexp.MustCompile(`>[^<]+<`)
	bare := regexp.MustCompile(`(^|[ (>])[0-9]{4,}([ ,.;)<]|$)`)
	year := regexp.MustCompile(`(199|20[0-2])[0-9]|Customs Answer 1006`) // of rules, and what they are read in
	for _, line := range [][]string{{"split"}, {"split", "--working"}, {"price"}, {"price", "--item", "jack", "--at", "21000"}, {"bid"}, {"duty"}} {
		page, err := os.ReadFile(paged(t, append(line, haul)...))
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range between.FindAllString(script.ReplaceAllString(string(page), ""), -1) {
			if bare.MatchString(text) && !year.MatchString(text) {
				t.Errorf("%q: %s", line, text)
			}
		}
	}
}
