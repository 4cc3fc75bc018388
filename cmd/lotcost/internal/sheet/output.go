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

// shorter are other names of formats.
var shorter = map[string]string{"text": "table", "md": "markdown"}

// ParseFormat reads the name of a format, and reports whether it is one.
func ParseFormat(s string) (f Format, known bool) {
	i := slices.Index(formatNames, cmp.Or(shorter[s], s))
	return Format(max(i, 0)), i >= 0
}

// endings are the ends of file names that stand for a format.
var endings = map[string]Format{".csv": FormatCSV, ".json": FormatJSON, ".md": FormatMarkdown, ".markdown": FormatMarkdown, ".xlsx": FormatWorkbook, ".html": FormatPage, ".htm": FormatPage}

// notYet are the ends of file names that stand for what cannot be written.
var notYet = map[string]string{".pdf": "a printed page", ".ods": "a sheet in another format", ".xls": "an old workbook"}

// FormatOf returns the format that the name of a file stands for by its end, capitals or not, and
// whether it stands for one. It is an error where that is one which cannot be written.
func FormatOf(file string) (Format, bool, error) {
	end := strings.ToLower(filepath.Ext(file))
	if what := notYet[end]; what != "" {
		return 0, false, fmt.Errorf("%s would be %s, which cannot be written yet", file, what)
	}
	f, known := endings[end]
	return f, known, nil
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
