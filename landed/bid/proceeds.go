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
	haul   *landed.Haul
	venue  *resale.Venue // nil where values are what they bring
	groups []odds.Group
	of     []int // by group, its item in file order
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
	report, item := &source.Report{}, 0
	p.groups, p.of = nil, nil
	for l := range p.haul.Lots {
		for i := range p.haul.Lots[l].Items {
			it := &p.haul.Lots[l].Items[i]
			groups, err := p.item(it)
			report.AddErr(it.At, "item "+it.ID, err)
			for range groups {
				p.of = append(p.of, item)
			}
			p.groups = append(p.groups, groups...)
			item++
		}
	}
	if err := report.Err(); err != nil {
		return nil, err
	}
	d, err := odds.Of(p.groups, p.risks(), o)
	report.AddErr(p.haul.At, "chances", err)
	return d, report.Err()
}

// risks are the haul's, by groups. One that hits no group is left out, since
// no index would stand for all.
func (p *proceeds) risks() []odds.Shared {
	var list []odds.Shared
	for i := range p.haul.Risks {
		r := &p.haul.Risks[i]
		hits := p.haul.Hits(r)
		shared := odds.Shared{Chance: r.Chance, What: r.What, Factor: r.Keeps}
		for g, item := range p.of {
			if hits[item] {
				shared.On = append(shared.On, g)
			}
		}
		if len(shared.On) > 0 {
			list = append(list, shared)
		}
	}
	return list
}

// fate is what a piece brings in one case: when it is to be sold, and when it
// is one of those kept.
type fate struct {
	what       string
	chance     decimal.Decimal
	sold, kept money.Amount
}

// item makes the groups of an item: the pieces to be sold and the kept ones, or
// all as one where they share a fate.
func (p *proceeds) item(it *landed.Item) ([]odds.Group, error) {
	fates, err := p.fates(it)
	if err != nil {
		return nil, err
	}
	keep := min(it.Keep, it.Count)
	sold, kept, both := make([]odds.Outcome, len(fates)), make([]odds.Outcome, len(fates)), make([]odds.Outcome, len(fates))
	for i, f := range fates {
		sold[i] = odds.Outcome{Chance: f.chance, What: f.what, Amount: f.sold}
		kept[i] = odds.Outcome{Chance: f.chance, What: f.what, Amount: f.kept}
		both[i] = sold[i]
		if it.Alike && len(fates) > 1 {
			if both[i].Amount, err = together(f.sold, it.Count-keep, f.kept, keep); err != nil {
				return nil, err
			}
		}
	}
	if it.Alike && len(fates) > 1 {
		return []odds.Group{{Outcomes: both, Count: 1}}, nil
	}
	var groups []odds.Group
	if it.Count > keep {
		groups = append(groups, odds.Group{Outcomes: sold, Count: it.Count - keep})
	}
	if keep > 0 {
		groups = append(groups, odds.Group{Outcomes: kept, Count: keep})
	}
	return groups, nil
}

func together(a money.Amount, n int64, b money.Amount, k int64) (money.Amount, error) {
	all, err := a.Times(n)
	if err != nil {
		return all, err
	}
	other, err := b.Times(k)
	if err != nil {
		return other, err
	}
	return all.Add(other)
}

// fates lists what may become of a piece of an item. Where nothing is said of
// chances it is right for certain; without a value it then brings nothing.
func (p *proceeds) fates(it *landed.Item) ([]fate, error) {
	given := it.Chances
	if len(given) == 0 {
		given = []landed.Fate{{What: "right", Chance: decimal.NewFromInt(1), Value: it.Value}}
	}
	best := 0
	for i := range given {
		more, err := p.dearer(&given[i], &given[best])
		if err != nil {
			return nil, err
		}
		if more {
			best = i
		}
	}
	var all []fate
	for i := range given {
		some, err := p.spread(it, &given[i], i == best)
		if err != nil {
			return nil, err
		}
		all = append(all, some...)
	}
	return all, nil
}

// dearer reports whether one fate has a higher value than another, by the most
// of a range.
func (p *proceeds) dearer(a, b *landed.Fate) (bool, error) {
	x, err := p.home(most(a))
	if err != nil {
		return false, err
	}
	y, err := p.home(most(b))
	return err == nil && x.Cmp(y) > 0, err
}

func most(f *landed.Fate) money.Amount {
	if f.UpTo.Currency() != 0 {
		return f.UpTo
	}
	return f.Value
}

// spread makes one fate of a single value, several of a range.
func (p *proceeds) spread(it *landed.Item, f *landed.Fate, best bool) ([]fate, error) {
	values := []money.Amount{f.Value}
	if f.UpTo.Currency() != 0 {
		points, err := odds.Range(f.Value, f.UpTo, 0)
		if err != nil {
			return nil, err
		}
		values = values[:0]
		for _, o := range points {
			values = append(values, o.Amount)
		}
	}
	repair, err := p.home(f.Repair)
	if err != nil {
		return nil, err
	}
	chances := parts(f.Chance, len(values))
	list := make([]fate, len(values))
	for i, value := range values {
		one := fate{what: f.What, chance: chances[i]}
		if one.sold, err = p.sold(it, value, repair); err != nil {
			return nil, err
		}
		if one.kept = one.sold; best {
			if one.kept, err = p.kept(it, value, repair); err != nil {
				return nil, err
			}
		}
		list[i] = one
	}
	return list, nil
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

// kept is what a kept piece is worth to its keeper, its repair off.
func (p *proceeds) kept(it *landed.Item, value, repair money.Amount) (money.Amount, error) {
	worth := it.Worth
	if worth.Currency() == 0 {
		worth = value
	}
	home, err := p.home(worth)
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
