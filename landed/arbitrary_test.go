package landed_test

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/planning"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// arbitrary draws hauls that may hold anything a program can put into one:
// mostly what makes sense, now and then what does not.
type arbitrary struct {
	t    *rapid.T
	wild int // one in so many things need make no sense; 0 is none
}

// odd says whether what comes next makes no sense.
func (a arbitrary) odd() bool { return a.wild > 0 && rapid.IntRange(1, a.wild).Draw(a.t, "odd") == 1 }

func (a arbitrary) bool() bool { return rapid.Bool().Draw(a.t, "bool") }

// below draws from 0 to less than n.
func (a arbitrary) below(n int) int { return rapid.IntRange(0, n-1).Draw(a.t, "of") }

func (a arbitrary) number(most int64) int64 {
	if a.odd() {
		return rapid.SampledFrom([]int64{0, -1, math.MaxInt64, math.MinInt64, math.MaxInt64 / 2, landed.MaxCount, landed.MaxCount + 1}).Draw(a.t, "odd number")
	}
	return rapid.Int64Range(0, most).Draw(a.t, "number")
}

// enum draws one of n values, or one beyond them.
func (a arbitrary) enum(n int) uint8 {
	if a.odd() {
		return rapid.SampledFrom([]uint8{uint8(n), uint8(n) + 1, 255}).Draw(a.t, "odd value")
	}
	return uint8(a.below(n))
}

func (a arbitrary) amount(most int64) money.Amount {
	c := cad
	if a.below(4) == 0 {
		c = jpy
	}
	if a.odd() {
		c = rapid.SampledFrom([]money.Currency{0, usd, kwd, 250}).Draw(a.t, "odd currency")
	}
	return money.New(a.number(most), c)
}

// maybe is an amount that is often not given.
func (a arbitrary) maybe(most int64) money.Amount {
	if a.below(3) > 0 {
		return money.Amount{}
	}
	return a.amount(most)
}

func (a arbitrary) home(most int64) money.Amount {
	if a.odd() {
		return a.amount(most)
	}
	if a.bool() {
		return money.Amount{}
	}
	return money.New(a.number(most), cad)
}

func (a arbitrary) fraction() decimal.Decimal {
	if a.odd() {
		return rapid.SampledFrom([]decimal.Decimal{decimal.New(-1, -1), decimal.New(-3, 0), decimal.New(11, 0), decimal.New(1, math.MaxInt32), decimal.New(1, math.MinInt32), decimal.New(-7, 1<<28)}).Draw(a.t, "odd fraction")
	}
	return decimal.New(int64(a.below(101)), -2)
}

func (a arbitrary) id() string {
	return rapid.SampledFrom([]string{"a", "b", "c", "d", "jack", "block"}).Draw(a.t, "id")
}

func (a arbitrary) ids() []string {
	var ids []string
	for range a.below(3) {
		ids = append(ids, a.id())
	}
	return ids
}

func (a arbitrary) day() time.Time {
	if a.odd() {
		return rapid.SampledFrom([]time.Time{{}, time.Unix(math.MaxInt32*1000, 0), day.AddDate(-3000, 0, 0)}).Draw(a.t, "odd day")
	}
	return day.AddDate(0, 0, a.below(20))
}

func (a arbitrary) haul() *landed.Haul {
	h := &landed.Haul{Home: cad, Date: a.day(), From: "JP", To: "CA-ON", Spread: a.fraction(), Losses: landed.LossRule(a.enum(4)), At: a.at()}
	if a.odd() {
		h.Home = rapid.SampledFrom([]money.Currency{0, jpy, 250}).Draw(a.t, "odd home")
	}
	if !a.odd() {
		h.Market = market("100 JPY = 0.93 CAD")
	}
	for k := range h.Share {
		h.Share[k] = landed.Basis(a.enum(5))
	}
	for i := range 1 + a.below(3) {
		h.Lots = append(h.Lots, a.lot(string(rune('a'+i))))
	}
	if a.odd() {
		h.Lots = nil
	}
	h.Parcels, h.Border = a.parcels(h), a.border()
	for range a.below(4) {
		h.Charges = append(h.Charges, a.charge())
	}
	return h
}

func (a arbitrary) at() source.Origin {
	if a.odd() {
		return source.Origin{File: "\x00", Line: math.MinInt, Column: math.MaxInt}
	}
	return source.Origin{}
}

func (a arbitrary) lot(id string) landed.Lot {
	lot := landed.Lot{ID: id, Price: a.amount(9000), Premium: a.fraction(), Settled: a.home(9000), Open: a.odd(), Lost: a.odd(), Packed: measure.Weight(a.number(2)), At: a.at()}
	if a.odd() {
		lot.ID, lot.Price = "", money.Amount{}
	}
	for i := range 1 + a.below(3) {
		lot.Items = append(lot.Items, a.item(id+string(rune('1'+i))))
	}
	if a.odd() {
		lot.Items = nil
	}
	return lot
}

func (a arbitrary) item(id string) landed.Item {
	it := landed.Item{ID: id, Count: 1 + a.number(5), Weight: measure.Weight(1 + a.number(1e12)), Weighed: !a.odd(), Value: money.New(1+a.number(9000), cad), At: a.at(),
		PartsValue: a.maybe(900), Repair: a.maybe(900), Hours: a.fraction(), Worth: a.maybe(900), Alike: a.bool()}
	if a.odd() {
		it.ID, it.Value, it.Class, it.Keep = "a", a.maybe(90), "tool", a.number(3)
	}
	if a.below(3) == 0 {
		f := landed.Found{Sound: a.number(2), Parts: a.number(2), Dead: a.number(2), Missing: a.number(2), Extra: a.number(1)}
		if all := f.Sound + f.Parts + f.Dead + f.Missing; !a.odd() && all > 0 && all >= f.Extra && all < 100 {
			it.Count = all - f.Extra
		}
		for range a.below(3) {
			f.Yields = append(f.Yields, landed.Yield{What: a.id(), Count: 1 + a.number(3), Value: a.amount(900), Weight: measure.Weight(a.number(1e9)), Weighed: a.bool()})
		}
		if it.Found = &f; f.Dead == 0 && !a.odd() {
			f.Yields = nil
		}
	}
	for range a.below(2) {
		it.Chances = append(it.Chances, landed.Outcome{What: "works", Chance: decimal.NewFromInt(1), Value: a.amount(9000), Repair: a.maybe(900)})
		if a.odd() {
			it.Chances[0].Chance, it.Chances[0].UpTo = a.fraction(), a.maybe(9000)
		}
	}
	for range a.below(2) {
		it.Sold = append(it.Sold, a.sale())
	}
	return it
}

func (a arbitrary) sale() landed.Sale {
	s := landed.Sale{Price: a.amount(9000), Count: 1, Postage: a.maybe(900), Fees: a.maybe(900)}
	if a.odd() {
		s.Count, s.Date, s.Venue = a.number(3), a.day(), a.id()
	}
	if a.below(3) == 0 {
		s.Returned = append(s.Returned, landed.Return{Date: day.AddDate(0, 0, a.below(40)), Count: a.number(1), Refund: a.maybe(9000), FeesBack: a.maybe(90), Postage: a.maybe(900), As: landed.State(a.enum(4))})
	}
	return s
}

func (a arbitrary) charge() landed.Charge {
	c := landed.Charge{What: "fee", Kind: landed.Freight + landed.Kind(a.enum(4)), Per: landed.Per(a.enum(5)), By: landed.Basis(a.enum(5)), Dutiable: landed.Dutiable(a.enum(3)), At: a.at()}
	if c.OfPrice = a.below(4) == 0 && c.Per < landed.PerItem; c.OfPrice || a.odd() {
		c.Percent = a.fraction()
	}
	if !c.OfPrice || a.odd() {
		c.Amount = a.amount(9000)
	}
	if c.Settled = a.home(9000); a.odd() {
		c.On, c.Kind = a.ids(), landed.Kind(a.enum(landed.Kinds))
	}
	return c
}

func (a arbitrary) parcels(h *landed.Haul) []landed.Parcel {
	if a.bool() {
		return nil
	}
	var parcels []landed.Parcel
	for i := range h.Lots {
		p := landed.Parcel{ID: h.Lots[i].ID, Lots: []string{h.Lots[i].ID}, Carriage: landed.Carriage{Freight: a.maybe(900), Insurance: a.maybe(900), Fees: a.maybe(900)}, Billed: measure.Weight(a.number(9))}
		p.Settled = landed.Carriage{Freight: a.home(900), Insurance: a.home(900), Fees: a.home(900)}
		if p.Bill = a.bill(); a.odd() {
			p.Lots = a.ids()
		}
		parcels = append(parcels, p)
	}
	return parcels
}

func (a arbitrary) bill() landed.Bill {
	if a.below(4) > 0 {
		return landed.Bill{}
	}
	return landed.Bill{Duty: a.home(900), Tax: a.home(900), Fee: a.home(900)}
}

func (a arbitrary) border() *landed.Border {
	if a.below(3) > 0 {
		return nil
	}
	b := &landed.Border{Use: customs.Use(a.enum(3)), Mode: customs.Mode(a.enum(3)), Flat: a.bool(), TaxPaid: a.odd(), Private: a.odd(), Bill: a.bill(),
		Class: "tool", Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &customs.Rate{Fraction: decimal.New(65, -3)}}}}
	if !a.odd() {
		b.Book = customs.NewBook()
	}
	if a.odd() {
		b.Class, b.Classes, b.Fees = a.id(), map[string]customs.Class{"tool": {}}, []customs.Fee{{What: "handling", Amount: a.amount(900)}}
	}
	return b
}

// TestArbitraryHauls calls everything that the package exports with hauls that
// may hold anything. Nothing panics; what Split refuses it says why, and what it
// takes adds up.
func TestArbitraryHauls(t *testing.T) {
	taken, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := arbitrary{t, rapid.SampledFrom([]int{0, 300, 60, 12}).Draw(t, "wild")}
		h := a.haul()
		st, err := landed.Split(h)
		sums, errOfSums := landed.Sums(h)
		if (err == nil) != (errOfSums == nil) || err == nil && (sums.Total != st.Total || sums.Loss != st.Loss || sums.Pieces() != st.Pieces() || !slices.Equal(sums.Haul.Open(), st.Haul.Open())) {
			t.Fatalf("sums %v, %v; split %v, %v", sums, errOfSums, st, err)
		}
		if taken++; err != nil {
			taken, refused = taken-1, refused+1
			var faults source.Faults
			if !errors.As(err, &faults) || len(faults) == 0 || st != nil {
				t.Fatalf("refused with %v of %T, and %v", err, err, st)
			}
			st = &landed.Statement{}
		}
		checkArbitrary(t, st)
		a.reprice(h)
		a.callSplits(h)
		a.callHaul(h)
		a.callStatement(st)
		a.callOthers(h)
	})
	if taken+refused >= 100 && (taken == 0 || refused == 0) {
		t.Errorf("%d hauls were taken and %d refused: the draw is too tame or too wild", taken, refused)
	}
}

// checkArbitrary checks the promise of the package.
func checkArbitrary(t *rapid.T, st *landed.Statement) {
	var lines, items, groups int64
	for i := range st.Lines {
		lines += st.Lines[i].Home.Minor()
	}
	for i := range st.Items {
		items += st.Items[i].Cost.Minor()
		for _, g := range st.Items[i].AppendGroups(nil) {
			groups += g.Cost.Minor()
		}
	}
	if total := st.Total.Minor(); lines != total || items+st.Loss.Minor() != total || groups != total {
		t.Errorf("total %d, lines %d, items %d and lost %s, groups %d", total, lines, items, st.Loss, groups)
	}
}

func (a arbitrary) callSplits(h *landed.Haul) {
	c, err := landed.NewParcelPricer(h)
	if err != nil {
		return
	}
	var lots []int
	for range a.below(3) {
		lots = append(lots, a.below(max(len(h.Lots), 1)))
	}
	if a.odd() {
		lots = append(lots, int(a.number(3)))
	}
	c.Additive()
	c.FixedCost()
	c.CountsFreight()
	c.Floors([]money.Currency{money.MustCurrency("JPY")}, a.number(1<<40))
	c.Charged()
	c.Parcel(lots, a.maybe(900), a.maybe(900), a.maybe(900))
	c.Same(a.below(9)-1, a.below(9)-1)
	var prices []money.Amount
	for range a.below(9) {
		prices = append(prices, money.New(int64(a.below(9000)), jpy))
	}
	c.At(lots, prices)
	c.Parcel(lots, a.maybe(900), a.maybe(900), a.maybe(900))
	sums, ok, _ := c.Terms(a.below(4)-1, a.maybe(900))
	if bySums, reported := c.BySums(lots, a.maybe(900), a.maybe(900), a.maybe(900)); ok && reported {
		bySums(sums, int64(a.below(90_000)))
	}
	c.Together()
	c.Rounded()
	c.Counts(lots, a.maybe(900), a.maybe(900), a.maybe(900))
	c.Beside(lots, a.maybe(900), a.maybe(900), a.maybe(900), int64(a.below(90_000)))
}

// reprice asks for some lots at other prices, and compares with Split. What a set of lots
// costs beside its prices is the same by their terms.
func (a arbitrary) reprice(h *landed.Haul) {
	var lots []int
	for i := range h.Lots {
		if a.bool() {
			lots = append(lots, i)
		}
	}
	if a.number(20) == 19 {
		lots = append(lots, len(h.Lots)+a.below(9)) // not there
	}
	r, err := landed.NewRepricer(h, lots)
	if err != nil || r == nil {
		return
	}
	other := *h
	other.Lots = slices.Clone(h.Lots)
	var prices []money.Amount
	var sums []int64
	byTerms, paid := true, int64(0)
	for n, i := range lots {
		price := money.New(int64(a.below(9000)), jpy)
		lot := &other.Lots[i]
		lot.Price, lot.Open, lot.Settled, lot.Lost = price, false, money.Amount{}, false
		prices = append(prices, price)
		home, err := landed.PriceOf(r, n, price)
		terms, ok, _ := r.Terms(n, price)
		if byTerms = byTerms && ok && err == nil; !byTerms {
			continue
		}
		paid += home.Minor()
		sums = append(sums, make([]int64, max(len(terms)-len(sums), 0))...)
		for k, term := range terms {
			sums[k] += term
		}
	}
	total, err := r.Total(prices)
	st, refused := landed.Split(other.OpenAsFree())
	switch {
	case (err == nil) != (refused == nil):
		a.t.Fatalf("priced %v, %v; split %v", total, err, refused)
	case err == nil && total != st.Total:
		a.t.Fatalf("priced %v, split %v", total, st.Total)
	}
	if err == nil {
		a.atBorder(r, st)
	}
	switch {
	case err != nil || !byTerms || len(lots) == 0:
		return
	}
	rest, ok, err := r.Rest(r.Classes(), sums)
	if ok && (err != nil || rest.Minor()+paid != st.Total.Minor()) {
		a.t.Fatalf("by terms %v, %v and %d for prices, split %v", rest, err, paid, st.Total)
	}
	if !ok || !r.Levies() {
		return
	}
	heavier := *h
	heavier.Charges = append(slices.Clone(h.Charges), landed.Charge{What: "more", Kind: landed.Freight, By: landed.ByCount, Amount: money.New(int64(a.below(9000)), jpy)})
	if o, err := landed.NewRepricer(&heavier, lots); err == nil && o != nil {
		if more, _, err := o.Rest(r.Classes(), sums); err == nil && more.Minor()-o.Fixed().Minor() != rest.Minor()-r.Fixed().Minor() {
			a.t.Fatalf("with more freight the border asks %v less %v, without %v less %v", more, o.Fixed(), rest, r.Fixed())
		}
	}
}

// atBorder compares how a haul at other prices stands at the border with Split. Of the lines of a
// class, that are counted as one, there is no more to tell than of that one.
func (a arbitrary) atBorder(r planning.Prices, st *landed.Statement) {
	bill, parcels, ok := landed.AtBorder(r)
	if !ok {
		return
	}
	none := money.New(0, st.Home)
	sums := landed.Bill{Duty: none, Tax: none, Fee: none}
	for i := range st.Lines {
		if l := &st.Lines[i]; l.Estimated {
			sum := map[landed.Kind]*money.Amount{landed.Duty: &sums.Duty, landed.Tax: &sums.Tax, landed.Fee: &sums.Fee}[l.Kind]
			*sum = money.New(sum.Minor()+l.Home.Minor(), st.Home)
		}
	}
	if bill != sums {
		a.t.Fatalf("the border asks %v, split %v", bill, sums)
	}
	if st.Border == nil {
		return
	}
	estimated := st.Border.Parcels
	if st.Haul.Border.Bill == (landed.Bill{}) && len(st.Haul.Parcels) > 0 {
		estimated = nil
		for n := range st.Haul.Parcels {
			if bill := st.Haul.BillOf(st.Haul.Parcels[n].ID); !bill.Whole() {
				estimated = append(estimated, st.Border.Parcels[n])
			}
		}
	}
	for n, got := range parcels {
		want := estimated[n]
		want.Lines = nil
		for _, list := range [...][]customs.Relief{got.Relief, want.Relief} {
			for i := range list {
				list[i].Except = nil
			}
		}
		if !reflect.DeepEqual(got.Assessed, want.Assessed) || !slices.Equal(got.Fees, want.Fees) || !reflect.DeepEqual(got.Relief, want.Relief) && len(got.Relief)+len(want.Relief) > 0 {
			a.t.Fatalf("parcel %d at the border %+v, split %+v", n, got, want)
		}
	}
}

func (a arbitrary) callHaul(h *landed.Haul) {
	h.Check()
	h.CheckRates()
	h.CheckWeights(func(source.Origin) bool { return a.bool() })
	h.CrossesBorder()
	h.AsMet()
	rates := h.Exchange()
	rates.Cost(a.amount(900))
	rates.Value(a.amount(900), a.amount(900).Currency())
	h.LotIDs()
	h.LotAt(a.id())
	h.IDs()
	h.Only(func(*landed.Lot) bool { return a.bool() })
	h.Open()
	h.OpenAsFree()
	h.OnlyBought()
	h.ForSale()
	h.WithoutLost()
	_, _ = landed.Split(h.WithoutOpen())
	h.WithoutBills()
	for i := range h.Charges {
		h.Charges[i].OfParcels()
	}
	for i := range h.Lots {
		h.Lots[i].Bought()
		h.OmitsBorder()
		h.Billed()
		for j := range h.Lots[i].Items {
			a.callItem(h, &h.Lots[i].Items[j])
		}
	}
}

func (a arbitrary) callItem(h *landed.Haul, item *landed.Item) {
	h.ValueOf(item)
	h.Best(item.Chances)
	h.Values(item, a.number(9))
	for range h.Turns(item) {
	}
	for i := range item.Chances {
		item.Chances[i].Mean()
	}
}

func (a arbitrary) callStatement(st *landed.Statement) {
	st.Estimate()
	if all := st.WithQuietLines(); all.Total != st.Total || len(all.Lines) < len(st.Lines) {
		a.t.Fatalf("with levies of nothing it is %s in %d lines, not %s in %d", all.Total, len(all.Lines), st.Total, len(st.Lines))
	}
	st.Bills()
	st.BorderRates()
	st.BySellers()
	st.WithoutFreight()
	if u := st.Uncounted(); u != nil {
		u.Beyond(u)
	}
	st.Pieces()
	st.ItemAt(a.id())
	st.Rates()
	st.Sum(landed.Kind(a.enum(landed.Kinds)))
	st.ItemWorking(a.below(9) - 2)
	lines := append(st.Lines[:len(st.Lines):len(st.Lines)], landed.LineOn(landed.Basis(a.enum(6)), a.below(9)-2))
	for i := range lines {
		st.Working(&lines[i])
		t := st.Terms(&lines[i])
		t.Rate()
		lines[i].SharedBy()
		if text := lines[i].Asked(); text != string(lines[i].AppendAsked(nil)) {
			a.t.Errorf("appended otherwise than %q", text)
		}
	}
	items := append(st.Items[:len(st.Items):len(st.Items)], landed.ItemCost{Found: landed.Found{Sound: a.number(3), Yields: []landed.Yield{{Count: a.number(3)}}}})
	for i := range items {
		c := &items[i]
		c.Bears(landed.Kind(a.enum(landed.Kinds)))
		c.Moved()
		c.Each()
		c.Share(landed.Kind(a.enum(landed.Kinds)))
		for _, g := range c.AppendGroups(nil) {
			g.Share(landed.Kind(a.enum(landed.Kinds)))
		}
	}
}

// callOthers calls what needs no haul.
func (a arbitrary) callOthers(h *landed.Haul) {
	kind, basis := landed.Kind(a.enum(landed.Kinds)), landed.Basis(a.enum(6))
	_ = kind.String() + basis.String() + landed.State(a.enum(4)).String()
	h.Share.WithPrice(basis)
	_ = landed.DefaultBases()
	landed.Parse[landed.Basis](a.id())
	landed.Parse[landed.Kind](a.id())
	landed.Parse[landed.LossRule](a.id())
	landed.Parse[landed.Per](a.id())
}

// TestNil checks that a haul that is not there is refused.
func TestNil(t *testing.T) {
	_, split := landed.Split(nil)
	_, pricer := landed.NewParcelPricer(nil)
	for _, err := range []error{split, pricer} {
		if err == nil || err.Error() != "there is no haul" {
			t.Errorf("got %v", err)
		}
	}
}

// TestEveryExportIsCalled checks that the calls above leave nothing out.
func TestEveryExportIsCalled(t *testing.T) {
	text, err := os.ReadFile("arbitrary_test.go")
	if err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), f.Name(), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.IsExported() && !regexp.MustCompile(`\.`+fn.Name.Name+`[([]`).Match(text) {
				t.Errorf("%s is not called with anything arbitrary", fn.Name.Name)
			}
		}
	}
}

// FuzzArbitrary searches for a haul on which something panics.
func FuzzArbitrary(f *testing.F) {
	f.Add([]byte("a crate of planes"))
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) {
		a := arbitrary{t, rapid.IntRange(5, 300).Draw(t, "wild")}
		h := a.haul()
		if st, err := landed.Split(h); err == nil {
			checkArbitrary(t, st)
			a.callStatement(st)
		}
		a.callSplits(h)
		a.callHaul(h)
	}))
}
