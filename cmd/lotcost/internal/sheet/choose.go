package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/source"
)

// title is what a column is called besides its key: its head up to a comma, as in
// "each, CAD".
func (c Column) title() string {
	head, _, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(c.Head, "\n", " ")), ",")
	return strings.ReplaceAll(strings.TrimSpace(head), " ", "_")
}

// places finds the columns of some names; -1 where there is none.
func (t *Table) places(chosen []string) []int {
	places := make([]int, len(chosen))
	for i, name := range chosen {
		places[i] = slices.IndexFunc(t.Columns, func(c Column) bool { return c.Key == name })
		if places[i] < 0 {
			places[i] = slices.IndexFunc(t.Columns, func(c Column) bool { return c.title() == name })
		}
	}
	return places
}

// Choose returns the sheet with some columns alone of each table that has them all, in the order of
// their names, which are keys or heads; other tables stay as they are. Each is shown however narrow
// the terminal is. The error names one that is not there, or says that no table has all of them.
func (s *Sheet) Choose(chosen []string) (*Sheet, error) {
	out, found := &Sheet{Blocks: slices.Clone(s.Blocks)}, false
	there := map[string]bool{}
	var all []string
	for i, b := range s.Blocks {
		t, ok := b.(*Table)
		if !ok {
			continue
		}
		places := t.places(chosen)
		for j, place := range places {
			there[chosen[j]] = there[chosen[j]] || place >= 0
		}
		if !slices.Contains(places, -1) {
			out.Blocks[i], found = t.with(places), true
		}
		for _, c := range t.Columns {
			if name := c.address(); name != "" && !slices.Contains(all, name) {
				all = append(all, name)
			}
		}
	}
	for _, name := range chosen {
		if !there[name] {
			return nil, fmt.Errorf("there is no column %q: %s", name, source.DidYouMean(name, all))
		}
	}
	if !found {
		return nil, errors.New("no table has all these columns: choose those of one of them")
	}
	return out, nil
}

// with returns the table with the columns at some places.
func (t *Table) with(places []int) *Table {
	out := &Table{Title: t.Title}
	for _, place := range places {
		c := t.Columns[place]
		c.Head, c.Key, c.Optional, c.Machine = cmp.Or(c.Head, c.Key), c.address(), 0, false
		out.Columns = append(out.Columns, c)
	}
	choose := func(r Row, cells []Cell) Row {
		if r.Kind == Group {
			return r
		}
		for i, place := range places {
			cells[i] = r.Cell(place)
		}
		return Row{r.Kind, cells}
	}
	for _, r := range t.Rows {
		out.Rows = append(out.Rows, choose(r, make([]Cell, len(places))))
	}
	row := make([]Cell, len(places)) // each is written before the next is made
	out.Made = t.made(func(r Row) Row { return choose(r, row) })
	return out
}
