package parcels

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// What limits are on, beside the contents.
const (
	limitWeight  = "weight"        // the actual one
	limitTable   = "billed weight" // which the price table does not reach
	limitLongest = "longest side"
	limitGirth   = "length plus girth"
	limitSides   = "sum of sides"
	limitValue   = "value"
	limitCover   = "insured value"
)

// test is a figure of a box beside what is allowed, the most that is taken, tolerance included; in
// nanograms, micrometres or minor units.
type test struct {
	limit          string
	found, allowed int64
}

// breach is one limit that a parcel breaks.
type breach struct {
	test              // none of the contents
	says     string   // how the limit is broken
	Lots     []string // those that break it by themselves; nil when only all of the box together do
	together []string // those of the box, when only together they break it
}

// by tells which lots break the limit, in which way they do so, and by how much.
func (b *breach) by(lots []string, way string) string {
	who := "the parcel"
	if len(lots) > 0 {
		quoted := make([]string, len(lots))
		for i, lot := range lots {
			quoted[i] = strconv.Quote(lot)
		}
		last := len(lots) - 1
		who = "lot " + quoted[last]
		if last > 0 {
			who = "lots " + strings.Join(quoted[:last], ", ") + " and " + quoted[last]
		}
	}
	return who + way + ": " + b.says
}

// form is the place of the limits that a box goes by.
func (b *Box) form() int {
	if b.roll {
		return 1
	}
	return 0
}

// tests compares a box with every limit that is a number.
func (t *Tariff) tests(b *Box, billed measure.Weight) [7]test {
	l := &t.limits[b.form()]
	longest, _, _ := sorted(b.Size)
	cover := int64(math.MaxInt64)
	if len(t.cover.upTo) > 0 {
		cover = t.cover.most()
	}
	return [7]test{
		{limitWeight, int64(b.Weight), l.weight},
		{limitTable, int64(billed), t.weights.most()},
		{limitLongest, int64(longest), l.longest},
		{limitGirth, lengthPlusGirth(b.Size), l.girth},
		{limitSides, sumOfSides(b.Size), l.sides},
		{limitValue, b.Value.Minor(), l.value},
		{limitCover, t.insured(b), cover},
	}
}

// refusal is nil, or a [*RefusedError] with all that the box breaks.
func (t *Tariff) refusal(b *Box, billed measure.Weight) error {
	breaches := t.breaches(b, billed)
	if len(breaches) == 0 {
		return nil
	}
	e := &RefusedError{Service: t.service.Name}
	texts := make([]string, len(breaches))
	for i := range breaches {
		b, way := &breaches[i], ""
		if len(b.Lots) > 1 {
			way = ", each by itself"
		}
		texts[i] = b.by(b.Lots, way)
		e.Limits = append(e.Limits, texts[i])
		if len(b.together) > 0 {
			texts[i] = b.by(b.together, " in one parcel")
		}
	}
	e.Why = "refuses " + strings.Join(texts, "; ")
	return e
}

func (t *Tariff) breaches(b *Box, billed measure.Weight) []breach {
	var breaches []breach
	var alone []Box // each lot packed by itself
	tests := t.tests(b, billed)
	for i, test := range tests {
		const weight, table = 0, 1
		if i == table && len(breaches) > 0 && tests[weight].found > test.allowed {
			continue // what it weighs is said to be too much
		}
		if test.found <= test.allowed {
			continue
		}
		if alone == nil {
			alone = b.apart()
		}
		breaches = append(breaches, t.broken(b, alone, i, test))
	}
	for i := range b.Lots {
		for _, c := range b.Lots[i].Contents {
			if t.refuses(c) {
				breaches = append(breaches, breach{Lots: []string{b.Lots[i].ID}, says: fmt.Sprintf("%q is not taken", c)})
			}
		}
	}
	return breaches
}

// apart packs each lot of a box by itself; a box without lots is one that cannot be made.
func (b *Box) apart() []Box {
	alone := make([]Box, len(b.Lots))
	for i := range alone {
		if boxes, err := Pack(b.Lots[i:i+1], b.packing); err == nil {
			alone[i] = boxes[0]
		}
	}
	return alone
}

// broken describes a failed test, by its place, and finds the lots to blame.
func (t *Tariff) broken(b *Box, alone []Box, place int, failed test) breach {
	print := func(n int64) string { return t.print(failed.limit, n) }
	r := breach{test: failed, says: fmt.Sprintf("%s %s is %s over the %s allowed", failed.limit, print(failed.found), print(failed.found-failed.allowed), print(failed.allowed))}
	for i := range alone {
		if t.breaks(&alone[i], place) {
			r.Lots = append(r.Lots, b.Lots[i].ID)
		}
	}
	for i := range b.Lots {
		switch {
		case len(r.Lots) > 0:
		case len(b.Lots) == 1: // packed by hand, it weighs more than it would by itself
			r.Lots = []string{b.Lots[i].ID}
		default:
			r.together = append(r.together, b.Lots[i].ID)
		}
	}
	return r
}

func (t *Tariff) breaks(b *Box, place int) bool {
	w, err := t.weigh(b)
	test := t.tests(b, w.billed)[place]
	return err == nil && b.Lots != nil && test.found > test.allowed
}

func (t *Tariff) print(limit string, n int64) string {
	switch limit {
	case limitWeight, limitTable:
		return measure.Weight(n).String()
	case limitValue, limitCover:
		return money.New(n, t.service.Currency).String()
	}
	return measure.Length(n).String()
}
