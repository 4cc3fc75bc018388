package bid

import (
	"errors"
	"fmt"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// nothing is a piece that brings nothing for certain.
func (p *proceeds) nothing() odds.Group {
	none := money.New(0, p.haul.Home)
	return odds.Group{Count: 1, Outcomes: []landed.Outcome{{Chance: decimal.NewFromInt(1), Value: none}}, Kept: []money.Amount{none}}
}

// isLearnt reports whether what is known of an item comes from a record.
func isLearnt(it *landed.Item) bool { return it.Known != nil && len(it.Known.Weights) > 0 }

// kindOf is the place of a state among the weights of [landed.Known].
func kindOf(s landed.State) int {
	if s == landed.Dead {
		return 2
	}
	return int(s)
}

// relearn makes the weights of an item follow its chances, their sum staying.
func relearn(it *landed.Item) {
	if !isLearnt(it) {
		return
	}
	known, all := *it.Known, decimal.Decimal{}
	for _, w := range known.Weights {
		all = all.Add(w)
	}
	known.Weights = make([]decimal.Decimal, len(it.Known.Weights))
	for i := range it.Chances {
		f := &it.Chances[i]
		k := kindOf(f.State)
		known.Weights[k] = known.Weights[k].Add(f.Chance.Mul(all))
	}
	it.Known = &known
}

// falling tells what copies bring that are sold at once, of an outcome with the
// value of the item; those that are there already come first.
func (p *proceeds) falling(it *landed.Item, f *landed.Outcome, left decimal.Decimal, d *odds.Draw) error {
	d.Then = append(d.Then, make([][]money.Amount, len(d.Outcomes)-len(d.Then))...)
	last := len(d.Outcomes) - 1
	if f.Value != it.Value || f.UpTo.Currency() != 0 {
		return nil
	}
	repair, err := p.repair(f)
	if err != nil {
		return err
	}
	var each []money.Amount
	runs := p.haul.Values(it, it.Count)
	for i, run := range runs {
		value, err := part(run.Each, left)
		if err == nil {
			value, err = p.sold(it, value, repair)
		}
		if err != nil {
			return err
		}
		for n := int64(0); n < run.Count && (n == 0 || i < len(runs)-1); n++ {
			each = append(each, value)
		}
	}
	d.Outcomes[last].Value, d.Then[last] = each[0], each[1:]
	return nil
}

// join makes one piece of what depends on each other: the pieces of an item whose
// copies bring less and less, and all that is known alike
// from one record. Where that may
// come out in too many ways, each item is taken by itself.
func (p *proceeds) join(items []placed, draws []odds.Draw) ([]odds.Group, error) {
	groups, records := make([]odds.Group, len(draws)), map[[4]string][]int{}
	for i := range draws {
		switch d := &draws[i]; {
		case isLearnt(items[i].Item) && d.Kinds != nil:
			k := items[i].Known
			key := [4]string{k.Class, k.Seller, k.Model, fmt.Sprint(k.Weights)}
			records[key] = append(records[key], i)
		case d.Then != nil:
			if err := joint(groups, draws, nil, i); err != nil {
				return nil, err
			}
		default:
			groups[i] = d.Group
		}
	}
	for _, list := range records {
		err := joint(groups, draws, items[list[0]].Known.Weights, list...)
		if !errors.Is(err, odds.ErrTooManyWays) || len(list) == 1 {
			if err != nil {
				return nil, err
			}
			for _, i := range list[1:] {
				groups[i] = p.nothing()
			}
			continue
		}
		for _, i := range list {
			if err := joint(groups, draws, items[i].Known.Weights, i); err != nil {
				return nil, err
			}
		}
	}
	return groups, nil
}

// joint puts what some draws bring together in the place of the first.
func joint(groups []odds.Group, draws []odds.Draw, weights []decimal.Decimal, list ...int) error {
	var some []odds.Draw
	for _, i := range list {
		some = append(some, draws[i])
	}
	g, err := odds.Joint(weights, some)
	if at, ok := errors.AsType[*odds.Error](err); ok && at.Group > 0 {
		at.Group = list[at.Group-1] + 1
	}
	groups[list[0]] = g
	return err
}
