package browser

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestMain(m *testing.M) { os.Exit(Tests{m}.Run()) }

func load(t *testing.T, p *Page, body string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(path, []byte(`<!doctype html><html lang="en"><meta charset="utf-8"><title>t</title><meta name="viewport" content="width=device-width"><body>`+body), 0o666); err != nil {
		t.Fatal(err)
	}
	p.GoFile(path)
}

// TestFinds wants each thing that a page must not do to be seen when it is done.
func TestFinds(t *testing.T) {
	p := Open(t)
	load(t, p, `<main><h1>Good</h1><p>nothing is wrong</p></main>`)
	p.Check(t.Errorf, "page")

	load(t, p, `<main><h1>Bad</h1><div style="width: 2000px">wide</div><img src="none.png"><p style="color: #ccc; background: #fff">pale</p></main><script>console.error("said"); nothing.there</script>`)
	p.Look(360, 800, false)
	complaints := strings.Join(p.Complaints(), "\n")
	for _, want := range []string{"said", "nothing is not defined", "none.png"} {
		if !strings.Contains(complaints, want) {
			t.Errorf("not heard: %s in %q", want, complaints)
		}
	}
	if len(p.Requests()) != 2 {
		t.Errorf("requests: %q", p.Requests())
	}
	if len(p.TooWide()) == 0 {
		t.Error("what is too wide was not seen")
	}
	if os.Getenv("LOTCOST_AXE") != "" {
		if found := strings.Join(p.Violations(), "\n"); !strings.Contains(found, "color-contrast") || !strings.Contains(found, "image-alt") {
			t.Errorf("violations: %q", found)
		}
	}
	if !strings.HasPrefix(string(p.PDF(true)), "%PDF-") {
		t.Error("no PDF")
	}
}
