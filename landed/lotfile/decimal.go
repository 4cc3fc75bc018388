package lotfile

import (
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// Typed reads a figure of the command line, typed with decimal commas where decimal
// is comma. The error of parse is then told in the marks of the figure; no other
// one is returned.
func Typed[T any](figure, decimal string, parse func(string) (T, error)) (T, error) {
	if decimal != "comma" {
		return parse(figure)
	}
	var report source.Report
	where := func() (at source.Origin, field string) { return at, "" }
	v, _ := input.Scalar(input.Cell(figure, &report, where).Marked(input.Marks{Comma: true}), parse)
	return v, report.Err()
}

// decimal reads how the figures of a file are written; where it does not say,
// they are as those of the defaults. It holds for the files that it names too.
func (r *reader) decimal(m input.Map, usual input.Marks) (input.Map, input.Marks) {
	n := m.Get("decimal")
	usual.Hint = "decimal: comma at the top of the file if all its figures are so"
	switch word, ok := n.Text(); {
	case !ok:
	case word == "point", word == "comma":
		usual.Comma, usual.Said = word == "comma", true
	default:
		n.Fail("unknown word "+quote(word), source.DidYouMean(word, []string{"comma", "point"}))
	}
	return m.Marked(usual), usual
}

// decimalWord is how a file declares its marks.
func decimalWord(marks input.Marks) string {
	if marks.Comma {
		return "comma"
	}
	return "point"
}
