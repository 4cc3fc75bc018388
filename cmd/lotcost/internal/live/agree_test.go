package live_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// inJSON is what JSON says of a haul.
type inJSON struct {
	Total   string
	Loss    string
	Charges []struct{ What, Kind, Lot, Item, Parcel, Home string }
	Items   []struct {
		ID, Cost string
		Count    int64
		Shares   map[string]string
	}
}

// TestFormatsAgree: text, Markdown, CSV, JSON and the workbook say the same figures of the same
// haul.
func TestFormatsAgree(t *testing.T) {
	hauls := examples(t)
	for n, path := range slices.Sorted(maps.Keys(hauls)) {
		if n%effort.Cases(1, 3, 8) > 0 {
			delete(hauls, path)
		}
	}
	for n, h := range randomHauls(t, effort.Cases(200, 8, 3)) {
		hauls[fmt.Sprint("random haul ", n)] = h
	}
	for name, h := range hauls {
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(name, err)
		}
		r := show.Split(st)
		var said inJSON
		var jsonText, text, markdown, table bytes.Buffer
		for _, err := range []error{r.Write(&jsonText, sheet.FormatJSON, false, sheet.Terminal{}), r.Whole().WriteText(&text, sheet.Terminal{}), r.Whole().WriteMarkdown(&markdown), sheet.WriteCSV(&table, r.Table(), false),
			json.Unmarshal(jsonText.Bytes(), &said)} {
			if err != nil {
				t.Fatal(name, err)
			}
		}
		if said.Total != st.Total.Number() || len(said.Items) != len(st.Items) || len(said.Charges) != len(st.Lines) {
			t.Errorf("%s: JSON says %+v", name, said)
		}
		problems := append(linesDiffer(text.String(), &said, strings.Fields), linesDiffer(markdown.String(), &said, cellsOf)...)
		problems = append(problems, csvDiffers(t, table.Bytes(), &said)...)
		b := written(t, r.Pages(false)).read()
		problems = append(problems, bookDiffers(b, &said)...)
		problems = append(problems, differs(b, st)...)
		for _, problem := range problems {
			t.Errorf("%s: %s", name, problem)
		}
	}
}

// cellsOf are the words of a row in Markdown.
func cellsOf(line string) []string {
	return strings.Fields(strings.NewReplacer("|", " ", "*", "", "<br>", " ", `\`, "").Replace(line))
}

// linesDiffer tells which figures of JSON do not stand in the line of their item.
func linesDiffer(text string, said *inJSON, words func(string) []string) []string {
	var problems []string
	rows := map[string][]string{}
	for line := range strings.Lines(text) {
		if all := words(line); len(all) > 0 && rows[all[0]] == nil {
			rows[all[0]] = all
		}
	}
	for _, item := range said.Items {
		row := rows[item.ID]
		for _, want := range append([]string{item.Cost}, values(item.Shares)...) {
			if !slices.Contains(row, want) {
				problems = append(problems, fmt.Sprintf("%s of %s is not in %q", want, item.ID, row))
			}
		}
	}
	if sum := rows["sum"]; len(said.Items) > 0 && !slices.Contains(sum, said.Total) {
		problems = append(problems, fmt.Sprintf("the total %s is not in %q", said.Total, sum))
	}
	return problems
}

func values(m map[string]string) []string {
	var list []string
	for _, v := range m {
		list = append(list, v)
	}
	return list
}

// csvDiffers sums the records of each item.
func csvDiffers(t *testing.T, text []byte, said *inJSON) []string {
	t.Helper()
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var problems []string
	column := func(name string) int { return slices.Index(records[0], name) }
	sum, total := map[string]decimal.Decimal{}, decimal.Decimal{}
	for _, record := range records[1:] {
		cost := decimal.RequireFromString(record[column("cost")])
		total = total.Add(cost)
		if record[column("state")] != "dead" {
			sum[record[column("id")]] = sum[record[column("id")]].Add(cost)
		}
	}
	for _, item := range said.Items {
		if !sum[item.ID].Equal(decimal.RequireFromString(item.Cost)) {
			problems = append(problems, fmt.Sprintf("CSV sums %s to %s, not %s", item.ID, sum[item.ID], item.Cost))
		}
	}
	if !total.Equal(decimal.RequireFromString(said.Total)) {
		problems = append(problems, "CSV sums to "+total.String()+", not "+said.Total)
	}
	return problems
}

// quiet reports whether a row of paid is of what may be asked once other figures change: by the
// border, or as the premium that is in what the bank took.
func quiet(row []string) bool {
	return len(row) > 11 && alike("0", row[4]) && (strings.HasPrefix(row[11], "yes") || row[1] == "premium")
}

// bookDiffers compares the amounts that were paid, row by row, as they stand in JSON; what may be
// asked stands below them.
func bookDiffers(b sheets, said *inJSON) []string {
	var problems []string
	rows, below := b.rows("paid"), len(said.Charges)+1
	if len(rows) <= below || slices.ContainsFunc(rows[below:len(rows)-1], func(row []string) bool { return !quiet(row) }) {
		return []string{"paid has " + strconv.Itoa(len(rows)) + " rows"}
	}
	for n, c := range said.Charges {
		if row := rows[n+1]; row[0] != c.What || row[1] != c.Kind || !alike(c.Home, row[4]) {
			problems = append(problems, fmt.Sprintf("row %d of paid is %q, not %v", n+2, row, c))
		}
	}
	if sum := rows[len(rows)-1]; sum[0] != "sum" || sum[1] != "" || !alike(said.Total, sum[4]) {
		problems = append(problems, fmt.Sprintf("the sum of paid is %q", sum))
	}
	return problems
}
