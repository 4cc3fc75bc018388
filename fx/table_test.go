package fx_test

import (
	"errors"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/fx"

	"pgregory.net/rapid"
)

// The holes of the published calendar: no row from 18 to 21 April 2025 (Easter), nor on 1 May, nor
// on week-ends.
func TestDayUsed(t *testing.T) {
	const file = "eurofxref-2025.csv"
	tests := []struct {
		on, used string
		lift     bool
	}{
		{"2025-04-17", "2025-04-17", false},
		{"2025-04-18", "2025-04-17", false},
		{"2025-04-21", "2025-04-17", false},
		{"2025-04-22", "2025-04-22", false},
		{"2025-05-01", "2025-04-30", false},
		{"2025-05-04", "2025-05-02", false},
		{"2025-05-16", "2025-05-09", false}, // seven days
		{"2025-05-17", "2025-05-09", true},
		{"2026-10-03", "2025-05-09", true},
		{"2025-04-15", "2025-04-16", true}, // only later days are left
		{"1998-12-31", "2025-04-16", true},
	}
	for _, tt := range tests {
		r, err := table(t, file, tt.on, tt.lift).Rate("JPY", "CAD")
		if err != nil || !r.Day.Equal(day(tt.used)) {
			t.Errorf("%s: used %s, %v, want %s", tt.on, r.Day.Format(time.DateOnly), err, tt.used)
		}
	}
	r, _ := table(t, file, "2025-04-15", true).Rate("JPY", "CAD")
	if want := "wanted for 2025-04-15: no day up to it quotes JPY and CAD; the first later one is 2025-04-16"; r.Steps()[0] != want {
		t.Errorf("step %q, want %q", r.Steps()[0], want)
	}
}

func TestTableRateErrors(t *testing.T) {
	const file = "eurofxref-2025.csv"
	tests := []struct {
		on       string
		lift     bool
		from, to fx.Code
		want     string
	}{
		{"2025-05-17", false, "JPY", "CAD", "no rate from JPY to CAD for 2025-05-17: the newest day up to it in eurofxref-2025.csv is 2025-05-09, 8 days before, and 7 is the limit: give a newer table, or allow any day"},
		{"2025-04-15", false, "JPY", "CAD", "no rate for 2025-04-15: eurofxref-2025.csv begins on 2025-04-16: give an older table, or allow any day"},
		{"2025-05-09", false, "RUB", "CAD", "no rate from RUB to CAD for 2025-05-09: eurofxref-2025.csv quotes no such pair in the 7 days up to it: give another table, or allow any day"},
		{"2025-05-16", false, "RUB", "CAD", "no rate from RUB to CAD for 2025-05-16: eurofxref-2025.csv quotes no such pair in the 7 days up to it: give another table, or allow any day"},
		{"2025-05-09", true, "RUB", "CAD", `no rate from RUB to CAD: state one ("100 RUB = … CAD") or give a table that holds it`},
		{"2025-05-09", false, "VES", "CAD", `no rate from VES to CAD: state one ("100 VES = … CAD") or give a table that holds it`},
		{"2025-05-09", false, "EUR", "VES", `no rate from EUR to VES: state one ("100 EUR = … VES") or give a table that holds it`},
	}
	for _, tt := range tests {
		_, err := table(t, file, tt.on, tt.lift).Rate(tt.from, tt.to)
		if text(err) != tt.want {
			t.Errorf("%s %s to %s:\n got %v\nwant %s", tt.on, tt.from, tt.to, err, tt.want)
		}
	}
}

func TestTableWithoutName(t *testing.T) {
	tab, err := fx.ReadTable(open(t, "eurofxref-1999.csv"), fx.Window{On: day("2026-10-03")})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tab.Rate("JPY", "CAD"); err == nil || !strings.Contains(err.Error(), "the newest day up to it in the table is 1999-01-07") {
		t.Error(err)
	}
}

// In XML a currency that stands in skipped days only is known as one that the file has, as in CSV.
func TestStaleInXML(t *testing.T) {
	const doc = `<Envelope><Cube><Cube time="2025-05-09"><Cube currency="USD" rate="1.1"/></Cube>` +
		`<Cube time="2022-03-01"><Cube currency="RUB" rate="117.201"/><Cube currency="USD" rate="1.1"/></Cube></Cube></Envelope>`
	tab, err := fx.ReadTable(strings.NewReader(doc), fx.Window{On: day("2025-05-09"), Name: "x.xml"})
	if err != nil {
		t.Fatal(err)
	}
	var none *fx.NoRateError
	if _, err := tab.Rate("RUB", "USD"); err == nil || errors.As(err, &none) {
		t.Errorf("got %v", err)
	}
	if _, err := tab.Rate("GBP", "USD"); !errors.As(err, &none) {
		t.Errorf("got %v", err)
	}
}

// Both legs are taken from one day, even if a newer day quotes one of them.
func TestBothLegsOfOneDay(t *testing.T) {
	const doc = "Date,USD,JPY,CAD\n2026-10-03,1.1,N/A,1.6\n2026-10-02,1.2,170,1.7\n2026-10-01,1.3,180,N/A\n"
	tab, err := fx.ReadTable(strings.NewReader(doc), fx.Window{On: day("2026-10-03"), Name: "x.csv"})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		from, to fx.Code
		want     *big.Rat
	}{{"USD", "CAD", over("1.6", "1.1")}, {"JPY", "CAD", over("1.7", "170")}, {"JPY", "EUR", over("1", "170")}} {
		if r, err := tab.Rate(tt.from, tt.to); err != nil || r.Rat().Cmp(tt.want) != 0 {
			t.Errorf("%s to %s: %v, %v", tt.from, tt.to, r, err)
		}
	}
}

// codes are what random tables quote.
var codes = []fx.Code{"CAD", "GBP", "JPY", "SLE", "USD"}

// drawTable makes a random table: a date, then a figure or "" for each of codes.
func drawTable(t *rapid.T) [][]string {
	days := rapid.SliceOfNDistinct(rapid.IntRange(0, 40), 1, 12, rapid.ID[int]).Draw(t, "days")
	var rows [][]string
	for _, d := range days {
		row := []string{day("2026-09-01").AddDate(0, 0, d).Format(time.DateOnly)}
		for range codes {
			row = append(row, rapid.SampledFrom([]string{"", "0.5", "1.25", "170.03", "3", "0.0007"}).Draw(t, "figure"))
		}
		rows = append(rows, row)
	}
	return rows
}

// asCSV writes a random table.
func asCSV(rows [][]string) string {
	out := "Date"
	for _, c := range codes {
		out += "," + string(c)
	}
	for _, row := range rows {
		out += "\n" + row[0]
		for _, cell := range row[1:] {
			if cell == "" {
				cell = "N/A"
			}
			out += "," + cell
		}
	}
	return out + "\n"
}

// asXML writes the same table in the other layout.
func asXML(rows [][]string) string {
	out := "<Envelope><Cube>"
	for _, row := range rows {
		out += fmt.Sprintf("<Cube time='%s'>", row[0])
		for i, cell := range row[1:] {
			if cell != "" {
				out += fmt.Sprintf("<Cube currency='%s' rate='%s'/>", codes[i], cell)
			}
		}
		out += "</Cube>"
	}
	return out + "</Cube></Envelope>"
}

// oracle finds the rate by brute force over the rows: the fraction and the day, or nil.
func oracle(rows [][]string, on time.Time, lift bool, from, to fx.Code) (*big.Rat, time.Time) {
	leg := func(row []string, c fx.Code) string {
		if c == fx.Base {
			return "1"
		}
		return row[1+slices.Index(codes, c)]
	}
	byDate := map[int][]string{}
	for _, row := range rows {
		byDate[int(day(row[0]).Sub(on).Hours())/24] = row
	}
	var order []int
	for _, n := range slices.Backward(slices.Sorted(maps.Keys(byDate))) {
		if n <= 0 && (lift || n >= -7) {
			order = append(order, n)
		}
	}
	for _, n := range slices.Sorted(maps.Keys(byDate)) {
		if n > 0 && lift {
			order = append(order, n)
		}
	}
	for _, n := range order {
		if a, b := leg(byDate[n], from), leg(byDate[n], to); a != "" && b != "" {
			return over(b, a), on.AddDate(0, 0, n)
		}
	}
	return nil, time.Time{}
}

// Every rate of a random table, in any order of rows and in both layouts, is what brute force
// finds; there and back is exactly 1.
func TestTableLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := drawTable(t)
		on := day("2026-09-01").AddDate(0, 0, rapid.IntRange(-3, 55).Draw(t, "on"))
		w := fx.Window{On: on, Lift: rapid.Bool().Draw(t, "lift"), Name: "x"}
		for _, doc := range []string{asCSV(rows), asXML(rows), asCSV(rapid.Permutation(rows).Draw(t, "order"))} {
			tab, err := fx.ReadTable(strings.NewReader(doc), w)
			if err != nil {
				t.Fatal(err)
			}
			for _, from := range append(codes, fx.Base) {
				for _, to := range append(codes, fx.Base) {
					if from != to {
						checkRate(t, tab, rows, w, from, to)
					}
				}
			}
		}
	})
}

// checkRate compares one rate with the oracle.
func checkRate(t *rapid.T, tab *fx.Table, rows [][]string, w fx.Window, from, to fx.Code) {
	want, used := oracle(rows, w.On, w.Lift, from, to)
	there, err := tab.Rate(from, to)
	if want == nil {
		if err == nil {
			t.Fatalf("%s to %s: %v of %s, want an error", from, to, there, there.Day)
		}
		return
	}
	if err != nil || there.Rat().Cmp(want) != 0 || !there.Day.Equal(used) {
		t.Fatalf("%s to %s: %v of %s, %v; want %s of %s", from, to, there, there.Day, err, want, used)
	}
	back, err := tab.Rate(to, from)
	if err != nil || new(big.Rat).Mul(there.Rat(), back.Rat()).Cmp(rat("1")) != 0 {
		t.Fatalf("%v and %v, %v do not give 1", there, back, err)
	}
}

// With the limit lifted, a long table keeps what pairs need: here the ends of each currency's
// series.
func TestLiftedLongTable(t *testing.T) {
	var b strings.Builder
	b.WriteString("Date,USD,JPY,RUB,XAD\n")
	for i := range 3000 {
		row := []string{"1." + fmt.Sprint(1000+i), "N/A", "N/A", "N/A"}
		if i < 2000 {
			row[1] = "160." + fmt.Sprint(i)
		}
		if i < 10 {
			row[2] = "90." + fmt.Sprint(i)
		}
		if i == 2999 {
			row[3] = "7"
		}
		fmt.Fprintf(&b, "%s,%s\n", day("2010-01-01").AddDate(0, 0, i).Format(time.DateOnly), strings.Join(row, ","))
	}
	on := day("2010-01-01").AddDate(0, 0, 2990)
	tab, err := fx.ReadTable(strings.NewReader(b.String()), fx.Window{On: on, Lift: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		from, to fx.Code
		want     *big.Rat
	}{
		{"EUR", "USD", rat("1.3990")},
		{"USD", "JPY", over("160.1999", "1.2999")},
		{"RUB", "JPY", over("160.9", "90.9")},
		{"XAD", "USD", over("1.3999", "7")},
	} {
		if r, err := tab.Rate(tt.from, tt.to); err != nil || r.Rat().Cmp(tt.want) != 0 {
			t.Errorf("%s to %s: %v, %v, want %s", tt.from, tt.to, r, err, tt.want)
		}
	}
	if r, err := tab.Rate("XAD", "RUB"); err == nil {
		t.Errorf("never quoted together, got %v", r)
	}
}
