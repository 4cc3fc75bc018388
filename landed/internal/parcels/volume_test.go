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

// TestMostVolume: no box that a service takes holds lots of more volume than it says, and some hold
// nearly as much. Within its limits those boxes are packed that it takes, and no others.
func TestMostVolume(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 108))
	yen, err := money.ParseCurrency("JPY")
	if err != nil {
		t.Fatal(err)
	}
	cm := func(least, spread int) measure.Length {
		return measure.Length(least+r.IntN(spread)) * measure.Centimetre
	}
	fullest, taken := 0.0, 0
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
		var limits parcels.Limits
		limits.Admit(tariff)
		within := must(limits.Pack(lots, p))
		most := tariff.MostVolume(p.Padding)
		for i := range boxes {
			if _, _, ok := tariff.Price(&boxes[i]); !ok {
				continue
			}
			if len(within) == 0 || within[0].Size != boxes[i].Size {
				t.Fatalf("%+v takes %s with padding of %s, which is not packed", s.Limits, boxes[i].Size, p.Padding)
			}
			within = within[1:]
			taken++
			if volume > most {
				t.Fatalf("%+v takes %s, which hold %d mm3, with padding of %s, and says %d at most", s.Limits, boxes[i].Size, volume, p.Padding, most)
			}
			if most < math.MaxInt64 {
				fullest = max(fullest, float64(volume)/float64(most))
			}
		}
		if len(within) > 0 {
			t.Fatalf("%+v does not take %s with padding of %s, which is packed", s.Limits, within[0].Size, p.Padding)
		}
	}
	if taken < 500 || fullest < 0.8 {
		t.Errorf("%d boxes were taken, the fullest held %.2f of the most", taken, fullest)
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
