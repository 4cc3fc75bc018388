package sheet

import (
	"cmp"
	"fmt"
	"slices"
)

// Batch is some of many rows of a page, which is folded; where they are few all of them, without a
// title.
type Batch[R any] struct {
	ID, Title string
	Open      bool
	Rows      []R
}

// AtOnce is how many rows of pieces a page shows without folds; inFold is how many stand in one, or
// fewer where a lot ends.
const (
	AtOnce = 30
	inFold = 50
)

// InBatches parts rows, each of a lot and called something, where there are more on the page than
// are shown at once; id is what tells their parts from others.
func InBatches[R any](id string, rows []R, many bool, of func(*R) (lot, name string)) (parts []Batch[R]) {
	if !many {
		return append(parts, Batch[R]{Rows: rows})[:min(1, len(rows))]
	}
	for len(rows) > 0 {
		lot, first := of(&rows[0])
		last, n := lot, 1
		for ; n < min(len(rows), inFold); n++ {
			next, _ := of(&rows[n])
			if next != last && n >= inFold/2 {
				break
			}
			last = next
		}
		_, name := of(&rows[n-1])
		title := BatchTitle(n, first, name)
		switch {
		case last != lot:
			title = fmt.Sprintf("%s to %s: %d items", lot, last, n)
		case lot != "":
			title = lot + ": " + title
		}
		parts = append(parts, Batch[R]{ID: fmt.Sprintf("%s-%d", id, len(parts)+1), Title: title, Rows: rows[:n:n]})
		rows = rows[n:]
	}
	return parts
}

// BatchTitle says how many rows there are, and which.
func BatchTitle(n int, first, last string) string {
	if n == 1 {
		return cmp.Or(first, "1 item")
	}
	return fmt.Sprintf("%d items, %s to %s", n, first, last)
}

// grouped is a record with the heading above it.
type grouped struct{ head, row Row }

// folds reports whether a page has the records of the table in folds.
func (t *Table) folds() bool {
	n := 0
	for _, r := range t.Rows {
		if r.Kind == Body {
			n++
		}
	}
	return t.Folds && n > AtOnce
}

// inFolds are the records of a table in folds, and behind those that they are of the sums; by hauls
// or days, where the first column is of these. All have room where the whole table would have it.
func (t *Table) inFolds(id string) (list []Block) {
	of := func(topic string) *Table {
		other := *t
		other.Title, other.Topic, other.Folds, other.Rows = "", topic, false, nil
		other.stacked = t.stackClass(t.pageColumns())
		return &other
	}
	name := max(0, slices.IndexFunc(t.Columns, Column.isItem))
	ordered := t.Columns[0].Key == "haul" || t.Columns[0].Key == "date"
	var head Row
	parts := 0
	for rows := t.Rows; len(rows) > 0; {
		var run []grouped
		for ; len(rows) > 0 && rows[0].Kind != Sum; rows = rows[1:] {
			if rows[0].Kind == Group {
				head = rows[0]
			} else {
				run = append(run, grouped{head, rows[0]})
			}
		}
		for _, p := range InBatches(id, run, true, func(r *grouped) (lot, id string) {
			if ordered {
				return r.row.Cell(0).Text, r.row.Cell(name).Text
			}
			return r.head.Cell(0).Data, r.row.Cell(name).Text
		}) {
			parts++
			records := of(p.Title)
			for i, r := range p.Rows {
				if r.head.Kind == Group && (i == 0 || r.head.Cell(0) != p.Rows[i-1].head.Cell(0)) {
					records.Rows = append(records.Rows, r.head)
				}
				records.Rows = append(records.Rows, r.row)
			}
			list = append(list, &Folded{Title: p.Title, ID: fmt.Sprintf("%s-%d", id, parts), Many: true, Blocks: []Block{records}})
		}
		sums := of("sum")
		for ; len(rows) > 0 && rows[0].Kind == Sum; rows = rows[1:] {
			sums.Rows = append(sums.Rows, rows[0])
		}
		if len(sums.Rows) > 0 {
			list = append(list, sums)
		}
	}
	return list
}
