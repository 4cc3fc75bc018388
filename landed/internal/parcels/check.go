package parcels

import (
	"fmt"
	"strings"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Check returns all that is wrong with a service as [source.Faults], or nil.
func Check(s *freight.Service) error {
	var report collect.Report
	c := checker{report: &report, at: func() source.Origin { return s.At }, field: "service " + s.Name, currency: s.Currency}
	c.fail(s.Name == "", "name", "name", "is missing", "give the service a name of its own")
	c.fail(s.Currency == 0, "currency", "currency", "is missing", "name the currency of its prices, as in CAD")
	c.notNegative("round-to", "weight step", int64(s.RoundTo))
	c.notNegative("minimum", "minimum weight", int64(s.Minimum))
	c.price("per-parcel", "charge per parcel", s.PerParcel)
	c.dates(s)
	c.volumetric(s)
	c.fraction("fuel rate", "fuel", s.Fuel)
	c.limits("limits", "limits", &s.Limits)
	if s.Rolls != nil {
		c.limits("rolls", "limits of rolls", s.Rolls)
	}
	c.insurance(&s.Insurance)
	for i, r := range s.Refuses {
		c.entry(i, "refuses").fail(strings.TrimSpace(r) == "", "", "refuses", "has an empty entry", "name what is not taken, as in lithium cells")
	}
	c.zones(s.Zones)
	return report.Err()
}

// checker records faults of one service, each at the place of what it is
// looking at.
type checker struct {
	report   *collect.Report
	at       func() source.Origin // asked only for a fault
	field    string
	currency money.Currency
}

// fail records a fault of what stands at a key, or at several one below the
// other, as in "limits weight"; the name is what it is called.
func (c *checker) fail(wrong bool, keys, name, what, remedy string) {
	if wrong {
		c.report.Fail(c.at().Key(strings.Fields(keys)...), c.field+": "+name, what, remedy)
	}
}

func (c *checker) entry(i int, keys ...string) *checker {
	in := *c
	in.at = func() source.Origin { return c.at().Entry(i, keys...) }
	return &in
}

func (c *checker) notNegative(keys, name string, n int64) {
	c.fail(n < 0, keys, name, "is below zero", "give zero or more")
}

// price checks an amount that may be left out.
func (c *checker) price(keys, name string, a money.Amount) {
	if a.Currency() == 0 && a.Minor() == 0 {
		return
	}
	c.fail(c.currency != 0 && a.Currency() != c.currency, keys, name, fmt.Sprintf("is in %q, not in the service's currency", a.Currency().Code()), fmt.Sprintf("give it in %q", c.currency.Code()))
	c.fail(a.Sign() < 0, keys, name, fmt.Sprintf("%q is below zero", a), "give zero or more")
}

func (c *checker) dates(s *freight.Service) {
	c.fail(!s.From.IsZero() && !s.Until.IsZero() && s.Until.Before(s.From), "until", "until",
		fmt.Sprintf("%q is before the first day %q", s.Until.Format(time.DateOnly), s.From.Format(time.DateOnly)), "give a last day that is not before it")
	c.fail(s.MinDays < 0, "days", "days in transit", "are below zero", "give zero or more")
	c.fail(s.MaxDays < s.MinDays, "days", "days in transit", fmt.Sprintf("the most, %d, is less than the least, %d", s.MaxDays, s.MinDays), "give the least first, as in 7 to 14")
}

func (c *checker) volumetric(s *freight.Service) {
	c.notNegative("volumetric divisor", "volumetric divisor", s.Divisor)
	c.notNegative("volumetric whole", "rounding of the sides", int64(s.WholeTo))
	c.fail(s.Billed > freight.Greater, "volumetric billed", "billed weight", fmt.Sprintf("%d is no kind of weight", s.Billed), "choose actual, volumetric or greater")
	c.fail(s.Billed != freight.Actual && s.Divisor == 0, "volumetric divisor", "volumetric divisor", "is missing where the volume is billed", "give the cm3 that count as 1 kg, as in 5000")
}

func (c *checker) fraction(keys, name string, d decimal.Decimal) {
	c.fail(d.Sign() < 0, keys, name, fmt.Sprintf("%q is below zero", money.FormatPercent(d)), "give zero or more")
	_, ok := exact.NewRatio(d.Abs())
	c.fail(!ok, keys, name, "has more than 18 digits", "give a percentage as the carrier prints it")
}

func (c *checker) limits(key, name string, l *freight.Limits) {
	c.notNegative(key+" weight", name+": weight", int64(l.Weight))
	c.notNegative(key+" longest", name+": longest side", int64(l.Longest))
	c.notNegative(key+" length-plus-girth", name+": length plus girth", int64(l.LengthPlusGirth))
	c.notNegative(key+" sum-of-sides", name+": sum of sides", int64(l.SumOfSides))
	c.notNegative(key+" tolerance", name+": tolerance", int64(l.Tolerance))
	c.price(key+" value", name+": value", l.Value)
}

func (c *checker) insurance(n *freight.Insurance) {
	c.fraction("insurance rate", "insurance", n.Rate)
	c.price("insurance least", "insurance: least", n.Least)
	byRate, bySteps := !n.Rate.IsZero(), len(n.Steps) > 0
	c.fail(byRate && bySteps, "insurance steps", "insurance", "has both steps and a percentage", "give one of them")
	c.fail(n.Least.Sign() != 0 && !byRate, "insurance least", "insurance: least", "stands without a percentage", "give the percentage, or a step with this price")
	last := int64(0)
	for i, step := range n.Steps {
		name, in := fmt.Sprintf("insurance step %d", i+1), c.entry(i, "insurance", "steps")
		in.price("up-to", name+": up to", step.UpTo)
		in.price("price", name+": price", step.Price)
		in.rising(name, step.UpTo.Minor(), last)
		last = step.UpTo.Minor()
	}
	c.price("insurance further each", "insurance: each further", n.Further.UpTo)
	c.price("insurance further price", "insurance: price of each further", n.Further.Price)
	c.further("insurance further", "insurance: each further", len(n.Steps), n.Further.UpTo.Minor(), n.Further.Price)
}

func (c *checker) rising(name string, upTo, last int64) {
	c.fail(upTo <= last, "up-to", name, "does not reach beyond the step before", "list the steps from the least to the greatest, each above zero")
}

func (c *checker) further(keys, name string, steps int, each int64, price money.Amount) {
	c.fail(each > 0 && steps == 0, keys, name, "stands without a first step", "give the first step and its price")
	c.fail(each <= 0 && price.Sign() != 0, keys, name, "has a price but no unit", "say for how much more the price is asked")
}

func (c *checker) zones(zones []freight.Zone) {
	c.fail(len(zones) == 0, "zones", "zones", "there is no price table", "give at least one, with its weight steps")
	seen := map[string]bool{}
	for i := range zones {
		z := &zones[i]
		in := *c
		if z.At != (source.Origin{}) {
			in.at = func() source.Origin { return z.At }
		}
		if z.Name != "" {
			in.field += ": zone " + z.Name
		}
		in.fail(seen[z.Name], "name", "name", fmt.Sprintf("the zone %q stands twice", z.Name), "give each zone one table")
		seen[z.Name] = true
		in.zone(z)
	}
}

func (c *checker) zone(z *freight.Zone) {
	c.fail(len(z.Steps) == 0, "steps", "steps", "there is no weight step", "give at least one weight and its price")
	last := int64(0)
	for i, step := range z.Steps {
		name, in := fmt.Sprintf("step %d", i+1), c.entry(i, "steps")
		in.fail(step.Price.Currency() == 0, "price", name, "has no price", "give the price, 0 when it is free")
		in.price("price", name+": price", step.Price)
		in.rising(name, int64(step.UpTo), last)
		last = int64(step.UpTo)
	}
	c.notNegative("further each", "each further", int64(z.Further.UpTo))
	c.price("further price", "price of each further", z.Further.Price)
	c.further("further", "each further", len(z.Steps), int64(z.Further.UpTo), z.Further.Price)
}
