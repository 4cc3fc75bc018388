package resale

import "slices"

// schedule is a sale prepared for finding prices: whatever its fees, the price axis is cut into
// pieces in each of which every fee is a constant plus one rounded percentage. It is immutable, and
// safe for concurrent use.
type schedule struct {
	f      figures
	pieces []piece // by rising price, from 0 to highest without gaps
}

// unit is what slopes are counted in: a rate times a rate of tax is exact.
const unit = million * million

// piece is a range of prices. What is kept of a price p in it, before the cost of the goods and
// after the part of the target that depends on the price, is
//
//	constant + p - (the rounded terms)
//
// and each term rises with p, if at all.
type piece struct {
	first, last int64
	constant    int64
	terms       []term
	vat         bool

	// Without rounding the kept amount changes by slope for each unit of price. It lies in [down,
	// up], which differ by one where tax makes it no whole number of units.
	up, down int64
	// slack bounds what rounding does: between any two prices of the piece, the kept amount changes
	// by the slope's part and less than slack more or less. One rounding of a term wanders in a
	// range of width 1, that of a percentage of an amount with rounded tax in it in one of width 2.
	// A unit more of price adds at most 1 to a term of width 1 (its rate is below 1) and at most 2
	// to one of width 2 (base and rate: less than 2 x 1), so that slack also bounds by how much all
	// terms together rise with a unit of price, and the kept amount falls by at most slack - 1.
	slack   int64
	atFirst int64 // kept at first

	edge int // the fee whose rate for the whole base steps up at first, or -1
}

// term is the percentage of one fee within a piece.
type term struct {
	base         base
	rate, offset int64
	times        int64
}

// compile prepares a sale for finding prices. Its cost, and what of its target does not depend on
// the price, play no part in it.
func compile(f figures) *schedule {
	segments := slices.Clone(f.split())
	bounds := []int64{0}
	for _, line := range segments {
		for _, g := range line {
			bounds = append(bounds, g.first)
		}
	}
	if taxed := f.vat.bought - f.charged; f.vat.num != 0 && taxed > 0 {
		bounds = append(bounds, taxed)
	}
	slices.Sort(bounds)
	bounds = slices.Compact(bounds)
	s := &schedule{f: f, pieces: make([]piece, len(bounds))}
	for i, first := range bounds {
		last := int64(highest)
		if i+1 < len(bounds) {
			last = bounds[i+1] - 1
		}
		s.pieces[i] = f.piece(first, last, segments)
	}
	return s
}

// piece gathers what every fee is from first to last.
func (f *figures) piece(first, last int64, segments [][]segment) piece {
	p := piece{first: first, last: last, edge: -1, up: unit}
	p.constant = f.charged - f.sending - f.packing
	for i := range f.lines {
		l := &f.lines[i]
		for len(segments[i]) > 1 && segments[i][1].first <= first {
			segments[i] = segments[i][1:]
		}
		g := &segments[i][0]
		if g.edge && g.first == first && p.edge < 0 {
			p.edge = i
		}
		p.constant -= l.times * g.constant
		if g.rate > 0 {
			p.add(term{l.base, g.rate, g.offset, l.times})
		}
	}
	if f.target.margin > 0 {
		p.up -= f.target.margin * million
		p.slack++
	}
	p.down = p.up
	if f.vat.num != 0 && first+f.charged >= f.vat.bought {
		p.vat = true
		takes := f.vat.num * unit / f.vat.den
		p.up, p.down = p.up-takes, p.down-takes-1
		p.slack++
	}
	p.atFirst = f.kept(&p, first)
	return p
}

func (p *piece) add(t term) {
	width := int64(1)
	if t.base.tax != 0 {
		width = 2
	}
	p.terms = append(p.terms, t)
	p.slack += t.times * width
	p.up -= t.times * t.rate * (million + t.base.tax)
}

func (f *figures) kept(p *piece, price int64) int64 {
	k := p.constant + price
	for i := range p.terms {
		t := &p.terms[i]
		k -= t.times * roundMillionths(t.rate*t.base.at(price)+t.offset)
	}
	if p.vat {
		k -= f.vat.tax(price + f.charged)
	}
	return k - f.target.ofPrice(price)
}
