package live_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/testdata/effort"
)

const twoLots = `
date: 2026-10-03
exchange: {spread: 2.5%, rates: [100 JPY = 0.93 CAD, 100 JPY = 0.50 GBP, 1 EUR = 1.62 CAD]}
lots:
  - {id: a, price: 4000 JPY, premium: 10%, items: [{id: x, value: 30, weight: 900 g}, {id: y, value: 12, count: 2, weight: 1 kg}]}
  - {id: b, price: 3500 JPY, items: [{id: z, value: 25, weight: 700 g}]}
`

// billed are hauls with a price of 4000 JPY in which bills, or a part of the price, are shared at a
// border.
var billed = map[string]string{
	"without rules": "lotcost: 1\nhome: CAD\nfrom: JP\nto: CA-ON" + twoLots +
		"parcels: [{id: box, lots: [a, b], assessed: {duty: 4.21 CAD, tax: 9.13 CAD}}]\n",
	"below the limit": "lotcost: 1\nhome: GBP\nfrom: JP\nto: GB" + twoLots +
		"parcels: [{id: box, lots: [a, b], assessed: {duty: 4.21 GBP, tax: 9.13 GBP}}]\ncustoms: {use: personal, by: post, class: t, classes: {t: {duty: 4%}}}\n",
	"one bill of two parcels": "lotcost: 1\nhome: GBP\nfrom: JP\nto: GB" + twoLots +
		"parcels: [{id: box, lots: [a]}, {id: bag, lots: [b]}]\ncustoms: {use: personal, by: post, class: t, classes: {t: {duty: 4%}}, assessed: {duty: 4.21 GBP, tax: 9.13 GBP}}\n",
	"a part of the price in other money": "lotcost: 1\nhome: CAD\nfrom: JP\nto: DE" + twoLots +
		"charges: [{what: Buying, amount: 4.5% of price}]\ncustoms: {use: personal, by: courier, class: t, classes: {t: {duty: 4%}}}\n",
}

// billsChanged: a bill is shared as customs would be likely to, also where what it is likely to ask
// comes to nothing, before a change or after it, and where there are no rules.
func billsChanged(t *testing.T) calculation {
	var books []book
	var hauls []*landed.Haul
	var reported []string
	of := func(name, price string) *landed.Haul {
		f, err := lotfile.Parse("haul.yaml", []byte(strings.Replace(billed[name], "4000 JPY", price+" JPY", 1)), t.TempDir(), lotfile.Options{})
		if err != nil {
			t.Fatal(name, err)
		}
		return f.Haul
	}
	for k, name := range slices.Sorted(maps.Keys(billed)) {
		for n, prices := range [][2]string{{"4000", "4900"}, {"4000", "90000"}, {"90000", "3000"}, {"90000", "77000"}} {
			if (k+n)%effort.Cases(1, 2, 2) > 0 {
				continue
			}
			st, err := landed.Split(of(name, prices[0]))
			if err != nil {
				t.Fatal(name, err)
			}
			b := written(t, live.Costs(st))
			b.enter("paid", 3, 2, prices[1])
			books, hauls, reported = append(books, b), append(hauls, of(name, prices[1])), append(reported, name+" from "+prices[0]+" to "+prices[1])
		}
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			st, err := landed.Split(hauls[n])
			if err != nil {
				t.Fatal(reported[n], err)
			}
			for _, row := range b.rows("paid") {
				if text := strings.Join(row, " "); strings.Contains(text, "not calculated here") || strings.Contains(text, "no longer right") {
					t.Errorf("%s: %s", reported[n], text)
				}
			}
			for _, problem := range differs(b, st) {
				t.Errorf("%s: %s", reported[n], problem)
			}
		}
	}}
}
