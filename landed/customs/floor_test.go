package customs_test

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/internal/floor"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// redivided draws another division of the lines over parcels, with freight, insurance and fees of
// each, and tells which line, in the order of the consignments, went where, and what was added: to
// freight and insurance, of the parcel and of each line, and to the fees.
func redivided(t *rapid.T, r *customs.Rules, c *customs.Consignments) (_ *customs.Consignments, lines [][]int, freight, falls, fees []int64) {
	out := *c
	out.Parcels = nil
	parcels := rapid.IntRange(1, 4).Draw(t, "boxes")
	lines, freight, fees = make([][]int, parcels), make([]int64, parcels), make([]int64, parcels)
	sellers := make([][]string, parcels)
	held := make([][]customs.Line, parcels)
	n := 0
	for i := range c.Parcels {
		for _, l := range c.Parcels[i].Lines {
			at := rapid.IntRange(0, parcels-1).Draw(t, "box")
			falls = append(falls, 0)
			for k, to := range []*money.Amount{&l.Freight, &l.Insurance, &l.OtherFees} {
				more := rapid.Int64Range(0, []int64{3000, 300, 900}[k]).Draw(t, "more freight")
				*to = money.New(to.Minor()+more, r.Currency)
				if k < 2 {
					freight[at] += more
					falls[n] += more
				} else {
					fees[at] += more
				}
			}
			lines[at], held[at] = append(lines[at], n), append(held[at], l)
			sellers[at] = append(sellers[at], c.Parcels[i].Seller)
			n++
		}
	}
	for at := parcels - 1; at >= 0; at-- {
		if len(held[at]) == 0 {
			lines, freight, fees = slices.Delete(lines, at, at+1), slices.Delete(freight, at, at+1), slices.Delete(fees, at, at+1)
			held, sellers = slices.Delete(held, at, at+1), slices.Delete(sellers, at, at+1)
		}
	}
	for at := range held {
		p := c.Parcels[0]
		p.Lines, p.Seller = held[at], ""
		slices.Sort(sellers[at])
		if p.Sellers = slices.Compact(sellers[at]); len(p.Sellers) == 1 {
			p.Seller, p.Sellers = p.Sellers[0], nil
		}
		out.Parcels = append(out.Parcels, p)
	}
	return &out, lines, freight, falls, fees
}

// TestFloors: whatever travels together, a parcel is charged no less than the floor of its price
// says.
func TestFloors(t *testing.T) {
	met, far, all := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r, c := anyCase(t)
		private := !c.Parcels[0].TaxPaid && rapid.Bool().Draw(t, "private")
		for i := range c.Parcels {
			c.Parcels[i].TaxPaid, c.Parcels[i].Private = c.Parcels[0].TaxPaid, private
		}
		m, err := customs.NewMeter(r, c)
		if err != nil {
			t.Fatal(err)
		}
		divided, lines, freight, falls, fees := redivided(t, r, c)
		most := int64(math.MaxInt64)
		if rapid.Bool().Draw(t, "most is known") {
			most = rapid.Int64Range(0, 2000).Draw(t, "no more")
			for n := range freight {
				most = max(most, freight[n]+fees[n])
			}
		}
		list := m.Floors(most)
		a, err := customs.Assess(r, divided)
		if err != nil {
			t.Fatal(err)
		}
		for n := range a.Parcels {
			p := &a.Parcels[n]
			goods := int64(0)
			for _, l := range divided.Parcels[n].Lines {
				goods += l.Value.Minor()
			}
			asked := func(l *floor.Levy) *big.Rat {
				sum := new(big.Rat).Set(l.Fixed)
				for _, i := range lines[n] {
					sum.Add(sum, l.Each[i])
					sum.Add(sum, new(big.Rat).Mul(l.Share[i], big.NewRat(falls[i], 1)))
				}
				for _, h := range l.Heads {
					if slices.ContainsFunc(lines[n], func(i int) bool { return h.Of[i] }) {
						sum.Add(sum, h.Sum)
					}
				}
				return sum.Add(sum, new(big.Rat).Mul(l.OnFees, big.NewRat(fees[n], 1)))
			}
			at := slices.IndexFunc(list[:len(list)-1], func(f floor.Floor) bool {
				counted := new(big.Rat).Mul(f.Counted, big.NewRat(freight[n], 1))
				return counted.Cmp(big.NewRat(f.UpTo-goods, 1)) <= 0 && (f.Owing == nil || asked(f.Owing).Sign() <= 0)
			})
			if at < 0 {
				at = len(list) - 1
			}
			sum := asked(&list[at].Levy)
			charged := p.Duty.Minor() + p.Tax.Minor() + p.FeeSum().Minor()
			if sum.Cmp(big.NewRat(charged, 1)) > 0 {
				t.Fatalf("%s from %s: parcel %d of goods %d is charged %d, below its floor of %s", r.Territory, r.From.Format("2006-01-02"), n, goods, charged, sum.FloatString(3))
			}
			all++
			if gap := new(big.Rat).Sub(big.NewRat(charged, 1), sum); charged > 0 && gap.Cmp(big.NewRat(charged, 20)) > 0 {
				far++
			} else if charged > 0 {
				met++
			}
		}
	})
	t.Logf("of %d parcels %d are charged within a twentieth of their floor, %d more", all, met, far)
}

// TestFloorOfAFeeWithAMost: the post of Switzerland asks 16 CHF and 3 % of the value, 70 CHF at
// most (its page, as in rules/ch.yaml), with tax of 8.1 % on both. Of goods of 1000 CHF it is known
// to be 46 CHF though the freight may be 4000 CHF, of 1900 CHF to be 70 CHF.
func TestFloorOfAFeeWithAMost(t *testing.T) {
	day := time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)
	r, err := customs.NewBook().For("CH", day)
	if err != nil {
		t.Fatal(err)
	}
	for goods, fee := range map[int64]int64{100_000: 4600, 190_000: 7000} {
		c := &customs.Consignments{On: day, From: "JP", To: "CH", Mode: customs.Post, Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &customs.Rate{}}}}
		for _, of := range []int64{goods, 300_000} {
			c.Parcels = append(c.Parcels, customs.Parcel{Lines: []customs.Line{{ID: fmt.Sprint(of), Class: "tool", Count: 1, Value: money.New(of, r.Currency)}}})
		}
		m, err := customs.NewMeter(r, c)
		if err != nil {
			t.Fatal(err)
		}
		list := m.Floors(400_000)
		at := slices.IndexFunc(list, func(f floor.Floor) bool { return f.Owing == nil && goods <= f.UpTo })
		sum := new(big.Rat).Add(list[at].Fixed, list[at].Each[0])
		want := big.NewRat(fee+goods*81/1000+fee*81/1000, 1)
		if gap := new(big.Rat).Sub(want, sum); gap.Sign() < 0 || gap.Cmp(big.NewRat(150, 1)) > 0 {
			t.Errorf("%d: %s is asked at least, want little less than %s", goods, sum.FloatString(2), want.FloatString(2))
		}
	}
}
