package landed_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// TestSplitter: a haul that is split in the room of another costs what it costs by itself, or is
// refused with the same words, and the check between leaves nothing behind.
func TestSplitter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s landed.Splitter
		for range rapid.IntRange(2, 5).Draw(t, "hauls") {
			a := arbitrary{t, rapid.SampledFrom([]int{0, 300, 60}).Draw(t, "wild")}
			h := a.haul()
			for range rapid.IntRange(0, 2).Draw(t, "checks") {
				if got, want := fmt.Sprint(s.Check(h)), fmt.Sprint(h.Check()); got != want {
					t.Fatalf("checked as\n%s\nwant\n%s", got, want)
				}
			}
			if rapid.Bool().Draw(t, "without open prices") {
				h = h.WithoutOpen()
			}
			st, err := s.Split(h)
			got := reported(st, err)
			if want := reported(landed.Split(h)); got != want {
				t.Fatalf("split as\n%s\nwant\n%s", got, want)
			}
		}
	})
}

func rate(st *landed.Statement, l *landed.Line) decimal.Decimal {
	t := st.Terms(l)
	return t.Rate()
}

// reported is a statement in a text, or why there is none.
func reported(st *landed.Statement, err error) string {
	if err != nil {
		return err.Error()
	}
	var b strings.Builder
	fmt.Fprintln(&b, st.Total, st.Loss, st.Unknown, st.WasFound, st.Estimate(), st.Rates())
	for i := range st.Lines {
		l := &st.Lines[i]
		fmt.Fprintln(&b, l.What, l.Kind, l.Parcel, l.Lot, l.Item, l.Asked(), l.Home, l.By, l.AsEstimated, rate(st, l))
	}
	for _, lot := range st.Lots {
		fmt.Fprintln(&b, lot.ID, lot.Cost)
	}
	for i := range st.Items {
		item := &st.Items[i]
		fmt.Fprintln(&b, item.ID, item.Lot.ID, item.Cost, item.Moved(), item.Each())
		for k := range landed.Kind(landed.Kinds) {
			fmt.Fprint(&b, item.Share(k), item.Bears(k), " ")
		}
	}
	if st.Border != nil {
		fmt.Fprintf(&b, "%+v %+v", st.Border.Parcels, st.Border.Missing)
	}
	return b.String()
}
