package parcels

import "lotcost/landed/measure"

// Place is where a lot lies in a box.
type Place struct {
	Lot     string
	X, Y, Z measure.Length // of its nearest corner, from the outside corner of the box, along L, W and H
	Size    measure.Size   // the lot as it is turned, along L, W and H
}

// Layout finds how the lots fill a box that [Pack] made of lots that all have a
// size, in the order of [Box.Lots].
func Layout(b *Box) []Place {
	for _, how := range orientations {
		for n := 1; n <= min(len(b.Lots), maxStacks); n++ {
			for rows := 1; rows*rows <= n; rows++ {
				for _, turned := range []bool{false, true} {
					if places := b.layout(how, grid{rows, n / rows, turned}); n%rows == 0 && places != nil {
						return places
					}
				}
			}
		}
	}
	return nil
}

// grid is a way of stacking lots in a box. The lots make rows x cols stacks; in each
// the longer side of the foot goes along the rows' depth, or along their width when
// turned.
type grid struct {
	rows, cols int
	turned     bool
}

// footprint is the foot of a stack by depth and width.
func (g *grid) footprint(p *stack) (depth, width int64) {
	if g.turned {
		return p.short, p.long
	}
	return p.long, p.short
}

// layout is nil where the grid makes another box.
func (b *Box) layout(how orientation, g grid) []Place {
	p := stacker{lots: make([]stack, len(b.Lots))}
	p.orient(b.Lots, how)
	p.build(g.rows * g.cols)
	s, turned := p.shapes(g.rows, g.cols)
	if g.turned {
		s = turned
	}
	made := *b
	if made.become(&s); made.Size != b.Size {
		return nil
	}
	corners := p.corners(&g, int64(b.packing.Padding))
	p.stacks = make([]stack, len(p.stacks))
	places := make([]Place, len(b.Lots))
	for i := range p.lots {
		l := &p.lots[i]
		to := p.put(l)
		depth, width := g.footprint(l)
		at := corners[to]
		if s.x < s.y { // the depth of the rows is the width of the box
			at, depth, width = corner{at.y, at.x}, width, depth
		}
		here := Place{
			X: measure.Length(at.x), Y: measure.Length(at.y),
			Z:    b.packing.Padding + measure.Length(p.stacks[to].height-l.height),
			Size: measure.Size{L: measure.Length(depth), W: measure.Length(width), H: measure.Length(l.height)},
		}
		for n := range b.Lots { // lots laid alike are as good as each other
			if places[n] == (Place{}) && (upright(&b.Lots[n], 0) == *l || upright(&b.Lots[n], 1) == *l || upright(&b.Lots[n], 2) == *l) {
				here.Lot = b.Lots[n].ID
				places[n] = here
				break
			}
		}
	}
	return places
}

type corner struct{ x, y int64 }

// corners are where the stacks of a grid stand, the first at (start, start).
func (p *stacker) corners(g *grid, start int64) []corner {
	corners := make([]corner, 0, len(p.stacks))
	x := start
	for row := range g.rows {
		y, deepest := start, int64(0)
		for i := range g.cols {
			depth, width := g.footprint(&p.stacks[row*g.cols+i])
			corners = append(corners, corner{x, y})
			y, deepest = y+width, max(deepest, depth)
		}
		x += deepest
	}
	return corners
}
