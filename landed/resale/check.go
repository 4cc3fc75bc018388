package resale

import (
	"errors"
	"fmt"
	"math"

	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Max is the highest price considered, and the largest amount a venue or a sale
// may name, in minor units.
const Max = 1_000_000_000_000

const (
	million     = 1_000_000 // rates are whole millionths, so that rate x base fits an int64
	mostFees    = 100
	mostListing = 100
	mostOrders  = 1_000_000
	mostMarkup  = 1000 // times the cost
	noEnd       = math.MaxInt64

	noTax = "doubles the price or more"
)

// Check reports everything that is wrong with a venue, joined: a [*FieldError],
// [*TierError] or [*LimitsError] for each figure, and a [*TakesAllError] if the
// percentages leave nothing of any price.
func (v *Venue) Check() error {
	c := checker{venue: v.Name, currency: v.Currency}
	c.lines(v)
	c.part("sales-tax rate", "sales tax", v.SalesTax.Rate, noTax)
	c.amount("charged", "postage paid by the buyer", v.Charged)
	c.amount("packing", "packing", v.Packing)
	c.postage(v.Postage, 0, 1)
	return errors.Join(c.errs...)
}

// checker turns what it is given into whole numbers and gathers what is wrong.
type checker struct {
	venue    string
	currency money.Currency
	at       Place // what is looked at, but for its key
	errs     []error
}

func (c *checker) wrong(key, field, got, problem, remedy string) {
	at := c.at
	at.Key = key
	c.errs = append(c.errs, &FieldError{c.venue, field, got, problem, remedy, at})
}

// signed reads an amount of the venue's currency. The zero Amount is zero.
func (c *checker) signed(key, field string, a money.Amount) int64 {
	switch m := a.Minor(); {
	case a == money.Amount{}:
	case a.Currency() != c.currency:
		c.wrong(key, field, a.String(), "is not in "+c.currency.Code()+", the currency of the venue", "convert it first")
	case m > Max || m < -Max:
		c.wrong(key, field, a.String(), "is too large", "write at most "+money.New(Max, c.currency).String())
	default:
		return m
	}
	return 0
}

// amount is signed for what cannot be negative.
func (c *checker) amount(key, field string, a money.Amount) int64 {
	if a.Sign() < 0 {
		c.wrong(key, field, a.String(), "is negative", "write an amount of 0 or more")
		return 0
	}
	return c.signed(key, field, a)
}

// rate reads a fraction in millionths.
func (c *checker) rate(key, field string, d decimal.Decimal) int64 {
	// An exponent far out would make a huge power of ten below.
	if d.IsZero() {
		return 0
	}
	if d.Sign() < 0 {
		c.wrong(key, field, percent(d), "is negative", "write a rate of 0% or more")
		return 0
	}
	if e := d.Exponent(); e < -100 || e > 100 || !d.Shift(6).IsInteger() {
		c.wrong(key, field, percent(d), "has more than four decimals", "round it to 0.0001%")
		return 0
	}
	if m := d.Shift(6); m.LessThanOrEqual(decimal.New(mostMarkup*million, 0)) {
		return m.IntPart()
	}
	return mostMarkup*million + 1
}

// part is rate for what must be below the whole.
func (c *checker) part(key, field string, d decimal.Decimal, problem string) int64 {
	r := c.rate(key, field, d)
	if r >= million {
		c.wrong(key, field, percent(d), problem, "write a rate below 100%")
		return 0
	}
	return r
}

func (c *checker) vatRate(d decimal.Decimal) int64 {
	r := c.rate("", "value added tax", d)
	if r > million {
		c.wrong("", "value added tax", percent(d), "is more than the price without it", "write a rate of at most 100%")
		return 0
	}
	return r
}

// percent prints a rate for an error; one with an exponent far out is not
// written in full.
func percent(d decimal.Decimal) string {
	if e := d.Exponent(); e < -100 || e > 100 {
		return fmt.Sprintf("%se%d", d.Coefficient(), e)
	}
	return money.FormatPercent(d)
}

// lines reads the fees of a venue.
func (c *checker) lines(v *Venue) []line {
	if v.Currency == 0 {
		c.wrong("currency", "currency", "", "names none", "name the currency that the venue charges in")
	}
	if n := len(v.Fees); n > mostFees {
		c.wrong("fees", "fees", fmt.Sprint(n), "are too many", fmt.Sprintf("write at most %d", mostFees))
		return nil
	}
	lines := make([]line, len(v.Fees))
	for i := range v.Fees {
		c.at = Place{Fee: i + 1}
		lines[i] = c.line(&v.Fees[i], feeName(i, &v.Fees[i]))
	}
	c.at = Place{}
	if len(c.errs) == 0 {
		c.takesAll(lines)
	}
	return lines
}

func feeName(i int, f *Fee) string {
	if f.What == "" {
		return fmt.Sprintf("fee %d", i+1)
	}
	return fmt.Sprintf("fee %q", f.What)
}

func (c *checker) line(f *Fee, name string) line {
	l := line{
		fee:   f,
		whole: f.Method == Whole,
		times: 1,
		fixed: c.amount("fixed", name+", fixed amount", f.Fixed),
		floor: c.amount("floor", name+", floor", f.Floor),
		cap:   noEnd,
	}
	if f.Cap != (money.Amount{}) {
		l.cap = c.amount("cap", name+", cap", f.Cap)
		if l.floor > l.cap {
			c.errs = append(c.errs, &LimitsError{c.venue, name, f.Floor, f.Cap, Place{Fee: c.at.Fee, Key: "cap"}})
		}
	}
	l.bands = c.bands(f, name)
	return l
}

// bands reads the bands of a fee; without any, one band of 0%.
func (c *checker) bands(f *Fee, name string) []band {
	if len(f.Tiers) == 0 {
		return []band{{upTo: noEnd}}
	}
	bands := make([]band, len(f.Tiers))
	for i, t := range f.Tiers {
		where := fmt.Sprintf("%s, band %d", name, i+1)
		c.at.Band = i + 1
		bands[i] = band{
			from: c.amount("from", where+", beginning", t.From),
			upTo: noEnd,
			rate: c.part("rate", where+", rate", t.Rate, "takes the whole price or more, so no price exists"),
		}
		if t.UpTo != (money.Amount{}) {
			bands[i].upTo = c.amount("up-to", where+", end", t.UpTo)
		}
	}
	c.at.Band = 0
	c.joined(bands, f, name)
	if f.Method == Marginal {
		for i := 1; i < len(bands); i++ {
			before := bands[i-1]
			bands[i].offset = before.offset + (before.rate-bands[i].rate)*before.upTo
		}
	}
	return bands
}

// joined checks that the bands cover everything from 0 upwards once.
func (c *checker) joined(bands []band, f *Fee, name string) {
	var before int64
	for i, b := range bands {
		report := func(p TierProblem) {
			c.errs = append(c.errs, &TierError{c.venue, name, i + 1, p, money.New(b.from, c.currency), f.Tiers[i].UpTo, money.New(before, c.currency), Place{c.at.Fee, i + 1, 0, p.key()}})
		}
		switch {
		case before == noEnd:
			report(TierAfter)
		case b.from > before:
			report(TierGap)
		case b.from < before:
			report(TierOverlap)
		}
		switch {
		case b.upTo <= b.from:
			report(TierEmpty)
		case i == len(bands)-1 && b.upTo != noEnd:
			report(TierEnds)
		}
		before = b.upTo
	}
}

// takesAll reports percentages that leave nothing of any price. Promotion can
// be left out, and a cap ends what a percentage takes.
func (c *checker) takesAll(lines []line) {
	var sum int64
	for _, l := range lines {
		if l.cap != noEnd || l.fee.Kind == PromotionFee {
			continue
		}
		least := int64(million)
		for _, b := range l.bands {
			least = min(least, b.rate)
		}
		sum += least
	}
	if sum >= million {
		c.errs = append(c.errs, &TakesAllError{c.venue, decimal.New(sum, -6)})
	}
}

// postage reads what sending an order of some pieces and weight w costs.
func (c *checker) postage(p Postage, w measure.Weight, pieces int64) int64 {
	sum := c.amount("postage fixed", "postage, fixed amount", p.Fixed)
	found := len(p.Steps) == 0
	var before measure.Weight
	for i, s := range p.Steps {
		where := fmt.Sprintf("postage, step %d", i+1)
		c.at.Step = i + 1
		cost := c.amount("cost", where+", cost", s.Cost)
		if s.UpTo <= before {
			c.wrong("up-to", where+", weight", s.UpTo.String(), "is not above the step before", "write the steps by rising weight")
		}
		if !found && w <= s.UpTo {
			sum, found = sum+cost, true
		}
		before = s.UpTo
	}
	c.at.Step = 0
	if !found {
		c.errs = append(c.errs, &WeightError{c.venue, w, before, pieces})
	}
	return sum
}
