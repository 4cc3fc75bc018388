package resale

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Outcome is what a sale at one price comes to, with its working. All amounts
// are in the currency of the venue.
type Outcome struct {
	Price     money.Amount
	BuyerPays money.Amount // price, postage and sales tax
	SalesTax  money.Amount // held by the venue, no part of Lines
	Lines     []Line       // they sum to Net
	Net       money.Amount // what is left after everything but the cost of the goods
	Cost      money.Amount
	Left      money.Amount // Net less Cost
	Target    money.Amount // what has to be left, rounded up to the minor unit
	Met       bool         // Left is Target or more
}

// LineKind says what a line of an outcome is.
type LineKind uint8

// The kinds of lines, in the order they come in.
const (
	PriceLine   LineKind = iota // what the buyer pays for the goods
	ChargedLine                 // what the buyer pays for postage
	FeeLine                     // a fee, one line each in the venue's order
	VATLine                     // value added tax due on the sale
	PostageLine                 // what sending costs
	PackingLine                 // what packing costs
)

// Line is one step from the price to what is left.
type Line struct {
	Kind   LineKind
	What   string       // the fee's name, or plain words
	Base   money.Amount // the figure that Rule is applied to; the zero Amount where there is none
	Rule   string       // as a computation, such as "10% of 50.00 + 3% of 12.50 + 0.30"; may be empty
	Amount money.Amount // what it adds to Net: negative for what is paid
}

// At works out the sale at a price, line by line. Besides the errors of
// [Sale.Check] it returns a [*FieldError] for a price that is negative, above
// [Max] or of another currency.
func (s *Sale) At(price money.Amount) (Outcome, error) {
	f, p, err := s.priced(price)
	if err != nil {
		return Outcome{}, err
	}
	return f.at(p), nil
}

// Unsold returns what listing the goods at a price costs when nobody buys
// them, as a positive amount. The errors are those of [Sale.At].
func (s *Sale) Unsold(price money.Amount) (money.Amount, error) {
	f, p, err := s.priced(price)
	if err != nil {
		return money.Amount{}, err
	}
	var sum int64
	for i := range f.lines {
		if l := &f.lines[i]; l.fee.Kind == ListingFee {
			sum += l.amount(p)
		}
	}
	return f.amount(sum), nil
}

// priced reads a sale and a price for it.
func (s *Sale) priced(price money.Amount) (*figures, int64, error) {
	f, err := s.figures()
	if err != nil {
		return nil, 0, err
	}
	c := checker{venue: s.Venue.Name, currency: s.Venue.Currency}
	p := c.amount("", "price", price)
	return f, p, errors.Join(c.errs...)
}

func (f *figures) amount(minor int64) money.Amount { return money.New(minor, f.venue.Currency) }

func (f *figures) at(price int64) Outcome {
	o := Outcome{Price: f.amount(price), Cost: f.amount(f.cost)}
	tax := f.salesTax.at(price) - price
	o.SalesTax = f.amount(tax)
	o.BuyerPays = f.amount(price + f.charged + tax)
	o.Lines = f.working(price)
	var net int64
	for _, l := range o.Lines {
		net += l.Amount.Minor()
	}
	target := f.target.ofCost(f.cost) + f.target.ofPrice(price)
	o.Net, o.Left, o.Target = f.amount(net), f.amount(net-f.cost), f.amount(target)
	o.Met = net-f.cost >= target
	return o
}

// working lists the steps at a price. Postage, packing and tax that are zero
// are left out.
func (f *figures) working(price int64) []Line {
	lines := []Line{{Kind: PriceLine, What: "price", Amount: f.amount(price)}}
	plain := func(k LineKind, what string, minor int64) {
		if minor != 0 {
			lines = append(lines, Line{Kind: k, What: what, Amount: f.amount(minor)})
		}
	}
	plain(ChargedLine, "postage paid by the buyer", f.charged)
	for i := range f.lines {
		l := &f.lines[i]
		lines = append(lines, Line{FeeLine, l.fee.What, f.amount(l.base.at(price)), f.rule(l, price), f.amount(-l.amount(price))})
	}
	if f.vat.den != 0 {
		lines = append(lines, f.vatLine(price+f.charged))
	}
	plain(PostageLine, "postage", -f.sending)
	plain(PackingLine, "packing", -f.packing)
	return lines
}

func (f *figures) vatLine(paid int64) Line {
	base := max(paid-f.vat.bought, 0)
	rate := decimal.New(f.vat.num, -6)
	return Line{
		Kind:   VATLine,
		What:   "value added tax",
		Base:   f.amount(base),
		Rule:   fmt.Sprintf("%s / %s of %s", percent(rate), percent(rate.Add(decimal.New(1, 0))), f.amount(base).Number()),
		Amount: f.amount(-f.vat.tax(paid)),
	}
}

// rule writes the computation of a fee at a price.
func (f *figures) rule(l *line, price int64) string {
	base := l.base.at(price)
	terms := l.percentages(f, base)
	if l.fixed != 0 || len(terms) == 0 {
		terms = append(terms, f.amount(l.fixed).Number())
	}
	rule := strings.Join(terms, " + ")
	switch once := l.unlimited(l.band(base), base); {
	case once < l.floor:
		rule += ", at least " + f.amount(l.floor).Number()
	case once > l.cap:
		rule += ", at most " + f.amount(l.cap).Number()
	}
	if l.times > 1 {
		rule = fmt.Sprintf("%d x (%s)", l.times, rule)
	}
	return rule
}

// percentages writes the percentages that a base comes under.
func (l *line) percentages(f *figures, base int64) []string {
	if len(l.fee.Tiers) == 0 {
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
	return money.FormatPercent(decimal.New(rate, -6)) + " of " + f.amount(of).Number()
}
