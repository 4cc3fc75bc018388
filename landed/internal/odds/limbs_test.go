package odds

import (
	"math"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed/internal/exact"

	"pgregory.net/rapid"
)

// Numbers of limbs are what big.Int says, with limbs at the brink of a carry often among them.
func TestAddRowEqualsBigInt(t *testing.T) {
	limb := rapid.OneOf(rapid.Uint64(), rapid.SampledFrom([]uint64{0, 1, math.MaxUint64, math.MaxUint64 - 1, 1 << 63}))
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "limbs")
		src := rapid.SliceOfN(limb, n, n).Draw(t, "src")
		dst := rapid.SliceOfN(limb, n, n).Draw(t, "dst")
		c := limb.Draw(t, "factor")
		want := new(big.Int).Mul(exact.Joined(src), new(big.Int).SetUint64(c))
		want.Add(want, exact.Joined(dst))

		roomy := append(slices.Clone(dst), 0)
		mulAdd(roomy, src, c)
		if exact.Joined(roomy).Cmp(want) != 0 {
			t.Fatalf("mulAdd %v + %v x %d = %v", dst, src, c, roomy)
		}
		if want.BitLen() > 64*n {
			return // a row never holds more than its limbs
		}
		addRow(dst, src, n, c)
		if exact.Joined(dst).Cmp(want) != 0 {
			t.Fatalf("addRow %v x %d = %v, want %v", src, c, dst, want)
		}
		if got := append(exact.Limbs(want), make([]uint64, n)...)[:n]; !slices.Equal(got, dst) {
			t.Fatalf("limbs of %v: %v, want %v", want, got, dst)
		}
	})
}

// A carry through both limbs of a row of two, which random limbs that must not overflow seldom
// have.
func TestAddRowCarries(t *testing.T) {
	to := []uint64{math.MaxUint64, 5, 7, 9}
	addRow(to, []uint64{1, 0, 2, 1}, 2, 1)
	if !slices.Equal(to, []uint64{0, 6, 9, 10}) {
		t.Errorf("%v", to)
	}
}

// A piece on a grid has moved within the range that is reported, and its mean with what is to be
// added is the true one.
func TestOnGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amounts := rapid.SliceOfNDistinct(rapid.Int64Range(0, 10_000), 2, 5, rapid.ID[int64]).Draw(t, "amounts")
		slices.Sort(amounts)
		first := amounts[0]
		p := kind{sold: amounts, den: uint64(len(amounts)), count: 1}
		for i := range amounts {
			p.sold[i] -= first
			p.num = append(p.num, 1)
		}
		step := rapid.Int64Range(1, 3_000).Draw(t, "step")
		start, moved := gridStart(p.sold, step)
		var residues []int64
		for _, a := range p.sold {
			residues = append(residues, ((a-start)%step+step)%step)
		}
		if got := slices.Max(residues); got != moved || slices.Min(residues) != 0 {
			t.Fatalf("from %d residues spread over %d, told %d", start, got, moved)
		}
		for s := range step { // no other start has them closer together
			far := int64(0)
			for _, a := range p.sold {
				far = max(far, ((a-s)%step+step)%step)
			}
			if far < moved {
				t.Fatalf("from %d residues spread over %d, from %d over %d", start, moved, s, far)
			}
		}
	})
}
