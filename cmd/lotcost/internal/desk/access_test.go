package desk

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

// sides are pages of all kinds, in a folder with the examples and two more hauls.
func sides(t *testing.T) (*browser.Page, *served, []string) {
	t.Helper()
	s := entered(t, "three.yaml", three, "tonight.yaml", tonight)
	for _, name := range []string{"book", "one-crate"} {
		if err := os.CopyFS(s.folder+"/"+name, os.DirFS("../../../../examples/"+name)); err != nil {
			t.Fatal(err)
		}
	}
	pages := []string{"/"}
	for n, v := range bookViews {
		if n%effort.Cases(1, 2, 2) == 0 {
			pages = append(pages, "/"+v.id)
		}
	}
	for n, v := range views {
		for i, name := range []string{"three", "tonight", "one-crate/3-sold/haul"} {
			if (n+i)%effort.Cases(1, 3, 3) == 0 { // each view of one of them
				pages = append(pages, "/haul/"+name+".yaml?view="+v.id)
			}
		}
	}
	return s.at("/"), s, pages
}

// TestShownLarger shows pages at 400 % and 200 % of a notebook's window of 1280 px, as WCAG 2.2
// asks by 1.4.10 and 1.4.4, and with text alone twice as large, on a phone too: nothing is wider
// than the window, folded or not.
func TestShownLarger(t *testing.T) {
	p, s, pages := sides(t)
	for _, at := range pages {
		p.Go(s.base + at)
		p.Holds(`document.readyState`, "complete")
		p.Text(`(document.querySelectorAll("details").forEach(d => d.open = true), 1)`)
		for _, shown := range [][3]int64{{320, 256, 16}, {640, 450, 16}, {1280, 900, 32}, {360, 740, 32}} {
			p.Look(shown[0], shown[1], false)
			p.TextOf(shown[2])
			for _, what := range append(p.TooWide(), cut(p)...) {
				t.Errorf("%s in %d px, text of %d: %s", at, shown[0], shown[2], what)
			}
		}
		p.TextOf(16)
	}
}

// reached are the elements to which the keyboard leads, and called what a reader hears of one.
const (
	reached = `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")].filter(e => e.checkVisibility() && !e.disabled && e.tabIndex >= 0)`
	called  = `(e => (e.getAttribute("aria-label") || e.labels?.[0]?.textContent || e.textContent).trim().replace(/\s+/g, " "))`
)

// focused tells what is wrong with where the focus is: that nobody sees it, for want of a mark, or
// since it is out of the window or behind something; "" where nothing is.
const focused = `(() => { const e = document.activeElement, b = e.getBoundingClientRect(), css = getComputedStyle(e), said = ` + called + `(e).slice(0, 60) + ", " + e.tagName + ": ";
	if (e === document.body) return "nothing has it";
	if (!e.checkVisibility() || b.width < 4 || b.height < 4) return said + "not shown";
	if (css.outlineStyle === "none" || parseFloat(css.outlineWidth) < 2) return said + "not marked";
	if (b.left < -1 || b.right > innerWidth + 1 || b.top > innerHeight - 8 || b.bottom < 8) return said + [b.left, b.right, b.top, b.bottom] + " of " + innerWidth + " and " + innerHeight;
	const at = [...e.getClientRects()].find(r => r.top >= 0 && r.bottom <= innerHeight) || {left: b.left, right: b.right, top: Math.max(b.top, 0), bottom: Math.min(b.bottom, innerHeight)};
	const top = document.elementFromPoint((at.left + at.right) / 2, (at.top + at.bottom) / 2);
	return top && !e.contains(top) && !top.contains(e) ? said + "behind " + top.outerHTML.slice(0, 80) : ""; })()`

// TestByTab goes through pages key by key, in a wide window and at 200 %: all that can be pressed
// or typed into is come to once, in the order in which it is read, and seen where it is (WCAG 2.2,
// 2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11).
func TestByTab(t *testing.T) {
	p, s, pages := sides(t)
	for n, at := range pages {
		wide := n%2 == 0
		for _, width := range []int64{1280, 640} {
			if wide != (width == 1280) && !effort.All() {
				continue
			}
			p.Look(width, map[int64]int64{1280: 900, 640: 450}[width], false)
			p.Go(s.base + at)
			p.Holds(`document.readyState`, "complete")
			var all int
			p.Eval(`(window.left = new Set(`+reached+`)).size`, &all)
			for range all {
				p.Keys("\t")
				if wrong := p.Text(`(left.delete(document.activeElement) ? "" : "come to again or in vain: ") + ` + focused); wrong != "" {
					t.Errorf("%s in %d px: %s", at, width, wrong)
				}
			}
			if left := p.Text(`[...left].map(` + called + `).join("; ")`); left != "" {
				t.Errorf("%s in %d px: never come to: %s", at, width, left)
			}
			p.Keys("\t")
			p.Holds(reached+`.indexOf(document.activeElement) <= 0`, "true") // out of the page, or from its beginning
			if width == 640 {                                                // one column: nothing stands above what comes before it
				order := p.Text(`(() => { const list = ` + reached + `.filter(e => e.closest("main")).map(e => e.closest("tr, form, .line, p, details > :not(summary), summary") || e); return list.flatMap((e, i) => i && e.getBoundingClientRect().top < list[i - 1].getBoundingClientRect().top - 1 && !list[i - 1].contains(e) && !e.contains(list[i - 1]) ? [e.textContent.trim().slice(0, 40) + " after " + list[i - 1].textContent.trim().slice(0, 40)] : []).join("; "); })()`)
				if order != "" {
					t.Errorf("%s: %s", at, order)
				}
			}
		}
	}
}

// TestForcedColours: what is pressed and where one is are told by more than a colour that the
// reader's take away, and drawings are in those.
func TestForcedColours(t *testing.T) {
	p, s, _ := sides(t)
	p.Go(s.base + "/haul/one-crate/3-sold/haul.yaml?view=opened")
	p.Forced()
	look := func(selector, of string) string {
		return p.Text(fmt.Sprintf(`getComputedStyle(document.querySelector(%q)).%s`, selector, of))
	}
	for of, two := range map[string][2]string{"backgroundColor": {".states [aria-pressed=true]", ".states [aria-pressed=false]"}, "borderBottomColor": {".views [aria-current]", ".views a:not([aria-current])"}} {
		if a, b := look(two[0], of), look(two[1], of); a == b {
			t.Errorf("%s: %s and %s are both %s", of, two[0], two[1], a)
		}
	}
	p.Go(s.base + "/haul/three.yaml?view=costs")
	p.Forced()
	if text, ink := look(".drawing text.strong", "fill"), look("h1", "color"); text != ink {
		t.Errorf("a drawing is written in %s, the page in %s", text, ink)
	}
}

// keyed is a page without a pointer: what is typed, and keys that lead from one place to the next.
type keyed struct {
	*browser.Page
	t *testing.T
}

// to goes on to what is called so, by one key.
func (p keyed) to(name string) keyed {
	p.t.Helper()
	for range 400 {
		p.Keys("\t")
		if p.Text(fmt.Sprintf(`%s(document.activeElement).startsWith(%q) && document.activeElement !== document.body`, called, name)) == "true" {
			if wrong := p.Text(focused); wrong != "" {
				p.t.Errorf("%s: %s", name, wrong)
			}
			return p
		}
	}
	p.t.Fatalf("no way by keys to %q on %s", name, p.Text(`location.href + " " + main.textContent.replace(/\s+/g, " ").slice(0, 300)`))
	return p
}

// keep does something that is saved, after which the focus is where one sees it.
func (p keyed) keep(keys string) {
	p.t.Helper()
	p.Text(`(said.textContent = "", 1)`)
	p.Keys(keys)
	p.Holds(`document.getElementById("said").textContent`, "Saved")
	if wrong := p.Text(focused); wrong != "" {
		p.t.Errorf("after %q: %s", keys, wrong)
	}
}

// fill types into the next field of a name, in the place of what stands there.
func (p keyed) fill(name, value string) {
	p.t.Helper()
	p.to(name)
	p.keep(value + "\t")
}

// TestByKeyboard does the whole job without a pointer, in a window at 200 %: a haul is begun, its
// pieces typed, an evening's lots marked, the parcel opened, a piece sold, the year looked at.
func TestByKeyboard(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	p := keyed{s.at("/"), t}
	p.Look(640, 450, false)
	goTo := func(name, title string) {
		t.Helper()
		p.to(name).Keys("\r")
		p.Holds(`document.title + " " + document.readyState`, title+" complete")
	}

	p.to("A new haul").Keys("\r")
	p.to("Title").Keys("Two braces\tCA\tCA-ON")
	p.to("Begin").Keys("\r")
	p.Holds(`document.title + " " + document.readyState`, "Two braces complete")
	p.fill("Called", "Braces")
	p.fill("Price", "40 CAD")
	p.fill("Seller", "gable")
	p.fill("Name of ", "Ratchet brace") // a new row, whose next field has the focus
	p.keep("2\t")
	p.keep("1.1 kg\t")
	p.fill("Value when right", "44 CAD")
	p.to("Another lot").keep("\r")
	p.keep("Gauges\t") // its first field has the focus
	p.keep("15 CAD\t")
	p.fill("Name of ", "Marking gauge")
	p.fill("Weight of Marking gauge", "120 g")
	p.fill("Value when right", "12 CAD")
	p.fill("Amount of Parcel", "9 CAD")
	if wrong := p.Text(`[...document.querySelectorAll("#wrong li, .error")].map(e => e.textContent).join("; ")`); wrong != "" {
		t.Error(wrong)
	}

	goTo("The parcel opened", "Two braces")
	p.to("dead").keep(" ")
	p.keep(" ") // and once more: the button has the focus still
	p.to("Made from the dead pieces")
	goTo("For sale and sold", "Two braces")
	p.fill("Name of ", "stall")
	p.to("Price of Marking gauge").Keys("17")
	p.to("Marking gauge was sold").keep("\r")
	for _, want := range []string{"found: {dead: 2}", "sold: [{price: 17 CAD, count: 1, date: 2026-11-28, venue: stall}]"} {
		if text := s.text("2026/two-braces.yaml"); !strings.Contains(text, want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}

	goTo("Hauls", "Hauls")
	goTo("Three lots tonight", "Three lots tonight")
	goTo("The evening", "Three lots tonight")
	p.to("Price at which lot kanna was won").keep("5000\r")
	p.to("lot nomi was lost").keep("\r")
	p.to("lot nomi is open again")
	goTo("Years", "Years")
	p.to("as a workbook")
}
