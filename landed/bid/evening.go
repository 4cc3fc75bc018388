package bid

import (
	"cmp"
	"errors"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// Evening is what to bid for several lots that close one after the other, and what is to be
// expected of that. What others pay for a lot is taken as given, and as independent of what
// was bid or paid for the others: the plan is not for rivals who answer.
//
// Sums are what the evening adds to what is spent on the lots that are bought already, in
// minor units of home and exact.
type Evening struct {
	Home money.Currency // the currency of all but bids
	Setting
	Lots []LotTonight // those still to come, in the order in which they close

	// Plan is nil where it is not said what every lot may go for, or where there are too
	// many ways for the evening to go.
	Plan    *EveningPlan
	TooMany bool // that there are

	// Won is all lots still to come that a service takes together, of those too many the earlier
	// ones, each at its limit by the plan, or else at that of the lot alone, or else at the
	// lowest bid.
	Won Won
}

// EveningPlan is the best plan, and what it comes to.
type EveningPlan struct {
	Value, Cost, Proceeds *big.Rat // value is proceeds less (1 + the goal of return) x cost
	Paid                  *big.Rat // prices and premiums in the cost
	LossHigh              *big.Rat // the most that the chance of a loss may be; nil where it is not known
	lossLow               *big.Rat // the least
	Goals                 []Limit  // that do not move the plan
	Nothing               *big.Rat // the chance that no lot is won
	likeliest             []string // ids of the lots that are won together most often; may be none
	// Most is nil where the plan is exact. Else there are too many ways for the evening to go, and
	// ways that cost nearly the same were taken for one, at the highest of their costs: then Value
	// is what the plan is worth at least, and no plan is worth more than Most, where no cost
	// falls as a bid rises.
	Most  *big.Rat
	Moves []Move // of the first limit; none where they were not looked at
}

// LotTonight is a lot still to come. A bid without a currency is none.
type LotTonight struct {
	*landed.Lot
	Bids money.Currency // the currency of its bids
	// What is likely to be paid, where anything is said of that.
	Least, Middle, Most money.Amount

	Limit     money.Amount // the highest bid by the plan, all lots before it lost
	Alone     money.Amount // if all others are lost
	BesideAll money.Amount // if all others are won at the middle of what is likely
	Together  bool         // whether BesideAll is known
	Won       *big.Rat     // the chance to win it by the plan; nil without a plan
	Price     *big.Rat     // what is then bid on average, in minor units of Bids; nil where it is never won
	Brings    *big.Rat     // what it is expected to bring, in minor units of home
	Why       error        // why no service takes it, even if all others are lost; else nil
	quarters  [4]money.Amount
}

// Tonight plans an evening: what to bid at most for each open lot of a haul, so that the
// whole is worth most. What is maximised, and what a limit is, stands in the package
// comment. The errors are those of [New]; with [ErrStopped] comes what was found until then, if
// anything: the marks of each lot, and the plan without its moves or none.
func Tonight(h *landed.Haul, p Plans, o Options) (*Evening, error) { return tonight(h, p, o, true) }

// tonight is [Tonight]; where the whole is not wanted, without what would change the first limit,
// which takes several times as long as all the rest, and what the lots cost together.
func tonight(h *landed.Haul, p Plans, o Options, whole bool) (*Evening, error) {
	d, err := checked(h, p)
	if err != nil {
		return nil, err
	}
	n, err := newNight(d, o)
	if err != nil {
		return nil, err
	}
	e := &Evening{Home: d.Home, Setting: Setting{Goal: n.goal}}
	if d.Selling != nil || o.Venue != "" {
		at, err := d.Selling.Venue(o.Venue)
		if err != nil {
			return nil, err
		}
		e.Venue = d.Selling.Venues[at].Name
	}
	for i := range d.Lots {
		if d.Lots[i].Bought() {
			e.Beside = append(e.Beside, d.Lots[i].ID)
		}
	}
	for _, l := range n.lots {
		e.Lots = append(e.Lots, l.reported())
	}
	if err := n.marks(e); err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(n.lots, func(l *lotTonight) bool { return !l.known }) {
		err = n.plan(e, whole)
		if err = cmp.Or(n.err, err); errors.Is(err, errTooMany) {
			e.TooMany, err = true, nil
		}
	}
	if !whole {
		return e, err
	}
	return e, cmp.Or(err, n.account(e))
}

func (l *lotTonight) reported() LotTonight {
	t := LotTonight{Lot: l.Lot, Bids: l.cur, Brings: l.mean}
	if l.known {
		for i := range t.quarters {
			t.quarters[i] = l.bid(l.quarter(uint64(i) + 1))
		}
		t.Least, t.Middle, t.Most = l.bid(l.bids[0]), t.quarters[1], t.quarters[3]
	}
	return t
}

// marks finds the highest bid for each lot if all others are lost, and if all are won at
// the middle of what is likely.
func (n *night) marks(e *Evening) error {
	for i, l := range n.lots {
		var err error
		e.Lots[i].Alone, err = n.mark(l, false)
		if refused(err) {
			e.Lots[i].Why, err = err, nil
		}
		if err != nil {
			return err
		}
		e.Lots[i].Together = !slices.ContainsFunc(n.lots, func(o *lotTonight) bool { return o != l && !o.known })
		if !e.Lots[i].Together {
			continue
		}
		e.Lots[i].BesideAll, err = n.mark(l, true)
		if err != nil && !refused(err) {
			return err
		}
	}
	return nil
}

// mark is the highest bid for a lot that keeps to the budget and is worth at least as much
// as none, with the other open lots won at the middle of what is likely, or else lost. The
// error tells if no service takes the lots.
func (n *night) mark(l *lotTonight, others bool) (money.Amount, error) {
	var won Won
	for _, o := range n.lots {
		if others && o != l {
			won.add(o.ID, o.bid(o.middle()))
		}
	}
	plans := n.Plans
	terms := Bidding{}
	if plans.Bidding != nil {
		terms = *plans.Bidding
	}
	terms.Lot, terms.Goal = l.ID, Goal{Return: n.goal.Return, Budget: n.goal.Budget}
	plans.Bidding = &terms
	b, err := New(bought(n.Haul, won.Lots, won.Prices), plans, Options{Venue: n.options.Venue, Goes: n.options.Goes})
	if err != nil {
		return money.Amount{}, err
	}
	at, err := b.highest(0)
	if err == nil && at < 0 {
		var q quote
		q, err = b.pricer.quote(b.bid(0).Minor())
		err = cmp.Or(err, q.refused)
	}
	if err != nil || at < 0 {
		return money.Amount{}, err
	}
	return b.bid(at), nil
}

// account finds what the lots cost together, and what is bought costs by itself.
func (n *night) account(e *Evening) error {
	var all Won
	for i := range e.Lots {
		l := &e.Lots[i]
		price := cmp.Or(l.Limit, l.Alone)
		if price.Currency() == 0 {
			lowest, _ := n.lots[i].grid.at(0)
			price = n.lots[i].bid(lowest)
		}
		all.add(l.ID, price)
	}
	var err error
	if e.Won, err = n.taken(all); err != nil || len(e.Beside) == 0 {
		return err
	}
	before := Won{}
	err = before.account(n.deal)
	e.Before = before.Statement
	return err
}

// taken accounts for lots, without those that no service takes beside those before them.
func (n *night) taken(all Won) (Won, error) {
	if err := all.account(n.deal); err != nil || all.why == nil {
		return all, err
	}
	var most Won
	for i, id := range all.Lots {
		with := Won{Lots: slices.Clip(most.Lots), Prices: slices.Clip(most.Prices)}
		with.add(id, all.Prices[i])
		if err := with.account(n.deal); err != nil {
			return most, err
		}
		if with.why == nil {
			most = with
		}
	}
	return most, nil
}

// mostStates is how many states of an evening are looked at, a second of work. Where that is not
// all there are, they are taken together until there are so many for each set of lots, within
// bounds.
const (
	mostStates  = 500_000
	coarseASet  = 400
	mostCoarse  = 1_200_000
	mostParcels = 300_000
	mostCells   = 100_000
)

func (n *night) plan(e *Evening, moves bool) error {
	p, err := n.exactly()
	if errors.Is(err, errTooMany) {
		p, err = n.within()
	}
	if err != nil {
		return err
	}
	for i := range n.lots {
		if e.Lots[i].Limit, err = p.limit(i); err != nil {
			return err
		}
	}
	if err := n.tell(e, p.forth()); err != nil {
		return err
	}
	if n.grain > 0 {
		n.up = false
		if p, err = n.best(4 * mostCoarse); err == nil {
			e.Plan.Most = new(big.Rat).SetFrac(number(p.worths[0].at(0)), new(big.Int).Mul(n.common.unit, n.common.ways[0]))
		} else {
			e.Plan = nil // how good it is would not be known
		}
	} else if moves && p.states <= fewStates {
		e.Plan.Moves, err = movesOf(n.deal, n.costs[1<<len(n.lots)-1].ids, n.lots[0].cur, n.shifted)
	}
	return err
}

// exactly is the plan where there are few enough states. With services of so many lots that each is
// a plan of its own, that is not tried in vain.
func (n *night) exactly() (*plan, error) {
	most, all := n.options.most(mostStates), n.costs[1<<len(n.lots)-1]
	if all.bySending() {
		replan, err := all.ways()
		if err != nil {
			return nil, err
		}
		states := 1
		for _, l := range n.lots {
			states = min(states*(1+len(l.bids)), mostStates)
		}
		if replan == nil && states > most/(aPlan/pruned) {
			return nil, errTooMany
		}
	}
	return n.best(most)
}

// pruned is how many times fewer states there may be than bids for lots allow.
const pruned = 10

// within is the plan with ways for the evening to go taken together: by the bounds of what services
// come to, where there are any, or else by states that are nearly the same.
func (n *night) within() (*plan, error) {
	all := n.costs[1<<len(n.lots)-1]
	if !all.bySending() {
		return n.coarsely()
	}
	prices := make([][]money.Amount, len(n.lots))
	for i, l := range n.lots {
		for _, bid := range l.bids {
			prices[i] = append(prices[i], l.bid(bid))
		}
	}
	var err error
	n.bounds, err = together.NewBounds(&all.haul, all.sending, all.places, prices, n.options.most(mostCells))
	if err != nil {
		return nil, err
	}
	if n.bounds == nil {
		return n.coarsely()
	}
	for i, l := range n.lots {
		l.adds = map[int64]int64{}
		for b, bid := range l.bids {
			l.adds[bid] = n.bounds.Adds(i, b)
		}
	}
	n.common, n.up = nil, true
	for n.grain = max(1, n.budget/finestPurse); ; n.grain *= 2 { // of a budget; see layCells
		p, err := n.best(mostCoarse)
		if !errors.Is(err, errTooMany) || !n.limited || n.grain > n.budget {
			return p, err
		}
	}
}

// finestPurse is into how many parts a budget is divided at most.
const finestPurse = 1 << 12

// coarsely is the plan with a grain about as fine as the number of states allows: the first one
// that is coarse enough tells how many there are in a finer one.
func (n *night) coarsely() (*plan, error) {
	most := n.options.most(min(coarseASet<<len(n.lots), mostCoarse))
	if n.costs[1<<len(n.lots)-1].bySending() { // states count by the parcels that they price
		most = n.options.most(mostParcels)
	}
	finer := false
	for n.grain, n.up = 2, true; ; {
		t, err := n.tree(most)
		switch {
		case err == nil && (finer || n.grain == 2 || t.states > most/2):
			return t.back(), n.err
		case err == nil:
			finer = true
			n.grain = max(2, n.grain*int64(t.states)*5/int64(4*most))
		case !errors.Is(err, errTooMany) || n.grain > mostBid:
			return nil, err
		case finer:
			n.grain += n.grain/4 + 1
		default:
			n.grain *= 2
		}
	}
}

// fewStates is how many states an evening has at most for what would change it to be looked at,
// which takes as long as the evening eight times over.
const fewStates = 30_000

// shifted is the first limit with one factor changed.
func (n *night) shifted(f string, times decimal.Decimal) (money.Amount, error) {
	h := *n.Haul
	if err := scaled(&h, f, n.lots[0].cur, times); err != nil {
		return money.Amount{}, err
	}
	other, err := newNight(deal{&h, n.Plans}, n.options)
	if err != nil {
		return money.Amount{}, err
	}
	p, err := other.best(mostStates)
	if err != nil {
		return money.Amount{}, err
	}
	limit, err := p.limit(0)
	return limit, cmp.Or(other.err, err)
}

// best is the plan from the first lot on, of so many states at most.
func (n *night) best(most int) (*plan, error) {
	t, err := n.tree(most)
	if err != nil {
		return nil, err
	}
	return t.back(), n.err
}

// tree is all states of the evening, so many at most.
func (n *night) tree(most int) (*tree, error) {
	if n.common == nil {
		if err := n.newCommon(); err != nil {
			return nil, err
		}
	}
	t := &tree{night: n, roots: [][]int64{{}}, most: most, weighs: true}
	if err := t.chooseLayout(n.limited); err != nil {
		return nil, err
	}
	if n.grain > 0 && t.tooFine() {
		return nil, errTooMany
	}
	return t, t.grow()
}

// tell puts what comes of the plan into the answer.
func (n *night) tell(e *Evening, o *outcome) error {
	p := &EveningPlan{Proceeds: new(big.Rat), Cost: new(big.Rat).Add(o.paid, o.rest), Paid: o.paid, Nothing: new(big.Rat)}
	for i, l := range n.lots {
		p.Proceeds.Add(p.Proceeds, new(big.Rat).Mul(o.won[i], l.mean))
		e.Lots[i].Won = o.won[i]
		if o.won[i].Sign() > 0 {
			e.Lots[i].Price = new(big.Rat).Quo(o.bids[i], o.won[i])
		}
	}
	p.Value = new(big.Rat).Sub(p.Proceeds, new(big.Rat).Mul(n.gain, p.Cost))
	if none := o.sets[0]; none != nil {
		p.Nothing = none
	}
	likeliest := set(0)
	for s := set(0); s < 1<<len(n.lots); s++ {
		if c := o.sets[s]; c != nil && (o.sets[likeliest] == nil || c.Cmp(o.sets[likeliest]) > 0) {
			likeliest = s
		}
	}
	for _, l := range n.in(likeliest) {
		p.likeliest = append(p.likeliest, l.ID)
	}
	var err error
	if p.lossLow, p.LossHigh, err = n.loss(o); err != nil {
		return err
	}
	if n.grain > 0 && p.lossLow != nil {
		p.lossLow = new(big.Rat) // costs are the most that they may be
	}
	p.judge(&n.goal)
	e.Plan = p
	return nil
}

// judge says of each goal that does not move the plan whether the evening meets it.
func (p *EveningPlan) judge(g *Goal) {
	profit := new(big.Rat).Sub(p.Proceeds, p.Cost)
	add := func(goal, want string, met bool) {
		p.Goals = append(p.Goals, Limit{Goal: goal, Want: want, Met: &met})
	}
	if g.Profit.Currency() != 0 {
		add(profitGoal, g.Profit.String(), profit.Cmp(new(big.Rat).SetInt64(g.Profit.Minor())) >= 0)
	}
	if g.Margin != nil {
		add(marginGoal, money.FormatPercent(*g.Margin), profit.Cmp(new(big.Rat).Mul(g.Margin.Rat(), p.Proceeds)) >= 0)
	}
	if g.Risk != nil && g.Risk.LessThan(decimal.NewFromInt(1)) {
		add(chanceOfLoss, money.FormatPercent(*g.Risk), p.LossHigh != nil && p.LossHigh.Cmp(g.Risk.Rat()) <= 0)
		if p.LossHigh == nil || p.LossHigh.Cmp(g.Risk.Rat()) > 0 && p.lossLow.Cmp(g.Risk.Rat()) <= 0 {
			p.Goals[len(p.Goals)-1].Met = nil
		}
	}
}
