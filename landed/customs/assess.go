package customs

import (
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
)

// Assessment is what is charged on one day's parcels, and how it came about. All amounts are in the
// currency of the rules.
type Assessment struct {
	Rules   *Rules             // those that were in force
	Parcels []ParcelAssessment // as in the consignments
	// Missing names what may be asked besides and is in none of the figures, since the rules do not
	// hold its sum: the courier's own fee, say.
	Missing []Missing

	of      *Consignments // not to be changed
	assumed string        // the open question that is answered so
	unsaid  unsaid
}

// Missing is a charge that may be asked and whose sum is not known.
type Missing struct {
	What    string   // "the courier's own fee for clearing the parcel"
	Parcels []string // ids of those it may be asked for
}

// Assessed is what is charged on a line, or on the lines of a parcel together.
type Assessed struct {
	ID           string       // of the parcel, or of the line
	CustomsValue money.Amount // before relief and before the rounding of bases
	TaxBase      money.Amount // zero where the tax is relieved
	Duty, Tax    money.Amount
}

// ParcelAssessment is what is charged on one parcel. Its lines sum to it exactly.
type ParcelAssessment struct {
	Assessed
	Lines  []Assessed // as in the parcel
	Fees   []Fee      // for clearing or handling it
	Relief []Relief   // each that was looked at
}

// feeSum is what the fees come to.
func (p *ParcelAssessment) feeSum() int64 {
	sum := int64(0)
	for _, f := range p.Fees {
		sum += f.Amount.Minor()
	}
	return sum
}

// Fee is a fee for clearing or handling a parcel.
type Fee struct {
	What   string       // its name in the rules
	Amount money.Amount // with any tax on it
}

// Relief tells how a parcel stands to a threshold.
type Relief struct {
	What               string // "duty" or "tax"
	Measure, Threshold money.Amount
	Relieved           bool // whether nothing is asked
	BySeller           bool // the seller charges it at the sale instead
	OfGoods            bool // goods alone are measured, while the value for customs holds more here
	// Except are the ids of the lines that are not relieved though the parcel is under the
	// threshold, since of the country they were made in.
	Except []string
}

// Step is one step of the assessment sheet.
type Step struct {
	Figure
	Parcel string       // the id of the parcel that it is about
	Rule   string       // the rule applied, in words
	Result money.Amount // in the territory's currency
	// AtStake is what of the charges depends on the figure: what it made or let go, and of a value
	// or a missed threshold the duty and tax that follow.
	AtStake money.Amount

	on kinds // what is to be added to AtStake once it is known
}

// Doubts returns those of the steps of an assessment that are by uncertain figures, not read in the
// authority's own text or from a page that is old: one for each figure, in the order of their use,
// without a parcel, a rule and a result, and with what is at stake over all parcels. Rounding is no
// such figure, and neither is what the caller gave.
func Doubts(steps []Step) []Step {
	var list []Step
	for _, s := range steps {
		if s.Confidence >= Custom || s.Confidence == Published && !s.Old {
			continue
		}
		i := slices.IndexFunc(list, func(d Step) bool { return d.What == s.What && d.Source == s.Source })
		if i < 0 {
			list = append(list, Step{Figure: s.Figure, AtStake: s.AtStake})
			continue
		}
		list[i].AtStake = money.New(list[i].AtStake.Minor()+s.AtStake.Minor(), s.AtStake.Currency())
	}
	return list
}

// Assess applies the rules to the parcels of one day. Amounts of money are rounded only where the
// rules say so, or to the minor unit where one is made. The consignments are not to be changed
// while the assessment is in use: how it came about is told when it is asked for.
//
// It returns a [*NoRulesError] when the day is not the rules', an [*InputError] for a place that is
// not and for what makes no sense, a [*NoRateError] where duty is due and its rate is not given, or
// [money.ErrOverflow].
func Assess(r *Rules, c *Consignments) (*Assessment, error) {
	a, err := newAssessor(r, c)
	if err != nil {
		return nil, err
	}
	defer a.free()
	return a.assess()
}

// rooms are assessors whose room the next one takes over. What was assessed stays there till then,
// and nothing that comes of it.
var rooms = sync.Pool{New: func() any { return &assessor{classes: map[string]*classRate{}, codes: map[string]string{}} }}

// free gives back the room of an assessor, unless it is large.
func (a *assessor) free() {
	const most = 10_000
	lines := 0
	for i := range a.work {
		lines += len(a.work[i].lines)
	}
	if max(len(a.work), len(a.ready), lines) <= most {
		rooms.Put(a)
	}
}

// assess takes all parcels through the pipeline.
func (a *assessor) assess() (*Assessment, error) {
	a.missing = nil
	a.prepare()
	out := &Assessment{Rules: a.rules, of: a.c, assumed: a.assumed, Parcels: make([]ParcelAssessment, len(a.c.Parcels))}
	for i := range a.work {
		if err := a.parcel(&a.work[i], &out.Parcels[i]); err != nil {
			return nil, err
		}
		a.report(&a.work[i], &out.Parcels[i])
	}
	if a.overflow {
		return nil, money.ErrOverflow
	}
	out.Missing, out.unsaid = a.missing, a.unsaid
	return out, nil
}

// again asks something of an assessor of the same parcels, for which it is made ready. Of what
// Assess did not make, and where the parcels were changed, nothing is asked.
func (a *Assessment) again(ask func(*assessor)) {
	if a.of == nil {
		return
	}
	again, err := newAssessor(a.Rules, a.of)
	if err != nil {
		return
	}
	defer again.free()
	again.assumed = a.assumed
	again.prepare()
	ask(again)
}

// Steps returns how the figures came about, in the order they were taken.
func (a *Assessment) Steps() (steps []Step) {
	a.again(func(again *assessor) {
		again.tells = true
		if _, err := again.assess(); err == nil {
			steps = again.steps
		}
	})
	return steps
}

// newAssessor checks what is to be assessed.
func newAssessor(r *Rules, c *Consignments) (*assessor, error) {
	if err := c.check(r); err != nil {
		return nil, err
	}
	a := rooms.Get().(*assessor)
	clear(a.classes)
	*a = assessor{rules: r, c: c, day: c.On, classes: a.classes, codes: a.codes, ready: slices.Grow(a.ready[:0], len(c.Classes)),
		work: a.work, scratch: a.scratch, amounts: a.amounts, parts: a.parts, taxed: a.taxed, rates: a.rates}
	if a.day.IsZero() {
		a.day = r.Checked
	}
	for key, class := range c.Classes {
		one, err := class.ready(key, a.digits(class.Code), r.Currency)
		if err != nil {
			return nil, err
		}
		a.ready = append(a.ready, one)
		a.classes[key] = &a.ready[len(a.ready)-1]
	}
	return a, nil
}

// digits are those of a tariff code.
func (a *assessor) digits(code string) string {
	digits, known := a.codes[code]
	if !known && code != "" {
		if len(a.codes) == mostCodes {
			clear(a.codes)
		}
		digits = scrub.Digits(code)
		a.codes[strings.Clone(code)] = digits
	}
	return digits
}

// mostCodes is of how many codes the digits are kept.
const mostCodes = 256

// assessor is one assessment under way.
type assessor struct {
	rules    *Rules
	c        *Consignments
	assumed  string    // the open question that is answered so
	day      time.Time // of entry, or that of the rules
	classes  map[string]*classRate
	ready    []classRate       // those of classes
	codes    map[string]string // the digits of tariff codes, of assessments before too
	work     []parcelWork
	steps    []Step
	missing  []Missing
	unsaid   unsaid
	overflow bool   // something did not fit; the result is thrown away
	tells    bool   // the steps are wanted too
	trail    uint64 // what was decided by figures; see took
	// side says whether a parcel is above a limit, in the place of above; nil where that does.
	side    func(*parcelWork, *limit) bool
	scratch []int64 // of share
	amounts []int64 // of taxes: by tax, by line
	parts   []int64 // of groups
	taxed   []taxGroup
	rates   []*taxRate // of a tax, that are for the place and the parcel
}

// parcelWork is a parcel being assessed, in minor units.
type parcelWork struct {
	*Parcel
	value    *valueRule
	lines    []lineWork
	groups   []group
	goods    int64
	pre      int64 // what the value for customs is a part of
	piece    int64 // price of the dearest piece
	weight   int64 // nanograms
	duty     int64
	tax      int64
	handling int64 // fees without the tax on them
}

// lineWork is a line being assessed.
type lineWork struct {
	*Line
	at       int // its place in the parcel
	class    *classRate
	group    int   // for duty
	taxGroup int   // for the tax at hand; -1 is none
	taxed    int64 // its part of the base of the tax at hand
	goods    int64
	pre      int64              // what the value for customs is a part of
	value    int64              // value for customs
	left     [taxKind + 1]int64 // pre after relief of duty, and of tax
	pieces   [taxKind + 1]int64 // pieces after that
	handling int64
	base     int64 // of the tax
	duty     int64
	tax      int64
}

// prepare sums up the parcels, which reliefs may look at together.
func (a *assessor) prepare() {
	a.work = slices.Grow(a.work[:0], len(a.c.Parcels))[:len(a.c.Parcels)]
	for i := range a.work {
		w := &a.work[i]
		p := &a.c.Parcels[i]
		*w = parcelWork{Parcel: p, lines: resized(w.lines, len(p.Lines)), groups: w.groups[:0]}
		for j := range w.lines {
			l := &w.lines[j]
			l.Line, l.at = &w.Lines[j], j
			if j > 0 && l.Class == w.lines[j-1].Class {
				l.class = w.lines[j-1].class
			} else {
				l.class = a.classes[l.Class]
			}
			l.goods = l.Value.Minor()
			w.goods, w.piece = w.goods+l.goods, max(w.piece, l.dearest())
			w.weight = int64(min(uint64(w.weight)+uint64(l.Weight), math.MaxInt64))
		}
	}
	for i := range a.work {
		a.valuation(&a.work[i])
	}
}

// valuation makes the value for customs of each line.
func (a *assessor) valuation(w *parcelWork) {
	w.value = first(a, w, a.rules.value)
	for j := range w.lines {
		l := &w.lines[j]
		l.pre = l.goods + a.extras(l, w.value.holds)
		l.value = a.part(l.pre, w.value.part)
		l.left = [...]int64{duty: l.pre, taxKind: l.pre}
		l.pieces = [...]int64{duty: l.Count, taxKind: l.Count}
		w.pre += l.pre
	}
}

// extras sums what is in a base beside the goods.
func (a *assessor) extras(l *lineWork, holds parts) int64 {
	sum := int64(0)
	if holds&partFreight != 0 {
		sum += l.Freight.Minor()
	}
	if holds&partInsurance != 0 {
		sum += l.Insurance.Minor()
	}
	if holds&partFees != 0 {
		sum += l.OtherFees.Minor()
	}
	return sum
}

// parcel takes one parcel through the pipeline.
func (a *assessor) parcel(w *parcelWork, out *ParcelAssessment) error {
	from := len(a.steps)
	a.sayValue(w)
	relieved := a.relieve(w, out)
	if relieved&duty == 0 {
		if err := a.duty(w); err != nil {
			return err
		}
		a.dropLittle(w, duty)
	}
	if err := a.taxAndFees(w, out, relieved); err != nil {
		return err
	}
	for i := range a.steps[from:] {
		s := &a.steps[from+i]
		s.AtStake = a.amount(s.AtStake.Minor() + w.sum(s.on))
	}
	return nil
}

// sum is what is charged of some kinds.
func (w *parcelWork) sum(of kinds) int64 {
	sum := int64(0)
	if of&duty != 0 {
		sum += w.duty
	}
	if of&taxKind != 0 {
		sum += w.tax
	}
	return sum
}

// taxAndFees makes two that may depend on each other: a fee is charged where something is due, and
// may itself be in the base of the tax.
func (a *assessor) taxAndFees(w *parcelWork, out *ParcelAssessment, relieved kinds) error {
	before := len(a.steps)
	if relieved&taxKind != 0 {
		a.dropLittle(w, taxKind)
		a.fees(w, out, relieved)
		return nil
	}
	if err := a.taxes(w); err != nil {
		return err
	}
	a.dropLittle(w, taxKind)
	atTax := len(a.steps)
	a.fees(w, out, relieved)
	if w.handling == 0 || !slices.ContainsFunc(a.rules.taxes, func(t tax) bool { return t.base&partHandling != 0 }) {
		return nil
	}
	a.steps = append(a.steps[:before], a.steps[atTax:]...)
	a.share(w, w.handling, nil, func(l *lineWork) int64 { return l.pre }, func(l *lineWork, s int64) { l.handling = s })
	if err := a.taxes(w); err != nil {
		return err
	}
	a.dropLittle(w, taxKind)
	return nil
}

// dropLittle drops what is too little to be collected, once the kind given is known and the others
// that it is judged with are.
func (a *assessor) dropLittle(w *parcelWork, known kinds) {
	for i := range a.rules.collect {
		v := &a.rules.collect[i]
		if known == duty && v.of != duty || known == taxKind && v.of&taxKind == 0 || !a.applies(&v.when, w) {
			continue
		}
		sum := w.sum(v.of)
		a.took(sum >= v.at)
		if sum == 0 || sum >= v.at {
			continue
		}
		for j := range w.lines {
			l := &w.lines[j]
			if v.of&duty != 0 {
				l.duty, w.duty = 0, 0
			}
			if v.of&taxKind != 0 {
				l.tax, w.tax = 0, 0
			}
		}
		if a.tells {
			a.say(w, a.figure(v.cite, "collection", v.of.String()+" not collected", a.amount(sum).String()+" is below "+a.amount(v.at).String()),
				"sums as small as this are not collected", 0).AtStake = a.amount(sum)
		}
	}
}

// report writes the result of a parcel.
func (a *assessor) report(w *parcelWork, out *ParcelAssessment) {
	out.Lines = resized(out.Lines, len(w.lines))
	value, base := int64(0), int64(0)
	for j := range w.lines {
		l := &w.lines[j]
		value, base = value+l.value, base+l.base
		to := &out.Lines[j]
		to.ID, to.CustomsValue, to.TaxBase, to.Duty, to.Tax = l.ID, a.amount(l.value), a.amount(l.base), a.amount(l.duty), a.amount(l.tax)
	}
	fees := out.feeSum()
	a.overflow = a.overflow || fees > maxMoney || fees < 0
	out.Assessed = Assessed{w.ID, a.amount(value), a.amount(base), a.amount(w.duty), a.amount(w.tax)}
}

func (a *assessor) amount(minor int64) money.Amount { return money.New(minor, a.rules.Currency) }

// round rounds x/den, and notes what does not fit.
func (a *assessor) round(x exact.Wide, den uint64, r rounding) int64 {
	v, ok := round(x, den, r.step, r.mode)
	a.overflow = a.overflow || !ok
	return v
}

// part is such a part of a sum, rounded.
func (a *assessor) part(sum int64, part ratio) int64 {
	if part == whole {
		return sum
	}
	return a.round(part.of(sum), part.den, rounding{})
}

// noted returns a number, and notes what did not fit.
func (a *assessor) noted(x exact.Wide, ok bool) exact.Wide {
	a.overflow = a.overflow || !ok
	return x
}

// figure is one of a topic, as a citation has it on the day.
func (a *assessor) figure(c cite, topic, what, text string) Figure {
	f := c.figure(topic, what, text)
	f.Old = c.old(a.day)
	return f
}

// say adds a step by a rule, on whose figure hangs what it results in.
func (a *assessor) say(w *parcelWork, f Figure, rule string, result int64) *Step {
	a.steps = append(a.steps, Step{Figure: f, Parcel: w.ID, Rule: rule, Result: a.amount(result), AtStake: a.amount(result)})
	return &a.steps[len(a.steps)-1]
}

// sayOn adds a step on whose figure the charges of some kinds hang.
func (a *assessor) sayOn(w *parcelWork, on kinds, f Figure, rule string, result int64) {
	s := a.say(w, f, rule, result)
	s.AtStake, s.on = a.amount(0), on
}

func (a *assessor) sayValue(w *parcelWork) {
	if !a.tells {
		return
	}
	v := w.value
	value := int64(0)
	for j := range w.lines {
		value += w.lines[j].value
	}
	text := a.amount(w.pre).String()
	if v.part != whole {
		text = v.part.String() + " of " + text
	}
	a.sayOn(w, bothKinds, a.figure(v.cite, "value", "value for customs", text), v.words, value)
}

// share gives each of some lines (nil is all) its part of a total by weight, or by its pieces where
// none of them has weight.
func (a *assessor) share(w *parcelWork, total int64, in func(*lineWork) bool, weight func(*lineWork) int64, give func(*lineWork, int64)) {
	if total == 0 {
		return
	}
	a.scratch = resized(a.scratch, 2*len(w.lines))
	dst, weights := a.scratch[:len(w.lines):len(w.lines)], a.scratch[len(w.lines):]
	heavy := false
	for j := range w.lines {
		if l := &w.lines[j]; in == nil || in(l) {
			weights[j] = weight(l)
			heavy = heavy || weights[j] != 0
		}
	}
	for j := range w.lines {
		if l := &w.lines[j]; !heavy && (in == nil || in(l)) {
			weights[j] = l.Count
		}
	}
	if money.Apportion(dst, total, weights) != nil {
		a.overflow = true
		return
	}
	for j := range w.lines {
		give(&w.lines[j], dst[j])
	}
}

// resized returns a slice of n zeros in the room of s where it suffices.
func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}
