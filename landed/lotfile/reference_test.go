package lotfile_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// frames are files in which an example of a section may stand, in the place of @.
// A key that stands beside it gives way to one of the example.
var frames = map[string]string{
	"At the top":             topFrame,
	"exchange":               strings.Replace(topFrame, rated, "", 1) + "exchange:\n  @\n",
	"share":                  topFrame + "share:\n  @\n",
	"lots":                   head + "lots:\n  -\n    price: 42 CAD\n    id: crate-a\n    items: [{id: jack, weight: 1 kg, value: 9}]\n    @\n",
	"items":                  itemFrame + "        @\n",
	"chances":                itemFrame + "        chances:\n          -\n            chance: 60%\n            value: 38 CAD\n            @\n          - {chance: rest, value: 2 CAD}\n",
	"chances: from the book": itemFrame + "        chances:\n          from: book\n          @\n",
	"found":                  itemFrame + "        found:\n          @\n",
	"yields":                 itemFrame + "        found:\n          sound: 1\n          dead: 1\n          yields:\n            -\n              what: iron\n              value: 6 CAD\n              @\n",
	"sold":                   itemFrame + "        found: {sound: 1, dead: 1, yields: [{what: iron, value: 6 CAD}]}\n        sold:\n          -\n            price: 46 CAD\n            @\nselling: {venues: [{name: gable, postage: 3}]}\n",
	"returned":               itemFrame + "        sold:\n          -\n            price: 46 CAD\n            fees: 7\n            returned:\n              date: 2027-01-08\n              @\n",
	"parcels":                topFrame + "parcels:\n  -\n    id: box-1\n    lots: [crate-a, box-b]\n    @\n",
	"charges":                topFrame + "charges:\n  -\n    amount: 20 CAD\n    @\n",
	"customs":                topFrame + "customs:\n  classes: {hand-tool: {duty: 6.5%}}\n  @\n",

	"customs: a class":  topFrame + "customs:\n  classes:\n    hand-tool:\n      @\n",
	"sending":           topFrame + "sending:\n  services: services.yaml\n  @\n",
	"services":          topFrame + "sending:\n  zone: europe\n  services:\n    -\n      name: surface\n      currency: JPY\n      steps: [{up-to: 20 kg, price: 2500}]\n      @\n",
	"selling":           topFrame + "selling:\n  venues: venues.yaml\n  @\n",
	"venues":            topFrame + "selling:\n  venues:\n    -\n      name: gable\n      @\n",
	"venues: a fee":     topFrame + "selling:\n  venues:\n    - name: gable\n      fees:\n        -\n          fixed: 1\n          @\n",
	"bidding":           topFrame + "bidding:\n  @\n",
	"bidding: the goal": topFrame + "bidding:\n  start: 5 CAD\n  goal:\n    @\n",
	"risks":             topFrame + "risks:\n  -\n    chance: 1%\n    keeps: 10%\n    @\n",
}

const (
	rated     = "exchange: {rates: [100 JPY = 1 CAD]}\n"
	head      = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\n" + rated
	topFrame  = head + "@\nlots: [{id: crate-a, price: 42 CAD, items: [{id: jack, weight: 1 kg, value: 9}]}, {id: box-b, price: 42 CAD, items: [{id: pen, weight: 90 g, value: 9}]}]\n"
	itemFrame = head + "lots:\n  - id: crate-a\n    price: 42 CAD\n    items:\n      -\n        id: jack\n        count: 2\n        weight: 1 kg\n        value: 40 CAD\n"
)

// stands puts lines in the place of the last @ of a frame. Keys beside them that
// they hold too give way.
func stands(frame string, lines []string) string {
	at := strings.LastIndex(frame, "@")
	before, after := strings.ReplaceAll(frame[:at], "@\n", ""), frame[at+1:]
	margin := before[strings.LastIndex(before, "\n")+1:]
	for _, line := range lines {
		key, _, _ := strings.Cut(line, ":")
		same := regexp.MustCompile(`(?m)^` + margin + regexp.QuoteMeta(key) + `:.*\n`)
		if all := same.FindAllStringIndex(before, -1); all != nil {
			last := all[len(all)-1]
			before = before[:last[0]] + before[last[1]:]
		}
		if margin == "" {
			after = same.ReplaceAllString(after, "")
		}
	}
	return before + strings.Join(lines, "\n"+margin) + after
}

// quoted is what stands in the reference as it is to be written.
var quoted = regexp.MustCompile("`([^`]+)`")

// referenceRows are the sections of the reference with the cells of their rows.
func referenceRows(yield func(section string, cells []string) bool) {
	section := ""
	for line := range strings.Lines(lotfile.Reference()) {
		if name, is := strings.CutPrefix(line, "## "); is {
			section = strings.TrimSpace(name)
		}
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), " | ")
		if strings.HasPrefix(line, "| `") && len(cells) == 2 && !yield(section, cells) {
			return
		}
	}
}

// reference takes the reference apart: by section, the examples of each row.
func reference(t *testing.T) (sections []string, rows map[string][][]string) {
	t.Helper()
	rows = map[string][][]string{}
	for section, cells := range referenceRows {
		var examples []string
		for _, m := range quoted.FindAllStringSubmatch(cells[0], -1) {
			examples = append(examples, m[1])
		}
		if rows[section] == nil {
			sections = append(sections, section)
		}
		rows[section] = append(rows[section], examples)
	}
	return sections, rows
}

// olderWords are read, but no longer told of.
var olderWords = []string{"promoted", "listings", "tax-paid"}

// TestReference: each example of the reference is right where it is said to stand,
// and every key that the reader knows has one.
func TestReference(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "book.yaml", "lotcost-book: 1\nlosses: haul\n")
	write(t, folder, "rates.csv", "Date,USD,JPY,CAD\n2026-10-02,1.1,160,1.55\n")
	write(t, folder, "services.yaml", "- {name: surface, currency: JPY, zones: [{name: north-america, steps: [{up-to: 20 kg, price: 2500}]}]}\n")
	write(t, folder, "venues.yaml", "- {name: gable}\n")
	for name, path := range map[string]string{"hts-lines.json": "../../testdata/tariff/hts-lines.json"} {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		write(t, folder, name, string(data))
	}
	rules, err := os.ReadFile(filepath.Join("../customs/rules", "ca.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	write(t, folder, "rules.yaml", string(rules))
	sections, rows := reference(t)
	for _, section := range sections {
		frame, ok := frames[section]
		if !ok && strings.HasPrefix(section, "Defaults") {
			defaultsReference(t, folder, rows[section])
			continue
		}
		if !ok {
			t.Errorf("there is no frame for %q", section)
			continue
		}
		reported := map[string]bool{}
		for _, examples := range rows[section] {
			for _, example := range examples {
				key, _, _ := strings.Cut(example, ":")
				reported[key] = true
			}
			text := stands(frame, examples)
			if strings.HasPrefix(examples[0], "zones:") {
				text = strings.Replace(text, "      steps: [{up-to: 20 kg, price: 2500}]\n", "", 1)
			}
			o := lotfile.Options{Today: someDay, Warn: func(f *source.Fault) { t.Errorf("%s: %v: %v in\n%s", section, examples, f, text) }}
			if strings.Contains(examples[0], "tariff") || strings.Contains(strings.Join(examples, " "), "hts-lines") {
				text = strings.Replace(text, "to: CA-ON", "to: US", 1)
			}
			if _, err := lotfile.Parse("haul.yaml", []byte(text), folder, o); err != nil {
				t.Errorf("%s: %v: %v in\n%s", section, examples, err, text)
			}
		}
		for _, key := range known(t, folder, stands(frame, []string{"zzzzzzzzzzzzzzzz: 1"})) {
			if !reported[key] && !slices.Contains(olderWords, key) {
				t.Errorf("%s: the reference has no %s", section, key)
			}
		}
	}
	if len(sections) != len(frames)+1 {
		t.Errorf("%d sections, %d frames", len(sections), len(frames))
	}
}

// known are the keys that the reader lists of the place of a key that it does not
// know.
func known(t *testing.T, folder, text string) []string {
	t.Helper()
	_, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	list := regexp.MustCompile(`known here: (.*)`).FindStringSubmatch(errText(err))
	if list == nil {
		t.Fatalf("no keys are listed: %v in\n%s", err, text)
	}
	return strings.Split(list[1], ", ")
}

func errText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// defaultsReference tries the keys that only defaults have.
func defaultsReference(t *testing.T, folder string, rows [][]string) {
	t.Helper()
	for _, examples := range rows {
		write(t, folder, "mine.yaml", "lotcost-book: 1\n"+strings.Join(examples, "\n")+"\n")
		if _, err := lotfile.Parse("haul.yaml", []byte(strings.ReplaceAll(topFrame, "@", "with: mine.yaml")), folder, lotfile.Options{}); err != nil {
			t.Errorf("%v: %v", examples, err)
		}
	}
	write(t, folder, "mine.yaml", "lotcost-book: 1\nzzzzzzzzzzzzzzzz: 1\n")
	for _, key := range known(t, folder, strings.ReplaceAll(topFrame, "@", "with: mine.yaml")) {
		if !strings.Contains(lotfile.Reference(), "`"+key) {
			t.Errorf("the reference has no %s", key)
		}
	}
}
