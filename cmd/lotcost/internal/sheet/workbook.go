package sheet

import (
	"archive/zip"
	"bufio"
	"cmp"
	"compress/flate"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// WriteWorkbook writes tables as the sheets of a workbook of the kind .xlsx (ECMA-376), each under
// its Topic, or else its title, every column and row in it. Figures of columns that are not Left
// are numbers, with the decimals and the unit that are shown; days are days; all else is text,
// whatever it begins with. A cell with a Formula calculates, and holds until then what it says.
// A Guarded table is protected, without a password, and the cells that may be changed are marked.
// Heads stay in sight. The same tables give the same bytes.
func WriteWorkbook(w io.Writer, tables []*Table) error {
	b := &workbook{zip: zip.NewWriter(w), styles: map[cellStyle]int{{}: 0}, order: []cellStyle{{}}, taken: map[string]bool{}}
	b.zip.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	for i, t := range tables {
		b.names, b.hidden = append(b.names, b.nameFor(t)), append(b.hidden, t.Hidden)
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
	hidden []bool
	areas  []string // what is printed of each sheet; "" is all
	taken  map[string]bool
	styles map[cellStyle]int
	order  []cellStyle
}

// cellStyle is how a cell looks.
type cellStyle struct {
	format     string // of a number; "" for text
	bold, wrap bool
	right      bool // of a head: it stands over figures
	apart      bool // of a text behind a figure
	left       bool // of a number under a head that stands to the left, as a day
	sum        bool // under a rule
	input      bool // may be changed
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
	name := strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) || r < ' ' {
			return ' '
		}
		return r
	}, Visible(cmp.Or(t.Topic, t.Title))), " '")
	whole := []rune(cmp.Or(name, "table"))
	for n := 1; ; n++ {
		end := Either(n > 1, fmt.Sprintf(" %d", n), "")
		name = cut(whole, longestName-len(end)) + end
		if key := strings.ToLower(name); !b.taken[key] {
			b.taken[key] = true
			return name
		}
	}
}

// cut is as many words of a name as fit.
func cut(name []rune, room int) string {
	if len(name) <= room {
		return string(name)
	}
	at := room
	for at > 0 && name[at] != ' ' {
		at--
	}
	if at < room/2 {
		at = room
	}
	return strings.TrimRight(string(name[:at]), " ,'")
}

const namespace = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`

// sheet writes a table: its heads in the first row, and a row for each of its own.
func (b *workbook) sheet(out *bufio.Writer, t *Table) {
	widths, whole := make([]int, len(t.Columns)), 0
	for i := range widths {
		if widths[i] = t.columnWidth(i); !t.Columns[i].Unprinted {
			whole += widths[i]
		}
	}
	fit, setup := `<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>`, `fitToHeight="0"`
	if whole > across*100/leastScale {
		fit, setup = "", fmt.Sprintf(`scale="%d"`, leastScale)
	}
	fmt.Fprintf(out, `<worksheet %s>%s<sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews>`, namespace, fit)
	if len(t.Columns) > 0 {
		out.WriteString("<cols>")
		for i, width := range widths {
			fmt.Fprintf(out, `<col min="%d" max="%d" width="%d" customWidth="1"/>`, i+1, i+1, width)
		}
		out.WriteString("</cols>")
	}
	fmt.Fprintf(out, `<sheetData><row r="1" ht="%d" customHeight="1">`, lineHeight*t.headLines(widths))
	for i, c := range t.Columns {
		b.text(place{out, i, 1}, c.name(), cellStyle{bold: true, wrap: true, right: c.Align != Left, apart: i > 0 && c.Align == Left && t.Columns[i-1].Align != Left})
	}
	out.WriteString("</row>")
	row := 1
	for r := range t.EachRow() {
		row++
		out.WriteString(`<row r="`)
		out.WriteString(strconv.Itoa(row))
		if n := t.rowLines(&r, widths); n > 1 {
			fmt.Fprintf(out, `" ht="%d" customHeight="1`, lineHeight*n)
		}
		out.WriteString(`">`)
		for i := range r.Cells {
			b.cell(place{out, i, row}, &r.Cells[i], &t.Columns[i], cellStyle{bold: r.Kind != Body || r.Cells[i].Tone == Strong, sum: r.Kind == Sum,
				wrap: r.Kind != Group && t.Columns[i].Wrap, apart: i > 0 && t.Columns[i-1].Align != Left})
		}
		out.WriteString("</row>")
	}
	out.WriteString("</sheetData>")
	b.areas = append(b.areas, t.printed(row))
	if t.Guarded {
		out.WriteString(`<sheetProtection sheet="1" formatCells="0" formatColumns="0" formatRows="0"/>`)
	}
	b.numbersOnly(out, t)
	fmt.Fprintf(out, `<pageMargins left="0.5" right="0.5" top="0.5" bottom="0.5" header="0.3" footer="0.3"/><pageSetup paperSize="9" orientation="landscape" %s/>`, setup) // A4
	out.WriteString(`<headerFooter><oddHeader>&amp;L&amp;A&amp;R&amp;P / &amp;N</oddHeader></headerFooter></worksheet>`)                                                   // the sheet's name, and pages
}

// printed is the part of a table that is printed, up to a row; "" is all of it.
func (t *Table) printed(row int) string {
	last := len(t.Columns) - 1
	for last > 0 && t.Columns[last].Unprinted {
		last--
	}
	if last == len(t.Columns)-1 {
		return ""
	}
	return "$A$1:" + Locked(last, row)
}

// Locked is [Ref] for a cell that stays the same in each row that names it.
func Locked(column, row int) string {
	name, digits := Ref(column, row), len(strconv.Itoa(row))
	return "$" + name[:len(name)-digits] + "$" + name[len(name)-digits:]
}

// numbersOnly makes programs refuse a text where a number is to be typed, such as one with a unit.
func (b *workbook) numbersOnly(out *bufio.Writer, t *Table) {
	spans := map[typed][]string{}
	for column := range t.Columns {
		for first := 0; first < len(t.Rows); {
			kind := t.Rows[first].Cell(column).typed()
			end := first + 1
			for end < len(t.Rows) && t.Rows[end].Cell(column).typed() == kind {
				end++
			}
			if kind != (typed{}) {
				spans[kind] = append(spans[kind], Ref(column, first+2)+":"+Ref(column, end+1))
			}
			first = end
		}
	}
	if len(spans) == 0 {
		return
	}
	fmt.Fprintf(out, `<dataValidations count="%d">`, len(spans))
	for _, kind := range []typed{{"whole", lowest}, {"whole", "0"}, {"decimal", lowest}, {"decimal", "0"}} {
		if len(spans[kind]) == 0 {
			continue
		}
		more := Either(kind.least == "0", ", and nothing below 0", "")
		fmt.Fprintf(out, `<dataValidation type="%s" allowBlank="1" showErrorMessage="1" errorTitle="A number" error="Type the figure alone, without a unit or a currency%s." sqref="%s"><formula1>%s</formula1><formula2>1000000000000</formula2></dataValidation>`, kind.kind, more, strings.Join(spans[kind], " "), kind.least)
	}
	out.WriteString("</dataValidations>")
}

// typed is what may be typed into a cell: which kind of number, and the least; nothing where the
// kind is "".
type typed struct{ kind, least string }

const lowest = "-1000000000000"

func (c Cell) typed() typed {
	t := typed{"decimal", lowest}
	if !c.Input {
		return typed{}
	}
	if strings.HasPrefix(c.Format, Decimals(0)) && !strings.Contains(c.Format, ".") {
		t.kind = "whole"
	}
	if c.FromZero {
		t.least = "0"
	}
	return t
}

// A printed page holds so many characters across at full size. A sheet is fitted to its width as
// long as that leaves so many percent of it, which can be read; what is wider goes on beside, with
// the first column on each page.
const across, leastScale = 146, 60

// columnWidth is how wide a column is, in characters.
func (t *Table) columnWidth(i int) int {
	const least, most = 8, 60
	w := max(min(Cells(t.Columns[i].name()), 2*least), t.Columns[i].Min)
	for _, r := range t.Rows {
		if r.Kind != Group {
			w = max(w, widest(lines(cmp.Or(r.Cell(i).Text, r.Cell(i).Data))))
		}
	}
	return min(max(w+2, least), most)
}

// lineHeight is that of a line of text, in points.
const lineHeight = 15

// rowLines is how many lines the texts of a row take that may go on in further ones.
func (t *Table) rowLines(r *Row, widths []int) int {
	most := 1
	for i := range r.Cells {
		text := r.Cells[i].Text
		if r.Kind == Group || text == "" || !t.Columns[i].Wrap && !strings.Contains(text, "\n") {
			continue
		}
		n := 0
		for _, line := range lines(text) {
			n += max(1, (Cells(line)+widths[i]-2)/(widths[i]-1))
		}
		most = max(most, n)
	}
	return min(most, 20)
}

// headLines is how many lines the heads take.
func (t *Table) headLines(widths []int) int {
	most := 1
	for i, c := range t.Columns {
		most = max(most, (Cells(c.name())+widths[i]-1)/widths[i])
	}
	return min(most, 4)
}

// place is where a cell is written, and by what: the column is counted from 0, the row from 1.
type place struct {
	*bufio.Writer // which keeps its error
	column, row   int
}

// cell writes a cell as a number, a day or text.
func (b *workbook) cell(at place, c *Cell, in *Column, s cellStyle) {
	figures := cellStyle{bold: s.bold, sum: s.sum, input: c.Input, format: c.Format, left: in.Align == Left, apart: s.apart && in.Align == Left}
	if c.Format != "" {
		b.number(at, c, figures)
		return
	}
	text := Either(in.Machine && c.Data != "", c.Data, c.Text)
	if c.Formula != "" {
		b.calculated(at, c.Formula, text, s)
		return
	}
	if value, format, ok := c.value(in); ok {
		figures.format = format
		b.number(at, &Cell{Data: value}, figures)
		return
	}
	if text != "" {
		s.wrap = s.wrap || strings.Contains(text, "\n")
		s.apart = s.apart && in.Align == Left
		b.text(at, text, s)
	}
}

// number writes a number, what calculates it, or the room for one.
func (b *workbook) number(at place, c *Cell, s cellStyle) {
	b.begin(at, s)
	if c.Formula != "" {
		at.WriteString("><f>")
		formulaText.WriteString(at, c.Formula)
		at.WriteString("</f")
	}
	if c.Data != "" {
		at.WriteString("><v>")
		at.WriteString(strings.TrimPrefix(c.Data, "+"))
		at.WriteString("</v")
	}
	at.WriteString("></c>")
}

// calculated writes a text and what calculates it.
func (b *workbook) calculated(at place, formula, text string, s cellStyle) {
	b.begin(at, s)
	at.WriteString(` t="str"><f>`)
	formulaText.WriteString(at, formula)
	at.WriteString("</f><v>")
	escape(at, text)
	at.WriteString("</v></c>")
}

var formulaText = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// begin writes what a cell begins with, but for the end of its tag.
func (b *workbook) begin(at place, s cellStyle) {
	at.WriteString(`<c r="`)
	at.WriteString(Ref(at.column, at.row))
	at.WriteString(`" s="`)
	at.WriteString(strconv.Itoa(b.style(s)))
	at.WriteByte('"')
}

// Ref is the name of a cell in formulas: the column is counted from 0, the row from 1, which is
// that of the heads.
func Ref(column, row int) string {
	var room [12]byte
	at := len(room)
	for ; row > 0; row /= 10 {
		at--
		room[at] = byte('0' + row%10)
	}
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		at--
		room[at] = byte('A' + (n-1)%26)
	}
	return string(room[at:])
}

func (b *workbook) text(at place, text string, s cellStyle) {
	b.begin(at, s)
	at.WriteString(` t="inlineStr"><is><t xml:space="preserve">`)
	escape(at, text)
	at.WriteString("</t></is></c>")
}

// escaped is text that readers of the format would take for an escaped character.
var escaped = Pattern(`_(x[0-9A-Fa-f]{4}_)`)

// escape writes text as XML. It stays as it is, tabs and line ends too, but for
// characters that act instead of being seen, which are spelt out.
func escape(w io.Writer, text string) {
	parts := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\t")
	for i, part := range parts {
		parts[i] = Visible(part)
	}
	text = escaped().ReplaceAllString(strings.Join(parts, "\t"), "_x005F_$1")
	_ = xml.EscapeText(w, []byte(text)) // a bufio.Writer keeps its error
}

var (
	figurePattern = Pattern(`^[<>]?([+-]?)(\d{1,15})(?:\.(\d{1,9}))?( ?%| [A-Za-z]{1,3})?$`)
	weightPattern = Pattern(`^(\d{1,9}(?:\.\d{1,12})?) (k?g)$`)
	dayPattern    = Pattern(`^\d{4}-\d\d-\d\d( \d\d:\d\d)?$`)
)

// value is what a cell of a column holds as a number, and the format in which it is shown as its
// text; false where it is text. Where text stands, only days and percentages are numbers. Weights
// are exact and all in kilograms, so that those of a column can be added up.
func (c *Cell) value(in *Column) (value, format string, ok bool) {
	text := cmp.Or(c.Text, c.Data)
	if in.Align == Left && dayPattern().MatchString(text) {
		return dayValue(text)
	} else if in.Align == Left && (names[in.address()] || !strings.HasSuffix(text, "%")) {
		return "", "", false
	}
	if m := weightPattern().FindStringSubmatch(cmp.Or(c.Data, c.Text)); m != nil {
		number := decimal.RequireFromString(m[1])
		if m[2] == "g" {
			number = number.Shift(-3)
		}
		return number.String(), Decimals(3) + ` "kg"`, true
	}
	m := figurePattern().FindStringSubmatch(text)
	if m == nil {
		return "", "", false
	}
	format = Decimals(len(m[3]))
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
	} else if strings.ContainsAny(text, "<>") { // how much it is, is not known
		return "", "", false
	}
	return number.String(), format, true
}

// Decimals is the Format of a number with so many decimals.
func Decimals(digits int) string {
	if digits == 0 {
		return "#,##0"
	}
	return "#,##0." + strings.Repeat("0", digits)
}

// dayValue is a day, or a minute of one, as spreadsheets count days.
func dayValue(text string) (value, format string, ok bool) {
	layout, format := time.DateOnly, "yyyy-mm-dd"
	if len(text) > len(layout) {
		layout, format = "2006-01-02 15:04", "yyyy-mm-dd hh:mm"
	}
	day, err := time.Parse(layout, text)
	minutes := (day.Unix() - time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix()) / 60
	return decimal.NewFromInt(minutes).DivRound(decimal.NewFromInt(24*60), 12).String(), format, err == nil && day.Year() > 1900
}

// frame writes what holds the sheets together.
func (b *workbook) frame() {
	const relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	b.part("xl/styles.xml", b.writeStyles)
	b.part("xl/workbook.xml", func(out *bufio.Writer) {
		fmt.Fprintf(out, `<workbook %s xmlns:r="%s"><bookViews><workbookView/></bookViews><sheets>`, namespace, relation)
		for i, name := range b.names {
			out.WriteString(`<sheet name="`)
			escape(out, name)
			if out.WriteByte('"'); b.hidden[i] {
				out.WriteString(` state="hidden"`)
			}
			fmt.Fprintf(out, ` sheetId="%d" r:id="r%d"/>`, i+1, i+1)
		}
		out.WriteString("</sheets>")
		if len(b.names) > 0 {
			out.WriteString("<definedNames>") // what stands on every page that is printed of a sheet
			for i, name := range b.names {
				sheet := "'" + strings.ReplaceAll(name, "'", "''") + "'!"
				if b.areas[i] != "" {
					fmt.Fprintf(out, `<definedName name="_xlnm.Print_Area" localSheetId="%d">`, i)
					escape(out, sheet+b.areas[i])
					out.WriteString("</definedName>")
				}
				fmt.Fprintf(out, `<definedName name="_xlnm.Print_Titles" localSheetId="%d">`, i)
				escape(out, sheet+"$A:$A,"+sheet+"$1:$1")
				out.WriteString("</definedName>")
			}
			out.WriteString("</definedNames>")
		}
		out.WriteString("</workbook>")
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
	ids := map[string]int{"": 0, "General": 0}
	var formats []string
	for _, s := range b.order {
		if _, ok := ids[s.format]; !ok {
			ids[s.format] = ownFormats + len(formats)
			formats = append(formats, s.format)
		}
	}
	fmt.Fprintf(out, `<styleSheet %s>`, namespace)
	if len(formats) > 0 {
		fmt.Fprintf(out, `<numFmts count="%d">`, len(formats))
	}
	for i, f := range formats {
		fmt.Fprintf(out, `<numFmt numFmtId="%d" formatCode="`, ownFormats+i)
		escape(out, f)
		out.WriteString(`"/>`)
	}
	if len(formats) > 0 {
		out.WriteString(`</numFmts>`)
	}
	out.WriteString(`<fonts count="3"><font><sz val="11"/><name val="Calibri"/></font><font><b/><sz val="11"/><name val="Calibri"/></font><font><sz val="11"/><color rgb="FF0B6B6B"/><name val="Calibri"/></font></fonts>` +
		`<fills count="3"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill><fill><patternFill patternType="solid"><fgColor rgb="FFFFF6D6"/></patternFill></fill></fills><borders count="2"><border/><border><left/><right/><top style="thin"><color rgb="FF9AA3AD"/></top><bottom/><diagonal/></border></borders>` +
		`<cellStyleXfs count="1"><xf/></cellStyleXfs>`)
	fmt.Fprintf(out, `<cellXfs count="%d">`, len(b.order))
	for _, s := range b.order {
		font, fill, border, more := 0, 0, 0, ""
		switch {
		case s.input:
			font, fill = 2, 2
		case s.bold:
			font = 1
		}
		if s.sum {
			border = 1
		}
		switch {
		case s.wrap && s.right:
			more = `<alignment horizontal="right" vertical="bottom" wrapText="1"/>`
		case s.wrap && s.apart:
			more = `<alignment horizontal="left" vertical="bottom" wrapText="1" indent="1"/>`
		case s.wrap:
			more = `<alignment vertical="bottom" wrapText="1"/>`
		case s.apart:
			more = `<alignment horizontal="left" indent="1"/>`
		case s.left:
			more = `<alignment horizontal="left"/>`
		}
		more += Either(s.input, `<protection locked="0"/>`, "")
		fmt.Fprintf(out, `<xf numFmtId="%d" fontId="%d" fillId="%d" borderId="%d" xfId="0" applyNumberFormat="1" applyFont="1" applyFill="1" applyAlignment="1" applyProtection="1">%s</xf>`, ids[s.format], font, fill, border, more)
	}
	out.WriteString(`</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>`)
}

// Answer is a table of the texts of a sheet, for the first sheet of a workbook.
func (s *Sheet) Answer() *Table {
	t := &Table{Topic: "answer", Columns: []Column{{Head: "answer", Wrap: true, Min: 100}}}
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case Heading:
			t.Add(Bold(string(b)))
		case Text:
			t.Add(string(b))
		case Note:
			t.Add(b.Kind.lead() + b.Text)
		}
	}
	return t
}
