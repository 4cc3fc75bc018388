package parcels_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// Packed sizes that follow from the rule by hand.
func TestPack(t *testing.T) {
	for _, c := range []struct {
		name  string
		sizes []string
		p     freight.Packing
		want  string // sides by length
		gross string
	}{
		{"one lot is its own box", []string{"20x10x5 cm"}, freight.Packing{}, "20x10x5", "1 kg"},
		{"padding on six sides", []string{"20x10x5 cm"}, freight.Packing{Padding: length("2 cm")}, "24x14x9", "1 kg"},
		{"two alike lie on each other", []string{"20x10x5 cm", "20x10x5 cm"}, freight.Packing{}, "20x10x10", "2 kg"},
		{"a thin one beside a thick one", []string{"30x10x10 cm", "30x10x2 cm"}, freight.Packing{}, "30x12x10", "2 kg"},
		{"large ones, on their common side", []string{"60x50x40 m", "50x40x30 m"}, freight.Packing{}, "9000x5000x4000", "2 kg"},
		{"eight cubes", slices.Repeat([]string{"5x5x5 cm"}, 8), freight.Packing{}, "10x10x10", "8 kg"},
		{"ten times its weight in packing", []string{"20x10x5 cm"}, freight.Packing{Share: decimal.New(1, 1)}, "20x10x5", "11 kg"},
		{"a share of packing", []string{"20x10x5 cm", "20x10x5 cm"}, freight.Packing{Share: percent("8%"), Fixed: kg("150 g")}, "20x10x10", "2.31 kg"},
	} {
		var lots []parcels.Lot
		for i, s := range c.sizes {
			lots = append(lots, parcels.Lot{ID: fmt.Sprint(i), Weight: kg("1 kg"), Size: size(s)})
		}
		b, err := pack(lots, c.p)
		if err != nil {
			t.Fatal(err)
		}
		boxes := must(parcels.Pack(lots, c.p))
		found := false
		for _, b := range boxes {
			l, m, s := parcels.Sorted(b.Size)
			found = found || (measure.Size{L: l, W: m, H: s}).String() == c.want+" cm"
		}
		if !found || b.Weight.String() != c.gross || volume(b.Size).Cmp(volume(size(c.want+" cm"))) != 0 {
			t.Errorf("%s: %s, %s of %d, want %s, %s", c.name, b.Size, b.Weight, len(boxes), c.want, c.gross)
		}
	}
}

func TestPackWithoutSizes(t *testing.T) {
	lots := []parcels.Lot{{ID: "a", Weight: kg("1 kg"), Size: size("20x10x5 cm")}, {ID: "b", Weight: kg("300 g"), Value: amount("40 CAD")}}
	if b := must(pack(lots, freight.Packing{Padding: length("2 cm")})); b.Size != size("24x14x9 cm") || b.Weight != kg("1.3 kg") || len(b.Lots) != 2 {
		t.Errorf("some with a size: %+v", b)
	}
	lots[0].Size = measure.Size{}
	boxes := must(parcels.Pack(lots, freight.Packing{}))
	if len(boxes) != 1 || boxes[0].Sized() {
		t.Errorf("%+v", boxes)
	}
	b := boxes[0]
	s := surface()
	q := must(parcels.Ask(&s, []parcels.Box{b}, on, "CA"))
	want := []string{
		"the size is not known: billed by actual weight, while the service bills by volume, and limits on size are not looked at",
		"1 of 2 lots have no value: they are not insured, and a limit on value does not count them",
	}
	if !slices.Equal(q.Cautions, want) {
		t.Errorf("%q", q.Cautions)
	}
	s.Billed = freight.Actual
	s.Limits.Value = money.Amount{}
	b.Uninsured = true
	if q := must(parcels.Ask(&s, []parcels.Box{b}, on, "CA")); !slices.Equal(q.Cautions, []string{"the size is not known: limits on size are not looked at"}) {
		t.Errorf("%q", q.Cautions)
	}
}

// TestCautions: that a size is not known matters where any limit looks at it, and a value where it
// is covered or limited; where volume sets the price, another box may do for several lots.
func TestCautions(t *testing.T) {
	unsized := []parcels.Lot{{ID: "a", Weight: kg("1 kg"), Value: amount("5 CAD")}}
	light := []parcels.Lot{{ID: "a", Weight: kg("0.1 kg"), Size: size("20x20x20 cm"), Value: amount("5 CAD")}, {ID: "b", Weight: kg("0.1 kg"), Size: size("20x20x20 cm")}}
	heavy := []parcels.Lot{{ID: "a", Weight: kg("9 kg"), Size: size("20x10x5 cm")}, light[0]}
	const noSize, volume, noValue = "the size is not known: limits on size are not looked at", "volume sets the price, and a smaller box may do for these lots", "1 of 2 lots have no value: they are not insured, and a limit on value does not count them"
	for _, c := range []struct {
		limits freight.Limits
		billed freight.Billed
		covers bool
		lots   []parcels.Lot
		want   []string
	}{
		{freight.Limits{}, freight.Actual, true, unsized, nil},
		{freight.Limits{Longest: length("1 m")}, freight.Actual, true, unsized, []string{noSize}},
		{freight.Limits{LengthPlusGirth: length("2 m")}, freight.Actual, true, unsized, []string{noSize}},
		{freight.Limits{SumOfSides: length("2 m")}, freight.Actual, true, unsized, []string{noSize}},
		{freight.Limits{SumOfSides: length("2 m")}, freight.Greater, false, light, []string{volume}},
		{freight.Limits{}, freight.Greater, false, light[:1], nil},
		{freight.Limits{}, freight.Greater, false, heavy, nil},
		{freight.Limits{}, freight.Actual, true, light, []string{noValue}},
		{freight.Limits{Value: amount("90 CAD")}, freight.Actual, false, light, []string{noValue}},
	} {
		s := freight.Service{Name: "surface", Currency: cad, Limits: c.limits, Divisor: 5000, Billed: c.billed, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: kg("20 kg"), Price: amount("9 CAD")}}}}}
		if c.covers {
			s.Insurance.Rate = percent("1%")
		}
		if q := must(parcels.Ask(&s, must(parcels.Pack(c.lots, freight.Packing{})), on, "")); !slices.Equal(q.Cautions, c.want) {
			t.Errorf("%+v, billed by %d: %q, want %q", c.limits, c.billed, q.Cautions, c.want)
		}
	}
}

func TestPackErrors(t *testing.T) {
	ok := parcels.Lot{ID: "a", Weight: kg("1 kg"), Value: amount("5 CAD")}
	for _, c := range []struct {
		lots []parcels.Lot
		p    freight.Packing
		want string
	}{
		{nil, freight.Packing{}, "there are no lots to pack: give at least one"},
		{[]parcels.Lot{ok, {ID: "b"}}, freight.Packing{}, `lot "b": the weight is missing: weigh the lot or estimate it, as in 780 g`},
		{[]parcels.Lot{{ID: "b", Weight: -measure.Gram}}, freight.Packing{}, `lot "b": the weight "-1 g" is below zero: give a weight above zero`},
		{[]parcels.Lot{{ID: "b", Weight: 1, Size: measure.Size{L: 10_000}}}, freight.Packing{}, `lot "b": the size "1x0x0 cm" has a side that is not above zero: give all three sides, or none`},
		{[]parcels.Lot{{ID: "b", Weight: 1, Size: size("101x1x1 m")}}, freight.Packing{}, `lot "b": the size "10100x100x100 cm" has a side above 100 m: check the unit`},
		{[]parcels.Lot{{ID: "b", Weight: 1, Value: amount("-1 CAD")}}, freight.Packing{}, `lot "b": the value "-1.00 CAD" is below zero: give zero or more`},
		{[]parcels.Lot{ok, {ID: "b", Weight: 1, Value: amount("1 JPY")}}, freight.Packing{}, money.MismatchError{cad, jpy}.Error()},
		{[]parcels.Lot{ok}, freight.Packing{Share: percent("-8%")}, `the packing's share "-8%" is below zero: give zero or more`},
		{[]parcels.Lot{ok}, freight.Packing{Share: percent("0.12345678901234567%")}, `the packing's share has more than 18 digits: give a percentage as in 8%`},
		{[]parcels.Lot{ok}, freight.Packing{Fixed: -measure.Gram}, `the packing's weight "-1 g" is below zero: give zero or more`},
		{[]parcels.Lot{ok}, freight.Packing{Padding: -measure.Centimetre}, `the padding "-1 cm" is below zero or above 100 m: give the thickness on one side, as in 2 cm`},
		{[]parcels.Lot{{ID: "b", Weight: 1 << 62}, {ID: "c", Weight: 1 << 62}}, freight.Packing{}, "4611686.018427387904 kg + 4611686.018427387904 kg: passes 9223372.036854775807 kg, the limit of a weight"},
		{[]parcels.Lot{{ID: "b", Weight: 1 << 62}}, freight.Packing{Share: percent("400%")}, "400% of 4611686.018427387904 kg: passes 9223372.036854775807 kg, the limit of a weight"},
	} {
		if _, err := parcels.Pack(c.lots, c.p); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// pack is the box of least volume.
func pack(lots []parcels.Lot, p freight.Packing) (parcels.Box, error) {
	boxes, err := parcels.Pack(lots, p)
	if err != nil {
		return parcels.Box{}, err
	}
	return boxes[0], nil
}

// volume is the product of the sides in cubic micrometres.
func volume(s measure.Size) *big.Int {
	v := big.NewInt(int64(s.L))
	v.Mul(v, big.NewInt(int64(s.W)))
	return v.Mul(v, big.NewInt(int64(s.H)))
}

func second[T any](_ T, err error) error { return err }

func genLots(t *rapid.T, most int) []parcels.Lot {
	mm := rapid.Custom(func(t *rapid.T) measure.Length {
		return measure.Length(rapid.IntRange(1, 40).Draw(t, "cm"))*measure.Centimetre + measure.Length(rapid.SampledFrom([]int{0, 0, 5, 7}).Draw(t, "mm"))*measure.Centimetre/10
	})
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) parcels.Lot {
		return parcels.Lot{
			Weight: measure.Weight(rapid.IntRange(1, 3000).Draw(t, "g"))*measure.Gram + measure.Weight(rapid.IntRange(0, 9).Draw(t, "ng")),
			Size:   measure.Size{L: mm.Draw(t, "l"), W: mm.Draw(t, "w"), H: mm.Draw(t, "h")},
			Value:  money.New(rapid.Int64Range(0, 50000).Draw(t, "value"), cad),
		}
	}), 1, most).Draw(t, "lots")
}

func genPacking(t *rapid.T) freight.Packing {
	return freight.Packing{
		Share:   percent(rapid.SampledFrom([]string{"0%", "8%", "12.5%", "33.333%"}).Draw(t, "share")),
		Fixed:   measure.Weight(rapid.IntRange(0, 300).Draw(t, "fixed")) * measure.Gram,
		Padding: measure.Length(rapid.IntRange(0, 50).Draw(t, "padding")) * measure.Centimetre / 10,
	}
}

// Every box really holds its lots: each lies inside the padding, turned but
// whole, and no two share any space.
func TestEveryLotFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots, p := genLots(t, 14), genPacking(t)
		for i := range lots {
			lots[i].ID = fmt.Sprint("lot", i)
		}
		boxes := must(parcels.Pack(lots, p))
		for i := range boxes {
			checkLayout(t, &boxes[i], p)
			for j := range boxes {
				if i != j && within(boxes[i].Size, boxes[j].Size) {
					t.Fatalf("%s is within %s", boxes[i].Size, boxes[j].Size)
				}
			}
			if i > 0 && inside(&boxes[i], p).Cmp(inside(&boxes[i-1], p)) < 0 {
				t.Fatalf("%s after %s", boxes[i].Size, boxes[i-1].Size)
			}
		}
	})
}

// inside is the volume within the padding.
func inside(b *parcels.Box, p freight.Packing) *big.Int {
	return volume(measure.Size{L: b.Size.L - 2*p.Padding, W: b.Size.W - 2*p.Padding, H: b.Size.H - 2*p.Padding})
}

func within(a, b measure.Size) bool {
	al, am, as := parcels.Sorted(a)
	bl, bm, bs := parcels.Sorted(b)
	return al <= bl && am <= bm && as <= bs
}

func checkLayout(t *rapid.T, b *parcels.Box, p freight.Packing) {
	places := parcels.Layout(b)
	if len(places) != len(b.Lots) {
		t.Fatalf("%d places for %d lots", len(places), len(b.Lots))
	}
	contents := new(big.Int)
	for i, a := range places {
		if a.Lot != b.Lots[i].ID || !within(a.Size, b.Lots[i].Size) || !within(b.Lots[i].Size, a.Size) {
			t.Fatalf("%v is not lot %+v", a, b.Lots[i])
		}
		if min(a.X, a.Y, a.Z) < p.Padding || a.X+a.Size.L > b.Size.L-p.Padding || a.Y+a.Size.W > b.Size.W-p.Padding || a.Z+a.Size.H > b.Size.H-p.Padding {
			t.Fatalf("%v sticks out of %s", a, b.Size)
		}
		for _, o := range places[:i] {
			if a.X < o.X+o.Size.L && o.X < a.X+a.Size.L && a.Y < o.Y+o.Size.W && o.Y < a.Y+a.Size.W && a.Z < o.Z+o.Size.H && o.Z < a.Z+a.Size.H {
				t.Fatalf("%v and %v share space", a, o)
			}
		}
		contents.Add(contents, volume(a.Size))
	}
	if volume(b.Size).Cmp(contents) < 0 {
		t.Fatalf("box %s is smaller than its contents", b.Size)
	}
}

// The weight of a box is that of the lots and the packing as stated, and one
// more lot never lowers it. The order of the lots changes nothing.
func TestBoxLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots, p := genLots(t, 10), genPacking(t)
		all := must(pack(lots, p))
		grams := new(big.Rat)
		for i := range lots {
			grams.Add(grams, big.NewRat(int64(lots[i].Weight), 1))
		}
		want := new(big.Rat).Mul(grams, p.Share.Rat())
		want.Add(want, grams).Add(want, big.NewRat(int64(p.Fixed), 1))
		if got := new(big.Rat).Sub(big.NewRat(int64(all.Weight), 1), want); got.Sign() < 0 || got.Cmp(big.NewRat(1, 1)) >= 0 {
			t.Fatalf("weight %s, exactly %s ng", all.Weight, want.RatString())
		}
		if len(lots) > 1 {
			if fewer := must(pack(lots[1:], p)); fewer.Weight > all.Weight {
				t.Fatalf("%s without the first lot, %s with it", fewer.Weight, all.Weight)
			}
		}
		mixed := must(pack(rapid.Permutation(lots).Draw(t, "mixed"), p))
		if mixed.Size != all.Size || mixed.Weight != all.Weight || mixed.Value != all.Value {
			t.Fatalf("order matters: %s and %s", mixed.Size, all.Size)
		}
	})
}

// Three cubes in a row have the least volume, but only two beside one are short
// enough. Sizes and refusal by hand.
func TestBest(t *testing.T) {
	s := surface()
	s.Divisor, s.Billed = 0, freight.Actual
	s.Limits = freight.Limits{Longest: length("40 cm")}
	lots := []parcels.Lot{{ID: "a", Weight: 1, Size: size("20x20x20 cm")}, {ID: "b", Weight: 1, Size: size("21x20x20 cm")}, {ID: "c", Weight: 1, Size: size("20x20x20 cm")}}
	boxes := must(parcels.Pack(lots, freight.Packing{}))
	const tooLong = `service "Harbour Surface" refuses lots "a", "b" and "c" in one parcel: longest side 61 cm is 21 cm over the 40 cm allowed`
	if _, err := parcels.Ask(&s, []parcels.Box{must(pack(lots, freight.Packing{}))}, on, "CA"); err == nil || err.Error() != tooLong {
		t.Errorf("got  %v\nwant %s", err, tooLong)
	}
	q, err := parcels.Ask(&s, boxes, on, "CA")
	if l, m, n := parcels.Sorted(q.Size); err != nil || l != length("40 cm") || m != length("40 cm") || n != length("20 cm") {
		t.Errorf("%s, %v", q.Size, err)
	}
	s.Limits.Longest = length("39 cm")
	if _, err := parcels.Ask(&s, boxes, on, "CA"); err == nil || err.Error() != second(parcels.Ask(&s, boxes[:1], on, "CA")).Error() {
		t.Error(err)
	}
	if _, err := parcels.Ask(&s, nil, on, "CA"); err == nil || err.Error() != "there is no box: give at least one" {
		t.Error(err)
	}
}
