package doubles_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// pow is how many minor units of so many digits are one.
func pow(digits int) int64 { return []int64{1, 10, 100, 1000}[digits] }

// TestLeastUnit: what is bought in one currency is sold in another, with and without decimals, for
// every kind of target; the price asked is the first, going up unit by unit, at which what is left
// is as much as the cost and the target, as fractions at the rate.
func TestLeastUnit(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 1))
	below := 0 // a price of so many cases is below that of a cost and a target that are rounded up
	tries := effort.Cases(20_000, 200, 20)
	for range tries {
		home := money.MustCurrency([]string{"CAD", "EUR", "JPY", "KRW"}[rng.IntN(4)])
		venue := money.MustCurrency([]string{"USD", "TWD", "ISK", "KWD"}[rng.IntN(4)])
		per, of := 1+rng.Int64N(300), 1+rng.Int64N(300) // so many of the venue are so many of home
		rate := big.NewRat(per, of)
		one := rate.Num().Int64() * pow(venue.Digits()) / (rate.Denom().Int64() * pow(home.Digits()))
		if one > 20 {
			continue // each unit is tried
		}
		cost := money.New(1+rng.Int64N(800/(one+1)+1), home)
		targets := []resale.Target{{Amount: money.New(1+rng.Int64N(200/(one+1)+1), home)}, {Margin: decimal.New(rng.Int64N(5000), -4)}, {Markup: decimal.New(rng.Int64N(9000), -4)}, {}}
		target := targets[rng.IntN(4)]
		h := &landed.Haul{Home: home, Market: typed.Market(time.Time{}, fmt.Sprintf("%d %s = %d %s", per, venue, of, home)),
			Lots: []landed.Lot{{ID: "a", Price: cost, Items: []landed.Item{{ID: "x", Count: 1, Value: cost}}}}}
		percent := resale.Fee{What: "commission", Bands: []resale.Band{{Rate: decimal.New(rng.Int64N(3000), -4)}}, Fixed: money.New(rng.Int64N(90), venue)}
		plan := &selling.Plan{Venues: []resale.Venue{{Name: "gable", Currency: venue, Fees: []resale.Fee{percent}}}, Target: target}
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		r, err := doubles.Price(h, plan, st, doubles.Options{})
		if err != nil {
			t.Fatal(err)
		}
		needed := func(a money.Amount) *big.Rat { // in units of the venue
			x := new(big.Rat).Mul(a.Decimal().Rat(), rate)
			return x.Mul(x, big.NewRat(pow(venue.Digits()), 1))
		}
		least := func(cost, amount *big.Rat, target resale.Target) int64 {
			for p := int64(0); ; p++ {
				fee := percent.Bands[0].Rate.Rat()
				fee.Mul(fee, new(big.Rat).SetInt64(p)).Add(fee, new(big.Rat).SetInt64(percent.Fixed.Minor())) // rounded half away from zero
				fee.Add(fee, big.NewRat(1, 2))
				left := new(big.Rat).SetInt64(p - new(big.Int).Div(fee.Num(), fee.Denom()).Int64())
				left.Sub(left, cost).Sub(left, amount).Sub(left, new(big.Rat).Mul(target.Margin.Rat(), new(big.Rat).SetInt64(p)))
				if left.Sub(left, new(big.Rat).Mul(target.Markup.Rat(), cost)).Sign() >= 0 {
					return p
				}
			}
		}
		q := r.Quote(&r.Offers[0])
		amount := new(big.Rat)
		if target.Amount.Currency() != 0 {
			amount = needed(target.Amount)
		}
		want := least(needed(cost), amount, target)
		if q.Ask.Err != nil || q.Ask.Price.Minor() != want {
			t.Errorf("%s at %d %s = %d %s, %s, %s and %s: %v %v, want %d", cost, per, venue, of, home, target, percent.Bands[0].Rate, percent.Fixed, q.Ask.Price, q.Ask.Err, want)
		}
		if even := least(needed(cost), new(big.Rat), resale.Target{}); q.BreakEven.Price.Minor() != even {
			t.Errorf("%s at %d %s = %d %s: even at %v, want %d", cost, per, venue, of, home, q.BreakEven.Price, even)
		}
		sale := q.Sale()
		at, err := sale.At(q.Ask.Price)
		under, err2 := sale.At(money.New(max(want-1, 0), venue))
		if err != nil || err2 != nil || at.Left.Cmp(at.Target) < 0 || want > 0 && under.Left.Cmp(under.Target) >= 0 {
			t.Errorf("at %s left %s of %s, below it %s of %s, %v %v", q.Ask.Price, at.Left, at.Target, under.Left, under.Target, err, err2)
		}
		up := sale
		up.Exact = nil
		if once, err := new(resale.Desk).Price(&up, resale.AnyEnding); err == nil && once.Price.Minor() > want {
			below++
		}
	}
	if below < tries/50 {
		t.Errorf("only %d prices are below those of what was rounded up first", below)
	}
	t.Log(below, "of", tries)
}
