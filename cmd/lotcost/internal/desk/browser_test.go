package desk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

func TestMain(m *testing.M) { os.Exit(browser.Tests{M: m}.Run()) }

// TestPages looks at every page in a browser: nothing is too wide for a phone, nothing is
// complained of, and all of it can be read by everybody. Views of a haul that a test of their own
// looks at are left to it, but where all cases are tried or taken pictures of. LOTCOST_PICTURES
// names a folder for pictures to be looked at.
func TestPages(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../../../examples")); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(folder, "broken.yaml"), "lotcost: 1\ntitle: A broken one\nlots: [\n")
	put(t, filepath.Join(folder, "odd.yaml"), strings.Replace(crate, "58 CAD", "58 CDA", 1))
	p := browser.Open(t)
	s := serve(t, folder)
	p.Go(s.address)
	pages := []string{"/", "/haul/broken.yaml", "/haul/odd.yaml"}
	for n, v := range bookViews {
		if n%effort.Cases(1, 4, 4) == 0 {
			pages = append(pages, "/"+v.id)
		}
	}
	hauls := []string{"at-the-border", "one-crate/3-sold", "one-crate/1-before", "three-lots"}
	shown := views
	if !effort.All() && os.Getenv("LOTCOST_PICTURES") == "" {
		shown = []*view{costsView, textView}
	}
	for _, v := range shown {
		for _, name := range hauls[:effort.Cases(4, 1, 1)] {
			pages = append(pages, "/haul/"+name+"/haul.yaml?view="+v.id)
		}
	}
	for _, page := range pages {
		p.Go(s.base + page)
		look(t, p, page)
	}
}

// look checks a page and takes its picture. Whether everybody can read it is asked in the light and
// the dark of a phone and of a wide window where all cases are tried, else in the light of a phone
// or the dark of a wide window, and of every third page whether it has contrast.
func look(t *testing.T, p *browser.Page, name string) {
	t.Helper()
	looked(t, p, name, true)
}

// lookAgain is [look] at a view that another test looks at: on a phone alone, where not all cases
// are tried.
func lookAgain(t *testing.T, p *browser.Page, name string) {
	t.Helper()
	looked(t, p, name, effort.All())
}

func looked(t *testing.T, p *browser.Page, name string, whole bool) {
	t.Helper()
	all, second := effort.All(), len(name)%2 == 1
	for _, width := range []int64{360, 768, 1280} {
		if width == 768 && !all || width > 360 && !whole {
			continue
		}
		p.Look(width, 900, false)
		for _, what := range append(p.TooWide(), cut(p)...) {
			t.Errorf("%s at %d px: %s", name, width, what)
		}
		if width == 360 {
			for _, what := range thumbs(p) {
				t.Errorf("%s at %d px: %s", name, width, what)
			}
		}
		if folder := os.Getenv("LOTCOST_PICTURES"); folder != "" {
			file := strings.NewReplacer("/", "_", "?", "_", "=", "_").Replace(strings.TrimPrefix(name, "/"))
			p.Picture(filepath.Join(folder, file+"-"+map[int64]string{360: "phone", 768: "tablet", 1280: "wide"}[width]+".png"))
		}
		if width == 768 || !whole {
			continue
		}
		for _, dark := range []bool{false, true} {
			if wide := width > 360; !all && (wide != second || dark != second) {
				continue
			}
			p.Look(width, 900, dark)
			for _, what := range p.Violations(len(name)%3 == 0) {
				t.Errorf("%s at %d px, dark %t: %s", name, width, dark, what)
			}
		}
	}
	if whole {
		p.Paper()
		for _, what := range append(p.TooWide(), cut(p)...) {
			t.Errorf("%s on paper: %s", name, what)
		}
		if what := p.Text(onPaper); what != "" {
			t.Errorf("%s on paper shows %s", name, what)
		}
	}
	p.Look(1280, 900, false)
	for _, what := range p.Complaints() {
		if !strings.Contains(what, "status of 422") { // what is half typed is refused, which a browser complains of
			t.Errorf("%s: %s", name, what)
		}
	}
}

// onPaper finds what nobody can press or type into there.
const onPaper = `[...document.querySelectorAll("nav, form, button:not(.head, [aria-pressed=true]), [data-new], input[type=range]")].filter(e => e.checkVisibility()).map(e => e.outerHTML.slice(0, 200)).join("; ")`

// cut tells of tables of the desk that are wider than their room, so that a part of them is out of
// sight until somebody finds that they scroll.
func cut(p *browser.Page) (names []string) {
	p.Eval(`[...document.querySelectorAll(".t:has(> .opened, > .grid, > .bills, > .hauls)")].filter(t => t.scrollWidth > t.clientWidth + 1).map(t => t.firstElementChild.getAttribute("aria-label") + ": " + t.scrollWidth + " of " + t.clientWidth)`, &names)
	return names
}
