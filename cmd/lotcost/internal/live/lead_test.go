package live_test

import (
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
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
	japan := *f.Haul // a part of the price is dutiable there, which is not calculated
	japan.From, japan.To, japan.Lots = "CA", "JP", slices.Clone(f.Lots)
	japan.Lots[0].Price = money.New(88_000, japan.Lots[0].Price.Currency())
	inPart, err := landed.Split(&japan)
	if err != nil || inPart.Sum(landed.Duty).Sign() == 0 {
		t.Fatal("no duty in Japan: ", err)
	}
	withBill, border := japan, *f.Border
	withBill.Border, border.Bill.Duty = &border, money.New(1_234, f.Home)
	billed, err := landed.Split(&withBill)
	if err != nil {
		t.Fatal(err)
	}
	of := func(st *landed.Statement, price string) book {
		b := written(t, show.Split(st).Pages(false))
		if price != "" {
			b.enter("paid", 3, 2, price)
		}
		return b
	}
	made := func(price string) book { return of(st, price) }
	text := made("")
	if err := text.SetCellValue("paid", "C2", "12,5 kg"); err != nil {
		t.Fatal(err)
	}
	fine, err := lotfile.Parse("fine.yaml", []byte("lotcost: 1\nhome: EUR\nlots:\n  - {id: a, price: 120 EUR, items: [{id: x, count: 2, weight: 20.3 oz, value: 14}, {id: y, count: 3, weight: 4 lb, value: 33}, {id: z, count: 12, weight: 1621 g, value: 9}]}\ncharges: [{what: Parcel, kind: freight, amount: 15 EUR}]\n"), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	inNanograms, err := landed.Split(fine.Haul) // more digits than a spreadsheet has
	if err != nil {
		t.Fatal(err)
	}
	changed := func(page string, column int, value string) book {
		b := of(inNanograms, "")
		b.enter(page, column, 3, value) // the amount of the freight, or the weight of the second item
		return b
	}
	bank, err := lotfile.Parse("bank.yaml", []byte("lotcost: 1\nhome: CAD\nexchange: {spread: 2.5%, rates: [98.4 JPY = 1 CAD]}\nlots:\n  - {id: a, price: 7653 JPY, settled: 75.52 CAD, items: [{id: x, value: 30}]}\n  - {id: b, price: 4000 JPY, premium: 10%, settled: 45 CAD, items: [{id: y, value: 30}]}\n"), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	settled, err := landed.Split(bank.Haul)
	if err != nil {
		t.Fatal(err)
	}
	cleared := func(cell string) book {
		b := of(settled, "")
		if err := b.SetCellValue("paid", cell, nil); err != nil {
			t.Fatal(err)
		}
		return b
	}
	var fees, asked book
	for _, cell := range []string{"fees!E2", "prices!H2"} {
		asked = written(t, show.Price(priced(t)["../../../../examples/one-crate/2-opened/haul.yaml"]).Pages(false))
		page, at, _ := strings.Cut(cell, "!")
		if err := asked.SetCellValue(page, at, 0.5); err != nil {
			t.Fatal(err)
		}
		if fees.File == nil {
			fees = asked
		}
	}
	const kept = "No longer right: these figures are not calculated here: the shares of Parcel. "
	cases := []struct {
		b             book
		first, second string
	}{
		{made(""), "3 items, 8 pieces: total cost 192.80 CAD; ", "All figures of the other sheets follow what is changed in them."},
		{made("8801"), "Total cost after what was changed: ", "All figures of the other sheets follow what is changed in them."},
		{made("1000"), "Total cost after what was changed: ", "All figures of the other sheets follow what is changed in them."}, // below the limit
		{made("1000000000"), "Total cost after what was changed: ", "No longer right: a limit"},                                  // too large to be exact
		{text, "Something typed is no number", ""},
		{of(inPart, ""), "3 items, 8 pieces: total cost ", "All figures follow what is changed but these, which are not calculated here: Import duty, "},
		{of(billed, ""), "3 items, 8 pieces: total cost ", "All figures follow what is changed but these, which are not calculated here: Import tax, postal handling, the shares of Import duty. "},
		{of(inNanograms, ""), "3 items, 17 pieces: total cost ", "All figures follow what is changed but these, which are not calculated here: the shares of Parcel. "},
		{changed("paid", 3, "16"), kept, ""},
		{changed("sharing", 5, "600"), "Total cost after what was changed: 135.00 EUR", kept},
		{cleared("G2"), "Total cost after what was changed: 124.72 CAD", "All figures"}, // 45 and 7653 / 98.4 x 1.025 = 79.7188 CAD
		{cleared("G3"), "Total cost after what was changed: 121.36 CAD", "All figures"}, // price and premium each by itself: 41.67 and 4.17
		{fees, "The figures after what was changed stand in the sheet prices.", "All figures of the other sheets follow what is changed in them. The sheet What the kept pieces cost does not follow: it stays as it was written."},
		{asked, "The figures after what was changed stand in the sheet prices.", "What a piece costs is shared by value"},
		{of(inPart, "88001"), "Total cost after what was changed: ", "No longer right: these figures are not calculated here: Import duty, "},
	}
	var books []book
	for _, c := range cases {
		books = append(books, c.b)
	}
	return calculation{books, func(t *testing.T, again []sheets) {
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
