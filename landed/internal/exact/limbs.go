package exact

import (
	"encoding/binary"
	"math/big"
	"slices"
)

// Limbs are the parts of 64 bits of a number that is not negative, the least first; none of 0.
func Limbs(n *big.Int) []uint64 {
	const each = 8 // bytes
	bytes := n.FillBytes(make([]byte, (n.BitLen()+63)/64*each))
	limbs := make([]uint64, len(bytes)/each)
	for i := range limbs {
		limbs[i] = binary.BigEndian.Uint64(bytes[len(bytes)-(i+1)*each:])
	}
	return limbs
}

// Joined is the number of some limbs.
func Joined(limbs []uint64) *big.Int {
	bytes := make([]byte, 0, 8*len(limbs))
	for _, limb := range slices.Backward(limbs) {
		bytes = binary.BigEndian.AppendUint64(bytes, limb)
	}
	return new(big.Int).SetBytes(bytes)
}
