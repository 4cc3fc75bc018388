package taken

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// entry is a cell that may be changed, as the workbook was written.
type entry struct {
	key, sheet, head, name, held string
	row                          int
}

// held is a workbook.
type held struct {
	file     string
	data     []byte
	haul     map[string]string // what it says of the haul
	entries  []entry
	made     []entry // the columns with formulas, and in held the rows of those
	ofPrices bool
	pages    map[string]*page
	gone     []Left // rows that were taken out
	faults   source.Faults
}

// page is a sheet of the workbook.
type page struct {
	heads map[string]int
	rows  map[int][]lotfile.SheetCell // by their number
	added [][]lotfile.SheetCell       // that have none, or one that another has
	gone  map[int]bool
}

// fail tells what is wrong with a cell.
func (h *held) fail(at source.Origin, of, what, remedy string) {
	h.faults = append(h.faults, &source.Fault{At: at, Field: of, What: what, Remedy: remedy})
}

// again is the remedy where a workbook cannot be read back.
const again = "write it again with lotcost split haul.yaml -o costs.xlsx, and type the changes there"

// writtenIn reads what a workbook was written from.
func writtenIn(file string, data []byte) (*held, error) {
	rows, err := lotfile.ReadSheet(file, live.Written, data)
	if err != nil {
		return nil, noSheet(file, err)
	}
	h := &held{file: file, data: data, haul: map[string]string{}, pages: map[string]*page{}}
	wrong := source.Faults{{At: source.Origin{File: file + "#" + live.Written}, What: "the sheet that says what the workbook was written from was changed", Remedy: again}}
	for i, row := range rows {
		text := make([]string, len(live.WrittenHeads))
		for n := range min(len(row), len(text)) {
			text[n] = row[n].Text
		}
		number, err := strconv.Atoi(text[2])
		switch {
		case i == 0 && !slices.Equal(text, live.WrittenHeads):
			return nil, wrong
		case i == 0:
		case slices.Contains(live.HaulKeys, text[0]):
			h.haul[text[0]] = text[5]
		case err != nil:
			return nil, wrong
		case text[0] == live.MadeKey:
			h.made = append(h.made, entry{sheet: text[1], head: text[3], held: text[5]})
		default:
			h.entries = append(h.entries, entry{key: text[0], sheet: text[1], row: number, head: text[3], name: text[4], held: text[5]})
			h.ofPrices = h.ofPrices || text[1] == "prices" || text[1] == "fees" // where nothing is left to sell
		}
	}
	return h, nil
}

// noSheet says of a workbook without that sheet that it is none of ours.
func noSheet(file string, err error) error {
	faults := source.FaultsIn(err)
	if len(faults) == 1 && faults[0].Asked == "sheet" {
		return source.Faults{{At: source.Origin{File: file}, What: "this is no workbook that split or price wrote, or one of an older lotcost", Remedy: again}}
	}
	return err
}

// isOf refuses a workbook of another haul.
func (h *held) isOf(f File, now *lotfile.File) error {
	keys := live.HaulKeys
	name, title, home := filepath.Base(f.Path), named(now.Title), now.Home.Code()
	switch {
	case h.haul[keys[2]] != home:
	case h.haul[keys[0]] != name && h.haul[keys[1]] != title:
	default:
		return nil
	}
	return source.Faults{{At: source.Origin{File: h.file}, What: fmt.Sprintf("this workbook is of another haul: it was written from %s, %s, in %s", cmp.Or(h.haul[keys[0]], "figures alone"), cmp.Or(h.haul[keys[1]], "without a title"), h.haul[keys[2]]),
		Remedy: "name that lot file, or write a workbook of this one"}}
}

// page reads a sheet; nil where it is not there, which is told once.
func (h *held) page(name string) *page {
	if p, known := h.pages[name]; known {
		return p
	}
	h.pages[name] = nil
	rows, err := lotfile.ReadSheet(h.file, name, h.data)
	if err != nil {
		h.faults = append(h.faults, Moved(err, func(f *source.Fault) {
			if f.Asked == "sheet" {
				f.Remedy = "give the sheet that was called so its name again, or " + again
			}
		})...)
		return nil
	}
	p := &page{heads: map[string]int{}, rows: map[int][]lotfile.SheetCell{}, gone: map[int]bool{}}
	for i, c := range rows[0] {
		if _, twice := p.heads[c.Text]; !twice && c.Text != "" {
			p.heads[c.Text] = i
		}
	}
	order, is := p.heads[live.OrderHead]
	if !is {
		h.fail(source.Origin{File: h.file + "#" + name}, "", "the column "+live.OrderHead+" was taken out, by which rows are known", "undo that, or "+again)
		return nil
	}
	last := 1
	for _, row := range rows[1:] {
		number := 0
		if order < len(row) {
			number, _ = strconv.Atoi(row[order].Text)
		}
		if number == 0 && name == "working" { // of which the first row of each sharing alone has it
			number = last + 1
		}
		last = number
		if number == 0 || p.rows[number] != nil {
			p.added = append(p.added, row)
			continue
		}
		p.rows[number] = row
	}
	h.pages[name] = p
	return p
}

// cell finds the cell of an entry, wherever it is by now.
func (h *held) cell(e *entry) (lotfile.SheetCell, bool) {
	p := h.page(e.sheet)
	if p == nil {
		return lotfile.SheetCell{}, false
	}
	row := p.rows[e.row]
	column, is := p.heads[e.head]
	name := ""
	if at, is := p.heads[firstHeads[e.sheet]]; is && at < len(row) {
		name = row[at].Text
	}
	switch {
	case row == nil && !p.gone[e.row]:
		p.gone[e.row] = true
		h.gone = append(h.gone, Left{Of: e.name, Cell: e.sheet, Why: "its row was taken out of the sheet, but nothing out of the lot file: do that there"})
		return lotfile.SheetCell{}, false
	case p.gone[e.row]:
		return lotfile.SheetCell{}, false
	case !is:
		h.fail(source.Origin{File: h.file + "#" + e.sheet}, e.key, "there is no column "+strconv.Quote(e.head)+" any more", "undo that, or give it that head again")
		h.pages[e.sheet] = nil // told once
		return lotfile.SheetCell{}, false
	case name != e.name:
		p.gone[e.row] = true
		h.fail(row[0].At, e.key, fmt.Sprintf("this row has the number of %s, but says %s: it was sorted without the column %s, or called otherwise", e.name, cmp.Or(name, "nothing"), live.OrderHead), "undo that, and sort whole rows")
		return lotfile.SheetCell{}, false
	case column >= len(row):
		at := row[0].At
		at.Column += column
		return lotfile.SheetCell{At: at}, true
	}
	return row[column], true
}

// firstHeads are the heads of the column by which rows are called.
var firstHeads = map[string]string{"paid": "what", "sharing": "id", "found": "item", "prices": "id", "fees": "venue"}

// strange are the rows that were added or taken out.
func (h *held) strange() []Left {
	list := slices.Clone(h.gone)
	for name, p := range h.pages {
		if p == nil {
			continue
		}
		for _, row := range p.added {
			i := slices.IndexFunc(row, func(c lotfile.SheetCell) bool { return c.Text != "" })
			if i >= 0 {
				list = append(list, Left{Of: row[i].Text, Cell: cellName(name, row[i].At), Why: "this row was added: write what is new into the lot file"})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Left) int { return strings.Compare(a.Cell, b.Cell) })
	return list
}

// cellName is what a cell is called in a spreadsheet.
func cellName(name string, at source.Origin) string {
	return name + "!" + sheet.Ref(at.Column-1, at.Line)
}
