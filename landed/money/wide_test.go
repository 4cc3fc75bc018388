package money_test

import (
	"fmt"
	"math/big"
	"testing"

	"lotcost/landed/internal/exact"

	"pgregory.net/rapid"
)

// TestWide compares products, sums and quotients of 128 bits with big.Int, and what
// does not fit is said.
func TestWide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := rapid.Uint64().Draw(t, "a"), rapid.Uint64().Draw(t, "b"), rapid.Uint64().Draw(t, "c")
		x, y := exact.Product(a, b), exact.Product(b, c)
		if want := new(big.Int).Mul(unsigned(a), unsigned(b)); x.Big().Cmp(want) != 0 {
			t.Fatalf("product %s, want %s", x.Big(), want)
		}
		product, ok := x.Times(c)
		want := new(big.Int).Mul(x.Big(), unsigned(c))
		if fits := want.BitLen() <= 128; ok != fits || ok && product.Big().Cmp(want) != 0 {
			t.Fatalf("product %s, %v, want %s", product.Big(), ok, want)
		}
		total, ok := x.Plus(y)
		want = new(big.Int).Add(x.Big(), y.Big())
		if fits := want.BitLen() <= 128; ok != fits || ok && total.Big().Cmp(want) != 0 {
			t.Fatalf("sum %s, %v, want %s", total.Big(), ok, want)
		}
		if x.Cmp(y) != x.Big().Cmp(y.Big()) {
			t.Fatalf("%s and %s are in the wrong order", x.Big(), y.Big())
		}
		q, rest, ok := x.Div(c)
		if c == 0 {
			if ok {
				t.Fatal("divided by nothing")
			}
			return
		}
		want, left := new(big.Int).QuoRem(x.Big(), unsigned(c), new(big.Int))
		if ok != want.IsUint64() || ok && (q != want.Uint64() || rest != left.Uint64()) {
			t.Fatalf("quotient %d, rest %d, %v, want %s, %s", q, rest, ok, want, left)
		}
	})
}

// TestWhole: 1/2, 2/3 and 5 are 3, 4 and 30 sixths, by hand; of none there is one part.
func TestWhole(t *testing.T) {
	whole, parts := exact.Whole([]*big.Rat{big.NewRat(1, 2), big.NewRat(2, 3), big.NewRat(5, 1), new(big.Rat)})
	if got := fmt.Sprint(whole, parts); got != "[3 4 30 0] 6" {
		t.Errorf("got %s", got)
	}
	if whole, parts := exact.Whole(nil); len(whole) != 0 || parts.Int64() != 1 {
		t.Errorf("got %v, %s", whole, parts)
	}
}
