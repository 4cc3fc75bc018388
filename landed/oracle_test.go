package landed_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// The oracle computes a statement a second time, in fractions and straight from
// the meaning of the lot file in words. Of the code under test it uses only the
// haul's fields.

// rates gives what one unit of a currency is in home.
type rates map[string]*big.Rat

type oracleLine struct {
	kind  landed.Kind
	of    place
	home  *big.Int         // minor units
	parts map[int]*big.Int // by item, in minor units
}

// place is what a line belongs to: ids, or nothing for the whole haul.
type place struct{ parcel, lot, item string }

type oracle struct {
	haul  *landed.Haul
	rates rates
	items []landed.Item
	lotOf []int
	lines []oracleLine
	fails bool // a weight is missing, or all are zero
}

func newOracle(h *landed.Haul, r rates) *oracle {
	o := &oracle{haul: h, rates: r}
	for i, lot := range h.Lots {
		for _, it := range lot.Items {
			o.items, o.lotOf = append(o.items, it), append(o.lotOf, i)
		}
	}
	return o
}

// digitsOf is ISO 4217's number of decimals of the currencies used here.
var digitsOf = map[string]int64{"CAD": 2, "USD": 2, "EUR": 2, "JPY": 0, "KWD": 3}

func tenTo(n int64) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(n), nil) }

func exact(d decimal.Decimal) *big.Rat {
	r, ok := new(big.Rat).SetString(d.String())
	if !ok {
		panic(d.String())
	}
	return r
}

func major(a money.Amount) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(a.Minor()), tenTo(digitsOf[a.Currency().Code()]))
}

// toHome rounds an amount of major units of home once, half away from zero.
func (o *oracle) toHome(r *big.Rat) *big.Int {
	minor := new(big.Rat).Mul(r, new(big.Rat).SetInt(tenTo(digitsOf[o.haul.Home.Code()])))
	size := new(big.Rat).Abs(minor)
	size.Add(size, big.NewRat(1, 2))
	whole := new(big.Int).Quo(size.Num(), size.Denom())
	if minor.Sign() < 0 {
		whole.Neg(whole)
	}
	return whole
}

// convert takes an amount of a currency to home, with the spread.
func (o *oracle) convert(r *big.Rat, currency string) *big.Int {
	if currency == o.haul.Home.Code() {
		return o.toHome(r)
	}
	out := new(big.Rat).Mul(r, o.rates[currency])
	return o.toHome(out.Mul(out, new(big.Rat).Add(big.NewRat(1, 1), exact(o.haul.Spread))))
}

func (o *oracle) lot(i int) []int {
	var items []int
	for n, lot := range o.lotOf {
		if lot == i {
			items = append(items, n)
		}
	}
	return items
}

func (o *oracle) run() {
	prices := make([]*big.Int, len(o.haul.Lots))
	for i, lot := range o.haul.Lots {
		if lot.Settled.Currency() != 0 {
			prices[i] = big.NewInt(lot.Settled.Minor())
			o.add(landed.Price, place{lot: lot.ID}, prices[i], o.basis(landed.Price), o.lot(i))
			continue
		}
		price, code := major(lot.Price), lot.Price.Currency().Code()
		prices[i] = o.convert(price, code)
		o.add(landed.Price, place{lot: lot.ID}, prices[i], o.basis(landed.Price), o.lot(i))
		if !lot.Premium.IsZero() {
			premium := o.convert(new(big.Rat).Mul(price, exact(lot.Premium)), code)
			o.add(landed.Premium, place{lot: lot.ID}, premium, o.basis(landed.Premium), o.lot(i))
			prices[i] = new(big.Int).Add(prices[i], premium)
		}
	}
	for _, p := range o.haul.Parcels {
		inside := o.inParcel(p)
		if p.Freight.Currency() != 0 {
			o.add(landed.Freight, place{parcel: p.ID}, o.convert(major(p.Freight), p.Freight.Currency().Code()), o.basis(landed.Freight), inside)
		}
		if p.Insurance.Currency() != 0 {
			o.add(landed.Insurance, place{parcel: p.ID}, o.convert(major(p.Insurance), p.Insurance.Currency().Code()), o.basis(landed.Insurance), inside)
		}
		if p.Fees.Currency() != 0 {
			o.add(landed.Fee, place{parcel: p.ID}, o.convert(major(p.Fees), p.Fees.Currency().Code()), o.basis(landed.Fee), inside)
		}
	}
	for _, c := range o.haul.Charges {
		o.charge(c, prices)
	}
}

// inParcel lists the items of the lots in a parcel.
func (o *oracle) inParcel(p landed.Parcel) []int {
	var items []int
	for n, lot := range o.lotOf {
		if slices.Contains(p.Lots, o.haul.Lots[lot].ID) {
			items = append(items, n)
		}
	}
	return items
}

// byParcel gathers covered items by their parcel, in the order of the parcels.
func (o *oracle) byParcel(covered []int) (ids []string, groups [][]int) {
	if len(o.haul.Parcels) == 0 {
		return []string{""}, [][]int{covered}
	}
	for _, p := range o.haul.Parcels {
		all := o.inParcel(p)
		inside := slices.DeleteFunc(slices.Clone(covered), func(n int) bool { return !slices.Contains(all, n) })
		if len(inside) > 0 {
			ids, groups = append(ids, p.ID), append(groups, inside)
		}
	}
	return ids, groups
}

// basis is the haul's basis for a kind, or the default one.
func (o *oracle) basis(k landed.Kind) landed.Basis {
	if b := o.haul.Share[k]; b != landed.NoBasis {
		return b
	}
	switch k {
	case landed.Freight:
		return landed.ByWeight
	case landed.Fee, landed.Repair:
		return landed.ByCount
	}
	return landed.ByValue
}

// covered lists the items of a charge.
func (o *oracle) covered(c landed.Charge) []int {
	var items []int
	for n, it := range o.items {
		if len(c.On) == 0 || slices.Contains(c.On, it.ID) || slices.Contains(c.On, o.haul.Lots[o.lotOf[n]].ID) {
			items = append(items, n)
		}
	}
	return items
}

func (o *oracle) charge(c landed.Charge, prices []*big.Int) {
	basis := c.By
	if basis == landed.NoBasis {
		basis = o.basis(c.Kind)
	}
	each := func(items []int) *big.Int {
		switch {
		case c.Settled.Currency() != 0:
			return big.NewInt(c.Settled.Minor())
		case c.OfPrice:
			sum := new(big.Int)
			for i := range prices {
				if slices.ContainsFunc(items, func(n int) bool { return o.lotOf[n] == i }) {
					sum.Add(sum, prices[i])
				}
			}
			of := new(big.Rat).SetFrac(sum, tenTo(digitsOf[o.haul.Home.Code()]))
			return o.toHome(of.Mul(of, exact(c.Percent)))
		}
		return o.convert(major(c.Amount), c.Amount.Currency().Code())
	}
	covered := o.covered(c)
	switch c.Per {
	case landed.PerHaul:
		o.add(c.Kind, place{}, each(covered), basis, covered)
	case landed.PerParcel:
		ids, groups := o.byParcel(covered)
		for i, inside := range groups {
			o.add(c.Kind, place{parcel: ids[i]}, each(inside), basis, inside)
		}
	case landed.PerLot:
		for i, lot := range o.haul.Lots {
			var inside []int
			for _, n := range covered {
				if o.lotOf[n] == i {
					inside = append(inside, n)
				}
			}
			if inside != nil {
				o.add(c.Kind, place{lot: lot.ID}, each(inside), basis, inside)
			}
		}
	case landed.PerItem, landed.PerPiece:
		for _, n := range covered {
			all := each([]int{n})
			if c.Per == landed.PerPiece {
				all = new(big.Int).Mul(all, big.NewInt(o.items[n].Count))
			}
			o.add(c.Kind, place{lot: o.haul.Lots[o.lotOf[n]].ID, item: o.items[n].ID}, all, landed.ByEqual, []int{n})
		}
	}
}

// weight is what an item weighs in a sharing, or nil when that is not known.
func (o *oracle) weight(it landed.Item, basis landed.Basis) *big.Rat {
	count := new(big.Rat).SetInt64(it.Count)
	switch basis {
	case landed.ByWeight:
		if it.Weighed {
			return count.Mul(count, new(big.Rat).SetInt64(int64(it.Weight)))
		}
	case landed.ByCount:
		return count
	case landed.ByLine, landed.ByEqual:
		return big.NewRat(min(it.Count, 1), 1) // nothing for what nobody paid for
	case landed.ByValue:
		switch c := it.Value.Currency(); c {
		case 0:
		case o.haul.Home:
			return count.Mul(count, major(it.Value))
		default:
			return count.Mul(count, major(it.Value)).Mul(count, o.rates[c.Code()])
		}
	}
	return nil
}

func (o *oracle) add(kind landed.Kind, of place, home *big.Int, basis landed.Basis, items []int) {
	line := oracleLine{kind, of, home, map[int]*big.Int{}}
	if home.Sign() != 0 {
		var weights []*big.Rat
		for _, n := range items {
			weights = append(weights, o.weight(o.items[n], basis))
		}
		shares, ok := shareOut(home, weights)
		if !ok {
			o.fails = true
			return
		}
		for i, n := range items {
			line.parts[n] = shares[i]
		}
	}
	o.lines = append(o.lines, line)
}

// shareOut shares by largest remainder: every weight its whole quota, and then
// one unit at a time to the largest remainder that had none yet, the earlier of
// equal ones. A refund is shared like the charge that it mirrors.
func shareOut(total *big.Int, weights []*big.Rat) ([]*big.Int, bool) {
	sum := new(big.Rat)
	for _, w := range weights {
		if w == nil {
			return nil, false
		}
		sum.Add(sum, w)
	}
	if sum.Sign() == 0 {
		return nil, false
	}
	left := new(big.Int).Abs(total)
	size := new(big.Rat).SetInt(left)
	shares, rest := make([]*big.Int, len(weights)), make([]*big.Rat, len(weights))
	for i, w := range weights {
		quota := new(big.Rat).Quo(new(big.Rat).Mul(size, w), sum)
		shares[i] = new(big.Int).Quo(quota.Num(), quota.Denom())
		rest[i] = quota.Sub(quota, new(big.Rat).SetInt(shares[i]))
	}
	for _, s := range shares {
		left = new(big.Int).Sub(left, s)
	}
	for ; left.Sign() > 0; left.Sub(left, big.NewInt(1)) {
		best := -1
		for i := range rest {
			if rest[i] != nil && (best < 0 || rest[i].Cmp(rest[best]) > 0) {
				best = i
			}
		}
		shares[best].Add(shares[best], big.NewInt(1))
		rest[best] = nil
	}
	if total.Sign() < 0 {
		for _, s := range shares {
			s.Neg(s)
		}
	}
	return shares, true
}

// compare checks a statement against the oracle, line by line and item by item.
func (o *oracle) compare(t *rapid.T, st *landed.Statement) {
	if len(st.Lines) != len(o.lines) {
		t.Fatalf("%d lines, want %d", len(st.Lines), len(o.lines))
	}
	total, costs := new(big.Int), make([]*big.Int, len(o.items))
	shares := make([][landed.Kinds]*big.Int, len(o.items))
	for n := range costs {
		costs[n] = new(big.Int)
		for k := range shares[n] {
			shares[n][k] = new(big.Int)
		}
	}
	for i, want := range o.lines {
		total.Add(total, want.home)
		o.compareLine(t, i, st.Lines[i], want)
		for n, part := range want.parts {
			costs[n].Add(costs[n], part)
			shares[n][want.kind].Add(shares[n][want.kind], part)
		}
	}
	if st.Total != money.New(total.Int64(), o.haul.Home) {
		t.Fatalf("total %v, want %v minor units", st.Total, total)
	}
	for n, it := range o.items {
		o.compareItem(t, st.Items[n], it, costs[n])
		for k := range shares[n] {
			if got := st.Items[n].Share(landed.Kind(k)).Minor(); got != shares[n][k].Int64() {
				t.Fatalf("item %s bears %d of %v, want %v", it.ID, got, landed.Kind(k), shares[n][k])
			}
		}
	}
}

func (o *oracle) compareLine(t *rapid.T, i int, got landed.Line, want oracleLine) {
	if of := (place{got.Parcel, got.Lot, got.Item}); got.Kind != want.kind || of != want.of {
		t.Fatalf("line %d is %v of %+v, want %v of %+v", i, got.Kind, of, want.kind, want.of)
	}
	if !want.home.IsInt64() || got.Home != money.New(want.home.Int64(), o.haul.Home) {
		t.Fatalf("line %d, %v %q: %v, want %v minor units", i, got.Kind, got.What, got.Home, want.home)
	}
	if len(got.Parts()) != len(want.parts) {
		t.Fatalf("line %d has %d parts, want %d", i, len(got.Parts()), len(want.parts))
	}
	for n, part := range got.Parts() {
		if w := want.parts[part.Item]; w == nil || w.Cmp(big.NewInt(part.Minor)) != 0 {
			t.Fatalf("line %d, %v %q, item %d: %d, want %v", i, got.Kind, got.What, part.Item, part.Minor, w)
		}
		if n > 0 && got.Parts()[n-1].Item >= part.Item {
			t.Fatalf("line %d: parts are not in file order", i)
		}
	}
}

// compareItem checks what an item and its pieces cost.
func (o *oracle) compareItem(t *rapid.T, got landed.ItemCost, it landed.Item, cost *big.Int) {
	if got.ID != it.ID || got.Count != it.Count || got.Cost != money.New(cost.Int64(), o.haul.Home) {
		t.Fatalf("item %s x %d costs %v, want %s x %d at %v minor units", got.ID, got.Count, got.Cost, it.ID, it.Count, cost)
	}
	if it.Count > 50 {
		return
	}
	want, ok := shareOut(cost, slices.Repeat([]*big.Rat{big.NewRat(1, 1)}, int(it.Count)))
	var each []int64
	for _, g := range got.Each() {
		each = append(each, slices.Repeat([]int64{g.Each.Minor()}, int(g.Count))...)
	}
	if !ok || fmt.Sprint(each) != fmt.Sprint(want) {
		t.Fatalf("the pieces of item %s cost %v, want %v", it.ID, each, want)
	}
}

// TestSplitOracle compares Split with the oracle, errors included.
func TestSplitOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { compareWithOracle(t, everyday) })
}

// TestSplitOracleHuge does so with weights, values and counts that leave 64
// bits, so that the sharing runs on big integers.
func TestSplitOracleHuge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { compareWithOracle(t, huge) })
}

// TestSplitOracleBrim does so with weights and values that each fit in 64 bits
// while their sum does not.
func TestSplitOracleBrim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { compareWithOracle(t, brim) })
}

func compareWithOracle(t *rapid.T, size sizes) {
	h, r := drawHaul(t, size)
	o := newOracle(h, r)
	o.run()
	st, err := landed.Split(h)
	switch {
	case o.fails && err == nil:
		t.Fatal("Split accepted a sharing without weights")
	case !o.fails && err != nil:
		t.Fatal(err)
	case err == nil:
		o.compare(t, st)
	}
}

// sizes bounds what is drawn.
type sizes struct {
	count, weight, value, price int64
	least                       int64 // of weight and value
	holes                       bool  // a weight or value may be zero or missing
}

var (
	everyday = sizes{count: 40, weight: 5_000_000_000_000, value: 500_000, price: 900_000, holes: true}
	solid    = sizes{count: 40, weight: 5_000_000_000_000, value: 500_000, price: 900_000}
	brim     = sizes{count: 1, weight: math.MaxInt64, value: math.MaxInt64, price: 900_000, least: math.MaxInt64 / 2}
	huge     = sizes{count: 10_000_000, weight: math.MaxInt64, value: math.MaxInt64, price: 1_000_000_000_000}
)

// drawHaul draws a haul and the rates that its market states.
func drawHaul(t *rapid.T, size sizes) (*landed.Haul, rates) {
	home := rapid.SampledFrom([]money.Currency{cad, jpy, kwd}).Draw(t, "home")
	r, equations := rates{}, []string(nil)
	for _, c := range []money.Currency{cad, jpy, kwd, usd} {
		if c == home {
			continue
		}
		left, right := rapid.Int64Range(1, 20_000).Draw(t, "left"), rapid.Int64Range(1, 20_000).Draw(t, "right")
		one, other := decimal.New(left, -2), decimal.New(right, -3)
		r[c.Code()] = new(big.Rat).Quo(exact(other), exact(one))
		text := fmt.Sprintf("%s %s = %s %s", one, c, other, home)
		if rapid.Bool().Draw(t, "home first") {
			text = fmt.Sprintf("%s %s = %s %s", other, home, one, c)
		}
		equations = append(equations, text)
	}
	h := &landed.Haul{Home: home, Market: market(equations...), Spread: drawPercent(t, "spread", 0, 100)}
	for k := range h.Share[:landed.Duty] {
		h.Share[k] = rapid.SampledFrom([]landed.Basis{landed.NoBasis, landed.NoBasis, landed.ByWeight, landed.ByCount, landed.ByValue, landed.ByLine, landed.ByEqual}).Draw(t, "share")
	}
	values := drawCurrencies(t)
	for i := range rapid.IntRange(1, 5).Draw(t, "lots") {
		h.Lots = append(h.Lots, drawLot(t, i, home, values, size))
	}
	if rapid.IntRange(0, 2).Draw(t, "in parcels") == 0 {
		h.Parcels = drawParcels(t, h, size)
	}
	for i := range rapid.IntRange(0, 6).Draw(t, "charges") {
		h.Charges = append(h.Charges, drawCharge(t, i, h, size))
	}
	return h, r
}

// drawCurrencies draws in which currencies values stand: often only one.
func drawCurrencies(t *rapid.T) []money.Currency {
	all := []money.Currency{cad, jpy, kwd, usd}
	if rapid.Bool().Draw(t, "mixed values") {
		return all
	}
	return []money.Currency{rapid.SampledFrom(all).Draw(t, "value currency")}
}

// drawPercent draws a fraction in steps of an eighth of a percent.
func drawPercent(t *rapid.T, label string, from, to int64) decimal.Decimal {
	return decimal.New(125*rapid.Int64Range(from, to).Draw(t, label), -5)
}

func drawAmount(t *rapid.T, label string, c money.Currency, from, to int64) money.Amount {
	if rapid.IntRange(0, 9).Draw(t, label+" is zero") == 0 {
		return money.New(0, c)
	}
	return money.New(rapid.Int64Range(from, to).Draw(t, label), c)
}

func drawLot(t *rapid.T, i int, home money.Currency, values []money.Currency, size sizes) landed.Lot {
	c := rapid.SampledFrom([]money.Currency{cad, jpy, kwd, usd}).Draw(t, "currency")
	lot := landed.Lot{ID: fmt.Sprintf("lot-%d", i), Price: drawAmount(t, "price", c, 1, size.price)}
	if rapid.Bool().Draw(t, "has premium") {
		lot.Premium = drawPercent(t, "premium", 1, 240)
	}
	if rapid.IntRange(0, 3).Draw(t, "is settled") == 0 {
		lot.Settled = drawAmount(t, "settled", home, 1, size.price)
	}
	for j := range rapid.IntRange(1, 8).Draw(t, "items") {
		lot.Items = append(lot.Items, drawItem(t, fmt.Sprintf("item-%d-%d", i, j), values, size))
	}
	return lot
}

// drawParcels puts each lot in one of the parcels.
func drawParcels(t *rapid.T, h *landed.Haul, size sizes) []landed.Parcel {
	parcels := make([]landed.Parcel, rapid.IntRange(1, len(h.Lots)).Draw(t, "parcels"))
	for n := range parcels {
		parcels[n].ID = fmt.Sprintf("parcel-%d", n)
		draw := func(label string, a *money.Amount) {
			if rapid.Bool().Draw(t, "has "+label) {
				*a = drawAmount(t, label, rapid.SampledFrom([]money.Currency{cad, jpy, kwd, usd}).Draw(t, "currency"), -size.price, size.price)
			}
		}
		draw("freight", &parcels[n].Freight)
		draw("insurance", &parcels[n].Insurance)
		draw("fees", &parcels[n].Fees)
	}
	for _, lot := range h.Lots {
		p := &parcels[rapid.IntRange(0, len(parcels)-1).Draw(t, "in parcel")]
		p.Lots = append(p.Lots, lot.ID)
	}
	return slices.DeleteFunc(parcels, func(p landed.Parcel) bool { return len(p.Lots) == 0 })
}

func drawItem(t *rapid.T, id string, values []money.Currency, size sizes) landed.Item {
	it := landed.Item{ID: id, Count: rapid.Int64Range(1, size.count).Draw(t, "count"), Weighed: true}
	draw := func(label string, to int64) int64 {
		if size.holes && rapid.IntRange(0, 11).Draw(t, label+" is zero") == 0 {
			return 0
		}
		least := max(size.least, 1)
		return rapid.OneOf(rapid.Int64Range(least, least+2), rapid.Int64Range(least, to)).Draw(t, label)
	}
	it.Weight = measureOf(draw("weight", size.weight))
	it.Value = money.New(draw("value", size.value), rapid.SampledFrom(values).Draw(t, "value currency"))
	if size.holes {
		switch rapid.IntRange(0, 150).Draw(t, "missing") {
		case 0:
			it.Weighed = false
		case 1:
			it.Value = money.Amount{}
		}
	}
	return it
}

func drawCharge(t *rapid.T, i int, h *landed.Haul, size sizes) landed.Charge {
	c := landed.Charge{What: fmt.Sprintf("charge %d", i),
		Kind: rapid.SampledFrom([]landed.Kind{landed.Freight, landed.Insurance, landed.Fee, landed.Repair}).Draw(t, "kind"),
		Per:  rapid.SampledFrom([]landed.Per{landed.PerHaul, landed.PerParcel, landed.PerLot, landed.PerItem, landed.PerPiece}).Draw(t, "per"),
		By:   rapid.SampledFrom([]landed.Basis{landed.NoBasis, landed.NoBasis, landed.ByWeight, landed.ByCount, landed.ByValue, landed.ByLine, landed.ByEqual}).Draw(t, "by")}
	limit := size.price
	if c.Per == landed.PerPiece {
		limit = min(limit, 1000)
	}
	var ids []string
	for _, lot := range h.Lots {
		ids = append(ids, lot.ID)
	}
	if c.Per < landed.PerItem && rapid.IntRange(0, 2).Draw(t, "in percent") == 0 {
		c.OfPrice, c.Percent = true, drawPercent(t, "percent", -80, 240)
	} else {
		c.Amount = drawAmount(t, "amount", rapid.SampledFrom([]money.Currency{cad, jpy, kwd, usd}).Draw(t, "currency"), -limit, limit)
		for _, lot := range h.Lots {
			for _, it := range lot.Items {
				ids = append(ids, it.ID)
			}
		}
	}
	if rapid.IntRange(0, 3).Draw(t, "is settled") == 0 {
		c.Settled = drawAmount(t, "settled", h.Home, -limit, limit)
	}
	if rapid.Bool().Draw(t, "on some") {
		c.On = rapid.SliceOfN(rapid.SampledFrom(ids), 1, 4).Draw(t, "on")
	}
	return c
}

// TestZeroWeights checks that a sharing over nothing is reported as such.
func TestZeroWeights(t *testing.T) {
	h := crates()
	for i := range h.Lots[0].Items {
		h.Lots[0].Items[i].Value = money.New(0, cad)
	}
	if _, err := landed.Split(h); !errors.Is(err, money.ErrNoWeight) {
		t.Errorf("got %v, want one that is ErrNoWeight", err)
	}
}

// FuzzSplitOracle searches for a haul that Split and the oracle see otherwise.
func FuzzSplitOracle(f *testing.F) {
	f.Add([]byte("two crates of planes"))
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) { compareWithOracle(t, everyday) }))
}
