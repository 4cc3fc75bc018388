package source

import "fmt"

// Origin is where something was typed. The zero value is nowhere: it was made
// by a program. Line and Column count from 1, columns in characters.
//
// An origin that was put [Origin.In] a text also finds what stands below it.
type Origin struct {
	File         string // its name, as it was given; "" where there is none
	Line, Column int

	in    *Text
	sheet bool // lines are rows of a sheet
}

// InSheet returns the origin as one of a sheet, in which a line is a row: it
// prints as "file:B7".
func (o Origin) InSheet() Origin {
	o.sheet = true
	return o
}

// columnName is the name of a column, counted from 1, in spreadsheets: A to Z, AA
// and so on.
func columnName(n int) string {
	name := ""
	for ; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// String prints "file:line:column", leaving out what is not known.
func (o Origin) String() string {
	switch {
	case o.Line == 0:
		return o.File
	case o.sheet:
		return fmt.Sprintf("%s:%s%d", o.File, columnName(o.Column), o.Line)
	case o.Column == 0:
		return fmt.Sprintf("%s:%d", o.File, o.Line)
	}
	return fmt.Sprintf("%s:%d:%d", o.File, o.Line, o.Column)
}

// Key returns where the value of a key below a group of keys stands, or the key
// itself where the value begins on another line: Key("goal", "return") is that
// of return in the group goal. Where a key is not there it is the place of the
// last one that is.
func (o Origin) Key(keys ...string) Origin { return o.find(keys, -1) }

// Entry is Key for an entry, counted from 0, of the list that a key holds, or
// of the list that begins here. A single value counts as a list of one.
func (o Origin) Entry(i int, keys ...string) Origin { return o.find(keys, i) }

func (o Origin) find(keys []string, entry int) Origin {
	if o.in == nil {
		return o
	}
	return (*o.in)(o, keys, entry)
}

// Text finds places in a text that was read: where what stands below a place, by its keys and,
// unless it is negative, the number of an entry, begins. Where there is no such key it is the place
// of the last one that is.
type Text func(from Origin, keys []string, entry int) Origin

// In returns the origin as one of a text.
func (o Origin) In(t *Text) Origin {
	o.in = t
	return o
}

// Or returns the origin as one that also finds what stands below another: a key
// is looked for where more of the way to it is there, here first.
func (o Origin) Or(other Origin) Origin {
	text := Text(func(_ Origin, keys []string, entry int) Origin {
		if other.reach(keys) > o.reach(keys) {
			return other.find(keys, entry)
		}
		return o.find(keys, entry)
	})
	return o.In(&text)
}

// reach counts the keys, from the first one on, that stand below the origin.
func (o Origin) reach(keys []string) int {
	at := o
	for i := range keys {
		next := o.Key(keys[:i+1]...)
		if next.In(nil) == at.In(nil) {
			return i
		}
		at = next
	}
	return len(keys)
}
