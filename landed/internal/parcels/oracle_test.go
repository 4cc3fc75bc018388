package parcels_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// The oracle works the price of a box out again, in fractions and by walking
// through the printed table one line at a time. It shares nothing with the
// package but the types.

func rat(n int64) *big.Rat { return big.NewRat(n, 1) }

// multiple is the least multiple of step that is not below x, found by counting.
func multiple(x *big.Rat, step int64) *big.Rat {
	if step == 0 {
		return x
	}
	n := new(big.Int).Quo(x.Num(), new(big.Int).Mul(x.Denom(), big.NewInt(step)))
	for m := n; ; m.Add(m, big.NewInt(1)) {
		if got := new(big.Rat).SetInt(new(big.Int).Mul(m, big.NewInt(step))); got.Cmp(x) >= 0 {
			return got
		}
	}
}

// half rounds half up to a whole number.
func half(x *big.Rat) *big.Rat {
	x = new(big.Rat).Add(x, big.NewRat(1, 2))
	return new(big.Rat).SetInt(new(big.Int).Quo(x.Num(), x.Denom()))
}

func oracleVolumetric(v *freight.Service, s measure.Size) *big.Rat {
	volume := rat(1)
	for _, side := range []measure.Length{s.L, s.W, s.H} {
		cm := new(big.Rat).Quo(multiple(rat(int64(side)), int64(v.WholeTo)), rat(int64(measure.Centimetre)))
		volume.Mul(volume, cm)
	}
	volume.Quo(volume, rat(v.Divisor))
	return multiple(volume.Mul(volume, rat(int64(measure.Kilogram))), 1)
}

func oracleBilled(s *freight.Service, weight measure.Weight, sides measure.Size) *big.Rat {
	counts := rat(int64(weight))
	if s.Divisor > 0 && sides != (measure.Size{}) {
		volumetric := oracleVolumetric(s, sides)
		if s.Billed == freight.VolumeOnly || s.Billed == freight.Greater && volumetric.Cmp(counts) > 0 {
			counts = volumetric
		}
	}
	if least := rat(int64(s.Minimum)); least.Cmp(counts) > 0 {
		counts = least
	}
	return multiple(counts, int64(s.RoundTo))
}

// walk reads a price off a table, and is nil beyond its end.
func walk(x *big.Rat, upTo, price []int64, each, further int64) *big.Rat {
	for i, bound := range upTo {
		if x.Cmp(rat(bound)) <= 0 {
			return rat(price[i])
		}
	}
	if each == 0 {
		return nil
	}
	bound, total := rat(upTo[len(upTo)-1]), rat(price[len(price)-1])
	for x.Cmp(bound) > 0 {
		bound.Add(bound, rat(each))
		total.Add(total, rat(further))
	}
	return total
}

// oracleTotal is the price of a box in minor units, nil when the table or the
// cover ends below it.
func oracleTotal(s *freight.Service, b *parcels.Box) *big.Rat {
	var upTo, price []int64
	for _, step := range s.Zones[0].Steps {
		upTo, price = append(upTo, int64(step.UpTo)), append(price, step.Price.Minor())
	}
	postage := walk(oracleBilled(s, b.Weight, b.Size), upTo, price, int64(s.Zones[0].Further.UpTo), s.Zones[0].Further.Price.Minor())
	if postage == nil {
		return nil
	}
	parcel := rat(s.PerParcel.Minor())
	fueled := new(big.Rat).Set(postage)
	if s.FuelOnAll {
		fueled.Add(fueled, parcel)
	}
	total := half(fueled.Mul(fueled, s.Fuel.Rat()))
	total.Add(total, postage).Add(total, parcel)
	cover := oracleCover(&s.Insurance, b)
	if cover == nil {
		return nil
	}
	return total.Add(total, cover)
}

func oracleCover(n *freight.Insurance, b *parcels.Box) *big.Rat {
	value := rat(b.Value.Minor())
	if b.Uninsured || value.Sign() == 0 {
		return new(big.Rat)
	}
	if len(n.Steps) > 0 {
		var upTo, price []int64
		for _, step := range n.Steps {
			upTo, price = append(upTo, step.UpTo.Minor()), append(price, step.Price.Minor())
		}
		return walk(value, upTo, price, n.Further.UpTo.Minor(), n.Further.Price.Minor())
	}
	if n.Rate.IsZero() {
		return new(big.Rat)
	}
	cover := half(value.Mul(value, n.Rate.Rat()))
	if least := rat(n.Least.Minor()); least.Cmp(cover) > 0 {
		return least
	}
	return cover
}

func genService(t *rapid.T) freight.Service {
	minor := func(name string, most int64) money.Amount {
		return money.New(rapid.Int64Range(0, most).Draw(t, name), cad)
	}
	grams := func(name string, from, to int) measure.Weight {
		return measure.Weight(rapid.IntRange(from, to).Draw(t, name)) * measure.Gram
	}
	s := freight.Service{Name: "Any", Currency: cad, PerParcel: minor("per parcel", 500), Minimum: grams("minimum", 0, 400)}
	s.RoundTo = measure.Weight(rapid.SampledFrom([]int{0, 1, 50, 70, 500}).Draw(t, "round to")) * measure.Gram
	s.Fuel, s.FuelOnAll = percent(rapid.SampledFrom([]string{"0%", "12.5%", "7.77%", "101%"}).Draw(t, "fuel")), rapid.Bool().Draw(t, "fuel of")
	s.Divisor, s.Billed = rapid.SampledFrom([]int64{4000, 5000, 6000}).Draw(t, "divisor"), freight.Billed(rapid.IntRange(0, 2).Draw(t, "billed"))
	s.WholeTo = measure.Length(rapid.IntRange(0, 1).Draw(t, "whole")) * measure.Centimetre
	zone := freight.Zone{}
	upTo, price := measure.Weight(0), int64(0)
	for range rapid.IntRange(1, 6).Draw(t, "steps") {
		upTo += grams("step", 1, 900)
		price = max(0, price+rapid.Int64Range(-200, 1500).Draw(t, "price")) // now and then a heavier step is cheaper
		zone.Steps = append(zone.Steps, money.Step[measure.Weight]{UpTo: upTo, Price: money.New(price, cad)})
	}
	if rapid.Bool().Draw(t, "further") {
		zone.Further = money.Step[measure.Weight]{UpTo: grams("each", 40, 700), Price: minor("further price", 400)}
	}
	s.Zones = []freight.Zone{zone}
	switch rapid.IntRange(0, 2).Draw(t, "insurance") {
	case 1:
		s.Insurance = freight.Insurance{Rate: percent("1.35%"), Least: minor("least", 300)}
	case 2:
		s.Insurance.Steps = []money.Step[money.Amount]{{UpTo: amount("100 CAD"), Price: minor("cover", 300)}, {UpTo: amount("300 CAD"), Price: minor("cover", 900)}}
		if rapid.Bool().Draw(t, "further cover") {
			s.Insurance.Further = money.Step[money.Amount]{UpTo: amount("77 CAD"), Price: minor("further cover price", 300)}
		}
	}
	return s
}

func genBox(t *rapid.T) parcels.Box {
	b := parcels.Box{
		Weight: measure.Weight(rapid.IntRange(1, 5000).Draw(t, "g")) * measure.Gram, Uninsured: rapid.Bool().Draw(t, "uninsured"),
		Value: money.New(rapid.Int64Range(0, 60000).Draw(t, "value"), cad),
	}
	if rapid.Bool().Draw(t, "sized") {
		side := rapid.Custom(func(t *rapid.T) measure.Length {
			return measure.Length(rapid.IntRange(1, 400).Draw(t, "mm")) * (measure.Centimetre / 10)
		})
		b.Size = measure.Size{L: side.Draw(t, "l"), W: side.Draw(t, "w"), H: side.Draw(t, "h")}
	}
	return b
}

// A quote is the oracle's to the cent, its lines sum to its total, and the fast
// path says the same.
func TestQuoteAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := genService(t), genBox(t)
		want := oracleTotal(&s, &b)
		tariff := must(parcels.Compile(&s, "", on))
		carriage, insurance, ok := tariff.Price(&b)
		minor := carriage + insurance
		q, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		if want == nil {
			if got := broken(t, err); ok || !slices.Contains([]string{"billed weight", "insured value", "billed weight; insured value"}, got) {
				t.Fatalf("taken for %d, %v", minor, err)
			}
			return
		}
		if err != nil || !ok || rat(q.Total.Minor()).Cmp(want) != 0 || minor != q.Total.Minor() {
			t.Fatalf("got %s, %v and %d, %t, want %s", q.Total, err, minor, ok, want.RatString())
		}
		if billed := oracleBilled(&s, b.Weight, b.Size); rat(int64(q.Billed)).Cmp(billed) != 0 {
			t.Fatalf("billed %s, want %s ng", q.Billed, billed.RatString())
		}
		total := money.New(0, cad)
		for _, line := range q.Lines {
			total = must(total.Add(line.Amount))
		}
		if total != q.Total {
			t.Fatalf("lines sum to %s, not %s", total, q.Total)
		}
		cost, ok := tariff.Cost(q.Billed)
		if cover, okCover := tariff.Insurance(b.Value.Minor()); !ok || cost != carriage || !b.Uninsured && (!okCover || cover != insurance) {
			t.Fatalf("carriage %d and %d, insurance %d and %d", cost, carriage, cover, insurance)
		}
		least := func(most int64, what string) int64 { return rapid.Int64Range(0, most).Draw(t, what) }
		held := parcels.Lot{Size: b.Size}
		insured := b.Value.Minor()
		if b.Uninsured {
			insured = 0
		}
		floor, cover, ok := tariff.Floor(measure.Weight(least(int64(b.Weight), "least")), least(held.Volume(), "least volume"), least(insured, "least value"))
		if !ok || floor > carriage || cover > insurance {
			t.Fatalf("floor %d and %d, %t, carriage %d, insurance %d", floor, cover, ok, carriage, insurance)
		}
		if most, ok := tariff.Most(b.Weight+measure.Weight(least(1e12, "heavier")), insured+least(1000, "dearer"), b.Size != (measure.Size{})); ok && carriage+insurance > most {
			t.Fatalf("most %d, carriage %d, insurance %d", most, carriage, insurance)
		}
	})
}

// NextCheaper is what trying every gram below finds.
func TestNextCheaperByEveryGram(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := genService(t), genBox(t)
		s.Divisor, s.Billed = 0, freight.Actual
		b.Size, b.Weight = measure.Size{}, b.Weight%(1200*measure.Gram)
		q, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		if err != nil {
			return
		}
		var less measure.Weight
		var saves int64
		for w := b.Weight - measure.Gram; w > 0; w -= measure.Gram {
			lighter := b
			lighter.Weight = w
			if total := oracleTotal(&s, &lighter); total.Cmp(rat(q.Total.Minor())) < 0 {
				less, saves = b.Weight-w, q.Total.Minor()-total.Num().Int64()
				break
			}
		}
		if n := q.NextCheaper; n.Actual != less || n.Volumetric != 0 || n.Saves.Minor() != saves {
			t.Fatalf("got %+v, want %s less and %d", n, less, saves)
		}
	})
}

// With volume in play, taking away what NextCheaper says from both weights gives
// the price it says, and a gram less does not.
func TestNextCheaperByVolume(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := genService(t), genBox(t)
		s.WholeTo = 0
		q, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		if err != nil || q.NextCheaper == (parcels.NextCheaper{}) {
			return
		}
		n, tariff := q.NextCheaper, must(parcels.Compile(&s, "", on))
		counts := func(actual, volumetric measure.Weight) int64 {
			switch {
			case !b.Sized() || s.Billed == freight.Actual:
				volumetric = actual
			case s.Billed == freight.Greater:
				volumetric = max(actual, volumetric)
			}
			minor, _ := tariff.Cost(volumetric)
			return minor
		}
		now := counts(q.Weight, q.Volumetric)
		if got := now - counts(q.Weight-n.Actual, q.Volumetric-n.Volumetric); got != n.Saves.Minor() {
			t.Fatalf("%s: saves %d", n, got)
		}
		for _, d := range []struct{ actual, volumetric measure.Weight }{{min(n.Actual, 1), 0}, {0, min(n.Volumetric, 1)}} {
			if d.actual+d.volumetric > 0 && counts(q.Weight-n.Actual+d.actual, q.Volumetric-n.Volumetric+d.volumetric) < now {
				t.Fatalf("%s: a nanogram less would do", n)
			}
		}
	})
}

// The floor of a weight is the least that any weight from there on costs, also by a table that
// falls: steps are of whole grams and end before 7 kg, and each unit beyond them costs more.
func TestFloorByEveryGram(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := genService(t)
		s.Minimum, s.RoundTo, s.Divisor, s.Billed, s.Limits = 0, 0, 0, freight.Actual, freight.Limits{}
		tariff := must(parcels.Compile(&s, "", on))
		least := int64(math.MaxInt64)
		for w := 7 * measure.Kilogram; w > 0; w -= measure.Gram {
			minor, ok := tariff.Cost(w)
			if !ok {
				continue
			}
			least = min(least, minor)
			if floor, insurance, ok := tariff.Floor(w, 0, 0); !ok || floor != least || insurance != 0 {
				t.Fatalf("%s: floor %d and %d, %t, want %d", w, floor, insurance, ok, least)
			}
		}
	})
}

// The heaviest weight is taken and the next step is not.
func TestHeaviest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := genService(t)
		s.Minimum = 0
		if rapid.Bool().Draw(t, "limited") {
			s.Limits.Weight = measure.Weight(rapid.IntRange(1, 5000).Draw(t, "limit")) * measure.Gram
		}
		s.Divisor, s.Billed = 0, freight.Actual
		tariff := must(parcels.Compile(&s, "", on))
		w := tariff.Heaviest()
		if w > 10*measure.Kilogram {
			return // no end
		}
		_, _, under := tariff.Price(&parcels.Box{Weight: w})
		_, _, over := tariff.Price(&parcels.Box{Weight: w + 1})
		if _, _, floor := tariff.Floor(w+1, 0, 0); under != (w > 0) || over || floor {
			t.Fatalf("%s: taken %t, a nanogram more %t", w, under, over)
		}
	})
}

// A parcel is refused exactly when it breaks a limit, by how much it says, and
// the lots named are those that break it by themselves, or else all.
func TestRefusal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots, p := genLots(t, 5), genPacking(t)
		for i := range lots {
			lots[i].ID = fmt.Sprint("lot", i)
		}
		cm := func(name string, to int) measure.Length {
			return measure.Length(rapid.IntRange(1, to).Draw(t, name)) * measure.Centimetre
		}
		s := freight.Service{Name: "Any", Currency: cad, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: kg("1000 kg"), Price: amount("1 CAD")}}}}}
		s.Limits = freight.Limits{
			Weight: measure.Weight(rapid.IntRange(1, 9000).Draw(t, "limit")) * measure.Gram, Longest: cm("longest", 60), LengthPlusGirth: cm("girth", 200), SumOfSides: cm("sum", 120),
			Value: money.New(rapid.Int64Range(1, 150000).Draw(t, "value"), cad),
		}
		b := must(pack(lots, p))
		want := map[string]int64{}
		for limit, over := range exceeds(&s.Limits, &b) {
			if over > 0 {
				want[limit] = over
			}
		}
		_, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		minor, _, ok := must(parcels.Compile(&s, "", on)).Price(&b)
		var refused *parcels.RefusedError
		if !errors.As(err, &refused) {
			if err != nil || len(want) > 0 || !ok || minor != 100 {
				t.Fatalf("%v, %d, %t, want %v", err, minor, ok, want)
			}
			return
		}
		breaches := must(parcels.Breaches(&s, b, on, ""))
		if ok || len(breaches) != len(want) || len(refused.Limits) != len(want) {
			t.Fatalf("%v, want %v", err, want)
		}
		for _, r := range breaches {
			culprits, alone := blame(t, lots, p, &s.Limits, r.Limit())
			if r.By() != want[r.Limit()] || alone && !slices.Equal(r.Lots, culprits) || !alone && (r.Lots != nil || !slices.Equal(r.Together(), culprits)) {
				t.Fatalf("%+v, want %d, %v", r, want[r.Limit()], culprits)
			}
		}
	})
}

func exceeds(l *freight.Limits, b *parcels.Box) map[string]int64 {
	sides := []measure.Length{b.Size.L, b.Size.W, b.Size.H}
	slices.Sort(sides)
	return map[string]int64{
		"weight":            int64(b.Weight - l.Weight),
		"longest side":      int64(sides[2] - l.Longest),
		"length plus girth": int64(sides[2] + 2*sides[1] + 2*sides[0] - l.LengthPlusGirth),
		"sum of sides":      int64(sides[0] + sides[1] + sides[2] - l.SumOfSides),
		"value":             b.Value.Minor() - l.Value.Minor(),
	}
}

func blame(t *rapid.T, lots []parcels.Lot, p freight.Packing, l *freight.Limits, limit string) (culprits []string, alone bool) {
	var all []string
	for i := range lots {
		b := must(pack(lots[i:i+1], p))
		if exceeds(l, &b)[limit] > 0 {
			culprits = append(culprits, lots[i].ID)
		}
		all = append(all, lots[i].ID)
	}
	if len(culprits) > 0 {
		return culprits, true
	}
	if len(lots) == 1 {
		t.Fatalf("one lot breaks %s, and not by itself", limit)
	}
	return all, false
}

// The best of all shapes never costs more than the box of least volume.
func TestBestIsNeverDearer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, lots, p := genService(t), genLots(t, 6), genPacking(t)
		b := must(pack(lots, p))
		one, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		if err != nil {
			return
		}
		best, err := parcels.Ask(&s, must(parcels.Pack(lots, p)), on, "")
		if err != nil || best.Total.Cmp(one.Total) > 0 {
			t.Fatalf("best %s, one %s, %v", best.Total, one.Total, err)
		}
	})
}
