package live_test

import (
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// leads: the first sentence of a workbook tells the cost of now, and the second one whether the
// rest is right.
func leads(t *testing.T) calculation {
	f, err := lotfile.Read("../../../../examples/at-the-border/haul.yaml", lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(f.Haul)
	if err != nil {
		t.Fatal(err)
	}
	made := func(price string) book {
		b := written(t, show.Split(st).Pages(false))
		if price != "" {
			b.enter("paid", 3, 2, price)
		}
		return b
	}
	text := made("")
	if err := text.SetCellValue("paid", "C2", "12,5 kg"); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		b             book
		first, second string
	}{
		{made(""), "3 items, 8 pieces: total cost 192.80 CAD; ", "All figures"},
		{made("8801"), "Total cost after what was changed: ", "All figures"},
		{made("1000"), "Total cost after what was changed: ", "All figures"},                    // below the limit
		{made("1000000000"), "Total cost after what was changed: ", "No longer right: a limit"}, // too large to be exact
		{text, "Something typed is no number", ""},
	}
	var books []book
	for _, c := range cases {
		books = append(books, c.b)
	}
	return calculation{books, func(t *testing.T, again []book) {
		for n, b := range again {
			rows := append(b.rows("answer"), nil, nil, nil)
			for k, want := range []string{cases[n].first, cases[n].second} {
				if got := strings.Join(rows[k+1], ""); !strings.HasPrefix(got, want) || want == "" && got != "" {
					t.Errorf("workbook %d says %q, not %q", n, got, want)
				}
			}
		}
	}}
}
