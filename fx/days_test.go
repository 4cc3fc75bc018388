package fx_test

import (
	"errors"
	"io"
	"iter"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"lotcost/fx"
)

// Ways of writing one table of two days.
func TestCSVVariants(t *testing.T) {
	const want = "Date,JPY,USD\n2024-06-28,171.94,1.0705\n2024-06-27,N/A,1.0696\n"
	tests := []struct{ name, in string }{
		{"plain", "Date,USD,JPY\n2024-06-28,1.0705,171.94\n2024-06-27,1.0696,N/A\n"},
		{"trailing commas", "Date,USD,JPY,\n2024-06-28,1.0705,171.94,\n2024-06-27,1.0696,N/A,\n"},
		{"trailing comma in the header only", "Date,USD,JPY,\n2024-06-28,1.0705,171.94\n2024-06-27,1.0696,N/A"},
		{"as the daily file, long dates", "Date, USD, JPY, \n28 June 2024, 1.0705, 171.94, \n27 June 2024, 1.0696, N/A, \n"},
		{"byte order mark, CR LF, empty lines", "\uFEFFDate,USD,JPY\r\n\r\n2024-06-28,1.0705,171.94\r\n2024-06-27,1.0696,N/A\r\n \r\n"},
		{"tabs and trailing zeros", "Date\t,USD,\tJPY\n2024-06-28,1.07050,171.940\n2024-06-27,1.0696,N/A\n"},
	}
	for _, tt := range tests {
		for layout, read := range map[string]func(io.Reader) iter.Seq2[fx.Day, error]{"CSV": fx.CSV, "Days": fx.Days} {
			days, err := collect(read(iotest.OneByteReader(strings.NewReader(tt.in))))
			if err != nil || plot(days) != want {
				t.Errorf("%s by %s: %v\n%s", tt.name, layout, err, plot(days))
			}
		}
	}
}

func TestDateOfDailyFile(t *testing.T) {
	days, err := collect(fx.CSV(strings.NewReader("Date, USD, \n03 July 2026, 1.1, \n")))
	if err != nil || len(days) != 1 || !days[0].Date.Equal(day("2026-07-03")) || days[0].Date.Location() != time.UTC {
		t.Errorf("%v, %v", days, err)
	}
}

func TestCSVErrors(t *testing.T) {
	const header = "Date,USD,JPY,\n"
	tests := []struct{ in, want string }{
		{"", "line 1, column 1: the table is empty: expected a header such as Date,USD,JPY"},
		{"\n\n", "line 2, column 1: the table is empty: expected a header such as Date,USD,JPY"},
		{header, "line 1, column 1: the table has no days: expected a row such as 2025-05-09,1.1252,163.36"},
		{"Date\n", "line 1, column 5: the table has no currency columns: expected a header such as Date,USD,JPY"},
		{"Date;USD;JPY\n", `line 1, column 1: "Date;USD;JPY" is not the column Date: expected a header such as Date,USD,JPY`},
		{"Date,USD,usd\n", `line 1, column 10: "usd" is not a currency code: expected three capital letters`},
		{"Date,USD,,JPY\n", `line 1, column 10: "" is not a currency code: expected three capital letters`},
		{"Date,USD, USD\n", `line 1, column 11: "USD" has a column already: expected each currency once`},
		{"Date,USD,EUR\n", `line 1, column 10: "EUR" is the base of the table: expected other currencies only`},
		{header + "9 5 2025,1,2\n", `line 2, column 1: "9 5 2025" is not a date: expected one such as 2025-05-09`},
		{header + "2025-02-29,1,2\n", `line 2, column 1: "2025-02-29" is not a date: expected one such as 2025-05-09`},
		{header + "2025-05-09,1,2\n2025-05-08,1,2\n09 May 2025,1,2\n", `line 4, column 1: "09 May 2025" stands on line 2 already: expected each day once`},
		{header + "2025-05-09,1, 1.5x,\n", `line 2, column 15: "1.5x" is not a rate: expected a plain decimal above zero for JPY, or N/A`},
		{header + "2025-05-09,1,1e2,\n", `line 2, column 14: "1e2" is not a rate: expected a plain decimal above zero for JPY, or N/A`},
		{header + "2025-05-09,-1,2,\n", `line 2, column 12: "-1" is not a rate: expected a plain decimal above zero for USD, or N/A`},
		{header + "2025-05-09,0.000,2,\n", `line 2, column 12: "0.000" is not a rate: expected a plain decimal above zero for USD, or N/A`},
		{header + "2025-05-09,,2,\n", `line 2, column 12: "" is not a rate: expected a plain decimal above zero for USD, or N/A`},
		{header + "2025-05-09,\"1\",2,\n", `line 2, column 12: "\"1\"" is not a rate: expected a plain decimal above zero for USD, or N/A`},
		{header + "2025-05-09,1\n", `line 2, column 13: the row ends after 2 cells: expected 3, as in the header`},
		{header + "2025-05-09,1,\n", `line 2, column 14: the row ends after 2 cells: expected 3, as in the header`},
		{header + "2025-05-09,1,2,3,4\n", `line 2, column 16: "3" stands beyond the last column: expected 3 cells`},
		{header + strings.Repeat("x", 2<<20), `line 2, column 1: a line or tag is longer than 1 MiB: is it a table of exchange rates?`},
		{header + "x" + strings.Repeat("é", 100), `line 2, column 1: "x` + strings.Repeat("é", 39) + `…" is not a date: expected one such as 2025-05-09`},
		{header + strings.Repeat("x", 100), `line 2, column 1: "` + strings.Repeat("x", 80) + `…" is not a date: expected one such as 2025-05-09`},
	}
	for _, tt := range tests {
		_, err := collect(fx.CSV(strings.NewReader(tt.in)))
		var te *fx.TableError
		if text(err) != tt.want || !errors.As(err, &te) {
			t.Errorf("%.60q:\n got %v\nwant %s", tt.in, err, tt.want)
		}
	}
}

func TestXMLErrors(t *testing.T) {
	wrap := func(s string) string { return "<Envelope>\n<Cube>\n" + s + "\n</Cube>\n</Envelope>" }
	tests := []struct{ in, want string }{
		{"", "line 1, column 1: the table has no days: expected Cube elements with a time"},
		{wrap(""), "line 5, column 12: the table has no days: expected Cube elements with a time"},
		{"<!doctype html>\n<html><body/></html>", `line 2, column 1: "html" is the root of another kind of file: expected Envelope`},
		{wrap("<Cube time='today'/>"), `line 3, column 1: "today" is not a date: expected one such as 2025-05-09`},
		{wrap("<Cube currency='USD' rate='1.1'/>"), `line 3, column 1: "Cube" quotes a currency outside of a day: expected it inside a Cube with a time`},
		{wrap("<Cube time='2025-05-09'/>\n<Cube time='2025-05-09'/>"), `line 4, column 1: "2025-05-09" stands on line 3 already: expected each day once`},
		{wrap("<Cube time='2025-05-09'><Cube currency='USD' rate='1,1'/></Cube>"), `line 3, column 25: "1,1" is not a rate: expected a plain decimal above zero for USD`},
		{wrap("<Cube time='2025-05-09'><Cube currency='USD' rate='0'/></Cube>"), `line 3, column 25: "0" is not a rate: expected a plain decimal above zero for USD`},
		{wrap("<Cube time='2025-05-09'><Cube currency='USD'/></Cube>"), `line 3, column 25: "Cube" is not a quote: expected Cube with a currency and a rate`},
		{wrap("<Cube time='2025-05-09'><Cube time='2025-05-08'/></Cube>"), `line 3, column 25: "Cube" is not a quote: expected Cube with a currency and a rate`},
		{wrap("<Cube time='2025-05-09'><Cube currency='dollar' rate='1'/></Cube>"), `line 3, column 25: "dollar" is not a currency code: expected three capital letters`},
		{wrap("<Cube time='2025-05-09'><Cube currency='EUR' rate='1'/></Cube>"), `line 3, column 25: "EUR" is the base of the table: expected other currencies only`},
		{wrap("<Cube time='2025-05-09'><Cube currency='USD' rate='1'/><Cube currency='USD' rate='1'/></Cube>"), `line 3, column 56: "USD" is quoted already on this day: expected each currency once`},
		{"<Envelope><Cube><Cube time='2025-05-09'>", `line 1, column 41: malformed XML: unexpected EOF: expected the file as it was published`},
		{"<Envelope><Cube></Envelope>", `line 1, column 17: malformed XML: element <Cube> closed by </Envelope>: expected the file as it was published`},
		{"<Envelope><Cube\n&", `line 1, column 11: malformed XML: expected attribute name in element: expected the file as it was published`},
		{"<?xml version='1.0' encoding='ISO-8859-1'?><Envelope/>", `line 1, column 1: malformed XML: xml: encoding "ISO-8859-1" declared but Decoder.CharsetReader is nil: expected the file as it was published`},
		{"<Envelope a='" + strings.Repeat("x", 2<<20), `line 1, column 1: a line or tag is longer than 1 MiB: is it a table of exchange rates?`},
	}
	for _, tt := range tests {
		_, err := collect(fx.XML(strings.NewReader(tt.in)))
		var te *fx.TableError
		if text(err) != tt.want || !errors.As(err, &te) {
			t.Errorf("%.90q:\n got %v\nwant %s", tt.in, err, tt.want)
		}
	}
}

func TestOtherKindsOfFile(t *testing.T) {
	tests := []struct{ in, want string }{
		{"PK\x03\x04rest", "x:1:1: this is a zip archive: unpack it and give the file inside"},
		{"\x1f\x8b\x08\x00", "x:1:1: this is a compressed file: unpack it and give the file inside"},
		{"\xff\xfeD\x00a\x00", "x:1:1: this is UTF-16 text: save it as UTF-8"},
		{"Date,USD\n\x00", "x:1:1: this is binary data: give the CSV or XML file of the rates"},
		{"", "x:1:1: the table is empty: expected a header such as Date,USD,JPY"},
		{`{"rates": {"USD": 1.1}}`, `x:1:1: "{\"rates\": {\"USD\": 1.1}}" is not the column Date: expected a header such as Date,USD,JPY`},
	}
	for _, tt := range tests {
		_, err := fx.ReadTable(strings.NewReader(tt.in), fx.Window{On: day("2025-05-09"), Name: "x"})
		if text(err) != tt.want {
			t.Errorf("%q:\n got %v\nwant %s", tt.in, err, tt.want)
		}
		_, err = collect(fx.Days(strings.NewReader(tt.in)))
		if got, want := text(err), strings.Replace(tt.want, "x:1:1", "line 1, column 1", 1); got != want {
			t.Errorf("%q:\n got %s\nwant %s", tt.in, got, want)
		}
	}
}

// A reader that fails is reported from a table that is cut off, wherever it fails.
func TestFailingReader(t *testing.T) {
	broken := errors.New("disk on fire")
	layouts := []struct {
		whole string
		read  func(io.Reader) iter.Seq2[fx.Day, error]
	}{
		{"Date,USD\n2025-05-09,1.1\n2025-05-08,1.1\n", fx.CSV},
		{"<Envelope><Cube><Cube time='2025-05-09'><Cube currency='USD' rate='1.1'/></Cube></Cube></Envelope>", fx.XML},
	}
	for _, l := range layouts {
		for n := range len(l.whole) {
			fail := func() io.Reader { return io.MultiReader(strings.NewReader(l.whole[:n]), iotest.ErrReader(broken)) }
			_, err := fx.ReadTable(fail(), fx.Window{On: day("2025-05-09"), Name: "x"})
			if !errors.Is(err, broken) || err.Error() != "x: reading the table: disk on fire" {
				t.Fatalf("after %q: %v", l.whole[:n], err)
			}
			_, err = collect(l.read(fail()))
			if !errors.Is(err, broken) || err.Error() != "reading the table: disk on fire" {
				t.Fatalf("after %q: %v", l.whole[:n], err)
			}
		}
	}
	_, err := collect(fx.CSV(idle{}))
	if !errors.Is(err, io.ErrNoProgress) {
		t.Errorf("a reader that never reads: %v", err)
	}
}

// idle is a reader that reads nothing and says nothing.
type idle struct{}

// Read does nothing.
func (idle) Read([]byte) (int, error) { return 0, nil }

// A day that is skipped must still be whole XML.
func TestSkippedDayCutOff(t *testing.T) {
	const doc = "<Envelope><Cube>\n<Cube time='2020-01-01'><Cube currency='USD' rate='what'/>"
	_, err := fx.ReadTable(strings.NewReader(doc), fx.Window{On: day("2026-10-03"), Name: "x.xml"})
	if want := "x.xml:2:59: malformed XML: unexpected EOF: expected the file as it was published"; text(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// zeros is an endless table.
type zeros struct{ line string }

// Read repeats the line.
func (z zeros) Read(p []byte) (int, error) {
	n := 0
	for n+len(z.line) <= len(p) {
		n += copy(p[n:], z.line)
	}
	return n, nil
}

func TestTableSizeLimit(t *testing.T) {
	r := io.MultiReader(strings.NewReader("Date,USD\n2025-05-09,1.1\n"), zeros{"        \n"})
	_, err := collect(fx.Days(r))
	if want := "the table is larger than 64 MiB: is it a table of exchange rates?"; !strings.HasSuffix(text(err), want) {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Too many currencies are refused in both layouts.
func TestCurrencyLimit(t *testing.T) {
	header, cubes := "Date", ""
	for i := range 513 {
		code := string([]byte{byte('A' + i/26/26), byte('A' + i/26%26), byte('A' + i%26)})
		header += "," + code
		cubes += "<Cube currency='" + code + "' rate='1'/>"
	}
	_, err := collect(fx.CSV(strings.NewReader(header + "\n")))
	if want := `line 1, column 2054: "ATS" is one currency too many: expected at most 512`; text(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
	_, err = collect(fx.XML(strings.NewReader("<Envelope><Cube time='2025-05-09'>\n" + cubes + "</Cube></Envelope>")))
	if err == nil || !strings.HasSuffix(err.Error(), `"ATS" is one currency too many: expected at most 512`) {
		t.Errorf("got %v", err)
	}
}

// Breaking off a range leaves no work behind and yields nothing more.
func TestBreakOff(t *testing.T) {
	for range fx.Days(open(t, "eurofxref-2025.csv")) {
		break
	}
	for range fx.Days(strings.NewReader("")) {
		break
	}
}

// Rows outside the window are not looked at, as ReadTable documents; Summarize looks.
func TestSkippedRowsAreNotParsed(t *testing.T) {
	const doc = "Date,USD\n2026-10-03,1.1\n2020-01-01,what,is,this\n"
	if _, err := fx.ReadTable(strings.NewReader(doc), fx.Window{On: day("2026-10-03")}); err != nil {
		t.Error(err)
	}
	const want = `line 3, column 12: "what" is not a rate: expected a plain decimal above zero for USD, or N/A`
	if _, err := fx.Summarize(strings.NewReader(doc)); text(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := fx.ReadTable(strings.NewReader(doc), fx.Window{On: day("2026-10-03"), Lift: true}); text(err) != want {
		t.Errorf("lifted: got %v, want %s", err, want)
	}
}

func TestSummarize(t *testing.T) {
	const doc = "Date,USD,JPY,RUB,XXX\n2026-10-01,1,N/A,5,N/A\n2026-10-05,1,3,N/A,N/A\n2026-10-02,1,N/A,N/A,N/A\n2026-10-04,1,N/A,N/A,N/A\n2026-09-30,1,2,N/A,N/A\n"
	got, err := fx.Summarize(strings.NewReader(doc))
	if err != nil || !slices.Equal(got.Days, []time.Time{day("2026-09-30"), day("2026-10-01"), day("2026-10-02"), day("2026-10-04"), day("2026-10-05")}) {
		t.Errorf("%+v, %v", got, err)
	}
	want := []fx.Listing{
		{Code: "JPY", First: day("2026-09-30"), Last: day("2026-10-05"), Days: 2, Holes: 3},
		{Code: "RUB", First: day("2026-10-01"), Last: day("2026-10-01"), Days: 1},
		{Code: "USD", First: day("2026-09-30"), Last: day("2026-10-05"), Days: 5},
	}
	if len(got.Currencies) != len(want) {
		t.Fatalf("got %+v", got.Currencies)
	}
	for i, l := range got.Currencies {
		if l != want[i] {
			t.Errorf("got %+v, want %+v", l, want[i])
		}
	}
	none, err := fx.SummarizeNothing()
	if err != nil || none.Days != nil || none.Currencies != nil {
		t.Errorf("no days: %+v, %v", none, err)
	}
}

// The published extract: 41 columns, of which 30 quoted in 2025 and BGN, like all of those, without
// holes.
func TestSummarizePublished(t *testing.T) {
	got, err := fx.Summarize(open(t, "eurofxref-2025.csv"))
	if err != nil || len(got.Days) != 11 || len(got.Currencies) != 30 {
		t.Fatalf("%d days, %d currencies, %v", len(got.Days), len(got.Currencies), err)
	}
	for _, l := range got.Currencies {
		if l.Days != 11 || l.Holes != 0 || !l.First.Equal(got.Days[0]) || !l.Last.Equal(got.Days[10]) {
			t.Errorf("%+v", l)
		}
	}
}
