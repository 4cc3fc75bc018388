package bid

import (
	"cmp"
	"fmt"
	"math/big"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// Answer is the highest bid that meets the goal, and why; or, of [Border], what the
// border asks at each bid, without what depends on a goal or on what the pieces bring.
// Costs are what a bid adds to what is paid for the lots that are bought; where none
// is, that is all of it. All but bids is in home.
type Answer struct {
	Lot     string         // its id
	Setting                // of [Border], without goal and venue
	Away    []string       // ids of other lots still open, which count as not there
	Bought  money.Amount   // what the lot itself was bought for already; no currency where it was not
	Bids    money.Currency // the currency of bids

	Limits  []Limit           // one for each part of the goal
	Binding int               // index into Limits: the least
	Step    money.Amount      // by which bids rise at Best
	Best    Point             // the highest bid that qualifies, or else the least bad one, that costs least
	Stopped bool              // the search was ended before every bid was looked at
	Last    money.Amount      // the lowest that was then, below which others may qualify; else no currency
	Asked   *Point            // the price that was to be judged; nil when none was
	First   money.Amount      // the first bid that is taken
	Ranges  [][2]money.Amount // of bids that all qualify, both ends included, rising; none where no bid does
	Cliffs  []Cliff           // up to a few above Best, rising
	Ladder  []Point           // the bids around Best, or those gone through at the border, rising
	Refused *Point            // the bid above the ladder, where no service takes the lots any more; else nil

	Back      *MoneyBack         // at Asked, or else at Best; nil where no piece is uncertain, or where what is learnt of one tells of others
	Proceeds  *odds.Distribution // of the lot
	Statement *landed.Statement  // of all that is paid at Asked, or else at Best, or at the last bid at the border
	Plan      *together.Report   // how all lots then travel; nil where the haul names no services
	NoValue   []string           // ids of items without a value, which count as bringing nothing
	Spread    bool               // some value is a range, which counts as five values
	MarginTax bool               // tax was worked out on whole prices, since the margin depends on the bid
}

// Setting is what bids are made beside, and what they are to meet.
type Setting struct {
	Beside []string          // ids of the lots that are bought
	Before *landed.Statement // of those, by themselves; nil where there are none
	Goal   Goal              // that is to be met
	Venue  string            // where pieces are taken to be sold; "" where values are what they bring
}

// Added is what the bid that is explained adds to what is paid of one kind; it
// may be below zero.
func (a *Answer) Added(k landed.Kind) money.Amount {
	sum := a.Statement.Sum(k).Minor()
	if a.Before != nil {
		sum -= a.Before.Sum(k).Minor()
	}
	return money.New(sum, a.Statement.Home)
}

// Point is one bid and what comes of it. What it brings is not told of a cliff nor of
// a ladder at the border.
type Point struct {
	Bid, Cost money.Amount
	// Profit is the expected one, rounded once, half away from zero; where that
	// would meet a goal of profit that is missed, down.
	Profit  money.Amount
	Return  *big.Rat     // expected profit as a fraction of the cost, exact; nil where nothing is paid
	Loss    odds.Chance  // the chance to bring less than it costs
	Missing money.Amount // by how much it costs more than the least limit; 0 when all goals are met

	Value  money.Amount // for customs, in the territory's currency; no currency without a border
	Border landed.Bill  // what the border is estimated to ask for all parcels
	Turns  []string     // what turns there between the bid below and this one, at the border or of a cliff
	Why    error        // why no service takes the lots, dear as they then are; else nil
}

// Cliff is a step between two bids, one after the other, at which something turns at the border, as
// At.Turns says, or rounding lets the cost fall.
type Cliff struct{ Below, At Point }

// shown is how many bids on each side of the best the ladder shows.
const shown = 4

// Highest finds the highest bid that meets the goal, every range of bids that
// do, and what lies around.
func (b *Bidder) Highest() (*Answer, error) {
	top, err := b.top(0)
	if err != nil {
		return nil, err
	}
	ranges, last, err := b.qualifying(top)
	if err != nil {
		return nil, err
	}
	a, best := b.begin(), last
	a.Stopped = last > 0
	if len(ranges) > 0 {
		best = ranges[len(ranges)-1][1]
	} else if !a.Stopped {
		if best, err = b.cheapest(); err != nil {
			return nil, err
		}
	}
	if a.Stopped {
		a.Last = b.bid(last)
	}
	for _, r := range ranges {
		a.Ranges = append(a.Ranges, [2]money.Amount{b.bid(r[0]), b.bid(r[1])})
	}
	bid, _ := b.grid.at(best)
	if a.Best, err = b.taken(bid); err != nil {
		return nil, err
	}
	a.Step = money.New(b.grid.step(bid), a.Bids)
	if err = b.explain(a, bid); err != nil {
		return nil, err
	}
	if err := b.ladder(a, best); err != nil {
		return nil, err
	}
	a.Cliffs, err = b.cliffs(best + shown)
	return a, err
}

// explain has the account of a bid, and of what is bought without it.
func (b *Bidder) explain(a *Answer, bid int64) error {
	account, err := accountOf(b.pricer.at(bid), b.pricer.sending, together.Plan)
	if err != nil {
		return err
	}
	a.Statement, a.Plan = account.Statement, account.plan
	q, err := b.pricer.quote(bid)
	if err == nil && q.refused == nil {
		a.Back, err = b.moneyBack(q.cost)
	}
	return err
}

// Judge is [Bidder.Highest] with one given price judged, which need not stand on
// the steps. A fault, Asked being "bid", tells of what is none.
func (b *Bidder) Judge(bid money.Amount) (*Answer, error) {
	switch in := b.pricer.cur; {
	case bid.Currency() != in:
		return nil, fault("bid", fmt.Sprintf("%q is not in %s, the currency of the bids", bid, in), "write it in "+in.Code(), "")
	case bid.Sign() < 0:
		return nil, fault("bid", fmt.Sprintf("%q is no bid", bid), "write an amount of 0 or more", "")
	}
	a, err := b.Highest()
	if err != nil {
		return nil, err
	}
	p, err := b.taken(bid.Minor())
	if err != nil {
		return nil, err
	}
	a.Asked = &p
	return a, b.explain(a, bid.Minor())
}

func (b *Bidder) about() *Answer {
	a := &Answer{Lot: b.lot, Away: b.away, Bought: b.bought, Bids: b.pricer.cur}
	if b.before != nil {
		a.Before = b.pricer.before.Statement
		for i := range b.before.Lots {
			a.Beside = append(a.Beside, b.before.Lots[i].ID)
		}
	}
	return a
}

func (b *Bidder) begin() *Answer {
	a := b.about()
	a.Goal, a.Limits, a.Binding, a.Proceeds = b.goal, b.limits, least(b.limits), b.dist
	a.Spread = b.proceeds.spreads
	a.First = money.New(b.grid.bids[0], a.Bids)
	if b.proceeds.venue != nil {
		a.Venue = b.proceeds.venue.Name
		a.MarginTax = b.haul.Selling.VAT.Scheme == resale.MarginScheme
	}
	for _, it := range b.haul.Lots[b.pricer.places[0]].Items {
		if len(it.Chances) == 0 && it.Value.Currency() == 0 && (it.Worth.Currency() == 0 || it.Keep < it.Count) {
			a.NoValue = append(a.NoValue, it.ID)
		}
	}
	return a
}

func (b *Bidder) taken(bid int64) (Point, error) {
	p, err := b.point(bid)
	return p, cmp.Or(err, p.Why)
}

func (b *Bidder) point(bid int64) (Point, error) {
	q, err := b.pricer.quote(bid)
	if err != nil {
		return Point{}, err
	}
	p := b.at(bid, &q)
	if p.Why != nil {
		return p, nil
	}
	p.Missing = money.New(max(q.cost-b.limit, 0), p.Cost.Currency())
	gain, err := b.dist.Shift(money.New(-q.cost, p.Cost.Currency()))
	if err != nil {
		return Point{}, err
	}
	p.Profit = b.profit(gain)
	if q.cost > 0 {
		p.Return = new(big.Rat).Quo(gain.MeanRat(), new(big.Rat).SetInt64(q.cost))
	}
	p.Loss, err = b.dist.Below(p.Cost)
	return p, err
}

// at tells of a bid what was found when it was priced.
func (b *Bidder) at(bid int64, q *quote) Point {
	p := Point{Bid: money.New(bid, b.pricer.cur), Why: q.refused}
	if q.refused != nil {
		return p
	}
	p.Cost, p.Border = money.New(q.cost, b.haul.Home), q.asked
	value := int64(0)
	for i := range q.border {
		value += q.border[i].CustomsValue.Minor()
		p.Value = money.New(value, q.border[i].CustomsValue.Currency())
	}
	return p
}

// profit is a mean to print: one that misses its goal never meets it rounded.
func (b *Bidder) profit(gain *odds.Distribution) money.Amount {
	profit, goal := gain.Mean(), b.goal.Profit
	asked := goal.Currency() != 0 || b.goal.Return == nil && b.goal.Margin == nil
	if asked && profit.Minor() >= goal.Minor() && gain.MeanRat().Cmp(new(big.Rat).SetInt64(goal.Minor())) < 0 {
		return money.New(goal.Minor()-1, profit.Currency())
	}
	return profit
}

// ladder shows the bids around one.
func (b *Bidder) ladder(a *Answer, best int) error {
	for i, bid := range b.grid.rising(max(best-shown, 0)) {
		if i > best+shown {
			break
		}
		if a.Stopped && !b.pricer.priced(bid) {
			continue
		}
		p, err := b.point(bid)
		if err != nil {
			return err
		}
		if p.Why != nil {
			a.Refused = &p
			break
		}
		a.Ladder = append(a.Ladder, p)
	}
	return nil
}

// Worst is the mean profit in the worst part q, a fraction, of all that can
// happen at a cost: below zero it is a loss. The errors are those of
// [odds.Distribution.Shift].
func (a *Answer) Worst(cost money.Amount, q decimal.Decimal) (money.Amount, error) {
	gain, err := a.Proceeds.Shift(money.New(-cost.Minor(), cost.Currency()))
	if err != nil {
		return money.Amount{}, err
	}
	return gain.WorstTail(q), nil
}
