// Package taken takes what was typed into a workbook back into the lot file that it was made from.
//
// Three states are compared: what the workbook held when it was written, which stands in a sheet
// of it that is not shown, what it holds now, and what the lot file says by now. Only what was
// typed is taken; where the file says otherwise by now too, that is told and nothing is taken.
// Cells are known by the number of their row and the head of their column, wherever those are. The
// text is changed by package edit, and read again: a change after which any other figure would be
// another one is refused.
package taken

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// File is a lot file, and how it is read.
type File struct {
	Path    string
	Text    []byte
	Options lotfile.Options
}

// Change is a value that was typed.
type Change struct {
	Of       string    // what it is: "item jack: weight"
	Cell     string    // where it was typed: "sharing!E2"
	Old, New string    // as a file has it; "" where nothing stands
	In       string    // the name of the file that has it
	Path     edit.Path // there, of a lot file; nil in a list
}

// Left is what was typed or done in a workbook and has no place in a lot file.
type Left struct {
	Of, Cell, Why string
	Paid          bool // it follows from what was paid, which another workbook has
}

// Written is the text of a file before and after.
type Written struct {
	Path          string
	Before, After []byte
}

// Result is what came back from a workbook.
type Result struct {
	Changes []Change
	Left    []Left
	Files   []Written // those that change, the lot file last
}

// Read compares a workbook with the lot file, and says what is to be changed in it. The error is a
// [source.Faults] where anything typed cannot be taken, of the workbook or of the file.
func Read(f File, workbook string, data []byte) (*Result, error) {
	was, err := writtenIn(workbook, data)
	if err != nil {
		return nil, err
	}
	now, err := f.state(f.Text, nil, was.ofPrices)
	if err != nil {
		return nil, err
	}
	if err := was.isOf(f, now.file); err != nil {
		return nil, err
	}
	t := &taking{File: f, now: now, was: was, groups: map[string]group{}, places: map[live.Place]*entry{}}
	if t.doc, err = edit.Parse(f.Path, f.Text); err != nil {
		return nil, err
	}
	for i := range was.entries {
		e := &was.entries[i]
		t.entry(e)
		t.places[live.Place{Sheet: e.sheet, Row: e.row, Head: e.head}] = e
	}
	t.Left = append(t.Left, was.strange()...)
	t.over()
	t.agree()
	if len(was.faults) > 0 {
		return nil, was.faults
	}
	if err := t.change(); err != nil {
		return nil, err
	}
	return &t.Result, nil
}

// state is what a file says.
type state struct {
	file   *lotfile.File
	inputs map[string]live.Input
	tables func() []*sheet.Table
}

// state reads a text of the file, with other lists in the place of its own.
func (f *File) state(text []byte, lists map[string][]byte, ofPrices bool) (*state, error) {
	o := f.Options
	o.Lists = lists
	file, err := lotfile.ReadText(f.Path, text, o)
	if err != nil {
		return nil, err
	}
	haul := file.WithoutOpen()
	if ofPrices {
		haul = file.ForSale()
	}
	s := &state{file: file, inputs: map[string]live.Input{}}
	var list []live.Input
	st, err := landed.Split(haul)
	switch {
	case err != nil:
	case ofPrices:
		var r *doubles.Result
		if r, err = doubles.Price(haul, file.Selling, st, doubles.Options{}); err == nil {
			list = live.PriceInputs(r)
			s.tables = sync.OnceValue(func() []*sheet.Table { return live.Prices(r) })
		}
	default:
		list = live.Inputs(st)
		s.tables = sync.OnceValue(func() []*sheet.Table { return live.Costs(st) })
	}
	if err != nil {
		return nil, lotfile.Explain(err, file.Examples())
	}
	for _, in := range list {
		s.inputs[named(in.Key)] = in
	}
	return s, nil
}

// named is a name as a workbook has it.
func named(s string) string { return strings.TrimSpace(sheet.Visible(s)) }

// typed is a cell that was changed, or stands for the same value as one that was.
type typed struct {
	live.Input
	value
	cell    string
	at      source.Origin
	changed bool
}

// taking is a workbook on its way into a file.
type taking struct {
	File
	Result
	now    *state
	was    *held
	doc    *edit.Doc
	groups map[string]group // by where the value stands
	places map[live.Place]*entry
	order  []string // of them
}

// group is the cells that stand for one value of a file.
type group []*typed

// changed is the first cell that was; nil where none was.
func (g group) changed() *typed {
	for _, x := range g {
		if x.changed {
			return x
		}
	}
	return nil
}

// entry looks at a cell that the workbook was written with.
func (t *taking) entry(e *entry) {
	cell, ok := t.was.cell(e)
	if !ok {
		return
	}
	now, known := t.now.inputs[e.key]
	v, f := valueOf(cell, &now, e)
	changed := f != nil || !v.is(e.held)
	switch {
	case !changed && (!known || now.Not != ""):
		return
	case changed && !known:
		t.Left = append(t.Left, Left{Of: e.key, Cell: cellName(e.sheet, cell.At), Why: "it is no longer in the lot file"})
		return
	case changed && now.Calculated && f == nil && t.sameRate(&now, v):
		return
	case changed && now.Not != "":
		t.Left = append(t.Left, Left{e.key, cellName(e.sheet, cell.At), now.Not, now.Paid})
		return
	case f != nil:
		remedy := t.marked(f.Remedy)
		if strings.HasSuffix(remedy, ": "+cell.Text) {
			remedy += ", as your spreadsheet writes numbers, and give the cell its number format again, since it holds a text"
		}
		t.was.fail(f.At, f.Field, t.marked(f.What), remedy)
		return
	}
	group := sheet.Either(now.As == live.Rate, now.Key, now.At.String()+" "+now.Way.String())
	if t.groups[group] == nil {
		t.order = append(t.order, group)
	}
	t.groups[group] = append(t.groups[group], &typed{now, v, cellName(e.sheet, cell.At), cell.At, changed})
	if changed && !same(e.held, now.Data) && !v.is(now.Data) {
		say := func(data string) string { return t.marked(cmp.Or(words(&now, data), "nothing")) }
		t.was.fail(cell.At, e.key, fmt.Sprintf("the lot file was changed too since the workbook was written, from %s to %s", say(e.held), say(now.Data)),
			fmt.Sprintf("type %s here to keep that, or write %s in the file", t.marked(cmp.Or(now.Data, "nothing")), say(v.text())))
	}
}

// sameRate reports whether a cell that shows the rate of another row holds what stands there.
func (t *taking) sameRate(in *live.Input, v value) bool {
	for i := range t.was.entries {
		e := &t.was.entries[i]
		if e.key != "rate of "+in.Currency.Code() {
			continue
		}
		cell, ok := t.was.cell(e)
		of, err := numberIn(cell.Text)
		return ok && err == nil && v.is(of.String())
	}
	return false
}

// agree tells of values that a file has once, and of which not all cells hold the same.
func (t *taking) agree() {
	for _, name := range t.order {
		x := t.groups[name].changed()
		if x == nil {
			continue
		}
		for _, other := range t.groups[name] {
			if !other.is(x.text()) {
				t.was.fail(x.at, x.Key, "the lot file has one amount for this and for "+other.cell+", which differ", "type the same in both")
				break
			}
		}
	}
}

// change makes the changes in the texts, and makes sure that they read back as they were typed.
func (t *taking) change() error {
	lists := map[string][]lotfile.ListChange{}
	doc := t.doc
	want := map[string]string{}
	taken := map[string]source.Origin{}
	for _, name := range t.order {
		x := t.groups[name].changed()
		if x == nil || x.is(x.Data) {
			continue
		}
		for _, other := range t.groups[name] {
			want[named(other.Key)] = x.text()
		}
		c, after, err := t.one(doc, x, lists)
		if err != nil {
			t.was.faults = append(t.was.faults, Moved(err, func(f *source.Fault) { f.At, f.Field = x.at, x.Key })...)
			continue
		}
		if c == nil { // it has no place, and that was told
			delete(want, named(x.Key))
			continue
		}
		doc = after
		taken[c.Path.String()] = x.at
		t.Changes = append(t.Changes, *c)
	}
	texts := map[string][]byte{}
	for path, changes := range lists {
		before, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		after, err := lotfile.WithListChanges(path, before, t.now.file.Comma, changes)
		if err != nil {
			t.was.faults = append(t.was.faults, source.FaultsIn(err)...)
			continue
		}
		texts[path] = after
		t.Files = append(t.Files, Written{path, before, after})
	}
	if len(t.was.faults) > 0 {
		return t.was.faults
	}
	slices.SortFunc(t.Files, func(a, b Written) int { return strings.Compare(a.Path, b.Path) })
	if !bytes.Equal(doc.Bytes(), t.Text) {
		t.Files = append(t.Files, Written{t.Path, t.Text, doc.Bytes()})
	}
	if len(t.Files) == 0 {
		return nil
	}
	return t.verify(doc, texts, want, taken)
}

// verify reads the new texts and makes sure that they say what was typed, and nothing else besides.
func (t *taking) verify(doc *edit.Doc, lists map[string][]byte, want map[string]string, taken map[string]source.Origin) error {
	if json.Valid(t.Text) && !json.Valid(doc.Bytes()) {
		return t.inJSON()
	}
	after, err := t.state(doc.Bytes(), lists, t.was.ofPrices)
	if err != nil {
		return Moved(err, func(f *source.Fault) {
			if at, is := taken[doc.At(f.At).String()]; is && f.At.File == t.Path {
				f.At = at
			}
		})
	}
	for key, now := range t.now.inputs {
		data, typed := want[key]
		if !typed {
			data = now.Data
		}
		got, is := after.inputs[key]
		if typed && !is && t.stands(doc, key) { // no row shows it: what the bank took is typed too
			continue
		}
		if now.Not == "" && (typed || is) && !same(got.Data, data) {
			return source.Faults{{At: source.Origin{File: t.Path}, Field: key, What: "what was typed cannot be written without changing this too", Remedy: "write it into the file itself"}}
		}
	}
	return nil
}

// stands reports whether a change is in a text as it was made.
func (t *taking) stands(doc *edit.Doc, key string) bool {
	return slices.ContainsFunc(t.Changes, func(c Change) bool {
		text, has := doc.Text(c.Path)
		return named(c.Of) == key && has && text == c.New
	})
}

// inJSON says what is to be written into a file of JSON by hand: new keys.
func (t *taking) inJSON() error {
	var faults source.Faults
	for _, c := range t.Changes {
		if c.Path != nil && !t.doc.Has(c.Path) {
			faults = append(faults, &source.Fault{At: source.Origin{File: t.Path}, Field: c.Of, What: "the file is JSON, into which no new key is written here", Remedy: fmt.Sprintf("write %q: %q into it, and run this again", c.Path[len(c.Path)-1].Key, c.New)})
		}
	}
	return faults
}

// one makes a change: in the text of the lot file, or in those of a list. It is nil where there is
// no place for it, which is told.
func (t *taking) one(doc *edit.Doc, x *typed, lists map[string][]lotfile.ListChange) (*Change, *edit.Doc, error) {
	c := &Change{Of: x.Key, Cell: x.cell, Old: t.marked(words(&x.Input, x.Data)), New: t.marked(words(&x.Input, x.text())), In: filepath.Base(t.Path)}
	left := func(why string) (*Change, *edit.Doc, error) {
		t.Left = append(t.Left, Left{Of: c.Of, Cell: c.Cell, Why: why})
		return nil, doc, nil
	}
	if x.As == live.Rate {
		return t.rate(doc, x, c, left)
	}
	p := slices.Clone(x.Way)
	switch {
	case x.At.File == "" && !doc.Has(p[:max(1, len(p)-1)]):
		return left("it stands in another file than " + c.In + ", such as one of defaults: change it there")
	case x.At.File == "":
	case x.At.File != t.now.file.At.File:
		c.In = filepath.Base(x.At.File)
		if strings.Contains(x.At.File, "#") || !strings.EqualFold(filepath.Ext(x.At.File), ".csv") {
			at := x.At.Key(x.Way[len(x.Way)-1].Key)
			return nil, nil, source.Faults{{At: x.at, Field: x.Key, What: "it stands in the workbook " + c.In + ", which is changed in a spreadsheet alone", Remedy: fmt.Sprintf("write %s at %s, and run this again", cmp.Or(c.New, "nothing"), at.String())}}
		}
		lists[x.At.File] = append(lists[x.At.File], lotfile.ListChange{At: x.At, Column: x.Way[len(x.Way)-1].Key, Number: x.number, Unit: unitOf(&x.Input), Empty: x.empty})
		return c, doc, nil
	default:
		entry := t.doc.At(x.At) // as it was read: lines may have come in since
		for len(entry) > 0 && entry[len(entry)-1].Key != "" {
			entry = entry[:len(entry)-1]
		}
		p = slices.Concat(entry, x.Way)
	}
	old, _ := doc.Text(p)
	c.Path, c.Old = p, cmp.Or(old, c.Old)
	if x.empty {
		after, err := doc.Delete(p)
		return c, after, err
	}
	c.New = t.marked(asIn(old, &x.Input, x.number))
	after, err := doc.Set(p, c.New)
	return c, after, err
}

// marked is a text with the decimal mark of the file.
func (t *taking) marked(text string) string { return sheet.Marked(text, t.now.file.Comma) }

// rate states what one of a currency is, without what the card adds: in the place of the equation
// that does so by now, or as a further one, which wins over a table.
func (t *taking) rate(doc *edit.Doc, x *typed, c *Change, left func(string) (*Change, *edit.Doc, error)) (*Change, *edit.Doc, error) {
	section := edit.Path{{Key: "exchange"}, {Key: "rates"}}
	if t.now.file.Defaults != nil && !doc.Has(section[:1]) {
		return left("the rates stand in the file of defaults: change it there, or type what the bank took under settled")
	}
	code, home := x.Currency.Code(), t.now.file.Home.Code()
	unit := decimal.NewFromInt(1)
	c.Path = append(section, edit.Step{Index: edit.New})
	if doc.Len(section) == 0 {
		c.Path[2].Index = 0
	}
	c.Old = ""
	for i := range doc.Len(section) {
		p := append(slices.Clone(section), edit.Step{Index: i})
		text, _ := doc.Text(p)
		points := text
		if t.now.file.Comma {
			points = strings.ReplaceAll(text, ",", ".")
		}
		eq, err := lotfile.ParseEquation(points)
		switch {
		case err != nil:
		case string(eq.Left) == code && string(eq.Right) == home:
			c.Path, c.Old, unit = p, text, eq.LeftAmount
		case string(eq.Right) == code && string(eq.Left) == home:
			c.Path, c.Old = p, text
		}
	}
	card := decimal.NewFromInt(1).Add(x.Spread)
	right := x.number.Mul(unit)
	if bare := right.DivRound(card, 18); bare.Mul(card).Equal(right) {
		right = bare
	} else {
		unit = unit.Mul(card) // exact, as a quotient would not be
	}
	c.New = t.marked(unit.String() + " " + code + " = " + right.String() + " " + home)
	after, err := doc.Set(c.Path, c.New)
	return c, after, err
}

// Moved are the faults in an error, with other places.
func Moved(err error, move func(f *source.Fault)) source.Faults {
	faults := slices.Clone(source.FaultsIn(err))
	for i, f := range faults {
		other := *f
		move(&other)
		faults[i] = &other
	}
	return faults
}
