package bid

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Options say what is asked. The zero value asks for the lot and the venue that the
// plans name.
type Options struct {
	Lot   string // id of the lot to bid for
	Venue string // name of the venue to sell at

	// Goes is asked on the way, with how many bids are priced; false ends the
	// search with what it has. It may be nil.
	Goes func(priced int) bool

	states int // of an evening that are looked at; 0 is as many as usual
}

// most is how many states of an evening are looked at, of so many usually.
func (o *Options) most(usual int) int { return cmp.Or(o.states, usual) }

func (o *Options) goes(priced int) bool { return o.Goes == nil || o.Goes(priced) }

// Bidder finds bids for one lot of a haul, beside what is bought. It is not safe
// for concurrent use.
type Bidder struct {
	haul     deal         // the lot that is bid for, and what is bought
	before   *deal        // what is bought; nil where nothing is
	lot      string       // its id
	away     []string     // ids of lots still open, which count as not there
	bought   money.Amount // what the lot was bought for; no currency where it was not
	options  Options
	goal     Goal
	pricer   *pricer
	grid     *grid
	proceeds *proceeds // of that lot alone
	dist     *odds.Distribution
	limits   []Limit
	limit    int64 // the least of them
}

func (b *Bidder) goes() bool { return b.options.goes(len(b.pricer.known)) }

// New makes a haul ready. It returns the errors that the package comment lists,
// but for those about a single bid.
func New(h *landed.Haul, p Plans, o Options) (*Bidder, error) {
	d, err := checked(h, p)
	if err != nil {
		return nil, err
	}
	b := &Bidder{options: o}
	if d.Bidding != nil {
		b.goal = d.Bidding.Goal
	}
	if err := b.onLot(d); err != nil {
		return nil, err
	}
	if b.proceeds, err = newProceeds(b.alone(), o.Venue, b.goes); err != nil {
		return nil, err
	}
	return b, b.forecast(0, true)
}

// alone is the haul as if there were nothing but the lot that is bid for: what
// it brings is what it adds, since no piece brings more or less for another.
func (b *Bidder) alone() deal {
	return b.haul.only(func(l *landed.Lot) bool { return l.ID == b.lot })
}

// onLot finds the lot, what is bought beside it, the currency of its bids and
// their steps.
func (b *Bidder) onLot(h deal) error {
	at, err := lotOf(h, b.options.Lot)
	if err != nil {
		return err
	}
	lot, terms := &h.Lots[at], h.Bidding
	b.lot, b.bought = lot.ID, cmp.Or(lot.Price, lot.Settled)
	if lot.Bought() {
		h.Haul = h.asToCome(lot.ID)
	}
	b.haul = h.only(func(l *landed.Lot) bool { return l.ID == b.lot || l.Bought() })
	b.away = slices.DeleteFunc(h.Open(), func(id string) bool { return id == b.lot })
	var cur money.Currency
	if b.grid, cur = terms.ladderOf(lot); cur == 0 {
		return noCurrency(lot.ID)
	}
	if len(b.haul.Lots) > 1 {
		before := b.haul.only(func(l *landed.Lot) bool { return l.ID != b.lot })
		b.before = &before
	}
	b.pricer, err = newPricer(b.haul, b.before, b.lot, cur)
	return err
}

// lotOf finds the lot that is bid for: the one asked for, the one the haul
// names, the only one with an open price, or the only one.
func lotOf(h deal, id string) (int, error) {
	if h.Bidding != nil {
		id = cmp.Or(id, h.Bidding.Lot)
	}
	switch open := h.Open(); {
	case id != "":
	case len(open) == 1:
		id = open[0]
	case len(open) > 1:
		return 0, fault("lot", "there are several lots", "name the one to bid for, of "+strings.Join(open, ", "), "lot")
	case len(h.Lots) == 1:
		return 0, nil
	default:
		return 0, fault("lot", "no lot is open any more", "name the one to bid for, of "+strings.Join(h.LotIDs(), ", "), "lot")
	}
	at := h.LotAt(id)
	if at < 0 {
		return 0, fault("lot", fmt.Sprintf("no lot has the id %q", id), source.DidYouMean(id, h.LotIDs()), "")
	}
	return at, nil
}

// forecast finds what the lot brings and the limits that follow.
func (b *Bidder) forecast(steps int64, proven bool) error {
	var err error
	if b.dist, err = b.proceeds.distribution(steps); err != nil {
		return err
	}
	b.bound(proven)
	return nil
}

// bound finds the limits of what a bid may add.
func (b *Bidder) bound(proven bool) {
	b.limits = limits(&b.goal, b.dist, b.pricer.spent, proven)
	b.limit = b.limits[least(b.limits)].Most.Minor()
}

// Bids returns the currency of the bids.
func (b *Bidder) Bids() money.Currency { return b.pricer.cur }

func (b *Bidder) bid(place int) money.Amount {
	bid, _ := b.grid.at(place)
	return money.New(bid, b.pricer.cur)
}

// mostSteps is how many bids are priced at most, a second or two of work;
// mostPlans where each is a plan of how the lots travel; and mostBids how many
// are counted where bisection spares the pricing.
const (
	mostSteps = 20_000
	mostPlans = 2_000
	mostBids  = 4_000_000
)

// top returns the place of the last bid whose cost without the border is within
// the limit, or -1. It looks near a place first.
func (b *Bidder) top(near int) (int, error) {
	most := b.pricer.mostPriced()
	if b.pricer.rises() {
		most = mostBids
	}
	return lastOf(near, -1, func(place int) (bool, error) {
		ok, err := b.within(place)
		if ok && err == nil && place > most {
			err = b.tooMany(most, place)
		}
		return ok, err
	})
}

// within reports whether a bid's cost without the border is within the limit.
func (b *Bidder) within(place int) (bool, error) {
	bid, ok := b.grid.at(place)
	if !ok {
		return false, nil
	}
	cost, err := b.pricer.without(bid)
	return cost <= b.limit, err
}

func (b *Bidder) tooMany(most, at int) error {
	bid, _ := b.grid.at(at)
	return fault("bids", fmt.Sprintf("more than %d bids are within the goal, at steps of %q", most, money.New(b.grid.step(bid), b.pricer.cur)), "make the steps larger, or the goal smaller", "")
}

// qualifying lists the ranges of places at which bids qualify, of those up to
// top. It begins there, so that the highest is found first, and tells the last
// place it came to: 0, but where the search was ended.
func (b *Bidder) qualifying(top int) (ranges [][2]int, last int, err error) {
	if top < 0 {
		return nil, 0, nil
	}
	if b.pricer.rises() {
		return [][2]int{{0, top}}, 0, nil
	}
	for last = top; ; last-- {
		ok, err := b.qualifies(last)
		if err != nil {
			return nil, 0, err
		}
		switch n := len(ranges) - 1; {
		case !ok:
		case n >= 0 && ranges[n][0] == last+1:
			ranges[n][0] = last
		default:
			ranges = append(ranges, [2]int{last, last})
		}
		if last == 0 || !b.goes() {
			slices.Reverse(ranges)
			return ranges, last, nil
		}
	}
}

func (b *Bidder) qualifies(i int) (bool, error) {
	bid, _ := b.grid.at(i)
	return b.pricer.within(bid, b.limit)
}

// highest returns the place of the highest bid that qualifies, or -1, without
// looking at those below it. It looks near a place first.
func (b *Bidder) highest(near int) (int, error) {
	top, err := b.top(near)
	for ; err == nil && top >= 0; top-- {
		var ok bool
		if !b.goes() {
			return top, ErrStopped
		}
		if ok, err = b.qualifies(top); ok {
			break
		}
	}
	return top, err
}

// cheapest returns the place of the bid that costs least, the lowest of equals.
// Cost without the border bounds where it can be. The error of the first bid
// that no service takes is returned; there is none at all then. Where the search
// is ended it is the best so far.
func (b *Bidder) cheapest() (int, error) {
	best, least := 0, int64(0)
	for i, bid := range b.grid.rising(0) {
		if i > 0 {
			if !b.goes() {
				return best, nil
			}
			if free, err := b.pricer.without(bid); err != nil || free >= least {
				return best, err
			}
		}
		if most := b.pricer.mostPriced(); i > most {
			return best, b.tooMany(most, i)
		}
		q, err := b.pricer.quote(bid)
		if err == nil && i == 0 {
			err = q.refused
		}
		if err != nil {
			return best, err
		}
		if i == 0 || q.cost < least {
			best, least = i, q.cost
		}
	}
	return best, nil
}
