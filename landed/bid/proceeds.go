package bid

import (
	"errors"
	"fmt"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// proceeds finds what the pieces of a haul bring.
type proceeds struct {
	haul   deal
	rates  *exchange.Converter
	seller *sales.Seller
	desk   resale.Desk
	venue  *resale.Venue // nil where values are what they bring
	goes   func() bool   // whether to go on; may be nil
	best   map[*landed.Item]int

	spreads bool // some value is a range
}

// newProceeds finds the venue. The error is that of [selling.Plan.Venue].
func newProceeds(h deal, venue string, goes func() bool) (*proceeds, error) {
	p := proceedsAt(h, nil, goes)
	if h.Selling == nil && venue == "" {
		return p, nil
	}
	at, err := h.Selling.Venue(venue)
	if err == nil {
		p.venue = &h.Selling.Venues[at]
	}
	return p, err
}

// proceedsAt is for a venue that is known.
func proceedsAt(h deal, venue *resale.Venue, goes func() bool) *proceeds {
	return &proceeds{haul: h, goes: goes, rates: h.Exchange(), seller: sales.New(h.Haul, h.Selling), venue: venue, best: map[*landed.Item]int{}}
}

// distribution is that of what all pieces bring together.
func (p *proceeds) distribution(steps int64) (*odds.Distribution, error) {
	return p.of(p.items(), steps)
}

func (p *proceeds) of(items []placed, steps int64) (*odds.Distribution, error) {
	report := &collect.Report{}
	risks, on := p.risks(items)
	if err := countable(items, on); err != nil {
		return nil, err
	}
	made := make([]map[string]odds.Draw, len(items))
	d, err := odds.Under(risks, func(happens []bool) ([]odds.Group, error) {
		report, draws := &collect.Report{}, make([]odds.Draw, len(items))
		for i, it := range items {
			if i%1000 == 0 && p.goes != nil && !p.goes() {
				return nil, ErrStopped
			}
			var err error
			draws[i], err = p.under(on, happens, it, &made[i])
			report.AddErr(it.At, "item "+it.ID, err)
		}
		if err := report.Err(); err != nil {
			return nil, err
		}
		return p.join(items, draws)
	}, steps)
	if errors.Is(err, ErrStopped) {
		return nil, err
	}
	var at *odds.Error
	switch {
	case !errors.As(err, &at):
		report.AddErr(p.haul.At, "chances", err)
	case at.Risk > 0:
		r := on[at.Risk-1].risk
		report.Add(beyond(at, r.At.Key("chance"), fmt.Sprintf("risk %q", r.What)))
	default:
		it := items[at.Group-1]
		report.Add(beyond(at, it.At, "item "+it.ID))
	}
	return d, report.Err()
}

// beyond tells what chances cannot be counted with, at an item or a risk.
func beyond(err *odds.Error, at source.Origin, field string) *source.Fault {
	f := &source.Fault{At: at, Field: field, What: err.Err.Error(), Err: err.Err}
	var limit *odds.LimitError
	switch {
	case !errors.As(err, &limit):
		f.At = at.Key("chances")
	case err.Risk > 0:
		f.What, f.Remedy = fmt.Sprintf("with this one, more than %d risks hit what is calculated", limit.Most), "make one risk of several that are alike, or leave out the least likely"
	case limit.Kept:
		f.At, f.What = at.Key("keep"), fmt.Sprintf("some of %d pieces are kept, and which can be calculated for %d more at most", limit.Given, limit.Most)
		f.Remedy = "make the kept ones an item of their own"
	default:
		f.At, f.What = at.Key("count"), fmt.Sprintf("up to here there are %d pieces, and chances are counted of %d at most", limit.Given, limit.Most)
		f.Remedy = "write as one piece what is sold together, such as a box of nails"
	}
	return f
}

// mostCases bounds the outcomes of all items over all ways in which risks may
// happen, each of which is priced: a few million take about a minute.
const mostCases = 4_000_000

// countable names the first risk that makes more cases.
func countable(items []placed, on []blow) error {
	n := 0
	for _, it := range items {
		n += max(1, len(it.Chances))
		for i := range it.Chances {
			if it.Chances[i].UpTo.Currency() != 0 {
				n += 4 // a range is five outcomes
			}
		}
	}
	for _, b := range on {
		if n *= 2; n > mostCases {
			return source.Faults{{At: b.risk.At.Key("chance"), Field: fmt.Sprintf("risk %q", b.risk.What),
				What:   fmt.Sprintf("with it there are %d cases to price, every outcome of every item with and without each risk, and %d is the most", n, mostCases),
				Remedy: "make one risk of several, or one item of several that are alike"}}
		}
	}
	return nil
}

// placed is an item and its place in the haul.
type placed struct {
	item int
	*landed.Item
}

func (p *proceeds) items() []placed {
	var items []placed
	for _, item := range p.haul.Items() {
		items = append(items, placed{len(items), item})
	}
	return items
}

// blow is a risk and the items that it hits.
type blow struct {
	risk *Risk
	hits []bool
}

func (p *proceeds) risks(items []placed) ([]decimal.Decimal, []blow) {
	var risks []decimal.Decimal
	var blows []blow
	for i := range p.haul.Risks {
		r := &p.haul.Risks[i]
		hits := r.hits(p.haul.Haul)
		if slices.ContainsFunc(items, func(it placed) bool { return hits[it.item] }) {
			risks, blows = append(risks, r.Chance), append(blows, blow{r, hits})
		}
	}
	return risks, blows
}

// under is the group of an item when some risks happen. What was made is kept
// where other risks leave as much, since one does not hit the item.
func (p *proceeds) under(on []blow, happens []bool, it placed, made *map[string]odds.Draw) (odds.Draw, error) {
	left, again := decimal.NewFromInt(1), false
	for r, yes := range happens {
		if !on[r].hits[it.item] {
			again = true
		} else if yes {
			left = left.Mul(on[r].risk.Keeps)
		}
	}
	if !again {
		return p.group(it.Item, left)
	}
	key := left.String()
	g, known := (*made)[key]
	if known {
		return g, nil
	}
	g, err := p.group(it.Item, left)
	if *made == nil {
		*made = map[string]odds.Draw{}
	}
	(*made)[key] = g
	return g, err
}

// group is the pieces of an item of whose value and worth a part is left. Where
// nothing is said of chances each is right for certain; without a value it then
// brings nothing, as does what nobody paid for.
func (p *proceeds) group(it *landed.Item, left decimal.Decimal) (odds.Draw, error) {
	if it.Count == 0 {
		return odds.Draw{Group: p.nothing()}, nil
	}
	d := odds.Draw{Group: odds.Group{Count: it.Count, Keep: it.Keep, Alike: it.Alike}}
	outcomes := it.Chances
	if len(outcomes) == 0 {
		outcomes = []landed.Outcome{{What: "right", Chance: decimal.NewFromInt(1), Value: it.Value}}
	}
	best, err := p.bestOf(it, outcomes)
	for i := range outcomes {
		if err != nil {
			return d, err
		}
		before := len(d.Outcomes)
		err = p.spread(&d.Group, it, &outcomes[i], left, i == best)
		if isLearnt(it) {
			d.Kinds = append(d.Kinds, slices.Repeat([]int{kindOf(outcomes[i].State)}, len(d.Outcomes)-before)...)
		}
		if err == nil && len(it.Further) > 0 {
			err = p.falling(it, &outcomes[i], left, &d)
		}
	}
	return d, err
}

// bestOf is the place of the best outcome of an item, which many cases ask for.
func (p *proceeds) bestOf(it *landed.Item, outcomes []landed.Outcome) (int, error) {
	if best, known := p.best[it]; known {
		return best, nil
	}
	best, err := p.haul.Best(outcomes)
	if err == nil {
		p.best[it] = best
	}
	return best, err
}

// spread adds to a group what a piece brings with an outcome: once of a single value, several
// times of a range, the lesser ones first; those of the best may be kept.
func (p *proceeds) spread(g *odds.Group, it *landed.Item, f *landed.Outcome, left decimal.Decimal, best bool) error {
	p.spreads = p.spreads || f.UpTo.Currency() != 0
	values, err := evenly(f.Value, f.UpTo, left)
	if err != nil {
		return err
	}
	var sums tally.Tally
	repair := sums.Of(p.repair(f))
	for i, chance := range parts(f.Chance, len(values)) {
		g.Outcomes = append(g.Outcomes, landed.Outcome{What: f.What, Chance: chance, Value: sums.Of(p.sold(it, values[i], repair))})
		kept := money.Amount{}
		if best {
			kept = sums.Of(p.kept(it, values[i], left, repair))
		}
		g.Kept = append(g.Kept, kept)
	}
	return sums.Err
}

// evenly is what is left of five amounts from low to high, ends included, evenly
// spread, fewer where there are not so many, and of low alone without a high; each
// is rounded once, half away from zero.
func evenly(low, high money.Amount, left decimal.Decimal) ([]money.Amount, error) {
	if high.Currency() == 0 || high == low {
		value, err := part(low, left)
		return []money.Amount{value}, err
	}
	last := min(4, high.Minor()-low.Minor())
	steps, list := decimal.NewFromInt(last), make([]money.Amount, last+1)
	for i := range list {
		up := decimal.NewFromInt(int64(i))
		sum := low.Decimal().Mul(steps.Sub(up)).Add(high.Decimal().Mul(up))
		var err error
		if list[i], err = money.Round(sum.Mul(left), steps, low.Currency()); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// part is so much of an amount, rounded once, half away from zero; of none it is none.
func part(a money.Amount, left decimal.Decimal) (money.Amount, error) {
	one := decimal.NewFromInt(1)
	if a.Currency() == 0 || left.Equal(one) {
		return a, nil
	}
	return money.Round(a.Decimal().Mul(left), one, a.Currency())
}

// places is how finely package odds takes chances: in units of 10^-18.
const places = 18

// parts divides a chance equally, the odd units of 10^-18 to the earlier parts.
// One that is finer is left for package odds to refuse.
func parts(chance decimal.Decimal, n int) []decimal.Decimal {
	units := chance.Shift(places)
	if n == 1 || !units.IsInteger() {
		list := make([]decimal.Decimal, n)
		list[0] = chance
		return list
	}
	large, small, larger, err := money.Equal(units.IntPart(), int64(n))
	list := make([]decimal.Decimal, n)
	for i := range list {
		each := large
		if err != nil || int64(i) >= larger {
			each = small
		}
		list[i] = decimal.New(each, -places)
	}
	return list
}

// home is the value of an amount in home; none at all is zero.
func (p *proceeds) home(a money.Amount) (money.Amount, error) { return p.rates.Value(a, p.haul.Home) }

// repair is what a piece with an outcome then takes, which is paid, in home.
func (p *proceeds) repair(f *landed.Outcome) (money.Amount, error) {
	if f.Repair.Currency() == 0 {
		return money.New(0, p.haul.Home), nil
	}
	return p.rates.Cost(f.Repair)
}

// kept is what a kept piece is worth to its keeper, its repair off, where a part
// of the worth is left. A piece without one counts at its value, of which a part
// was taken already.
func (p *proceeds) kept(it *landed.Item, value money.Amount, left decimal.Decimal, repair money.Amount) (money.Amount, error) {
	var sums tally.Tally
	if it.Worth.Currency() != 0 {
		value = sums.Of(part(it.Worth, left))
	}
	worth := sums.Sub(sums.Of(p.home(value)), repair)
	return worth, sums.Err
}

// sold is what a piece of some value brings when it is sold, its repair off.
func (p *proceeds) sold(it *landed.Item, value, repair money.Amount) (money.Amount, error) {
	net, err := p.net(it, value)
	if err != nil {
		return net, err
	}
	return money.New(max(net.Minor(), 0), p.haul.Home).Sub(repair) // nobody sells at less than nothing
}

// net is what is left of a price at the venue, in home.
func (p *proceeds) net(it *landed.Item, price money.Amount) (money.Amount, error) {
	if p.venue == nil || price.Sign() == 0 {
		return p.home(price)
	}
	sale, err := p.seller.Sale(it, p.venue, 1)
	if err != nil {
		return money.Amount{}, err
	}
	if err := sales.CheckWeight(it, sale); err != nil {
		return money.Amount{}, source.Faults{{At: it.At.Key("weight"), Field: "item " + it.ID, What: "has no weight, but postage at " + p.venue.Name + " goes by weight",
			Remedy: "write what one piece weighs", Figure: "weight"}}
	}
	sale.VAT.Bought = money.New(0, p.venue.Currency)
	at, err := p.rates.Value(price, p.venue.Currency)
	if err != nil {
		return at, err
	}
	out, err := p.desk.At(sale, at)
	if err != nil {
		return money.Amount{}, err
	}
	left, err := p.seller.Brought(&out, sale, &landed.Sale{Price: price})
	return left.Net, err
}
