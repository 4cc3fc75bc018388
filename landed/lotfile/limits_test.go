package lotfile_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
)

// manyCharges is a file of some items and charges, the charges from line 3 on.
func manyCharges(items, charges int, charge string) string {
	var text strings.Builder
	text.WriteString("lotcost: 1\ncharges:\n")
	text.WriteString(strings.Repeat("  - "+charge+"\n", charges))
	text.WriteString("home: CAD\nshare: {price: count}\nlots:\n  - id: crate\n    price: 9\n    items:\n")
	for i := range items {
		fmt.Fprintf(&text, "      - id: plane-%d\n", i)
	}
	return text.String()
}

// A small file can ask for more charges than any statement holds: the charge
// that is too much is named.
func TestTooManyCharges(t *testing.T) {
	if testing.Short() {
		t.Skip("it reads large files")
	}
	for _, c := range []struct {
		items, charges int
		charge, want   string
	}{
		{1000, 750, "{amount: 1, per: item}", ""},
		{1000, 751, "{amount: 1, what: box, per: item}", `haul.yaml:753:33: charge "box": up to this one the charges come to 751000 charges for one item each, and 750000 is the most: make one charge of those that are alike, or name under on what each is for`},
		{3000, 3334, "{amount: 1, what: box}", `haul.yaml:3336:23: charge "box": up to this one the charges come to 10002000 shares, and 10000000 is the most: make one charge of those that are alike, or name under on what each is for`},
		{3000, 3334, "{amount: 1, what: box, on: [plane-7, plane-7]}", ""},
	} {
		_, err := lotfile.Parse("haul.yaml", []byte(manyCharges(c.items, c.charges, c.charge)), ".", lotfile.Options{})
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%d items, %d charges\ngot  %s\nwant %s", c.items, c.charges, got, c.want)
		}
	}
}

// A list is read far above the size of a lot file; the ids of 50,000 items are more than 16 MiB.
func TestLongList(t *testing.T) {
	if testing.Short() {
		t.Skip("it reads a large file")
	}
	const items = 50_000
	name := strings.Repeat("plane-with-a-name-of-its-own-", 12)
	var text strings.Builder
	text.WriteString("id,value\n")
	for i := range items {
		fmt.Fprintf(&text, "%s%d,%d\n", name, i, i%90)
	}
	if text.Len() <= 16<<20 {
		t.Fatal("the list is too short")
	}
	folder := t.TempDir()
	write(t, folder, "crate.csv", text.String())
	f, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 1, items: crate.csv}]\n"), folder, lotfile.Options{})
	if err != nil || len(f.Lots[0].Items) != items || f.Lots[0].Items[items-1].ID != name+"49999" {
		t.Errorf("%v", err)
	}
}
