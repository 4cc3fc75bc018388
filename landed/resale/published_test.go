package resale_test

import (
	"testing"

	"lotcost/landed/internal/published"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

type feeCase struct {
	Bands []struct {
		UpTo string `yaml:"up_to"`
		Rate string
	}
	Fixed, Cap string
}

type saleCase struct {
	published.Case `yaml:",inline"`
	Cost           string
	Markup, Margin string
	Fees           []feeCase
	Price          string
	Printed        string
	Fee, Left      string
}

// in reads an amount, or nothing.
func in(t *testing.T, number, currency string) money.Amount {
	t.Helper()
	if number == "" {
		return money.Amount{}
	}
	a, err := money.ParseIn(number, money.MustCurrency(currency))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func (c saleCase) sale(t *testing.T) *resale.Sale {
	v := &resale.Venue{Name: c.Source, Currency: cad}
	for _, fc := range c.Fees {
		f := resale.Fee{What: "fee", Fixed: in(t, fc.Fixed, "CAD"), Cap: in(t, fc.Cap, "CAD")}
		var from money.Amount
		for _, b := range fc.Bands {
			tier := resale.Band{From: from, UpTo: in(t, b.UpTo, "CAD"), Rate: rate(b.Rate)}
			f.Bands = append(f.Bands, tier)
			from = tier.UpTo
		}
		v.Fees = append(v.Fees, f)
	}
	s := &resale.Sale{Venue: v, Cost: in(t, c.Cost, "CAD")}
	switch {
	case c.Markup != "":
		s.Target = resale.Target{Markup: rate(c.Markup)}
	case c.Margin != "":
		s.Target = resale.Target{Margin: rate(c.Margin)}
	}
	return s
}

func TestPublished(t *testing.T) {
	var data struct {
		Sources          map[string]string
		Prices, Outcomes []saleCase
	}
	published.Read(t, "selling/published.yaml", &data)
	for _, c := range data.Prices {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			c.testPrice(t)
		})
	}
	for _, c := range data.Outcomes {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			c.testOutcome(t)
		})
	}
}

func (c saleCase) testPrice(t *testing.T) {
	s := c.sale(t)
	a, err := resale.Price(s, resale.AnyEnding)
	if err != nil || a.Price.Number() != c.Price {
		t.Fatalf("got %v, %v, want %s", a.Price, err, c.Price)
	}
	if c.Printed == "" {
		return
	}
	o, err := s.At(in(t, c.Printed, "CAD"))
	if err != nil || o.Left.Cmp(o.Target) >= 0 {
		t.Errorf("the printed %s meets the target: %+v, %v", c.Printed, o, err)
	}
	if apart := a.Price.Minor() - o.Price.Minor(); apart != 1 {
		t.Errorf("the printed %s is %d cents below %v: want 1", c.Printed, apart, a.Price)
	}
}

func (c saleCase) testOutcome(t *testing.T) {
	o, err := c.sale(t).At(in(t, c.Price, "CAD"))
	if err != nil {
		t.Fatal(err)
	}
	if o.Fees.Number() != c.Fee || o.Left.Number() != c.Left {
		t.Errorf("fee %s, left %s, want %s, %s", o.Fees.Number(), o.Left.Number(), c.Fee, c.Left)
	}
}

// TestAverageMarkup: bought at 10, an average of 41.50 is wanted, a quarter goes
// at 30 off. (Olivier, Business Math, 6.4C, from lecture slides: 59 and 29.)
func TestAverageMarkup(t *testing.T) {
	s := &resale.Sale{Venue: &resale.Venue{Currency: cad}, Cost: cents(1000)}
	sum := cents(0)
	for price, pieces := range map[int64]int64{5900: 3, 2900: 1} {
		o, err := s.At(cents(price))
		must(t, err)
		left, err := o.Left.Times(pieces)
		must(t, err)
		sum, err = sum.Add(left)
		must(t, err)
	}
	if sum != cents(4*4150) {
		t.Errorf("left %v, want 4 x 41.50", sum)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestMarginScheme(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case `yaml:",inline"`
			Currency       string
			Bought, Sold   string
			Rate, Tax      string
		}
	}
	published.Read(t, "selling/margin.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			bought, sold := in(t, c.Bought, c.Currency), in(t, c.Sold, c.Currency)
			s := &resale.Sale{
				Venue: &resale.Venue{Currency: sold.Currency()},
				Cost:  bought,
				Terms: resale.Terms{VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: rate(c.Rate), Bought: bought}},
			}
			o, err := s.At(sold)
			if err != nil || o.VAT.Number() != c.Tax {
				t.Errorf("got %v, %v, want %s", o.VAT, err, c.Tax)
			}
			if paid, err := sold.Sub(o.Net); err != nil || paid != o.VAT {
				t.Errorf("tax of %v, and %v less is left", o.VAT, paid)
			}
		})
	}
}
