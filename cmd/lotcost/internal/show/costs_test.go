package show

import (
	"bytes"
	"encoding/csv"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// opened is a haul of which much was found: pieces for parts, dead, missing and
// extra ones, something made of dead ones, one that nobody paid for, a repair
// and a refund; RULE is who carries the loss.
const opened = `lotcost: 1
title: "=opened"
home: CAD
date: 2026-10-03
exchange: {spread: 2.5%, rates: [100 JPY = 0.93 CAD]}
losses: RULE
lots:
  - id: a
    price: 4217 JPY
    premium: 10%
    items:
      - {id: jack, model: jack-5, count: 7, value: 38, weight: 1.9 kg, repair: 6.40, parts-value: 9, found: {sound: 3, parts: 2, dead: 2, missing: 1, extra: 1, yields: [{what: iron, count: 3, value: 2 CAD}, {what: knob, value: 60 JPY}]}}
      - {id: level, count: 0, found: {sound: 1, dead: 1, extra: 2}}
  - id: b
    price: 1210 JPY
    settled: 11.90
    items:
      - {id: plough, count: 3, value: 12, weight: 700 g, found: {dead: 3}}
      - {id: block, count: 2, value: 12, weight: 700 g, parts-value: 1, found: {parts: 2}}
charges:
  - {what: parcel, kind: freight, amount: 5200 JPY}
  - {what: packing, amount: 300 JPY, per: lot}
  - {what: refund, amount: -900 JPY, on: [jack]}
`

// statements are those of the examples, and of a haul whose loss each of the
// rules moves.
func statements(t *testing.T) map[string]*landed.Statement {
	files, err := filepath.Glob("../../../../examples/*/haul.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	all := map[string]*landed.Statement{}
	take := func(name string, h *lotfile.File, err error) {
		if err != nil {
			t.Fatal(err)
		}
		if all[name], err = landed.Split(h.WithoutOpen()); err != nil {
			t.Fatal(err)
		}
	}
	for _, file := range files {
		h, err := lotfile.Read(file, lotfile.Options{})
		take(file, h, err)
	}
	for _, rule := range []string{"item", "lot", "haul", "written-off"} {
		h, err := lotfile.Parse(rule+".yaml", []byte(strings.ReplaceAll(opened, "RULE", rule)), t.TempDir(), lotfile.Options{})
		take(rule+".yaml", h, err)
	}
	return all
}

// records writes a table as CSV and reads it back, by column.
func records(t *testing.T, table *sheet.Table) (header []string, records []map[string]string) {
	var b bytes.Buffer
	if err := sheet.WriteCSV(&b, table, false); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		record := map[string]string{}
		for i, name := range rows[0] {
			record[name] = row[i]
		}
		records = append(records, record)
	}
	return rows[0], records
}

// figure reads one; that of a price that is open is empty, and counts nothing.
func figure(t *testing.T, record map[string]string, column string) decimal.Decimal {
	if record[column] == "" && (column == "price" || column == "premium") && record["without_open_price"] == "yes" {
		return decimal.Decimal{}
	}
	n, err := decimal.NewFromString(record[column])
	if err != nil {
		t.Fatalf("%s is %q", column, record[column])
	}
	return n
}

func sumOf(t *testing.T, records []map[string]string, column string) decimal.Decimal {
	var sum decimal.Decimal
	for _, r := range records {
		sum = sum.Add(figure(t, r, column))
	}
	return sum
}

// TestCSVSumsToTheStatement: each record adds up by itself, all of them to what
// was paid, in all and by kind, and the columns are the same for every haul.
func TestCSVSumsToTheStatement(t *testing.T) {
	all := statements(t)
	names := slices.Sorted(maps.Keys(all))
	wantHeader, _ := records(t, piecesTable(all[names[0]]))
	for _, name := range names {
		t.Run(filepath.Base(filepath.Dir(name))+"/"+filepath.Base(name), func(t *testing.T) {
			st := all[name]
			header, rows := records(t, piecesTable(st))
			if !slices.Equal(header, wantHeader) {
				t.Errorf("the columns are %v, those of %s %v", header, names[0], wantHeader)
			}
			if got := sumOf(t, rows, "cost"); !got.Equal(st.Total.Decimal()) {
				t.Errorf("cost sums to %s, want %s", got, st.Total)
			}
			_, paid := records(t, paidTable(st))
			if got := sumOf(t, paid, "home"); !got.Equal(st.Total.Decimal()) {
				t.Errorf("what was paid sums to %s, want %s", got, st.Total)
			}
			if len(paid) != len(st.Lines) {
				t.Errorf("%d amounts were paid, and %d stand there", len(st.Lines), len(paid))
			}
			for k := range landed.Kind(landed.Kinds) {
				if got := sumOf(t, rows, k.String()); !got.Equal(st.Sum(k).Decimal()) {
					t.Errorf("%v sums to %s, want %s", k, got, st.Sum(k))
				}
				ofKind := slices.DeleteFunc(slices.Clone(paid), func(r map[string]string) bool { return r["kind"] != k.String() })
				if got := sumOf(t, ofKind, "home"); !got.Equal(st.Sum(k).Decimal()) {
					t.Errorf("%v was paid as %s, want %s", k, got, st.Sum(k))
				}
			}
			checkRecords(t, st, rows)
		})
	}
}

// checkRecords checks that each record adds up, and that every piece is in one.
func checkRecords(t *testing.T, st *landed.Statement, rows []map[string]string) {
	counts := map[string]int64{}
	for _, r := range rows {
		count, err := strconv.ParseInt(r["count"], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		cost, each, kinds := figure(t, r, "cost"), figure(t, r, "each"), decimal.Decimal{}
		for k := range landed.Kind(landed.Kinds) {
			kinds = kinds.Add(figure(t, r, k.String()))
		}
		if !each.Mul(decimal.NewFromInt(count)).Equal(cost) || !kinds.Equal(cost) {
			t.Errorf("%s %s: %d at %s cost %s, by kind %s", r["id"], r["state"], count, each, cost, kinds)
		}
		counts[r["state"]] += count
		if r["currency"] != st.Home.Code() || r["haul"] != st.Haul.At.File || st.Items[0].Model != "" && r["id"] == st.Items[0].ID && r["model"] != st.Items[0].Model {
			t.Errorf("not of this haul: %v", r)
		}
	}
	f, made := allFound(st), int64(0)
	for _, y := range f.Yields {
		made += y.Count
	}
	want := map[string]int64{"sound": f.Sound, "parts": f.Parts, "yield": made, "dead": f.Dead + f.Missing}
	if filepath.Base(st.Haul.At.File) == "written-off.yaml" { // block is all for parts, and its loss stands as one piece
		want["dead"]++
	}
	maps.DeleteFunc(want, func(_ string, n int64) bool { return n == 0 })
	if !maps.Equal(counts, want) {
		t.Errorf("pieces %v, want %v", counts, want)
	}
}

// TestFoundWords: each number says what it counts.
func TestFoundWords(t *testing.T) {
	st := statements(t)["lot.yaml"]
	text := costAnswer(st)
	if want := "4 items, 12 pieces paid for, 14 came (1 missing, 3 extra), 4 made from dead ones: total cost "; !strings.HasPrefix(text, want) {
		t.Errorf("got %s, want %s…", text, want)
	}
	for i, want := range []string{"3 sound, 2 for parts, 2 dead, 1 missing, 1 of them extra", "1 sound, 1 dead, all extra", "3 dead", "2 for parts"} {
		if got := foundWords(&st.Items[i].Found, st.Items[i].Count); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
	if got, want := unpaid(st)[0].(sheet.Note).Text, "Not paid for, and so without any cost: level."; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	for i := range st.Items {
		if c := &st.Items[i]; c.Count == 0 { // as with a repair, which it bears
			c.Cost = money.New(250, st.Home)
		}
	}
	if got := unpaid(st); got != nil {
		t.Errorf("got %v of what costs 2.50", got)
	}
	if got := eachText(st.Items[0].Each()); !strings.Contains(got, "2 for parts x ") || !strings.Contains(got, "3 iron x 2.00") || !strings.Contains(got, "1 knob x 0.56") {
		t.Errorf("got %s", got)
	}
}
