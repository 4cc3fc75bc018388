package lotfile

import (
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/input"
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

	// What is met at the border, once both places are given: for personal use
	// and by post where it does not say, on the day of the options where there is
	// no Date. Without a rate of Duty, duty is not counted.
	From, To, Date, Duty, Use, By string
}

// Quick makes a haul of one lot from a few figures and an item list. Faults
// call a figure by its flag.
func Quick(f Figures, o Options) (*File, error) {
	path, sheet := cutSheet(f.Items)
	data, err := Text(path, o)
	if err != nil {
		return nil, err
	}
	r := newReader(".", o)
	r.quickList = true
	if f.Home == "" {
		r.flag("--home", "").Fail("home is missing", "write the currency of your books, as in --home CAD")
	}
	r.home = r.currency(r.flag("--home", f.Home), r.flag("--to", f.To))
	if f.Price == "" {
		r.flag("--price", "").Fail("price is missing", "write what the lot cost, as in --price '4200 JPY' (0 if it came free)")
	}
	lot := landed.Lot{ID: "bundle", Price: r.price(r.flag("--price", f.Price)), Premium: r.fraction(r.flag("--premium", f.Premium), "--premium 10%")}
	if lot.Price.Sign() < 0 {
		r.flag("--price", f.Price).Fail("a price is never negative", "write what the lot cost")
	}
	var whole bool
	lot.Items, whole = r.items(shown(path), sheet, data)
	r.need(whole, lot.At)
	file := r.quick(lot, f.Terms)
	r.checkBare(file)
	r.check(file)
	r.warn(r.report)
	return file, Explain(r.report.Err(), r.Decimal)
}

// quick makes a haul of one lot on some terms.
func (r *reader) quick(lot landed.Lot, t Terms) *File {
	h := &landed.Haul{Home: r.home, Lots: []landed.Lot{lot}, Date: r.date(r.flag("--date", t.Date))}
	h.Market, h.Charges = r.flagRates(t.Rates, h.Date), r.quickCharges(t)
	h.Spread = r.fraction(r.flag("--spread", t.Spread), "--spread 2.5%")
	h.From, h.To = r.place(r.flag("--from", t.From)), r.place(r.flag("--to", t.To))
	switch {
	case h.From != "" && h.To != "":
		h.Border = r.quickBorder(t, h)
	default:
		for flag, text := range map[string]string{"--duty": t.Duty, "--use": t.Use, "--by": t.By} {
			if text != "" {
				r.flag(flag, text).Fail("it is of a border, but from where to where is not said", "add --from JP and --to CA-ON")
			}
		}
	}
	return &File{Haul: h}
}

// quickBorder is the border that a haul meets; nil where it meets none, or where
// the rules are not known and nothing else was said of it.
func (r *reader) quickBorder(t Terms, h *landed.Haul) *landed.Border {
	var own []*customs.RuleSet
	if r.Rules != nil {
		own = append(own, r.Rules)
	}
	b := &landed.Border{Book: customs.NewBook(own...)}
	b.Use, _ = input.Scalar(r.flag("--use", t.Use), customs.ParseUse)
	b.Mode, _ = input.Scalar(r.flag("--by", t.By), customs.ParseMode)
	if h.Date.IsZero() && !r.Today.IsZero() {
		year, month, day := r.Today.Date()
		h.Date = time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	}
	rules, err := b.Book.For(h.To, h.Date)
	switch {
	case !b.Book.HasBorder(h.From, h.To), err != nil && t.Duty+t.Use+t.By == "":
		return nil
	case err == nil: // does the place say all that the rules need?
		_, err = customs.Assess(rules, &customs.Consignments{On: h.Date, From: h.From, To: h.To})
	}
	if err != nil {
		r.flag("--to", h.To).FailErr(err)
		return nil
	}
	class := customs.Class{Duty: r.dutyRate(r.flag("--duty", t.Duty), rules.Currency)}
	if b.NoRate = t.Duty == ""; b.NoRate {
		class.Duty = &customs.Rate{}
	}
	b.Classes = map[string]customs.Class{"": class}
	for i := range h.Lots[0].Items {
		b.Classes[h.Lots[0].Items[i].Class] = class
	}
	return b
}

// flag makes a figure typed on the command line look like a value of a file.
func (r *reader) flag(name, text string) input.Node {
	where := func() (source.Origin, string) { return source.Origin{}, name }
	if text == "" {
		return input.Missing(r.report, where)
	}
	return input.Cell(text, r.report, where).Marked(input.Marks{Comma: r.Decimal == "comma", Hint: "add --decimal comma"})
}

// flagRates makes a market of the rates typed on the command line.
func (r *reader) flagRates(rates []string, on time.Time) *fx.Market {
	entries := make([]input.Node, len(rates))
	for i, text := range rates {
		entries[i] = r.flag("--rate", text)
	}
	return r.market(r.flag("--rate", ""), entries, nil, on)
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
