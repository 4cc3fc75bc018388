package desk

import (
	"maps"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

// hostile are names that would be marks, paths or scripts if they were not taken as text.
var hostile = []string{`<img src=x onerror="document.title='taken'">`, `"><script>document.title='taken'</script>`, `a'b"c`, `lots[0].price`, `javascript:document.title='taken'`, `../../etc/passwd`, "a b\tc", `x" data-set='[["lots[0].price",""]]`, "\u202etaken", `</textarea></title>`}

// of is the three lots with an id and a name in the place of others.
func of(name string) string {
	quoted := `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\t", `\t`).Replace(name) + `"`
	return strings.NewReplacer("id: kanna-48", "id: "+quoted, "Compass set in a case", quoted, "id: compasses", "id: "+quoted, "kanna, compasses", "kanna, "+quoted, "title: Long levels", "title: "+quoted, "name: gable,", "name: "+quoted+",", "id: box-2", "id: "+quoted, "seller: gable-rooms", "seller: "+quoted).Replace(three)
}

// TestHostileNames shows what others have named as they please, in each view: as text, and every
// button and link does what it says.
func TestHostileNames(t *testing.T) {
	files := map[string]string{}
	s := entered(t)
	for _, name := range hostile {
		// An id that is the path of something else is one all the same.
		text := of(name)
		file := "h" + string(rune('a'+len(files))) + ".yaml"
		files[file] = name
		put(t, s.folder+"/"+file, text)
	}
	p := browser.Open(t)
	p.Go(s.address)
	for n, file := range slices.Sorted(maps.Keys(files)) {
		name := files[file]
		for _, v := range views {
			got := s.get("/haul/" + file + "?view=" + v.id)
			if got.status != 200 || strings.Contains(got.body, "<script>document") || strings.Contains(got.body, "<img src=x") {
				t.Errorf("%q in %s: %d", name, v.id, got.status)
			}
			if strings.Contains(got.body, "ZgotmplZ") {
				t.Errorf("%q in %s: an address was not taken", name, v.id)
			}
		}
		if n%effort.Cases(1, 5, 5) > 0 {
			continue // the browser is asked of some of them
		}
		before := s.text(file)
		p.Go(s.base + "/haul/" + url.PathEscape(file) + "?view=opened")
		if p.On(`button[name$=dead]`, `click()`); p.Text(`document.title`) == "taken" {
			t.Errorf("%q ran", name)
		}
		if strings.Contains(before, "value: \"31,50 EUR\"}") {
			s.waitSaved(file, strings.Replace(before, `value: "31,50 EUR"}`, `value: "31,50 EUR", found: {sound: 2, dead: 1}}`, 1))
		}
	}
}

// TestWithoutFlags: nobody who reads a page of the desk is sent to a command or its flags.
func TestWithoutFlags(t *testing.T) {
	t.Parallel()
	s := entered(t, "three.yaml", three, "tonight.yaml", tonight)
	if err := os.CopyFS(s.folder, os.DirFS("../../../../examples")); err != nil {
		t.Fatal(err)
	}
	all, err := s.book.read(true)
	if err != nil {
		t.Fatal(err)
	}
	flags := regexp.MustCompile(`[^>\n]*(lotcost (duty|bid|split|price|check|rules|book|together|help)\b|[ (]--[a-z])[^<\n]*`)
	look := func(page string) {
		if found := flags.FindString(s.get(page).body); found != "" {
			t.Errorf("%s: %s", page, found)
		}
	}
	for i, name := range slices.Sorted(maps.Keys(all)) {
		if all[name].line.Name == "" || i%effort.Cases(1, 4, 8) > 0 {
			continue
		}
		for _, v := range views {
			if v != textView {
				look(address(name) + "?view=" + v.id)
			}
		}
	}
	for _, v := range bookViews {
		look("/" + v.id)
	}
}

// TestMistakes shows each view of files with mistakes: what can be typed is there, and what is
// wrong is said.
func TestMistakes(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"no value.yaml": strings.Replace(three, `"31,50 EUR"`, `"31,50 EURO"`, 1),
		"counts.yaml":   strings.Replace(three, "value: 14 EUR}", "value: 14 EUR, found: {sound: 1, dead: 4}}", 1),
		"boxes.yaml":    strings.Replace(three, "lots: [levels]", "lots: [levels, kanna]", 1),
		"odd.yaml":      "lotcost: 1\nhome: CAD\nlots: hello\nparcels: 3\ncharges: {a: b}\n",
		"empty.yaml":    "lotcost: 1\n",
		"broken.yaml":   "lotcost: 1\nlots: [\n",
		"shapes.yaml":   "lotcost: 1\nhome: CAD\nlots:\n  - 5\n  - {id: a, price: [1], items: [3, {found: 7, sold: {a: b}}]}\n",
	} {
		s := entered(t, name, text)
		for _, v := range views {
			got := s.get("/haul/" + url.PathEscape(name) + "?view=" + v.id)
			if got.status != 200 || !strings.Contains(got.body, "<li") {
				t.Errorf("%s in %s: %d\n%s", name, v.id, got.status, got.body)
			}
			if strings.HasPrefix(name, "counts") && v.id == "opened" && !strings.Contains(got.body, `aria-pressed="true"`) {
				t.Errorf("nothing is pressed:\n%s", got.body)
			}
		}
	}
}

// TestPlaces: above the text of a file a mistake says in which line and column of it; elsewhere it
// stands at its field.
func TestPlaces(t *testing.T) {
	s := entered(t, "odd.yaml", "lotcost: 1\nhome: CAD\nlots:\n  - {id: a, price: 5 CAD, items: [{id: jack, weight: 2}]}\n")
	const place = "<strong>line 4, column 54: item jack: weight</strong>"
	if body := s.get("/haul/odd.yaml?view=text").body; !strings.Contains(body, place) {
		t.Errorf("not there: %s\n%s", place, body)
	}
	if body := s.get("/haul/odd.yaml?view=before").body; strings.Contains(body, "column") || !strings.Contains(body, "<strong>Weight of jack, lot a</strong>") {
		t.Errorf("a place in the text: %s", body)
	}
}
