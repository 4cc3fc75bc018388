package parcels

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strings"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Tariff is a service on one day for one zone, in integers, for asking often.
// It never changes and may be shared by goroutines.
type Tariff struct {
	service  *freight.Service
	weights  table // by nanograms; prices are postage
	totals   []int64
	onward   []int64 // the least of the totals from each step on
	parcel   int64   // charge per parcel
	fuel     exact.Ratio
	cover    table   // by minor units of value; empty when by rate or none
	covering []int64 // the least of its prices from each step on
	rate     exact.Ratio
	least    int64
	covers   bool
	limits   [2]bounds // of a parcel, of a roll
}

// bounds are limits with their tolerance; the greatest number where there is
// none.
type bounds struct{ weight, longest, girth, sides, value int64 }

// Compile makes the tariff of a day, at 00:00 UTC, and a zone: the table of that
// name or else the one without a name. The service must not be changed afterwards.
// It returns [source.Faults] when [Check] finds any, a [*RefusedError],
// or [money.ErrOverflow] when a price with its surcharges is too large.
func Compile(s *freight.Service, zone string, on time.Time) (*Tariff, error) {
	if err := Check(s); err != nil {
		return nil, err
	}
	if on.Before(s.From) || !s.Until.IsZero() && on.After(s.Until) {
		return nil, notOn(s, on)
	}
	z, err := zoneOf(s, zone)
	if err != nil {
		return nil, err
	}
	t := &Tariff{
		service: s, parcel: s.PerParcel.Minor(),
		weights: tableOf(z.Steps, z.Further, func(w measure.Weight) int64 { return int64(w) }),
		cover:   tableOf(s.Insurance.Steps, s.Insurance.Further, money.Amount.Minor),
		least:   s.Insurance.Least.Minor(), covers: Insures(s),
	}
	t.fuel, _ = exact.NewRatio(s.Fuel)
	t.rate, _ = exact.NewRatio(s.Insurance.Rate)
	t.limits = [2]bounds{boundsOf(&s.Limits), boundsOf(&s.Limits)}
	if s.Rolls != nil {
		t.limits[1] = boundsOf(s.Rolls)
	}
	for _, postage := range t.weights.price {
		total, ok := t.carriage(postage)
		if !ok {
			return nil, money.ErrOverflow
		}
		t.totals = append(t.totals, total)
	}
	t.onward, t.covering = onward(t.totals), onward(t.cover.price)
	return t, nil
}

// Insures reports whether a service insures anything at all.
func Insures(s *freight.Service) bool {
	return len(s.Insurance.Steps) > 0 || !s.Insurance.Rate.IsZero()
}

func zoneOf(s *freight.Service, name string) (*freight.Zone, error) {
	known := make([]string, len(s.Zones))
	for i := range s.Zones {
		known[i] = s.Zones[i].Name
	}
	i := slices.Index(known, name)
	if i < 0 {
		i = slices.Index(known, "")
	}
	if i < 0 {
		return nil, &RefusedError{Service: s.Name, Why: fmt.Sprintf("has no prices for zone %q: %s", name, source.DidYouMean(name, known))}
	}
	return &s.Zones[i], nil
}

// tableOf makes a table of steps; their bounds as integers.
func tableOf[T measure.Weight | money.Amount](steps []money.Step[T], further money.Step[T], bound func(T) int64) table {
	t := table{each: bound(further.UpTo), further: further.Price.Minor()}
	for _, s := range steps {
		t.upTo, t.price = append(t.upTo, bound(s.UpTo)), append(t.price, s.Price.Minor())
	}
	return t
}

func boundsOf(l *freight.Limits) bounds {
	length := func(n measure.Length) int64 {
		if n == 0 || n > math.MaxInt64-l.Tolerance {
			return math.MaxInt64
		}
		return int64(n + l.Tolerance)
	}
	b := bounds{weight: cmp.Or(int64(l.Weight), math.MaxInt64), longest: length(l.Longest), girth: length(l.LengthPlusGirth), sides: length(l.SumOfSides), value: l.Value.Minor()}
	if l.Value.Currency() == 0 {
		b.value = math.MaxInt64
	}
	return b
}

// surcharge is the fuel surcharge on a postage, rounded half away from zero.
func (t *Tariff) surcharge(postage int64) (int64, bool) {
	base, ok := postage, true
	if t.service.FuelOnAll {
		base, ok = exact.Sum(postage, t.parcel)
	}
	if !ok {
		return 0, false
	}
	return t.fuel.Of(base)
}

// carriage is a postage with the charge per parcel and fuel.
func (t *Tariff) carriage(postage int64) (int64, bool) {
	fuel, ok := t.surcharge(postage)
	if !ok {
		return 0, false
	}
	return exact.Sum(postage, t.parcel, fuel)
}

// Floor is the least that a parcel costs, in minor units, of such a weight, outside volume in mm3
// and value to be insured, or more of one: carriage and insurance. It reports false when none such
// is taken.
func (t *Tariff) Floor(w measure.Weight, volume, insured int64) (carriage, insurance int64, ok bool) {
	if insurance, ok = t.insurance(insured); !ok {
		return 0, 0, false
	}
	if i := t.cover.step(insured); insured > 0 && i < len(t.covering) {
		insurance = t.covering[i]
	}
	if t.service.Billed == freight.VolumeOnly {
		return t.onward[0], insurance, true
	}
	if t.service.Rolls == nil && w > t.heaviest() {
		return 0, 0, false
	}
	if t.service.Divisor > 0 && t.service.Billed == freight.Greater { // 1 cm3 by a divisor of 1 is 1 kg
		w = max(w, measure.Weight(min(volume/t.service.Divisor, 1<<32))*measure.Gram)
	}
	if i := t.weights.step(int64(t.billed(w))); i < len(t.onward) {
		return t.onward[i], insurance, true
	}
	carriage, ok = t.cost(w)
	return carriage, insurance, ok
}

// Most is the most that a parcel of no more than a weight and an insured value costs that is taken,
// insurance included, in minor units, its size known or not; false where that may make it any.
func (t *Tariff) Most(w measure.Weight, insured int64, sized bool) (minor int64, ok bool) {
	carriage, cover := slices.Max(t.totals), int64(0)
	if t.weights.each > 0 {
		w = min(w, measure.Weight(max(t.limits[0].weight, t.limits[1].weight)))
		if sized && t.service.Divisor > 0 {
			most := t.MostVolume(-(t.service.WholeTo+1)/2) / t.service.Divisor
			if most > 1<<32 {
				return 0, false
			}
			w = max(w, measure.Weight(most+1)*measure.Gram)
		}
		further, ok := t.cost(w)
		if !ok {
			return 0, false
		}
		carriage = max(carriage, further)
	}
	for _, price := range t.cover.price {
		cover = max(cover, price)
	}
	if t.cover.each > 0 || t.covers && len(t.cover.upTo) == 0 {
		further, ok := t.insurance(max(insured, 1))
		if !ok {
			return 0, false
		}
		cover = max(cover, further)
	}
	return exact.Sum(carriage, cover)
}

// MostValue is the value of a box above which the service refuses it whatever its form; the
// greatest number where it refuses none for that.
func (t *Tariff) MostValue() int64 { return max(t.limits[0].value, t.limits[1].value) }

// millimetre is one as a length.
const millimetre = int64(measure.Centimetre / 10)

// MostVolume is the volume of lots, in mm3, above which the service refuses any box for its size
// that has so much padding; the greatest number where it refuses none for that.
func (t *Tariff) MostVolume(padding measure.Length) int64 {
	return max(t.limits[0].volume(padding), t.limits[1].volume(padding))
}

// Outside is the least volume in mm3 of a box with so much padding that holds lots of some volume:
// of those that hold as much the cube has least (Hölder's inequality).
func Outside(volume int64, padding measure.Length) int64 {
	if volume <= 0 || padding <= 0 {
		return volume
	}
	side, more := cubeRoot(volume), 2*int64(padding)/millimetre
	return volume + more*(3*side*(side+more)+more*more)
}

// cubeRoot is that of a number above zero, rounded down, by Newton's method from above.
func cubeRoot(n int64) int64 {
	for root := int64(1) << ((bits.Len64(uint64(n)) + 2) / 3); ; {
		next := (2*root + n/(root*root)) / 3
		if next >= root {
			return root
		}
		root = next
	}
}

// volume is the most that is in a box: of those of some sum of the sides the cube holds most, of
// those of some length plus girth the one twice as long as wide and high, or as long as may be
// where that is less.
func (l *bounds) volume(padding measure.Length) int64 {
	const far = 1_000_000 // mm, whose cube is in range
	inside := func(side int64, pads measure.Length) int64 {
		if side == math.MaxInt64 {
			return far
		}
		return max(0, min(far, (side-int64(pads*padding))/millimetre+1))
	}
	longest, girth, sides := inside(l.longest, 2), inside(l.girth, 10), inside(l.sides, 6)
	if min(longest, girth, sides) == far {
		return math.MaxInt64
	}
	most := girth*girth*girth/108 + 1
	if 3*longest < girth {
		most = longest*(girth-longest)*(girth-longest)/16 + 1
	}
	return min(most, longest*longest*longest, sides*sides*sides/27+1)
}

// heaviest is the greatest actual weight that is taken: by the limit on weight,
// and by the end of the table where the actual weight is billed.
func (t *Tariff) heaviest() measure.Weight {
	end := t.weights.most()
	if step := int64(t.service.RoundTo); step > 0 {
		end -= end % step
	}
	if t.service.Billed == freight.VolumeOnly {
		end = math.MaxInt64
	}
	return measure.Weight(min(end, t.limits[0].weight))
}

// billed is the weight that is billed for one that counts: raised to the
// minimum, then rounded up to the billing step. It is its own result's result.
func (t *Tariff) billed(counts measure.Weight) measure.Weight {
	return measure.Weight(ceilTo(int64(max(counts, t.service.Minimum)), int64(t.service.RoundTo)))
}

// cost is what a parcel of a weight that counts costs without insurance, in
// minor units: postage, charge per parcel and fuel. The weight may be billed
// already. It reports false when the table ends below it or the price does not
// fit. Limits are not looked at. Nothing is allocated.
func (t *Tariff) cost(counts measure.Weight) (minor int64, ok bool) {
	billed := int64(t.billed(counts))
	if i := t.weights.step(billed); i < len(t.totals) {
		return t.totals[i], true
	}
	postage, ok := t.weights.at(billed)
	if !ok {
		return 0, false
	}
	return t.carriage(postage)
}

// insurance is what covering a value costs, both in minor units: nothing when
// the service insures nothing or the value is zero. It reports false for a value
// that is not covered, or below zero.
func (t *Tariff) insurance(value int64) (minor int64, ok bool) {
	switch {
	case value < 0:
		return 0, false
	case !t.covers || value == 0:
		return 0, true
	case len(t.cover.upTo) > 0:
		return t.cover.at(value)
	}
	minor, ok = t.rate.Of(value)
	return max(minor, t.least), ok
}

// Price is what [Tariff.Ask] asks for the box, in minor units: the insurance
// and all the rest. It reports whether the box is taken, its value in the tariff's
// currency and the sum within its range. Nothing is allocated.
func (t *Tariff) Price(b *Box) (carriage, insurance int64, ok bool) {
	w, err := t.weigh(b)
	if err != nil || b.Weight <= 0 || t.mismatch(b) != nil || !t.takes(b, w.billed) {
		return 0, 0, false
	}
	return t.asks(b, w.billed)
}

func (t *Tariff) takes(b *Box, billed measure.Weight) bool {
	for _, test := range t.tests(b, billed) {
		if test.found > test.allowed {
			return false
		}
	}
	return !t.refusesContents(b)
}

// asks is Price of a box that is taken.
func (t *Tariff) asks(b *Box, billed measure.Weight) (carriage, insurance int64, ok bool) {
	carriage, okCarriage := t.cost(billed)
	insurance, okInsurance := t.insurance(t.insured(b))
	_, okSum := exact.Sum(carriage, insurance)
	return carriage, insurance, okCarriage && okInsurance && okSum
}

// weighed is what a box weighs by a tariff.
type weighed struct {
	volumetric measure.Weight // 0 when the size is not known or volume does not count
	counts     measure.Weight // the weight the service starts from
	billed     measure.Weight
	setBy      string
}

func (t *Tariff) weigh(b *Box) (weighed, error) {
	w := weighed{counts: b.Weight, setBy: "actual"}
	if v := t.service; v.Divisor > 0 && b.sized() {
		up := func(l measure.Length) measure.Length { return measure.Length(ceilTo(int64(l), int64(v.WholeTo))) }
		var err error
		w.volumetric, err = volumetric(measure.Size{L: up(b.Size.L), W: up(b.Size.W), H: up(b.Size.H)}, v.Divisor)
		if err != nil {
			return w, err
		}
		if v.Billed == freight.VolumeOnly || v.Billed == freight.Greater && w.volumetric > b.Weight {
			w.counts, w.setBy = w.volumetric, byVolume
		}
	}
	if t.service.Minimum > w.counts {
		w.setBy = byMinimum
	}
	w.billed = t.billed(w.counts)
	return w, nil
}

// insured is the value to be covered, in minor units.
func (t *Tariff) insured(b *Box) int64 {
	if b.Uninsured || !t.covers {
		return 0
	}
	return b.Value.Minor()
}

// mismatch returns a [money.MismatchError] when the box's value matters and is
// in another currency.
func (t *Tariff) mismatch(b *Box) error {
	c := b.Value.Currency()
	if c == 0 || c == t.service.Currency || t.limits[b.form()].value == math.MaxInt64 && (!t.covers || b.Uninsured) {
		return nil
	}
	return money.MismatchError{c, t.service.Currency}
}

func (t *Tariff) refusesContents(b *Box) bool {
	if len(t.service.Refuses) == 0 {
		return false
	}
	for i := range b.Lots {
		if slices.ContainsFunc(b.Lots[i].Contents, t.refuses) {
			return true
		}
	}
	return false
}

func (t *Tariff) refuses(content string) bool {
	return slices.ContainsFunc(t.service.Refuses, func(r string) bool { return strings.EqualFold(strings.TrimSpace(r), strings.TrimSpace(content)) })
}
