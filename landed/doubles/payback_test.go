package doubles

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func cents(minor int64) money.Amount { return money.New(minor, money.MustCurrency("CAD")) }

// paidBack is the payback of a cost by so many pieces of each offer, at what one of them brings.
func paidBack(cost int64, counts, nets []int64) (Payback, error) {
	w := &worker{home: money.MustCurrency("CAD"), Result: &Result{Statement: &landed.Statement{Total: cents(cost)}, Kept: Kept{Sold: cents(0)}}}
	for i, n := range nets {
		w.Offers = append(w.Offers, Offer{Holding: selling.Holding{Count: counts[i]}, net: cents(n)})
	}
	err := w.payBack()
	return w.Payback, err
}

func TestPayBack(t *testing.T) {
	tests := []struct {
		name string
		cost int64
		want Payback
	}{
		{"nothing to pay", 0, Payback{Over: cents(0)}},
		{"the first of the best", 2500, Payback{Over: cents(0), Steps: []PaybackStep{{1, 1, cents(2500)}}}},
		{"ties by order", 6201, Payback{Over: cents(1199),
			Steps: []PaybackStep{{1, 2, cents(5000)}, {0, 2, cents(7400)}}}},
		{"never", 9000, Payback{Over: cents(-400),
			Steps: []PaybackStep{{1, 2, cents(5000)}, {0, 2, cents(7400)}, {3, 1, cents(8600)}}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := paidBack(tt.cost, []int64{2, 2, 1, 1}, []int64{1200, 2500, -300, 1200})
			if err != nil || !reflect.DeepEqual(got, tt.want) {
				t.Errorf("got  %+v, %v\nwant %+v", got, err, tt.want)
			}
		})
	}
	if _, err := paidBack(math.MaxInt64, []int64{1, 1}, []int64{math.MaxInt64 - 1, math.MaxInt64 - 1}); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("got %v, want %v", err, money.ErrOverflow)
	}
}

// TestPayBackIsLeast compares with every choice of single pieces.
func TestPayBackIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nets := rapid.SliceOfN(rapid.Int64Range(-5, 40), 0, 9).Draw(t, "nets")
		cost := rapid.Int64Range(-5, 200).Draw(t, "cost")
		counts := make([]int64, len(nets))
		least := -1
		for choice := range 1 << len(nets) {
			var sum int64
			pieces := 0
			for i, n := range nets {
				counts[i] = 1
				if choice>>i&1 == 1 {
					sum, pieces = sum+n, pieces+1
				}
			}
			if sum >= cost && (least < 0 || pieces < least) {
				least = pieces
			}
		}
		got, err := paidBack(cost, counts, nets)
		pieces, sum := 0, int64(0)
		for _, s := range got.Steps {
			pieces, sum = pieces+int(s.Pieces), sum+s.Pieces*nets[s.Offer]
			if s.Sum.Minor() != sum {
				t.Errorf("step %+v, but %d are brought", s, sum)
			}
		}
		if err != nil || (got.Over.Sign() >= 0) != (least >= 0) || (got.Over.Sign() >= 0) && pieces != least {
			t.Errorf("got %+v, %v, want %d pieces", got, err, least)
		}
		if got.Over.Minor() != sum-cost {
			t.Errorf("over %v, sum %v, cost %d", got.Over, sum, cost)
		}
	})
}

// commission is a venue that takes 10% and 0.30, with sending at 9.00.
func commission() *resale.Venue {
	return &resale.Venue{Name: "gable", Currency: money.MustCurrency("CAD"), Dispatch: resale.Dispatch{Postage: resale.Postage{Fixed: cents(900)}},
		Fees: []resale.Fee{{What: "commission", Fixed: cents(30), Bands: []resale.Band{{Rate: decimal.New(1, -1)}}}}}
}

// TestOneOfFourPays: of four alike pieces bought for one price, one working
// resale can pay for the lot. (Common practice, no source.)
func TestOneOfFourPays(t *testing.T) {
	s := &resale.Sale{Venue: commission(), Cost: cents(4500)} // all four, on the one that is sold
	least, err := new(resale.Desk).Price(s, resale.AnyEnding)
	if err != nil {
		t.Fatal(err)
	}
	out, err := s.At(least.Price)
	if err != nil {
		t.Fatal(err)
	}
	got, err := paidBack(4500, []int64{4}, []int64{out.Net.Minor()})
	want := Payback{Steps: []PaybackStep{{0, 1, cents(4500)}}, Over: cents(0)}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v, want %+v", got, err, want)
	}
}

// TestCompareSet sells two pieces that cost 10.00 each at 30.00 singly, and at 55.00 together.
func TestCompareSet(t *testing.T) {
	v := commission()
	one, pair := resale.Sale{Venue: v, Cost: cents(1000)}, resale.Sale{Venue: v, Cost: cents(2000), Pieces: 2}
	o := &Offer{Holding: selling.Holding{Each: []landed.Pieces{{Count: 2}}}}
	s := &Set{Price: cents(5500)}
	// 55.00 - 5.80 - 9.00 - 20.00, and 2 x (30.00 - 3.30 - 9.00 - 10.00)
	if err := s.compare(&resale.Desk{}, &pair, o, []resale.Sale{one}, cents(3000)); err != nil || s.Together != cents(2020) || s.Singly != cents(1540) {
		t.Errorf("got %+v, %v", s, err)
	}
	s.Price = cents(-1)
	const want = `venue "gable": price: "-0.01 CAD" is negative: write an amount of 0 or more`
	if err := s.compare(&resale.Desk{}, &pair, o, []resale.Sale{one}, cents(3000)); err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}
