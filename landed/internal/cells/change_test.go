package cells_test

import (
	"bytes"
	"strings"
	"testing"

	"lotcost/landed/internal/cells"
	"lotcost/landed/source"
)

// TestWith changes single cells of lists as spreadsheets save them: no other byte is another one.
func TestWith(t *testing.T) {
	for _, c := range []struct {
		name, data string
		line, cell int
		text, was  string
		is         string
	}{
		{"commas", "id,what,weight\na,\"A, old\",1 kg\nb,B,2 kg\n", 2, 2, "1.5 kg", "1 kg", "1.5 kg"},
		{"the last line without an end", "id;weight\r\na;1\r\nb;2", 3, 1, "3,5", "b;2", "b;3,5"},
		{"lines that end in a carriage return alone", "id;weight\ra;1\rb;2\r", 3, 1, "3,5", "b;2", "b;3,5"},
		{"quotes stay", "id,weight\r\na,\"1\"\r\n", 2, 1, "2", `"1"`, `"2"`},
		{"quotes where the separator is in it", "id,value\na,1\n", 2, 1, "1,5", "a,1", `a,"1,5"`},
		{"a line end in another cell", "what,weight\n\"two\nlines \"\"x\"\"\",1\nb,2\n", 2, 1, "7", "\",1", "\",7"},
		{"an empty cell", "id,weight,value\na,,3\n", 2, 1, "7", "a,,3", "a,7,3"},
		{"to an empty cell", "id,weight,value\na,7,3\n", 2, 1, "", "a,7,3", "a,,3"},
		{"a mark of UTF-8, and a separator that is said", "\xef\xbb\xbfsep=|\r\nid|weight\r\na|1\r\n", 3, 1, "2", "a|1", "a|2"},
		{"Windows-1252", "id;what;weight\nm;b\xe9dane \x84\xd6l\x93;1\n", 2, 2, "2", ";1\n", ";2\n"},
		{"UTF-16, the low byte first", "\xff\xfei\x00d\x00;\x00a\x00\r\x00\n\x00\xe9\x00;\x001\x00\n\x00", 2, 1, "2", "1\x00", "2\x00"},
		{"UTF-16, the high byte first", "\xfe\xff\x00i\x00d\x00\t\x00a\x00\n\xd8\x3d\xde\x00\x00\t\x001", 2, 1, "2", "\x001", "\x002"},
		{"copied cells with quotes as they are", "id\twhat\tweight\na\t10\" brace\t1\n", 2, 2, "2", "\t1\n", "\t2\n"},
	} {
		table, f := cells.Read("-", "", []byte(c.data))
		if f != nil {
			t.Errorf("%s: %v", c.name, f)
			continue
		}
		got, err := table.With([]byte(c.data), []cells.Change{{At: source.Origin{Line: c.line}, Cell: c.cell, Text: c.text}})
		if want := strings.Replace(c.data, c.was, c.is, 1); err != nil || string(got) != want {
			t.Errorf("%s: %v: got\n%q\nwant\n%q", c.name, err, got, want)
		}
	}
}

// FuzzWith: all but the cell stays, byte by byte, or there is an error.
func FuzzWith(f *testing.F) {
	f.Add([]byte("id,what,weight\na,\"A, old\",1 kg\nb,B,2 kg\n"), 2, 1, "x")
	f.Add([]byte("what;weight\r\n\"two\nlines \"\"x\"\"\";1\r\nb;2"), 2, 1, "7,5")
	f.Add([]byte("\xff\xfei\x00d\x00;\x00a\x00\n\x00b\x00;\x001\x00"), 2, 1, "2")
	f.Fuzz(func(t *testing.T, data []byte, line, cell int, text string) {
		table, fault := cells.Read("-", "", data)
		if fault != nil || table.Separator == 0 || line < 1 || line > 100 || cell < 0 || cell > 20 || strings.ContainsAny(text, "\r\n\ufffd") || text != strings.TrimSpace(text) {
			return
		}
		got, err := table.With(data, []cells.Change{{At: source.Origin{Line: line}, Cell: cell, Text: text}})
		if err != nil {
			return
		}
		from := 0
		for from < min(len(got), len(data)) && got[from] == data[from] {
			from++
		}
		end := 0
		for end < min(len(got), len(data))-from && got[len(got)-1-end] == data[len(data)-1-end] {
			end++
		}
		if put := got[from : len(got)-end]; len(put) > 4*len(text)+4 && !bytes.Contains(data, []byte{0}) {
			t.Errorf("%q became %q", data, got)
		}
	})
}
