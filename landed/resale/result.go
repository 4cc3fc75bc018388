package resale

import (
	"fmt"
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Result is what a sale at one price comes to, with its working. All amounts are in the currency of
// the venue; what is paid is above zero.
type Result struct {
	Takings
	SalesTax money.Amount // what the buyer pays besides and the venue passes on, no part of Steps
	Steps    []Step       // they sum to Net; none where [Desk.At] answers
	Net      money.Amount // Price and Charged less Fees, VAT and Sending: what is left but for the cost of the goods
	Left     money.Amount // Net less that cost
	Target   money.Amount // what has to be left, rounded up to the minor unit: it is met where Left is as much
	Unsold   money.Amount // what listing the goods at the price costs when nobody buys them
}

// Takings are what is taken for goods, and paid of it. Of goods that come back each amount is what
// that takes off.
type Takings struct {
	Price   money.Amount // what the buyer pays for the goods
	Charged money.Amount // what the buyer pays for postage
	Fees    money.Amount // what the venue keeps
	VAT     money.Amount // value added tax that is due
	Sending money.Amount // what postage and packing cost
}

// Proceeds is all that the buyer pays, sales tax aside; it is known to fit.
func (t *Takings) Proceeds() money.Amount {
	return money.New(t.Price.Minor()+t.Charged.Minor(), t.Price.Currency())
}

// Sum is what is left of the proceeds once fees, tax and sending are paid; it is known to fit.
func (t *Takings) Sum() money.Amount {
	return money.New(t.Proceeds().Minor()-t.Fees.Minor()-t.VAT.Minor()-t.Sending.Minor(), t.Price.Currency())
}

// Step is one step from the price to what is left.
type Step struct {
	What   string       // the fee's name, or plain words
	Base   money.Amount // the figure that Rule is applied to; the zero Amount where there is none
	Rule   string       // as a computation, such as "10% of 50.00 + 3% of 12.50 + 0.30"; may be empty
	Amount money.Amount // what it adds to Net: negative for what is paid
}

// At works out the sale at a price, line by line. Everything that is wrong with the sale and its
// venue is reported at once, joined: a [*FieldError] for each figure, and that the order is too
// heavy; a price that is negative, above 10^12 minor units or of another currency is a FieldError
// too.
func (s *Sale) At(price money.Amount) (Result, error) {
	f, minor, err := new(Desk).figuresAt(s, price)
	if err != nil {
		return Result{}, err
	}
	r := f.at(minor)
	r.Steps = f.steps(minor)
	return r, nil
}

func (f *figures) amount(minor int64) money.Amount { return money.New(minor, f.venue.Currency) }

func (f *figures) at(price int64) Result {
	tax, vat := f.salesTax.at(price)-price, f.vat.tax(price+f.charged)
	var fees, unsold int64
	for i := range f.lines {
		l := &f.lines[i]
		fee := l.amount(price)
		if fees += fee; l.fee.Kind == ListingFee {
			unsold += fee
		}
	}
	net := price + f.charged - fees - vat - f.sending - f.packing
	return Result{Takings: Takings{Price: f.amount(price), Charged: f.amount(f.charged), Fees: f.amount(fees), VAT: f.amount(vat), Sending: f.amount(f.sending + f.packing)}, SalesTax: f.amount(tax), Net: f.amount(net), Left: f.amount(net - f.cost),
		Target: f.amount(f.target.ofCost(f.cost) + f.target.ofPrice(price)), Unsold: f.amount(unsold)}
}

func (f *figures) steps(price int64) []Step {
	steps := []Step{{What: "price", Amount: f.amount(price)}}
	step := func(what string, minor int64) {
		if minor != 0 {
			steps = append(steps, Step{What: what, Amount: f.amount(minor)})
		}
	}
	step("postage paid by the buyer", f.charged)
	for i := range f.lines {
		l := &f.lines[i]
		steps = append(steps, Step{l.fee.What, f.amount(l.base.at(price)), f.rule(l, price), f.amount(-l.amount(price))})
	}
	if f.vat.den != 0 {
		steps = append(steps, f.vatStep(price+f.charged))
	}
	step("postage", -f.sending)
	step("packing", -f.packing)
	return steps
}

func (f *figures) vatStep(paid int64) Step {
	base := max(paid-f.vat.bought, 0)
	rate := decimal.New(f.vat.num, -6)
	return Step{
		What:   "value added tax",
		Base:   f.amount(base),
		Rule:   fmt.Sprintf("%s / %s of %s", money.FormatPercent(rate), money.FormatPercent(rate.Add(decimal.New(1, 0))), f.amount(base).Said()),
		Amount: f.amount(-f.vat.tax(paid)),
	}
}

// rule writes the computation of a fee at a price.
func (f *figures) rule(l *line, price int64) string {
	base := l.base.at(price)
	terms := l.percentages(f, base)
	if l.fixed != 0 || len(terms) == 0 {
		terms = append(terms, f.amount(l.fixed).Said())
	}
	rule := strings.Join(terms, " + ")
	switch once := l.unlimited(l.band(base), base); {
	case once < l.floor:
		rule += ", at least " + f.amount(l.floor).Said()
	case once > l.cap:
		rule += ", at most " + f.amount(l.cap).Said()
	}
	if l.times > 1 {
		rule = fmt.Sprintf("%d x (%s)", l.times, rule)
	}
	return rule
}

func (l *line) percentages(f *figures, base int64) []string {
	if len(l.fee.Bands) == 0 {
		return nil
	}
	last := l.band(base)
	if l.whole {
		return []string{f.percentage(last.rate, base)}
	}
	var terms []string
	for i := range l.bands {
		b := &l.bands[i]
		terms = append(terms, f.percentage(b.rate, min(base, b.upTo)-b.from))
		if b == last {
			break
		}
	}
	return terms
}

func (f *figures) percentage(rate, of int64) string {
	return money.FormatPercent(decimal.New(rate, -6)) + " of " + f.amount(of).Said()
}
