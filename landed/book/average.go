package book

import (
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
)

// purchase is pieces that come into a pool.
type purchase struct {
	day         time.Time
	pool        string
	count, cost int64
}

// pool is pieces that cost the same.
type pool struct{ count, cost int64 }

// poolOf names the pool of pieces: that of their model, or their own. What pieces are called tells
// apart those made from dead ones alone.
func (l *ledger) poolOf(haul, id, model string, state landed.State, what string) string {
	of := "m\x00" + model
	switch {
	case state == landed.Made:
		of = "i\x00" + haul + "\x00" + id + "\x00" + what
	case model == "":
		of = "i\x00" + haul + "\x00" + id + "\x00"
	}
	return l.text(of + "\x00" + state.String())
}

// average gives the sales and the stock, both in order, the cost of their pools.
func (l *ledger) average() {
	slices.SortStableFunc(l.bought, func(a, b purchase) int { return a.day.Compare(b.day) })
	pools, bought := map[string]*pool{}, l.bought
	enter := func(until time.Time) {
		for len(bought) > 0 && !bought[0].day.After(until) {
			p := &bought[0]
			l.into(pools, p.pool, pool{p.count, p.cost})
			bought = bought[1:]
		}
	}
	for i := range l.sales {
		s := &l.sales[i]
		enter(s.Day)
		s.Cost = money.New(0, l.home)
		for state, n := range s.states {
			if n == 0 {
				continue
			}
			name := l.poolFor(s, landed.State(state))
			if s.isReturn() {
				l.putBack(pools, s, name, pool{n, l.take(&s.out[state], n).Minor()})
				continue
			}
			cost := l.take(pools[name], n)
			if l.plus(&s.Cost, cost); s.out != nil {
				s.out[state] = pool{n, cost.Minor()}
			}
		}
		l.writeOff(pools, s)
		l.Of(s.Cost, sales.Fits(&s.Earnings))
		l.account(s)
	}
	if len(bought) > 0 {
		enter(bought[len(bought)-1].day)
	}
	l.restock(pools)
}

func (l *ledger) poolFor(s *Sale, state landed.State) string {
	return l.poolOf(s.Haul, s.ID, s.Model, state, s.What)
}

func (l *ledger) into(pools map[string]*pool, name string, some pool) {
	to := pools[name]
	if to == nil {
		to = &pool{}
		pools[name] = to
	}
	sum := l.Add(money.New(to.cost, l.home), money.New(some.cost, l.home))
	to.count, to.cost = to.count+some.count, sum.Minor()
}

// putBack puts pieces back at their part of what the sale took out, the last of them at the rest
// of it, unless they are not what they were.
func (l *ledger) putBack(pools map[string]*pool, s *Sale, name string, some pool) {
	if s.Cost = l.Sub(s.Cost, money.New(some.cost, l.home)); s.as == landed.Sound {
		l.into(pools, name, some)
	}
}

// writeOff writes off what pieces that came back are no longer worth; those for parts are put back.
func (l *ledger) writeOff(pools map[string]*pool, s *Sale) {
	cost := -s.Cost.Minor()
	switch s.as {
	case landed.Dead:
		s.WrittenOff = money.New(cost, l.home)
	case landed.ForParts:
		lost := max(0, cost-s.worth.Minor())
		s.WrittenOff = money.New(lost, l.home)
		l.into(pools, l.poolFor(s, landed.ForParts), pool{-s.Count, cost - lost})
	}
}

// take takes pieces out of a pool at the average of the moment, rounded once,
// half away from zero.
func (l *ledger) take(from *pool, n int64) money.Amount {
	magnitude, _ := exact.MulDivHalf(exact.Magnitude(from.cost), uint64(n), uint64(from.count)) // no more than the pool
	cost := int64(magnitude)
	if from.cost < 0 {
		cost = -cost
	}
	from.count, from.cost = from.count-n, from.cost-cost
	return money.New(cost, l.home)
}

// restock shares what is left of each pool over its pieces in stock, by largest
// remainder, odd minor units to the earlier rows.
func (l *ledger) restock(pools map[string]*pool) {
	rows := map[string][]*Stock{}
	for i := range l.stock {
		s := &l.stock[i]
		name := l.poolOf(s.Haul, s.ID, s.Model, s.State, s.What)
		rows[name] = append(rows[name], s)
	}
	for name, list := range rows {
		counts, shares := make([]int64, len(list)), make([]int64, len(list))
		for i, s := range list {
			counts[i] = s.Count
		}
		l.Of(money.Amount{}, money.Apportion(shares, pools[name].cost, counts))
		for i, s := range list {
			s.Cost, s.Even = money.New(shares[i], l.home), money.Amount{}
			s.Each = sales.Divide(s.Cost, landed.Pieces{State: s.State, What: s.Each[0].What, Count: s.Count})
		}
	}
}
