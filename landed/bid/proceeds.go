package bid

import (
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"
	"lotcost/landed/resale"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// proceeds reckons what the pieces of a haul bring.
type proceeds struct {
	haul  *landed.Haul
	venue *resale.Venue // nil where values are what they bring
	known map[share]odds.Group

	spreads bool // some value is a range
}

// share is an item, by its place in the haul, of whose value so much is left.
type share struct {
	item int
	left string
}

// newProceeds finds the venue. It returns an [*UnknownVenueError].
func newProceeds(h *landed.Haul, venue string) (*proceeds, error) {
	p := &proceeds{haul: h}
	if h.Selling == nil {
		if venue != "" {
			return nil, &UnknownVenueError{Name: venue}
		}
		return p, nil
	}
	at, known := h.Selling.Venue(venue)
	if !known {
		return nil, &UnknownVenueError{venue, h.Selling.VenueNames()}
	}
	p.venue = &h.Selling.Venues[at]
	return p, nil
}

// distribution is that of what all pieces bring together.
func (p *proceeds) distribution(o odds.Options) (*odds.Distribution, error) {
	return p.of(func(int) bool { return true }, o)
}

// of is the distribution of what some items bring together, by their places in
// the haul.
func (p *proceeds) of(counts func(item int) bool, o odds.Options) (*odds.Distribution, error) {
	var risks []odds.Risk
	var happening []*landed.Risk
	var hits [][]bool
	for i := range p.haul.Risks {
		r := &p.haul.Risks[i]
		on := p.haul.Hits(r)
		for item, hit := range on {
			if hit && counts(item) {
				risks, happening, hits = append(risks, odds.Risk{Chance: r.Chance, What: r.What}), append(happening, r), append(hits, on)
				break
			}
		}
	}
	d, err := odds.Under(risks, func(happens []bool) ([]odds.Group, error) {
		return p.groups(counts, func(item int) decimal.Decimal {
			left := decimal.NewFromInt(1)
			for i, r := range happening {
				if happens[i] && hits[i][item] {
					left = left.Mul(r.Keeps)
				}
			}
			return left
		})
	}, o)
	report := &source.Report{}
	report.AddErr(p.haul.At, "chances", err)
	return d, report.Err()
}

// groups are some items of whose values a part is left.
func (p *proceeds) groups(counts func(item int) bool, left func(item int) decimal.Decimal) ([]odds.Group, error) {
	report, item := &source.Report{}, -1
	var groups []odds.Group
	for l := range p.haul.Lots {
		for i := range p.haul.Lots[l].Items {
			if item++; !counts(item) {
				continue
			}
			it, part := &p.haul.Lots[l].Items[i], left(item)
			at := share{item, part.String()}
			if _, known := p.known[at]; !known {
				g, err := p.group(it, part)
				if err != nil {
					report.AddErr(valueAt(it), "item "+it.ID, err)
				}
				if p.known == nil {
					p.known = map[share]odds.Group{}
				}
				p.known[at] = g
			}
			groups = append(groups, p.known[at])
		}
	}
	return groups, report.Err()
}

// valueAt is where it stands what an item may bring.
func valueAt(it *landed.Item) source.Origin {
	if chances := it.At.Key("chances"); chances != it.At {
		return chances
	}
	return it.At.Key("value")
}

// group is the pieces of an item of whose value and worth a part is left. Where
// nothing is said of chances each is right for certain; without a value it then
// brings nothing, as does what nobody paid for.
func (p *proceeds) group(it *landed.Item, left decimal.Decimal) (odds.Group, error) {
	if it.Count == 0 {
		return odds.Group{Count: 1, Outcomes: []odds.Outcome{{Chance: decimal.NewFromInt(1), Amount: money.New(0, p.haul.Home)}}}, nil
	}
	g := odds.Group{Count: it.Count, Keep: it.Keep, Alike: it.Alike}
	fates := it.Chances
	if len(fates) == 0 {
		fates = []landed.Fate{{What: "right", Chance: decimal.NewFromInt(1), Value: it.Value}}
	}
	best, err := p.haul.Best(fates)
	for i := range fates {
		if err != nil {
			return g, err
		}
		var some []odds.Outcome
		some, err = p.spread(it, &fates[i], left, i == best)
		g.Outcomes = append(g.Outcomes, some...)
	}
	return g, err
}

// spread makes one outcome of a fate with a single value, several of a range, the
// lesser ones first; those of the best may be kept.
func (p *proceeds) spread(it *landed.Item, f *landed.Fate, left decimal.Decimal, best bool) ([]odds.Outcome, error) {
	values := []money.Amount{f.Value}
	if f.UpTo.Currency() != 0 {
		points, err := odds.Range(f.Value, f.UpTo, 0)
		if err != nil {
			return nil, err
		}
		values, p.spreads = values[:0], true
		for _, o := range points {
			values = append(values, o.Amount)
		}
	}
	repair, err := p.home(f.Repair)
	if err != nil {
		return nil, err
	}
	chances, list := parts(f.Chance, len(values)), make([]odds.Outcome, len(values))
	for i, value := range values {
		list[i] = odds.Outcome{What: f.What, Chance: chances[i]}
		if value, err = part(value, left); err != nil {
			return nil, err
		}
		if list[i].Amount, err = p.sold(it, value, repair); err != nil {
			return nil, err
		}
		if !best {
			continue
		}
		if list[i].Kept, err = p.kept(it, value, left, repair); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// part is so much of an amount, rounded once, half away from zero.
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
	shares, err := money.Equal(units.IntPart(), int64(n))
	list := make([]decimal.Decimal, n)
	for i := range list {
		each := shares.Large
		if err != nil || int64(i) >= shares.Larger {
			each = shares.Small
		}
		list[i] = decimal.New(each, -places)
	}
	return list
}

// home brings an amount to home, unless it is there; none at all is zero.
func (p *proceeds) home(a money.Amount) (money.Amount, error) {
	if a.Currency() == 0 {
		return money.New(0, p.haul.Home), nil
	}
	return p.haul.Worth(a, p.haul.Home)
}

// kept is what a kept piece is worth to its keeper, its repair off, where a part
// of the worth is left. A piece without one counts at its value, of which a part
// was taken already.
func (p *proceeds) kept(it *landed.Item, value money.Amount, left decimal.Decimal, repair money.Amount) (money.Amount, error) {
	if it.Worth.Currency() != 0 {
		var err error
		if value, err = part(it.Worth, left); err != nil {
			return value, err
		}
	}
	home, err := p.home(value)
	if err != nil {
		return home, err
	}
	return home.Sub(repair)
}

// sold is what a piece of some value brings when it is sold, its repair off.
func (p *proceeds) sold(it *landed.Item, value, repair money.Amount) (money.Amount, error) {
	net, err := p.net(it, value)
	if err != nil {
		return net, err
	}
	if net.Sign() < 0 {
		net = money.New(0, p.haul.Home) // nobody sells at that
	}
	return net.Sub(repair)
}

// net is what is left of a price at the venue, in home.
func (p *proceeds) net(it *landed.Item, price money.Amount) (money.Amount, error) {
	if p.venue == nil || price.Sign() == 0 {
		return p.home(price)
	}
	sale, err := p.haul.Sale(it, p.venue, 1)
	if err != nil {
		return money.Amount{}, err
	}
	if landed.Unweighed(it, sale) {
		return money.Amount{}, source.Faults{{At: it.At, Field: "item " + it.ID, What: "has no weight, but postage at " + p.venue.Name + " goes by weight",
			Remedy: "write what one piece weighs, as in weight: 1.9 kg"}}
	}
	sale.VAT.Bought = money.New(0, p.venue.Currency)
	at, err := p.haul.Worth(price, p.venue.Currency)
	if err != nil {
		return at, err
	}
	out, err := sale.At(at)
	if err != nil {
		return money.Amount{}, err
	}
	return p.home(out.Net)
}
