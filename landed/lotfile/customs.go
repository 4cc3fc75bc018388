package lotfile

import (
	"strings"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// customsKeys are the keys of the customs section.
var customsKeys = []string{"use", "by", "flat", "holds", "tax-paid", "seller-charges-tax", "post", "made", "rules", "rates", "class", "classes", "tariff", "tariff-date", "fees", "assessed"}

func (r *reader) border(n input.Node, h *landed.Haul) *landed.Border {
	if !n.Given() {
		return nil
	}
	m := n.Map(customsKeys...)
	b := &r.Room.borders.Take(1)[0]
	b.At, b.Classes = n.Origin(), r.Room.noClasses()
	b.Use, _ = input.Scalar(m.Get("use"), customs.ParseUse)
	b.Mode, _ = input.Scalar(m.Get("by"), customs.ParseMode)
	post := m.Get("post")
	switch stream, said := input.Scalar(post, customs.ParseStream); {
	case said && b.Mode == customs.Post:
		b.Mode = stream
	case said:
		by, _ := m.Get("by").Text()
		post.Warn("it is not counted, since all goes by "+by, "take it out, or write by: post")
	}
	b.Flat = r.yes(m.Get("flat"))
	b.Holds = r.texts(m.Get("holds"))
	b.TaxPaid, b.Private = r.sellerTax(m)
	b.Class, _ = m.Get("class").Text()
	b.Made = r.place(m.Get("made"))
	own := r.ruleFile(m.Get("rules"))
	if r.Rules != nil {
		own = append(own, r.Rules)
	}
	b.Book = customs.NewBook(own...)
	before := r.report.Len()
	b.Market = r.customsRates(m.Get("rates"))
	r.ownRates = r.report.Len() == before
	territory := r.home
	rules, err := b.Book.For(h.To, h.Date)
	if err == nil {
		territory = rules.Currency
	}
	wanted := r.classes(b.Classes, m, territory, false)
	wanted = append(wanted, r.otherClasses(b, n, territory)...)
	r.lookUp(wanted, b, h, rules)
	b.Fees = r.givenFees(m.Get("fees"), func(n input.Node, fee money.Amount) money.Amount { return r.there(n, fee, territory, b, h) })
	b.Bill = r.bill(m.Get("assessed"))
	return b
}

// sellerTax reads whether the seller charges the territory's tax at the sale:
// yes, no, or not said.
func (r *reader) sellerTax(m *input.Map) (paid, private bool) {
	n := m.Get("seller-charges-tax")
	charges, older := r.yes(n), r.yes(m.Get("tax-paid"))
	private = n.Given() && !charges
	if older && private {
		n.Fail("it contradicts tax-paid: yes", "keep one of the two")
	}
	return charges || older, private && !older
}

// givenFees reads the fees that the carrier is known to ask, in place of those
// of the rules, in the currency of the territory; an empty list means none.
func (r *reader) givenFees(n input.Node, there func(input.Node, money.Amount) money.Amount) []customs.Fee {
	if !n.Given() {
		return nil
	}
	fees := []customs.Fee{}
	entries := []input.Node{n} // one fee, in a few words
	if n.IsList() {
		entries = n.List(false)
	}
	for _, entry := range entries {
		fee, amount := customs.Fee{What: "handling"}, entry
		if !entry.IsText() {
			m := entry.Map("what", "amount")
			if what, ok := m.Get("what").Words(); ok {
				fee.What = what
			}
			amount = m.Require("amount", "write what it is, as in amount: 9.95 CAD")
		}
		fee.Amount = there(amount, r.notNegativeIn(amount, r.home))
		fees = append(fees, fee)
	}
	return fees
}

// there is what a fee comes to where the rules count in another currency, as in dollars where it is
// paid in reais.
func (r *reader) there(n input.Node, fee money.Amount, territory money.Currency, b *landed.Border, h *landed.Haul) money.Amount {
	if c := fee.Currency(); c == territory || c == 0 {
		return fee
	}
	rate, err := exchange.New(b.Market, territory, decimal.Zero).Rate(fee.Currency(), territory)
	if err != nil {
		rate, err = h.Exchange().Rate(fee.Currency(), territory)
	}
	if err == nil {
		fee, err = exchange.At(fee, rate, territory)
	}
	if err != nil && r.ratesRead {
		n.FailErr(err)
	}
	return fee
}

// yes reads yes or no, beside other words for which the caller has looked.
func (r *reader) yes(n input.Node, others ...string) bool {
	word, ok := n.Text()
	switch strings.ToLower(word) {
	case "yes", "true":
		return true
	case "no", "false", "":
		return false
	}
	if ok {
		words := append([]string{"yes"}, others...)
		remedy := "write " + strings.Join(words, ", ") + " or no"
		if meant := source.Meant(word, append(words, "no")); meant != "" {
			remedy = "did you mean " + meant + "?"
		}
		n.Fail(quote(word)+" is neither yes nor no", remedy)
	}
	return false
}

// ruleFile reads the user's own rule set.
func (r *reader) ruleFile(n input.Node) []*customs.RuleSet {
	name, ok := n.Text()
	if !ok {
		return nil
	}
	path, data, ok := r.fileText(n, name)
	if !ok {
		return nil
	}
	set, err := customs.Parse(path, data)
	if err != nil {
		r.unparsed(n, path, data, err)
		return nil
	}
	return []*customs.RuleSet{set}
}

// ReadRules reads a rule file that the user named.
func ReadRules(path string, o Options) (*customs.RuleSet, error) {
	data, err := Text(path, o)
	if err != nil {
		return nil, err
	}
	return customs.Parse(shown(path), data)
}

// customsRates reads customs' own rates; nil when there are none.
func (r *reader) customsRates(n input.Node) *fx.Market {
	entries := n.List(true)
	if len(entries) == 0 {
		return nil
	}
	return r.market(n, entries, nil, time.Time{})
}

// otherClasses adds those of the defaults beside the lot file's own.
func (r *reader) otherClasses(b *landed.Border, section input.Node, territory money.Currency) []*wantedRate {
	others := r.beside(section, "customs")
	if !others.Given() {
		return nil
	}
	b.At = b.At.Or(others.Origin())
	return r.classes(b.Classes, others.Map(customsKeys...), territory, true)
}

var classKeys = []string{"what", "code", "duty", "tariff", "tariff-date", "proof", "tax", "surcharges"}

// classes adds the classes of a section to those that there are already, which
// win, and returns which of their rates are to be looked up.
func (r *reader) classes(classes map[string]customs.Class, section *input.Map, territory money.Currency, joined bool) []*wantedRate {
	var wanted []*wantedRate
	section.Get("classes").Entries(func(name string, _, value input.Node) {
		if _, known := classes[name]; known {
			return
		}
		if joined {
			r.tell("customs: class "+name, value)
		}
		m := value.Map(classKeys...)
		classes[name] = r.class(m, territory)
		if w := r.wantedRate(name, m, section); w != nil {
			wanted = append(wanted, w)
		}
	})
	return wanted
}

func (r *reader) class(m *input.Map, territory money.Currency) customs.Class {
	c := customs.Class{}
	m.Get("what").Words() // for who reads the file
	c.Code = tariffCode(m.Get("code"))
	c.Tax, _ = m.Get("tax").Text()
	c.Duty = r.dutyRate(m.Get("duty"), territory)
	m.Get("surcharges").Entries(func(_ string, key, value input.Node) {
		if c.Surcharges == nil {
			c.Surcharges = map[string]decimal.Decimal{}
		}
		c.Surcharges[r.place(key)], _ = input.Scalar(value, dutyPercent)
	})
	return c
}

// tariffCode reads the code of goods in a tariff: digits, with points, spaces or hyphens between.
func tariffCode(n input.Node) string {
	code, _ := n.Text()
	if strings.Trim(code, "0123456789.- ") == "" {
		return code
	}
	meant := strings.NewReplacer("O", "0", "o", "0", "l", "1", "I", "1").Replace(code)
	if strings.Trim(meant, "0123456789.- ") != "" {
		meant = "8205.59"
	}
	n.Fail(quote(code)+" is no code of a tariff, which has digits alone", "write it as in code: "+quote(meant))
	return ""
}

// dutyRate reads a rate of duty; amounts are of the territory.
func (r *reader) dutyRate(n input.Node, territory money.Currency) *customs.Rate {
	rate, _ := input.Scalar(n, func(text string) (*customs.Rate, error) {
		if rate, read := r.Room.duties[dutyText{text, territory}]; read {
			return rate, nil
		}
		rate, err := customs.ParseRate(text, territory)
		if err != nil {
			return nil, err
		}
		r.Room.duties.keep(dutyText{strings.Clone(text), territory}, &rate)
		return &rate, nil
	})
	return rate
}

// dutyPercent reads a rate of duty or surcharge, which may be above 100%.
func dutyPercent(text string) (decimal.Decimal, error) {
	f, err := money.ParsePercent(text)
	if err == nil && f.Sign() < 0 {
		err = &money.ParseError{Input: text, Reason: "is negative", Remedy: "write a rate of duty, as in 6.5%"}
	}
	return f, err
}
