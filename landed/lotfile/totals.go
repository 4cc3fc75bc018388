package lotfile

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"lotcost/landed"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// totals are what a line of a list is called that sums up those above it, as
// spreadsheets in several languages have it.
var totals = []string{"total", "totals", "grand total", "sum", "sub-total", "subtotal", "in all",
	"summe", "gesamt", "gesamtsumme", "zwischensumme", "somme", "total général", "sous-total", "totaal", "subtotaal",
	"totale", "subtotale", "somma", "suma", "soma", "summa", "razem", "yhteensä", "итого", "всего", "合計", "小計", "总计", "합계"}

// isTotal refuses a line that sums up the items above it: by what it is called,
// or, where it has no name, by its figures.
func (l *itemList) isTotal() bool {
	place := 0
	switch id, what := l.of("id"), l.of("what"); {
	case l.sums.items == 0:
		return false
	case isTotalName(id):
		place = l.columnOf("id").place
	case isTotalName(what):
		place = l.columnOf("what").place
	case id+what != "" && !beginsAsTotal(cmp.Or(id, what)) || !l.sumsUp():
		return false
	}
	l.fail(l.at(place), "", "this line sums up those above it and is no item", "take the row out; if it is a piece, call it something else")
	return true
}

// isTotalName reports whether a line that is called so sums up those above it.
func isTotalName(name string) bool {
	if strings.ContainsAny(name, "0123456789") {
		return false // as most ids, and no such word
	}
	name = strings.Trim(name, " :.=")
	return slices.ContainsFunc(totals, func(total string) bool { return strings.EqualFold(total, name) })
}

// beginsAsTotal reports whether a name may be that of a sum, as Total (3), Summe EUR or Gesamtwert:
// an item may be called so too.
func beginsAsTotal(name string) bool {
	first := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && r != '-' })
	return len(first) > 0 && (isTotalName(first[0]) || strings.HasPrefix(strings.ToLower(first[0]), "gesamt"))
}

// sumsUp reports whether a figure of the record is the sum of two items or more
// above it, by item or by piece.
func (l *itemList) sumsUp() bool {
	s := &l.sums
	count, err := strconv.ParseInt(l.figure("count"), 10, 64)
	counts := err == nil && count == s.count
	weight, err := measure.ParseWeight(l.figure("weight"))
	weighs := err == nil && (weight == s.weight || weight == s.allWeight)
	value, err := money.ParseIn(l.figure("value"), l.home)
	worth := err == nil && (value == s.value || value == s.allValue)
	return s.items > 1 && s.Err == nil && (counts || weighs || worth)
}

// sums are those of a list so far: of one piece of each item, and of all.
type sums struct {
	items, count      int64
	weight, allWeight measure.Weight
	value, allValue   money.Amount
	tally.Tally       // its error is that some sum is too large, or in several currencies
}

func (s *sums) add(item *landed.Item) {
	s.items++
	s.count += item.Count // of a million lines at most
	s.allWeight = s.weighed(s.allWeight.Add(s.weighed(item.Weight.Mul(item.Count))))
	s.weight = s.weighed(s.weight.Add(item.Weight))
	if item.Value.Currency() == 0 {
		return
	}
	if s.value.Currency() == 0 {
		s.value = money.New(0, item.Value.Currency())
		s.allValue = s.value
	}
	s.allValue = s.Add(s.allValue, s.Times(item.Value, item.Count))
	s.value = s.Add(s.value, item.Value)
}

func (s *sums) weighed(w measure.Weight, err error) measure.Weight {
	s.Of(money.Amount{}, err)
	return w
}
