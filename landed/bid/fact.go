package bid

import (
	"cmp"
	"math/big"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Fact is what was predicted of a haul beside what came. All amounts are in
// home.
type Fact struct {
	Venue     string            // where pieces are taken to be sold; "" where values are what they bring
	Items     []FactItem        // of the lots that were bought
	Statement *landed.Statement // of the haul, but for what was spent on repairs, which is taken off Brought
	Expected  money.Amount      // the mean of the forecast, rounded once, half away from zero
	Brought   money.Amount      // what came, by item
	Unsold    int64             // pieces fit to be sold and not sold yet
	NoValue   []string          // ids of items of which such pieces have no value, which count as bringing nothing
	Less      odds.Chance       // the chance that the forecast gave to less than Brought
	AtMost    odds.Chance       // that to Brought or less: the quantile in which the fact lies
}

// FactItem is an item's part in a [Fact].
type FactItem struct {
	*landed.Item
	Lot      string       // its id
	Pieces   []*big.Rat   // how many were expected to come out by each of Chances: a mean
	Expected money.Amount // rounded once, half away from zero
	Net      money.Amount // what the pieces that were sold brought, fees, postage and packing off
	NotSold  money.Amount // what their value leaves at the venue; of those for parts and of yields, what they should bring
	Kept     money.Amount // what the kept pieces are worth
	Repaired money.Amount // what was spent on it
	Brought  money.Amount // Net, NotSold and Kept less Repaired
}

// Look sets the forecast of a haul beside what was found in it and what its
// pieces were sold for. Options name the venue, and may end it ([ErrStopped]).
// The error is [source.Faults], Asked being "result" where nothing has come of the haul yet.
func Look(haul *landed.Haul, plans Plans, o Options) (*Fact, error) {
	h, err := checked(haul, plans)
	if err != nil {
		return nil, err
	}
	p, err := newProceeds(h, o.Venue, func() bool { return o.goes(0) })
	if err != nil {
		return nil, err
	}
	bare := unrepaired(h.Haul)
	st, err := landed.Split(bare)
	if err != nil {
		return nil, err
	}
	f := &Fact{Statement: st, Brought: money.New(0, h.Home)}
	if p.venue != nil {
		f.Venue = p.venue.Name
	}
	forecast, err := p.distribution(0)
	if err != nil {
		return nil, err
	}
	f.Expected = forecast.Mean()
	if err := f.items(p); err != nil {
		return nil, err
	}
	if f.Less, err = forecast.Below(f.Brought); err != nil {
		return nil, err
	}
	f.AtMost, err = forecast.Below(money.New(f.Brought.Minor()+1, h.Home))
	return f, err
}

// unrepaired is a haul without what was spent on repairs of its items.
func unrepaired(h *landed.Haul) *landed.Haul {
	bare := *h
	_ = changeItems(&bare, func(it *landed.Item) error {
		it.Repair = money.Amount{}
		return nil
	})
	return &bare
}

func (f *Fact) items(p *proceeds) error {
	report, known := &collect.Report{}, false
	for lot, it := range p.haul.Items() {
		known = known || it.Found != nil || len(it.Sold) > 0
		line, err := f.item(p, placed{len(f.Items), it})
		if err == nil {
			f.Brought, err = f.Brought.Add(line.Brought)
		}
		report.AddErr(it.At, "item "+it.ID, err)
		line.Lot = lot.ID
		f.Items = append(f.Items, line)
	}
	if !known {
		return source.Faults{{What: "nothing is known of what came", Remedy: "write what was found of an item", Or: "at which prices its pieces were sold", Figure: "found", Asked: "result"}}
	}
	return report.Err()
}

func (f *Fact) item(p *proceeds, at placed) (FactItem, error) {
	it, zero := at.Item, money.New(0, p.haul.Home)
	line := FactItem{Item: it, Net: zero, NotSold: zero, Kept: zero, Repaired: zero, Brought: zero}
	for _, outcome := range it.Chances {
		line.Pieces = append(line.Pieces, new(big.Rat).Mul(outcome.Chance.Rat(), new(big.Rat).SetInt64(it.Count)))
	}
	forecast, err := p.of([]placed{at}, 0)
	if err != nil {
		return line, err
	}
	line.Expected = forecast.Mean()
	var sums tally.Tally
	for _, sale := range it.Sold {
		if p.venue != nil {
			sale.Venue = cmp.Or(sale.Venue, p.venue.Name)
		}
		brought, err := p.seller.Proceeds(it, &sale, money.Amount{})
		line.Net = sums.Add(line.Net, sums.Of(brought.Net, err))
		returned, err := p.seller.Returned(it, &sale, money.Amount{})
		sums.Of(line.Net, err)
		for k := range returned {
			line.Net = sums.Add(line.Net, returned[k].Sum())
		}
	}
	if it.Repair.Currency() != 0 {
		line.Repaired = sums.Of(p.rates.Cost(it.Repair))
	}
	f.left(p, &line, &sums)
	line.Brought = sums.Sub(sums.Add(line.Net, line.NotSold, line.Kept), line.Repaired)
	return line, sums.Err
}

// left values the pieces that are not sold: of the sound ones so many are kept.
func (f *Fact) left(p *proceeds, line *FactItem, sums *tally.Tally) {
	it, zero, left := line.Item, line.NotSold, p.seller.Left(line.Item)
	count := func(state landed.State, what string) (n int64) {
		for _, g := range left {
			if g.State == state && g.What == what {
				n += g.Count
			}
		}
		return n
	}
	sound := count(landed.Sound, "")
	kept, value := min(it.Keep, sound), p.haul.ValueOf(it)
	sound -= kept
	line.Kept = sums.Times(sums.Of(p.kept(it, value, decimal.NewFromInt(1), zero)), kept)
	line.NotSold = sums.Times(sums.Of(p.sold(it, value, zero)), sound)
	noValue := sound > 0 && value.Currency() == 0
	rest := func(one money.Amount, n int64) {
		line.NotSold = sums.Add(line.NotSold, sums.Times(sums.Of(p.home(one)), n))
		noValue = noValue || n > 0 && one.Currency() == 0
		f.Unsold += n
	}
	f.Unsold += sound
	rest(it.PartsValue, count(landed.ForParts, ""))
	if it.Found != nil {
		for _, y := range it.Found.Yields {
			rest(y.Value, count(landed.Made, y.What))
		}
	}
	if noValue {
		f.NoValue = append(f.NoValue, it.ID)
	}
}
