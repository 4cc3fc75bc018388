package landed

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// weights holds, for each basis, what every item weighs in a sharing by it.
type weights struct {
	*index
	by [len(basisKnown)]*vector
}

var basisKnown = [...]Basis{NoBasis, ByWeight, ByCount, ByValue, ByLine, ByEqual}

// vector is the weights of all items under one basis: small when each fits in
// 64 bits, else big. A missing weight is -1 in small and nil in big.
type vector struct {
	small      []int64
	big        []*big.Int
	unit       money.Currency // of values, when all are in one currency
	parts      *big.Int       // of a home unit, that mixed values are counted in
	faults     source.Faults  // why there are no weights at all
	reported   bool           // once is enough, however many lines are shared by it
	weightless []bool         // by item: it was said that it has no weight
	some       []int64        // those asked for last
}

const missing = -1

// vector returns the weights under a basis, made when first asked for.
func (w *weights) vector(by Basis) *vector {
	if w.by[by] != nil {
		return w.by[by]
	}
	v := &w.room.vectors[by]
	if by == ByValue {
		v.unit = w.oneCurrency()
	}
	if by == ByValue && v.unit == 0 {
		v.faults = w.mixedValues(v)
	} else if !w.fill(v, by) {
		w.fillBig(v, by, nil)
	}
	w.by[by] = v
	return v
}

// single gives the weight of one piece of an item, or of all of them where their values
// differ, and whether it is known. What nobody paid for weighs nothing.
func (w *weights) single(i *Item, by Basis) (int64, bool) {
	switch {
	case i.Count == 0:
		return 0, true
	case by == ByWeight:
		return int64(i.Weight), i.Weighed
	case by == ByValue && len(i.Further) > 0:
		return w.haul.valueOfAll(i)
	case by == ByValue:
		value := w.haul.ValueOf(i)
		return value.Minor(), value.Currency() != 0
	}
	return 1, true
}

// byLine reports whether each item weighs the same.
func (b Basis) byLine() bool { return b == ByLine || b == ByEqual }

// multiple gives how often that weight counts.
func (i *Item) multiple(by Basis) int64 {
	if by.byLine() || by == ByValue && len(i.Further) > 0 {
		return 1
	}
	return i.Count
}

// fill sets small, and reports false when a weight does not fit.
func (w *weights) fill(v *vector, by Basis) bool {
	v.small = w.room.minors.Take(len(w.items))
	for n, item := range w.items {
		one, known := w.single(item, by)
		if !known {
			v.small[n] = missing
			continue
		}
		all, ok := exact.Mul(one, item.multiple(by))
		if !ok {
			return false
		}
		v.small[n] = all
	}
	return true
}

// fillBig sets big, values times what a unit of their currency counts for; that is 1 where it is
// not said.
func (w *weights) fillBig(v *vector, by Basis, units map[money.Currency]*big.Int) {
	v.small, v.big = nil, make([]*big.Int, len(w.items))
	for n, item := range w.items {
		one, known := w.single(item, by)
		if !known {
			continue
		}
		v.big[n] = new(big.Int).Mul(big.NewInt(one), big.NewInt(item.multiple(by)))
		if unit := units[w.haul.ValueOf(item).Currency()]; unit != nil {
			v.big[n].Mul(v.big[n], unit)
		}
	}
}

// oneCurrency returns the currency of all values, or none when they differ.
// Within one currency the rate to home is a common factor and drops out.
func (w *weights) oneCurrency() money.Currency {
	var all money.Currency
	for _, item := range w.items {
		switch c := w.haul.ValueOf(item).Currency(); {
		case c == 0 || c == all || item.Count == 0:
		case all == 0:
			all = c
		default:
			return 0
		}
	}
	return cmp.Or(all, w.haul.Home)
}

// mixedValues brings values of several currencies to home, unrounded: as whole
// numbers over a common denominator.
func (w *weights) mixedValues(v *vector) (faults source.Faults) {
	var currencies []money.Currency
	var factors []*big.Rat
	rates := w.haul.Exchange()
	for _, item := range w.items {
		c := w.haul.ValueOf(item).Currency()
		if c == 0 || item.Count == 0 || slices.Contains(currencies, c) {
			continue
		}
		factor, err := rates.Exact(money.New(1, c), w.haul.Home)
		if err != nil {
			faults = append(faults, &source.Fault{At: item.At.Key("value"), Field: "item " + item.ID + ": value", What: err.Error(), Err: err})
			factor = new(big.Rat) // so that what else is missing is found
		}
		currencies, factors = append(currencies, c), append(factors, factor)
	}
	units := map[money.Currency]*big.Int{}
	whole, parts := exact.Whole(factors)
	for i, c := range currencies {
		units[c] = whole[i]
	}
	v.parts, v.unit = parts, w.haul.Home
	w.fillBig(v, ByValue, units)
	return faults
}

// share shares a line over some items. Faults without a field concern the line
// itself.
func (w *weights) share(line *Line, items []int) ([]int64, source.Faults) {
	if line.By == ByAssessed {
		return nil, source.Faults{{What: "shared as assessed, but nothing was assessed", Remedy: "share it by weight, count, value or line"}}
	}
	v := w.vector(line.By)
	faults, lacking := w.missing(v, line, items)
	if v.faults != nil && !v.reported {
		faults, v.reported = append(faults, v.faults...), true
	}
	if lacking || v.faults != nil { // told here or before
		return nil, faults
	}
	shares := w.room.minors.Take(len(items))
	if err := v.apportion(shares, line.Home.Minor(), items); err != nil {
		return nil, source.Faults{w.unshareable(err, line, items)}
	}
	return shares, nil
}

func (v *vector) apportion(dst []int64, total int64, items []int) error {
	if v.small != nil {
		err := money.Apportion(dst, total, v.of(items))
		if !errors.Is(err, money.ErrOverflow) {
			return err
		}
	}
	gathered := make([]*big.Int, len(items))
	for n, i := range items {
		gathered[n] = v.at(i)
	}
	return money.ApportionBig(dst, total, gathered)
}

// of are the small weights of some items, which are in file order; good until it is asked again.
func (v *vector) of(items []int) []int64 {
	if n := len(items); n > 0 && items[n-1]-items[0] == n-1 {
		return v.small[items[0]:][:n] // those of a lot, say
	}
	v.some = v.some[:0]
	for _, i := range items {
		v.some = append(v.some, v.small[i])
	}
	return v.some
}

// at returns one weight, of whichever size.
func (v *vector) at(i int) *big.Int {
	if v.small != nil {
		return big.NewInt(v.small[i])
	}
	return v.big[i]
}

// missing finds the items without a weight under a basis, and tells of each at the first line that
// wants it.
func (w *weights) missing(v *vector, line *Line, items []int) (faults source.Faults, lacking bool) {
	for _, i := range items {
		if v.small != nil && v.small[i] != missing || v.big != nil && v.big[i] != nil {
			continue
		}
		lacking = true
		if v.weightless == nil {
			v.weightless = make([]bool, len(w.items))
		}
		if v.weightless[i] {
			continue
		}
		v.weightless[i] = true
		item := w.items[i]
		if _, err := w.haul.valueOf(item); err != nil && line.By == ByValue {
			faults = append(faults, &source.Fault{At: w.haul.unvalued(item), Field: "item " + item.ID + ": chances", What: err.Error(), Err: err})
			continue
		}
		f := &source.Fault{At: item.At.Key("value"), Field: "item " + item.ID, What: fmt.Sprintf("has no %s, but %s is shared by %s", line.By, line.words(), line.By),
			Remedy: "write what one piece should sell for when right", Or: "share that cost by weight, count or line", Figure: "value " + w.haul.Home.Code()}
		if line.By == ByWeight {
			f.At, f.Remedy, f.Or, f.Figure = item.At.Key("weight"), "write what one piece weighs", "share that cost by count, value or line", "weight"
		}
		faults = append(faults, f)
	}
	return faults, lacking
}

// unshareable explains why a line could not be shared: all its weights are zero.
func (w *weights) unshareable(err error, line *Line, items []int) *source.Fault {
	if !slices.ContainsFunc(items, func(i int) bool { return w.items[i].Count > 0 }) {
		f := &source.Fault{What: fmt.Sprintf("nobody paid for what %s is shared over: its count is 0", line.words()),
			Remedy: "let items carry it that were paid for, or name this one under on and write per: item", Err: err}
		if line.Kind == Price || line.Kind == Premium {
			f.Remedy = "count what was paid for"
		}
		return f
	}
	who := "item " + w.items[items[0]].ID
	if n := len(items) - 1; n > 0 {
		who += fmt.Sprintf(" and %d more", n)
	}
	return &source.Fault{What: fmt.Sprintf("cannot share %s by %s: the %s of %s is zero", line.words(), line.By, line.By, who),
		Remedy: "give at least one of them a " + line.By.String() + ", or share by another basis", Err: err}
}

func (l *Line) words() string {
	if l.Lot != "" && (l.Kind == Price || l.Kind == Premium) {
		return fmt.Sprintf("the %s of lot %s", l.Kind, l.Lot)
	}
	return fmt.Sprintf("the %s %q", l.Kind, l.What)
}

// describe prints a sum of weights in the unit of its basis.
func (v *vector) describe(by Basis, sum *big.Int) string {
	switch {
	case by == ByWeight && sum.IsInt64():
		return measure.Weight(sum.Int64()).String()
	case by == ByWeight:
		return sum.String() + " ng"
	case by == ByCount:
		return plural(sum.String(), "piece")
	case by.byLine():
		return plural(sum.String(), "item")
	case v.parts != nil: // not rounded to the minor unit: it is a weight, not an amount
		return decimals(new(big.Rat).SetFrac(sum, v.parts), v.unit)
	case sum.IsInt64():
		return money.New(sum.Int64(), v.unit).String()
	}
	return sum.String() + " minor units of " + v.unit.Code()
}

// decimals prints a value exactly, or, where it has no end, says that it is
// about so much.
func decimals(value *big.Rat, unit money.Currency) string {
	const most = 10
	if digits, exact := value.FloatPrec(); exact && digits <= most {
		return value.FloatString(max(digits, unit.Digits())) + " " + unit.Code()
	}
	return "about " + value.FloatString(unit.Digits()+2) + " " + unit.Code()
}

func plural(n, word string) string {
	if n == "1" {
		return n + " " + word
	}
	return n + " " + word + "s"
}

// count prints a number of things.
func count(n int, word string) string { return plural(strconv.Itoa(n), word) }
