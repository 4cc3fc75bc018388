package bid

import (
	"math/big"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// Answer is the highest bid that meets the goal, and why. All but bids is in
// home.
type Answer struct {
	Title, Lot string
	Home       money.Currency
	Bids       money.Currency
	Venue      string // where pieces are taken to be sold; "" where values are what they bring

	Limits  []Limit
	Binding int          // index into Limits: the least
	Step    money.Amount // by which bids rise at Best
	Reached bool         // whether any bid qualifies
	Best    Point        // the highest bid that qualifies, or else the least bad one, that costs least
	Asked   *Point       // the price that was to be judged; nil when none was
	First   money.Amount // the first bid that is taken
	Ranges  []Range      // every range of bids that qualify, rising; several mean that bids between them do not
	Cliffs  []Cliff      // where something turns at the border, up to a few bids above Best, rising
	Ladder  []Point      // the bids around Best, rising

	Proceeds  *odds.Distribution
	Statement *landed.Statement // of Asked, or else of Best
	Dry       []string          // ids of items without a value, which count as bringing nothing
	Spread    bool              // some value is a range, which counts as five values
	MarginTax bool              // tax was reckoned on whole prices, since the margin hangs on the bid
}

// Point is one bid and what comes of it.
type Point struct {
	Bid, Cost money.Amount
	Profit    money.Amount // expected, rounded once, half away from zero
	Return    *big.Rat     // expected profit as a fraction of the cost; nil where nothing is paid
	Loss      odds.Chance  // the chance to bring less than it cost
	Meets     bool         // whether all goals are met
	Missing   money.Amount // by how much it costs more than the least limit; 0 when it meets it
}

// Range is bids, both ends included, that all qualify: every step from one to
// the other.
type Range struct{ From, To money.Amount }

// shown is how many bids on each side of the best the ladder shows.
const shown = 4

// Highest finds the highest bid that meets the goal, every range of bids that
// do, and what lies around.
func (b *Bidder) Highest() (*Answer, error) {
	top, err := b.top(0)
	if err != nil {
		return nil, err
	}
	ranges, err := b.qualifying(top)
	if err != nil {
		return nil, err
	}
	a := b.begin()
	best := 0
	if a.Reached = len(ranges) > 0; a.Reached {
		best = ranges[len(ranges)-1][1]
	} else if best, err = b.cheapest(); err != nil {
		return nil, err
	}
	for _, r := range ranges {
		from, _ := b.grid.at(r[0])
		to, _ := b.grid.at(r[1])
		a.Ranges = append(a.Ranges, Range{money.New(from, a.Bids), money.New(to, a.Bids)})
	}
	if a.Best, err = b.pointAt(best); err != nil {
		return nil, err
	}
	a.Step = money.New(b.grid.step(a.Best.Bid.Minor()), a.Bids)
	if a.Statement, err = b.pricer.split(a.Best.Bid.Minor()); err != nil {
		return nil, err
	}
	if err := b.ladder(a, best); err != nil {
		return nil, err
	}
	a.Cliffs, err = b.cliffs(best + shown)
	return a, err
}

// Judge is [Bidder.Highest] with one given price judged, which need not stand on
// the steps. It returns a [*BidError] for what is no bid.
func (b *Bidder) Judge(bid money.Amount) (*Answer, error) {
	if bid.Currency() != b.pricer.cur || bid.Sign() < 0 {
		return nil, &BidError{bid, b.pricer.cur}
	}
	a, err := b.Highest()
	if err != nil {
		return nil, err
	}
	p, err := b.point(bid.Minor())
	if err != nil {
		return nil, err
	}
	a.Asked = &p
	a.Statement, err = b.pricer.split(bid.Minor())
	return a, err
}

func (b *Bidder) begin() *Answer {
	a := &Answer{Title: b.haul.Title, Lot: b.haul.Lots[b.pricer.lot].ID, Home: b.haul.Home, Bids: b.pricer.cur,
		Limits: b.limits, Binding: least(b.limits), Proceeds: b.dist}
	a.Spread = b.proceeds.spreads
	a.First = money.New(b.grid.bids[0], a.Bids)
	if b.proceeds.venue != nil {
		a.Venue = b.proceeds.venue.Name
		a.MarginTax = b.haul.Selling.VAT.Scheme == resale.MarginScheme
	}
	for i := range b.haul.Lots {
		for j := range b.haul.Lots[i].Items {
			it := &b.haul.Lots[i].Items[j]
			if len(it.Chances) == 0 && it.Value.Currency() == 0 && (it.Worth.Currency() == 0 || it.Keep < it.Count) {
				a.Dry = append(a.Dry, it.ID)
			}
		}
	}
	return a
}

func (b *Bidder) pointAt(i int) (Point, error) {
	bid, _ := b.grid.at(i)
	return b.point(bid)
}

func (b *Bidder) point(bid int64) (Point, error) {
	q, err := b.pricer.quote(bid)
	if err != nil {
		return Point{}, err
	}
	home := b.haul.Home
	p := Point{Bid: money.New(bid, b.pricer.cur), Cost: money.New(q.cost, home), Meets: q.cost <= b.limit, Missing: money.New(max(q.cost-b.limit, 0), home)}
	gain, err := b.dist.Shift(money.New(-q.cost, home))
	if err != nil {
		return Point{}, err
	}
	p.Profit = gain.Mean()
	if q.cost > 0 {
		p.Return = new(big.Rat).Quo(gain.MeanRat(), new(big.Rat).SetInt64(q.cost))
	}
	p.Loss, err = b.dist.Below(p.Cost)
	return p, err
}

// ladder shows the bids around one.
func (b *Bidder) ladder(a *Answer, best int) error {
	for i := max(best-shown, 0); i <= best+shown; i++ {
		if _, ok := b.grid.at(i); !ok {
			break
		}
		p, err := b.pointAt(i)
		if err != nil {
			return err
		}
		a.Ladder = append(a.Ladder, p)
	}
	return nil
}

// Worst is the mean profit in the worst part q, a fraction, of all that can
// happen at a cost: below zero it is a loss. The errors are those of
// [odds.Distribution.Shift].
func (a *Answer) Worst(cost money.Amount, q decimal.Decimal) (money.Amount, error) {
	gain, err := a.Proceeds.Shift(money.New(-cost.Minor(), a.Home))
	if err != nil {
		return money.Amount{}, err
	}
	return gain.WorstTail(q), nil
}
