package parcels

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Lot is what is sent in one piece: it is never divided over parcels.
type Lot struct {
	ID       string
	Weight   measure.Weight
	Size     measure.Size // outside, as it goes into the box; zero when not known
	Roll     bool         // a tube; by itself it goes by a service's limits for rolls
	Value    money.Amount // no currency when not known
	Contents []string     // what a service may refuse, such as "lithium cells"
	Arrived  time.Time    // at the forwarder's, at 00:00 UTC; zero when not known
}

// Box is a parcel. [Pack] makes it of lots; a caller who has weighed and measured
// one may fill it in.
type Box struct {
	Lots      []Lot          // what is in it; kept as given, not copied
	Weight    measure.Weight // of the whole parcel
	Size      measure.Size   // outside, the height last and the length before the width when packed; zero when not known
	Value     money.Amount   // of the lots whose value is known; no currency when none is
	Uninsured bool           // the value is declared but not to be insured

	packing freight.Packing
	roll    bool // one roll by itself
}

func (b *Box) sized() bool { return b.Size != measure.Size{} }

func (b *Box) unvalued() int {
	n := 0
	for i := range b.Lots {
		if b.Lots[i].Value.Currency() == 0 {
			n++
		}
	}
	return n
}

func (b *Box) check() error {
	if b.Weight <= 0 {
		return badInput("the box has no weight", "weigh it, or let Pack make it of lots")
	}
	if b.sized() && min(b.Size.L, b.Size.W, b.Size.H) <= 0 {
		return badInput(fmt.Sprintf("the box's size %q has a side that is not above zero", b.Size), "give all three sides, or none")
	}
	if b.Value.Sign() < 0 {
		return badInput(fmt.Sprintf("the box's value %q is below zero", b.Value), "give zero or more")
	}
	return nil
}

// Pack makes the boxes for some lots among which a choice makes sense: of the stacks
// tried, those that no other undercuts in all sides, by volume without the padding,
// the least first. Where only some lots have a size the box is that of these, since
// a lot without one would else lift all limits on size. Where none has, there is one
// box without a size, and only its weight is reported.
//
// It returns an error when there are no lots, when a weight is missing,
// a size makes no sense or the packing is below zero, a [money.MismatchError]
// when the values are in several currencies, and [money.ErrOverflow] or
// an error of [measure] when a result is too large.
func Pack(lots []Lot, p freight.Packing) ([]Box, error) {
	return Services{}.Pack(lots, p)
}

// Services are what those that were admitted look at of a box.
type Services struct {
	forms []form
	falls bool // more by volume may cost less
}

// Admit adds a service.
func (s *Services) Admit(t *Tariff) {
	whole := int64(-1)
	if v := t.service; v.Divisor > 0 && v.Billed != freight.Actual {
		whole = int64(v.WholeTo)
		s.falls = s.falls || whole > int64(maxSide) || !slices.IsSorted(t.totals)
	}
	for _, of := range t.limits {
		if f := (form{bounds{longest: of.longest, girth: of.girth, sides: of.sides}, whole}); !slices.Contains(s.forms, f) {
			s.forms = append(s.forms, f)
		}
	}
}

// Pack is [Pack] with no other boxes than it takes for each service to ask as little, or none.
func (s Services) Pack(lots []Lot, p freight.Packing) ([]Box, error) {
	b, err := weighLots(lots, p)
	if err != nil {
		return nil, err
	}
	unsized := func(l Lot) bool { return l.Size == measure.Size{} }
	if slices.ContainsFunc(lots, unsized) {
		lots = slices.DeleteFunc(slices.Clone(lots), unsized)
	}
	if len(lots) == 0 {
		return []Box{b}, nil
	}
	pad, forms := 2*int64(p.Padding), []form(nil)
	for _, f := range s.forms {
		if !s.falls { // of the padding the girth has four on each side
			forms = append(forms, form{bounds{longest: f.longest - pad, girth: f.girth - 5*pad, sides: f.sides - 3*pad}, f.whole})
		}
	}
	front := shapesOf(lots, pad, forms)
	boxes := make([]Box, len(front))
	for i := range front {
		boxes[i] = b
		boxes[i].become(&front[i])
	}
	return boxes, nil
}

// become gives the box a shape, with padding on every side.
func (b *Box) become(s *shape) {
	pad := 2 * b.packing.Padding
	b.Size = measure.Size{L: measure.Length(max(s.x, s.y)) + pad, W: measure.Length(min(s.x, s.y)) + pad, H: measure.Length(s.z) + pad}
}

// maxSide bounds the sides, so that no sum of them can
// leave the range of a length, nor an area of all stacks that of 64 bits.
const maxSide = 10_000 * measure.Centimetre

func weighLots(lots []Lot, p freight.Packing) (Box, error) {
	if len(lots) == 0 {
		return Box{}, badInput("there are no lots to pack", "give at least one")
	}
	share, ok := exact.NewRatio(p.Share)
	if !ok || p.Fixed < 0 || p.Padding < 0 || p.Padding > maxSide {
		return Box{}, badPacking(&p, ok)
	}
	b := Box{Lots: lots, packing: p, roll: len(lots) == 1 && lots[0].Roll}
	var contents measure.Weight
	var err error
	for i := range lots {
		if err := lots[i].check(); err != nil {
			return Box{}, err
		}
		if contents, err = contents.Add(lots[i].Weight); err != nil {
			return Box{}, err
		}
		if err := b.addValue(lots[i].Value); err != nil {
			return Box{}, err
		}
	}
	extra, ok := share.Up(int64(contents))
	if !ok {
		return Box{}, fmt.Errorf("%s of %s: passes %s, the limit of a weight", money.FormatPercent(p.Share), contents, measure.Weight(math.MaxInt64))
	}
	if b.Weight, err = contents.Add(measure.Weight(extra)); err == nil {
		b.Weight, err = b.Weight.Add(p.Fixed)
	}
	return b, err
}

func (b *Box) addValue(a money.Amount) error {
	if a.Currency() == 0 {
		return nil
	}
	if b.Value.Currency() == 0 {
		b.Value = a
		return nil
	}
	sum, err := b.Value.Add(a)
	b.Value = sum
	return err
}

// Volume is that of the lot, in whole mm3 of whole mm a side; 0 where its size is not known.
func (l *Lot) Volume() int64 {
	mm := func(side measure.Length) int64 { return int64(side) / millimetre }
	return mm(l.Size.L) * mm(l.Size.W) * mm(l.Size.H)
}

func (l *Lot) check() error {
	fail := func(what, remedy string) error { return badLot(l.ID, what, remedy) }
	low, high := min(l.Size.L, l.Size.W, l.Size.H), max(l.Size.L, l.Size.W, l.Size.H)
	switch {
	case l.Weight == 0:
		return fail("the weight is missing", "weigh the lot or estimate it, as in 780 g")
	case l.Weight < 0:
		return fail(fmt.Sprintf("the weight %q is below zero", l.Weight), "give a weight above zero")
	case low <= 0 && l.Size != (measure.Size{}):
		return fail(fmt.Sprintf("the size %q has a side that is not above zero", l.Size), "give all three sides, or none")
	case high > maxSide:
		return fail(fmt.Sprintf("the size %q has a side above %s", l.Size, maxSide), "check the unit")
	case l.Value.Sign() < 0:
		return fail(fmt.Sprintf("the value %q is below zero", l.Value), "give zero or more")
	}
	return nil
}

func badPacking(p *freight.Packing, shareFits bool) error {
	switch {
	case p.Share.Sign() < 0:
		return badInput(fmt.Sprintf("the packing's share %q is below zero", money.FormatPercent(p.Share)), "give zero or more")
	case !shareFits:
		return badInput("the packing's share has more than 18 digits", "give a percentage as in 8%")
	case p.Fixed < 0:
		return badInput(fmt.Sprintf("the packing's weight %q is below zero", p.Fixed), "give zero or more")
	}
	return badInput(fmt.Sprintf("the padding %q is below zero or above %s", p.Padding, maxSide), "give the thickness on one side, as in 2 cm")
}
