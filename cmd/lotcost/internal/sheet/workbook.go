package sheet

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"strings"
	"sync"
	"time"

	"github.com/shopspring/decimal"
)

// WriteWorkbook writes tables as the sheets of a workbook of the kind .xlsx (ECMA-376), each
// under its Topic, or else its title, every column and row in it. Figures of columns that are not
// Left are numbers, with the decimals and the unit that are shown; days are days; all else is text,
// whatever it begins with. Heads stay in sight. The same tables give the same bytes.
//
// Errors are those of w, and [*ShapeError].
func WriteWorkbook(w io.Writer, tables []*Table) error {
	b := &workbook{zip: zip.NewWriter(w), styles: map[cellStyle]int{{}: 0}, order: []cellStyle{{}}, taken: map[string]bool{}}
	for _, t := range tables {
		if err := t.check(); err != nil {
			return err
		}
	}
	for i, t := range tables {
		b.names = append(b.names, b.nameFor(t))
		b.part(fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1), func(out *bufio.Writer) { b.sheet(out, t) })
	}
	b.frame()
	if b.err != nil {
		return b.err
	}
	return b.zip.Close()
}

type workbook struct {
	zip    *zip.Writer
	err    error
	names  []string
	taken  map[string]bool
	styles map[cellStyle]int
	order  []cellStyle
}

// cellStyle is how a cell looks.
type cellStyle struct {
	format     string // of a number; "" for text
	bold, wrap bool
}

func (b *workbook) style(s cellStyle) int {
	n, ok := b.styles[s]
	if !ok {
		n = len(b.order)
		b.styles[s] = n
		b.order = append(b.order, s)
	}
	return n
}

// part writes a file of the archive, always of the same day.
func (b *workbook) part(name string, write func(*bufio.Writer)) {
	if b.err != nil {
		return
	}
	f, err := b.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		b.err = err
		return
	}
	out := bufio.NewWriter(f)
	out.WriteString(xml.Header)
	write(out)
	b.err = out.Flush()
}

// longestName is what the format allows for the name of a sheet.
const longestName = 31

// nameFor is a name of its own for the sheet of a table.
func (b *workbook) nameFor(t *Table) string {
	name := t.Topic
	if name == "" {
		name = t.Title
	}
	name = strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) || r < ' ' {
			return ' '
		}
		return r
	}, visible(name)), " '")
	if name == "" {
		name = "table"
	}
	whole := []rune(name)
	for n := 1; ; n++ {
		end := ""
		if n > 1 {
			end = fmt.Sprintf(" %d", n)
		}
		name = string(whole[:min(len(whole), longestName-len(end))]) + end
		if key := strings.ToLower(name); !b.taken[key] {
			b.taken[key] = true
			return name
		}
	}
}

const namespace = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`

// sheet writes a table: its heads in the first row, and a row for each of its own.
func (b *workbook) sheet(out *bufio.Writer, t *Table) {
	fmt.Fprintf(out, `<worksheet %s><sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><cols>`, namespace)
	for i := range t.Columns {
		fmt.Fprintf(out, `<col min="%d" max="%d" width="%d" customWidth="1"/>`, i+1, i+1, t.columnWidth(i))
	}
	out.WriteString("</cols><sheetData>")
	row := 1
	begin := func() { fmt.Fprintf(out, `<row r="%d">`, row) }
	begin()
	for i, c := range t.Columns {
		head := c.Head
		if head == "" {
			head = c.Key
		}
		b.text(out, i, row, strings.ReplaceAll(head, "\n", " "), cellStyle{bold: true, wrap: true})
	}
	out.WriteString("</row>")
	for _, r := range t.Rows {
		row++
		begin()
		for i, cell := range r.Cells {
			b.cell(out, i, row, cell, t.Columns[i], r.Kind)
		}
		out.WriteString("</row>")
	}
	out.WriteString("</sheetData></worksheet>")
}

// columnWidth is how wide a column is, in characters.
func (t *Table) columnWidth(i int) int {
	const least, most = 8, 60
	w := min(cells(t.Columns[i].name()), 2*least)
	for _, r := range t.Rows {
		if r.Kind != Group {
			w = max(w, widest(lines(r.Cell(i).Text)))
		}
	}
	return min(max(w+2, least), most)
}

// cell writes a cell as a number, a day or text.
func (b *workbook) cell(out *bufio.Writer, column, row int, c Cell, in Column, kind RowKind) {
	bold := kind != Body || c.Tone == Strong
	if value, format, ok := c.value(in.Align); ok {
		fmt.Fprintf(out, `<c r="%s%d" s="%d"><v>%s</v></c>`, columnLetters(column), row, b.style(cellStyle{format: format, bold: bold}), value)
		return
	}
	text := c.Text
	if in.Machine && c.Data != "" {
		text = c.Data
	}
	if text != "" {
		b.text(out, column, row, text, cellStyle{bold: bold, wrap: kind != Group && (in.Wrap || strings.Contains(text, "\n"))})
	}
}

func (b *workbook) text(out *bufio.Writer, column, row int, text string, s cellStyle) {
	fmt.Fprintf(out, `<c r="%s%d" s="%d" t="inlineStr"><is><t xml:space="preserve">`, columnLetters(column), row, b.style(s))
	escape(out, text)
	out.WriteString("</t></is></c>")
}

// columnLetters is the name of a column, counted from 0.
func columnLetters(n int) string {
	name := ""
	for n++; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// escaped is text that readers of the format would take for an escaped character.
var escaped = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`_(x[0-9A-Fa-f]{4}_)`) })

// escape writes text as XML. It stays as it is, tabs and line ends too, but for
// characters that act instead of being seen, which are spelt out.
func escape(w io.Writer, text string) {
	parts := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\t")
	for i, part := range parts {
		parts[i] = visible(part)
	}
	text = escaped().ReplaceAllString(strings.Join(parts, "\t"), "_x005F_$1")
	_ = xml.EscapeText(w, []byte(text)) // a bufio.Writer keeps its error
}

var (
	figurePattern = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^([+-]?)(\d{1,15})(?:\.(\d{1,9}))?( ?%| [A-Za-z]{1,3})?$`)
	})
	dayPattern = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\d{4}-\d\d-\d\d$`) })
)

// value is what a cell holds as a number, and the format in which it is shown as
// its text; false where it is text.
func (c Cell) value(align Align) (value, format string, ok bool) {
	text := c.Text
	if text == "" {
		text = c.Data
	}
	if align == Left {
		if !dayPattern().MatchString(text) {
			return "", "", false
		}
		day, err := time.Parse(time.DateOnly, text)
		first := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
		return fmt.Sprint(int(day.Sub(first).Hours() / 24)), "yyyy-mm-dd", err == nil && day.Year() > 1900
	}
	m := figurePattern().FindStringSubmatch(text)
	if m == nil {
		return "", "", false
	}
	format = "#,##0"
	if m[3] != "" {
		format += "." + strings.Repeat("0", len(m[3]))
	}
	number := decimal.RequireFromString(strings.TrimPrefix(m[1], "+") + m[2] + "." + m[3] + "0")
	switch unit := strings.TrimSpace(m[4]); unit {
	case "":
	case "%":
		format += "%"
		number = number.Shift(-2)
	default:
		format += ` "` + unit + `"`
	}
	if exact, err := decimal.NewFromString(c.Data); err == nil && c.Data != "" {
		number = exact
	}
	return number.String(), format, true
}

// frame writes what holds the sheets together.
func (b *workbook) frame() {
	const relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	b.part("xl/styles.xml", b.writeStyles)
	b.part("xl/workbook.xml", func(out *bufio.Writer) {
		fmt.Fprintf(out, `<workbook %s xmlns:r="%s"><sheets>`, namespace, relation)
		for i, name := range b.names {
			out.WriteString(`<sheet name="`)
			escape(out, name)
			fmt.Fprintf(out, `" sheetId="%d" r:id="r%d"/>`, i+1, i+1)
		}
		out.WriteString("</sheets></workbook>")
	})
	const relations = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`
	b.part("xl/_rels/workbook.xml.rels", func(out *bufio.Writer) {
		out.WriteString(relations)
		for i := range b.names {
			fmt.Fprintf(out, `<Relationship Id="r%d" Type="%s/worksheet" Target="worksheets/sheet%d.xml"/>`, i+1, relation, i+1)
		}
		fmt.Fprintf(out, `<Relationship Id="s" Type="%s/styles" Target="styles.xml"/></Relationships>`, relation)
	})
	b.part("_rels/.rels", func(out *bufio.Writer) {
		fmt.Fprintf(out, `%s<Relationship Id="r1" Type="%s/officeDocument" Target="xl/workbook.xml"/></Relationships>`, relations, relation)
	})
	b.part("[Content_Types].xml", func(out *bufio.Writer) {
		const kind = "application/vnd.openxmlformats-officedocument.spreadsheetml."
		out.WriteString(`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>`)
		fmt.Fprintf(out, `<Override PartName="/xl/workbook.xml" ContentType="%ssheet.main+xml"/><Override PartName="/xl/styles.xml" ContentType="%sstyles+xml"/>`, kind, kind)
		for i := range b.names {
			fmt.Fprintf(out, `<Override PartName="/xl/worksheets/sheet%d.xml" ContentType="%sworksheet+xml"/>`, i+1, kind)
		}
		out.WriteString("</Types>")
	})
}

// ownFormats is where the numbers of formats that are not built in begin.
const ownFormats = 164

func (b *workbook) writeStyles(out *bufio.Writer) {
	ids := map[string]int{"": 0}
	var formats []string
	for _, s := range b.order {
		if _, ok := ids[s.format]; !ok {
			ids[s.format] = ownFormats + len(formats)
			formats = append(formats, s.format)
		}
	}
	fmt.Fprintf(out, `<styleSheet %s><numFmts count="%d">`, namespace, len(formats))
	for i, f := range formats {
		fmt.Fprintf(out, `<numFmt numFmtId="%d" formatCode="`, ownFormats+i)
		escape(out, f)
		out.WriteString(`"/>`)
	}
	out.WriteString(`</numFmts><fonts count="2"><font><sz val="11"/><name val="Calibri"/></font><font><b/><sz val="11"/><name val="Calibri"/></font></fonts>` +
		`<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills><borders count="1"><border/></borders>` +
		`<cellStyleXfs count="1"><xf/></cellStyleXfs>`)
	fmt.Fprintf(out, `<cellXfs count="%d">`, len(b.order))
	for _, s := range b.order {
		font, align := 0, ""
		if s.bold {
			font = 1
		}
		if s.wrap {
			align = `<alignment vertical="top" wrapText="1"/>`
		}
		fmt.Fprintf(out, `<xf numFmtId="%d" fontId="%d" xfId="0" applyNumberFormat="1" applyFont="1" applyAlignment="1">%s</xf>`, ids[s.format], font, align)
	}
	out.WriteString(`</cellXfs></styleSheet>`)
}

// Answer is a table of the texts of a sheet, for the first sheet of a workbook.
func (s *Sheet) Answer() *Table {
	t := &Table{Topic: "answer", Columns: []Column{{Head: "answer", Wrap: true}}}
	add := func(text string, tone Tone) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: text, Tone: tone}}})
	}
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case Heading:
			add(string(b), Strong)
		case Text:
			add(string(b), Plain)
		case Note:
			add(b.Kind.lead()+b.Text, Plain)
		}
	}
	return t
}

// Tables are those of a sheet.
func (s *Sheet) Tables() []*Table {
	var all []*Table
	for _, b := range s.Blocks {
		if t, ok := b.(*Table); ok {
			all = append(all, t)
		}
	}
	return all
}
