package sheet_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode"

	"lotcost/cmd/lotcost/internal/sheet"

	"pgregory.net/rapid"
)

func TestWriteJSON(t *testing.T) {
	var b bytes.Buffer
	v := sheet.Object{"name", "鉋 <b> & \x1b\u009b\U000e0041", "tags", []string{"a"}, "none?", "", "sizes?", []string{}, "of", sheet.Object{"n", 1, "list", []int{2}}}
	if err := sheet.WriteJSON(&b, v); err != nil {
		t.Fatal(err)
	}
	want := `{
  "name": "鉋 <b> & \u001b\u009b\udb40\udc41",
  "tags": [
    "a"
  ],
  "of": {"n":1,"list":[2]}
}
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", &b, want)
	}
	b.Reset()
	if err := sheet.WriteJSON(&b, make(chan int)); err == nil {
		t.Errorf("a channel: got no error and %q", &b)
	}
}

func TestJSONKeepsEveryValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.String().Draw(t, "text")
		var b bytes.Buffer
		if err := sheet.WriteJSON(&b, want); err != nil {
			t.Fatal(err)
		}
		var got string
		if err := json.Unmarshal(b.Bytes(), &got); err != nil || got != want {
			t.Fatalf("got %q, %v, want %q", got, err, want)
		}
		for _, r := range b.String() {
			if r != '\n' && unicode.IsControl(r) {
				t.Fatalf("%U is written in %q", r, &b)
			}
		}
	})
}

// once fails the first time it is written to.
type once struct{ writes int }

func (o *once) Write(p []byte) (int, error) {
	if o.writes++; o.writes == 1 {
		return 0, io.ErrShortWrite
	}
	return len(p), nil
}

func TestJSONKeepsTheErrorOfWriting(t *testing.T) {
	list := sheet.Object{"lines", slices.Repeat([]string{strings.Repeat("plane ", 2000)}, 20)}
	if err := sheet.WriteJSON(&once{}, list); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("got %v, want the error of the first writing", err)
	}
}
