package sheet

import (
	"bufio"
	"bytes"
	"cmp"
	_ "embed"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Page is a result as one file that is handed over or carried along: nothing in it is fetched from
// anywhere, and it reads without its script. The first heading of the sheet is the answer; what
// follows it up to the first table, chart or fold stands beside it and stays in sight.
type Page struct {
	Sheet *Sheet
	Tool  Tool   // what may be tried out, under the answer; nil for nothing
	Plain string // what kind of paper it is, where the sheet has no heading

	Commas bool // whether figures have decimal commas
}

// Tool is a part of a page that its script makes live. It is written as HTML, without scripts.
type Tool interface{ tool(*htmlWriter) }

// live writes what the script of a tool looks up, texts and flags, which always go into JSON.
func (h *htmlWriter) live(id string, data any, script string) {
	text, _ := json.Marshal(data) // which leaves no sign of HTML as it is
	fmt.Fprintf(h, `<script type="application/json" id="%s">%s</script>`+"\n", id, text)
	h.script = script
}

// A PageOnly is what only a page has, made when it is written: charts, and all that would be too
// long elsewhere.
type PageOnly func() []Block

// Glance is a few figures that belong to the answer, each behind its name. Only a page has it.
type Glance [][2]string

// Add adds a figure, unless there is none.
func (g *Glance) Add(name, figure string) {
	if figure != "" {
		*g = append(*g, [2]string{name, figure})
	}
}

// Folded is blocks behind a title, which open when that is pressed. Only a page has it.
type Folded struct {
	Title  string
	ID     string // the address of the blocks; made of the title where there is none
	Many   bool   // it is some of many rows, among which one looks for others
	Blocks []Block
}

// unfolded is the sheet with the blocks that only a page has.
func (s *Sheet) unfolded() *Sheet {
	out := &Sheet{}
	for _, b := range s.Blocks {
		if only, ok := b.(PageOnly); ok {
			out.Add((&Sheet{Blocks: only()}).unfolded().Blocks...)
			continue
		}
		out.Add(b)
	}
	return out
}

func (p PageOnly) html(h *htmlWriter) { h.blocks(p()) }

func (g Glance) html(h *htmlWriter) {
	if len(g) == 0 {
		return
	}
	h.WriteString(`<dl class="glance">` + "\n")
	for _, line := range g {
		h.between(fmt.Sprintf(`<div><dt>%s</dt><dd id="%s">`, attr(line[0]), html.EscapeString(h.id("glance-"+slug(line[0])))), line[1], "</dd></div>\n")
	}
	h.WriteString("</dl>\n")
}

func (f *Folded) html(h *htmlWriter) {
	id := cmp.Or(slug(f.ID), slug(strings.ToLower(h.marks.of(f.Title))))
	class := "fold" + Either(f.Many, " many", "")
	h.between(`<details class="`+class+`"><summary>`, f.Title, "</summary>\n<div id=\""+html.EscapeString(h.id(id))+"\">\n")
	before := h.sections
	h.blocks(f.Blocks)
	h.sections = before // they cannot be seen from outside
	h.WriteString("</div></details>\n")
}

//go:embed page.css
var pageCSS string

//go:embed page.js
var pageJS string

// Style is the style sheet of what [Sheet.WriteHTML] writes, in the light and in the dark, on
// screens of all widths and on paper.
func Style() string {
	before, rest, _ := strings.Cut(pageCSS, "/* stacked below N rem */\n")
	stacked, after, _ := strings.Cut(rest, "/* end */\n")
	var b strings.Builder
	b.WriteString(before)
	b.WriteString("@media screen {\n")
	for _, at := range stackAt {
		if at > widestPrinted {
			b.WriteString("}\n")
		}
		b.WriteString(strings.ReplaceAll(stacked, "NN", strconv.Itoa(at)))
	}
	b.WriteString(after)
	return strings.ReplaceAll(b.String(), "\t", "")
}

// policy is what a page may do: show itself, and nothing over the web.
const policy = `default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'`

// WriteHTML writes the page. Errors are those of [Sheet.WriteHTML].
func (p *Page) WriteHTML(w io.Writer) error {
	doc := p.Sheet.unfolded()
	title, blocks := titled(doc.Blocks, p.Plain)
	n := textsUpTo(blocks, false)
	beside, evidence := blocks[:n], blocks[n:]
	h := newHTML(w, p.Commas)
	h.ids["answer"] = 1
	var body bytes.Buffer // what can be gone to is known once it is written
	out := h.Writer
	h.Writer = bufio.NewWriter(&body)
	h.blocks(evidence)
	_ = h.Flush() // a buffer takes all
	h.Writer = out
	fmt.Fprintf(h, `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="%s">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<link rel="icon" href="data:,">
<title>%s</title>
<style>
%s</style>
</head>
<body>
%s<main>
`, policy, html.EscapeString(h.set(title, false)), Style(), Patterns)
	h.WriteString(`<div class="beside"><header`)
	if p.Tool == nil { // else that is what is typed into
		h.WriteString(` id="answer"`)
	}
	h.between(">\n<h1>", title, "</h1>\n</header>\n")
	if p.Tool != nil {
		p.Tool.tool(h)
	}
	h.blocks(beside)
	h.contents()
	h.WriteString("</div>\n<div class=\"evidence\">\n")
	h.Write(body.Bytes())
	h.WriteString("</div>\n</main>\n")
	fmt.Fprintf(h, "<footer><p>Calculated by lotcost. It gives no tax, customs or legal advice.</p></footer>\n<script>\n%s</script>\n</body>\n</html>\n", strings.ReplaceAll(pageJS+h.script, "\t", ""))
	return h.Flush()
}

// contents writes where a reader may go.
func (h *htmlWriter) contents() {
	if len(h.sections) < 2 {
		return
	}
	h.WriteString(`<nav aria-label="On this page"><ul>`)
	for _, s := range h.sections {
		h.between(`<li><a href="#`+html.EscapeString(s.id)+`">`, s.title, "</a></li>")
	}
	h.WriteString("</ul></nav>\n")
}

// textsUpTo is where the first block is that is no text or figure of an answer, and where headings
// go with them no heading either.
func textsUpTo(blocks []Block, headings bool) int {
	n := slices.IndexFunc(blocks, func(b Block) bool {
		switch b.(type) {
		case Text, Note, Glance:
			return false
		case Heading:
			return !headings
		}
		return true
	})
	return Either(n < 0, len(blocks), n)
}

// Parted parts a sheet before its first table or drawing: what stands before is the answer.
func (s *Sheet) Parted() (first, rest *Sheet) {
	n := textsUpTo(s.Blocks, true)
	return &Sheet{Blocks: s.Blocks[:n:n]}, &Sheet{Blocks: s.Blocks[n:]}
}

// titled takes the answer from the first block that is no note: a heading, one sentence, or the
// title of a table.
func titled(blocks []Block, plain string) (title string, rest []Block) {
	at := slices.IndexFunc(blocks, func(b Block) bool { _, note := b.(Note); return !note })
	if at < 0 {
		return plain, blocks
	}
	switch b := blocks[at].(type) {
	case Heading:
		return string(b), slices.Delete(slices.Clone(blocks), at, at+1)
	case Text:
		if !strings.Contains(string(b), "\n") {
			return string(b), slices.Delete(slices.Clone(blocks), at, at+1)
		}
	case *Table:
		if b.Title != "" {
			t, rest := *b, slices.Clone(blocks)
			t.Title, t.Topic = "", b.topic()
			rest[at] = &t
			return b.Title, rest
		}
	}
	return plain, blocks
}
