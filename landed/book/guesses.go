package book

import (
	"maps"
	"math/big"
	"slices"
	"strings"
)

// Guesses is how good the guesses were that pieces would be sound: of items with
// chances, of which it is known what was found.
type Guesses struct {
	Score
	ByChance                   []Said // by what was said, rising
	BySeller, ByClass, ByModel []Scored
}

// Said is what came of the pieces of which one chance was said.
type Said struct {
	Chance       *big.Rat
	Pieces, Came int64 // Came is how many were sound
}

// Scored is the score of the guesses about one seller, class or model.
type Scored struct {
	Name string
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
	Items, Pieces, Came                         int64
	Mean                                        *big.Rat // of what was said
	Brier, Reliability, Resolution, Uncertainty *big.Rat
}

// guessKey is what guesses go by.
type guessKey struct{ said, seller, class, model string }

// outcome is what came of pieces that are alike in all that guesses go by.
type outcome struct{ items, sound, parts, dead int64 }

// guess enters what was said and found of an item. Where nothing was said, said
// is empty.
func (l *ledger) guess(item *itemEntry) {
	f := &item.Found
	if !item.counted || f.Sound+f.Parts+f.Dead == 0 {
		return
	}
	key := guessKey{seller: item.Lot.Seller, class: item.Class, model: item.Model}
	if item.said != nil {
		key.said = item.said.sound.String()
	}
	o := l.outcomes[key]
	if o == nil {
		o = &outcome{}
		l.outcomes[guessKey{l.text(key.said), l.text(key.seller), l.text(key.class), l.text(key.model)}] = o
	}
	o.items, o.sound, o.parts, o.dead = o.items+1, o.sound+f.Sound, o.parts+f.Parts, o.dead+f.Dead
}

// guesses scores what was said.
func (l *ledger) guesses() Guesses {
	var g Guesses
	for _, all := range l.scores(func(guessKey) string { return "" }) {
		g.Score, g.ByChance = all.score()
	}
	for _, by := range []struct {
		to   *[]Scored
		name func(guessKey) string
	}{{&g.BySeller, func(t guessKey) string { return t.seller }}, {&g.ByClass, func(t guessKey) string { return t.class }}, {&g.ByModel, func(t guessKey) string { return t.model }}} {
		scores := l.scores(by.name)
		for _, name := range slices.Sorted(maps.Keys(scores)) {
			s, _ := scores[name].score()
			*by.to = append(*by.to, Scored{name, s})
		}
	}
	return g
}

// scoring is what was said of items that have a name in common.
type scoring struct {
	items int64
	said  map[string]*Said
}

// scores parts what was said by a name.
func (l *ledger) scores(name func(guessKey) string) map[string]*scoring {
	scores := map[string]*scoring{}
	for key, o := range l.outcomes {
		if key.said == "" {
			continue
		}
		s := scores[name(key)]
		if s == nil {
			s = &scoring{said: map[string]*Said{}}
			scores[name(key)] = s
		}
		g := s.said[key.said]
		if g == nil {
			g = &Said{}
			g.Chance, _ = new(big.Rat).SetString(key.said)
			s.said[key.said] = g
		}
		s.items += o.items
		g.Pieces, g.Came = g.Pieces+o.sound+o.parts+o.dead, g.Came+o.sound
	}
	return scores
}

// score is that of all of it, and of each chance, rising.
func (s *scoring) score() (Score, []Said) {
	var list []Said
	for _, g := range s.said {
		list = append(list, *g)
	}
	slices.SortFunc(list, func(a, b Said) int { return a.Chance.Cmp(b.Chance) })
	score := Score{Items: s.items}
	score.compute(list)
	return score, list
}

// compute scores what was said of pieces.
func (s *Score) compute(said []Said) {
	for _, g := range said {
		s.Pieces, s.Came = s.Pieces+g.Pieces, s.Came+g.Came
	}
	if s.Pieces == 0 {
		return
	}
	s.Mean, s.Reliability, s.Resolution, s.Uncertainty = new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
	rate := big.NewRat(s.Came, s.Pieces)
	for _, g := range said {
		part, came := big.NewRat(g.Pieces, s.Pieces), big.NewRat(g.Came, g.Pieces)
		s.Mean.Add(s.Mean, new(big.Rat).Mul(part, g.Chance))
		for _, d := range []struct{ to, from *big.Rat }{{s.Reliability, g.Chance}, {s.Resolution, rate}} {
			off := new(big.Rat).Sub(d.from, came)
			d.to.Add(d.to, off.Mul(off.Mul(off, off), part))
		}
	}
	s.Uncertainty.Mul(rate, new(big.Rat).Sub(big.NewRat(1, 1), rate))
	s.Brier = new(big.Rat).Sub(s.Reliability, s.Resolution)
	s.Brier.Add(s.Brier, s.Uncertainty)
}

// record is what was found of the pieces of a book, whatever was said of them.
type record []Kind

// Kind is what was found of pieces that are alike in seller, class and model.
type Kind struct {
	Seller, Class, Model string
	Sound, Parts, Dead   int64
}

func (l *ledger) record() record {
	kinds := map[guessKey]*Kind{}
	for key, o := range l.outcomes {
		key.said = ""
		k := kinds[key]
		if k == nil {
			k = &Kind{Seller: key.seller, Class: key.class, Model: key.model}
			kinds[key] = k
		}
		k.Sound, k.Parts, k.Dead = k.Sound+o.sound, k.Parts+o.parts, k.Dead+o.dead
	}
	var r record
	for _, k := range kinds {
		r = append(r, *k)
	}
	slices.SortFunc(r, func(a, b Kind) int {
		return strings.Compare(a.Seller+"\x00"+a.Class+"\x00"+a.Model, b.Seller+"\x00"+b.Class+"\x00"+b.Model)
	})
	return r
}

// of sums what was found of a seller, a class and a model; an empty one is any.
func (r record) of(seller, class, model string) Kind {
	sum := Kind{Seller: seller, Class: class, Model: model}
	for _, k := range r {
		if (seller == "" || k.Seller == seller) && (class == "" || k.Class == class) && (model == "" || k.Model == model) {
			sum.Sound, sum.Parts, sum.Dead = sum.Sound+k.Sound, sum.Parts+k.Parts, sum.Dead+k.Dead
		}
	}
	return sum
}
