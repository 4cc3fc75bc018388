package customs_test

import (
	"fmt"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestSums: where a meter says that sums over classes tell all, a parcel with one line for each
// class bears what the parcel does; where values do, so does one of other weights, numbers and
// freight.
func TestSums(t *testing.T) {
	yes, no, values := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		c.Parcels = c.Parcels[:1]
		if rapid.Bool().Draw(t, "one class") {
			for j := range c.Parcels[0].Lines {
				c.Parcels[0].Lines[j].Class = "plane"
			}
		}
		m, err := customs.NewMeter(r, c)
		if err != nil {
			t.Fatal(err)
		}
		if !m.Sums() {
			no++
			return
		}
		yes++
		told := func(p customs.Parcel) string {
			duty, tax, fees, err := m.Parcel([]customs.Parcel{p})
			return fmt.Sprint(duty, tax, fees, err)
		}
		want, merged, at := told(c.Parcels[0]), c.Parcels[0], map[string]int{}
		merged.Lines = nil
		for _, l := range c.Parcels[0].Lines {
			i, known := at[l.Class]
			if !known {
				at[l.Class] = len(merged.Lines)
				merged.Lines = append(merged.Lines, l)
				continue
			}
			all := &merged.Lines[i]
			all.Count, all.Weight = all.Count+l.Count, all.Weight+l.Weight
			all.Value, all.Freight, all.Insurance = plus(all.Value, l.Value), plus(all.Freight, l.Freight), plus(all.Insurance, l.Insurance)
		}
		if got := told(merged); got != want {
			t.Fatalf("by classes %s, by lines %s", got, want)
		}
		if !m.Values() {
			return
		}
		values++
		for i := range merged.Lines {
			l := &merged.Lines[i]
			l.Count, l.Weight = l.Count+rapid.Int64Range(0, 5).Draw(t, "more"), 2*l.Weight
			l.Freight, l.Insurance = plus(l.Freight, l.Value), plus(l.Insurance, l.Value)
		}
		if got := told(merged); got != want {
			t.Fatalf("by values %s, by lines %s", got, want)
		}
	})
	if yes+no >= 100 && (yes < no/9 || no == 0) || yes+no >= 1000 && (values == 0 || values == yes) {
		t.Errorf("%d by sums, %d of them by values, %d not", yes, values, no)
	}
}

func plus(a, b money.Amount) money.Amount { return money.New(a.Minor()+b.Minor(), a.Currency()) }
