package freight

import (
	"cmp"
	"math/bits"
	"slices"

	"lotcost/landed/measure"
)

// maxPiles bounds the piles that are tried, so that time grows no faster than
// with the number of lots.
const maxPiles = 64

// grid is a way of piling lots in a box. The lots make rows x cols piles; in each
// the longer lying side goes along the rows' depth, or along their width when
// turned.
type grid struct {
	lie        lie
	rows, cols int
	turned     bool
}

// lie is how every lot is laid down: on the same of its sorted sides (up, the one
// that stands upright, is 0 for the longest), or else as flat as the area allows
// that all of them need when they lie so.
type lie struct {
	up   int
	flat bool
}

// lies are tried in this order: where shapes are equal the earlier wins.
var lies = [...]lie{{2, false}, {1, true}, {1, false}, {0, true}, {0, false}}

// shape is the inside of a box made by a grid: depth over all rows, width of the
// widest row, height of the highest pile.
type shape struct {
	x, y, z int64
	grid    grid
}

// pile is one stack of lots in a grid, or one lot laid down: the two lying sides
// and the height.
type pile struct{ long, short, height int64 }

// piler tries the grids for some lots.
type piler struct {
	lots  []piece
	piles []pile
}

// piece is a lot laid down, and its place among the lots given.
type piece struct {
	pile
	lot int
}

// eachShape calls f for every grid of every lie. The shapes do not depend on the
// order of the lots.
func eachShape(lots []Lot, f func(shape)) {
	p := piler{lots: make([]piece, len(lots)), piles: make([]pile, 0, min(len(lots), maxPiles))}
	for _, how := range lies {
		p.lay(lots, how)
		for n := 1; n <= min(len(lots), maxPiles); n++ {
			p.stack(n)
			for rows := 1; rows*rows <= n; rows++ { // more rows than columns is much like the grid turned
				if n%rows == 0 {
					f(p.shape(grid{how, rows, n / rows, false}))
					f(p.shape(grid{how, rows, n / rows, true}))
				}
			}
		}
	}
}

// lay puts every lot down, the highest first.
func (p *piler) lay(lots []Lot, how lie) {
	var area pile
	for i := range lots {
		p.lots[i] = piece{upright(&lots[i], how.up), i}
		area.long, area.short = max(area.long, p.lots[i].long), max(area.short, p.lots[i].short)
	}
	if how.flat {
		for i := range lots {
			p.lots[i].pile = flattest(&lots[i], &area)
		}
	}
	slices.SortStableFunc(p.lots, func(a, b piece) int {
		return cmp.Or(cmp.Compare(b.height, a.height), cmp.Compare(b.long, a.long), cmp.Compare(b.short, a.short))
	})
}

// upright lays a lot so that the side up, 0 being the longest, is its height.
func upright(l *Lot, up int) pile {
	longest, middle, shortest := l.Size.Sorted()
	switch up {
	case 0:
		return pile{int64(middle), int64(shortest), int64(longest)}
	case 1:
		return pile{int64(longest), int64(shortest), int64(middle)}
	}
	return pile{int64(longest), int64(middle), int64(shortest)}
}

// flattest lays a lot as low as it can lie within an area where it can lie.
func flattest(l *Lot, area *pile) pile {
	for up := 2; up > 0; up-- {
		if laid := upright(l, up); laid.long <= area.long && laid.short <= area.short {
			return laid
		}
	}
	return upright(l, 0)
}

// stack makes n piles, each lot going on the lowest.
func (p *piler) stack(n int) {
	p.piles = append(p.piles[:0], make([]pile, n)...)
	for i := range p.lots {
		p.put(&p.lots[i])
	}
}

// put lays one lot on the lowest pile, the first of several, and tells which.
func (p *piler) put(l *piece) int {
	low := 0
	for j := range p.piles {
		if p.piles[j].height < p.piles[low].height {
			low = j
		}
	}
	to := &p.piles[low]
	to.long, to.short, to.height = max(to.long, l.long), max(to.short, l.short), to.height+l.height
	return low
}

// lying are the lying sides of a pile by depth and width.
func (g *grid) lying(p *pile) (depth, width int64) {
	if g.turned {
		return p.short, p.long
	}
	return p.long, p.short
}

// shape measures the piles, one row after the other.
func (p *piler) shape(g grid) shape {
	s := shape{grid: g}
	for row := range g.rows {
		var deepest, wide int64
		for i := range g.cols {
			pile := &p.piles[row*g.cols+i]
			depth, width := g.lying(pile)
			deepest, wide = max(deepest, depth), wide+width
			s.z = max(s.z, pile.height)
		}
		s.x, s.y = s.x+deepest, max(s.y, wide)
	}
	return s
}

// compare orders shapes by volume, then by their sides, the longest first, then by
// height.
func (s *shape) compare(o *shape) int {
	va, vb := s.volume(), o.volume()
	if c := slices.Compare(va[:], vb[:]); c != 0 {
		return c
	}
	a, b := s.sorted(), o.sorted()
	return cmp.Or(slices.Compare(a[:], b[:]), cmp.Compare(s.z, o.z))
}

// sorted gives the sides, the longest first.
func (s *shape) sorted() [3]int64 {
	l, m, n := measure.Size{L: measure.Length(s.x), W: measure.Length(s.y), H: measure.Length(s.z)}.Sorted()
	return [3]int64{int64(l), int64(m), int64(n)}
}

// volume is the product of the sides as a number of 128 bits, the high part first.
// By maxSide and maxPiles the area fits in 64 bits.
func (s *shape) volume() [2]uint64 {
	high, low := bits.Mul64(uint64(s.x)*uint64(s.y), uint64(s.z))
	return [2]uint64{high, low}
}

// addToFront keeps, in order, the shapes that no other undercuts in all sides, and
// of those alike the lowest.
func addToFront(front []shape, s *shape) []shape {
	for i := range front {
		if front[i].within(s) && front[i].compare(s) <= 0 {
			return front
		}
	}
	front = slices.DeleteFunc(front, func(o shape) bool { return s.within(&o) })
	at, _ := slices.BinarySearchFunc(front, s, func(a shape, b *shape) int { return a.compare(b) })
	return slices.Insert(front, at, *s)
}

// within reports whether s, turned as need be, is nowhere larger than o.
func (s *shape) within(o *shape) bool {
	a, b := s.sorted(), o.sorted()
	return a[0] <= b[0] && a[1] <= b[1] && a[2] <= b[2]
}

// Place is where a lot lies in a box.
type Place struct {
	Lot     string
	X, Y, Z measure.Length // of its nearest corner, from the outside corner of the box, along L, W and H
	Size    measure.Size   // the lot as it is turned, along L, W and H
}

// Layout tells how the lots fill a box that [Pack] or [Shapes] made, in the order
// of [Box.Lots]. It is nil for a box without a size or of another origin.
func (b *Box) Layout() []Place {
	if !b.Sized() || b.grid.rows == 0 {
		return nil
	}
	p := piler{lots: make([]piece, len(b.Lots))}
	p.lay(b.Lots, b.grid.lie)
	p.stack(b.grid.rows * b.grid.cols)
	corners := p.corners(&b.grid, int64(b.packing.Padding))
	p.piles = make([]pile, len(p.piles))
	places := make([]Place, len(b.Lots))
	for i := range p.lots {
		l := &p.lots[i]
		to := p.put(l)
		depth, width := b.grid.lying(&l.pile)
		at := corners[to]
		if b.across {
			at, depth, width = corner{at.y, at.x}, width, depth
		}
		places[l.lot] = Place{
			Lot: b.Lots[l.lot].ID,
			X:   measure.Length(at.x), Y: measure.Length(at.y),
			Z:    b.packing.Padding + measure.Length(p.piles[to].height-l.height),
			Size: measure.Size{L: measure.Length(depth), W: measure.Length(width), H: measure.Length(l.height)},
		}
	}
	return places
}

type corner struct{ x, y int64 }

// corners are where the piles of a grid stand, the first at (start, start).
func (p *piler) corners(g *grid, start int64) []corner {
	corners := make([]corner, 0, len(p.piles))
	x := start
	for row := range g.rows {
		y, deepest := start, int64(0)
		for i := range g.cols {
			depth, width := g.lying(&p.piles[row*g.cols+i])
			corners = append(corners, corner{x, y})
			y, deepest = y+width, max(deepest, depth)
		}
		x += deepest
	}
	return corners
}
