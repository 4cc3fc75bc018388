package sheet

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/term"
)

// Format is a way of writing a result.
type Format int

const (
	FormatTable    Format = iota // text for a terminal
	FormatCSV                    // one table for other programs
	FormatJSON                   // the whole result for other programs
	FormatMarkdown               // text for a document
	FormatWorkbook               // the tables as sheets of a workbook
	FormatPage                   // the whole result, with charts, to look at, print and hand over
)

var formatNames = []string{FormatTable: "table", FormatCSV: "csv", FormatJSON: "json", FormatMarkdown: "markdown", FormatWorkbook: "xlsx", FormatPage: "html"}

// String returns the name that [ParseFormat] reads.
func (f Format) String() string { return formatNames[f] }

// Formats returns the names of all formats, the usual one first.
func Formats() []string { return slices.Clone(formatNames) }

// FormatError says that a text is no format's name.
type FormatError struct {
	Text string
}

// Error implements error.
func (e *FormatError) Error() string {
	last := len(formatNames) - 1
	return fmt.Sprintf("unknown format %q: use %s or %s", e.Text, strings.Join(formatNames[:last], ", "), formatNames[last])
}

// shorter are other names of formats.
var shorter = map[string]string{"text": "table", "md": "markdown"}

// ParseFormat reads the name of a format; what is not one gives a [*FormatError].
func ParseFormat(s string) (Format, error) {
	i := slices.Index(formatNames, cmp.Or(shorter[s], s))
	if i < 0 {
		return 0, &FormatError{Text: s}
	}
	return Format(i), nil
}

// endings are the ends of file names that stand for a format.
var endings = map[string]Format{".csv": FormatCSV, ".json": FormatJSON, ".md": FormatMarkdown, ".markdown": FormatMarkdown, ".xlsx": FormatWorkbook, ".html": FormatPage, ".htm": FormatPage}

// notYet are the ends of file names that stand for what cannot be written.
var notYet = map[string]string{".pdf": "a printed page", ".ods": "a sheet in another format", ".xls": "an old workbook"}

// FormatOf returns the format that the name of a file stands for by its end, capitals or not, and
// whether it stands for one. The error is a [*NotYetError].
func FormatOf(file string) (Format, bool, error) {
	end := strings.ToLower(filepath.Ext(file))
	if what := notYet[end]; what != "" {
		return 0, false, &NotYetError{File: file, What: what}
	}
	f, known := endings[end]
	return f, known, nil
}

// NotYetError says that the name of a file stands for what cannot be written.
type NotYetError struct{ File, What string }

// Error implements error.
func (e *NotYetError) Error() string {
	return fmt.Sprintf("%s would be %s, which cannot be written yet", e.File, e.What)
}

// DetectTerminal describes f, with env to look up environment variables. What is no terminal has no
// width and no colour. COLUMNS comes before the width that the terminal itself reports, and where
// neither says anything it is 80. NO_COLOR with any text in it, or TERM=dumb, means no colour.
func DetectTerminal(f *os.File, env func(string) string) Terminal {
	if f == nil || !term.IsTerminal(int(f.Fd())) {
		return Terminal{}
	}
	t := Terminal{Width: 80, Colour: env("NO_COLOR") == "" && env("TERM") != "dumb"}
	if n, err := strconv.Atoi(env("COLUMNS")); err == nil && n > 0 {
		t.Width = n
	} else if n, _, err := term.GetSize(int(f.Fd())); err == nil && n > 0 {
		t.Width = n
	}
	return t
}
