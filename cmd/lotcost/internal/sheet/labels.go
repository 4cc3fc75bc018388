package sheet

// Labels is a sheet of labels to be printed and cut, one a piece. Only a page has it, and on paper
// has nothing else.
type Labels []Label

// Label is what stands on one: the id large, what it is, and a few figures behind their names.
type Label struct {
	ID, What string
	Lines    [][2]string
}

func (l Labels) html(h *htmlWriter) {
	h.WriteString(`<ul class="labels">` + "\n")
	for i := range l {
		h.WriteString("<li><strong>")
		h.plainText(l[i].ID)
		h.WriteString("</strong><span>")
		h.plainText(l[i].What)
		h.WriteString("</span><dl>")
		for _, line := range l[i].Lines {
			h.WriteString("<div><dt>" + attr(line[0]) + "</dt><dd>")
			h.text(line[1], true)
			h.WriteString("</dd></div>")
		}
		h.WriteString("</dl></li>\n")
	}
	h.WriteString("</ul>\n")
}
