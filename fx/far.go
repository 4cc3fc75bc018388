package fx

import (
	"fmt"
	"math/big"
	"slices"
)

// far is how many times an equation may be off another rate between its currencies before it is
// taken for a mistake. It lies half way, in orders of magnitude, between one and two: a hundred
// times is the mistake that is made (a rate for 100 units written for one), ten years of rates stay
// below it. Common practice, no source.
const far = 30

// odd is how many times it may be off before that is reported; turned round it is reported from
// apart on, where it is then alike. Common practice, no source.
var odd, apart, alike = big.NewRat(3, 1), big.NewRat(108, 100), big.NewRat(103, 100)

// about prints a rate with about four digits that count.
func about(r *big.Rat) string {
	const digits, most = 4, 20
	point := 0
	for n := new(big.Rat).Set(r); n.Cmp(big.NewRat(1000, 1)) < 0 && point < most; point++ {
		n.Mul(n, big.NewRat(10, 1))
	}
	return r.FloatString(point)
}

// Far holds equations against a table, which may be nil, and against what the other equations say
// by way of a third currency. It returns an [*EquationError], or nil, for each; of equations that
// contradict each other the last is at fault.
func Far(eqs []Equation, table *Table) []*EquationError {
	errs := make([]*EquationError, len(eqs))
	if len(eqs) == 1 && table == nil { // there is nothing to hold it against
		return errs
	}
	known := map[Code]map[Code]Rate{}
	for i, e := range eqs {
		if e.check() != nil {
			continue
		}
		if r, ok := through(known, e); ok {
			errs[i] = e.against(r)
		}
		if r, err := table.rate(e.Left, e.Right); err == nil {
			errs[i] = e.against(r)
		}
		if errs[i] != nil {
			errs[i].At = i
			continue
		}
		know(known, e.towards(e.Right))
		know(known, e.towards(e.Left))
	}
	return errs
}

func know(known map[Code]map[Code]Rate, r Rate) {
	if known[r.From] == nil {
		known[r.From] = map[Code]Rate{}
	}
	known[r.From][r.To] = r
}

// through finds the rate of an equation by way of the first third currency, in the order of the
// alphabet, for which two others are known.
func through(known map[Code]map[Code]Rate, e Equation) (Rate, bool) {
	var best Rate
	var by Code
	for via, first := range known[e.Left] {
		second, ok := known[via][e.Right]
		if ok && (by == "" || via < by) {
			best, by = Rate{From: e.Left, To: e.Right, Num: first.Num.Mul(second.Num), Den: first.Den.Mul(second.Den), words: words(func() (string, []string) { return first.Source() + " with " + second.Source(), nil })}, via
		}
	}
	return best, by != ""
}

// against returns an error when the equation is far off a rate from its left to its right currency,
// or strange.
func (e Equation) against(r Rate) *EquationError {
	turned := Equation{e.LeftAmount, e.Right, e.RightAmount, e.Left}
	if e.within(r, odd) && (e.within(r, apart) || !turned.within(r, alike)) {
		return nil
	}
	const most = 4
	near := big.NewRat(2, 1)
	likely := []Equation{turned}
	for power := int32(1); power <= most; power++ {
		likely = append(likely, Equation{e.LeftAmount.Shift(power), e.Left, e.RightAmount, e.Right}, Equation{e.LeftAmount.Shift(-power), e.Left, e.RightAmount, e.Right})
	}
	err, wrong, remedy := &EquationError{}, "is not possible", "check the figures, and on which side each currency stands"
	if i := slices.IndexFunc(likely, func(other Equation) bool { return other.within(r, near) }); i >= 0 {
		remedy = fmt.Sprintf("did you mean %s?", likely[i])
	}
	if err.Strange = e.within(r, big.NewRat(far, 1)); err.Strange {
		wrong = "is strange"
	}
	err.said = fmt.Sprintf("equation %q %s: %s has 1 %s = %s %s: %s", e, wrong, r.Source(), r.From, about(r.Rat()), r.To, remedy)
	return err
}

// within reports whether an equation is less than so many times off a rate between its currencies.
func (e Equation) within(r Rate, limit *big.Rat) bool {
	ratio := e.towards(r.To).Rat()
	ratio.Quo(ratio, r.Rat())
	return ratio.Cmp(limit) < 0 && ratio.Cmp(new(big.Rat).Inv(limit)) > 0
}
