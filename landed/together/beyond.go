package together

import (
	"math"
	"math/bits"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// beyond finds the least-cost way. Where rules of the border look beyond one parcel, at a sum over
// all parcels or over those with goods of one seller, that is for each side of what it turns at the
// least-cost division with a sum on that side; what counts with more than it has costs no less.
type beyond struct {
	planning.Together
	sellers []uint64 // of each block, as bits
	ways    [][2][]point
	sent    [][]point // by blocks
}

// point is what some parcels cost, and what they come to in the sum.
type point struct{ cost, sum int64 }

// newBeyond reports false where the sum of one parcel hangs on more of the others than all of them.
func newBeyond(t planning.Together, h *landed.Haul, blocks []partition.Set) (*beyond, bool) {
	b := &beyond{Together: t, sellers: sellersOf(h, blocks), ways: make([][2][]point, 1<<len(blocks)), sent: make([][]point, 1<<len(blocks))}
	all := b.of(1<<len(blocks) - 1)
	b.BySeller = b.BySeller && all > 1
	return b, !b.BySeller || all == 3
}

// sellersOf are the sellers of blocks of lots, each a bit.
func sellersOf(h *landed.Haul, blocks []partition.Set) []uint64 {
	list, known := make([]uint64, len(blocks)), map[string]uint64{}
	for i, block := range blocks {
		for _, lot := range block.Elements() {
			seller := h.Lots[lot].Seller
			if known[seller] == 0 {
				known[seller] = 1 << len(known)
			}
			list[i] |= known[seller]
		}
	}
	return list
}

// of is the sellers of some blocks.
func (b *beyond) of(blocks int) uint64 {
	all := uint64(0)
	for rest := blocks; rest > 0; rest &= rest - 1 {
		all |= b.sellers[bits.TrailingZeros(uint(rest))]
	}
	return all
}

// together is the least that the parcels of all blocks come to. With two sellers each may have its
// own parcels, or some parcel is of both, and all count together.
func (r *replanner) together() (int64, error) {
	all := 1<<len(r.blocks) - 1
	if !r.wide.BySeller {
		return r.counted(all, false)
	}
	least, err := r.counted(all, true)
	if err != nil {
		return 0, err
	}
	pure, sets := int64(0), [3]int{}
	for i, sellers := range r.wide.sellers {
		if sellers > 2 {
			return least, nil
		}
		sets[sellers] |= 1 << i
	}
	for _, set := range sets[1:] {
		own, err := r.counted(set, false)
		if err != nil {
			return 0, err
		}
		pure = min(pure+own, never)
	}
	return min(least, pure), nil
}

// counted is the least that some blocks come to whose parcels all count together, one of them with
// goods of two sellers if it is mixed.
func (r *replanner) counted(blocks int, mixed bool) (int64, error) {
	b, least, goods := r.wide, int64(never), int64(0)
	if len(b.Turns) > 0 {
		var err error
		if goods, _, err = r.pricer.Counts(lotsOf(r.blocks, blocks).Elements(), money.Amount{}, money.Amount{}, money.Amount{}); err != nil {
			return 0, err
		}
	}
	for side := b.Side(goods); side <= len(b.Turns); side++ {
		most := int64(math.MaxInt64)
		if b.Carriage && side < len(b.Turns) {
			most = b.Turns[side]
		}
		cost, err := r.onSide(blocks, side, most, mixed)
		if err != nil {
			return 0, err
		}
		if least = min(least, cost); !b.Carriage {
			break
		}
	}
	return least, nil
}

// onSide is the least that blocks come to on a side, with a sum of so much at most.
func (r *replanner) onSide(blocks, side int, most int64, mixed bool) (int64, error) {
	b := r.wide
	for i := range r.parcels {
		c := &r.parcels[i]
		if c.blocks&^blocks != 0 {
			continue
		}
		b.sent[c.blocks] = b.sent[c.blocks][:0]
		for _, w := range c.ways {
			cost, err := r.beside(c.lots, w, side)
			if err != nil {
				return 0, err
			}
			p := point{cost: cost}
			if most < math.MaxInt64 {
				if p.sum, _, err = r.pricer.Counts(c.lots.Elements(), w.Freight, w.Insurance, w.Fees); err != nil {
					return 0, err
				}
			}
			b.sent[c.blocks] = keep(b.sent[c.blocks], p, most)
		}
	}
	b.ways[0] = [2][]point{{{}}, nil}
	for set := blocks & -blocks; set <= blocks; set++ {
		if set&^blocks == 0 {
			b.divide(set, most)
		}
	}
	least := int64(never)
	for any, list := range b.ways[blocks] {
		if any == 0 && mixed {
			continue
		}
		for _, p := range list {
			least = min(least, p.cost)
		}
	}
	return least, nil
}

// beside is what a parcel costs with a sum on a side.
func (r *replanner) beside(lots partition.Set, c landed.Carriage, side int) (int64, error) {
	if len(r.wide.Turns) == 0 {
		return r.priced(lots, c)
	}
	cost, err := r.pricer.Beside(lots.Elements(), c.Freight, c.Insurance, c.Fees, r.wide.Least(side))
	return cost.Minor(), err
}

// divide finds the ways to send a set that are no worse than another: without a parcel of two
// sellers, and with one.
func (b *beyond) divide(set int, most int64) {
	w := &b.ways[set]
	w[0], w[1] = w[0][:0], w[1][:0]
	for part := set; part > 0; part = (part - 1) & set {
		if part&(set&-set) == 0 {
			continue
		}
		one := 0
		if b.BySeller && b.of(part) == 3 {
			one = 1
		}
		for _, p := range b.sent[part] {
			for any, list := range b.ways[set^part] {
				for _, q := range list {
					w[one|any] = keep(w[one|any], point{p.cost + q.cost, p.sum + q.sum}, most)
				}
			}
		}
	}
}

// keep adds a way unless its sum is too great or another is no worse.
func keep(list []point, p point, most int64) []point {
	if p.sum > most {
		return list
	}
	for _, q := range list {
		if q.cost <= p.cost && q.sum <= p.sum {
			return list
		}
	}
	return append(slices.DeleteFunc(list, func(q point) bool { return p.cost <= q.cost && p.sum <= q.sum }), p)
}
