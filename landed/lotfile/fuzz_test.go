package lotfile_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/testdata/reworded"
)

// fuzzLimit keeps single runs short; what is long is benchmarked.
const fuzzLimit = 32 << 10

// checkAnswer is the law of both targets: a haul that can be split, or whose
// splitting is refused with reasons, or faults that each say in which file.
func checkAnswer(t *testing.T, h *lotfile.File, err error) {
	t.Helper()
	if err == nil {
		_, err = landed.Split(h.Haul)
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
	f.Add(aFile, []byte{})
	f.Add(lotfile.Starter(), []byte{})
	f.Add(untested+biddable, []byte{})
	if example, err := os.ReadFile("testdata/example.yaml"); err == nil {
		f.Add(string(example), []byte{})
	}
	for _, c := range mistakes {
		text, _ := spoil(f, c.edits)
		f.Add(text, []byte{})
	}
	folder := f.TempDir()
	write(f, folder, "crate-a.csv", "id,weight\njack,1 kg\n")
	write(f, folder, "rates.csv", "Date,JPY,CAD\n2026-10-02,173.05,1.6352\n")
	f.Fuzz(func(t *testing.T, text string, changes []byte) {
		if len(text) > fuzzLimit {
			t.Skip()
		}
		text = reworded.Text(text, changes)
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
		figures := lotfile.Figures{"items": {lotfile.Stdin}, "price": {"10"}, "home": {"CAD"}}
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
		text := reworded.Text(texts[int(which)%len(texts)], changes)
		h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil {
			return
		}
		if _, err := bid.Look(h.Haul, h.Plans, bid.Options{}); err == nil && len(h.Open()) > 0 {
			t.Error("a haul with an open price has an account")
		}
		b, err := bid.New(h.Haul, h.Plans, bid.Options{})
		if err != nil {
			return
		}
		a, err := b.Judge(money.New(price, b.Bids()))
		if err != nil {
			return
		}
		if limit := a.Limits[a.Binding].Most; (a.Asked.Missing.Sign() == 0) != (a.Asked.Cost.Cmp(limit) <= 0) || (a.Best.Missing.Sign() == 0) != (len(a.Ranges) > 0) {
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
