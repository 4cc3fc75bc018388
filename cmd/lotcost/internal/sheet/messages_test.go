package sheet_test

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"

	"pgregory.net/rapid"
)

func TestMessages(t *testing.T) {
	var b bytes.Buffer
	w := sheet.Messages(&b, sheet.Terminal{Width: 30})
	fmt.Fprintln(w, `haul.yaml:3:7: date: "2062-10-03" is a year ahead or more: check the year`)
	fmt.Fprintln(w, "error: 1 fault")
	io.WriteString(w, sheet.ClearLine+"searching, 12 of about 4000; best so far: 12.00 CAD")
	io.WriteString(w, sheet.ClearLine)
	const want = "haul.yaml:3:7: date:\n  \"2062-10-03\" is a year ahead\n  or more: check the year\nerror: 1 fault\n" + sheet.ClearLine + "searching, 12 of about 4000; " + sheet.ClearLine
	if b.String() != want {
		t.Errorf("got\n%q\nwant\n%q", b.String(), want)
	}
	b.Reset()
	fmt.Fprintln(sheet.Messages(&b, sheet.Terminal{}), strings.Repeat("a ", 100))
	if strings.Count(b.String(), "\n") != 1 {
		t.Error("what is no terminal has its lines wrapped")
	}
}

// Nothing but spaces is lost or added, and no line is too wide.
func TestMessagesKeepAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-z]{1,40}|平鉋|:| `), 0, 40).Draw(t, "text"), " ")
		width := rapid.IntRange(10, 60).Draw(t, "width")
		var b bytes.Buffer
		fmt.Fprintln(sheet.Messages(&b, sheet.Terminal{Width: width}), text)
		squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if squeeze(b.String()) != squeeze(text) {
			t.Fatalf("%q became %q", text, b.String())
		}
		for line := range strings.Lines(b.String()) {
			if n := sheet.Cells(strings.TrimRight(line, "\n ")); n > width {
				t.Fatalf("%d cells of %d: %q", n, width, line)
			}
		}
	})
}
