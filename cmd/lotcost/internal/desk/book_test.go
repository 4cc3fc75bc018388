package desk

import (
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestAsTheCommands sets the figures of each page of the book, and of each haul, beside those that
// the commands print.
func TestAsTheCommands(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "book")
	if err := os.CopyFS(folder, os.DirFS("../../../../examples/book")); err != nil {
		t.Fatal(err)
	}
	s := serve(t, folder)
	s.get(strings.TrimPrefix(s.address, s.base))
	tags := regexp.MustCompile(`<[^>]*>`)
	text := func(path string) string {
		return plain(html.UnescapeString(tags.ReplaceAllString(strings.ReplaceAll(s.get(path).body, "<", " <"), "")))
	}
	for _, args := range [][]string{{"stock", "--on", "2026-11-28"}, {"doubles"}, {"sales"}, {"years"}, {"guesses"}} {
		page := text("/" + args[0])
		lines := strings.Split(says(t, append([]string{"book", args[0], folder}, args[1:]...)...), "\n")
		if first := plain(lines[0]); first == "" || !strings.Contains(page, strings.Fields(first)[0]) {
			t.Errorf("%s begins with %q, the page has\n%s", args[0], first, page)
		}
		figures := regexp.MustCompile(`\d+\.\d\d`)
		for _, line := range lines {
			for _, figure := range figures.FindAllString(line, -1) {
				if !strings.Contains(page, figure) {
					t.Errorf("%s: no %s on the page, of %s", args[0], figure, line)
				}
			}
		}
	}
	total := regexp.MustCompile(`total cost (\S+ [A-Z]{3})`)
	all, err := s.book.read(false)
	if err != nil {
		t.Fatal(err)
	}
	for name, haul := range all {
		if haul.line.Name == "" {
			continue
		}
		out := says(t, "split", filepath.Join(folder, name))
		found := total.FindStringSubmatch(out)
		if found == nil {
			t.Fatalf("split prints no total:\n%s", out)
		}
		page := s.get(address(name)).body
		amount := strings.Replace(found[1], " ", "\u00a0", 1) // which no line parts from its currency
		if !strings.Contains(page, "total cost "+amount) || !strings.Contains(page, haul.line.Title) {
			t.Errorf("%s: no total of %s or no title %s", name, found[1], haul.line.Title)
		}
		if haul.line.Total != amount {
			t.Errorf("%s: %s on the first page, %s by split", name, haul.line.Total, found[1])
		}
	}
}

// TestCommas shows figures as the files have them.
func TestCommas(t *testing.T) {
	comma := strings.Replace(crate, "home: CAD\n", "home: CAD\ndecimal: comma\n", 1)
	comma = strings.NewReplacer("0.93 CAD]", `0\,93 CAD"]`, "[100 JPY", `["100 JPY`, "1.9 kg", `"1,9 kg"`).Replace(comma)
	comma = strings.ReplaceAll(comma, `\,`, ",")
	s := entered(t, "crate.yaml", comma)
	for _, page := range []string{"/", "/haul/crate.yaml", "/stock"} {
		if got := s.get(page).body; !strings.Contains(got, "42,78") || strings.Contains(got, "42.78 CAD") {
			t.Errorf("%s has no 42,78:\n%s", page, got)
		}
	}
	s.post("/save", "file", "crate.yaml", "mark", mark([]byte(comma)), "path", "lots[crate].items[jack].weight", "value", "2,2 kg")
	if got, want := s.text("crate.yaml"), strings.Replace(comma, "1,9 kg", "2,2 kg", 1); got != want {
		t.Errorf("it is now\n%s", got)
	}
	out := says(t, "split", filepath.Join(s.folder, "crate.yaml"))
	if !strings.Contains(out, "total cost 42,78 CAD") {
		t.Errorf("the command prints\n%s", out)
	}
}
