package lotfile_test

import (
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// readItems reads an item list as the only lot of a haul.
func readItems(t testing.TB, csv string) (*lotfile.File, string, error) {
	t.Helper()
	folder := t.TempDir()
	write(t, folder, "items.csv", csv)
	h, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nshare: {price: count}\nlots: [{id: a, price: 1, items: items.csv}]\n"), folder, lotfile.Options{})
	return h, filepath.Join(folder, "items.csv"), err
}

func TestItemMistakes(t *testing.T) {
	const columns = "id,what,count,weight,value,class"
	const allColumns = columns + ",model,sound,parts,dead,missing,extra,repair,hours,parts-value,keep,worth"
	const quotes = "put text with quotes in double quotes, and write each quote inside it twice"
	const cells = "put text that holds the separator in double quotes, and leave empty cells empty"
	cases := []struct{ name, csv, want string }{
		{"empty", "", "@: the list is empty: write a head and one item a line below it, or check that it is the file you meant"},
		{"no header", "jack,Jack plane,2\n", "@:1:1: the first line names no known column: begin the list with a header, as in " + columns},
		{"a title and no header", "Crate A,,\njack,Jack plane,2\n", "@:1:1: the first line names no known column: begin the list with a header, as in " + columns},
		{"a part of a piece", "id,count\njack,2.5\n", "@:2:6: item jack: count: \"2.5\" is not a number of pieces: write a whole number, as in count: 2"},
		{"columns of other things", "id,Regal,where,Lager,Fach\njack,1,2,3,4\n", "@:1:4: unknown columns \"regal\", \"where\", \"lager\" and 1 more: known here: " + strings.ReplaceAll(allColumns, ",", ", ") + "; to pass them over, empty their heads"},
		{"what a thing is, in another language", "Artikel,count\njack plane,2\n", "@:1:1: unknown column \"artikel\": did you mean what?"},
		{"its number beside", "Artikel,what\n4711,jack plane\n", "@:1:1: unknown column \"artikel\": did you mean id?"},
		{"header alone", "id,what\n", "@: the list has a header but no items: write one item a line below the header"},
		{"header and blank lines", "id,what\n,\n\n", "@: the list has a header but no items: write one item a line below the header"},
		{"unknown column", "id,wieght\njack,1 kg\n", "@:1:4: unknown column \"wieght\": did you mean weight?"},
		{"unknown column with cells that are wrong, too", "id,weight*\njack,2.5\n", "@:1:4: unknown column \"weight*\": did you mean weight?"},
		{"unknown column after Japanese text", "id,名前\njack,a\n", "@:1:4: unknown column \"名前\": known here: " + strings.ReplaceAll(allColumns, ",", ", ") + "; to pass it over, empty its head"},
		{"a column of notes", "id,what,notes\njack,a,b\n", "@:1:9: unknown column \"notes\": known here: " + strings.ReplaceAll(allColumns, ",", ", ") + "; to pass it over, empty its head"},
		{"heads in another language, with units", "id,Gewicht (kg),Wert in EUR\njack,2,9\n", "@:1:4: unknown column \"gewicht\": did you mean weight (kg)?\n@:1:17: unknown column \"wert\": did you mean value (EUR)?"},
		{"a unit of something else", "id,Gewicht (m)\njack,2\n", "@:1:4: the head \"gewicht (m)\" names no unit that is known: write weight (kg), or another of mg, g, oz and lb; or empty it to pass the column over"},
		{"units in words, said once", "id,weight (stone),Value in pounds\njack,2,3\nsaw,1,2\n", "@:1:4: the head \"weight (stone)\" names no unit that is known: write weight (kg), or another of mg, g, oz and lb; or empty it to pass the column over\n" +
			"@:1:19: the head \"value in pounds\" names no unit that is known: write value (CAD), or the code of another currency; or empty it to pass the column over"},
		{"a weight that is no kilograms", "id,weight\njack,1900\n", "@:2:6: item jack: weight: \"1900\" has no unit: write 1900 g, or the unit of all in the head, as in weight (g)"},
		{"a percentage in the place of an amount", "id,value (EUR)\njack,50%\n", "@:2:6: item jack: value: \"50%\" is not an amount: write a plain number and its currency, as in 42 CAD"},
		{"a web page under the name of a list", "\xef\xbb\xbf <html><td class=\"x\">id</td>\n<td class=\"y\">jack</td>\n", "@: this is a web page or XML, and no list: open it in a spreadsheet program and save it as .xlsx or CSV"},
		{"heads in another language", "nr,anzahl\njack,2\n", "@:1:1: unknown column \"nr\": did you mean id?\n@:1:4: unknown column \"anzahl\": did you mean count?"},
		{"no column id or what", "value,count\n2 CAD,2\n", "@:1:1: neither a column id nor a column what says which piece is which: add one of them, with what each piece is called"},
		{"column twice", "id,what,what\njack,a,b\n", "@:1:9: the column \"what\" stands twice: keep one of them"},
		{"id twice", "id\njack\nsquare\njack\n", "@:4:1: item jack: the id \"jack\" stands twice, first on line 2: give each item an id of its own, as in jack-2"},
		{"empty id", "id,what\n,Jack plane\n", "@:2:1: item: the id is missing: give each item a short id of its own, as in id: item-1"},
		{"too few cells", "id,what,count\njack,Jack plane\n", "@:2:1: item jack: the line has 2 cells, but the header has 3: " + cells + ", or save the list as .xlsx"},
		{"too many cells", "id,what\njack,Jack plane, iron body\n", "@:2:1: item jack: the line has 3 cells, but the header has 2: " + cells},
		{"decimal comma between commas", "id,weight\njack,1,9 kg\n", "@:2:1: item jack: the line has 3 cells, but the header has 2: " + cells},
		{"no unit", "id;weight\njack;1,9\n", "@:2:6: item jack: weight: \"1,9\" has no unit: write 1,9 kg, or the unit of all in the head, as in weight (kg)"},
		{"both marks", "id;weight;value\njack;1.9 kg;38,50 CAD\n", "@:2:13: item jack: value: \"38,50 CAD\" has a comma that may be a decimal or a thousands mark: write 38.50 CAD or 3850 CAD"},
		{"a sign of several currencies, which tells of the marks", "id;weight (g);value\njack;1.683;46,08 £\n", "@:2:12: item jack: value: \"46,08 £\" is ambiguous, 6 currencies use the sign '£': write 46,08 GBP or 46,08 FKP"},
		{"either mark", "id;weight;value\njack;1,250 g;1.250\n",
			"@:2:6: item jack: weight: \"1,250 g\" may be 1250 g or 1.250 g: write it as 1250 g if the mark groups thousands, or say decimal: comma or decimal: point in the lot file\n" +
				"@:2:14: item jack: value: \"1.250\" may be 1250 or 1.250: write it as 1250 if the mark groups thousands, or say decimal: comma or decimal: point in the lot file"},
		{"inch mark beside a cell in quotes", "id,what\nbrace,10\" brace\nsaw,\"a saw\"\n", "@:2:9: a quote stands inside a cell that does not begin with one: " + quotes},
		{"inch mark after Japanese text, beside a cell in quotes behind a space", "id,what\nkanna,平鉋 2\"\nsaw, \"a saw\"\n", "@:2:11: a quote stands inside a cell that does not begin with one: " + quotes + "\n" +
			"@:3:6: a quote stands inside a cell that does not begin with one: " + quotes},
		{"text behind a quote", "id,what\njack,\"Jack\" plane\n", "@:2:11: a quote ends a cell that goes on, or was left open: " + quotes},
		{"quote left open", "id,what\njack,\"Jack plane\nsquare,Try square\n", "@:2: a quote ends a cell that goes on, or was left open: " + quotes},
		{"binary", "\x7fELF\x00", "@: this is a binary file: name a text file in UTF-8"},
		{"total row in Windows-1252", "id;weight\nm\xe9;1 kg\nTotal g\xe9n\xe9ral;1 kg\n", "@:3:1: this line sums up those above it and is no item: take the row out; if it is a piece, call it something else"},
		{"total of figures with commas", "id;weight;value\na;1,5 kg;38,50\nb;2,5 kg;1.250,50\n;;1.289,00\n", "@:4:1: this line sums up those above it and is no item: take the row out; if it is a piece, call it something else"},
		{"two lists", "id,what,count,value\np,plane,2,40\n,,,\nid,what,count,value\nq,saw,1,20\n", "@:4:1: the head of the list stands here again: take the row out; of two lists make two lots"},
		{"a total that is called more", "id;weight;value\na;1,5 kg;38,50\nb;2,5 kg;1.250,50\nSumme EUR;;1.289,00\n", "@:4:1: this line sums up those above it and is no item: take the row out; if it is a piece, call it something else"},
		{"figures that a spreadsheet took for days", "id;count;weight;value\na;01.09.2026;3-Dec;Mrz 38\n", "@:2:3: item a: count: the spreadsheet holds the day 01.09.2026 here: write the figure again, into a cell of the format text\n" +
			"@:2:14: item a: weight: the spreadsheet holds the day 3-Dec here: write the figure again, into a cell of the format text\n" +
			"@:2:20: item a: value: the spreadsheet holds the day Mrz 38 here: write the figure again, into a cell of the format text"},
		{"a count that may be grouped", "id;count\na;1.000\n", "@:2:3: item a: count: \"1.000\" is not a number of pieces: write 1000 or 1"},
		{"a sign of many below no head that says which", "id;value\na;$38\n", "@:2:3: item a: value: \"$38\" is ambiguous, 29 currencies use the sign '$': write 38 CAD or 38 USD"},
		{"count in words", "id,count\njack,two\n", "@:2:6: item jack: count: \"two\" is not a number of pieces: write 2"},
		{"fault behind a quoted line end", "id,what,count\njack,\"a\nb\",0\n", "@:3:4: item jack: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out"},
		{"fault after Japanese text", "id,what,count\nkanna,平鉋,x\n", "@:2:10: item kanna: count: \"x\" is not a number of pieces: write a whole number, as in count: 2"},
		{"id too long", "id\n" + strings.Repeat("j", 501) + "\n", "@:2:1: item " + strings.Repeat("j", 60) + "…: id: the text is 501 characters long: shorten it to 500 at most"},
		{"101 columns", "id" + strings.Repeat(",", 100) + "\njack\n", "@:1:1: the first line has 101 columns: keep these alone: " + allColumns},
		{"a million lines", "id\n" + strings.Repeat("\n", 1_000_001), "@: the list has more than a million lines: check that it is the file you meant"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, path, err := readItems(t, c.csv)
			if want := strings.ReplaceAll(c.want, "@", path); err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
		})
	}
}

// TestTableBelow: what stands below an empty line and has no figure where the items above have
// some is read, and told: it may be another table.
func TestTableBelow(t *testing.T) {
	for _, c := range []struct{ csv, reported string }{
		{"id,what,count,value\np,plane,2,40\n,,,\nseller,since,,\ntide,2024,,\n", "warning: item seller: it stands below an empty line without any figure, and is read like the others: take out what is not in the lot"},
		{"id,what,count,value\np,plane,2,40\n,,,\nq,saw,,20\nr,rule,,\n", "warning: item r: it stands below an empty line without any figure, and is read like the others: take out what is not in the lot"},
		{"id,what,count,value\np,plane,2,40\nr,rule,,\n,,,\n", ""},
		{"id,what,count\np,plane,2\n,,\nr,rule,\n", ""},
	} {
		folder, reported := t.TempDir(), ""
		write(t, folder, "items.csv", c.csv)
		_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nshare: {price: count}\nlots: [{id: a, price: 1, items: items.csv}]\n"), folder,
			lotfile.Options{Warn: func(f *source.Fault) { f.At = source.Origin{}; reported += f.Error() }})
		if err != nil || reported != c.reported {
			t.Errorf("%q: %v, told %q, want %q", c.csv, err, reported, c.reported)
		}
	}
}

// A list that is wrong in every line is answered with a bearable number of
// faults, and with how many more there are.
// TestHeadAlone wants of a column whose head is wrong that alone, be its figures right or not,
// though the price is shared by them.
func TestHeadAlone(t *testing.T) {
	for _, value := range []string{"9 CAD", "£9", "9 CAX", "2026-10-03"} {
		folder := t.TempDir()
		write(t, folder, "items.csv", "id,Wert\njack,9 CAD\nbull,"+value+"\n")
		_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 1, items: items.csv}]\n"), folder, lotfile.Options{})
		if want := filepath.Join(folder, "items.csv") + `:1:4: unknown column "wert": did you mean value?`; err == nil || err.Error() != want {
			t.Errorf("%s: got\n%v\nwant\n%s", value, err, want)
		}
	}
}

func TestAllLinesWrong(t *testing.T) {
	var csv strings.Builder
	csv.WriteString("id,weight\n")
	for i := range 1200 {
		fmt.Fprintf(&csv, "item-%d,1\n", i)
	}
	_, _, err := readItems(t, csv.String())
	lines := strings.Split(err.Error(), "\n")
	if got, want := lines[len(lines)-1], "and 200 more: put these right first"; len(lines) != 1001 || got != want {
		t.Errorf("%d lines, the last %q; want 1001 and %q", len(lines), got, want)
	}
}

func TestItemLists(t *testing.T) {
	cad := money.MustCurrency("CAD")
	jack := landed.Item{ID: "jack", What: "Jack plane, iron body", Count: 2, Weight: 1900 * measure.Gram, Weighed: true, Value: money.New(3800, cad), Class: "hand-tool"}
	square := landed.Item{ID: "square", Count: 1}
	cases := []struct{ name, csv string }{
		{"plain", "id,what,count,weight,value,class\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\nsquare,,,,,\n"},
		{"signs below a head that says of which currency", "id,what,count,weight,value (CAD),class\njack,\"Jack plane, iron body\",2,1.9 kg,$38.00,hand-tool\nsquare,,,,,\n"},
		{"other order", "class,value,weight,count,what,id\nhand-tool,38 CAD,1.9 kg,2,\"Jack plane, iron body\",jack\n,,,,,square\n"},
		{"byte order mark", "\xef\xbb\xbfid,what,count,weight,value,class\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\nsquare,,,,,\n"},
		{"semicolons", "id;what;count;weight;value;class\njack;Jack plane, iron body;2;1.9 kg;38 CAD;hand-tool\nsquare;;;;;\n"},
		{"tabs", "id\twhat\tcount\tweight\tvalue\tclass\njack\tJack plane, iron body\t2\t1.9 kg\t38 CAD\thand-tool\nsquare\t\t\t\t\t\n"},
		{"CR LF line ends", "id,what,count,weight,value,class\r\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\r\nsquare,,,,,\r\n"},
		{"capitals and spaces in the header", "ID, What ,Count,Weight,Value,Class\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\nsquare,,,,,\n"},
		{"spaces around cells", "id,what,count,weight,value,class\n jack ,\"Jack plane, iron body\", 2 , 1.9 kg , 38 CAD , hand-tool\n square ,,,,,\n"},
		{"bare value", "id,what,count,weight,value,class\njack,\"Jack plane, iron body\",2,1.9 kg,38,hand-tool\nsquare,,,,,\n"},
		{"blank lines, no line end", "id,what,count,weight,value,class\n\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\n,,,,,\nsquare,,,,,"},
		{"a title above", "Crate A, seen on Saturday,,,,,\n,,,,,\nLot,12,,,,\nid,what,count,weight,value,class\njack,\"Jack plane, iron body\",2,1.9 kg,38 CAD,hand-tool\nsquare,,,,,\n"},
		{"a count as it is shown with decimals", "id;what;count;weight;value;class\njack;Jack plane, iron body;2.00;1.9 kg;38 CAD;hand-tool\nsquare;;1.0;;;\n"},
		{"columns without a name", "id,what,,count,weight,value,class,\njack,\"Jack plane, iron body\",x,2,1.9 kg,38 CAD,hand-tool,\nsquare,,,,,,,\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h, _, err := readItems(t, c.csv)
			if err != nil {
				t.Fatal(err)
			}
			got := h.Lots[0].Items
			for i := range got {
				got[i].At = jack.At
			}
			if !reflect.DeepEqual(got, []landed.Item{jack, square}) {
				t.Errorf("got %+v", got)
			}
		})
	}
}

// TestInchMarks: where no cell is in quotes a quote stands for itself, as in lists typed by hand.
func TestInchMarks(t *testing.T) {
	for _, mark := range []string{",", ";", "\t"} {
		h, _, err := readItems(t, strings.ReplaceAll("id|what|count\nbrace|10\" brace|1\nkanna|平鉋 2\"|1\n", "|", mark))
		if err != nil || h.Lots[0].Items[0].What != `10" brace` || h.Lots[0].Items[1].What != `平鉋 2"` {
			t.Errorf("parted by %q: %v", mark, err)
		}
	}
}

// A list without a word on its marks is read by what its figures show.
func TestItemMarks(t *testing.T) {
	cad := func(minor int64) money.Amount { return money.New(minor, money.MustCurrency("CAD")) }
	for _, c := range []struct {
		name, csv string
		weight    measure.Weight
		value     money.Amount
		comma     bool // it is said
	}{
		{"decimal commas", "id;weight;value\nx;1,9 kg;38,50\n", 1900 * measure.Gram, cad(3850), true},
		{"one of them decides for all", "id;weight;value\nx;1,9 kg;1.250\n", 1900 * measure.Gram, cad(125000), true},
		{"both marks in one figure", "id;weight;value\nx;1.250 g;1.250,50 CAD\n", 1250 * measure.Gram, cad(125050), true},
		{"in quotes between commas", "id,weight,value\nx,\"1,9 kg\",\"38,50\"\n", 1900 * measure.Gram, cad(3850), true},
		{"pasted", "id\tweight\tvalue\nx\t1,9 kg\t1 250,50\n", 1900 * measure.Gram, cad(125050), true},
		{"a range", "id;weight;value\nx;2 kg;30,50..50,50\n", 2 * measure.Kilogram, cad(4050), true},
		{"points", "id;weight;value\nx;1.9 kg;1,250\n", 1900 * measure.Gram, cad(125000), false},
		{"a comma of thousands between commas", "id,weight,value\nx,\"1,250 g\",\"1,250\"\n", 1250 * measure.Gram, cad(125000), false},
		{"apostrophes", "id;weight;value\nx;1'250 g;1'250.50\n", 1250 * measure.Gram, cad(125050), false},
		{"narrow spaces", "id;weight;value\nx;1\u202f250 g;1\u00a0250,50\n", 1250 * measure.Gram, cad(125050), true},
		{"units in the head", "id;weight (kg);Value in CAD\nx;1,9;38,50\n", 1900 * measure.Gram, cad(3850), true},
		{"units in the head and at the figure", "id;weight [g];value, cad\nx;1.9 kg;38.50 CAD\n", 1900 * measure.Gram, cad(3850), false},
		{"no marks", "id;weight;value\nx;2 kg;38\n", 2 * measure.Kilogram, cad(3800), false},
	} {
		var said source.Faults
		folder := t.TempDir()
		write(t, folder, "items.csv", c.csv)
		h, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nshare: {price: count}\nlots: [{id: a, price: 1, items: items.csv}]\n"), folder, lotfile.Options{Warn: func(f *source.Fault) { said = append(said, f) }})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if item := h.Lots[0].Items[0]; item.Weight != c.weight || item.Value != c.value {
			t.Errorf("%s: %v and %v", c.name, item.Weight, item.Value)
		}
		if comma := len(said) == 1 && strings.Contains(said[0].What, "decimal commas"); comma != c.comma || len(said) > 1 {
			t.Errorf("%s: said %v", c.name, said)
		}
	}
}

// What the lot file declares holds for its lists, against what they show.
func TestItemMarksDeclared(t *testing.T) {
	for _, c := range []struct{ decimal, csv, want string }{
		{"comma", "id;weight\nx;1,250 g\n", "1.25 g"},
		{"point", "id;weight\nx;1,250 g\n", "1.25 kg"},
		{"comma", "id;weight\nx;1.9 kg\n", `items.csv:2:3: item x: weight: weight "1.9 kg": a point may be a decimal or a thousands mark: write 1,9 kg`},
		{"point", "id;weight\nx;1,9 kg\n", `items.csv:2:3: item x: weight: weight "1,9 kg": a comma may be a decimal or a thousands mark: write 1.9 kg`},
	} {
		folder := t.TempDir()
		write(t, folder, "items.csv", c.csv)
		h, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\ndecimal: "+c.decimal+"\nlots: [{id: a, price: 1, items: items.csv}]\n"), folder, lotfile.Options{})
		got := ""
		if err != nil {
			got = strings.TrimPrefix(err.Error(), folder+"/")
		} else {
			got = h.Lots[0].Items[0].Weight.String()
		}
		if got != c.want {
			t.Errorf("%s %q: got %s, want %s", c.decimal, c.csv, got, c.want)
		}
	}
}

// A workbook as a spreadsheet program saved it (LibreOffice 7.4, from list.fods
// beside it): figures by their formats and stored results, a day, a text with a
// decimal comma, a row that a filter hides.
func TestWorkbookList(t *testing.T) {
	var said []string
	o := lotfile.Options{Warn: func(f *source.Fault) { said = append(said, f.Error()) }}
	parse := func(items string) (*lotfile.File, error) {
		return lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: EUR\nlots: [{id: a, price: 1, items: \""+items+"\"}]\n"), "testdata/lists", o)
	}
	h, err := parse("list.xlsx#Crate A")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, item := range h.Lots[0].Items {
		got = append(got, fmt.Sprintf("%s %s: %s, %d of %s, %s", item.At, item.ID, item.What, item.Count, item.Weight, item.Value))
	}
	const list = "testdata/lists/list.xlsx#Crate A:"
	want := []string{list + `A2 jack: 平鉋, 10" & iron, 2 of 1.9 kg, 1250.50 EUR`, list + "A3 block: 2026-10-03, 1 of 300 g, 416.83 EUR", list + "A4 hidden: , 1 of 1.25 kg, 12.00 EUR"}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
	if warned := []string{strings.TrimSuffix(list, ":") + ": warning: row 4 is hidden, and is read like the others: take out what is not in the lot",
		list + `D4: warning: all figures of the list are read with decimal commas, as in "1,25 kg": if they are not meant so, write them with points`}; !slices.Equal(said, warned) {
		t.Errorf("said\n%s", strings.Join(said, "\n"))
	}
	if at := h.Lots[0].Items[1].At.Key("value").String(); at != list+"E3" {
		t.Errorf("the value stands at %s", at)
	}
	for items, want := range map[string]string{
		"list.xlsx#Crat A": `testdata/lists/list.xlsx: there is no sheet "Crat A": did you mean Crate A?`,
		"list.xlsx":        "testdata/lists/list.xlsx#Notes:A1: the first line names no known column: begin the list with a header, as in id, what, count, weight, value, class, or name another sheet, as in list.xlsx#Crate A",
		"bad.xlsx": "testdata/lists/bad.xlsx#Sheet1:B3: item block: weight: the spreadsheet holds the day 2026-05-03 here: write the figure again, into a cell of the format text\n" +
			`testdata/lists/bad.xlsx#Sheet1:C4: item pen: value: "$40" is ambiguous`,
		"merged.xlsx": "testdata/lists/merged.xlsx#Sheet1:B2: the cells B2:B3 are merged: part them, and write in each what belongs there",
	} {
		if _, err := parse(items); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: got\n%v\nwant\n%s", items, err, want)
		}
	}
}

// TestWorkbookAsBought reads a workbook of somebody who bought pieces (saved by LibreOffice from
// bought.fods): a title over merged cells, no ids, days beside the last column, as the remedy for
// an unknown column leaves them, an empty row, and marks of another country in a text.
func TestWorkbookAsBought(t *testing.T) {
	f, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\ndecimal: comma\nhome: EUR\nlots: [{id: a, price: 1, items: bought.xlsx}]\n"), "testdata/lists", lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, item := range f.Lots[0].Items {
		got = append(got, fmt.Sprintf("%s %s: %d of %s, %s", item.ID, item.What, item.Count, item.Weight, item.Value))
	}
	if want := []string{"hobel Hobel: 2 of 870 g, 31.50 EUR", "hobel-2 Hobel: 1 of 1.8 kg, 1234.50 EUR"}; !slices.Equal(got, want) {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}

func TestItemOrigins(t *testing.T) {
	h, path, err := readItems(t, "id,what\njack,\"two\nlines\"\n\n平鉋,x\nsquare,\n")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{":2:1", ":5:1", ":6:1"}
	for i, item := range h.Lots[0].Items {
		if got := item.At.String(); got != path+want[i] {
			t.Errorf("item %q at %s, want %s", item.ID, got, path+want[i])
		}
	}
}
