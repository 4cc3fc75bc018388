package parcels

import (
	"fmt"
	"math"

	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
)

// sorted gives the sides by length. Carriers call the longest the length, whatever was typed first.
func sorted(s measure.Size) (longest, middle, shortest measure.Length) {
	low, high := min(s.L, s.W), max(s.L, s.W)
	return max(high, s.H), max(low, min(high, s.H)), min(low, s.H)
}

// lengthPlusGirth is the longest side plus the girth, the measure most limits are set in. The girth
// is the distance round the thickest part perpendicular to the length: twice the sum of the two
// shorter sides (postal practice; testdata/parcels names the sources). It stops at the bounds of
// an int64.
func lengthPlusGirth(s measure.Size) int64 {
	l, m, n := sorted(s)
	total, _ := exact.Sum(int64(l), int64(m), int64(m), int64(n), int64(n))
	return total
}

// sumOfSides is length plus width plus height, the measure of small-packet limits. It stops at the
// bounds as lengthPlusGirth does.
func sumOfSides(s measure.Size) int64 {
	total, _ := exact.Sum(int64(s.L), int64(s.W), int64(s.H))
	return total
}

// volumetric is the weight a carrier charges the volume as: the volume in cm3 over the divisor, in
// kg, rounded up to a whole nanogram and not to any billing step. The divisor is in cm3 per kg, as
// tariffs give it; a tariff of 250 kg per m3 has the divisor 4000. Sides and divisor are above
// zero. A weight beyond what one holds is an error.
func volumetric(s measure.Size, divisor int64) (measure.Weight, error) {
	// 10^12 um3 are 1 cm3 and 10^12 ng are 1 kg, so the two cancel: ng = um3 / divisor. A volume
	// beyond 128 bits is too much by any divisor.
	volume, ok := exact.Product(uint64(s.L), uint64(s.W)).Times(uint64(s.H))
	quo, rest, fits := volume.Div(uint64(divisor))
	if rest > 0 && quo < math.MaxInt64 {
		quo, rest = quo+1, 0
	}
	if !ok || !fits || quo > math.MaxInt64 || rest > 0 {
		return 0, fmt.Errorf("volumetric weight of %s by %d: passes %s, the limit of a weight", s, divisor, measure.Weight(math.MaxInt64))
	}
	return measure.Weight(quo), nil
}
