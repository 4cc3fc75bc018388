package desk

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func (s *served) text(name string) string {
	s.t.Helper()
	data, err := os.ReadFile(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	return string(data)
}

// TestSave changes one value, sees the costs move, and takes it back.
func TestSave(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	seen := mark([]byte(crate))
	form := []string{"file", "crate.yaml", "mark", seen, "view", "costs", "path", "lots[crate].price", "value", "5000 JPY"}
	tried := s.post("/try", form...)
	if tried.status != 200 || !strings.Contains(tried.body, "total cost 46.50 CAD") {
		t.Fatalf("%d: %s", tried.status, tried.body)
	}
	if s.text("crate.yaml") != crate {
		t.Fatal("trying wrote")
	}
	saved := s.post("/save", form...)
	if saved.status != 200 || !strings.Contains(saved.body, "total cost 46.50 CAD") || !strings.Contains(saved.body, "Take the last change back</button> Price of lot crate: 5000 JPY") {
		t.Fatalf("%d: %s", saved.status, saved.body)
	}
	after := strings.Replace(crate, "4600 JPY   # hammer", "5000 JPY   # hammer", 1)
	if s.text("crate.yaml") != after {
		t.Fatalf("it is now\n%s", s.text("crate.yaml"))
	}
	if undone := s.post("/undo", "file", "crate.yaml", "mark", mark([]byte(after))); undone.status != 200 || s.text("crate.yaml") != crate {
		t.Errorf("%d:\n%s", undone.status, s.text("crate.yaml"))
	}
	if again := s.post("/undo", "file", "crate.yaml", "mark", seen); again.status != 422 {
		t.Errorf("there was more to take back: %d", again.status)
	}
}

// TestMistake is told at its field, and is not written; one that stood there already keeps no
// other field from being saved.
func TestMistake(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	seen := mark([]byte(crate))
	for _, path := range []string{"/try", "/save"} {
		got := s.post(path, "file", "crate.yaml", "mark", seen, "view", "costs", "path", "lots[crate].price", "value", "5000 JPX")
		if want := `[{"field":"lots[crate].price","where":"Price of lot crate","what":`; got.status != 422 || !strings.HasPrefix(got.body, want) {
			t.Errorf("%s: %d %s", path, got.status, got.body)
		}
	}
	if s.text("crate.yaml") != crate {
		t.Error("it was written")
	}
	if got := s.post("/save", "file", "crate.yaml", "mark", seen, "view", "before", "path", "exchange.spread", "value", "2,504%"); got.status != 422 || !strings.Contains(got.body, "“decimal: comma” at the top of “The file itself”") {
		t.Errorf("%d: %s", got.status, got.body)
	}
	odd := strings.Replace(crate, "58 CAD", "58 CDA", 1)
	put(t, filepath.Join(s.folder, "odd.yaml"), odd)
	got := s.post("/save", "file", "odd.yaml", "mark", mark([]byte(odd)), "view", "costs", "path", "lots[crate].price", "value", "5000 JPY")
	if got.status != 200 || s.text("odd.yaml") != strings.Replace(odd, "4600", "5000", 1) {
		t.Errorf("%d:\n%s", got.status, s.text("odd.yaml"))
	}
}

// TestChangedMeanwhile shows both versions of a file in which another program changed what is
// typed, or what that is read with, or took out what it is of, and loses none; what is typed
// elsewhere in it goes beside that.
func TestChangedMeanwhile(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	s.get("/haul/crate.yaml")
	typed := []string{"file", "crate.yaml", "mark", mark([]byte(crate)), "view", "costs", "path", "lots[crate].price", "value", "5000 JPY"}
	apart := strings.Replace(crate, "24 CAD", "26 CAD", 1)
	put(t, filepath.Join(s.folder, "crate.yaml"), apart)
	if got := s.post("/save", typed...); got.status != 200 || s.text("crate.yaml") != strings.Replace(apart, "4600", "5000", 1) {
		t.Errorf("%d:\n%s", got.status, s.text("crate.yaml"))
	}
	for change, to := range map[string]string{"    price: 4600": "    premium: 12%\n    price: 4600", "home: CAD": "home: USD", "home: CAD\n": "home: CAD\ndecimal: comma\n"} {
		beside := strings.Replace(crate, change, to, 1)
		put(t, filepath.Join(s.folder, "crate.yaml"), beside)
		if got := s.post("/save", typed...); beside == crate || got.status == 200 || s.text("crate.yaml") != beside {
			t.Errorf("%d, where it is %s:\n%s", got.status, to, s.text("crate.yaml"))
		}
	}
	gone := strings.Replace(crate, "id: crate", "id: other", 1)
	put(t, filepath.Join(s.folder, "crate.yaml"), gone)
	if got := s.post("/save", typed...); got.status == 200 || s.text("crate.yaml") != gone {
		t.Errorf("%d:\n%s", got.status, s.text("crate.yaml"))
	}
	other := strings.Replace(crate, "4600 JPY", "4700 JPY", 1)
	put(t, filepath.Join(s.folder, "crate.yaml"), other)
	got := s.post("/save", typed...)
	if got.status != 409 || s.text("crate.yaml") != other {
		t.Fatalf("%d:\n%s", got.status, s.text("crate.yaml"))
	}
	for _, want := range []string{"4700 JPY", "5000 JPY", mark([]byte(other))} {
		if !strings.Contains(got.body, want) {
			t.Errorf("nothing of %s in\n%s", want, got.body)
		}
	}
	mine := strings.Replace(crate, "4600 JPY", "5000 JPY", 1)
	if got := s.post("/text", "file", "crate.yaml", "mark", mark([]byte(other)), "text", strings.ReplaceAll(mine, "\n", "\r\n")); got.status != 200 || s.text("crate.yaml") != mine {
		t.Errorf("%d:\n%s", got.status, s.text("crate.yaml"))
	}
}

// TestAtOnce: two who weigh different pieces at the same moment both find them weighed.
func TestAtOnce(t *testing.T) {
	s := entered(t, "three.yaml", three)
	s.get("/haul/three.yaml?view=opened")
	seen := mark([]byte(three))
	for n := range 8 {
		var both sync.WaitGroup
		for _, path := range []string{"lots[kanna].items[nomi].weight", "lots[levels].items[level].weight", "lots[compasses].items[compass-set].weight"} {
			both.Go(func() {
				if got := s.post("/save", "file", "three.yaml", "mark", seen, "view", "opened", "path", path, "value", fmt.Sprintf("%d g", 500+n)); got.status != 200 {
					t.Errorf("%s: %d: %s", path, got.status, got.body)
				}
			})
		}
		both.Wait()
		text := s.text("three.yaml")
		if strings.Count(text, fmt.Sprintf("%d g", 500+n)) != 3 {
			t.Fatal(text)
		}
		seen = mark([]byte(text))
		s.get("/haul/three.yaml?view=opened")
	}
}

// TestTwoPhones: a lot that one says is lost, and another that is won, is neither in silence; who
// asks for the own version has that one alone. What both say is no other version, but two sales
// are.
func TestTwoPhones(t *testing.T) {
	s := entered(t, "tonight.yaml", tonight)
	for path, status := range map[string]int{"lots[kanna].lost": 200, "lots[kanna].items[kanna].sold[0].price": 409} {
		put(t, filepath.Join(s.folder, "tonight.yaml"), tonight)
		s.get("/haul/tonight.yaml")
		for _, want := range []int{200, status} {
			value := map[bool]string{true: "yes", false: "31 CAD"}[strings.HasSuffix(path, "lost")]
			if got := s.post("/save", "file", "tonight.yaml", "mark", mark([]byte(tonight)), "view", "evening", "path", path, "value", value); got.status != want {
				t.Errorf("%s: %d, want %d: %s", path, got.status, want, got.body)
			}
		}
	}
	lost := strings.Replace(tonight, "likely: 3000..5000 JPY", "likely: 3000..5000 JPY\n    lost: yes", 1)
	won := strings.Replace(tonight, "price: open", "price: 5000 JPY", 1)
	for _, c := range []struct{ now, path, value, typed, merged string }{
		{lost, "lots[nomi].price", "4000 JPY", "Price of lot nomi: 4000 JPY", strings.Replace(lost, "price: open\n    closes: 2026-10-03 20:40\n    likely: 3000..5000 JPY\n    lost: yes", "price: 4000 JPY\n    closes: 2026-10-03 20:40\n    likely: 3000..5000 JPY", 1)},
		{won, "lots[kanna].lost", "yes", "Lost of lot kanna: yes", strings.Replace(tonight, "likely: [4000 JPY, 6000 JPY]", "likely: [4000 JPY, 6000 JPY]\n    lost: yes", 1)},
	} {
		put(t, filepath.Join(s.folder, "tonight.yaml"), tonight)
		s.get("/haul/tonight.yaml")
		put(t, filepath.Join(s.folder, "tonight.yaml"), c.now)
		got := s.post("/save", "file", "tonight.yaml", "mark", mark([]byte(tonight)), "view", "evening", "path", c.path, "value", c.value)
		if got.status != 409 || !strings.Contains(got.body, "You typed: "+c.typed) || s.text("tonight.yaml") != c.now || !strings.Contains(got.body, html.EscapeString(c.merged)) {
			t.Errorf("%d: %s", got.status, got.body)
		}
	}
}

// TestFiles begins a haul, copies one and archives one.
func TestFiles(t *testing.T) {
	s := entered(t, "crate.yaml", strings.Replace(crate, "value: 24 CAD}", "value: 24 CAD, found: {sound: 1}, sold: [{price: 26 CAD}]}", 1))
	if no := s.post("/new", "title", "Braces", "from", "", "to", "CA-ON"); !strings.Contains(no.body, "From is missing: write where it comes from, as in JP") {
		t.Error(no.body)
	}
	got := s.post("/new", "title", "Braces, second lot", "from", "GB", "to", "CA-ON")
	if got.status != 200 || !strings.Contains(got.body, "<h1>Braces, second lot</h1>") || !strings.Contains(s.text("2026/braces-second-lot.yaml"), "from: GB") {
		t.Errorf("%d:\n%s", got.status, got.body)
	}
	s.post("/new", "title", "Braces, second lot", "from", "GB", "to", "CA-ON")
	if s.text("2026/braces-second-lot-2.yaml") == "" {
		t.Error("the second of a name is not there")
	}
	if got := s.post("/copy", "file", "crate.yaml", "name", "other.yaml"); got.status != 200 {
		t.Errorf("%d: %s", got.status, got.body)
	}
	if want := strings.Replace(crate, "2026-10-03", "2026-11-28", 1); s.text("other.yaml") != want {
		t.Errorf("the copy is\n%s", s.text("other.yaml"))
	}
	for _, name := range []string{"crate.yaml", "../other.yaml", "/tmp/other.yaml", ".hidden.yaml"} {
		if got := s.post("/copy", "file", "crate.yaml", "name", name); got.status != 422 {
			t.Errorf("%s: %d", name, got.status)
		}
	}
	before := s.text("other.yaml")
	s.post("/archive", "file", "other.yaml", "mark", mark([]byte(before)))
	if s.text("other.yaml") != "# archived\n"+before {
		t.Errorf("archived it is\n%s", s.text("other.yaml"))
	}
	if first := s.get("/").body; !strings.Contains(first, "Archived <span") {
		t.Errorf("the first page has none archived:\n%s", first)
	}
	s.post("/archive", "file", "other.yaml", "mark", mark([]byte(s.text("other.yaml"))), "back", "yes")
	if s.text("other.yaml") != before {
		t.Errorf("back from the archive it is\n%s", s.text("other.yaml"))
	}
}
