package lotfile

import (
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// Figures are what is typed in place of a lot file, by the name of the flag without its dashes, as
// in "price": {"4200 JPY"}. Only "rate" may have several; one that is empty is not given.
//
// Of any lot: home, the currency code of the books, which must be given; premium, freight,
// insurance, fee, spread and rate; and of the border that is met once from and to are given: date,
// duty, use and by. It is for personal use and by post where that is not said, on the day of the
// options where there is no date; without a rate of duty, duty is not counted.
type Figures map[string][]string

func (f Figures) of(name string) string {
	if texts := f[name]; len(texts) > 0 {
		return texts[0]
	}
	return ""
}

// Quick makes a haul of one lot from a few figures: one that was bought where there are items,
// the path of an item list, or [Stdin], and with it price; else one to bid for.
//
// Of that the figures are in, the currency code of the bids, and value, of one piece when right,
// an amount or a range, which must be given; works, the chance that it is right; parts, what it
// brings otherwise, or nothing; pieces, how many, each with an outcome of its own; and bought,
// what is paid already, premium in it, for lots that share its charges. Faults call a figure by
// its flag.
func Quick(f Figures, o Options) (*File, error) {
	if f.of("items") == "" {
		return quickBid(f, o)
	}
	path, sheet := cutSheet(f.of("items"))
	data, err := Table(path, o)
	if err != nil {
		return nil, err
	}
	r := newReader(".", o)
	r.quickList = true
	r.quickHome(f)
	price := r.must(f, "price", "write what the lot cost, as in --price '4200 JPY' (0 if it came free)")
	lot := landed.Lot{ID: "bundle", Price: r.price(price), Premium: r.fraction(r.figure(f, "premium"), "--premium 10%")}
	if lot.Price.Sign() < 0 {
		price.Fail("a price is never negative", "write what the lot cost")
	}
	var whole bool
	lot.Items, whole = r.items(shown(path), sheet, data)
	r.need(whole, lot.At)
	file := r.quick(lot, f)
	r.checkBare(file)
	r.check(file)
	r.warn(r.report)
	return file, Explain(r.report.Err(), file.typed(&r.Options))
}

func (r *reader) quickHome(f Figures) {
	r.home = r.currency(r.must(f, "home", "write the currency of your books, as in --home CAD"), r.figure(f, "to"))
}

func (r *reader) quick(lot landed.Lot, f Figures) *File {
	h := &landed.Haul{Home: r.home, Lots: []landed.Lot{lot}, Date: r.date(r.figure(f, "date"))}
	h.Market, h.Charges = r.flagRates(f["rate"], h.Date), r.quickCharges(f)
	h.Spread = r.fraction(r.figure(f, "spread"), "--spread 2.5%")
	h.From, h.To = r.place(r.figure(f, "from")), r.place(r.figure(f, "to"))
	if h.From != "" && h.To != "" {
		h.Border = r.quickBorder(f, h)
		return &File{Haul: h}
	}
	for _, name := range []string{"duty", "use", "by"} {
		if f.of(name) != "" {
			r.figure(f, name).Fail("it is of a border, but from where to where is not said", "add --from JP and --to CA-ON")
		}
	}
	return &File{Haul: h}
}

// quickBorder is the border that a haul meets; nil where it meets none, or where
// the rules are not known and nothing else was said of it.
func (r *reader) quickBorder(f Figures, h *landed.Haul) *landed.Border {
	b := &landed.Border{Book: customs.NewBook(r.Rules)}
	b.Use, _ = input.Scalar(r.figure(f, "use"), customs.ParseUse)
	b.Mode, _ = input.Scalar(r.figure(f, "by"), customs.ParseMode)
	if h.Date.IsZero() && !r.Today.IsZero() {
		h.Date = dayOf(r.Today)
	}
	rules, err := b.Book.For(h.To, h.Date)
	switch {
	case !b.Book.HasBorder(h.From, h.To), err != nil && f.of("duty")+f.of("use")+f.of("by") == "":
		return nil
	case err == nil: // does the place say all that the rules need?
		_, err = customs.Assess(rules, &customs.Consignments{On: h.Date, From: h.From, To: h.To})
	}
	if err != nil {
		r.flag("--to", h.To).FailErr(err)
		return nil
	}
	class := customs.Class{Duty: r.dutyRate(r.figure(f, "duty"), rules.Currency)}
	if b.NoRate = f.of("duty") == ""; b.NoRate {
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
	return input.Cell(text, r.report, where).Marked(&input.Marks{Comma: r.Decimal == "comma", Hint: "add --decimal comma"})
}

// figure makes one that was typed look like a value of a file, and must one that has to be given.
func (r *reader) figure(f Figures, name string) input.Node { return r.flag("--"+name, f.of(name)) }

func (r *reader) must(f Figures, name, remedy string) input.Node {
	n := r.figure(f, name)
	if f.of(name) == "" {
		n.Fail(name+" is missing", remedy)
	}
	return n
}

// flagRates makes a market of the rates typed on the command line.
func (r *reader) flagRates(rates []string, on time.Time) *fx.Market {
	entries := make([]input.Node, len(rates))
	for i, text := range rates {
		entries[i] = r.flag("--rate", text)
	}
	return r.market(r.flag("--rate", ""), entries, nil, on)
}

func (r *reader) quickCharges(f Figures) []landed.Charge {
	var charges []landed.Charge
	for _, kind := range []landed.Kind{landed.Freight, landed.Insurance, landed.Fee} {
		if name := kind.String(); f.of(name) != "" {
			c := landed.Charge{What: name, Kind: kind}
			r.costOf(&c, r.figure(f, name))
			charges = append(charges, c)
		}
	}
	return charges
}
