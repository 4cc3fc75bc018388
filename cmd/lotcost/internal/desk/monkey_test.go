package desk

import (
	"encoding/json"
	"html"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/testdata/effort"
)

// noted is a haul with a note wherever somebody may have written one.
const noted = `# note 1: of mother's workshop
lotcost: 1   # note 2
decimal: comma
title: Zwei Kisten   # note 3
home: EUR
date: 2026-11-01   # note 4
from: GB
to: DE
exchange:   # note 5
  spread: "1,5%"
  rates:
    - 1 GBP = 1,14 EUR   # note 6
lots:
  # note 7
  - id: kiste   # note 8
    title: Kiste Hobel
    seller: north-rooms
    price: 45 GBP   # note 9
    premium: 20%
    items:   # note 10
      - {id: hobel, what: Hobel, count: 3, weight: 1200 g, value: 45 EUR}   # note 11
      # note 12
      - id: eisen   # note 13
        what: "Eisen, breit"
        count: 2   # note 14
        weight: 140 g
        chances: [{chance: 60%, value: 14 EUR}, {chance: rest, value: 2 EUR}]
  - id: spaet
    price: open   # note 15
    closes: 2026-11-29 19:30
    likely: 20..60 GBP
    items:
      - {id: waage, what: Wasserwaage, weight: "1,8 kg", value: 75}
charges:   # note 16
  - {what: Paket, kind: freight, amount: 24 GBP}   # note 17
customs: {use: personal, by: post, class: goods, classes: {goods: {duty: "2,7%"}}}   # note 18
selling:
  venues:   # note 19
    - {name: Marktstand, ships: no}
bidding: {start: 1 GBP, goal: {return: 20%}}
# note 20
`

// monkey does what comes to its mind with a haul, and looks after each step whether all still
// holds.
type monkey struct {
	*served
	*rand.Rand
	name, seen string // the file, and the mark that a second page has seen
	steps      map[string]int
}

// typedAs are texts for fields by what they hold: as they should be, and as people type.
var typedAs = map[string][]string{
	"price":  {"4200 JPY", "45 GBP", "38,50", "open", "1.250,50 GBP", "", "abc", "-5", "0", "12 EU"},
	"weight": {"1,2 kg", "800 g", "2", "", "5 lb", "0,5kg", "x"},
	"count":  {"1", "3", "12", "0", "-1", "zwei", "", "2,0"},
	"chance": {"60", "60%", "100", "", "120%", "12,5", "~"},
	"value":  {"45", "45 EUR", "30..50 EUR", "", "20 GBP", "0", "1/2", "31,50"},
	"date":   {"2026-11-01", "29.11.", "29.11.2026", "x", "", "2026-02-30", "1.3.26"},
	"closes": {"2026-11-29 20:15", "20:15", "29.11. 20:15", "x", ""},
	"likely": {"20-60", "20..60 GBP", "", "9..3 GBP"},
	"spread": {"2,5%", "2", "x", ""}, "premium": {"10%", "12,5", "", "x"}, "percent": {"10%", "", "x"},
	"found": {"1", "2", "", "x"}, "venue": {"Marktstand", "sonst wo", ""},
	"": {"Hobel, breit # 2", `"Quote" it`, "a: b", "- x", "null", "yes", "1e3", "平鉋 寸八", "'", "{", "[a", "&a", "*b", "!x", "%y", "@", "`", "#", "# x", "", "~", "1_000", "0x1f", "2026-01-01", "\\n", "a, b", "<b>"},
}

var (
	editsIn = regexp.MustCompile(`<(?:input|select) name="([^"]+)"(?: value="([^"]*)")? data-edit`)
	setsIn  = regexp.MustCompile(`data-set=(?:"([^"]*)"|'([^']*)')`)
	formsIn = regexp.MustCompile(`(?s)<form[^>]* data-path="([^"]+)".*?</form>`)
	notesIn = regexp.MustCompile(`# note [0-9]+`)
)

// textFor is a text for a field.
func (m *monkey) textFor(path string) string {
	last := strings.TrimLeft(path[strings.LastIndex(path, ".")+1:], "~")
	list := typedAs[last]
	if list == nil || m.IntN(12) == 0 {
		list = typedAs[""]
	}
	return list[m.IntN(len(list))]
}

// doing is what is sent of a page: paths and values, by a choice.
func (m *monkey) doing(page string) (form []string, word string) {
	add := func(path, value string) { form = append(form, "path", path, "value", value) }
	fields, sets, forms := editsIn.FindAllStringSubmatch(page, -1), setsIn.FindAllStringSubmatch(page, -1), formsIn.FindAllStringSubmatch(page, -1)
	switch n := m.IntN(10); {
	case n < 3 && len(sets) > 0:
		set := sets[m.IntN(len(sets))]
		var values [][2]string
		if err := json.Unmarshal([]byte(html.UnescapeString(set[1]+set[2])), &values); err != nil {
			m.t.Fatalf("a button sets %s: %v", set[0], err)
		}
		for _, v := range values {
			add(v[0], v[1])
		}
		return form, "press"
	case n < 4 && len(forms) > 0:
		path := html.UnescapeString(forms[m.IntN(len(forms))][1])
		if strings.Contains(path, ".sold") {
			add(path+".price", m.textFor("price"))
			add(path+".count", m.textFor("count"))
			add(path+".date", m.textFor("date"))
		} else {
			add(path+".price", m.textFor("price"))
		}
		return form, "form"
	case len(fields) > 0:
		field := fields[m.IntN(len(fields))]
		path := html.UnescapeString(field[1])
		add(path, m.textFor(path))
		return form, "type"
	}
	return nil, ""
}

// step does one thing on one of two pages, and looks at the file and at the page after it.
func (m *monkey) step() {
	m.t.Helper()
	view := views[m.IntN(len(views)-1)].id
	page, before := m.get("/haul/"+m.name+"?view="+view), m.text(m.name)
	seen := mark([]byte(before))
	if page.status != 200 {
		m.t.Fatalf("%s: %d: %s\n%s", view, page.status, page.body, before)
	}
	m.agree(page.body, before)
	form, word := m.doing(page.body)
	if form == nil {
		return
	}
	stale := m.seen != "" && m.seen != seen && m.IntN(5) == 0
	if stale {
		seen = m.seen
	} else if m.IntN(3) == 0 {
		m.seen = seen
	}
	got := m.post("/save", append([]string{"file", m.name, "mark", seen, "view", view}, form...)...)
	after := m.text(m.name)
	reported := func() string {
		return word + " " + strings.Join(form, " ") + " on " + view + ": " + plain(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(got.body, " "))[:200] + "\nbefore\n" + before + "\nafter\n" + after
	}
	switch {
	case got.status == 200: // a page that is not of the file as it is, too, where it sets something else
		m.steps["saved"]++
		m.kept(before, after, form, reported)
		m.back(before, after, reported)
	case got.status == 409 && stale, got.status == 422:
		m.steps[map[int]string{409: "both", 422: "refused"}[got.status]]++
		if after != before {
			m.t.Fatalf("it was written: %s", reported())
		}
		for _, word := range regexp.MustCompile(`[\p{L}0-9]+`).FindAllString(form[3], -1) {
			if got.status == 409 && !strings.Contains(got.body, word) {
				m.t.Fatalf("what was typed is not in the two versions: %s", reported())
			}
		}
	default:
		m.t.Fatalf("%d: %s", got.status, reported())
	}
}

// kept holds that what was typed is in the file, and notes of others are.
func (m *monkey) kept(before, after string, form []string, reported func() string) {
	m.t.Helper()
	doc, err := edit.Parse("", []byte(after))
	if err != nil {
		m.t.Fatalf("%v: %s", err, reported())
	}
	out := false
	for i := 0; i < len(form); i += 4 {
		p, err := edit.ParsePath(form[i+1])
		value := strings.TrimSpace(form[i+3])
		if out = out || value == ""; err != nil || value == "" || strings.Contains(form[i+1], "~") || !doc.Has(p) {
			continue
		}
		if got, _ := doc.Text(p); got != value && (got == "" || len(figuresOf(got)) < len(figuresOf(value))) {
			m.t.Fatalf("%s is %q: %s", form[i+1], got, reported())
		}
	}
	for _, note := range notesIn.FindAllString(before, -1) {
		if !out && !strings.Contains(after, note+"\n") && !strings.Contains(after, note+":") {
			m.t.Fatalf("%s is gone: %s", note, reported())
		}
	}
}

// back takes the change back now and then, which restores every byte.
func (m *monkey) back(before, after string, reported func() string) {
	m.t.Helper()
	if before == after || m.IntN(3) > 0 {
		return
	}
	got := m.post("/undo", "file", m.name, "mark", mark([]byte(after)), "view", "before")
	if now := m.text(m.name); got.status != 200 || now != before {
		m.t.Fatalf("taken back, %d, it is\n%s\n%s", got.status, now, reported())
	}
	m.steps["taken back"]++
}

var totalIn = regexp.MustCompile(`(?s)id="total" data-live>(.*?)</p>`)

// Where the answer itself tells the total it stands there alone.
var answerIn, totalSaid = regexp.MustCompile(`data-view="(costs|opened)"`), regexp.MustCompile(`total cost <data [^>]+>([^<]+)`)

// agree holds that the page tells the total that the command tells of the file, or that both tell
// that something is wrong.
func (m *monkey) agree(page, text string) {
	m.t.Helper()
	if m.IntN(4) > 0 {
		return
	}
	path, err := browser.Command()
	if err != nil {
		m.t.Fatal(err)
	}
	out, err := exec.Command(path, "split", filepath.Join(m.folder, m.name), "--format", "json").Output()
	shown := totalIn.FindStringSubmatch(page)[1]
	var said struct {
		Total, Home string
		Charges     []struct{ Kind string }
	}
	if err != nil {
		if shown != "" && !strings.Contains(text, "lost: ") {
			m.t.Fatalf("the page tells %s, and the command that it is wrong, of\n%s", shown, text)
		}
		m.steps["wrong"]++
		return
	}
	if err := json.Unmarshal(out, &said); err != nil {
		m.t.Fatal(err)
	}
	isPrice := func(c struct{ Kind string }) bool { return c.Kind == "price" }
	if shown == "" && (strings.Trim(said.Total, "0.") == "" || !slices.ContainsFunc(said.Charges, isPrice)) { // nothing is bought yet
		return
	}
	if answerIn.MatchString(page) {
		shown = "total cost " + totalSaid.FindStringSubmatch(page)[1]
	}
	if want := "total cost " + figure(said.Total, true) + " " + said.Home; !strings.HasPrefix(strings.NewReplacer("\u202f", "", "\u2009", "", "\u00a0", " ").Replace(html.UnescapeString(shown)), want) {
		m.t.Fatalf("the page tells %q, the command %s, of\n%s", shown, want, text)
	}
	m.steps["agreed"]++
}

// TestMonkey does random things to a haul on two pages of it: the file can be read after each,
// holds what was typed and every note, is as it was where a change is refused or taken back, and
// costs on the page what the command says.
func TestMonkey(t *testing.T) {
	t.Parallel()
	for seed := range uint64(effort.Cases(12, 1, 1)) {
		s := entered(t, "zwei.yaml", noted)
		s.Today = func() time.Time { return time.Date(2026, 11, 29, 0, 0, 0, 0, time.UTC) }
		m := &monkey{served: s, Rand: rand.New(rand.NewPCG(seed, 7)), name: "zwei.yaml", steps: map[string]int{}}
		for range effort.Cases(300, 60, 20) {
			m.step()
		}
		t.Log(seed, m.steps)
	}
}
