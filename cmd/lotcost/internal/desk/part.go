package desk

import (
	"cmp"
	"fmt"
)

// part is some of many rows of a page, which is folded; where they are few all of them, without a
// title.
type part[R any] struct {
	ID, Title string
	Open      bool
	Rows      []R
}

// How many rows a page shows at once, and how many stand in one fold, or fewer where a lot ends.
const (
	atOnce = 30
	inFold = 50
)

// inParts parts rows, each of a lot and called something, where there are many on the page; id is
// what tells their parts from others.
func inParts[R any](id string, rows []R, many bool, of func(*R) (lot, name string)) (parts []part[R]) {
	if !many {
		return append(parts, part[R]{Rows: rows})[:min(1, len(rows))]
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
		if last != lot {
			lot += " to " + last
		}
		parts = append(parts, part[R]{ID: fmt.Sprintf("%s-%d", id, len(parts)+1), Title: lot + ": " + titled(n, first, name), Rows: rows[:n:n]})
		rows = rows[n:]
	}
	return parts
}

// titled says how many rows there are, and which.
func titled(n int, first, last string) string {
	if n == 1 {
		return cmp.Or(first, "1 item")
	}
	return fmt.Sprintf("%d items, %s to %s", n, first, last)
}
