package resale

import "fmt"

// feesOf is what the fees of a sale depend on.
type feesOf struct {
	venue      *Venue
	charged    int64
	advertised bool
	offered    int64
}

// fees are those of a venue as they fit some sales.
type fees struct {
	venue    *Venue
	salesTax base // with rate and taxable postage of the tax itself
	lines    []line
	segments [][]segment // of the lines, once they were asked for
}

func (c *checker) fees(of feesOf) *fees {
	f := &fees{venue: of.venue, lines: c.lines(of.venue)}
	f.salesTax.tax = c.part("", "sales tax", of.venue.SalesTax, noTax)
	if of.venue.TaxOnPostage {
		f.salesTax.taxable = of.charged
	}
	f.take(of, c.offered(of.offered))
	return f
}

func (c *checker) offered(n int64) int64 {
	if n < 0 || n > mostListing {
		c.wrong("", "offered", fmt.Sprint(n), "is out of range", fmt.Sprintf("write a number from 1 to %d", mostListing))
	}
	return max(n, 1)
}

// take fits the venue's fees to the sale: their base, how often they are charged, and whether at
// all.
func (f *fees) take(of feesOf, offered int64) {
	kept := f.lines[:0]
	for _, l := range f.lines {
		switch l.fee.Kind {
		case AdvertisingFee:
			if !of.advertised {
				continue
			}
		case ListingFee:
			l.times = offered
		}
		l.base = f.base(l.fee, of.charged)
		kept = append(kept, l)
	}
	f.lines = kept
}

func (f *fees) base(fee *Fee, charged int64) base {
	var b base
	if fee.WithPostage {
		b.add = charged
	}
	if fee.WithTax {
		b.tax = f.salesTax.tax
		b.taxable = min(f.salesTax.taxable, b.add)
	}
	return b
}

func (f *fees) split() [][]segment {
	if f.segments == nil {
		f.segments = make([][]segment, len(f.lines))
		for i := range f.lines {
			f.segments[i] = f.lines[i].segments()
		}
	}
	return f.segments
}
