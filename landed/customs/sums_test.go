package customs_test

import (
	"fmt"
	"math/big"
	"slices"
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
		reported := func(p customs.Parcel) string {
			duty, tax, fees, err := m.Parcel([]customs.Parcel{p})
			return fmt.Sprint(duty, tax, fees, err)
		}
		want, merged := reported(c.Parcels[0]), byClass(c.Parcels[0])
		if got := reported(merged); got != want {
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
		if got := reported(merged); got != want {
			t.Fatalf("by values %s, by lines %s", got, want)
		}
	})
	if yes+no >= 100 && (yes < no/9 || no == 0) || yes+no >= 1000 && (values == 0 || values == yes) {
		t.Errorf("%d by sums, %d of them by values, %d not", yes, values, no)
	}
}

// byClass is a parcel with one line for all of a class.
func byClass(p customs.Parcel) customs.Parcel {
	lines, at := p.Lines, map[string]int{}
	p.Lines = nil
	for _, l := range lines {
		i, known := at[l.Class]
		if !known {
			at[l.Class] = len(p.Lines)
			p.Lines = append(p.Lines, l)
			continue
		}
		all := &p.Lines[i]
		all.Count, all.Weight = all.Count+l.Count, all.Weight+l.Weight
		all.Value, all.Freight, all.Insurance = plus(all.Value, l.Value), plus(all.Freight, l.Freight), plus(all.Insurance, l.Insurance)
	}
	return p
}

// TestLinear: where a parcel of little value and one of more went the same ways, so do those on the
// line between them, and what they bear lies on a line too, but for what roundings may do at it and
// at its ends, in fractions.
func TestLinear(t *testing.T) {
	same, other := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		c.Parcels = c.Parcels[:1]
		m, err := customs.NewMeter(r, c)
		if err != nil {
			t.Fatal(err)
		}
		if !m.Sums() {
			return
		}
		most, steepest, rises := m.Rounded()
		worth := int64(0)
		steps := rapid.Int64Range(2, 9).Draw(t, "steps")
		parcel := byClass(c.Parcels[0])
		var each []int64
		for range parcel.Lines {
			each = append(each, rapid.SampledFrom([]int64{0, 7, 150, 3_331, 80_001}).Draw(t, "each"))
			worth += each[len(each)-1]
		}
		at := func(i int64) (int64, uint64) {
			p := parcel
			p.Lines = slices.Clone(parcel.Lines)
			for n := range p.Lines {
				p.Lines[n].Value = plus(p.Lines[n].Value, money.New(i*each[n], r.Currency))
			}
			duty, tax, fees, err := m.Parcel([]customs.Parcel{p})
			if err != nil {
				t.Skip("the rate is not known")
			}
			sum := duty.Minor() + tax.Minor()
			for _, f := range fees {
				sum += f.Amount.Minor()
			}
			return sum, m.Trail()
		}
		low, from := at(0)
		high, upTo := at(steps)
		if from != upTo {
			other++
			return
		}
		same++
		before := low
		rise := new(big.Rat).SetInt64(high - low)
		if rise.Sub(rise, new(big.Rat).Mul(steepest, big.NewRat(steps*worth, 1))).Cmp(new(big.Rat).Add(most, most)) > 0 {
			t.Fatalf("%s: from %d to %d for %d more of value", c.To, low, high, steps*worth)
		}
		for i := int64(1); i < steps; i++ {
			sum, trail := at(i)
			off := new(big.Rat).SetInt64(sum)
			off.Sub(off, big.NewRat((steps-i)*low+i*high, steps))
			if trail != from || off.Abs(off).Cmp(new(big.Rat).Add(most, most)) > 0 || rises && sum < before {
				t.Fatalf("%s: %d of %d on the way from %d to %d: %d, off by %s where %s is the most; the same ways: %t", c.To, i, steps, low, high, sum, off.FloatString(2), most.FloatString(2), trail == from)
			}
			before = sum
		}
	})
	if same+other >= 100 && (same == 0 || other == 0) {
		t.Errorf("%d went the same ways and %d did not", same, other)
	}
}

func plus(a, b money.Amount) money.Amount { return money.New(a.Minor()+b.Minor(), a.Currency()) }
