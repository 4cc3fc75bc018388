package freight

import (
	"cmp"
	"slices"

	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
)

// maxPiles bounds the piles that are tried, so that time grows no faster than
// with the number of lots.
const maxPiles = 64

// grid is a way of piling lots in a box. The lots make rows x cols piles; in each
// the longer lying side goes along the rows' depth, or along their width when
// turned.
type grid struct {
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
type shape struct{ x, y, z int64 }

// pile is one stack of lots in a grid, or one lot laid down: the two lying sides
// and the height.
type pile struct{ long, short, height int64 }

// piler tries the grids for some lots.
type piler struct {
	lots  []pile // laid down
	piles []pile
}

// eachShape calls f for every grid of every lie. The shapes do not depend on the
// order of the lots.
func eachShape(lots []Lot, f func(shape)) {
	p := piler{lots: make([]pile, len(lots)), piles: make([]pile, 0, min(len(lots), maxPiles))}
	for _, how := range lies {
		p.lay(lots, how)
		for n := 1; n <= min(len(lots), maxPiles); n++ {
			p.stack(n)
			for rows := 1; rows*rows <= n; rows++ { // more rows than columns is much like the grid turned
				if n%rows == 0 {
					f(p.shape(grid{rows, n / rows, false}))
					f(p.shape(grid{rows, n / rows, true}))
				}
			}
		}
	}
}

// lay puts every lot down, the highest first.
func (p *piler) lay(lots []Lot, how lie) {
	var area pile
	for i := range lots {
		p.lots[i] = upright(&lots[i], how.up)
		area.long, area.short = max(area.long, p.lots[i].long), max(area.short, p.lots[i].short)
	}
	if how.flat {
		for i := range lots {
			p.lots[i] = flattest(&lots[i], &area)
		}
	}
	slices.SortStableFunc(p.lots, func(a, b pile) int {
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
func (p *piler) put(l *pile) int {
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
	var s shape
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
	if c := s.volume().Cmp(o.volume()); c != 0 {
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

// volume is the product of the sides. By maxSide and maxPiles the area fits in 64
// bits.
func (s *shape) volume() exact.Wide { return exact.Product(uint64(s.x)*uint64(s.y), uint64(s.z)) }

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
