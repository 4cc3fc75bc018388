package lotfile_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
)

// TestNameless: the items of a list without a column id are called after what they are, each
// otherwise, as no other of the haul is, and the same each time.
func TestNameless(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "one.csv", "what;count\nJack plane;2\nTry square;1\nJack plane;1\n12 irons;1\n???;1\nA very long name of a piece, with all that was said of it;1\n")
	write(t, folder, "two.csv", "what\nJack plane\nSquare\n")
	text := "lotcost: 1\nhome: CAD\nlots:\n  - {id: a, price: 10, items: one.csv}\n  - {id: b, price: 10, items: two.csv}\n  - {id: square, price: 10, items: [{id: try-square}]}\n"
	for range 2 {
		f, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, item := range f.Items() {
			ids = append(ids, item.ID)
		}
		const want = "jack-plane try-square-2 jack-plane-2 irons item a-very-long-name-of-a jack-plane-3 square-2 try-square"
		if got := strings.Join(ids, " "); got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
}

// TestReadRows: what spreadsheets of several countries copy and save is told apart into head, items
// and sums, and reads as an item list.
func TestReadRows(t *testing.T) {
	for _, c := range []struct{ name, text, want, list string }{
		{"English, from a clipboard", "Item\tQty\tWeight (kg)\tValue\nJack plane\t2\t1.9\t38.00\n\n\t \t\t\nTry square\t1\t0.31\t24\nTotal\t3\t2.21\t62\n",
			"[Item Qty Weight (kg) Value] as [what count weight value] units [  kg ]; 2 rows, 1 sums", "what;count;weight (kg);value\nJack plane;2;1.9;38.00\nTry square;1;0.31;24\n"},
		{"German, saved, with a mark of its bytes", "\ufeffBezeichnung;Anzahl;Gewicht;Wert €\r\n\"Hobel; breit\";3;12,5 kg;1.234,50\r\nSumme;3;;\r\n",
			"[Bezeichnung Anzahl Gewicht Wert €] as [what count weight value] units [   EUR]; 1 rows, 1 sums", "what;count;weight;value (EUR)\n\"Hobel; breit\";3;12,5 kg;1.234,50\n"},
		{"French, a column that nobody knows", "Désignation\tEmplacement\tnom\tpoids\nRabot\tétagère 3\tx\t870 g\n",
			"[Désignation Emplacement nom poids] as [what   weight] units [   ]; 1 rows, 0 sums", "what;weight\nRabot;870 g\n"},
		{"a title above", "Kiste A\t\t\n\nHobel\tAnzahl\tWert\nHobel, breit\t3\t12\n", "[Hobel Anzahl Wert] as [ count value] units [  ]; 1 rows, 0 sums", "count;value\n3;12\n"},
		{"a head of two rows", "Gegenstand\tMenge\tGewicht\tWert\tGekauft\n\tStück\tje Stück (g)\tneu (€)\tam\nHobel\t3\t870\t31,50\t3.10.\n",
			"[Gegenstand Menge Gewicht (g) Wert (€) Gekauft am] as [what count weight value ] units [  g EUR ]; 1 rows, 0 sums", "what;count;weight (g);value (EUR)\nHobel;3;870;31,50\n"},
		{"a piece without figures below the head", "Gegenstand\tMenge\tWert\nHobel\t\t\nBeitel\t2\t5\n", "[Gegenstand Menge Wert] as [what count value] units [  ]; 2 rows, 0 sums", "what;count;value\nHobel;;\nBeitel;2;5\n"},
		{"pieces below each other, one called like a column", "Hobel\nBeitel\nparts\n", "[] as [] units []; 3 rows, 0 sums", ""},
		{"an item above the head", "Hobel\t3\t0,87 kg\nWhat\tCount\tWeight\nBeitel\t1\t90 g\n", "[] as [  ] units [  ]; 3 rows, 0 sums", ""},
		{"no head", "Hobel\t3\t0,87 kg\nStemmeisen\t4\t140 g\n", "[] as [  ] units [  ]; 2 rows, 0 sums", "\nHobel\n"},
		{"pieces that are called like columns", "Weight stone\t1\nValue plane\t2\n", "[] as [ ] units [ ]; 2 rows, 0 sums", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := lotfile.ReadRows("rows.csv", []byte(c.text), true)
			if err != nil {
				t.Fatal(err)
			}
			if got := fmt.Sprintf("%v as %v units %v; %d rows, %d sums", r.Head, r.As, r.Units, len(r.Body), len(r.Sums)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if got := string(r.List()); r.Head != nil && got != c.list {
				t.Errorf("got\n%s\nwant\n%s", got, c.list)
			}
		})
	}
}

// FuzzReadRows: whatever is pasted, all rows are as long as the columns, and the list of them is a
// table again.
func FuzzReadRows(f *testing.F) {
	for _, text := range []string{"what;count\nJack;2\n", "a\tb\n\"c\nd\"\t2\n", "Summe\n", "\ufeffwert,gewicht\n1,2\n"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := lotfile.ReadRows("rows.csv", []byte(text), false)
		if err != nil {
			return
		}
		for _, row := range append(r.Body, r.Sums...) {
			if len(row) != len(r.As) || len(row) != len(r.Units) {
				t.Fatalf("%q: %d cells of %d", row, len(row), len(r.As))
			}
		}
		if r.Head == nil {
			return
		}
		again, err := lotfile.ReadRows("rows.csv", r.List(), false)
		if err == nil && len(again.Body)+len(again.Sums) > len(r.Body) {
			t.Fatalf("%d rows became %d", len(r.Body), len(again.Body))
		}
	})
}
