package landed

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"lotcost/landed/money"
)

// Step is one step of a working: what was found, from which figures, by which
// rule, with which result.
type Step struct{ What, From, Rule, Result string }

const roundedOnce = "rounded once, half away from zero"

// Working tells how a line of the statement came to its amount in home and how
// it was shared; of a line that is not the statement's it tells nothing.
func (s *Statement) Working(line *Line) []Step {
	if !s.holds(line) {
		return nil
	}
	steps := append([]Step{line.amountStep()}, s.rateSteps(line, line.items, line.shares)...)
	if len(line.shares) == 0 {
		return steps
	}
	if line.Item != "" {
		return append(steps, Step{"share of " + line.Item, line.Home.String(), "charged to this item only", line.Home.String()})
	}
	if line.By == ByAssessed {
		return append(steps, Step{"shared over " + count(len(line.shares), "item"), line.Home.String(), cmp.Or(line.borneBy, "as assessed on each") + ", largest remainder", "shares sum to " + line.Home.String()})
	}
	v, sum := s.vectorOf(line)
	return append(steps, Step{
		What:   "shared over " + count(len(line.shares), "item"),
		From:   line.Home.String() + " over " + v.describe(line.By, sum),
		Rule:   "by " + line.By.String() + ", largest remainder, ties to the earlier item",
		Result: "shares sum to " + line.Home.String(),
	})
}

// rateSteps tells where the rates of duty were found that were looked up for some items of a line.
func (s *Statement) rateSteps(line *Line, items []int, shares []int64) []Step {
	var steps []Step
	if line.Kind != Duty || !line.Estimated {
		return nil
	}
	b := s.weights.haul.Border
	for i, share := range shares {
		key := cmp.Or(s.Items[items[i]].Item.Class, b.Class)
		step := Step{What: "rate of duty on " + key, From: b.Classes[key].Found, Rule: "as that tariff has it"}
		if share != 0 && step.From != "" && !slices.Contains(steps, step) {
			steps = append(steps, step)
		}
	}
	return steps
}

// holds reports whether a line is one of the statement, or like one.
func (s *Statement) holds(line *Line) bool {
	for i := range s.Lines {
		own := &s.Lines[i]
		if own == line || own.Home == line.Home && own.Kind == line.Kind && own.By == line.By && slices.Equal(own.items, line.items) && slices.Equal(own.shares, line.shares) {
			return true
		}
	}
	return false
}

func (l *Line) amountStep() Step {
	step := Step{What: l.Kind.String() + ": " + l.What, From: l.Asked(), Result: l.Home.String()}
	src := l.source
	switch {
	case src.settled:
		step.Rule = "as settled by the bank, in place of the conversion"
	case l.paid.ofPrice:
		step.From = money.FormatPercent(l.paid.part) + " of " + l.paid.amount.String()
		step.Rule = "of the covered lots' price and premium in home, " + roundedOnce
		if len(l.Without) > 0 {
			step.Rule += "; the open price of " + strings.Join(l.Without, ", ") + " is not in it"
		}
	case src.rate != nil:
		step.From += " x " + src.rate.Num.String()
		if src.rate.Den.String() != "1" {
			step.From += " / " + src.rate.Den.String()
		}
		step.Rule = src.rate.Source()
		if !src.spread.IsZero() {
			step.From += " x (1 + " + money.FormatPercent(src.spread) + ")"
			step.Rule += ", card spread " + money.FormatPercent(src.spread)
		}
		step.Rule += ", " + roundedOnce
	default:
		step.Rule = "in home already"
		if !l.number().Equal(l.Home.Decimal()) { // a premium
			step.Rule += ", " + roundedOnce
		}
	}
	if l.Times > 1 {
		step.Rule += fmt.Sprintf("; %d alike, each rounded by itself", l.Times)
	}
	return step
}

func (s *Statement) vectorOf(line *Line) (*vector, *big.Int) {
	v, sum := s.weights.vector(line.By), new(big.Int)
	for i := range line.shares {
		sum.Add(sum, v.at(line.items[i]))
	}
	return v, sum
}

// ItemWorking tells how an item's cost came about: its share of each line, what
// it took over or gave away once it was known what was found, and the division
// over its pieces. The index is into Items; at no place of it there is nothing
// to tell.
func (s *Statement) ItemWorking(item int) []Step {
	var steps []Step
	shares := 0
	if item < 0 || item >= len(s.Items) {
		return nil
	}
	if c := &s.Items[item]; !c.Lot.Bought() {
		shares++
		steps = append(steps, Step{What: "price: " + c.Lot.ID, From: "open", Rule: "not counted until it is known"})
	}
	for n := range s.Lines {
		line := &s.Lines[n]
		for i, share := range line.shares {
			if line.items[i] == item {
				shares++
				steps = append(append(steps, s.partStep(line, item, share)), s.rateSteps(line, line.items[i:i+1], line.shares[i:i+1])...)
			}
		}
	}
	return append(steps, s.pieceSteps(&s.Items[item], shares)...)
}

func (s *Statement) partStep(line *Line, item int, minor int64) Step {
	share := money.New(minor, s.Home).String()
	step := Step{What: line.Kind.String() + ": " + line.What, Result: share}
	if line.Item != "" {
		step.From, step.Rule = line.Home.String(), "charged to this item only"
		return step
	}
	if line.By == ByAssessed {
		step.From, step.Rule = "of "+line.Home.String(), cmp.Or(line.borneBy, "as assessed on it")
		return step
	}
	v, sum := s.vectorOf(line)
	step.From = fmt.Sprintf("%s of %s, of %s", v.describe(line.By, v.at(item)), v.describe(line.By, sum), line.Home)
	step.Rule = "by " + line.By.String() + ", largest remainder"
	return step
}
