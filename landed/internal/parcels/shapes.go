package parcels

import (
	"cmp"
	"slices"

	"lotcost/landed/internal/exact"
)

// maxStacks bounds the stacks that are tried, so that time grows no faster than
// with the number of lots.
const maxStacks = 64

// orientation is how every lot is turned: with the same of its sorted sides upright (up
// is 0 for the longest), or else as flat as the area allows that all of them need
// when they are turned so.
type orientation struct {
	up   int
	flat bool
}

// orientations are tried in this order: where shapes are equal the earlier wins.
var orientations = [...]orientation{{2, false}, {1, true}, {1, false}, {0, true}, {0, false}}

// shape is the inside of a box made by a grid: depth over all rows, width of the
// widest row, height of the highest stack.
type shape struct {
	x, y, z int64
	sides   [3]int64 // the same, the longest first
}

// stack is some lots on each other in a grid, or one lot as it is turned: the two sides of its
// foot and the height.
type stack struct{ long, short, height int64 }

// form is what a service looks at of a box: whether it is within bounds, and by volume how much it
// is with each side rounded up to a multiple; whole is below zero where volume does not count.
type form struct {
	bounds
	whole int64
}

// wanted is a form, and of the boxes of that form that were tried the one that serves best.
type wanted struct {
	form
	best   shape
	volume exact.Wide
	found  bool
}

// stacker tries the grids for some lots.
type stacker struct {
	lots   []stack // as they are turned
	height int64   // of all on each other
	stacks []stack
	feet   feet
	pad    int64    // that is around what is inside a box
	forms  []wanted // of what is looked for; none: all that no other undercuts
	front  []shape  // of those measured, what no other undercuts
	last   int      // which of them undercut another last: mostly it undercuts the next one too
}

// feet are sums over stacks, and the height of the highest; of those not built yet at least.
type feet struct{ long, short, area, height int64 }

func (f *feet) add(s *stack) {
	f.long, f.short, f.area, f.height = f.long+s.long, f.short+s.short, f.area+s.long*s.short, max(f.height, s.height)
}

// shapesOf finds the shapes of every grid of every orientation that no other undercuts, in order,
// or those that serve best by some forms. They do not depend on the order of the lots.
func shapesOf(lots []Lot, pad int64, forms []form) []shape {
	p := stacker{lots: make([]stack, len(lots)), stacks: make([]stack, 0, min(len(lots), maxStacks)), pad: pad}
	for _, f := range forms {
		p.forms = append(p.forms, wanted{form: f})
	}
	flattened := false
	for _, how := range orientations {
		if !how.flat && flattened { // as flat as may be they all lay on that side already
			flattened = false
			continue
		}
		flattened = p.orient(lots, how)
		var first feet
		for n := 1; n <= min(len(lots), maxStacks); n++ {
			first.add(&p.lots[n-1])
			p.grids(n, &first)
		}
	}
	for i := range p.forms {
		if f := &p.forms[i]; f.found && !slices.Contains(p.front, f.best) {
			p.front = append(p.front, f.best)
		}
	}
	slices.SortFunc(p.front, func(a, b shape) int { return a.compare(&b) })
	return p.front
}

// grids tries those of n stacks. Each begins with one of the n highest lots, whose feet are told.
func (p *stacker) grids(n int, first *feet) {
	p.feet = *first
	p.feet.height = max(p.feet.height, ceilOf(p.height, n))
	built := false
	for rows := 1; rows*rows <= n; rows++ { // more rows than columns is much like the grid turned
		if n%rows != 0 || !p.may(rows, n/rows) {
			continue
		}
		if !built {
			p.build(n)
			if built = true; !p.may(rows, n/rows) {
				continue
			}
		}
		along, turned := p.shapes(rows, n/rows)
		p.add(&along)
		p.add(&turned)
	}
}

// may reports whether a grid may serve better than those before, by what its rows measure at least.
func (p *stacker) may(rows, cols int) bool {
	f := &p.feet
	along := shape{x: ceilOf(f.long, cols), y: ceilOf(f.short, rows), z: f.height}
	turned := shape{x: ceilOf(f.short, cols), y: ceilOf(f.long, rows), z: f.height}
	along.sort()
	turned.sort()
	for i := range p.forms {
		if w := &p.forms[i]; w.may(&along, f.area, p.pad) || w.may(&turned, f.area, p.pad) {
			return true
		}
	}
	return p.forms == nil
}

func (w *wanted) may(s *shape, area, pad int64) bool {
	if w.found && w.whole < 0 || !w.fits(s) {
		return false
	}
	outside := exact.Product(uint64(max(area, s.x*s.y)+pad*(s.x+s.y+pad)), uint64(s.z+pad))
	return !w.found || outside.Cmp(w.volume) < 0
}

func ceilOf(a int64, b int) int64 { return (a + int64(b) - 1) / int64(b) }

// orient turns every lot, and puts the highest first. It reports whether they lie as flat as may
// be, and all with the same side upright.
func (p *stacker) orient(lots []Lot, how orientation) bool {
	var area stack
	for i := range lots {
		p.lots[i] = upright(&lots[i], how.up)
		area.long, area.short = max(area.long, p.lots[i].long), max(area.short, p.lots[i].short)
	}
	same := how.flat
	if how.flat {
		for i := range lots {
			turned := flattest(&lots[i], &area)
			same = same && turned == p.lots[i]
			p.lots[i] = turned
		}
	}
	p.height = 0
	for i := range p.lots {
		p.height += p.lots[i].height
	}
	slices.SortFunc(p.lots, func(a, b stack) int {
		if a.height != b.height {
			return cmp.Compare(b.height, a.height)
		}
		return cmp.Or(cmp.Compare(b.long, a.long), cmp.Compare(b.short, a.short))
	})
	return same
}

// upright turns a lot so that the side up, 0 being the longest, is its height.
func upright(l *Lot, up int) stack {
	longest, middle, shortest := sorted(l.Size)
	switch up {
	case 0:
		return stack{int64(middle), int64(shortest), int64(longest)}
	case 1:
		return stack{int64(longest), int64(shortest), int64(middle)}
	}
	return stack{int64(longest), int64(middle), int64(shortest)}
}

// flattest turns a lot as low as it goes within an area where it fits.
func flattest(l *Lot, area *stack) stack {
	for up := 2; up > 0; up-- {
		if turned := upright(l, up); turned.long <= area.long && turned.short <= area.short {
			return turned
		}
	}
	return upright(l, 0)
}

// build makes n stacks of as many lots or more, each going on the lowest: the first on none yet.
func (p *stacker) build(n int) {
	p.stacks = append(p.stacks[:0], p.lots[:n]...)
	for i := n; i < len(p.lots); i++ {
		p.put(&p.lots[i])
	}
	p.feet = feet{}
	for i := range p.stacks {
		p.feet.add(&p.stacks[i])
	}
}

// put lays one lot on the lowest stack, the first of several, and tells which.
func (p *stacker) put(l *stack) int {
	low := 0
	for j := range p.stacks {
		if p.stacks[j].height < p.stacks[low].height {
			low = j
		}
	}
	to := &p.stacks[low]
	to.long, to.short, to.height = max(to.long, l.long), max(to.short, l.short), to.height+l.height
	return low
}

// shapes measures the stacks, one row after the other: with the longer side of each foot along the
// rows' depth, and turned.
func (p *stacker) shapes(rows, cols int) (along, turned shape) {
	for row := range rows {
		var deep, wide stack
		for i := range p.stacks[row*cols : (row+1)*cols] {
			at := &p.stacks[row*cols+i]
			deep.long, deep.short = max(deep.long, at.long), max(deep.short, at.short)
			wide.long, wide.short = wide.long+at.long, wide.short+at.short
			along.z = max(along.z, at.height)
		}
		along.x, along.y = along.x+deep.long, max(along.y, wide.short)
		turned.x, turned.y = turned.x+deep.short, max(turned.y, wide.long)
	}
	turned.z = along.z
	along.sort()
	turned.sort()
	return along, turned
}

// sort finds the sides, the longest first.
func (s *shape) sort() {
	low, high := min(s.x, s.y), max(s.x, s.y)
	s.sides = [3]int64{max(high, s.z), max(low, min(high, s.z)), min(low, s.z)}
}

// compare orders shapes by volume, then by their sides, the longest first, then by
// height.
func (s *shape) compare(o *shape) int {
	if c := s.volume().Cmp(o.volume()); c != 0 {
		return c
	}
	return cmp.Or(slices.Compare(s.sides[:], o.sides[:]), cmp.Compare(s.z, o.z))
}

// volume is the product of the sides. By maxSide and maxStacks the area fits in 64
// bits.
func (s *shape) volume() exact.Wide { return exact.Product(uint64(s.x)*uint64(s.y), uint64(s.z)) }

// fits reports whether a shape is within bounds of what is inside a box.
func (b *bounds) fits(s *shape) bool {
	others := s.sides[1] + s.sides[2]
	return s.sides[0] <= b.longest && s.sides[0]+others <= b.sides && s.sides[0]+2*others <= b.girth
}

// take keeps a shape that serves better than those before.
func (w *wanted) take(s *shape, pad int64) {
	if !w.may(s, 0, pad) {
		return
	}
	up := func(side int64) uint64 { return uint64(ceilTo(side+pad, max(0, w.whole))) }
	volume := exact.Product(up(s.x)*up(s.y), up(s.z))
	if !w.found || volume.Cmp(w.volume) < 0 {
		w.best, w.volume, w.found = *s, volume, true
	}
}

// add keeps a shape where it serves best by some form; without forms unless another undercuts it in
// all sides, and leaves out those that it does; of those alike it keeps the lowest.
func (p *stacker) add(s *shape) {
	for i := range p.forms {
		p.forms[i].take(s, p.pad)
	}
	if p.forms != nil {
		return
	}
	if p.last < len(p.front) && p.front[p.last].undercuts(s) {
		return
	}
	for i := range p.front {
		if p.front[i].undercuts(s) {
			p.last = i
			return
		}
	}
	kept := 0
	for i := range p.front {
		if !s.within(&p.front[i]) {
			p.front[kept] = p.front[i]
			kept++
		}
	}
	p.front = append(p.front[:kept], *s)
}

// undercuts reports whether s, turned as need be, is nowhere larger than o, nor the same and
// higher.
func (s *shape) undercuts(o *shape) bool {
	return s.within(o) && (o.sides != s.sides || s.z <= o.z)
}

// within reports whether s, turned as need be, is nowhere larger than o.
func (s *shape) within(o *shape) bool {
	a, b := &s.sides, &o.sides
	return a[0] <= b[0] && a[1] <= b[1] && a[2] <= b[2]
}
