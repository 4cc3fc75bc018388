package bid

import (
	"math/big"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"
	"lotcost/landed/resale"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// Answer is the highest bid that meets the goal, and why. Costs are what a bid
// adds to what is paid for the lots that are bought; where none is, that is all
// of it. All but bids is in home.
type Answer struct {
	Title, Lot string
	Beside     []string // ids of the lots that are bought
	Away       []string // ids of other lots still open, which count as not there
	Home       money.Currency
	Bids       money.Currency
	Venue      string // where pieces are taken to be sold; "" where values are what they bring
	Goal       Goal

	Limits  []Limit
	Binding int          // index into Limits: the least
	Step    money.Amount // by which bids rise at Best
	Reached bool         // whether any bid qualifies
	Best    Point        // the highest bid that qualifies, or else the least bad one, that costs least
	Stopped bool         // the search was ended before every bid was looked at
	Last    money.Amount // the lowest that was then, below which others may qualify; else no currency
	Asked   *Point       // the price that was to be judged; nil when none was
	First   money.Amount // the first bid that is taken
	Ranges  []Range      // every range of bids that qualify, rising; several mean that bids between them do not
	Cliffs  []Cliff      // where something turns at the border, up to a few bids above Best, rising
	Ladder  []Point      // the bids around Best, rising, up to the last that any service takes
	Refused *Refused     // the bid above the ladder, where no service takes the lots any more

	Proceeds  *odds.Distribution // of the lot
	Statement *landed.Statement  // of all that is paid at Asked, or else at Best
	Before    *landed.Statement  // of what is bought, without the lot; nil where nothing is
	Plan      *together.Report   // how all lots then travel; nil where the haul names no services
	Dry       []string           // ids of items without a value, which count as bringing nothing
	Spread    bool               // some value is a range, which counts as five values
	MarginTax bool               // tax was reckoned on whole prices, since the margin hangs on the bid
}

// Adds is what the bid that is explained adds to what is paid of one kind; it
// may be below zero.
func (a *Answer) Adds(k landed.Kind) money.Amount {
	sum := a.Statement.Sum(k).Minor()
	if a.Before != nil {
		sum -= a.Before.Sum(k).Minor()
	}
	return money.New(sum, a.Home)
}

// Spent is what is paid for the lots that are bought, whatever is bid.
func (a *Answer) Spent() money.Amount {
	if a.Before == nil {
		return money.New(0, a.Home)
	}
	return a.Before.Total
}

// Point is one bid and what comes of it.
type Point struct {
	Bid, Cost money.Amount
	// Profit is the expected one, rounded once, half away from zero; where that
	// would meet a goal of profit that is missed, down.
	Profit  money.Amount
	Return  *big.Rat     // expected profit as a fraction of the cost, exact; nil where nothing is paid
	Loss    odds.Chance  // the chance to bring less than it costs
	Meets   bool         // whether all goals are met
	Missing money.Amount // by how much it costs more than the least limit; 0 when it meets it
}

// Refused is a bid at which no service takes the lots, dear as they then are.
type Refused struct {
	Bid money.Amount
	Why error
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
	ranges, last, err := b.qualifying(top)
	if err != nil {
		return nil, err
	}
	a, best := b.begin(), last
	a.Stopped = last > 0
	if a.Reached = len(ranges) > 0; a.Reached {
		best = ranges[len(ranges)-1][1]
	} else if !a.Stopped {
		if best, err = b.cheapest(); err != nil {
			return nil, err
		}
	}
	if a.Stopped {
		lowest, _ := b.grid.at(last)
		a.Last = money.New(lowest, a.Bids)
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
	if err = b.explain(a, a.Best.Bid.Minor()); err != nil {
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
	if b.pricer.before != nil {
		a.Before = b.pricer.before.Statement
	}
	return nil
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
	return a, b.explain(a, bid.Minor())
}

func (b *Bidder) begin() *Answer {
	a := &Answer{Title: b.haul.Title, Lot: b.lot, Away: b.away, Home: b.haul.Home, Bids: b.pricer.cur, Goal: b.goal,
		Limits: b.limits, Binding: least(b.limits), Proceeds: b.dist}
	a.Spread = b.proceeds.spreads
	a.First = money.New(b.grid.bids[0], a.Bids)
	if b.proceeds.venue != nil {
		a.Venue = b.proceeds.venue.Name
		a.MarginTax = b.haul.Selling.VAT.Scheme == resale.MarginScheme
	}
	for i := range b.haul.Lots {
		lot := &b.haul.Lots[i]
		if lot.ID != b.lot {
			a.Beside = append(a.Beside, lot.ID)
			continue
		}
		for j := range lot.Items {
			it := &lot.Items[j]
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
	if q.refused != nil {
		return Point{}, q.refused
	}
	home := b.haul.Home
	p := Point{Bid: money.New(bid, b.pricer.cur), Cost: money.New(q.cost, home), Meets: q.cost <= b.limit, Missing: money.New(max(q.cost-b.limit, 0), home)}
	gain, err := b.dist.Shift(money.New(-q.cost, home))
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
	for i := max(best-shown, 0); i <= best+shown; i++ {
		if _, ok := b.grid.at(i); !ok {
			break
		}
		bid, _ := b.grid.at(i)
		if a.Stopped && !b.pricer.priced(bid) {
			continue
		}
		if q, err := b.pricer.quote(bid); err == nil && q.refused != nil {
			a.Refused = &Refused{money.New(bid, a.Bids), q.refused}
			break
		}
		p, err := b.point(bid)
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
