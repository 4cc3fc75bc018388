package exact

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// The limbs of a number are its remainders by 2^64, and joined they are the number again.
func TestLimbs(t *testing.T) {
	base := new(big.Int).Lsh(big.NewInt(1), 64)
	rapid.Check(t, func(t *rapid.T) {
		n := new(big.Int).SetBytes(rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, "bytes"))
		limbs := Limbs(n)
		if joined := Joined(limbs); joined.Cmp(n) != 0 {
			t.Fatalf("%v joined again is %v", n, joined)
		}
		rest := new(big.Int).Set(n)
		for i, limb := range limbs {
			var want big.Int
			rest.DivMod(rest, base, &want)
			if !want.IsUint64() || want.Uint64() != limb {
				t.Fatalf("limb %d of %v is %d, want %v", i, n, limb, &want)
			}
		}
		if rest.Sign() != 0 {
			t.Fatalf("%v has more limbs than %v", n, limbs)
		}
	})
}
