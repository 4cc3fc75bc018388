package live_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// change is one figure that is changed in a haul and in its workbook alike.
type change struct {
	rng *rand.Rand
	h   *landed.Haul
	b   book
}

// paid finds the row of an amount, counted from 1; 0 where there is none.
func (c *change) paid(match func(row []string) bool) int {
	for r, row := range c.b.rows("paid") {
		for len(row) < 14 {
			row = append(row, "")
		}
		if r > 0 && match(row) {
			return r + 1
		}
	}
	return 0
}

func (c *change) amount(like money.Amount) money.Amount {
	return money.New(c.rng.Int64N(max(3*like.Minor(), 900)), like.Currency())
}

func (c *change) lot() *landed.Lot { return &c.h.Lots[c.rng.IntN(len(c.h.Lots))] }

func (c *change) item() *landed.Item {
	lot := c.lot()
	return &lot.Items[c.rng.IntN(len(lot.Items))]
}

// itemRow is that of an item in the sheet sharing.
func (c *change) itemRow(id string) int {
	for r, row := range c.b.rows("sharing") {
		if row[0] == id {
			return r + 1
		}
	}
	c.b.t.Fatal("no row of ", id)
	return 0
}

// unsettled empties the cell of what the bank took for a lot.
func (c *change) unsettled(lot *landed.Lot) string {
	cur := lot.Price.Currency()
	if lot.Settled.Currency() == 0 || cur == 0 {
		return ""
	}
	if _, err := c.h.Market.Rate(fx.Code(cur.Code()), fx.Code(c.h.Home.Code())); cur != c.h.Home && err != nil {
		return ""
	}
	lot.Settled = money.Amount{}
	row := c.paid(func(row []string) bool { return row[1] == "price" && row[8] == lot.ID })
	if err := c.b.SetCellValue("paid", fmt.Sprint("G", row), nil); err != nil {
		c.b.t.Fatal(err)
	}
	return lot.ID + " no longer settled"
}

// changes are what a reader may do; each tells what it did, or "" where there is nothing of
// the kind.
var changes = map[string]func(c *change) string{
	"price": func(c *change) string {
		lot := c.lot()
		if lot.Settled.Currency() != 0 || lot.Price.Currency() == 0 {
			return ""
		}
		lot.Price = c.amount(lot.Price)
		row := c.paid(func(row []string) bool { return row[1] == "price" && row[8] == lot.ID })
		c.b.enter("paid", 3, row, lot.Price.Decimal().String())
		return lot.ID + " at " + lot.Price.String()
	},
	"premium": func(c *change) string {
		lot := c.lot()
		row := c.paid(func(row []string) bool { return row[1] == "premium" && row[8] == lot.ID })
		if row == 0 {
			return ""
		}
		lot.Premium = decimal.New(1+c.rng.Int64N(300), -3)
		c.b.enter("paid", 6, row, lot.Premium.String())
		return lot.ID + " " + lot.Premium.String()
	},
	"settled": func(c *change) string {
		lot := c.lot()
		row := c.paid(func(row []string) bool { return row[1] == "price" && row[8] == lot.ID })
		if row == 0 {
			return ""
		}
		lot.Settled = c.amount(money.New(9000, c.h.Home))
		c.b.enter("paid", 7, row, lot.Settled.Decimal().String())
		return lot.ID + " settled " + lot.Settled.String()
	},
	"not settled": func(c *change) string { return c.unsettled(c.lot()) },
	"rate": func(c *change) string {
		for _, lot := range c.h.Lots {
			cur := lot.Price.Currency()
			if cur == 0 || cur == c.h.Home || lot.Settled.Currency() != 0 {
				continue
			}
			rate := decimal.New(1+c.rng.Int64N(9999), -6)
			was, err := c.h.Market.Rate(fx.Code(cur.Code()), fx.Code(c.h.Home.Code()))
			if err != nil {
				c.b.t.Fatal(err)
			}
			old := was.Num.Mul(c.h.Spread.Add(decimal.NewFromInt(1))).DivRound(was.Den, 15).String()
			row := 0 // the one that has the number
			for r, cells := range c.b.rows("paid") {
				if at, _ := c.b.GetCellFormula("paid", fmt.Sprint("D", r+1)); r > 0 && row == 0 && at == "" && len(cells) > 3 && alike(old, cells[3]) {
					row = r + 1
				}
			}
			if row == 0 {
				return ""
			}
			market, err := c.h.Market.With(fx.Equation{LeftAmount: decimal.NewFromInt(1), Left: fx.Code(cur.Code()), RightAmount: rate, Right: fx.Code(c.h.Home.Code())})
			if err != nil {
				c.b.t.Fatal(err)
			}
			c.h.Market = market
			c.b.enter("paid", 4, row, rate.Mul(c.h.Spread.Add(decimal.NewFromInt(1))).String())
			return cur.Code() + " " + rate.String()
		}
		return ""
	},
	"weight": func(c *change) string {
		item := c.item()
		if !item.Weighed {
			return ""
		}
		item.Weight = measure.Gram * measure.Weight(1+c.rng.Int64N(4000))
		if c.rng.IntN(3) == 0 {
			item.Weight = 28_349_523_125 / 2 * 2 * measure.Weight(1+c.rng.Int64N(90)) // ounces
		}
		c.b.enter("sharing", c.b.read().column("sharing", "weight"), c.itemRow(item.ID), decimal.New(int64(item.Weight), -9).String())
		return item.ID + " " + item.Weight.String()
	},
	"count": func(c *change) string {
		item := c.item()
		if item.Found != nil || item.Count == 0 || len(item.Further) > 0 {
			return ""
		}
		item.Count = 1 + c.rng.Int64N(7)
		c.b.enter("sharing", c.b.read().column("sharing", "count"), c.itemRow(item.ID), strconv.FormatInt(item.Count, 10))
		return fmt.Sprint(item.ID, " x ", item.Count)
	},
	"value": func(c *change) string {
		item := c.item()
		if item.Value.Currency() == 0 || len(item.Further) > 0 {
			return ""
		}
		item.Value = c.amount(item.Value)
		c.b.enter("sharing", c.b.read().column("sharing", "value"), c.itemRow(item.ID), item.Value.Decimal().String())
		return item.ID + " " + item.Value.String()
	},
	"charge": func(c *change) string {
		if len(c.h.Charges) == 0 {
			return ""
		}
		ch := &c.h.Charges[c.rng.IntN(len(c.h.Charges))]
		rows := 0
		column, value := 3, ""
		switch {
		case ch.Settled.Currency() != 0 || ch.Amount.Sign() < 0:
			return ""
		case ch.OfPrice:
			ch.Percent = decimal.New(c.rng.Int64N(90), -3)
			column, value = 6, ch.Percent.String()
		default:
			ch.Amount = c.amount(ch.Amount)
			value = ch.Amount.Decimal().String()
			if ch.Per == landed.PerPiece {
				column = 14
			}
		}
		for r, row := range c.b.rows("paid") {
			if r > 0 && row[0] == ch.What && row[1] == ch.Kind.String() {
				rows++
				c.b.enter("paid", column, r+1, value)
			}
		}
		if rows == 0 {
			c.b.t.Fatal("no row of ", ch.What)
		}
		return ch.What + " " + value
	},
}

// figuresChanged: what a reader changes, LibreOffice calculates as the library does.
func figuresChanged(t *testing.T) calculation {
	var books []book
	var hauls []*landed.Haul
	var reported []string
	parted := false // what the bank took for a price and its premium was taken out
	names := []string{"price", "premium", "settled", "not settled", "rate", "weight", "count", "value", "charge"}
	paths := changed(t)
	tries := effort.Cases(100, 6, 6)
	drawn := randomHauls(t, tries/2)
	for n := range tries {
		rng := rand.New(rand.NewPCG(13, uint64(n)))
		path, h := "random haul", (*landed.Haul)(nil)
		if n%2 == 0 {
			h = drawn[n/2%len(drawn)]
		} else {
			path = paths[n/2%len(paths)]
			f, err := lotfile.Read(path, lotfile.Options{})
			if err != nil {
				t.Fatal(err)
			}
			h = f.WithoutOpen()
		}
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		c := &change{rng, h, written(t, live.Costs(st))}
		said := path + " to " + h.To
		for i := range h.Lots {
			if n%3 == 2 && !h.Lots[i].Premium.IsZero() {
				did := c.unsettled(&h.Lots[i])
				said, parted = said+"; "+did, parted || did != ""
			}
		}
		for range 1 + rng.IntN(3) {
			name := names[rng.IntN(len(names))]
			if did := changes[name](c); did != "" {
				said += "; " + name + " " + did
			}
		}
		books, hauls, reported = append(books, c.b), append(hauls, h), append(reported, said)
	}
	if !parted {
		t.Error("no price and its premium go each by itself again")
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			st, err := landed.Split(hauls[n])
			if err != nil {
				t.Error(reported[n], ": ", err) // such as a value of 0 for all
				continue
			}
			if overBound(b) || strings.Contains(fmt.Sprint(b.rows("paid")), "not calculated here") {
				continue // and the workbook says so
			}
			for _, problem := range differs(b, st) {
				t.Errorf("%s: %s", reported[n], problem)
			}
		}
	}}
}

// borderLimits are about how much a parcel may hold before something changes: limits of the
// rules, in home.
var borderLimits = map[string]float64{"CAD": 20, "EUR": 150, "GBP": 135, "AUD": 1000, "NZD": 1000, "CHF": 62, "NOK": 3000, "SGD": 400, "TWD": 2000, "USD": 800, "SEK": 1700, "KRW": 205_000, "ILS": 280, "JPY": 2150, "ZAR": 500, "BRL": 16_000}

// bordered draws a haul of two lots that comes to a border, at prices around a limit there, and
// what its price is changed to.
func bordered(t *testing.T, rng *rand.Rand, code, to string) *change {
	t.Helper()
	from := "JPY"
	if code == from {
		from = "GBP"
	}
	d := &drawer{Rand: rng, t: t, home: currency(t, code), away: []money.Currency{currency(t, from)}}
	var rates []fx.Equation
	for _, other := range []string{"JPY", "GBP", "EUR", "USD", "CAD"} {
		if other != code {
			rates = append(rates, fx.Equation{LeftAmount: decimal.NewFromInt(1), Left: fx.Code(other), RightAmount: decimal.NewFromFloat(about[other] / about[code]).Round(7), Right: fx.Code(code)})
		}
	}
	market, err := fx.NewMarket(rates, nil, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	h := &landed.Haul{Home: d.home, Market: market, Spread: decimal.New(25, -3), Date: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)}
	h.Lots = []landed.Lot{d.lot(0, false, false), d.lot(1, false, false)}
	for i := range h.Lots {
		h.Lots[i].Price, h.Lots[i].Settled = d.around(code), money.Amount{}
	}
	h.Charges = []landed.Charge{{What: "parcel", Kind: landed.Freight, By: landed.ByWeight, Amount: money.New(3000, d.away[0])}}
	if d.one(2) {
		h.Lots = append(h.Lots, d.lot(2, false, false))
		h.Lots[2].Price, h.Lots[2].Settled = d.around(code), money.Amount{}
		h.Parcels = []landed.Parcel{{ID: "box-0", Lots: []string{"lot-0", "lot-2"}}, {ID: "box-1", Lots: []string{"lot-1"}}}
	} else if d.one(3) {
		h.Parcels = []landed.Parcel{{ID: "box-0", Lots: []string{"lot-0"}}, {ID: "box-1", Lots: []string{"lot-1"}}}
	}
	d.border(h, to)
	h.Border.Bill = landed.Bill{}
	return &change{rng: rng, h: h}
}

const surchargedToo = "; a surcharge"

// surcharged adds a surcharge to each class of goods, one for the country they were bought in, and
// for the United States the day is one on which the rules have one of their own.
func surcharged(h *landed.Haul) string {
	for name, class := range h.Border.Classes {
		class.Surcharges = map[string]decimal.Decimal{h.From: decimal.New(75, -3)}
		h.Border.Classes[name] = class
	}
	if h.To == "US" {
		h.Date = time.Date(2026, 3, 15, 0, 0, 0, 0, time.UTC)
	}
	return surchargedToo
}

// around draws an amount around a limit of the border.
func (d *drawer) around(code string) money.Amount {
	limit := borderLimits[code] * about[code] / about[d.away[0].Code()] / 2
	part := []float64{0.05, 0.3, 0.6, 1.2, 3, 8}[d.IntN(6)] * (0.7 + 0.6*d.Float64())
	for range d.away[0].Digits() {
		part *= 10
	}
	return money.New(1+int64(limit*part), d.away[0])
}

// bordersChanged: prices, rates, freight and weights flow through the border of each territory into
// what the pieces cost, over its limits too; where that is not calculated the workbook says so.
func bordersChanged(t *testing.T) calculation {
	var books []book
	var hauls []*landed.Haul
	var reported []string
	var over []bool
	counted, crossed, beside := map[string]int{}, map[string]int{}, 0
	all := maps.Clone(entries)
	maps.Copy(all, map[string][]string{"ZAR": {"ZA"}, "BRL": {"BR-SP"}, "SEK": {"SE"}, "KRW": {"KR"}, "ILS": {"IL"}, "JPY": {"CA-ON", "DE", "JP"}}) // rules in another currency
	codes := slices.Sorted(maps.Keys(all))
	for k := 0; k < len(codes); k += effort.Cases(1, 2, 2) {
		code, places := codes[k], all[codes[k]]
		for i := range effort.Cases(30, 1, 1) {
			n := (i + 1) % 30 // none is changed in the last
			c := bordered(t, rand.New(rand.NewPCG(31, uint64(n))), code, places[n%len(places)])
			said := c.h.To
			if (int(code[0])+i)%2 == 0 {
				said += surcharged(c.h)
			}
			settled := &c.h.Lots[1]
			if (int(code[1])+i)%2 == 0 {
				settled.Premium, settled.Settled = decimal.New(125, -3), money.New(12_000, c.h.Home)
			}
			st, err := landed.Split(c.h)
			if err != nil {
				t.Fatal(err)
			}
			c.b = written(t, live.Costs(st))
			if !slices.Contains(c.b.GetSheetList(), "border") {
				continue
			}
			if n > 0 {
				said += "; " + c.unsettled(settled)
			}
			for _, name := range []string{"price", "rate", "charge", "weight"} {
				if n > 0 && c.rng.IntN(2) == 0 {
					said += "; " + name + " " + changes[name](c)
				}
			}
			if n > 0 {
				d := &drawer{Rand: c.rng, t: t, away: []money.Currency{c.h.Lots[0].Price.Currency()}}
				c.h.Lots[0].Price = d.around(code)
				c.b.enter("paid", 3, 2, c.h.Lots[0].Price.Decimal().String())
				said += "; price of the first " + c.h.Lots[0].Price.String()
			}
			after, err := landed.Split(c.h)
			if err != nil {
				t.Fatal(err)
			}
			books, hauls, reported = append(books, c.b), append(hauls, c.h), append(reported, said)
			over = append(over, (st.Sum(landed.Tax).Sign() == 0) != (after.Sum(landed.Tax).Sign() == 0) || (st.Sum(landed.Duty).Sign() == 0) != (after.Sum(landed.Duty).Sign() == 0))
		}
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			st, err := landed.Split(hauls[n])
			if err != nil {
				t.Fatal(err)
			}
			if overBound(b) {
				continue
			}
			if strings.Contains(reported[n], surchargedToo) && st.Sum(landed.Duty).Sign() != 0 {
				beside++
			}
			if counted[st.Home.Code()]++; over[n] {
				crossed[st.Home.Code()]++
			}
			for _, problem := range differs(b, st) {
				t.Errorf("%s: %s", reported[n], problem)
			}
		}
		t.Log("limits passed: ", crossed)
		if beside < effort.Cases(60, 1, 1) {
			t.Errorf("surcharges beside the duty were followed in %d", beside)
		}
		for code := range all {
			if counted[code] < effort.Cases(8, 0, 0) {
				t.Errorf("%s: %d of the changes are followed", code, counted[code])
			}
		}
		if len(counted) < effort.Cases(12, 6, 6) {
			t.Errorf("changes are followed in %v alone", counted)
		}
		if len(crossed) < effort.Cases(10, 1, 1) {
			t.Errorf("limits were passed in %v alone", crossed)
		}
	}}
}

// overBound reports whether a workbook says that its border is no longer right.
func overBound(b sheets) bool {
	if b.byName["border"] == nil {
		return false
	}
	says := b.column("border", "as assessed") - 1
	return slices.ContainsFunc(b.rows("border"), func(row []string) bool {
		return says < len(row) && strings.HasPrefix(row[says], "no: ")
	})
}

func changed(t testing.TB) []string {
	t.Helper()
	var paths []string
	for path, h := range examples(t) {
		if st, err := landed.Split(h); err == nil && len(st.Lots) > 0 {
			paths = append(paths, path)
		}
	}
	slices.Sort(paths)
	return paths
}

// differs tells in which figures a workbook is not what the library says.
func differs(b sheets, st *landed.Statement) []string {
	var problems []string
	figure := func(what, got, want string) {
		if !alike(want, got) {
			problems = append(problems, fmt.Sprintf("%s is %s, not %s", what, got, want))
		}
	}
	paid := b.rows("paid")
	lines := map[string]string{}
	for _, row := range paid[1:] {
		if len(row) > 4 && row[1] != "" {
			for len(row) < 12 {
				row = append(row, "")
			}
			lines[strings.Join([]string{row[0], row[1], row[8], row[9], row[10]}, "/")] = row[4]
		}
	}
	for i := range st.Lines {
		l := &st.Lines[i]
		figure("paid for "+l.What+", "+l.Kind.String(), lines[strings.Join([]string{l.What, l.Kind.String(), l.Lot, l.Item, l.Parcel}, "/")], l.Home.Number())
	}
	sharing := b.rows("sharing")
	cost := b.column("sharing", "cost") - 1
	for i := range st.Items {
		row := sharing[i+1]
		figure("cost of "+st.Items[i].ID, row[cost], st.Items[i].Cost.Number())
		for k := range landed.Kinds {
			kind := landed.Kind(k)
			if !st.Items[i].Bears(kind) {
				continue
			}
			if column := b.column("sharing", kind.String()); column > 0 {
				figure(kind.String()+" of "+st.Items[i].ID, row[column-1], st.Items[i].Share(kind).Number())
			}
		}
	}
	return append(problems, piecesDiffer(b, st)...)
}

// piecesDiffer compares the sheet of the pieces with the groups of alike ones.
func piecesDiffer(b sheets, st *landed.Statement) []string {
	var problems []string
	type portion struct{ count, cost, dearest int64 }
	want, got := map[string]portion{}, map[string]portion{}
	for i := range st.Items {
		for _, g := range st.Items[i].AppendGroups(nil) {
			if g.State == landed.Dead {
				continue
			}
			key := st.Items[i].ID + "/" + g.State.String() + "/" + g.What
			p := want[key]
			if p.count == 0 {
				p.dearest = g.Each.Minor()
			}
			p.count, p.cost = p.count+g.Count, p.cost+g.Cost.Minor()
			want[key] = p
		}
	}
	minor := func(s string) int64 {
		d, err := decimal.NewFromString(s)
		if err != nil {
			problems = append(problems, s+" is no number")
		}
		return d.Shift(int32(st.Home.Digits())).Round(3).IntPart()
	}
	rows := b.rows("pieces")
	for _, row := range rows[1:] {
		switch {
		case len(row) > 7 && row[0] != "":
			what := ""
			if row[1] == "yield" {
				what = row[4]
			}
			n, _ := strconv.ParseInt(row[2], 10, 64)
			got[row[0]+"/"+row[1]+"/"+what] = portion{n, minor(row[3]), minor(row[7])}
		case row[4] == "written off" && minor(row[3]) != st.Loss.Minor():
			problems = append(problems, "written off are "+row[3]+", not "+st.Loss.Number())
		case row[4] == "sum" && minor(row[3]) != st.Total.Minor():
			problems = append(problems, "the pieces come to "+row[3]+", not "+st.Total.Number())
		}
	}
	for key, p := range want {
		if got[key] != p {
			problems = append(problems, fmt.Sprintf("pieces %s are %v, not %v", key, got[key], p))
		}
	}
	return problems
}
