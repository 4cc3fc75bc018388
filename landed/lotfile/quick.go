package lotfile

import (
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Figures are a haul of one lot in a few figures, as typed. Only Items, Home
// and Price must be given; an empty figure is left out.
type Figures struct {
	Items string // path of an item list, or Stdin
	Price string
	Terms
}

// Terms are what a few figures say beside the goods, as typed. An empty one is
// left out.
type Terms struct {
	Home      string // currency code of the books
	Premium   string
	Freight   string
	Insurance string
	Fee       string
	Spread    string
	Rates     []string
}

// Quick makes a haul of one lot from a few figures and an item list. Faults
// call a figure by its flag.
func Quick(f Figures, o Options) (*landed.Haul, error) {
	data, err := Text(f.Items, o)
	if err != nil {
		return nil, err
	}
	r := newReader(".", o)
	if f.Home == "" {
		r.flag("--home", "").Fail("home is missing", "write the currency of your books, as in --home CAD")
	}
	r.home, _ = source.Scalar(r.flag("--home", f.Home), money.ParseCurrency)
	if f.Price == "" {
		r.flag("--price", "").Fail("price is missing", "write what the lot cost, as in --price '4200 JPY' (0 if it came free)")
	}
	lot := landed.Lot{ID: "bundle", Price: r.price(r.flag("--price", f.Price)), Premium: r.fraction(r.flag("--premium", f.Premium), "--premium 10%")}
	if lot.Price.Sign() < 0 {
		r.flag("--price", f.Price).Fail("a price cannot be negative", "write what the lot cost")
	}
	var whole bool
	lot.Items, whole = r.items(shown(f.Items), data)
	r.need(whole, lot.At)
	h := &landed.Haul{Home: r.home, Lots: []landed.Lot{lot}, Market: r.flagRates(f.Rates)}
	h.Spread = r.fraction(r.flag("--spread", f.Spread), "--spread 2.5%")
	h.Charges = r.quickCharges(f.Terms)
	r.checkBare(h)
	r.check(h)
	r.warn(r.report)
	return h, r.report.Err()
}

// flag makes a figure typed on the command line look like a value of a file.
func (r *reader) flag(name, text string) source.Node {
	where := func() (source.Origin, string) { return source.Origin{}, name }
	if text == "" {
		return source.Missing(r.report, where)
	}
	return source.Cell(text, r.report, where)
}

// flagRates makes a market of the rates typed on the command line.
func (r *reader) flagRates(rates []string) *fx.Market {
	entries := make([]source.Node, len(rates))
	for i, text := range rates {
		entries[i] = r.flag("--rate", text)
	}
	return r.market(r.flag("--rate", ""), entries, nil, time.Time{})
}

func (r *reader) quickCharges(f Terms) []landed.Charge {
	var charges []landed.Charge
	for _, given := range []struct {
		flag, text string
		kind       landed.Kind
	}{{"--freight", f.Freight, landed.Freight}, {"--insurance", f.Insurance, landed.Insurance}, {"--fee", f.Fee, landed.Fee}} {
		if given.text != "" {
			c := landed.Charge{What: given.kind.String(), Kind: given.kind}
			r.costOf(&c, r.flag(given.flag, given.text))
			charges = append(charges, c)
		}
	}
	return charges
}
