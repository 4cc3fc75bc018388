package lotfile_test

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// fuzzLimit keeps single runs short; what is long is benchmarked.
const fuzzLimit = 32 << 10

// checkAnswer is the law of both targets: a haul that can be split, or whose
// splitting is refused with reasons, or faults that each say in which file.
func checkAnswer(t *testing.T, h *landed.Haul, err error) {
	t.Helper()
	if err == nil {
		_, err = landed.Split(h)
	}
	if err == nil {
		return
	}
	var faults source.Faults
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("not faults: %v", err)
	}
	for i, f := range faults {
		if f.What == "" || f.At.File == "" && i < source.MaxFaults {
			t.Errorf("fault without its file: %v", f)
		}
		if f.At.Line < 0 || f.At.Column < 0 || f.At.Column > 0 && f.At.Line == 0 {
			t.Errorf("fault in no place: %v", f)
		}
	}
}

func FuzzLotFile(f *testing.F) {
	f.Add(aFile)
	f.Add(lotfile.Starter())
	f.Add(untested + biddable)
	if example, err := os.ReadFile("testdata/example.yaml"); err == nil {
		f.Add(string(example))
	}
	for _, c := range mistakes {
		text, _ := spoil(f, c.edits)
		f.Add(text)
	}
	folder := f.TempDir()
	write(f, folder, "crate-a.csv", "id,weight\njack,1 kg\n")
	write(f, folder, "rates.csv", "Date,JPY,CAD\n2026-10-02,173.05,1.6352\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > fuzzLimit {
			t.Skip()
		}
		h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		checkAnswer(t, h, err)
	})
}

func FuzzItems(f *testing.F) {
	f.Add("id,what,count,weight,value,class\njack,\"Jack plane, iron\",2,1.9 kg,38 CAD,hand-tool\n")
	f.Add("id;count\r\n平鉋;2\r\n;\r\n")
	f.Add("\xef\xbb\xbfvalue\tid\n38,50\tjack\n")
	f.Add("id,what\na,\"b\nc\"\"d\"\ne,f\"\n\"g")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > fuzzLimit {
			t.Skip()
		}
		figures := lotfile.Figures{Items: lotfile.Stdin, Price: "10", Terms: lotfile.Terms{Home: "CAD"}}
		h, err := lotfile.Quick(figures, lotfile.Options{Stdin: strings.NewReader(text)})
		if err != nil {
			checkAnswer(t, h, err)
			return
		}
		for _, item := range h.Lots[0].Items {
			if item.ID == "" || item.Count < 1 || item.At.File != "standard input" || item.At.Line < 2 || item.At.Column != 1 {
				t.Errorf("item %+v", item)
			}
		}
	})
}

// FuzzBid asks whatever can be read how high to bid: it answers, or tells why
// not.
func FuzzBid(f *testing.F) {
	texts := []string{untested + biddable, example(f, "before-bidding/haul.yaml"), example(f, "three-lots/haul.yaml")}
	texts[2] = strings.Replace(texts[2], "9800 JPY", "open", 1)
	for i := range texts {
		f.Add(uint8(i), []byte{}, int64(7750))
	}
	folder := f.TempDir()
	write(f, folder, "services.yaml", example(f, "three-lots/services.yaml"))
	f.Fuzz(func(t *testing.T, which uint8, changes []byte, price int64) {
		text := changed(texts[int(which)%len(texts)], changes)
		h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil {
			return
		}
		if _, err := bid.Look(h, bid.Options{}); err == nil && len(h.Open()) > 0 {
			t.Error("a haul with an open price has an account")
		}
		b, err := bid.New(h, bid.Options{})
		if err != nil {
			return
		}
		a, err := b.Judge(money.New(price, b.Bids()))
		if err != nil {
			return
		}
		if limit := a.Limits[a.Binding].Most; a.Asked.Meets != (a.Asked.Cost.Cmp(limit) <= 0) || a.Best.Meets != a.Reached {
			t.Errorf("limit %v, asked %+v, best %+v", limit, a.Asked, a.Best)
		}
	})
}

// example is the text of a file that is shipped.
func example(f *testing.F, path string) string {
	f.Helper()
	text, err := os.ReadFile(filepath.Join("../../examples", path))
	if err != nil {
		f.Fatal(err)
	}
	return string(text)
}

// word is what stands between the marks of YAML.
var word = regexp.MustCompile(`[^\s\[\]{},:#"']+`)

// oddFigures are put in the place of figures, beside those of the text itself.
var oddFigures = []string{"0", "1", "2", "3", "0.001", "0.5", "17", "999", "123456", "-1", "9223372036854775807", "1e3", "0.333333333333"}

// changed changes a text a word or a line at a time: of random texts none is a
// lot file, of these a good part is. Three bytes are one change: the word, the
// kind of change and what comes in its place.
func changed(text string, changes []byte) string {
	var figures, words []string
	for _, w := range word.FindAllString(text, -1) {
		if w[0] >= '0' && w[0] <= '9' {
			figures = append(figures, w)
		} else {
			words = append(words, w)
		}
	}
	figures = append(figures, oddFigures...)
	for ; len(changes) >= 3 && len(text) <= fuzzLimit; changes = changes[3:] {
		places := word.FindAllStringIndex(text, -1)
		if len(places) == 0 {
			break
		}
		kind, by := changes[1], int(changes[2])
		at := places[(int(changes[0])|int(kind&3)<<8)%len(places)]
		from := strings.LastIndexByte(text[:at[0]], '\n') + 1
		_, below, _ := strings.Cut(text[at[1]:], "\n")
		to := len(text) - len(below)
		isFigure := text[at[0]] >= '0' && text[at[0]] <= '9'
		switch {
		case kind >= 250: // the line goes
			text = text[:from] + text[to:]
		case kind >= 240: // it comes twice
			text = text[:to] + text[from:]
		case isFigure != (kind >= 230):
			text = text[:at[0]] + figures[by%len(figures)] + text[at[1]:]
		default:
			text = text[:at[0]] + words[by%len(words)] + text[at[1]:]
		}
	}
	return text
}
