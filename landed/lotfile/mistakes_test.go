package lotfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// typingMistake is one of the mistakes in testdata/mistakes/list.txt.
type typingMistake struct {
	name      string
	spoilt    string // the text of the spoilt file
	line      int    // where the fault must stand
	column    int    // 0 where the line is enough
	byHand    string // the text as cured by hand, "" where the message must show how
	taken     bool   // whether it is read
	otherwise bool   // whether what is read, or shown first, means something else
	files     slipFiles
}

// slipFiles are a good lot file and the list that it names.
type slipFiles struct{ name, lots, list string }

func (f slipFiles) text() string {
	if f.name == "csv" {
		return f.list
	}
	return f.lots
}

// parse reads the files with a text in place of the one that is spoilt.
func (f slipFiles) parse(t testing.TB, text string) (*lotfile.File, source.Faults, []*source.Fault) {
	t.Helper()
	dir := slipFolder(t)
	lots, list := f.lots, f.list
	if f.name == "csv" {
		list = text
	} else {
		lots = text
	}
	if err := os.WriteFile(filepath.Join(dir, "list.csv"), []byte(list), 0o600); err != nil {
		t.Fatal(err)
	}
	var warned []*source.Fault
	file, err := lotfile.Parse("haul.yaml", []byte(lots), dir, lotfile.Options{
		Today: time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC),
		Warn:  func(f *source.Fault) { warned = append(warned, f) }})
	var faults source.Faults
	if err != nil && !errors.As(err, &faults) {
		t.Fatal(err)
	}
	return file, faults, warned
}

var slipFolder = func() func(testing.TB) string {
	folders := map[string]string{}
	return func(t testing.TB) string {
		root, _, _ := strings.Cut(t.Name(), "/")
		if folders[root] == "" {
			folders[root] = t.TempDir()
		}
		return folders[root]
	}
}()

func readMistakes(t *testing.T) []typingMistake {
	t.Helper()
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join("testdata", "mistakes", name))
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	list := read("list.csv")
	bases := map[string]slipFiles{"gb": {"gb", read("gb.yaml"), list}, "jp": {"jp", read("jp.yaml"), list}, "csv": {"csv", read("jp.yaml"), list}}
	marks := strings.NewReplacer("⏎", "\n", "⇥", "\t", "⍽", "\u00a0")
	var mistakes []typingMistake
	for i, line := range strings.Split(read("list.txt"), "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		parts := strings.Split(line, " | ")
		if len(parts) < 3 {
			t.Fatalf("list.txt:%d: %q", i+1, line)
		}
		s := typingMistake{name: fmt.Sprintf("%d %s", i+1, parts[2]), files: bases[strings.Trim(parts[0], "+~")]}
		s.taken, s.otherwise = strings.Contains(parts[0], "+"), strings.HasSuffix(parts[0], "~")
		good, bad := marks.Replace(strings.NewReplacer("‹", "", "‸", "").Replace(parts[1])), marks.Replace(parts[2])
		at := strings.Index(s.files.text(), good)
		if at < 0 || good == "" {
			t.Fatalf("list.txt:%d: %q is not in the file", i+1, good)
		}
		before, after := s.files.text()[:at], s.files.text()[at+len(good):]
		if place := strings.IndexAny(bad, "‹‸"); place >= 0 {
			to := before + bad[:place]
			s.line = 1 + strings.Count(to, "\n")
			if strings.HasPrefix(bad[place:], "‸") {
				s.column = 1 + len([]rune(strings.ReplaceAll(to[strings.LastIndexByte(to, '\n')+1:], "‹", "")))
			}
		}
		s.spoilt = before + strings.NewReplacer("‹", "", "‸", "").Replace(bad) + after
		if len(parts) > 3 {
			s.byHand = before + marks.Replace(parts[3]) + after
		}
		mistakes = append(mistakes, s)
	}
	return mistakes
}

// TestRemedies: of the mistakes, 95 in a hundred are reported once, at their place, and
// what the message shows to write clears them, puts nothing else wrong, and means
// what was meant. LOTCOST_SLIP names one by its line in the list.
func TestRemedies(t *testing.T) {
	mistakes, means := readMistakes(t), map[string]string{}
	for _, s := range mistakes {
		if means[s.files.name] == "" {
			file, faults, warned := s.files.parse(t, s.files.text())
			if len(faults)+len(warned) > 0 {
				t.Fatalf("%s: %v, %v", s.files.name, faults, warned)
			}
			means[s.files.name] = meaning(file)
		}
	}
	every := effort.Cases(1, 32, 64)
	var all, placed, cured int
	for i, s := range mistakes {
		if only := os.Getenv("LOTCOST_SLIP"); only != "" && !strings.HasPrefix(s.name, only+" ") || only == "" && i%every != 0 {
			continue
		}
		at, cure, said := s.judge(t, means[s.files.name])
		all++
		if at == "" {
			placed++
		}
		if cure == "" {
			cured++
		}
		if at+cure != "" {
			t.Logf("%s\n%s\n%s %s", s.name, said, at, cure)
		}
	}
	t.Logf("of %d mistakes %d are told at their place, and the remedy of %d works", all, placed, cured)
	if least := all * 95 / 100; placed < least || cured < least {
		t.Errorf("fewer than %d", least)
	}
}

// judge says what is wrong with where a mistake is reported, and with its remedy; both
// are empty where nothing is.
func (s *typingMistake) judge(t *testing.T, means string) (at, cure string, said source.Faults) {
	file, said, warned := s.files.parse(t, s.spoilt)
	said = append(said, warned...)
	switch {
	case s.taken && len(said) > 0:
		return "not taken", "not taken", said
	case s.taken && !s.otherwise && meaning(file) != means:
		return "", "it is taken, and means something else", nil
	case s.taken:
		return "", "", nil
	case len(said) == 0:
		return "nothing is said", "nothing is said", nil
	case said[0].At.Line != s.line || s.column > 0 && said[0].At.Column != s.column:
		at = fmt.Sprintf("not at %d:%d", s.line, s.column)
	case len(said) > 1:
		at = "more than one message"
	}
	mended := cures(s.spoilt, said[0])
	if s.byHand != "" {
		mended = []string{s.byHand}
	}
	cure = "shows nothing to write"
	for _, text := range mended {
		switch file, faults, warned := s.files.parse(t, text); {
		case len(faults)+len(warned) > 0:
			cure = "what is shown does not cure"
		case s.byHand == "" && !s.otherwise && meaning(file) != means:
			cure = "what is shown means something else"
		default:
			return at, "", said
		}
	}
	return at, cure, said
}

var (
	saysWrite = regexp.MustCompile(`(?:did you mean|write|as in) `)
	bareWord  = regexp.MustCompile(`^[^\s:,\[\]{}#]+`)
)

// cures are the texts that somebody may make of a spoilt one who does what a
// message says: writes what it shows in place of the value, the key or the line
// at which it stands, or of what it quotes.
func cures(text string, f *source.Fault) []string {
	message := strings.TrimPrefix(f.Error(), f.At.String()+": ")
	lines := strings.SplitAfter(text, "\n")
	if f.At.Line < 1 || f.At.Line > len(lines) {
		return nil
	}
	line := strings.TrimSuffix(lines[f.At.Line-1], "\n")
	before, after := strings.Join(lines[:f.At.Line-1], ""), strings.TrimPrefix(strings.Join(lines[f.At.Line-1:], ""), line)
	runes := []rune(line)
	at := max(f.At.Column-1, 0)
	if at > len(runes) {
		return nil
	}
	head, tail := string(runes[:at]), string(runes[at:])
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	var texts []string
	add := func(line string) { texts = append(texts, before+line+after) }
	for _, show := range shows(message) {
		key, isEntry := "", false
		if k, _, ok := strings.Cut(show, ": "); ok {
			key, isEntry = k, true
		}
		if strings.HasPrefix(show, " ") || strings.HasPrefix(show, "- ") || isEntry { // the whole line
			add(show)
			add(indent + show)
			texts = append(texts, before+indent+show+"\n"+line+after)
		}
		if isEntry {
			if i := strings.Index(line, key+": "); i >= 0 {
				add(line[:i] + show)
			}
		}
		add(show)
		add(head + show)
		for _, end := range []string{",", "}", "]", " #"} {
			if i := strings.Index(tail, end); i >= 0 {
				add(head + show + tail[i:])
			}
		}
		if word := bareWord.FindString(tail); word != "" {
			add(head + show + strings.TrimPrefix(tail, word))
		}
		if colon := strings.IndexByte(tail, ':'); colon > 0 { // a key of several words
			add(head + show + tail[colon:])
		}
		if strings.HasPrefix(tail, `"`) {
			if i := strings.IndexByte(tail[1:], '"'); i >= 0 {
				add(head + show + tail[i+2:])
			}
		}
	}
	return texts
}

// shows finds what a message shows to write, the likeliest first: the first of
// several readings, or all that follows.
func shows(message string) []string {
	var found []string
	places := saysWrite.FindAllStringIndex(message, -1)
	for _, place := range places {
		rest := strings.TrimSuffix(message[place[1]:], "?")
		if strings.HasPrefix(rest, `"`) {
			if end := strings.LastIndexByte(rest, '"'); end > 0 {
				found = append(found, rest[1:end])
			}
			if end := strings.IndexByte(rest[1:], '"'); end >= 0 {
				found = append(found, rest[1:end+1])
			}
		}
		for _, end := range []string{"; ", ", or ", " or ", ", ", " ("} {
			if i := strings.Index(rest, end); i > 0 {
				found = append(found, rest[:i])
			}
		}
		found = append(found, rest)
	}
	return found
}

// meaning writes a file out without the places at which things stand.
func meaning(f *lotfile.File) string {
	var b strings.Builder
	spell(&b, reflect.ValueOf(f))
	return b.String()
}

func spell(b *strings.Builder, v reflect.Value) {
	if v.IsValid() {
		switch v.Type() {
		case reflect.TypeFor[source.Origin](), reflect.TypeFor[*customs.Book]():
			return
		case reflect.TypeFor[decimal.Decimal]():
			if v.CanInterface() {
				fmt.Fprint(b, v.Interface().(decimal.Decimal).String(), ";")
				return
			}
		}
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			b.WriteString("nil;")
			return
		}
		spell(b, v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			fmt.Fprint(b, v.Type().Field(i).Name, "=")
			spell(b, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			fmt.Fprint(b, i, ":")
			spell(b, v.Index(i))
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		for _, k := range keys {
			fmt.Fprint(b, k, ":")
			spell(b, v.MapIndex(k))
		}
	case reflect.Func:
	default:
		fmt.Fprint(b, v, ";")
	}
}
