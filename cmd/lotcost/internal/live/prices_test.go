package live_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/testdata/effort"
)

// priced are the examples with venues.
func priced(t testing.TB) map[string]*doubles.Result {
	t.Helper()
	results := map[string]*doubles.Result{}
	for path := range examples(t) {
		f, err := lotfile.Read(path, lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		st, err := landed.Split(f.WithoutOpen())
		if err != nil || f.Selling == nil {
			continue
		}
		if r, err := doubles.Price(f.WithoutOpen(), f.Selling, st, doubles.Options{}); err == nil && len(r.Offers) > 0 {
			results[path] = r
		}
	}
	if len(results) < 3 {
		t.Fatal("too few examples with venues: ", len(results))
	}
	return results
}

// pricesChanged: what LibreOffice makes of costs and prices that were changed is what the library
// does.
func pricesChanged(t *testing.T) calculation {
	type changed struct {
		row  int
		sale resale.Sale
		at   money.Amount
	}
	var books []book
	var changes [][]changed
	var names []string
	results := priced(t)
	for n, path := range slices.Sorted(maps.Keys(results)) {
		if n%effort.Cases(1, 3, 3) > 0 { // of three by turns, so that sorted ones are among them
			continue
		}
		rng, r := rand.New(rand.NewPCG(9, uint64(n))), results[path]
		other := written(t, live.Prices(r))
		var list []changed
		row := 1
		for _, v := range venuesOf(r) {
			for i := range r.Offers {
				row++
				sale := r.Offers[i].Quotes[v].Sale()
				sale.Cost = money.New(100+rng.Int64N(20_000), sale.Cost.Currency())
				at := money.New(100+rng.Int64N(30_000), sale.Cost.Currency())
				if cells := other.rows("prices")[row-1]; len(cells) < 8 || cells[7] == "" {
					continue
				}
				other.enter("prices", 7, row, sale.Cost.Decimal().String())
				other.enter("prices", 8, row, at.Decimal().String())
				list = append(list, changed{row, sale, at})
			}
		}
		if n%2 == 1 { // and then sorted
			last := len(other.rows("prices"))
			other.sort("prices", 2, last, len(other.rows("prices")[0]))
			for i := range list {
				list[i].row = last + 2 - list[i].row
			}
		}
		books, changes, names = append(books, other), append(changes, list), append(names, path)
		if n%effort.Cases(1, 4, 4) == 0 { // as it was written, too
			books, changes, names = append(books, written(t, live.Prices(r))), append(changes, nil), append(names, path)
		}
	}
	f, err := lotfile.Parse("halves.yaml", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 87.82 CAD, items: [{id: x, value: 125}]}]\n"+ // a fee of 8.875 at 125.00
		"selling: {target: 26.1% on cost, venues: [{name: gable, charged: 9.67 CAD, postage: 13.19 CAD, fees: [{what: commission, percent: 7.1%}, {what: payment, percent: 1.1%, of: price and postage, fixed: 0.38}]}]}\n"), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(f.Haul)
	if err != nil {
		t.Fatal(err)
	}
	halves, err := doubles.Price(f.Haul, f.Selling, st, doubles.Options{})
	if err != nil {
		t.Fatal(err)
	}
	books, changes, names = append(books, written(t, live.Prices(halves))), append(changes, nil), append(names, "halves of a cent")
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			if changes[n] == nil {
				same(t, names[n], books[n], b)
				continue
			}
			for _, c := range changes[n] {
				for _, problem := range pricesDiffer(books[n], b, c.row, &c.sale, c.at) {
					t.Errorf("%s, row %d, cost %s at %s: %s", names[n], c.row, c.sale.Cost, c.at, problem)
				}
			}
		}
	}}
}

// broken is a haul with pieces for parts that carry what they should bring, others that carry less,
// and parts made of dead ones, at two venues; its fee and what is fixed in it stand as %s and %s.
const broken = `lotcost: 1
home: EUR
exchange: {rates: [1 GBP = 1.17 EUR]}
lots:
  - id: a
    price: 160 EUR
    items:
      - {id: x, count: 4, value: 60, parts-value: 7.35, found: {sound: 2, parts: 2}}
      - {id: y, count: 2, value: 5, parts-value: 33 EUR, found: {parts: 2}}
      - {id: z, count: 3, value: 20, found: {sound: 1, dead: 2, yields: [{what: iron, count: 2, value: 4 EUR}]}}
selling:
  target: 10%%
  venues:
    - {name: gable, charged: 4.90, postage: 5.19, fees: [{what: commission, percent: %[1]s, fixed: %[2]s}]}
    - {name: stall, currency: GBP, ships: no, fees: [{what: commission, percent: %[1]s, fixed: %[2]s}]}
`

// pricesOfText are those of a lot file.
func pricesOfText(t *testing.T, text string) *doubles.Result {
	t.Helper()
	f, err := lotfile.Parse("text.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(f.Haul)
	if err != nil {
		t.Fatal(err)
	}
	r, err := doubles.Price(f.Haul, f.Selling, st, doubles.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// feesChanged: what broken pieces are asked for follows the fees, as in the lot file with those
// fees.
func feesChanged(t *testing.T) calculation {
	var books []book
	var wants []*doubles.Result
	for _, to := range []map[string]string{{"rate": "0.08", "fixed": "0.35"}, {"rate": "0.135", "fixed": "0"}, {"rate": "0.0225", "fixed": "1.20"}, {"rate": "0.08", "fixed": "0.35", "at least": "1.50", "at most": "2.50"}} {
		b := written(t, live.Prices(pricesOfText(t, fmt.Sprintf(broken, "8%", "0.35"))))
		for head, value := range to {
			column := b.read().column("fees", head)
			for row := range len(b.rows("fees")) - 1 {
				b.enter("fees", column, row+2, value)
			}
		}
		part, _ := strconv.ParseFloat(to["rate"], 64)
		amounts := to["fixed"]
		if to["at most"] != "" { // empty as the workbook was written
			amounts += ", floor: " + to["at least"] + ", cap: " + to["at most"]
		}
		books, wants = append(books, b), append(wants, pricesOfText(t, fmt.Sprintf(broken, strconv.FormatFloat(100*part, 'f', -1, 64)+"%", amounts)))
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			row, unsound := 0, 0
			for _, v := range venuesOf(wants[n]) {
				for i := range wants[n].Offers {
					row++
					o := &wants[n].Offers[i]
					q, cells := &o.Quotes[v], b.rows("prices")[row]
					if o.State != landed.Sound {
						unsound++
					}
					for head, want := range map[string]money.Amount{"price": q.Expected.Price, "fees": q.Expected.Fees, "net": q.Expected.Net, "profit": q.Expected.Left, "break-even": q.BreakEven.Price, "asking price": q.Ask.Price} {
						if got := cells[b.column("prices", head)-1]; !alike(got, want.Number()) {
							t.Errorf("workbook %d, %s %s at %s: %s is %s, not %s", n, o.ID, o.State, wants[n].Venues[v].Name, head, got, want.Number())
						}
					}
				}
			}
			if says := b.rows("prices"); unsound != 6 || len(says) != row+1 {
				t.Errorf("%d of %d offers are not sound", unsound, row)
			}
		}
	}}
}

// venuesOf are the venues in the order of the sheet.
func venuesOf(r *doubles.Result) []int {
	order := []int{r.At}
	for v := range r.Venues {
		if v != r.At {
			order = append(order, v)
		}
	}
	return order
}

func pricesDiffer(from book, b sheets, row int, sale *resale.Sale, at money.Amount) []string {
	var problems []string
	cells := b.rows("prices")[row-1]
	figure := func(column int, want string) {
		if !alike(want, cells[column-1]) {
			problems = append(problems, fmt.Sprintf("column %d is %s, not %s", column, cells[column-1], want))
		}
	}
	out, err := sale.At(at)
	if err != nil {
		return []string{err.Error()}
	}
	figure(10, out.Fees.Number())
	figure(11, out.VAT.Number())
	figure(13, out.Net.Number())
	figure(14, out.Left.Number())
	if b.byName["search"] == nil {
		return problems
	}
	even := *sale
	even.Target = resale.Target{}
	for column, s := range map[int]*resale.Sale{16: &even, 17: sale} {
		formula, _ := from.GetCellFormula("prices", string(rune('A'+column-1))+strconv.Itoa(row))
		least, err := new(resale.Desk).Price(s, resale.AnyEnding)
		if err == nil && strings.Contains(formula, "MATCH") {
			figure(column, least.Price.Number())
		}
	}
	return problems
}
