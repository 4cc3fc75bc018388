package odds

import (
	"cmp"
	"math/big"
	"slices"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

// piece is an uncertain amount: above[i] minor units over the least it may
// bring, with a chance of num[i]/den. above[0] is 0, above is rising, and num
// and den have no common factor.
type piece struct {
	above []int64
	num   []uint64
	den   uint64
	count int64 // independent pieces of this kind

	// of one piece, over the least it brings, in units of 10^-18 and 10^-36
	mean, variance *big.Int
}

func (p piece) span() int64 { return p.above[len(p.above)-1] }

// world is the haul when it is settled which shared risks happen.
type world struct {
	weight      *big.Int // its chance, as a part of what the weights of all worlds sum to
	least, most int64    // that all pieces together can bring
	base        int64    // what the amounts of pieces and blocks stand over
	pieces      []piece  // those that are uncertain, in an order that does not depend on the input's
	blocks      []block  // likewise
	excess      uint64   // by how much chances may be too great where they are in units of 2^-63
}

// worlds lists every combination of the shared risks that has a chance.
func (c *checker) worlds(risks []Risk, groups func(happens []bool) ([]Group, error)) ([]world, error) {
	if len(risks) > maxRisks {
		return nil, &PlaceError{Place{Risk: maxRisks + 1}, &LimitError{What: Risks, Given: int64(len(risks)), Least: 0, Most: maxRisks}}
	}
	chances, happens := make([]uint64, len(risks)), make([]bool, len(risks))
	for i, r := range risks {
		var err error
		if chances[i], err = fraction(r.Chance, r.What, Place{Risk: i + 1}); err != nil {
			return nil, err
		}
	}
	var list []world
	for which := range 1 << len(risks) {
		weight := big.NewInt(1)
		for i, chance := range chances {
			if happens[i] = which>>i&1 == 1; !happens[i] {
				chance = one - chance
			}
			weight.Mul(weight, new(big.Int).SetUint64(chance))
		}
		if weight.Sign() == 0 {
			continue
		}
		given, err := groups(happens)
		if err != nil {
			return nil, err
		}
		w, err := c.world(weight, given)
		if err != nil {
			return nil, err
		}
		list = append(list, w)
	}
	common := new(big.Int)
	for _, w := range list {
		common.GCD(nil, nil, common, w.weight)
	}
	for _, w := range list {
		w.weight.Div(w.weight, common)
	}
	return list, nil
}

// world makes pieces and blocks of groups, the narrow ones first since that is
// less work, and checks that no sum of amounts can pass maxTotal.
func (c *checker) world(weight *big.Int, groups []Group) (world, error) {
	w := world{weight: weight}
	fates, err := c.groups(groups)
	if err != nil {
		return w, err
	}
	var total uint64
	for i := range fates {
		f := &fates[i]
		for _, a := range f.extremes() {
			all, ok := exact.Mul(a, f.count)
			if total += exact.Magnitude(all); !ok || exact.Magnitude(all) > maxTotal || total > maxTotal {
				return w, money.ErrOverflow
			}
		}
		if err := w.add(f.settled(), c.laws); err != nil {
			return w, &PlaceError{Place{Group: i + 1}, err}
		}
	}
	slices.SortFunc(w.blocks, block.compare)
	w.sort()
	return w, nil
}

// sort brings the pieces in order and joins those that are equal.
func (w *world) sort() {
	slices.SortFunc(w.pieces, piece.compare)
	w.pieces = joined(w.pieces)
	for i := range w.pieces {
		w.pieces[i].mean, w.pieces[i].variance = w.pieces[i].moments()
	}
}

// extremes are the least and the greatest amount of a fate.
func (f *fate) extremes() []int64 {
	all := slices.Concat(f.kept, f.amounts)
	return []int64{slices.Min(all), slices.Max(all)}
}

// settled is a fate of which some pieces are kept only where it hangs on the
// others which: not where one fate decides for all, nor where all are kept.
func (f fate) settled() fate {
	each, kept := int64(1), int64(1)
	switch {
	case f.alike:
		each, kept = f.count, f.keep
	case f.keep < f.count:
		return f
	}
	for i, a := range f.amounts {
		if f.amounts[i] = a * each; i < len(f.kept) {
			f.amounts[i] += kept * (f.kept[i] - a)
		}
	}
	f.count, f.kept, f.keep = f.count/each, nil, 0
	return f
}

// add adds the pieces of a fate, as a block where they depend on each other.
func (w *world) add(f fate, laws map[string]*law) error {
	b, least, err := newBlock(f, laws)
	if err != nil {
		return err
	}
	if len(b.turns) > 0 {
		low, high := b.extremes()
		w.base += least * f.count
		w.least, w.most = w.least+least*f.count+low, w.most+least*f.count+high
		w.blocks = append(w.blocks, b)
		return nil
	}
	surely := int64(0)
	if len(f.kept) > 0 {
		surely = f.keep * (f.kept[0] - f.amounts[0])
	}
	p, least := newPiece(f)
	w.base += least*p.count + surely
	w.least, w.most = w.least+least*p.count+surely, w.most+(least+p.span())*p.count+surely
	if len(p.above) > 1 {
		w.pieces = append(w.pieces, p)
	}
	return nil
}

// newPiece brings a fate to the form of a piece, and tells the least it brings.
func newPiece(f fate) (p piece, least int64) {
	order := make([]int, len(f.amounts))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(f.amounts[i], f.amounts[j]) })
	p, least = piece{den: one, count: f.count}, f.amounts[order[0]]
	common := uint64(one)
	for _, i := range order {
		above, last := f.amounts[i]-least, len(p.above)-1
		if last >= 0 && p.above[last] == above {
			p.num[last] += f.chances[i]
			continue
		}
		p.above, p.num = append(p.above, above), append(p.num, f.chances[i])
	}
	for _, n := range p.num {
		common = gcd(common, n)
	}
	for i := range p.num {
		p.num[i] /= common
	}
	p.den /= common
	return p, least
}

// compare orders pieces by span and then in any fixed way.
func (p piece) compare(q piece) int {
	return cmp.Or(cmp.Compare(p.span(), q.span()), slices.Compare(p.above, q.above),
		cmp.Compare(p.den, q.den), slices.Compare(p.num, q.num))
}

// joined makes one piece of sorted pieces that are equal.
func joined(pieces []piece) []piece {
	out := pieces[:0]
	for _, p := range pieces {
		if n := len(out); n > 0 && out[n-1].compare(p) == 0 {
			out[n-1].count += p.count
			continue
		}
		out = append(out, p)
	}
	return out
}

// lattice is the greatest step that all amounts over the base are multiples of.
func (w world) lattice() int64 {
	var step uint64
	add := func(amounts []int64) {
		for _, a := range amounts {
			step = gcd(step, uint64(a))
		}
	}
	for _, p := range w.pieces {
		add(p.above)
	}
	for _, b := range w.blocks {
		add(b.sold)
		add(b.kept)
	}
	return max(1, int64(step))
}

// span is how far the greatest sum over the base may be from it.
func (w world) span() int64 {
	var span int64
	for _, p := range w.pieces {
		span += p.span() * p.count
	}
	for _, b := range w.blocks {
		span += b.span() * b.count
	}
	return span
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// moments gives the mean of the world in minor units and its variance in minor
// units squared.
func (w world) moments() (mean, variance ratio) {
	unit := big.NewInt(one)
	mean, variance = ratio{new(big.Int), unit}, ratio{new(big.Int), new(big.Int).Mul(unit, unit)}
	var count, term big.Int
	for _, p := range w.pieces {
		count.SetInt64(p.count)
		mean.num.Add(mean.num, term.Mul(p.mean, &count))
		variance.num.Add(variance.num, term.Mul(p.variance, &count))
	}
	mean = mean.plus(wholeRatio(w.base))
	for _, b := range w.blocks {
		mean, variance = mean.plus(b.mean), variance.plus(b.variance)
	}
	return mean, variance
}

// moments reckons the mean and the variance of one of the pieces.
func (p piece) moments() (mean, variance *big.Int) {
	mean, square := new(big.Int), new(big.Int)
	var term, a big.Int
	for i, n := range p.num {
		a.SetInt64(p.above[i])
		mean.Add(mean, term.Mul(term.SetUint64(n), &a))
		square.Add(square, term.Mul(&term, &a))
	}
	// Var = (den x sum n a^2 - (sum n a)^2) / den^2
	scale := new(big.Int).SetUint64(one / p.den)
	variance = square.Mul(square, term.SetUint64(p.den))
	variance.Sub(variance, term.Mul(mean, mean))
	variance.Mul(variance, scale).Mul(variance, scale)
	return mean.Mul(mean, scale), variance
}
