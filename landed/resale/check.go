package resale

import (
	"errors"
	"fmt"
	"math"

	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

const (
	// highest is the highest price considered, and the largest amount a venue or a sale may name,
	// in minor units.
	highest = 1_000_000_000_000

	million     = 1_000_000 // rates are whole millionths, so that rate x base fits an int64
	mostFees    = 100
	mostListing = 100
	mostOrders  = 1_000_000
	mostMarkup  = 1000 // times the cost
	noEnd       = math.MaxInt64

	noTax = "doubles the price or more"
)

// Check reports everything that is wrong with a venue, joined: a [*FieldError] for each figure, and
// one if the percentages leave nothing of any price.
func (v *Venue) Check() error {
	c := checker{venue: v.Name, currency: v.Currency}
	c.lines(v)
	c.part("sales-tax rate", "sales tax", v.SalesTax, noTax)
	c.amount("charged", "postage paid by the buyer", v.Charged)
	c.amount("packing", "packing", v.Packing)
	c.postage(v.Postage, 0, 1)
	return c.joined()
}

// checker turns what it is given into whole numbers and gathers what is wrong.
type checker struct {
	venue    string
	currency money.Currency
	errs     []error
	rates    map[decimal.Decimal]int64 // those that were read before, and are in order; may be nil

	fee, band, step int // what is looked at, from 1
}

func (c *checker) joined() error { return errors.Join(c.errs...) }

func (c *checker) fail(key, field, what string) {
	c.errs = append(c.errs, &FieldError{field, key, c.fee, c.band, c.step, c.venue, what})
}

func (c *checker) wrong(key, field, got, problem, remedy string) {
	c.fail(key, field, fmt.Sprintf("%q %s: %s", got, problem, remedy))
}

// signed reads an amount of the venue's currency. The zero Amount is zero.
func (c *checker) signed(key, field string, a money.Amount) int64 {
	switch m := a.Minor(); {
	case a == money.Amount{}:
	case a.Currency() != c.currency:
		c.wrong(key, field, a.String(), "is not in "+c.currency.Code()+", the currency of the venue", "convert it first")
	case m > highest || m < -highest:
		c.wrong(key, field, a.String(), "is too large", "write at most "+money.New(highest, c.currency).String())
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

func (c *checker) rate(key, field string, d decimal.Decimal) int64 {
	if m, ok := c.rates[d]; ok {
		return m
	}
	if d.IsZero() {
		return 0
	}
	if d.Sign() < 0 {
		c.wrong(key, field, money.FormatPercent(d), "is negative", "write a rate of 0% or more")
		return 0
	}
	if !exact.IsBounded(d) || !d.Shift(6).IsInteger() {
		c.wrong(key, field, money.FormatPercent(d), "has more than four decimals", "round it to 0.0001%")
		return 0
	}
	m := d.Shift(6)
	if !m.LessThanOrEqual(decimal.New(mostMarkup*million, 0)) {
		return mostMarkup*million + 1
	}
	if c.rates != nil {
		c.rates[d] = m.IntPart()
	}
	return m.IntPart()
}

// part is rate for what must be below the whole.
func (c *checker) part(key, field string, d decimal.Decimal, problem string) int64 {
	r := c.rate(key, field, d)
	if r >= million {
		c.wrong(key, field, money.FormatPercent(d), problem, "write a rate below 100%")
		return 0
	}
	return r
}

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
		c.fee = i + 1
		lines[i] = c.line(&v.Fees[i], feeName(i, &v.Fees[i]))
	}
	c.fee = 0
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
	wrong := len(c.errs)
	l := line{
		fee:   f,
		whole: f.Whole,
		times: 1,
		fixed: c.amount("fixed", name+", fixed amount", f.Fixed),
		floor: c.amount("floor", name+", floor", f.Floor),
		cap:   noEnd,
	}
	if f.Cap != (money.Amount{}) {
		l.cap = c.amount("cap", name+", cap", f.Cap)
		if l.floor > l.cap && len(c.errs) == wrong {
			c.fail("cap", name, fmt.Sprintf("the floor %q is above the cap %q: exchange them or lower the floor", f.Floor, f.Cap))
		}
	}
	l.bands = c.bands(f, name)
	return l
}

// bands reads the bands of a fee; without any, one band of 0%.
func (c *checker) bands(f *Fee, name string) []band {
	if len(f.Bands) == 0 {
		return []band{{upTo: noEnd}}
	}
	bands := make([]band, len(f.Bands))
	sound := true
	for i, t := range f.Bands {
		where := fmt.Sprintf("%s, band %d", name, i+1)
		c.band = i + 1
		before := len(c.errs)
		bands[i] = band{upTo: noEnd}
		if i > 0 && t.From != (money.Amount{}) && t.From == f.Bands[i-1].UpTo {
			bands[i].from = bands[i-1].upTo // what is wrong with it was said of that
		} else {
			bands[i].from = c.amount("from", where+", beginning", t.From)
		}
		if t.UpTo != (money.Amount{}) {
			bands[i].upTo = c.amount("up-to", where+", end", t.UpTo)
		}
		sound = sound && len(c.errs) == before
		bands[i].rate = c.part("rate", where+", rate", t.Rate, "takes the whole price or more, so no price exists")
	}
	if sound {
		c.gapless(bands, f, name)
	}
	c.band = 0
	if !f.Whole {
		for i := 1; i < len(bands); i++ {
			before := bands[i-1]
			bands[i].offset = before.offset + (before.rate-bands[i].rate)*before.upTo
		}
	}
	return bands
}

// gapless checks that the bands cover everything from 0 upwards once.
func (c *checker) gapless(bands []band, f *Fee, name string) {
	var before int64
	for i, b := range bands {
		c.band = i + 1
		from, end := money.New(b.from, c.currency), money.New(before, c.currency)
		fail := func(key, format string, args ...any) {
			c.fail(key, fmt.Sprintf("%s, band %d", name, c.band), fmt.Sprintf(format, args...))
		}
		switch {
		case before == noEnd:
			fail("up-to", "it follows a band without an end: give the band before an end, or leave this one out")
		case b.from > before:
			fail("from", "it begins at %q, so nothing covers what is between %s and that: begin it at %s", from, end, end)
		case b.from < before:
			fail("from", "it begins at %q and overlaps the band before: begin it at %s, where that ends", from, end)
		}
		switch {
		case b.upTo <= b.from:
			fail("up-to", "it ends at %q, not above %s where it begins: raise its end or leave the band out", f.Bands[i].UpTo, from)
			return // where the next begins follows from its end
		case i == len(bands)-1 && b.upTo != noEnd:
			fail("up-to", "it is the last and ends at %q, so nothing covers higher prices: leave out its end", f.Bands[i].UpTo)
		}
		before = b.upTo
	}
}

// takesAll reports percentages that leave nothing of any price. Promotion can be left out, and a
// cap ends what a percentage takes.
func (c *checker) takesAll(lines []line) {
	var sum int64
	for _, l := range lines {
		if l.cap != noEnd || l.fee.Kind == AdvertisingFee {
			continue
		}
		least := int64(million)
		for _, b := range l.bands {
			least = min(least, b.rate)
		}
		sum += least
	}
	if sum >= million {
		share := money.FormatPercent(decimal.New(sum, -6))
		c.fail("", "", "the fees take "+share+" of every price or more, so no price exists that leaves anything: lower a rate")
	}
}

// postage reads what sending an order of some pieces and weight w costs.
func (c *checker) postage(p Postage, w measure.Weight, pieces int64) int64 {
	sum := c.amount("postage fixed", "postage, fixed amount", p.Fixed)
	found := len(p.Steps) == 0
	var before measure.Weight
	for i, s := range p.Steps {
		c.step = i + 1
		cost := c.stepCost(s.Price)
		if s.UpTo <= before {
			c.wrong("up-to", fmt.Sprintf("postage, step %d, weight", c.step), s.UpTo.String(), "is not above the step before", "write the steps by rising weight")
		}
		if !found && w <= s.UpTo {
			sum, found = sum+cost, true
		}
		before = s.UpTo
	}
	c.step = 0
	if !found {
		remedy := "add a step, or sell it elsewhere"
		if pieces > 1 {
			remedy = "add a step, or sell it in two orders"
		}
		c.errs = append(c.errs, &noPriceError{venue: c.venue, said: fmt.Sprintf("postage goes up to %s and the order weighs %q: %s", before, w, remedy)})
	}
	return sum
}

// stepCost is amount for a step of postage: where nothing is wrong no words are made, since steps
// are read for each weight.
func (c *checker) stepCost(a money.Amount) int64 {
	if a.Currency() == c.currency && a.Sign() >= 0 && a.Minor() <= highest {
		return a.Minor()
	}
	return c.amount("cost", fmt.Sprintf("postage, step %d, cost", c.step), a)
}
