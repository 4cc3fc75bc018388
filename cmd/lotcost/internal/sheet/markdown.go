package sheet

import (
	"io"
	"strings"
)

// WriteMarkdown writes the sheet as Markdown with pipe tables, every column and row in it. Text
// from outside stays text: marks of Markdown and HTML are escaped.
func (s *Sheet) WriteMarkdown(w io.Writer) error {
	var b strings.Builder
	for i, block := range blocksOf[onPaper](s) {
		if i > 0 {
			b.WriteByte('\n')
		}
		block.markdown(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (h Heading) markdown(b *strings.Builder) { b.WriteString("## " + mdLine(string(h), " ") + "\n") }

func (t Text) markdown(b *strings.Builder) { b.WriteString(mdParagraph(string(t), "") + "\n") }

func (n Note) markdown(b *strings.Builder) {
	lead := ""
	if s := strings.TrimSpace(n.Kind.lead()); s != "" {
		lead = "**" + Upper(s) + "** "
	}
	b.WriteString("> " + lead + mdParagraph(n.Text, "> ") + "\n")
}

func (t *Table) markdown(b *strings.Builder) {
	if t.Title != "" {
		b.WriteString("### " + mdLine(t.Title, " ") + "\n\n")
	}
	shown := t.columnsThat(func(c Column) bool { return !c.Machine })
	mdRow(b, shown, func(i int) string { return mdLine(t.Columns[i].Head, "<br>") })
	mdRow(b, shown, func(i int) string {
		return Either(t.Columns[i].Align != Left, "--:", "---")
	})
	for _, r := range t.Rows {
		mdRow(b, shown, func(i int) string {
			c := r.Cell(i)
			if r.Kind == Group {
				c = Either(i == shown[0], r.Cell(0), Cell{})
			}
			s := mdLine(c.Text, "<br>")
			if s != "" && (r.Kind != Body || c.Tone == Strong) {
				return "**" + s + "**"
			}
			return s
		})
	}
}

func mdRow(b *strings.Builder, columns []int, cell func(int) string) {
	b.WriteByte('|')
	for _, i := range columns {
		b.WriteString(" " + cell(i) + " |")
	}
	b.WriteByte('\n')
}

// mdMarks are the characters that mean something in the middle of a line. A backslash before any
// ASCII punctuation makes it plain text (CommonMark 0.31, 2.4), in a table cell too.
var mdMarks = strings.NewReplacer("<", "&lt;", ">", "&gt;", "&", "&amp;",
	`\`, `\\`, "|", `\|`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "~", `\~`, "#", `\#`, "$", `\$`)

// mdLine returns s as the inside of one line, newlines replaced by joint.
func mdLine(s, joint string) string {
	parts := lines(strings.Trim(s, " \t\r\n"))
	for i, line := range parts {
		parts[i] = mdMarks.Replace(line)
	}
	return strings.Join(parts, joint)
}

// mdParagraph returns s as a paragraph whose further lines begin with lead.
func mdParagraph(s, lead string) string {
	parts := strings.Split(mdLine(s, "\n"), "\n")
	for i, line := range parts {
		parts[i] = mdStart(line)
	}
	return strings.Join(parts, "\\\n"+lead)
}

// mdStart escapes what would make a list, a rule or a heading of a line.
func mdStart(line string) string {
	line = strings.TrimLeft(line, " ")
	after := strings.TrimLeft(line, "0123456789")
	switch {
	case line != "" && strings.ContainsRune("+-=", rune(line[0])):
		return `\` + line
	case after != line && (strings.HasPrefix(after+" ", ". ") || strings.HasPrefix(after+" ", ") ")): // the number of an entry
		return line[:len(line)-len(after)] + `\` + after
	}
	return line
}
