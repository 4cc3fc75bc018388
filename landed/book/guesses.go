package book

import (
	"maps"
	"math/big"
	"slices"

	"lotcost/landed"
)

// Guesses is how good the guesses were that pieces would be sound: of items with
// chances, of which it is known what was found.
type Guesses struct {
	Score
	ByChance                   []Score // of each chance that was said, which is the mean of its score, rising
	BySeller, ByClass, ByModel []Scored
}

// Scored is the score of the guesses about one seller, class or model.
type Scored struct {
	Name string // of what the guesses have in common
	Score
}

// Score is how near chances came to what happened, over pieces: the mean of
// (said - came)^2, came being 1 for a sound piece and 0 for any other, so that 0
// is best. It is the sum of three parts, exactly: Reliability, how far what was
// said is from how often it came; less Resolution, how far that is from how often
// anything came; and Uncertainty, which nobody can help. The score is that of G.
// Brier (Monthly Weather Review 78, 1950; from memory; the half of his sum over
// both classes), the parts those of A. Murphy (J. Appl. Meteorology 12, 1973, 595;
// as retold by S. Siegert, arXiv 1303.6182), grouped by the exact chance said. In a
// thin record Reliability is too high and Uncertainty too low on average (C.
// Ferro and T. Fricker, QJRMS 138, 2012, abstract). All are nil without pieces.
type Score struct {
	Items, Pieces, Came                         int64    // Came is how many pieces were sound
	Mean                                        *big.Rat // of what was said
	Brier, Reliability, Resolution, Uncertainty *big.Rat
}

// guessKey is what guesses go by.
type guessKey struct{ said, seller, class, model string }

// outcome is what came of pieces that are alike in all that guesses go by.
type outcome struct {
	items int64
	landed.Found
}

func join(to, f *landed.Found) {
	to.Sound, to.Parts, to.Dead = to.Sound+f.Sound, to.Parts+f.Parts, to.Dead+f.Dead
}

// guess enters what was said and found of an item. Where nothing was said, said
// is empty.
func (l *ledger) guess(item *itemEntry) {
	f := &item.Found
	if item.Item.Found == nil || f.Sound+f.Parts+f.Dead == 0 {
		return
	}
	key := guessKey{seller: item.Lot.Seller, class: item.Class, model: item.Model}
	if item.said != nil {
		key.said = item.said.String()
	}
	o := l.outcomes[key]
	if o == nil {
		o = &outcome{}
		l.outcomes[guessKey{l.text(key.said), l.text(key.seller), l.text(key.class), l.text(key.model)}] = o
	}
	o.items++
	join(&o.Found, f)
}

func (l *ledger) guesses() Guesses {
	var g Guesses
	for _, all := range l.scores(func(guessKey) string { return "" }) {
		g.Score, g.ByChance = scoreOf(all)
	}
	for _, by := range []struct {
		to   *[]Scored
		name func(guessKey) string
	}{{&g.BySeller, func(t guessKey) string { return t.seller }}, {&g.ByClass, func(t guessKey) string { return t.class }}, {&g.ByModel, func(t guessKey) string { return t.model }}} {
		scores := l.scores(by.name)
		for _, name := range slices.Sorted(maps.Keys(scores)) {
			s, _ := scoreOf(scores[name])
			*by.to = append(*by.to, Scored{name, s})
		}
	}
	return g
}

// byChance counts what was said, by the chance in figures.
type byChance map[string]*Score

// scores parts what was said by a name of the items.
func (l *ledger) scores(name func(guessKey) string) map[string]byChance {
	scores := map[string]byChance{}
	for key, o := range l.outcomes {
		if key.said == "" {
			continue
		}
		s := scores[name(key)]
		if s == nil {
			s = byChance{}
			scores[name(key)] = s
		}
		g := s[key.said]
		if g == nil {
			g = &Score{}
			g.Mean, _ = new(big.Rat).SetString(key.said)
			s[key.said] = g
		}
		g.Items += o.items
		g.Pieces, g.Came = g.Pieces+o.Sound+o.Parts+o.Dead, g.Came+o.Sound
	}
	return scores
}

// scoreOf is the score of all that was said, and of each chance, rising.
func scoreOf(said byChance) (all Score, each []Score) {
	for _, g := range said {
		each = append(each, *g)
	}
	slices.SortFunc(each, func(a, b Score) int { return a.Mean.Cmp(b.Mean) })
	all.compute(each)
	for i, g := range each {
		each[i] = Score{}
		each[i].compute([]Score{g})
	}
	return all, each
}

// compute scores what was counted of single chances.
func (s *Score) compute(said []Score) {
	for _, g := range said {
		s.Items, s.Pieces, s.Came = s.Items+g.Items, s.Pieces+g.Pieces, s.Came+g.Came
	}
	if s.Pieces == 0 {
		return
	}
	s.Mean, s.Reliability, s.Resolution, s.Uncertainty = new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
	rate := big.NewRat(s.Came, s.Pieces)
	for _, g := range said {
		part, came := big.NewRat(g.Pieces, s.Pieces), big.NewRat(g.Came, g.Pieces)
		s.Mean.Add(s.Mean, new(big.Rat).Mul(part, g.Mean))
		for _, d := range []struct{ to, from *big.Rat }{{s.Reliability, g.Mean}, {s.Resolution, rate}} {
			off := new(big.Rat).Sub(d.from, came)
			d.to.Add(d.to, off.Mul(off.Mul(off, off), part))
		}
	}
	s.Uncertainty.Mul(rate, new(big.Rat).Sub(big.NewRat(1, 1), rate))
	s.Brier = new(big.Rat).Sub(s.Reliability, s.Resolution)
	s.Brier.Add(s.Brier, s.Uncertainty)
}

// record is what was found of the pieces of a book, whatever was said of them, in no order.
type record []Kind

// Kind is what was found of pieces that are alike in seller, class and model.
type Kind struct {
	Seller, Class, Model string
	landed.Found         // the sound ones, those for parts and the dead alone
}

func (l *ledger) record() (r record) {
	for key, o := range l.outcomes {
		r = append(r, Kind{key.seller, key.class, key.model, o.Found})
	}
	return r
}

// of sums what was found of a seller, a class and a model; an empty one is any.
func (r record) of(seller, class, model string) Kind {
	sum := Kind{Seller: seller, Class: class, Model: model}
	for _, k := range r {
		if (seller == "" || k.Seller == seller) && (class == "" || k.Class == class) && (model == "" || k.Model == model) {
			join(&sum.Found, &k.Found)
		}
	}
	return sum
}
