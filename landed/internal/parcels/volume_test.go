package parcels_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/testdata/effort"
)

// TestMostVolume: no box that a service takes holds lots of more volume than it says, nor is any
// less outside, and some come near to either.
func TestMostVolume(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 108))
	yen, err := money.ParseCurrency("JPY")
	if err != nil {
		t.Fatal(err)
	}
	cm := func(least, spread int) measure.Length {
		return measure.Length(least+r.IntN(spread)) * measure.Centimetre
	}
	fullest, least, taken := 0.0, 0.0, 0
	for range effort.Cases(20_000, 5_000, 2_000) {
		s := &freight.Service{Name: "surface", Currency: yen, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(900, yen)}}}}}
		for i, limit := range []*measure.Length{&s.Limits.Longest, &s.Limits.LengthPlusGirth, &s.Limits.SumOfSides} {
			if r.IntN(2) == 0 {
				*limit = cm(20, 20+40*i)
			}
		}
		s.Limits.Tolerance = measure.Length(r.IntN(2_000))
		tariff, err := parcels.Compile(s, "", time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		var lots []parcels.Lot
		volume := int64(0)
		for range 1 + r.IntN(3) {
			side := cm(3, 25)
			l := parcels.Lot{ID: "lot", Weight: measure.Gram, Size: measure.Size{L: side + cm(0, 20)*measure.Length(r.IntN(2)), W: side, H: side}}
			lots, volume = append(lots, l), volume+l.Volume()
		}
		p := freight.Packing{Padding: measure.Length(r.IntN(15_000))}
		boxes, err := parcels.Pack(lots, p)
		if err != nil {
			t.Fatal(err)
		}
		most := tariff.MostVolume(p.Padding)
		for i := range boxes {
			outside, atLeast := (&parcels.Lot{Size: boxes[i].Size}).Volume(), parcels.Outside(volume, p.Padding)
			if outside < atLeast {
				t.Fatalf("%s with padding of %s holds %d mm3, which is said to take %d at least", boxes[i].Size, p.Padding, volume, atLeast)
			}
			least = max(least, float64(atLeast)/float64(outside))
			if _, _, ok := tariff.Price(&boxes[i]); !ok {
				continue
			}
			taken++
			if volume > most {
				t.Fatalf("%+v takes %s, which hold %d mm3, with padding of %s, and says %d at most", s.Limits, boxes[i].Size, volume, p.Padding, most)
			}
			if most < math.MaxInt64 {
				fullest = max(fullest, float64(volume)/float64(most))
			}
		}
	}
	if taken < 500 || fullest < 0.8 || least < 0.99 {
		t.Errorf("%d boxes were taken, the fullest held %.2f of the most, the tightest was %.2f of its size at least", taken, fullest, least)
	}
}

// TestFullest: the volume of the largest lot that fits below limits, with padding of 1 cm, is no
// more than is said, which is no more than 1 mm on each side adds: that of a cube of the longest
// side, or of a third of the sum of the sides; of length plus girth G of one of G/3, G/6 and G/6,
// or as long as may be and a quarter of the rest wide and high.
func TestFullest(t *testing.T) {
	const cm = measure.Centimetre
	for _, c := range []struct {
		limits freight.Limits
		size   measure.Size
	}{
		{freight.Limits{Longest: 32 * cm}, measure.Size{L: 30 * cm, W: 30 * cm, H: 30 * cm}},
		{freight.Limits{SumOfSides: 96 * cm}, measure.Size{L: 30 * cm, W: 30 * cm, H: 30 * cm}},
		{freight.Limits{LengthPlusGirth: 118 * cm}, measure.Size{L: 36 * cm, W: 18 * cm, H: 18 * cm}},
		{freight.Limits{LengthPlusGirth: 118 * cm, Longest: 32 * cm}, measure.Size{L: 30 * cm, W: 39 * cm / 2, H: 39 * cm / 2}},
		{freight.Limits{LengthPlusGirth: 118 * cm, Longest: 37 * cm, Tolerance: 1 * cm}, measure.Size{L: 36 * cm, W: 73 * cm / 4, H: 73 * cm / 4}},
	} {
		s := &freight.Service{Name: "surface", Currency: cad, Limits: c.limits, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(900, cad)}}}}}
		tariff := must(parcels.Compile(s, "", time.Time{}))
		lot := parcels.Lot{ID: "lot", Weight: measure.Gram, Size: c.size}
		boxes := must(parcels.Pack([]parcels.Lot{lot}, freight.Packing{Padding: cm}))
		if _, _, ok := tariff.Price(&boxes[0]); !ok {
			t.Fatalf("%+v does not take %s", c.limits, boxes[0].Size)
		}
		if volume, most := lot.Volume(), tariff.MostVolume(cm); volume > most || float64(most) > 1.011*float64(volume) {
			t.Errorf("%+v holds %d mm3, and says %d", c.limits, volume, most)
		}
	}
}

// TestPackForServices: of the boxes packed for some services each asks as little as of all boxes.
func TestPackForServices(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	taken, fewer := 0, 0
	for range effort.Cases(4_000, 1_000, 300) {
		var all parcels.Services
		var tariffs []*parcels.Tariff
		for range 1 + r.IntN(4) {
			tariffs = append(tariffs, must(parcels.Compile(anyService(r), "", time.Time{})))
			all.Admit(tariffs[len(tariffs)-1])
		}
		var lots []parcels.Lot
		for range 1 + r.IntN(9) {
			side := func(most int) measure.Length { return measure.Length(1+r.IntN(most)) * measure.Centimetre / 4 }
			lots = append(lots, parcels.Lot{ID: "lot", Weight: 300 * measure.Gram, Size: measure.Size{L: side(120), W: side(90), H: side(60)}, Roll: r.IntN(3) == 0})
		}
		p := freight.Packing{Padding: measure.Length(r.IntN(25_000))}
		every, some := must(parcels.Pack(lots, p)), must(all.Pack(lots, p))
		if len(some) < len(every) {
			fewer++
		}
		for _, tariff := range tariffs {
			want, okWant := leastOf(tariff, every)
			got, ok := leastOf(tariff, some)
			if got != want || ok != okWant {
				t.Fatalf("of %d boxes it asks %d, %t, of all %d %d, %t", len(some), got, ok, len(every), want, okWant)
			}
			if ok {
				taken++
			}
		}
	}
	if taken < 200 || fewer < 100 {
		t.Errorf("%d were taken, and %d times there were fewer boxes", taken, fewer)
	}
}

// anyService goes by volume or not, within limits or not; what it asks may fall.
func anyService(r *rand.Rand) *freight.Service {
	s := &freight.Service{Name: "air", Currency: cad, Zones: []freight.Zone{{}}}
	for kg := measure.Weight(1); kg < 60; kg += 1 + measure.Weight(r.IntN(6)) {
		price := 500 + 80*int64(kg)
		if r.IntN(60) == 0 {
			price -= r.Int64N(900)
		}
		s.Zones[0].Steps = append(s.Zones[0].Steps, money.Step[measure.Weight]{UpTo: kg * measure.Kilogram, Price: money.New(max(0, price), cad)})
	}
	if r.IntN(3) > 0 {
		s.Divisor, s.Billed = 3000+int64(r.IntN(4000)), []freight.Billed{freight.Actual, freight.Greater, freight.VolumeOnly}[r.IntN(3)]
		s.WholeTo = measure.Length(r.IntN(3)) * measure.Centimetre / 2
	}
	for i, limit := range []*measure.Length{&s.Limits.Longest, &s.Limits.LengthPlusGirth, &s.Limits.SumOfSides} {
		if r.IntN(2) == 0 {
			*limit = measure.Length(30+r.IntN(60+60*i)) * measure.Centimetre
		}
	}
	if r.IntN(4) == 0 {
		s.Rolls = &freight.Limits{Longest: measure.Length(20+r.IntN(20)) * measure.Centimetre}
	}
	return s
}

// leastOf is the least that a service asks for one of some boxes; false where it takes none.
func leastOf(t *parcels.Tariff, boxes []parcels.Box) (least int64, ok bool) {
	for i := range boxes {
		if cost, _, taken := t.Price(&boxes[i]); taken && (!ok || cost < least) {
			least, ok = cost, true
		}
	}
	return least, ok
}
