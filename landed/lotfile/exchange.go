package lotfile

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/input"
)

// exchange reads the section of that name and makes the haul's market.
func (r *reader) exchange(n input.Node, h *landed.Haul, date input.Node) {
	m, rates := r.ratesIn(n)
	h.Spread = r.fraction(m.Get("spread"), "spread: 2.5%")
	var table *fx.Table
	if name, ok := m.Get("table").Text(); ok {
		if h.Date.IsZero() && !date.Given() {
			m.Get("table").Fail("a table needs the day of purchase", "write it at the top of the lot file, as in date: 2026-10-03")
		} else if f, ok := r.open(m.Get("table"), name); ok {
			defer f.Close()
			var err error
			if table, err = fx.ReadTable(f, fx.Window{On: h.Date, Lift: r.AnyDay, Name: name}); err != nil {
				m.Get("table").FailErr(err)
			}
		}
	}
	r.rates = table
	rates = append(rates, r.otherRates(n, rates)...)
	h.Market = r.market(m.Get("rates"), rates, table, h.Date)
}

var exchangeKeys = []string{"spread", "rates", "table"}

// ratesIn are the keys of the section and its rates: those under rates, or the
// section itself where it holds nothing else.
func (r *reader) ratesIn(n input.Node) (*input.Map, []input.Node) {
	if n.IsList() || n.IsText() {
		return &input.Map{}, n.List(true)
	}
	keys := exchangeKeys
	n.Each(func(name string, value input.Node) { // a rate among them
		if of, ok := textOf(value); ok && !slices.Contains(keys, name) && codeOf(name, r.home) != "" && len(meantRates(name+" "+of, r.home, 0)) > 0 {
			keys = append(keys, name)
		}
	})
	m := n.Map(keys...)
	for _, name := range keys[len(exchangeKeys):] {
		of, _ := textOf(m.Get(name))
		meant := meantRates(name+" "+of, r.home, 0)
		m.KeyNode(name).Fail("a rate stands under rates", "write rates: ["+strings.Join(meant[:1], "")+"], or rates: ["+meant[len(meant)-1]+"] if it is meant so")
	}
	if rates := m.Get("rates"); rates.IsMap() { // as in GBP: 1.16
		rates.Each(func(name string, value input.Node) {
			of, _ := textOf(value)
			if meant := meantRates(name+" "+of, r.home, r.foreign()); len(meant) > 0 {
				remedy := "write - " + strings.Join(meant, " or - ")
				if rates.InBrackets() {
					remedy = "write " + strings.Join(meant, " or ") + ", and square brackets around all the rates"
				}
				rates.Map(name).KeyNode(name).Fail("a rate is not a key and a value", remedy)
			}
		})
		return m, nil
	}
	return m, m.Get("rates").List(true)
}

// otherRates are those of the defaults beside the lot file's own: of pairs of
// currencies that it does not state.
func (r *reader) otherRates(section input.Node, own []input.Node) []input.Node {
	var others []input.Node
	states := func(eq fx.Equation) func(input.Node) bool {
		return func(n input.Node) bool {
			text, _ := textOf(n.Figure())
			mine, err := ParseEquation(text)
			return err == nil && (mine.Left == eq.Left && mine.Right == eq.Right || mine.Left == eq.Right && mine.Right == eq.Left)
		}
	}
	beside := r.beside(section, "exchange")
	if !beside.Given() {
		return nil
	}
	m := beside.Map(exchangeKeys...)
	for _, n := range m.Get("rates").List(true) {
		text, _ := textOf(n.Figure())
		if eq, err := ParseEquation(text); err == nil && slices.ContainsFunc(own, states(eq)) {
			continue
		}
		r.tell("exchange: rates", n)
		others = append(others, n)
	}
	return others
}

// market makes a market of the equations that some entries hold, and a table,
// which may be nil. A conflict is reported where the second equation stands.
func (r *reader) market(at input.Node, entries []input.Node, table *fx.Table, on time.Time) *fx.Market {
	texts, plain := r.Room.equations(entries)
	if !plain || table != nil || r.rates != nil {
		return r.newMarket(at, entries, table, on)
	}
	day := on
	if r.reference(on) == nil {
		day = time.Time{} // they are then held against nothing of any day
	}
	if m, made := r.Room.markets[marketText{string(texts), day}]; made {
		return m
	}
	m := r.newMarket(at, entries, table, on)
	if len(r.report.All()) == 0 {
		r.Room.markets.keep(marketText{string(texts), day}, m)
	}
	return m
}

// equations are the texts of some entries, until it is asked again. It reports false where one is
// no text, or not read as it stands.
func (r *Room) equations(entries []input.Node) ([]byte, bool) {
	r.texts = r.texts[:0]
	for _, entry := range entries {
		if marks := entry.Marks(); marks.Comma || marks.Apart || !entry.IsText() {
			return nil, false
		}
		r.texts = append(append(r.texts, entry.Brief()...), notInText)
	}
	return r.texts, true
}

// notInText is a byte that stands in no text in UTF-8.
const notInText = 0xff

// newMarket makes one that was not made before.
func (r *reader) newMarket(at input.Node, entries []input.Node, table *fx.Table, on time.Time) *fx.Market {
	var equations []fx.Equation
	var stand []input.Node
	for _, entry := range entries {
		if eq, ok := r.equation(entry); ok {
			equations, stand = append(equations, eq), append(stand, entry)
		}
	}
	if len(equations) > 0 {
		for i, err := range fx.Far(equations, r.reference(on)) {
			if err == nil {
				continue
			}
			r.doubted = append(r.doubted, equations[i].Left, equations[i].Right)
			if err.Strange {
				stand[i].Warn(err.Error(), "")
			} else {
				stand[i].FailErr(err)
			}
		}
	}
	market, err := fx.NewMarket(equations, table, on)
	if second, ok := errors.AsType[*fx.EquationError](err); ok {
		stand[second.At].FailErr(err)
	} else if err != nil {
		at.FailErr(err)
	}
	return market
}

// reference returns the table that rates of a day, without one of today, are held
// against: the file's, or else that of the options.
func (r *reader) reference(on time.Time) *fx.Table {
	if r.rates != nil || r.Reference == nil {
		return r.rates
	}
	return r.Reference(cmp.Or(on, r.Today))
}
