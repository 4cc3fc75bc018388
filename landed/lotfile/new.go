package lotfile

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Steps are what a new file may be for: a step of the job, or the user's defaults.
func Steps() []string { return []string{"bid", "split", "price", "together", "defaults"} }

// New returns the text of a short file for a case, in which the figures that only
// the user knows stand empty: it is valid once they are in. What the defaults give
// is not in it. Further sections follow as notes; without its marks each is valid.
// Faults call a figure by its flag; those of the defaults stand in their file. The
// lot file is to stand in folder.
//
// The figures are from and to; for, one of [Steps], or else the first; with, the defaults,
// as it is to stand in the file; home and in, the currencies of the books and of the sale, or
// else those of the defaults and of the countries; date, or else the day of the options; and
// decimal, point or comma, or else as the defaults have it.
func New(f Figures, folder string, o Options) (string, error) {
	d := &draft{reader: newReader(folder, o), asked: f, step: cmp.Or(f.of("for"), Steps()[0]), values: map[string]string{}}
	d.read()
	if err := Explain(d.report.Err(), Examples{}); err != nil {
		return "", err
	}
	return d.text(), nil
}

//go:embed draft.txt
var draftText string

// section is one that a new file may have, and the steps that need it.
type section struct {
	key, text string
	steps     []string
}

var draftSections = sync.OnceValue(func() (all []section) {
	for _, s := range strings.Split(draftText, "\n===")[1:] {
		steps, text, _ := strings.Cut(s, "\n")
		key, _, _ := strings.Cut(text, ":")
		all = append(all, section{key, strings.TrimSuffix(text, "\n") + "\n", strings.Fields(steps)})
	}
	return all
})

// draft is a new file being written.
type draft struct {
	*reader
	asked     Figures
	step      string      // one of Steps
	haul      landed.Haul // as far as the case says it
	comma     bool        // figures are written as in 1,5
	sale      money.Currency
	territory money.Currency    // that of the rules of entry; none where they are not known, or there is no border
	rates     []money.Currency  // for which the file is to have a rate
	values    map[string]string // what stands for the marks in a section
}

// read reads the case and, where there are any, the defaults.
func (d *draft) read() {
	if !slices.Contains(Steps(), d.step) {
		d.figure(d.asked, "for").Fail("unknown word "+quote(d.step), source.DidYouMean(d.step, Steps()))
	}
	if !d.defaults(d.figure(d.asked, "with")) {
		return
	}
	d.comma = wordOf(d.figure(d.asked, "decimal"), "point", "comma") == 1
	none := &input.Map{}
	if d.book != nil {
		none = d.book.Map
		word, _ := textOf(none.Get("decimal"))
		d.comma = d.comma || d.asked.of("decimal") == "" && word == "comma"
		d.home = d.book.home
	}
	to := d.code("to", "")
	if !to.Given() && none.Has("to") {
		to = none.Get("to")
	}
	d.haul.To, d.haul.From = d.place(to), d.place(d.code("from", ""))
	if d.asked.of("from") == "" && d.step != "defaults" {
		d.flag("--from", "").Fail("from is missing", "write where it comes from, as in --from JP")
	}
	if d.haul.To == "" && d.asked.of("to") == "" {
		d.flag("--to", "").Fail("to is missing", "write where it goes, as in --to DE or --to CA-ON")
	}
	d.currencies()
	if d.haul.Date = d.date(d.figure(d.asked, "date")); d.asked.of("date") == "" {
		d.haul.Date = dayOf(d.Today)
	}
	if d.report.Len() == 0 {
		d.border()
		d.findRates()
	}
}

// findRates finds which currencies need a rate that the defaults do not give. Where
// one does, the section of the defaults gives way, and with it their table.
func (d *draft) findRates() {
	if d.step == "defaults" {
		return
	}
	var stated, all *fx.Market
	if d.book != nil && d.book.Has("exchange") {
		h := landed.Haul{Date: d.haul.Date}
		d.exchange(d.book.Get("exchange"), &h, d.figure(d.asked, "date"))
		all = h.Market
		exchange := d.book.Get("exchange").Map(exchangeKeys...)
		rates := exchange.Get("rates")
		stated = d.market(rates, rates.List(true), nil, time.Time{})
	}
	lacks := func(m *fx.Market) func(money.Currency) bool {
		return func(c money.Currency) bool {
			if m == nil {
				return true
			}
			_, err := m.Rate(fx.Code(c.Code()), fx.Code(d.home.Code()))
			return err != nil
		}
	}
	needs := slices.DeleteFunc([]money.Currency{d.sale, d.territory}, func(c money.Currency) bool { return c == d.home || c == 0 })
	needs = slices.Compact(needs)
	if slices.ContainsFunc(needs, lacks(all)) {
		d.rates = slices.DeleteFunc(needs, func(c money.Currency) bool { return !lacks(stated)(c) })
	}
}

func dayOf(t time.Time) time.Time {
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// currencies finds that of the books and that of the sale.
func (d *draft) currencies() {
	usual := tender(d.haul.To)
	if d.home != 0 {
		usual = d.home.Code()
	}
	home := d.code("home", usual)
	if d.home, _ = input.Scalar(home, money.ParseCurrency); !home.Given() && d.haul.To != "" {
		home.Fail("home is missing", "write the currency of your books, as in --home CAD")
	}
	d.haul.Home = d.home
	if d.sale, _ = input.Scalar(d.code("in", tender(d.haul.From)), money.ParseCurrency); d.sale == 0 {
		d.sale = d.home
	}
}

// code is a figure in capitals, or the usual one.
func (d *draft) code(name, usual string) input.Node {
	return d.flag("--"+name, cmp.Or(strings.ToUpper(d.asked.of(name)), usual))
}

// border finds whether the rules of entry are known, and what place they need.
func (d *draft) border() {
	book := customs.NewBook(d.Rules)
	rules, err := book.For(d.haul.To, d.haul.Date)
	if err != nil || d.haul.From != "" && !book.HasBorder(d.haul.From, d.haul.To) {
		return
	}
	d.territory = rules.Currency
	if d.haul.From == "" {
		return
	}
	if _, err := customs.Assess(rules, &customs.Consignments{On: d.haul.Date, From: d.haul.From, To: d.haul.To}); err != nil {
		d.flag("--to", d.haul.To).FailErr(err)
	}
}

// taxYears are the days on which the tax year of somebody who lives there begins, where that is not
// the calendar year. Great Britain: Income Tax Act 2007 s. 4(3). From memory: Australia, Income Tax
// Assessment Act 1997 s. 4-10; New Zealand, Income Tax Act 2007 s. YA 1; South Africa, Income Tax
// Act 58 of 1962 s. 1 ("year of assessment", which ends with February).
var taxYears = map[string]string{"GB": "04-06", "AU": "07-01", "NZ": "04-01", "ZA": "03-01"}

func (d *draft) text() string {
	country, _, _ := strings.Cut(d.haul.To, "-")
	d.values = map[string]string{"sale": d.sale.Code(), "to": d.haul.To, "seller": "tidemark", "spread": "0%", "goal": "{return: 20%}", "lots": "lot-1", "class": d.classExample(), "rates": d.rateLines(), "settled": d.settledExample(), "year": taxYears[country]}
	if d.step == "together" {
		d.values["lots"] = "lot-1, lot-2"
	}
	var head, tail strings.Builder
	head.WriteString(d.head())
	sections := draftSections()
	for i, s := range sections {
		if i > 0 && s.key == sections[i-1].key {
			continue
		}
		text, now := d.section(s.key)
		switch {
		case text == "" || !d.fits(s.key) || d.given(s.key):
		case now:
			head.WriteString("\n" + d.fill(text))
		default:
			tail.WriteString("\n" + noted(exampled(d.fill(text))))
		}
	}
	head.WriteString("\n# What more the file may hold: take the marks off a block that you need.\n# All keys: lotcost help file\n")
	return align(head.String() + tail.String())
}

// section is what a new file says under a key: as the step needs it now, or, where
// it needs none, in general.
func (d *draft) section(key string) (text string, now bool) {
	for _, s := range draftSections() {
		switch {
		case s.key != key:
		case slices.Contains(s.steps, d.step):
			return s.text, true
		case text == "":
			text = s.text
		}
	}
	return text, false
}

// head writes what stands above the sections.
func (d *draft) head() string {
	if d.step == "defaults" {
		return fmt.Sprintf("# What your lot files take from here, by their line with: ../book.yaml\nlotcost-book: %s\n%shome: %s\nto: %s\n", version, d.marks(), d.home, d.haul.To)
	}
	text := "lotcost: " + version + "\n" + d.marks()
	if d.book != nil {
		text += "with: " + plain(d.asked.of("with")) + "  # what it says need not stand here\n"
	}
	if d.book == nil || d.book.home != d.home {
		text += "home: " + d.home.Code() + "\n"
	}
	text += "date: " + d.haul.Date.Format(time.DateOnly) + "  # day of purchase\n"
	text += "from: " + d.haul.From + "\n"
	if usual, _ := d.bookText("to"); usual != d.haul.To {
		text += "to: " + d.haul.To + "\n"
	}
	if d.territory == 0 && d.haul.From != d.haul.To && customs.NewBook(d.Rules).HasBorder(d.haul.From, d.haul.To) {
		text += "# The rules of entry into " + d.haul.To + " on that day are not known here: what it takes is a charge of yours.\n"
	}
	return text
}

// marks says how figures are written, where the case does.
func (d *draft) marks() string {
	mark := d.asked.of("decimal")
	if mark == "" {
		return ""
	}
	return "decimal: " + mark + "\n"
}

func (d *draft) bookText(keys ...string) (string, bool) {
	if d.book == nil {
		return "", false
	}
	n := d.book.Get(keys[0])
	for _, key := range keys[1:] {
		below := input.Node{}
		n.Each(func(name string, value input.Node) {
			if name == key {
				below = value
			}
		})
		n = below
	}
	var parts []string
	n.Each(func(name string, value input.Node) { parts = append(parts, name+": "+d.copied(value.Brief())) })
	if parts != nil {
		return "{" + strings.Join(parts, ", ") + "}", true
	}
	return n.Brief(), n.Given()
}

// copied writes a figure of the defaults as those of the draft are, before its
// marks are changed.
func (d *draft) copied(figure string) string {
	if d.book.Marks().Comma {
		figure = strings.ReplaceAll(strings.ReplaceAll(figure, ".", ""), ",", ".")
	}
	if d.comma && strings.Contains(figure, ".") {
		return strconv.Quote(figure)
	}
	return figure
}

// fits reports whether a section is for a case like this.
func (d *draft) fits(key string) bool {
	ofDefaults := slices.Contains(bookKeys, key)
	switch {
	case d.step == "defaults" && !ofDefaults, d.step != "defaults" && (key == "premiums" || key == "wanted" || key == "year-from"):
		return false
	case key == "customs":
		return d.territory != 0
	case key == "year-from":
		return d.values["year"] != ""
	case key == "exchange":
		return len(d.rates) > 0 || d.step == "defaults"
	}
	return true
}

// given reports whether the defaults give all that a section would. Where they do
// not, what they say of it goes into the file, since its section takes their place.
func (d *draft) given(key string) bool {
	if d.book == nil || !d.book.Has(key) {
		return false
	}
	switch key {
	case "exchange":
		if spread, ok := d.bookText("exchange", "spread"); ok {
			d.values["spread"] = strings.Trim(d.copied(spread), `"`)
		}
		return false
	case "bidding":
		if goal, ok := d.bookText("bidding", "goal"); ok {
			d.values["goal"] = goal
		}
		_, starts := d.bookText("bidding", "start")
		_, steps := d.bookText("bidding", "steps")
		return starts || steps || d.step != "bid"
	}
	return true
}

// mostOld is how far away the day of a rate may be before that is reported, as of a
// table that a lot file names.
const mostOld = 7 * 24 * time.Hour

// rateLines are a line with the rate of each currency, empty where none is at hand.
func (d *draft) rateLines() string {
	lines := make([]string, len(d.rates))
	for i, c := range d.rates {
		lines[i] = "    - " + d.rate(c)
	}
	return strings.Join(lines, "\n")
}

func (d *draft) rate(c money.Currency) string {
	var table *fx.Table
	if d.Reference != nil {
		table = d.Reference(d.haul.Date)
	}
	market, err := fx.NewMarket(nil, table, d.haul.Date)
	var r fx.Rate
	if err == nil {
		r, err = market.Rate(fx.Code(c.Code()), fx.Code(d.home.Code()))
	}
	if err != nil {
		units := int64(1)
		if c.Digits() == 0 {
			units = 100
		}
		worth := cmp.Or(fx.Lately(units, fx.Code(c.Code()), fx.Code(d.home.Code())), "1.00")
		return fmt.Sprintf(" # none is at hand (lotcost rates fetch brings some), as in %d %s = %s %s", units, c, worth, d.home)
	}
	note := fmt.Sprintf("of %s, by %s", r.Day.Format(time.DateOnly), r.Source())
	if d.haul.Date.Sub(r.Day).Abs() > mostOld {
		note += ", days away: lotcost rates fetch brings newer ones"
	}
	return fmt.Sprintf("%s %s = %s %s  # %s", r.Den, c, r.Num, d.home, note)
}

// settledExample is about what the bank took for the price of the example, so that it is not taken
// for a slip.
func (d *draft) settledExample() string {
	units := int64(60)
	if d.sale.Digits() == 0 {
		units *= 100
	}
	worth, err := decimal.NewFromString(fx.Lately(units, fx.Code(d.sale.Code()), fx.Code(d.home.Code())))
	if d.sale == d.home || err != nil {
		return amountText("70", d.home)
	}
	return worth.Round(int32(d.home.Digits())).String() + " " + d.home.Code()
}

// mark is what stands for something that the case gives.
var mark = scrub.Pattern(`<(?:(\d+) )?(\w+)>`)

// fill puts what the case gives in the place of the marks: amounts such as
// <40 home> are of its currencies.
func (d *draft) fill(text string) string {
	if d.book != nil && d.book.Has("premiums") {
		text = withoutLine(text, "    premium: ")
		d.values["seller"] = d.sellerExample()
	}
	if d.step == "defaults" {
		text = withoutLine(withoutLine(text, "  rates:"), "<rates>")
	}
	text = mark().ReplaceAllStringFunc(text, func(m string) string {
		parts := mark().FindStringSubmatch(m)
		if parts[1] == "" {
			return d.values[parts[2]]
		}
		cur := d.home
		if parts[2] == "sale" {
			cur = d.sale
		}
		return amountText(parts[1], cur)
	})
	if d.comma {
		text = point().ReplaceAllString(text, "$1,$2")
	}
	return text
}

// point is the mark of a decimal.
var point = scrub.Pattern(`(\d)\.(\d)`)

// amountText is an amount for an example, a hundred times as much in a currency
// without a smaller unit.
func amountText(number string, c money.Currency) string {
	if c.Digits() == 0 {
		number += "00"
	}
	return number + " " + c.Code()
}

// withoutLine takes the lines out of a text that begin so.
func withoutLine(text, start string) string {
	lines := slices.DeleteFunc(strings.SplitAfter(text, "\n"), func(line string) bool { return strings.HasPrefix(line, start) })
	return strings.Join(lines, "")
}

// sellerExample is a seller whose premium the defaults know.
func (d *draft) sellerExample() string {
	seller := "tidemark"
	d.book.Get("premiums").Each(func(name string, _ input.Node) { seller = name })
	return seller
}

// classExample is a customs class of the defaults, for items that need one.
func (d *draft) classExample() string {
	if _, usual := d.bookText("customs", "class"); usual {
		return ""
	}
	classes, _ := d.bookText("customs", "classes")
	name := strings.FieldsFunc(classes, func(c rune) bool { return strings.ContainsRune("{}:, ", c) })
	if len(name) == 0 || d.territory == 0 {
		return ""
	}
	return ", class: " + plain(name[0])
}

func noted(text string) string {
	return "# " + strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "\n", "\n# ") + "\n"
}

// gap is a line on which a figure is still to be filled in, and its example.
var gap = scrub.Pattern(`(?m)^(\s*(?:- )?(?:[\w-]+:|-))\s+#( .*?)?,? ?as in (\{.*\}|(?:[^,\n]|,\d)*)(.*)$`)

func exampled(text string) string { return gap().ReplaceAllString(text, "$1 $3") }

// noteColumn is where notes begin.
const noteColumn = 31

// noteBehind is a line that has a note behind a figure.
var noteBehind = scrub.Pattern(`(?m)^( *(?:# )?\S.*?) {2,}# (.*)$`)

// align puts the notes behind figures below each other.
func align(text string) string {
	return noteBehind().ReplaceAllStringFunc(text, func(line string) string {
		parts := noteBehind().FindStringSubmatch(line)
		return fmt.Sprintf("%-*s # %s", noteColumn-2, parts[1], parts[2])
	})
}
