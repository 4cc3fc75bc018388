package lotfile

import (
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

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
