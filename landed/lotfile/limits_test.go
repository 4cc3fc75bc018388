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
