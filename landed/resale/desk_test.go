package resale_test

import (
	"fmt"
	"reflect"
	"testing"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// TestDesk asks one desk for the prices of many sales at a venue, some of which make no sense, and
// compares with what each comes to by itself.
func TestDesk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := dice(func(n int64) int64 { return rapid.Int64Range(0, n-1).Draw(t, "n") })
		const size = 50_000
		var venues []*resale.Venue
		for range 2 {
			venues = append(venues, draw.trial(planOf(int(draw(plans))), cad, size).sale.Venue)
		}
		var desk resale.Desk
		for range 8 {
			s := draw.trial(planOf(int(draw(plans))), cad, size).sale
			s.Venue = venues[draw(2)]
			s.Charged = cents(draw(2) * 700)
			switch draw(12) {
			case 0:
				s.Offered = 101
			case 1:
				s.Weight = 9 * measure.Kilogram
			case 2:
				s.Cost = money.New(1, money.MustCurrency("JPY"))
			}
			ending, price := resale.Ending(draw(4)), cents(draw(size)-10)
			got, gotErr := desk.Price(&s, ending)
			want, wantErr := resale.Price(&s, ending)
			if fmt.Sprint(gotErr) != fmt.Sprint(wantErr) || !reflect.DeepEqual(got, want) {
				t.Fatalf("got %+v, %v, want %+v, %v", got, gotErr, want, wantErr)
			}
			at, atErr := desk.At(&s, price)
			alone, aloneErr := s.At(price)
			alone.Steps = nil
			if fmt.Sprint(atErr) != fmt.Sprint(aloneErr) || !reflect.DeepEqual(at, alone) {
				t.Fatalf("at %v got %+v, %v, want %+v, %v", price, at, atErr, alone, aloneErr)
			}
		}
	})
}

// tenSteps is a sale with ten steps of postage.
func tenSteps() *resale.Sale {
	sale := &resale.Sale{Venue: threeTiers(), Dispatch: resale.Dispatch{Charged: cents(1450)}, Target: resale.Target{Margin: rate("0.25")}}
	for i := range int64(10) {
		sale.Postage.Steps = append(sale.Postage.Steps, money.Step[measure.Weight]{UpTo: measure.Weight(i+1) * measure.Kilogram, Price: cents(600 + 100*i)})
	}
	return sale
}

// piece makes it the sale of one of many pieces.
func piece(sale *resale.Sale, i int64) {
	sale.Cost, sale.Weight = cents(i*977%400_000), measure.Weight(i%10)*measure.Kilogram
}

// BenchmarkDesk prices pieces of many costs, in several steps of postage, at one venue.
func BenchmarkDesk(b *testing.B) {
	sale := tenSteps()
	var desk resale.Desk
	b.ReportAllocs()
	i := int64(0)
	for b.Loop() {
		piece(sale, i)
		if _, err := desk.Price(sale, resale.AnyEnding); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// TestDeskAllocates: a desk makes something of a venue and of each step of postage, and hardly
// anything of a piece.
func TestDeskAllocates(t *testing.T) {
	sale := tenSteps()
	effort.Grows(t, 100, 2000, 250, 0.3, func(pieces int) float64 {
		return effort.Allocations(func() {
			var desk resale.Desk
			for i := range int64(pieces) {
				piece(sale, i)
				if _, err := desk.Price(sale, resale.AnyEnding); err != nil {
					t.Fatal(err)
				}
			}
		})
	})
}
