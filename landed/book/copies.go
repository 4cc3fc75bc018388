package book

import (
	"cmp"
	"hash/maphash"
	"slices"
	"strings"

	"lotcost/landed/source"
)

// seed is that of all prints.
var seed = maphash.MakeSeed()

// printOf is the same for hauls of one day that say the same of what was bought, whatever was found
// and sold of it since.
func printOf(e *Entry) uint64 {
	var print maphash.Hash
	print.SetSeed(seed)
	number := func(n int64) { maphash.WriteComparable(&print, n) }
	h := e.Statement.Haul
	number(h.Date.Unix())
	maphash.WriteComparable(&print, h.Title)
	for i := range h.Lots {
		lot := &h.Lots[i]
		maphash.WriteComparable(&print, [3]string{lot.ID, lot.Seller, lot.Title})
		number(lot.Price.Minor())
		for j := range lot.Items {
			item := &lot.Items[j]
			maphash.WriteComparable(&print, [3]string{item.ID, item.What, item.Model})
			number(item.Count)
		}
	}
	return print.Sum64()
}

// copies tells of each haul that says the same as one before it by name: a copy of its file is
// counted again.
func (l *ledger) copies() source.Faults {
	var order []int
	for i := range l.hauls {
		if l.hauls[i].File != "" {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(l.prints[a], l.prints[b]), strings.Compare(l.hauls[a].File, l.hauls[b].File))
	})
	var faults source.Faults
	for i, first := 1, 0; i < len(order); i++ {
		if l.prints[order[i]] != l.prints[order[first]] {
			first = i
			continue
		}
		file := l.hauls[order[i]].File
		faults = append(faults, &source.Fault{At: source.Origin{File: file}, Warning: true,
			What: "the same was bought on that day as in " + from(file, l.hauls[order[first]].File) + ", and both are counted", Remedy: "if it is a copy, take it out of the folder"})
	}
	slices.SortFunc(faults, func(a, b *source.Fault) int { return strings.Compare(a.At.File, b.At.File) })
	return faults
}

// from is the path of another file from the last folder that both lie in.
func from(file, other string) string {
	n := 0
	for n < min(len(file), len(other)) && file[n] == other[n] {
		n++
	}
	return other[strings.LastIndexAny(other[:n], `/\`)+1:]
}
