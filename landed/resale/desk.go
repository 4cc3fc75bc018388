package resale

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Desk finds prices, and answers as [Sale.At] does: it keeps what it made of a venue, and of each
// step of its postage, for the sales to come. A venue that it has seen must not change. The zero
// value is ready; it is not safe for concurrent use.
type Desk struct {
	fees      map[feesOf]*fees
	schedules map[scheduleOf]*schedule
	rates     map[decimal.Decimal]int64 // in millionths
}

// scheduleOf is what a schedule depends on.
type scheduleOf struct {
	fees                      *fees
	charged, packing, sending int64
	vat                       vatFigures
	margin, rest              int64
}

// mostKept bounds what a desk keeps: under the margin scheme each piece may have a schedule of its
// own.
const mostKept = 1000

// Price finds exactly the smallest price in minor units, of those with an ending, at which the
// target of a sale is met, and the gaps above it. Besides the errors of [Sale.At] there is one
// where no price does.
func (d *Desk) Price(s *Sale, ending Ending) (Least, error) {
	f, err := d.figures(s)
	if err != nil {
		return Least{}, err
	}
	return d.schedule(&f).price(f.cost+f.target.ofCost(f.cost), s.Target, ending)
}

// At is [Sale.At] without the steps, which are words for a reader.
func (d *Desk) At(s *Sale, price money.Amount) (Result, error) {
	f, minor, err := d.figuresAt(s, price)
	if err != nil {
		return Result{}, err
	}
	return f.at(minor), nil
}

func (d *Desk) figuresAt(s *Sale, price money.Amount) (figures, int64, error) {
	f, err := d.figures(s)
	if err != nil {
		return f, 0, err
	}
	c := checker{venue: s.Venue.Name, currency: s.Venue.Currency}
	minor := c.amount("", "price", price)
	return f, minor, c.joined()
}

func (d *Desk) tidy() {
	if d.fees == nil || len(d.fees)+len(d.schedules)+len(d.rates) > mostKept {
		d.fees, d.schedules, d.rates = map[feesOf]*fees{}, map[scheduleOf]*schedule{}, map[decimal.Decimal]int64{}
	}
}

func (d *Desk) schedule(f *figures) *schedule {
	of := scheduleOf{f.fees, f.charged, f.packing, f.sending, f.vat, f.target.margin, f.target.rest}
	s := d.schedules[of]
	if s != nil {
		return s
	}
	s = compile(*f)
	d.schedules[of] = s
	return s
}
