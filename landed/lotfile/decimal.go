package lotfile

import (
	"errors"
	"fmt"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// Typed reads a figure of the command line, typed with decimal commas where decimal
// is comma. The error of parse is then reported in the marks of the figure; no other
// one is returned.
func Typed[T any](figure, decimal string, parse func(string) (T, error)) (T, error) {
	if decimal != "comma" {
		return parse(figure)
	}
	var report collect.Report
	where := func() (at source.Origin, field string) { return at, "" }
	v, _ := input.Scalar(input.Cell(figure, &report, where).Marked(&input.Marks{Comma: true}), parse)
	return v, report.Err()
}

// decimal reads how the figures of a file are written; where it does not say,
// they are as those of the defaults. It holds for the files that it names too.
func (r *reader) decimal(m *input.Map, usual *input.Marks) {
	n := m.Get("decimal")
	usual.Hint = "decimal: comma at the top of the file if all its figures are so"
	switch word, ok := n.Text(); {
	case !ok:
	case word == "point", word == "comma":
		usual.Comma, usual.Said = word == "comma", true
	default:
		n.Fail("unknown word "+quote(word), source.DidYouMean(word, decimalWords))
		usual.Comma, usual.Said = source.Meant(word, decimalWords) == "comma", true
	}
	m.Marked(usual)
}

var decimalWords = []string{"comma", "point"}

// undeclared tells once that a file is written with decimal commas and does not say
// so, where that is what ails several of its figures. What else is wrong is reported of
// the file as it then is: that may be more, since what hangs together is checked of figures that
// can be read, or since a few have points, but no more than half as much as the commas ail.
func (r *reader) undeclared(name string, data []byte, err error) error {
	faults, _ := errors.AsType[source.Faults](err)
	first, figure, count := (*source.Fault)(nil), "", 0
	for _, f := range faults {
		if text, ok := input.CommaFigure(f.Err); ok && f.At.File == name {
			if count++; first == nil {
				first, figure = f, text
			}
		}
	}
	if count < 2 {
		return err
	}
	again := r.again()
	again.commas = true
	_, left := again.read(name, data)
	if rest, _ := errors.AsType[source.Faults](left); 2*(len(rest)-(len(faults)-count)) > count {
		return err
	}
	var report collect.Report
	report.Fail(first.At, first.Field, fmt.Sprintf("%s and %d more of the file's figures have decimal commas", quote(figure), count-1), "write decimal: comma at the top of the file")
	report.AddErr(source.Origin{}, "", left)
	return report.Err()
}
