package desk

import (
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
)

func loadBody(t *testing.T, p *browser.Page, body string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(path, []byte(`<!doctype html><html lang="en"><meta charset="utf-8"><title>t</title><meta name="viewport" content="width=device-width"><body>`+body), 0o666); err != nil {
		t.Fatal(err)
	}
	p.GoFile(path)
}

// TestBrowserFinds wants each thing that a page must not do to be seen when it is done.
func TestBrowserFinds(t *testing.T) {
	p := browser.Open(t)
	loadBody(t, p, `<main><h1>Good</h1><p>nothing is wrong</p></main>`)
	p.Check(t.Errorf, "page")

	loadBody(t, p, `<main><h1>Bad</h1><div style="width: 2000px">wide</div><img src="none.png"><p style="color: #ccc; background: #fff">pale</p></main><script>console.error("said"); nothing.there</script>`)
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
		if found := strings.Join(p.Violations(true), "\n"); !strings.Contains(found, "color-contrast") || !strings.Contains(found, "image-alt") {
			t.Errorf("violations: %q", found)
		}
	}
	if !strings.HasPrefix(string(p.PDF(true)), "%PDF-") {
		t.Error("no PDF")
	}
}

// TestTabEmptied opens a tab again: nothing is left in it of the test before.
func TestTabEmptied(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, `<!doctype html><title>t</title><link rel="icon" href="data:,">`)
	}))
	defer server.Close()
	const state = `document.cookie + "/" + Object.keys(localStorage) + "/" + Object.keys(sessionStorage) + "/" + history.length + "/" + innerWidth + "/" + matchMedia("(prefers-color-scheme: dark)").matches`
	begins := func(p *browser.Page) string {
		p.Go(server.URL)
		return p.Text(state)
	}
	first, last := "", ""
	var of *browser.Page
	t.Run("first", func(t *testing.T) {
		p := browser.Open(t)
		of, first = p, begins(p)
		p.Look(360, 780, true)
		p.Go(server.URL + "/next")
		p.Text(`(document.cookie = "a=b", localStorage.setItem("c", "d"), sessionStorage.setItem("e", "f"), 1)`)
		last = p.Text(state)
	})
	t.Run("again", func(t *testing.T) {
		p := browser.Open(t)
		if !p.InTabOf(of) {
			t.Error("it is another tab")
		}
		if again := begins(p); again != first || last == first {
			t.Errorf("it begins with %s, the first with %s, which ended with %s", again, first, last)
		}
	})
}
