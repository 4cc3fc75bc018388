package resale_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

var cad = money.MustCurrency("CAD")

// takesAll reports whether a trial was refused because its venue leaves
// nothing; any other refusal is a failure.
func takesAll(t interface{ Fatalf(string, ...any) }, err error) bool {
	if err != nil && !strings.Contains(err.Error(), "of every price or more, so no price exists") {
		t.Fatalf("unexpected error: %v", err)
	}
	return err != nil
}

// run is a range of prices that miss the target, and by how much at most.
type run struct{ from, to, shortfall int64 }

// runs lists the ranges of prices above a price where surplus is below zero.
func runs(surplus []int64, above int64) []run {
	var all []run
	for p := above + 1; p < int64(len(surplus)); p++ {
		switch {
		case surplus[p] >= 0:
		case len(all) > 0 && all[len(all)-1].to == p-1:
			all[len(all)-1].to = p
			all[len(all)-1].shortfall = max(all[len(all)-1].shortfall, -surplus[p])
		default:
			all = append(all, run{p, p, -surplus[p]})
		}
	}
	return all
}

// compareAnswer sets what the package finds against every price from 0 up.
func (t *trial) compareAnswer(surplus []int64) error {
	most := int64(len(surplus) - 1)
	want := int64(slices.IndexFunc(surplus, func(s int64) bool { return s >= 0 }))
	answer, err := resale.Price(&t.sale, resale.AnyEnding)
	if err != nil {
		if missing := new(resale.NoPriceError); !errors.As(err, &missing) || want >= 0 {
			return fmt.Errorf("error %v, want a price of %d", err, want)
		}
		return nil
	}
	got := answer.Price.Minor()
	if want < 0 && got > most {
		return nil
	}
	if got != want {
		return fmt.Errorf("price %d, want %d", got, want)
	}
	o, err := t.sale.At(answer.Price)
	if err != nil || o.Left.Cmp(o.Target) < 0 || o.Left.Minor()-o.Target.Minor() != surplus[got] {
		return fmt.Errorf("at %d: %v, left %v of %v, want a surplus of %d", got, err, o.Left, o.Target, surplus[got])
	}
	return compareGaps(answer, runs(surplus, got), most)
}

func compareGaps(answer resale.Least, want []run, most int64) error {
	var got []run
	for _, g := range answer.Gaps {
		if g.From.Minor() <= most {
			got = append(got, run{g.From.Minor(), min(g.To.Minor(), most), g.Shortfall.Minor()})
		}
	}
	if answer.More {
		want = want[:min(len(want), len(got))]
	}
	if n := len(got); n > 0 && n == len(want) && answer.Gaps[n-1].To.Minor() > most && got[n-1].shortfall >= want[n-1].shortfall {
		got[n-1].shortfall = want[n-1].shortfall // the worst of it may be above what was tried
	}
	if !slices.Equal(got, want) {
		return fmt.Errorf("price %v, gaps %v, want %v", answer.Price, got, want)
	}
	return nil
}

// compareEnding sets the price with an ending against every price.
func (t *trial) compareEnding(surplus []int64, e resale.Ending) error {
	tail := map[resale.Ending]int{resale.Whole00: 0, resale.NinetyFive: 95, resale.NinetyNine: 99}
	want := -1
	for p := range surplus {
		if surplus[p] >= 0 && (e == resale.AnyEnding || p%100 == tail[e]) {
			want = p
			break
		}
	}
	answer, err := resale.Price(&t.sale, e)
	switch {
	case want < 0 && (err != nil || answer.Price.Minor() >= int64(len(surplus))):
		return nil
	case err != nil || answer.Price.Minor() != int64(want):
		return fmt.Errorf("ending %d: price %v, error %v, want %d", e, answer.Price, err, want)
	}
	return nil
}

// TestPriceEveryCent compares with every cent from 0 to 5 000.00, or to less where not all cases
// are tried, for 2 000 schedules that go through all combinations of bases, methods, targets and
// schemes.
func TestPriceEveryCent(t *testing.T) {
	const batches = 8
	most := int64(effort.Cases(500_000, 100_000, 50_000))
	each := effort.Cases(2000, max(200, plans), plans) / batches // each combination once at least
	for batch := range batches {
		t.Run(fmt.Sprint(batch), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(4, uint64(batch)))
			surplus := make([]int64, most+1)
			for i := 0; i < each; i++ {
				trial := dice(r.Int64N).trial(planOf((i*batches+batch)%plans), cad, most)
				if takesAll(t, second(trial.sale.At(money.New(0, trial.sale.Venue.Currency)))) {
					i--
					continue
				}
				surplus = trial.everyPrice(most, surplus)
				err := errors.Join(trial.compareAnswer(surplus), trial.compareEnding(surplus, resale.Ending(r.IntN(4))))
				if err != nil {
					t.Fatalf("schedule %d: %v\n%+v\n%+v", i, err, trial, trial.sale.Venue)
				}
			}
		})
	}
}

// TestPriceLaws states the laws of a price over the whole range of amounts, and
// checks the working against exact fractions.
func TestPriceLaws(t *testing.T) {
	currencies := []money.Currency{cad, money.MustCurrency("JPY"), money.MustCurrency("KWD")}
	rapid.Check(t, func(t *rapid.T) {
		draw := dice(func(n int64) int64 { return rapid.Int64Range(0, n-1).Draw(t, "n") })
		size := rapid.SampledFrom([]int64{400, 50_000, 100_000_000, 500_000_000_000}).Draw(t, "size")
		c := rapid.SampledFrom(currencies).Draw(t, "currency")
		trial := draw.trial(planOf(int(draw(plans))), c, size)
		if takesAll(t, second(trial.sale.At(money.New(0, trial.sale.Venue.Currency)))) {
			return
		}
		trial.checkAt(t, draw(size))
		answer, err := resale.Price(&trial.sale, resale.AnyEnding)
		if missing := new(resale.NoPriceError); errors.As(err, &missing) {
			if p := draw(resale.Highest + 1); !missing.Undecided() && trial.met(p) {
				t.Fatalf("%v, but %d does", err, p)
			}
			return
		}
		price := answer.Price.Minor()
		trial.checkAt(t, price)
		compiled, err := resale.Compile(&trial.sale)
		if err != nil {
			t.Fatal(err)
		}
		if least, ok := compiled.Least(trial.sale.Cost.Minor()); !ok || least != price {
			t.Fatalf("Least %d, %v, want %d", least, ok, price)
		}
		switch {
		case !trial.met(price):
			t.Fatalf("%d loses", price)
		case price > 0 && trial.met(price-1):
			t.Fatalf("%d would have done", price-1)
		case price > 0 && trial.met(draw(price)):
			t.Fatal("a lower price would have done")
		}
		trial.checkAbove(t, answer, price+1+draw(resale.Highest-price))
	})
}

func (t *trial) met(price int64) bool {
	_, met := t.left(price)
	return met
}

// checkAt compares the working of one price with exact fractions.
func (tr *trial) checkAt(t *rapid.T, price int64) {
	c := tr.sale.Venue.Currency
	o, err := tr.sale.At(money.New(price, c))
	if err != nil {
		t.Fatal(err)
	}
	left, met := tr.left(price)
	if ratOf(o.Left.Minor()).Cmp(left) != 0 || (o.Left.Cmp(o.Target) >= 0) != met {
		t.Fatalf("at %d: left %v, met %v, want %v, %v", price, o.Left, o.Left.Cmp(o.Target) >= 0, left, met)
	}
	var sum int64
	for _, l := range o.Steps {
		sum += l.Amount.Minor()
	}
	if sum != o.Net.Minor() || sum-tr.sale.Cost.Minor() != o.Left.Minor() {
		t.Fatalf("at %d: steps sum to %d, net %v, left %v", price, sum, o.Net, o.Left)
	}
}

// checkAbove checks the gaps at their bounds and at one more price.
func (tr *trial) checkAbove(t *rapid.T, a resale.Least, price int64) {
	inGap := false
	for _, g := range a.Gaps {
		from, to := g.From.Minor(), g.To.Minor()
		inGap = inGap || from <= price && price <= to
		if tr.met(from) || tr.met(to) || !tr.met(from-1) || !g.NoEnd && !tr.met(to+1) {
			t.Fatalf("gap %v to %v is not one", g.From, g.To)
		}
	}
	if !a.More && tr.met(price) == inGap {
		t.Fatalf("%d: in a gap: %v, want the other", price, inGap)
	}
}

// FuzzPrice draws small sales from bytes and compares with every price from 0
// to 200.00.
func FuzzPrice(f *testing.F) {
	for i := range plans {
		r := rand.New(rand.NewPCG(7, uint64(i)))
		seed := make([]byte, 60)
		for j := range seed {
			seed[j] = byte(r.Uint32())
		}
		f.Add(i, seed)
	}
	f.Fuzz(func(t *testing.T, i int, data []byte) {
		draw := dice(func(n int64) int64 {
			var x uint32
			for range 3 {
				x <<= 8
				if len(data) > 0 {
					x, data = x|uint32(data[0]), data[1:]
				}
			}
			return int64(x) % n
		})
		trial := draw.trial(planOf(int(uint(i)%plans)), cad, 20_000)
		if takesAll(t, second(trial.sale.At(money.New(0, trial.sale.Venue.Currency)))) {
			return
		}
		surplus := trial.everyPrice(20_000, make([]int64, 20_001))
		for e := range resale.Ending(4) {
			if err := trial.compareEnding(surplus, e); err != nil {
				t.Fatal(err)
			}
		}
		if err := trial.compareAnswer(surplus); err != nil {
			t.Fatal(err)
		}
		for _, p := range []int64{draw(20_001), draw(20_001)} {
			if trial.met(p) != (surplus[p] >= 0) {
				t.Fatalf("the two oracles differ at %d", p)
			}
		}
	})
}
