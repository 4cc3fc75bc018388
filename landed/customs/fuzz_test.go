package customs_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/testdata/reworded"
)

// FuzzParse: whatever the text, there is a rule set or faults and never a panic;
// a set that was read can be reported in words and assessed by.
func FuzzParse(f *testing.F) {
	f.Add([]byte(plainRules), []byte{})
	for _, pattern := range []string{"rules/*.yaml", "testdata/rules/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data, []byte{})
		}
	}
	f.Fuzz(func(t *testing.T, data, changes []byte) {
		data = []byte(reworded.Text(string(data), changes))
		set, err := customs.Parse("fuzz", data)
		if err != nil {
			var faults source.Faults
			if set != nil || !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("%v without faults: %v", set, err)
			}
			return
		}
		for i := range set.Entries() {
			r := &set.Entries()[i]
			for _, w := range r.Figures() {
				if w.Text == "" {
					t.Errorf("says too little: %+v", w)
				}
			}
			c := plane(r, 123_456)
			c.To += "-X"
			c.Parcels[0].Lines[0].Freight = money.New(777, r.Currency)
			a, err := customs.Assess(r, c)
			if err == nil {
				checkSums(t, r, c, a)
			}
		}
		if book := customs.NewBook(set); len(book.Entries()) == 0 {
			t.Error("no sets")
		}
	})
}

// FuzzParseRate: what is read prints as something that is read back alike.
func FuzzParseRate(f *testing.F) {
	for _, s := range []string{"2.7%", "free", "1.50 CHF per kg", "3% + 0.25 CHF per piece", "", "+", "1e9%", "9999999999 CHF per kg"} {
		f.Add(s)
	}
	chf := money.MustCurrency("CHF")
	f.Fuzz(func(t *testing.T, s string) {
		r, err := customs.ParseRate(s, chf)
		if err != nil {
			return
		}
		again, err := customs.ParseRate(r.Format(chf), chf)
		if err != nil || again.Format(chf) != r.Format(chf) {
			t.Errorf("%q reads as %q, and that as %q, %v", s, r.Format(chf), again.Format(chf), err)
		}
	})
}
