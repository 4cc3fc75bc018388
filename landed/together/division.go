package together

import (
	"cmp"
	"slices"
)

// division is what it takes to look at all ways to divide few blocks of lots.
type division struct {
	parcels []*candidate // by blocks, as bits; nil where no service takes them
	floors  []int64      // by blocks: what they come to at least, however divided
	ways    [][]*state   // by blocks: how they may be sent in one parcel, none of them worse than another
	room    []*state     // of which so many are taken
	taken   int
}

func newDivision(blocks int) division {
	sets := 1 << blocks
	return division{parcels: make([]*candidate, sets), floors: make([]int64, sets), ways: make([][]*state, sets)}
}

// state is a parcel, those sent before it, and what all come to: in cost, and in each of the sums
// that are held.
type state struct {
	chosen
	before *state
	cost   int64
	sums   []int64
}

// mostStates is how many states are kept at most.
const mostStates = 1 << 20

// divide finds the least-cost division of all blocks in a branch, and a bound of any: there is no
// division where none costs less than the best, or where there are too many states to tell.
func (b *beyond) divide(br *branch) ([]chosen, int64, error) {
	if err := b.send(br); err != nil {
		return nil, 0, err
	}
	least, all := b.covered(func(s *state) int64 { return s.cost }), len(b.ways)-1
	most := b.total
	if len(br.held) == 0 {
		most = min(most, least[all]+1)
	}
	if least[all] >= most {
		return nil, most, nil
	}
	sums := make([][]int64, len(br.held))
	for i := range sums {
		sums[i] = b.covered(func(s *state) int64 { return s.sums[i] })
	}
	states := make([][]*state, all+1) // by what remains
	first := &state{}
	for _, h := range br.held {
		first.sums = append(first.sums, b.standing(h.sellers))
	}
	states[all] = []*state{first}
	for rest := all; rest > 0; rest-- {
		for _, before := range states[rest] {
			eachPart(rest, func(part, left int) {
				for _, one := range b.ways[part] {
					if before.cost+one.cost+least[left] >= most {
						continue
					}
					if s := b.and(before, one); b.holds(br, s, sums, left) {
						states[left] = keep(states[left], s)
					}
				}
			})
		}
		if b.taken > mostStates {
			return nil, least[all], nil
		}
	}
	if states[0] == nil {
		return nil, most, nil
	}
	best := slices.MinFunc(states[0], func(x, y *state) int { return cmp.Compare(x.cost, y.cost) })
	var parcels []chosen
	for s := best; s.before != nil; s = s.before {
		parcels = append(parcels, s.chosen)
	}
	return parcels, best.cost, nil
}

// send finds how each parcel may be sent in a branch, if it may be in a way that costs less than
// the best.
func (b *beyond) send(br *branch) error {
	b.taken = 0
	for set := range b.ways {
		b.ways[set] = b.ways[set][:0]
		c := b.parcels[set]
		if c == nil || c.least+b.floors[len(b.ways)-1-set] >= b.total {
			continue
		}
		for i := range c.offers {
			s := b.state(chosen{c, &c.offers[i]}, len(br.held))
			var may bool
			var err error
			if s.cost, may, err = b.costs(br, s.chosen); err != nil {
				return err
			}
			if !may {
				continue
			}
			for k, h := range br.held {
				if h.sellers&c.sellers != 0 {
					s.sums[k] = s.by.sum
				}
			}
			b.ways[set] = keep(b.ways[set], s)
		}
	}
	return nil
}

// covered is the least that the blocks of each set come to, by what each parcel does.
func (b *beyond) covered(of func(*state) int64) []int64 {
	each := make([]int64, len(b.ways))
	for set, list := range b.ways {
		each[set] = never
		for _, s := range list {
			each[set] = min(each[set], of(s))
		}
	}
	return coveredBy(each)
}

// coveredBy is that where each parcel comes to so much.
func coveredBy(each []int64) []int64 {
	least := make([]int64, len(each))
	for set := 1; set < len(each); set++ {
		least[set] = never
		eachPart(set, func(part, left int) { least[set] = min(least[set], each[part]+least[left]) })
	}
	return least
}

// eachPart visits the parts of a set that hold its first block, each with what is left.
func eachPart(set int, visit func(part, left int)) {
	others := set & (set - 1)
	for left := others; ; left = (left - 1) & others {
		visit(set^left, left)
		if left == 0 {
			return
		}
	}
}

// state is one of a parcel, in the room of those of the last branch.
func (d *division) state(one chosen, sums int) *state {
	if d.taken == len(d.room) {
		d.room = append(d.room, new(state))
	}
	s := d.room[d.taken]
	d.taken++
	*s = state{chosen: one, sums: slices.Grow(s.sums[:0], sums)[:sums]}
	clear(s.sums)
	return s
}

// and sends one more parcel.
func (d *division) and(s, one *state) *state {
	next := d.state(one.chosen, len(one.sums))
	next.before, next.cost = s, s.cost+one.cost
	for i := range next.sums {
		next.sums[i] = s.sums[i] + one.sums[i]
	}
	return next
}

// holds reports whether the sums that are held may stay where they are, whatever is left.
func (b *beyond) holds(br *branch, s *state, least [][]int64, left int) bool {
	for i, h := range br.held {
		if s.sums[i]+least[i][left] > b.Turns[h.side] {
			return false
		}
	}
	return true
}

// keep adds a state unless another is no worse, and leaves out those that are no better than it.
func keep(list []*state, s *state) []*state {
	if slices.ContainsFunc(list, func(other *state) bool { return other.noWorse(s) }) {
		return list
	}
	return append(slices.DeleteFunc(list, s.noWorse), s)
}

func (s *state) noWorse(than *state) bool {
	for i := range s.sums {
		if s.sums[i] > than.sums[i] {
			return false
		}
	}
	return s.cost <= than.cost
}
