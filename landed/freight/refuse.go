package freight

import (
	"fmt"
	"math"
	"strings"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Limit is a reason for which a service does not take a parcel.
type Limit uint8

// The limits.
const (
	LimitWeight          Limit = iota // the actual weight
	LimitTable                        // the billed weight, which the price table does not reach
	LimitLongest                      // the longest side
	LimitLengthPlusGirth              // the longest side and the girth
	LimitSumOfSides                   // length, width and height together
	LimitValue                        // the value of the contents
	LimitCover                        // the value that can be insured
	LimitContents                     // what is in it
)

var limitNames = []string{"weight", "billed weight", "longest side", "length plus girth", "sum of sides", "value", "insured value", "contents"}

// String names what the limit is on.
func (l Limit) String() string { return nameOf(limitNames, l) }

// Break is one limit that a parcel breaks.
type Break struct {
	Limit   Limit
	Lots    []string // the lots that break it by themselves; all of the box when only together they do
	Alone   bool     // whether each of Lots breaks it by itself
	Found   string   // the parcel's figure, or the contents
	Allowed string   // the most that is taken, tolerance included; empty for contents
	Over    string   // Found less Allowed; empty for contents
	By      int64    // Over in nanograms, micrometres or minor units
}

// String returns it in words, as files and results have it.
func (b *Break) String() string {
	var text strings.Builder
	for i, lot := range b.Lots {
		switch {
		case i == 0 && len(b.Lots) == 1:
			text.WriteString("lot ")
		case i == 0:
			text.WriteString("lots ")
		case i == len(b.Lots)-1:
			text.WriteString(" and ")
		default:
			text.WriteString(", ")
		}
		fmt.Fprintf(&text, "%q", lot)
	}
	switch {
	case len(b.Lots) == 0:
		text.WriteString("the parcel")
	case len(b.Lots) > 1 && b.Alone:
		text.WriteString(", each by itself")
	case len(b.Lots) > 1:
		text.WriteString(" in one parcel")
	}
	if b.Limit == LimitContents {
		fmt.Fprintf(&text, ": %q is not taken", b.Found)
	} else {
		fmt.Fprintf(&text, ": %s %s is %s over the %s allowed", b.Limit, b.Found, b.Over, b.Allowed)
	}
	return text.String()
}

// RefusedError tells that a service does not take a parcel, and every limit it
// breaks.
type RefusedError struct {
	Service string
	Breaks  []Break
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *RefusedError) Error() string {
	texts := make([]string, len(e.Breaks))
	for i := range e.Breaks {
		texts[i] = e.Breaks[i].String()
	}
	return fmt.Sprintf("service %q refuses %s", e.Service, strings.Join(texts, "; "))
}

// test is a figure of a box beside what is allowed.
type test struct {
	limit          Limit
	found, allowed int64
}

// form is the place of the limits that a box goes by.
func (b *Box) form() int {
	if b.Roll {
		return 1
	}
	return 0
}

// tests compares a box with every limit that is a number.
func (t *Tariff) tests(b *Box, billed measure.Weight) [7]test {
	l := &t.limits[b.form()]
	longest, _, _ := b.Size.Sorted()
	cover := int64(math.MaxInt64)
	if len(t.cover.upTo) > 0 {
		cover = t.cover.most()
	}
	return [7]test{
		{LimitWeight, int64(b.Weight), l.weight},
		{LimitTable, int64(billed), t.weights.most()},
		{LimitLongest, int64(longest), l.longest},
		{LimitLengthPlusGirth, int64(b.Size.LengthPlusGirth()), l.girth},
		{LimitSumOfSides, int64(b.Size.SumOfSides()), l.sides},
		{LimitValue, b.Value.Minor(), l.value},
		{LimitCover, t.insured(b), cover},
	}
}

// refusal is nil, or a [*RefusedError] with all that the box breaks.
func (t *Tariff) refusal(b *Box, billed measure.Weight) error {
	e := &RefusedError{Service: t.service.Name}
	for _, test := range t.tests(b, billed) {
		if test.found > test.allowed {
			e.Breaks = append(e.Breaks, t.broken(b, test))
		}
	}
	for i := range b.Lots {
		for _, c := range b.Lots[i].Contents {
			if t.refuses(c) {
				e.Breaks = append(e.Breaks, Break{Limit: LimitContents, Lots: []string{b.Lots[i].ID}, Alone: true, Found: c})
			}
		}
	}
	if len(e.Breaks) == 0 {
		return nil
	}
	return e
}

// broken describes a failed test and finds the lots to blame.
func (t *Tariff) broken(b *Box, failed test) Break {
	r := Break{Limit: failed.limit, By: failed.found - failed.allowed, Alone: true}
	r.Found, r.Allowed, r.Over = t.print(r.Limit, failed.found), t.print(r.Limit, failed.allowed), t.print(r.Limit, r.By)
	for i := range b.Lots {
		if t.breaksAlone(b, i, failed.limit) {
			r.Lots = append(r.Lots, b.Lots[i].ID)
		}
	}
	if len(r.Lots) > 0 {
		return r
	}
	r.Alone = len(b.Lots) == 1
	for i := range b.Lots {
		r.Lots = append(r.Lots, b.Lots[i].ID)
	}
	return r
}

// breaksAlone reports whether the lot, packed by itself, breaks the limit.
func (t *Tariff) breaksAlone(b *Box, lot int, limit Limit) bool {
	alone, err := Pack(b.Lots[lot:lot+1], b.packing)
	if err != nil {
		return false
	}
	w, err := t.weigh(&alone)
	if err != nil {
		return false
	}
	for _, test := range t.tests(&alone, w.billed) {
		if test.limit == limit && test.found > test.allowed {
			return true
		}
	}
	return false
}

func (t *Tariff) print(l Limit, n int64) string {
	switch l {
	case LimitWeight, LimitTable:
		return measure.Weight(n).String()
	case LimitValue, LimitCover:
		return money.New(n, t.service.Currency).String()
	}
	return measure.Length(n).String()
}
