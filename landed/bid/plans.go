package bid

import (
	"fmt"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/came"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/source"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// Plans are what is meant to become of a haul. Each may be nil, or none, where
// nothing is said of it.
type Plans struct {
	Sending *together.Sending // nil where the file has no such section
	Selling *selling.Plan     // likewise
	Bidding *Bidding          // likewise
	Risks   []Risk            // what may happen to several items at once
}

// deal is a haul and what is meant to become of it.
type deal struct {
	*landed.Haul
	Plans
}

// checked finds what is wrong with both, and leaves out the lots that are lost.
func checked(h *landed.Haul, p Plans) (deal, error) {
	if h == nil {
		return deal{}, h.Check()
	}
	d, report := deal{h.WithoutLost().AsMet(), p}, &collect.Report{}
	report.AddAll(d.Haul.Check())
	report.AddAll(p.Check(h))
	if d.Haul != h {
		d.Plans = p.For(d.Haul)
	}
	d.Haul, _ = came.Apart(d.Haul)
	return d, report.Err()
}

// only is the deal as if there were no lots but those that keep accepts.
func (d deal) only(keep func(*landed.Lot) bool) deal {
	h := d.Haul.Only(keep)
	return deal{h, d.Plans.For(h)}
}

// Check tells what is named without being there, and terms that cannot be.
func (p *Plans) Check(h *landed.Haul) source.Faults {
	report := &collect.Report{}
	report.AddAll(p.Sending.Check(h))
	for _, item := range h.Items() {
		for k := range item.Sold {
			p.checkSold(item, &item.Sold[k], report)
		}
	}
	p.checkRisks(h, report)
	p.checkCame(h, report)
	before := report.Len()
	if p.Bidding.check(h, report); report.Len() == before {
		p.Bidding.checkLikely(h, report)
	}
	return report.All()
}

// checkSold warns of a sale at a venue whose name is like that of a listed one.
func (p *Plans) checkSold(item *landed.Item, s *landed.Sale, report *collect.Report) {
	if s.Venue == "" || p.Selling == nil {
		return
	}
	if _, err := p.Selling.Venue(s.Venue); err == nil {
		return
	}
	if meant := source.Nearest(s.Venue, p.Selling.VenueNames()); meant != "" {
		report.Add(&source.Fault{At: s.At.Key("venue"), Field: "item " + item.ID + ": sold: venue", What: fmt.Sprintf("no venue is called %q, so it charges nothing", s.Venue), Remedy: "if that is not meant, write " + meant, Warning: true})
	}
}

// For returns the plans for a haul that holds but some of the lots, such as
// [landed.Haul.Only] makes. Groups for sending and risks lose what names the
// others, and are gone where nothing else is left of them.
func (p *Plans) For(h *landed.Haul) Plans {
	there := idsOf(h)
	other := Plans{Sending: p.Sending.For(h), Selling: p.Selling, Bidding: p.Bidding}
	for _, r := range p.Risks {
		on := slices.DeleteFunc(slices.Clone(r.On), func(id string) bool { return !there[id] })
		if len(on) > 0 || len(r.On) == 0 {
			r.On = on
			other.Risks = append(other.Risks, r)
		}
	}
	if b := p.Bidding; b != nil && !there[b.Lot] {
		bidding := *b
		bidding.Lot, other.Bidding = "", &bidding
	}
	return other
}

// idsOf holds the ids of the lots and items of a haul.
func idsOf(h *landed.Haul) map[string]bool {
	ids := map[string]bool{}
	for i := range h.Lots {
		ids[h.Lots[i].ID] = true
	}
	for _, item := range h.Items() {
		ids[item.ID] = true
	}
	return ids
}

// Risk is something that may happen to several items at once, such as a box
// that is dropped. It happens or not, whatever becomes of the single pieces.
type Risk struct {
	What   string          // may happen, in words
	Chance decimal.Decimal // a fraction
	Keeps  decimal.Decimal // the fraction that is left of what the pieces sell for or are worth
	On     []string        // ids of the lots or items it hits; none means all
	At     source.Origin   // where it was typed
}

// Bidding says how a lot is bid for, and what for.
type Bidding struct {
	Lot   string        // id of the lot that is bid for; may be empty where there is one alone
	Start money.Amount  // the first bid that is taken; no currency for the first step
	Steps []BidStep     // by rising From, the first from 0; none means the usual ones
	Goal  Goal          // of every bid
	At    source.Origin // of the section
}

// BidStep is by how much bids rise from an amount on.
type BidStep struct{ From, Step money.Amount }

// Goal is what a bid has to meet: all that is given. Where none of Profit,
// Return and Margin is, nothing may be lost on average.
type Goal struct {
	Profit money.Amount     // to be expected, in home; no currency when not given
	Return *decimal.Decimal // expected profit as a fraction of the cost; nil when not given
	Margin *decimal.Decimal // expected profit as a fraction of the expected proceeds; nil when not given
	Risk   *decimal.Decimal // the greatest chance of a loss, a fraction; nil when not given
	Budget money.Amount     // the most that all may cost, in home; no currency when not given
}

// hits reports, for each item in file order, whether the risk is about it.
func (r *Risk) hits(h *landed.Haul) []bool {
	var hits []bool
	for lot, item := range h.Items() {
		hits = append(hits, len(r.On) == 0 || slices.Contains(r.On, lot.ID) || slices.Contains(r.On, item.ID))
	}
	return hits
}

func (p *Plans) checkRisks(h *landed.Haul, report *collect.Report) {
	var there map[string]bool
	for i := range p.Risks {
		if there == nil {
			there = idsOf(h)
		}
		p.Risks[i].check(h, there, report)
	}
}

func (r *Risk) check(h *landed.Haul, there map[string]bool, report *collect.Report) {
	fail := func(at source.Origin, what, remedy string) {
		report.Fail(at, fmt.Sprintf("risk %q", r.What), what, remedy)
	}
	if !exact.IsFraction(r.Chance) {
		fail(r.At.Key("chance"), "a chance of "+money.FormatPercent(r.Chance)+" makes no sense", "write one from 0% to 100%")
	}
	if !exact.IsFraction(r.Keeps) {
		fail(r.At.Key("keeps"), "keeping "+money.FormatPercent(r.Keeps)+" makes no sense", "write the part of the values that remains, from 0% to 100%")
	}
	for i, id := range r.On {
		if !there[id] {
			report.NoSuch(r.At.Entry(i, "on"), fmt.Sprintf("risk %q", r.What), "lot or item", id, h.IDs(), r.On...)
		}
	}
}

// check records terms of bidding that cannot be; b may be nil.
func (b *Bidding) check(h *landed.Haul, report *collect.Report) {
	if b == nil {
		return
	}
	fail := func(at source.Origin, key, what, remedy string) *source.Fault {
		return report.Fail(at, "bidding: "+key, what, remedy)
	}
	if b.Lot != "" && h.LotAt(b.Lot) < 0 {
		report.NoSuch(b.At.Key("lot"), "bidding: lot", "lot", b.Lot, h.LotIDs())
	}
	if b.Start.Sign() < 0 {
		fail(b.At.Key("start"), "start", "the first bid is negative", "write the first bid that is taken").Figure = "start"
	}
	sale := b.currency()
	if first := b.Start.Currency(); first != sale && first != 0 {
		fail(b.At.Key("start"), "start", fmt.Sprintf("the first bid is in %s, but the steps are in %s", first, sale), "write all of them in the currency of the sale")
	}
	for i, s := range b.Steps {
		step := func(key, what, remedy string) *source.Fault {
			return fail(b.At.Entry(i, "steps").Key(key), "steps", what, remedy)
		}
		switch {
		case s.Step.Sign() <= 0:
			step("step", fmt.Sprintf("a step of %s gets nowhere", s.Step), "write by how much bids rise").Figure = "step"
		case s.Step.Currency() != sale:
			step("step", "the bids are in several currencies", "write all of them in that of the sale")
		}
		switch {
		case s.From.Currency() != sale:
			step("from", "the bids are in several currencies", "write all of them in that of the sale")
		case i == 0 && s.From.Sign() != 0:
			step("from", fmt.Sprintf("the first steps begin at %s", s.From), "begin at 0").Figure = "first-step " + s.From.Currency().Code()
		case i > 0 && s.From.Currency() == b.Steps[i-1].From.Currency() && s.From.Cmp(b.Steps[i-1].From) <= 0:
			step("from", fmt.Sprintf("steps from %s stand after those from %s", s.From, b.Steps[i-1].From), "write them by rising amounts")
		}
	}
	b.Goal.Check(h.Home, func(key, what, remedy string) {
		fail(b.At.Key("goal", key), "goal: "+key, what, remedy)
	})
}

// currency is the one in which most of the bids are, of equally many that of the first step; none
// where there are no bids.
func (b *Bidding) currency() money.Currency {
	var bids []money.Currency
	for _, s := range b.Steps {
		bids = append(bids, s.Step.Currency(), s.From.Currency())
	}
	bids = append(bids, b.Start.Currency())
	return tally.Commonest(bids...)
}

// Check tells of each part of a goal in books of a currency that makes no sense.
func (g *Goal) Check(home money.Currency, fail func(key, what, remedy string)) {
	one := decimal.NewFromInt(1)
	for _, a := range []struct {
		key    string
		amount money.Amount
	}{{"profit", g.Profit}, {"budget", g.Budget}} {
		if c := a.amount.Currency(); c != 0 && c != home && home != 0 {
			fail(a.key, fmt.Sprintf("%s is not in %s", a.amount, home), "write it in the currency of your books")
		}
	}
	if g.Return != nil && (!exact.IsBounded(*g.Return) || g.Return.LessThanOrEqual(one.Neg())) {
		fail("return", money.FormatPercent(*g.Return)+" on cost makes no sense", "write what is to be gained on the cost, as in 30%")
	}
	if g.Margin != nil && (!exact.IsBounded(*g.Margin) || g.Margin.GreaterThanOrEqual(one)) {
		fail("margin", money.FormatPercent(*g.Margin)+" of the proceeds leaves nothing to pay with", "write less than 100%, as in 20%")
	}
	if g.Risk != nil && !exact.IsFraction(*g.Risk) {
		fail("risk", "a chance of "+money.FormatPercent(*g.Risk)+" makes no sense", "write the greatest chance of a loss you take, from 0% to 100%")
	}
}
