package landed

import (
	"fmt"

	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// noHaul tells that a haul was asked for, and none was given.
var noHaul = source.Faults{{What: "there is no haul"}}

// checkFigures records figures and choices of the haul as a whole, its lots, its
// charges and its border that cannot be.
func (x *index) checkFigures(report *collect.Report) {
	h := x.haul
	if h.Home != 0 && h.Home.Code() == "" {
		report.Fail(h.At.Key("home"), "home", "the home currency is none that is known", "give the currency of your books, such as CAD")
	}
	if !exact.IsBounded(h.Spread) || h.Spread.Sign() < 0 {
		report.Fail(h.At.Key("exchange", "spread"), "exchange: spread", "a spread of "+money.FormatPercent(h.Spread)+" makes no sense", "write what the card adds to the rate").Figure = "spread"
	}
	if int(h.Losses) >= len(lossNames) {
		report.Fail(h.At.Key("losses"), "losses", "there is no such rule", "use item, lot, haul or written-off")
	}
	for k, by := range h.Share {
		if name := Kind(k).String(); !isBasis(by) {
			failBasis(report, h.At.Key("share", name), "share: "+name)
		}
	}
	for i := range h.Lots {
		lot := &h.Lots[i]
		if !exact.IsBounded(lot.Premium) || lot.Premium.Sign() < 0 {
			report.Fail(lot.At.Key("premium"), "lot "+lot.ID, "a premium of "+money.FormatPercent(lot.Premium)+" makes no sense", "write the buyer's premium").Figure = "premium"
		}
	}
	for i := range h.Charges {
		checkCharge(report, &h.Charges[i])
	}
	if h.Border != nil {
		checkBorder(report, h.Border)
	}
}

func isBasis(by Basis) bool { return int(by) < len(basisNames) }

func failBasis(report *collect.Report, at source.Origin, field string) {
	report.Fail(at, field, "there is no such basis", "use weight, count, value or line")
}

func checkCharge(report *collect.Report, c *Charge) {
	fail := func(key, what, remedy string) { report.Fail(c.At.Key(key), chargeField(c), what, remedy) }
	switch {
	case c.Kind == Price || c.Kind == Premium:
		fail("kind", fmt.Sprintf("a %s belongs to a lot", c.Kind), "give it as that of the lot")
	case c.Kind < Freight || c.Kind > Repair:
		fail("kind", "that is no kind of charge", "use freight, insurance, fee or repair")
	case int(c.Per) >= len(perNames):
		fail("per", "that is nothing a charge is asked for", "use haul, parcel, lot, item or piece")
	case c.Dutiable > NotDutiable:
		fail("dutiable", "there is no such way to count in the value for customs", "say whether it counts to the goods, nowhere, or as its kind does")
	case c.OfPrice && c.Amount.Currency() != 0:
		fail("amount", "there is an amount and a percentage of price", "give one of them")
	case !c.OfPrice && !c.Percent.IsZero():
		fail("amount", "there is a percentage, but not of price", "say that it is of price, or give an amount")
	case !exact.IsBounded(c.Percent):
		fail("amount", "the percentage has too many digits", "write it as in 1.5% of price")
	}
	if !isBasis(c.By) {
		failBasis(report, c.At.Key("by"), chargeField(c))
	}
}

func checkBorder(report *collect.Report, b *Border) {
	fail := func(key, what, remedy string) { report.Fail(b.At.Key(key), "customs", what, remedy) }
	switch {
	case b.Book == nil:
		fail("rules", "there are no rules", "give those that are shipped, or your own")
	case b.Use > customs.Returned:
		fail("use", "there is no such use", "use personal, gift, resale or returned")
	case b.Mode > customs.Parcels:
		fail("by", "there is no such way in", "use post, courier or cargo")
	case b.TaxPaid && b.Private:
		fail("seller-charges-tax", "the seller cannot both have charged the tax and have charged none", "say one of them")
	}
}

// checkWork records figures of what was done with an item that cannot be.
func checkWork(report *collect.Report, item *Item) {
	for _, a := range []struct {
		key    string
		amount money.Amount
	}{{"parts-value", item.PartsValue}, {"repair", item.Repair}, {"worth", item.Worth}} {
		if a.amount.Sign() < 0 {
			report.Fail(item.At.Key(a.key), "item "+item.ID+": "+a.key, fmt.Sprintf("%s is negative", a.amount), "write an amount of 0 or more")
		}
	}
	if !exact.IsBounded(item.Hours) || item.Hours.Sign() < 0 {
		report.Fail(item.At.Key("hours"), "item "+item.ID+": hours", "the hours are negative, or have too many digits", "write how many were worked").Figure = "hours"
	}
}
