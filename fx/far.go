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

// Far holds equations against a table, which may be nil, against what the other equations say by
// way of a third currency, and against what the currencies were worth lately. It returns an
// [*EquationError], or nil, for each; of equations that contradict each other the last is at fault.
func Far(eqs []Equation, table *Table) []*EquationError {
	errs := make([]*EquationError, len(eqs))
	stated := map[Code]map[Code]Rate{}
	for i, e := range eqs {
		if e.check() != nil {
			continue
		}
		if r, ok := through(stated, e); ok {
			errs[i] = e.against(r)
		}
		if r, err := table.rate(e.Left, e.Right); err == nil {
			errs[i] = e.against(r)
		} else if errs[i] == nil {
			errs[i] = e.againstKnown()
		}
		if errs[i] != nil {
			errs[i].At = i
			continue
		}
		know(stated, e.towards(e.Right))
		know(stated, e.towards(e.Left))
	}
	return errs
}

func know(stated map[Code]map[Code]Rate, r Rate) {
	if stated[r.From] == nil {
		stated[r.From] = map[Code]Rate{}
	}
	stated[r.From][r.To] = r
}

// through finds the rate of an equation by way of the first third currency, in the order of the
// alphabet, for which two others are stated.
func through(stated map[Code]map[Code]Rate, e Equation) (Rate, bool) {
	var best Rate
	var by Code
	for via, first := range stated[e.Left] {
		second, ok := stated[via][e.Right]
		if ok && (by == "" || via < by) {
			best, by = Rate{From: e.Left, To: e.Right, Num: first.Num.Mul(second.Num), Den: first.Den.Mul(second.Den), words: words(func() (string, []string) { return first.Source() + " with " + second.Source(), nil })}, via
		}
	}
	return best, by != ""
}

// against returns an error when the equation is far off a rate from its left to its right currency,
// or strange.
func (e Equation) against(r Rate) *EquationError {
	if e.within(r, odd) && (e.within(r, apart) || !e.turned().within(r, alike)) {
		return nil
	}
	return e.off(r, e.within(r, big.NewRat(far, 1)))
}

// turned is the equation with its currencies changed over.
func (e Equation) turned() Equation { return Equation{e.LeftAmount, e.Right, e.RightAmount, e.Left} }

// off tells that the equation is off a rate, and which one near it may be meant.
func (e Equation) off(r Rate, strange bool) *EquationError {
	const most = 4
	near := big.NewRat(2, 1)
	likely := []Equation{e.turned()}
	for power := int32(1); power <= most; power++ {
		likely = append(likely, Equation{e.LeftAmount.Shift(power), e.Left, e.RightAmount, e.Right}, Equation{e.LeftAmount.Shift(-power), e.Left, e.RightAmount, e.Right})
	}
	wrong, remedy := "is not possible", "check the figures, and on which side each currency stands"
	if i := slices.IndexFunc(likely, func(other Equation) bool { return other.within(r, near) }); i >= 0 {
		remedy = fmt.Sprintf("did you mean %s?", likely[i])
	}
	if strange {
		wrong = "is strange"
	}
	return &EquationError{Strange: strange, said: fmt.Sprintf("equation %q %s: %s has 1 %s = %s %s: %s", e, wrong, r.Source(), r.From, about(r.Rat()), r.To, remedy)}
}

// within reports whether an equation is less than so many times off a rate between its currencies.
func (e Equation) within(r Rate, limit *big.Rat) bool {
	ratio := e.times(r)
	return ratio.Cmp(limit) < 0 && ratio.Cmp(new(big.Rat).Inv(limit)) > 0
}

// times is how many times a rate between its currencies an equation is.
func (e Equation) times(r Rate) *big.Rat {
	ratio := e.towards(r.To).Rat()
	return ratio.Quo(ratio, r.Rat())
}
