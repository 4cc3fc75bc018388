package customs_test

import (
	"testing"
	"time"

	"lotcost/landed/customs"
)

// TestScope reads from the prose of the rules what they look at: Canada's value
// for duty leaves the freight out (Memorandum D13-3-5) and its threshold is by
// the parcel; New Zealand counts the goods of a day; Japan the value for
// customs, freight included, of one seller's parcels of a day; Britain's VAT is
// on freight too.
func TestScope(t *testing.T) {
	day := time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		to                                string
		together, hangs, sellers, freight bool
	}{
		{"CA-ON", false, false, false, false},
		{"GB", false, false, false, true},
		{"NZ", true, false, false, true},
		{"JP", true, true, true, true},
	} {
		r, err := customs.NewBook().For(c.to, day)
		if err != nil {
			t.Fatal(err)
		}
		if r.CountsTogether() != c.together || r.HangsOnDivision(false) != c.hangs || r.HangsOnDivision(true) != c.sellers || r.CountsFreight() != c.freight {
			t.Errorf("%s: counts together %t, hangs on the division %t (of several sellers %t), counts freight %t; want %+v",
				c.to, r.CountsTogether(), r.HangsOnDivision(false), r.HangsOnDivision(true), r.CountsFreight(), c)
		}
	}
}
