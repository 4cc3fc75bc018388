package lotfile

import (
	"path/filepath"
	"strings"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// border reads the customs section.
func (r *reader) border(n source.Node, h *landed.Haul) *landed.Border {
	if !n.Given() {
		return nil
	}
	m := n.Map("use", "by", "flat", "tax-paid", "made", "rules", "rates", "class", "classes", "assessed")
	b := &landed.Border{At: n.Origin()}
	b.Use, _ = source.Scalar(m.Get("use"), customs.ParseUse)
	b.Mode, _ = source.Scalar(m.Get("by"), customs.ParseMode)
	b.Flat, b.TaxPaid = r.yes(m.Get("flat")), r.yes(m.Get("tax-paid"))
	b.Class, _ = m.Get("class").Text()
	b.Made = r.place(m.Get("made"))
	own := r.ruleFile(m.Get("rules"))
	if r.Rules != nil {
		own = append(own, r.Rules)
	}
	b.Book = customs.NewBook(own...)
	b.Market = r.customsRates(m.Get("rates"))
	territory := r.home
	if rules, err := b.Book.For(h.To, h.Date); err == nil {
		territory = rules.Currency
	}
	b.Classes = r.classes(m.Get("classes"), territory)
	bill := m.Get("assessed").Map("duty", "tax", "fee")
	b.Bill = landed.Bill{Duty: r.notNegative(bill.Get("duty")), Tax: r.notNegative(bill.Get("tax")), Fee: r.notNegative(bill.Get("fee"))}
	return b
}

func (r *reader) yes(n source.Node) bool {
	switch word, ok := n.Text(); {
	case !ok, word == "no", word == "false":
		return false
	case word != "yes" && word != "true":
		n.Fail(quote(word)+" is neither yes nor no", "write yes or no")
		return false
	}
	return true
}

// ruleFile reads the user's own rule set.
func (r *reader) ruleFile(n source.Node) []*customs.RuleSet {
	name, ok := n.Text()
	if !ok {
		return nil
	}
	f, ok := r.open(n, name)
	if !ok {
		return nil
	}
	defer f.Close()
	data, err := readAll(f)
	if err != nil {
		n.FailErr(err)
		return nil
	}
	set, err := customs.Parse(filepath.Join(r.folder, name), data, &source.Report{})
	if err != nil {
		n.FailErr(err)
		return nil
	}
	return []*customs.RuleSet{set}
}

// ReadRules reads a rule file that the user named.
func ReadRules(path string, o Options) (*customs.RuleSet, error) {
	data, err := readFile(path, o)
	if err != nil {
		return nil, err
	}
	return customs.Parse(shown(path), data, &source.Report{})
}

func (r *reader) customsRates(n source.Node) *fx.Market {
	var equations []fx.Equation
	for _, entry := range n.List(true) {
		if eq, ok := source.Scalar(entry, ParseEquation); ok {
			equations = append(equations, eq)
		}
	}
	if equations == nil {
		return nil
	}
	market, err := fx.NewMarket(equations, nil, (&landed.Haul{}).Date)
	if err != nil {
		n.FailErr(err)
	}
	return market
}

func (r *reader) classes(n source.Node, territory money.Currency) map[string]customs.Class {
	classes := map[string]customs.Class{}
	n.Entries(func(name string, _, value source.Node) {
		m := value.Map("what", "code", "duty", "tax", "surcharges")
		c := customs.Class{}
		c.Name, _ = m.Get("what").Text()
		c.Code, _ = m.Get("code").Text()
		c.Tax, _ = m.Get("tax").Text()
		c.Duty = r.dutyRate(m.Get("duty"), territory)
		m.Get("surcharges").Entries(func(country string, key, value source.Node) {
			if c.Surcharges == nil {
				c.Surcharges = map[string]decimal.Decimal{}
			}
			r.place(key)
			c.Surcharges[country], _ = source.Scalar(value, dutyPercent)
		})
		classes[name] = c
	})
	return classes
}

// dutyRate reads a rate of duty: "6.5%", "2.40 CAD per kg", "0.30 CAD per
// piece", or several joined by a plus. Amounts are of the territory.
func (r *reader) dutyRate(n source.Node, territory money.Currency) *customs.Rate {
	text, ok := n.Text()
	if !ok {
		return nil
	}
	rate := &customs.Rate{}
	for part := range strings.SplitSeq(text, "+") {
		part = strings.Join(strings.Fields(part), " ")
		var err error
		switch {
		case part == "free":
		case strings.HasSuffix(part, "%"):
			rate.Fraction, err = dutyPercent(part)
		case strings.HasSuffix(part, " per kg"):
			rate.PerKilogram, err = perUnit(strings.TrimSuffix(part, " per kg"), territory)
		case strings.HasSuffix(part, " per piece"):
			rate.PerPiece, err = perUnit(strings.TrimSuffix(part, " per piece"), territory)
		default:
			n.Fail(quote(text)+" is not a rate of duty", "write it as in 6.5%, 2.40 CAD per kg, 0.30 CAD per piece, a sum of those with +, or free")
			return nil
		}
		if err != nil {
			n.FailErr(err)
			return nil
		}
	}
	return rate
}

func perUnit(text string, territory money.Currency) (decimal.Decimal, error) {
	a, err := money.ParseIn(text, territory)
	if err == nil && a.Currency() != territory {
		err = &money.ParseError{Input: text, Reason: "is not in " + territory.Code(), Remedy: "write the rate as the territory's tariff has it, in " + territory.Code()}
	}
	return a.Decimal(), err
}

// dutyPercent reads a rate of duty or surcharge, which may be above 100%.
func dutyPercent(text string) (decimal.Decimal, error) {
	f, err := money.ParsePercent(text)
	if err == nil && f.Sign() < 0 {
		err = &money.ParseError{Input: text, Reason: "is negative", Remedy: "write a rate of duty, as in 6.5%"}
	}
	return f, err
}
