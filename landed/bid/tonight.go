package bid

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// set is lots that are won, by their places in the order in which they close.
type set uint32

func (s set) has(lot int) bool { return s>>lot&1 != 0 }

func (s set) with(lot int) set { return s | 1<<lot }

// mostOpen is how many open lots an evening may have.
const mostOpen = 16

// night is an evening made ready: the lots still to come beside those that are bought, and
// what each set of them costs.
type night struct {
	deal
	options Options
	lots    []*lotTonight
	goal    Goal
	gain    *big.Rat // 1 + the goal of return
	budget  int64
	limited bool // whether there is a budget
	spent   int64
	costs   []*setCost // by set
	classes []string   // by which terms go; see [planning.Prices.Classes]
	common  *common
	grain   int64           // how coarsely states are told apart; 0 is exactly
	up      bool            // whether they then cost what is the most for them, or else the least
	bounds  planning.Bounds // of what services come to, where states are told apart by their cells
	err     error           // the first that stopped a sum; what comes of it then is of no use
}

func (n *night) fail(err error) { n.err = cmp.Or(n.err, err) }

// lotTonight is a lot still to come.
type lotTonight struct {
	*landed.Lot
	grid *grid
	cur  money.Currency
	likely
	known bool              // whether it is said what it may go for
	mean  *big.Rat          // of what it brings, in minor units
	paid  map[int64]int64   // price and premium in home
	terms map[int64][]int64 // how a bid enters the other costs; see [planning.Prices.Terms]
	adds  map[int64]int64   // what it adds to them for certain; see [planning.Bounds]
	alone *landed.Haul      // the lot without any other cost
	night *night
}

func (l *lotTonight) bid(minor int64) money.Amount { return money.New(minor, l.cur) }

func newNight(d deal, o Options) (*night, error) {
	n := &night{deal: d, options: o, gain: big.NewRat(1, 1)}
	if d.Bidding != nil {
		n.goal = d.Bidding.Goal
	}
	if r := n.goal.Return; r != nil {
		n.gain.Add(n.gain, r.Rat())
	}
	n.budget, n.limited = n.goal.Budget.Minor(), n.goal.Budget.Currency() != 0
	for _, id := range d.Open() {
		if err := n.add(&d.Lots[d.LotAt(id)]); err != nil {
			return nil, err
		}
	}
	if len(n.lots) > mostOpen {
		return nil, fault("bids", fmt.Sprintf("there are %d open lots", len(n.lots)), fmt.Sprintf("leave out the least promising, so that there are %d at most", mostOpen), "")
	}
	last := time.Unix(1<<40, 0) // as lots close of which it is not said when
	slices.SortStableFunc(n.lots, func(a, b *lotTonight) int { return cmp.Or(a.Closes, last).Compare(cmp.Or(b.Closes, last)) })
	n.costs = make([]*setCost, 1<<len(n.lots))
	none, err := n.of(0)
	if err != nil {
		return nil, err
	}
	n.spent = none.fixed
	all, err := n.of(1<<len(n.lots) - 1)
	if err == nil && all.quick != nil {
		n.classes = all.quick.Classes()
	}
	return n, err
}

// add adds a lot, with what it brings and is likely to go for.
func (n *night) add(lot *landed.Lot) error {
	l := &lotTonight{Lot: lot, night: n, paid: map[int64]int64{}, terms: map[int64][]int64{}}
	if l.grid, l.cur = n.Bidding.ladderOf(lot); l.cur == 0 {
		return noCurrency(lot.ID)
	}
	only := n.only(func(o *landed.Lot) bool { return o.ID == lot.ID })
	p, err := newProceeds(only, n.options.Venue, nil)
	if err != nil {
		return err
	}
	d, err := p.distribution(0)
	if err != nil {
		return err
	}
	l.mean = d.MeanRat()
	if l.known = lot.Likely != nil; l.known {
		l.likely, _ = likelyOf(lot.Likely, l.grid, l.cur) // what is wrong with it was told
	}
	alone := ready(only.Haul)
	alone.Charges, alone.Border, alone.Parcels = nil, nil, nil
	l.alone = &alone
	n.lots = append(n.lots, l)
	return nil
}

// price is what a lot costs at a bid by itself: price and premium in home.
func (l *lotTonight) price(bid int64) int64 {
	if home, known := l.paid[bid]; known {
		return home
	}
	st, err := landed.Sums(bought(l.alone, []string{l.ID}, []money.Amount{l.bid(bid)}))
	if err != nil {
		l.night.fail(err)
		return 0
	}
	l.paid[bid] = st.Sum(landed.Price).Minor() + st.Sum(landed.Premium).Minor()
	return l.paid[bid]
}

// pays is the price and what the bid adds besides.
func (l *lotTonight) pays(bid int64) int64 { return l.price(bid) + l.adds[bid] }

// setCost says what a set costs, with all that is bought, at some bids.
type setCost struct {
	costing
	lots    []*lotTonight
	replan  planning.Ways // with them; nil where each price takes a plan
	kinds   string        // the classes of the goods, where what the border asks depends on them and the terms alone
	flat    bool          // nothing but price and premium depends on the bids
	fixed   int64         // what is paid beside them then
	least   int64         // what is paid beside them at least
	refused bool          // no service takes them
	asked   bool          // whether replan was made, if it can be
}

// bySending reports whether it takes the services to tell what the set costs at some bids.
func (c *setCost) bySending() bool { return planned(c.sending) && !c.flat }

func (n *night) of(won set) (*setCost, error) {
	if c := n.costs[won]; c != nil {
		return c, nil
	}
	c := &setCost{lots: n.in(won)}
	ids := make([]string, len(c.lots))
	for i, l := range c.lots {
		ids[i] = l.ID
	}
	c.costing = newCosting(n.only(func(l *landed.Lot) bool { return l.Bought() || slices.Contains(ids, l.ID) }), ids...)
	n.costs[won] = c
	if len(c.haul.Lots) == 0 {
		c.flat = true
		return c, nil
	}
	return c, c.prepare()
}

// in lists the lots of a set, in the order in which they close.
func (n *night) in(won set) []*lotTonight {
	var list []*lotTonight
	for i, l := range n.lots {
		if won.has(i) {
			list = append(list, l)
		}
	}
	return list
}

func (c *setCost) prepare() error {
	bare := *c.haul.OpenAsFree()
	bare.Border = nil
	if planned(c.sending) {
		bare = *together.SentAs(&bare, nil)
	}
	st, err := landed.Sums(&bare)
	if err != nil {
		return err
	}
	c.least = st.Total.Minor()
	priced := c.haul.Border != nil || slices.ContainsFunc(c.haul.Charges, func(c landed.Charge) bool { return c.OfPrice })
	if planned(c.sending) {
		priced = priced || valued(c.sending)
	}
	if c.flat = !priced || len(c.lots) == 0; c.flat {
		total, ok, err := c.account(c.haul.OpenAsFree())
		c.fixed, c.refused = total, !ok
		if !ok && len(c.lots) == 0 && err == nil {
			_, err = accountOf(&c.haul, c.sending, together.Least)
		}
		return err
	}
	if !planned(c.sending) {
		c.quick, err = landed.NewRepricer(&c.haul, c.places)
	}
	if c.quick != nil && c.quick.Levies() {
		c.kinds = strings.Join(slices.Sorted(slices.Values(c.quick.Classes())), "\n") + "\n"
	}
	return err
}

// ways makes replan, if it can be.
func (c *setCost) ways() (planning.Ways, error) {
	if c.asked {
		return c.replan, nil
	}
	var err error
	c.replan, err = together.NewReplanner(&c.haul, c.sending, c.places)
	c.asked = err == nil
	return c.replan, err
}

// account is what a haul costs; false where no service takes it.
func (c *setCost) account(h *landed.Haul) (int64, bool, error) {
	a, err := accountOf(h, c.sending, together.Least)
	if refused(err) {
		return 0, false, nil
	}
	if err != nil {
		return 0, false, err
	}
	return a.Total.Minor(), true, nil
}

// total is the landed cost at some bids for the lots of the set; false where no service
// takes them then.
func (c *setCost) total(bids []int64) (int64, bool, error) {
	if c.refused {
		return 0, false, nil
	}
	if c.flat {
		sum := c.fixed
		for i, l := range c.lots {
			sum += l.price(bids[i])
		}
		return sum, true, nil
	}
	prices := make([]money.Amount, len(bids))
	for i, l := range c.lots {
		prices[i] = l.bid(bids[i])
	}
	if c.quick != nil {
		total, err := c.quick.Total(prices)
		return total.Minor(), true, err
	}
	if planned(c.sending) {
		if replan, err := c.ways(); err != nil {
			return 0, false, err
		} else if replan != nil {
			total, ok, err := replan.Total(prices)
			return total.Minor(), ok, err
		}
	}
	return c.account(bought(&c.haul, c.ids, prices))
}
