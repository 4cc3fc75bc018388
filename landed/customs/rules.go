package customs

import (
	"cmp"
	"slices"
	"sync"
	"time"

	"lotcost/landed/money"
	"lotcost/landed/source"
)

// RuleSet is all that is known of the rules of one territory, by date; a [Book] takes it.
type RuleSet struct {
	lands
	entries []Rules // by date, the earliest first; no gap, no overlap
}

// lands are where rules hold.
type lands struct {
	territory string
	members   []string // of a union: ISO 3166 codes
}

// covers reports whether a place, "CA-ON" or "DE", lies in the territory.
func (l lands) covers(place string) bool {
	country := countryOf(place)
	return country == l.territory || l.holds(country) || place == l.territory
}

// holds reports whether a country is one of several in the territory.
func (l lands) holds(country string) bool { return slices.Contains(l.members, country) }

// covers reports whether the entry is in force on a day.
func (r *Rules) covers(day time.Time) bool {
	return !day.Before(r.From) && (r.To.IsZero() || !day.After(r.To))
}

// Rules is one dated entry: what a territory charges from one day to another. It is made by [Parse]
// and not changed after.
type Rules struct {
	Territory string         // ISO 3166 code, or that of a customs union: "EU"
	Name      string         // in words
	Tariff    string         // where its duty rates are found, by its public name
	Currency  money.Currency // in which all is assessed
	From, To  time.Time      // first and last day; To is zero while it is in force
	About     string         // what sets this entry apart
	Published string         // where the rules were published
	Checked   time.Time      // when that was last looked at
	Notes     []Note         // what the entry leaves out or leaves open

	at          source.Origin // where the entry stands
	set         *RuleSet
	subdivision bool   // a place must name its province or state
	bears       []when // when each of Notes does
	value       []valueRule
	relief      []relief
	duty        dutyRule
	taxes       []tax
	fees        []fee
	collect     []least
	refunds     []refund
	missing     []missing
	open        []question
	figures     [missingSection][]Figure // by section, in words
	bounds      [refundsSection][]bound  // by section, of what is charged
}

// The sections of an entry, in the order of the assessment.
const (
	valueSection = iota
	reliefSection
	dutySection
	taxesSection
	feesSection
	collectSection
	refundsSection
	missingSection // and those behind it have no figures
	notesSection
)

// Note is a remark on an entry, told where it bears on the parcels.
type Note struct {
	Text    string // a sentence
	Caution bool   // a warning, not only what is left out
}

// question is what the sources leave open, and rules may ask for.
type question struct{ name, cond string }

// cite is where a figure is from. dated is the day, month or year of the page that was read, as
// written, and last the last day that it may mean; neither is set where it is not known or the text
// is a law in force.
type cite struct {
	source, dated string
	last          time.Time
	confidence    Confidence
}

// yearsFresh is how long a page that is no law is taken to stand.
const yearsFresh = 5

// old reports whether the page was old on a day.
func (c cite) old(on time.Time) bool {
	return !c.last.IsZero() && c.last.AddDate(yearsFresh, 0, 0).Before(on)
}

// weakest returns the least certain of some citations, the first of equals.
func weakest(first cite, others ...cite) cite {
	for _, c := range others {
		if c.source != "" && c.confidence < first.confidence {
			first = c
		}
	}
	return first
}

// kinds is a set of what is charged.
type kinds uint8

const (
	duty kinds = 1 << iota
	taxKind
	bothKinds = duty | taxKind
)

var kindNames = []string{"duty", "tax"}

// parts is a set of what a base is made of.
type parts uint8

const (
	partGoods parts = 1 << iota
	partFreight
	partInsurance
	partFees // other fees up to the first destination
	partValue
	partDuty
	partTax
	partHandling // the fees of the entry itself
)

var partNames = []string{"goods", "freight", "insurance", "fees", "value", "duty", "tax", "handling"}

// scope is what a threshold looks at, or what an amount is rounded over.
type scope uint8

const (
	overParcel scope = iota
	overSeller       // all parcels of one seller on the day
	overDay          // all parcels of the day
)

var scopeNames = []string{"parcel", "seller", "day"}

// gauge is the figure that a threshold is compared with.
type gauge uint8

const (
	ofGoods  gauge = iota // the price of the goods
	ofValue               // the value for customs
	ofPiece               // the price of the dearest piece
	ofWeight              // the weight of the goods, in nanograms
)

// gaugeNames are those that a file can write.
var gaugeNames = []string{"goods", "value", "piece"}

// when says to which parcels a rule applies. The zero value is all.
type when struct {
	uses, modes   uint8 // bit sets; 0 is all
	from, notFrom []string
	to            []string // places of entry
	goods         []string // beginnings of tariff codes; goods without a code may be any
	allGoods      bool     // for parcels of nothing else
	paid          bool     // only where the seller has charged the tax at the sale
	flat          bool     // only where the flat charge was chosen
	stream        Mode     // Letters, Parcels, or 0 for any
	open          question // only where it is answered so
	upto, above   *limit
}

// condition returns the condition of a rule that embeds it.
func (w *when) condition() *when { return w }

// conditional is a rule that may not apply to some parcel.
type conditional[T any] interface {
	*T
	condition() *when
}

// rule is what a rule has in common with others: to which parcels it applies, and where it is from.
type rule struct {
	when
	cite
}

// limit is a bound of a measure, in minor units. The bound itself is not above it, unless it is
// strict.
type limit struct {
	at     int64
	of     gauge
	over   scope
	strict bool
}

// bound is a limit that a rule looks at where it applies.
type bound struct {
	limit
	when when
}

// valueRule says what the value for customs holds.
type valueRule struct {
	rule
	holds   parts
	part    ratio // of that sum
	without parts // in no base at all
	words   string
}

// beyond is what happens above a threshold.
type beyond uint8

const (
	chargeFull   beyond = iota // on all
	chargeExcess               // on what exceeds the threshold
	chargePieces               // on the pieces that do not fit under it whole
)

var beyondNames = []string{"full", "excess", "pieces"}

type relief struct {
	rule
	of     kinds
	limit  limit
	wholly bool // there is no threshold
	beyond beyond
	sale   bool // relieved at the border because the seller charges it at the sale
	origins
	words string
}

// origins are countries of making: those that count, or those that do not.
type origins struct{ in, out []string }

func (m origins) any() bool { return len(m.in) > 0 || len(m.out) > 0 }

func (m origins) match(origin string) bool {
	return (len(m.in) == 0 || slices.Contains(m.in, origin)) && !slices.Contains(m.out, origin)
}

// grouping is the lines that a base or an amount is rounded over.
type grouping uint8

const (
	byLine grouping = iota
	byHeading
	byRate
	byParcel
)

var groupingNames = []string{"line", "heading", "rate", "parcel"}

// rounding rounds to a step, in minor units.
type rounding struct {
	cite
	mode money.Mode
	step int64
	over grouping
	keep bool // the rounded parts may not move the rounded total
}

type dutyRule struct {
	base, amount rounding
	ways         []way
	surcharges   []surcharge
}

// manner is how a duty is made.
type manner uint8

const (
	byClass     manner = iota // the rate of the class, and surcharges
	byOrigin                  // only the class's surcharge for the origin
	bySurcharge               // only the surcharges of the rules
	byOneRate                 // one rate for all goods
	perHeading                // a sum for each tariff heading
	perParcel                 // a sum for the parcel by the highest origin rate
	byNothing                 // no duty
)

var mannerNames = []string{"class", "origin", "surcharges", "rate", "heading", "parcel", "nothing"}

type way struct {
	rule
	by     manner
	rate   ratio
	lower  bool  // only where the class's own rate does not give less
	free   bool  // on free goods too
	less   int64 // a sum that is taken off
	amount int64
	digits int // of the tariff code that tell headings apart; 0 is all
	bands  []band
}

// band is a sum that holds up to a rate; the last band has no bound.
type band struct {
	cite
	upto   ratio // 0/0 is no bound
	strict bool  // the bound itself is not in it
	amount int64
}

type surcharge struct {
	rule
	name string
	rate ratio
	origins
	dutyPaid bool // on value and duty, not on the value alone
}

type tax struct {
	name    string
	base    parts
	plus    ratio  // of the value for customs, added to the base; 0/0 is none
	of      string // the tax it is a fraction of; "" for none
	ofIndex int
	round   rounding // of the base
	amount  rounding
	rates   []taxRate
	cite    // of the base
	words   string
}

type taxRate struct {
	rule
	rate   ratio
	places []string // empty is all
	kind   string
}

type fee struct {
	rule
	name        string
	amount      int64
	percent     ratio
	of          parts
	least, most int64 // 0 is none
	each        bool  // the amount is for each tariff heading above so many
	headings    int
	taxed       ratio
	charged     occasion
	words       string
}

// occasion is when a fee is charged.
type occasion uint8

const (
	whenDue    occasion = iota // duty or tax is due
	whenEntry                  // duty or tax is not relieved, though it may be nothing
	whenParcel                 // always
)

var occasionNames = []string{"due", "entry", "always"}

// least is a sum below which the kinds are not collected.
type least struct {
	rule
	of kinds
	at int64
}

// refund is what is paid back of the charges on goods that are sent back.
type refund struct {
	rule
	of     kinds
	part   ratio
	months int    // in which it is claimed; 0 is not known
	where  string // what must be so
	words  string
}

// missing is a charge that may be asked and whose sum is not in the rules.
type missing struct {
	when
	what    string
	charged occasion
	always  bool // not one of the fees that a carrier may be known to ask
}

// Book finds the rules of a place on a day.
type Book struct{ sets []*held }

// held is a rule set of a book. To read all that are shipped takes longer than most answers do.
type held struct {
	lands
	rules func() *RuleSet // reads them the first time
}

// HasBorder reports whether goods that go from one place to another meet the border of a territory:
// not within a country, nor within a union, which alone has several.
func (b *Book) HasBorder(from, to string) bool {
	return countryOf(from) != countryOf(to) && !slices.ContainsFunc(b.sets, func(s *held) bool {
		return len(s.members) > 0 && s.within(from) && s.within(to)
	})
}

// NewBook makes a book of the shipped rule sets, in which the user's own replace the shipped
// entries for the days that they cover, or add to them. A later set wins over an earlier one.
func NewBook(own ...*RuleSet) *Book {
	if own = slices.DeleteFunc(slices.Clone(own), func(set *RuleSet) bool { return set == nil }); len(own) == 0 {
		return shippedBook()
	}
	return newBook(own)
}

// shippedBook is the book of the shipped rule sets alone.
var shippedBook = sync.OnceValue(func() *Book { return newBook(nil) })

func newBook(own []*RuleSet) *Book {
	b := &Book{sets: slices.Clone(shipped())}
	for _, set := range own {
		b.add(set)
	}
	slices.SortFunc(b.sets, func(x, y *held) int { return cmp.Compare(x.territory, y.territory) })
	return b
}

func (b *Book) add(own *RuleSet) {
	i := slices.IndexFunc(b.sets, func(s *held) bool { return s.territory == own.territory })
	if i >= 0 {
		own = overlay(b.sets[i].rules(), own)
		b.sets = slices.Delete(b.sets, i, i+1)
	}
	b.sets = append(b.sets, &held{own.lands, func() *RuleSet { return own }})
}

// overlay returns own with the entries of below for the days it leaves free.
func overlay(below, own *RuleSet) *RuleSet {
	merged := *own
	if len(own.members) == 0 {
		merged.members = below.members
	}
	merged.entries = slices.Clone(own.entries)
	for _, e := range below.entries {
		merged.entries = append(merged.entries, without(e, own.entries)...)
	}
	slices.SortFunc(merged.entries, func(x, y Rules) int { return x.From.Compare(y.From) })
	for i := range merged.entries {
		merged.entries[i].set = &merged
	}
	return &merged
}

// without returns what is left of an entry outside the days of others, which are in the order of
// their dates.
func without(e Rules, others []Rules) []Rules {
	var left []Rules
	for _, o := range others {
		if !e.To.IsZero() && o.From.After(e.To) || !o.To.IsZero() && o.To.Before(e.From) {
			continue
		}
		if o.From.After(e.From) {
			before := e
			before.To = o.From.AddDate(0, 0, -1)
			left = append(left, before)
		}
		if o.To.IsZero() || !e.To.IsZero() && !o.To.Before(e.To) {
			return left
		}
		e.From = o.To.AddDate(0, 0, 1)
	}
	return append(left, e)
}

// Entries returns all there is, by territory and date. They are not to be changed.
func (b *Book) Entries() []*Rules {
	var all []*Rules
	for _, s := range b.sets {
		entries := s.rules().entries
		for i := range entries {
			all = append(all, &entries[i])
		}
	}
	return all
}

// For returns the rules of a place, an ISO 3166 country or subdivision such as "CA-ON", in force on
// a day; the zero day takes the newest. A country with rules of its own is found before a union it
// belongs to. It returns a [*NoRulesError].
func (b *Book) For(to string, on time.Time) (*Rules, error) {
	country := countryOf(to)
	i := slices.IndexFunc(b.sets, func(s *held) bool { return s.territory == to }) // which of a joined country is the user's own
	if i < 0 {
		i = slices.IndexFunc(b.sets, func(s *held) bool { return s.territory == country })
	}
	if i < 0 {
		i = slices.IndexFunc(b.sets, func(s *held) bool { return s.holds(country) })
	}
	if i < 0 {
		return nil, b.unknown(to, on)
	}
	entries := b.sets[i].rules().entries
	for i := range entries {
		e := &entries[i]
		if e.covers(on) || on.IsZero() && i == len(entries)-1 {
			return e, nil
		}
	}
	none := b.unknown(to, on)
	none.Territory = b.sets[i].territory
	if n := len(entries); n > 0 {
		none.first, none.last = entries[0].From, entries[n-1].To
	}
	return nil, none
}

// unknown tells that there are no rules of a place on a day.
func (b *Book) unknown(to string, on time.Time) *NoRulesError {
	none := &NoRulesError{place: to, on: on}
	for _, s := range b.sets {
		none.known = append(none.known, s.territory)
	}
	return none
}

// CountsTogether reports whether any rule looks beyond one parcel: at all parcels of a seller, or
// of the day. Where none does, a parcel is assessed alike whatever travels beside it.
func (r *Rules) CountsTogether() bool {
	return r.anyBound(func(b *bound) bool { return b.over != overParcel })
}

func (r *Rules) anyBound(such func(*bound) bool) bool {
	for _, list := range r.bounds {
		for i := range list {
			if such(&list[i]) {
				return true
			}
		}
	}
	return false
}

// CountsFreight reports whether freight, insurance or other fees are part of what anything is
// charged on, or compared with a threshold.
func (r *Rules) CountsFreight() bool {
	const carriage = partFreight | partInsurance | partFees
	return slices.ContainsFunc(r.value, func(v valueRule) bool { return v.holds&carriage != 0 }) ||
		slices.ContainsFunc(r.taxes, func(t tax) bool { return t.base&carriage != 0 }) ||
		slices.ContainsFunc(r.fees, func(f fee) bool { return f.of&carriage != 0 })
}
