package book

import (
	"errors"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Learned is what a book said of an item of another haul.
type Learned struct {
	Item string // its id
	Kind        // what was found of the pieces that were asked for; none where that was not asked

	Asked     bool            // chances came from the record
	Own       decimal.Decimal // how far they are the user's own, as a fraction
	Pieces    int64           // of the item
	Low, High int64           // so many of them are sound with a chance of 90 % or more, leaving out 5 % at most on each side

	Model          string // where the item has one
	OnHand, Wanted int64  // sound pieces of the model, and how many are wanted
	Keep           int64  // how many of the item are still kept
}

// Beside returns the haul as it stands beside the book. Of lots that are not bought
// yet, an item whose chances are to come from a record takes those of its pieces: a
// Dirichlet-multinomial prediction whose parameters are the item's own chances, as
// so many pieces as they count for, and what was found ([landed.Known]; the next
// piece is then of a kind with the chance (found + own) / (all found + all own)). And
// of a model that is wanted no more nothing is kept; those on hand are sold first.
// Wanted is what the haul's own defaults say, nil for nothing. The error is that of
// [landed.Haul.Best].
func (r *Result) Beside(h *landed.Haul, wanted map[string]int64) (*landed.Haul, []Learned, error) {
	other := *h
	other.Lots = slices.Clone(h.Lots)
	var list []Learned
	left := r.shelf(wanted)
	for l := range other.Lots {
		lot := &other.Lots[l]
		if lot.Bought() || lot.Lost {
			continue
		}
		lot.Items = slices.Clone(lot.Items)
		for i := range lot.Items {
			said, err := r.beside(h, &lot.Items[i], left)
			if err != nil {
				return nil, nil, err
			}
			if said.Asked || said.Model != "" {
				list = append(list, said)
			}
		}
	}
	return &other, list, nil
}

func (r *Result) beside(h *landed.Haul, it *landed.Item, left *shelf) (Learned, error) {
	said := Learned{Item: it.ID, Pieces: it.Count, Keep: it.Keep}
	known := landed.Known{}
	if it.Known != nil {
		known = *it.Known
	}
	if known.Asked {
		said.Asked, said.Kind = true, r.record.of(known.Seller, known.Class, known.Model)
		if err := said.learn(h, it, &known); err != nil {
			return said, err
		}
	}
	if it.Model != "" {
		said.Model = it.Model
		said.OnHand, said.Wanted = left.take(it, &known)
		said.Keep = it.Keep
	}
	if it.Known != nil || known.Ahead > 0 {
		it.Known = &known
	}
	return said, nil
}

// finest is how many decimals there are of the pieces as which one's own chances count.
const finest = 12

// learn gives an item the chances that follow from a record.
func (said *Learned) learn(h *landed.Haul, it *landed.Item, known *landed.Known) error {
	found := [3]int64{said.Sound, said.Parts, said.Dead}
	states := [3]landed.State{landed.Sound, landed.ForParts, landed.Dead}
	stands, err := statesOf(h, it.Chances)
	if err != nil {
		return err
	}
	own, all := [3]decimal.Decimal{}, known.Own
	it.Chances = slices.Clone(it.Chances)
	for i := range it.Chances {
		f := &it.Chances[i]
		f.State, f.Stated = stands[i], true
		k := slices.Index(states[:], stands[i])
		own[k] = own[k].Add(f.Chance)
	}
	known.Weights = nil
	for k, n := range found {
		ownPieces := known.Own.Mul(own[k]).Round(finest) // a third of three is one
		known.Weights = append(known.Weights, ownPieces.Add(decimal.NewFromInt(n)))
		all = all.Add(decimal.NewFromInt(n))
		if own[k].IsZero() && n > 0 { // the user did not think of it
			f := landed.Outcome{What: states[k].String(), Value: money.New(0, h.Home), State: states[k], Stated: true, At: it.At}
			if value := h.ValueOf(it); k == 0 && value.Currency() != 0 {
				f.Value = value
			} else if k == 1 && it.PartsValue.Currency() != 0 {
				f.Value = it.PartsValue
			}
			it.Chances = append(it.Chances, f)
		}
	}
	const whole, places = 1_000_000_000_000_000_000, 18
	parts := make([]*big.Rat, len(it.Chances))
	for i := range it.Chances {
		k := slices.Index(states[:], it.Chances[i].State)
		parts[i] = known.Weights[k].Rat()
		if !own[k].IsZero() {
			parts[i].Mul(parts[i], new(big.Rat).Quo(it.Chances[i].Chance.Rat(), own[k].Rat()))
		}
	}
	weights, _ := exact.Whole(parts)
	shares := make([]int64, len(parts))
	if err := money.ApportionBig(shares, whole, weights); err != nil {
		return err
	}
	for i, share := range shares {
		it.Chances[i].Chance = decimal.New(share, -places)
	}
	said.Own = known.Own.DivRound(all, places)
	return said.interval(it, known)
}

// interval finds how many pieces are sound, but for 5 % on each side at most. Where
// that takes too long to count nothing is ruled out.
func (said *Learned) interval(it *landed.Item, known *landed.Known) error {
	said.High = it.Count
	unit := money.MustCurrency("CAD") // of counts; any will do
	d := odds.Draw{Group: odds.Group{Count: max(it.Count, 1), Alike: it.Alike}}
	for i := range it.Chances {
		k := slices.Index([]landed.State{landed.Sound, landed.ForParts, landed.Dead}, it.Chances[i].State)
		o := landed.Outcome{Chance: it.Chances[i].Chance, Value: money.New(0, unit)}
		if k == 0 {
			o.Value = money.New(1, unit)
		}
		d.Kinds, d.Outcomes = append(d.Kinds, k), append(d.Outcomes, o)
	}
	g, err := odds.Joint(known.Weights, []odds.Draw{d})
	if errors.Is(err, odds.ErrTooManyWays) {
		return nil
	}
	if err != nil {
		return err
	}
	all, err := odds.Of([]odds.Group{g}, 0)
	if err != nil {
		return err
	}
	tail := decimal.New(5, -2)
	said.Low, said.High = all.Quantile(tail).Minor(), all.Quantile(decimal.NewFromInt(1).Sub(tail)).Minor()
	return nil
}

// shelf is what is on hand of each model, and wanted.
type shelf struct {
	wanted
	onHand map[string]int64
	more   map[string]int64 // what the items before were to bring, kept and for sale
}

func (r *Result) shelf(wanted map[string]int64) *shelf {
	s := &shelf{slices.Clone(r.wanted), map[string]int64{}, map[string]int64{}}
	s.add(wanted)
	for i := range r.Stock {
		if p := &r.Stock[i]; p.State == landed.Sound {
			s.onHand[p.Model] += p.Count
		}
	}
	return s
}

// take lets an item keep no more than is still wanted of its model, and counts the
// copies that are sold before its own.
func (s *shelf) take(it *landed.Item, known *landed.Known) (onHand, wanted int64) {
	onHand, wanted = s.onHand[it.Model], s.of(it.Model)
	there := onHand + s.more[it.Model]
	it.Keep = min(it.Keep, max(wanted-there, 0))
	known.Ahead = max(there-wanted, 0)
	s.more[it.Model] += it.Count
	return onHand, wanted
}

// statesOf says what each of some outcomes stands for beside what was found: as it says itself,
// or else the best one for a sound piece, one of value 0 for a dead
// one, and the others for pieces for parts. The error is that of [landed.Haul.Best].
func statesOf(h *landed.Haul, outcomes []landed.Outcome) ([]landed.State, error) {
	best, err := h.Best(outcomes)
	states := make([]landed.State, len(outcomes))
	for i := range outcomes {
		f := &outcomes[i]
		switch {
		case f.Stated:
			states[i] = f.State
		case i == best:
		case f.Value.Sign() == 0 && f.UpTo.Sign() == 0:
			states[i] = landed.Dead
		default:
			states[i] = landed.ForParts
		}
	}
	return states, err
}
