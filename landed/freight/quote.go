package freight

import (
	"errors"
	"fmt"
	"math"
	"time"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// SetBy says what a billed weight comes from.
type SetBy uint8

// What sets the billed weight.
const (
	SetByActual SetBy = iota
	SetByVolumetric
	SetByMinimum // the service's least billed weight
)

var setByNames = []string{"actual", "volumetric", "minimum"}

// String returns the word used in output.
func (s SetBy) String() string { return nameOf(setByNames, s) }

// Quote is what a service asks for a box. Amounts are in the service's currency.
type Quote struct {
	Service, Zone string
	Box           Box
	Actual        measure.Weight
	Volumetric    measure.Weight // 0 when the size is not known or volume does not count
	Billed        measure.Weight
	SetBy         SetBy
	Step          string // the weight step in words: "up to 1.5 kg"
	Base          money.Amount
	PerParcel     money.Amount
	Fuel          money.Amount
	Insurance     money.Amount
	Total         money.Amount // the sum of the four
	Lines         []QuoteLine  // those of the four that are asked, in this order
	NextCheaper   NextCheaper
	Days          Days
	Cautions      []string // what the quote could not look at
}

// QuoteLine is one line of a quote: what for, from which figure, how much.
type QuoteLine struct {
	What   string // "postage", "per parcel", "fuel" or "insurance"
	Figure string // may be empty
	Amount money.Amount
}

// Quote prices a box on a day, at 00:00 UTC, to a zone. Each line is rounded
// once, half away from zero.
//
// It returns a [*RefusedError] when the service does not take the box, what
// [Service.Compile] returns when it cannot be had, a [*money.MismatchError] when
// the box's value matters and is in another currency, an [*InputError] when the
// box has no weight, a side that is not above zero or a value below zero, and [money.ErrOverflow] or a [*measure.OverflowError] when
// a result is too large.
func (s *Service) Quote(b Box, on time.Time, zone string) (Quote, error) {
	t, err := s.Compile(zone, on)
	if err != nil {
		return Quote{}, err
	}
	return t.Quote(b)
}

// Best prices several boxes for the same lots and returns the cheapest quote,
// the earlier box where two cost the same. When none is taken it returns the
// error of the first.
func (s *Service) Best(boxes []Box, on time.Time, zone string) (Quote, error) {
	t, err := s.Compile(zone, on)
	if err != nil {
		return Quote{}, err
	}
	if len(boxes) == 0 {
		return Quote{}, &InputError{What: "there is no box", Remedy: "give at least one"}
	}
	var best Quote
	var first error
	found := false
	for i, b := range boxes {
		q, err := t.Quote(b)
		var refused *RefusedError
		switch {
		case err != nil && !errors.As(err, &refused):
			return Quote{}, err
		case err != nil && i == 0:
			first = err
		case err == nil && (!found || q.Total.Cmp(best.Total) < 0):
			best, found = q, true
		}
	}
	if !found {
		return Quote{}, first
	}
	return best, nil
}

// Quote is [Service.Quote] by a tariff.
func (t *Tariff) Quote(b Box) (Quote, error) {
	if err := b.check(); err != nil {
		return Quote{}, err
	}
	if err := t.mismatch(&b); err != nil {
		return Quote{}, err
	}
	w, err := t.weigh(&b)
	if err != nil {
		return Quote{}, err
	}
	if err := t.refusal(&b, w.billed); err != nil {
		return Quote{}, err
	}
	q := Quote{
		Service: t.service.Name, Zone: t.zone, Box: b, Days: t.service.Days,
		Actual: b.Weight, Volumetric: w.volumetric, Billed: w.billed, SetBy: w.setBy, Step: t.step(int64(w.billed)),
	}
	if err := t.fill(&q); err != nil {
		return Quote{}, err
	}
	q.NextCheaper = t.cheaper(&q, w.counts)
	q.Cautions = t.cautions(&q)
	return q, nil
}

// fill works out the amounts and lines of a quote.
func (t *Tariff) fill(q *Quote) error {
	postage, ok := t.weights.at(int64(q.Billed))
	fuel, okFuel := t.surcharge(postage)
	insured := t.insured(&q.Box)
	insurance, okInsurance := t.Insurance(insured)
	total, okTotal := sum(postage, t.parcel, fuel, insurance)
	if !ok || !okFuel || !okInsurance || !okTotal {
		return money.ErrOverflow
	}
	in := func(minor int64) money.Amount { return money.New(minor, t.service.Currency) }
	q.Base, q.PerParcel, q.Fuel, q.Insurance, q.Total = in(postage), in(t.parcel), in(fuel), in(insurance), in(total)
	q.line("postage", fmt.Sprintf("%s billed: %s", q.Billed, q.Step), q.Base, true)
	q.line("per parcel", "", q.PerParcel, t.parcel > 0)
	q.line("fuel", t.fuelFigure(postage), q.Fuel, t.fuel.num > 0)
	q.line("insurance", t.coverFigure(insured), q.Insurance, insured > 0)
	return nil
}

func (q *Quote) line(what, figure string, a money.Amount, asked bool) {
	if asked {
		q.Lines = append(q.Lines, QuoteLine{What: what, Figure: figure, Amount: a})
	}
}

// step is the weight step of a billed weight in words.
func (t *Tariff) step(billed int64) string {
	return steps(&t.weights, billed, func(n int64) string { return measure.Weight(n).String() })
}

func steps(t *table, x int64, print func(int64) string) string {
	last := t.last()
	if x > last {
		return fmt.Sprintf("%s and %d further of %s begun", print(last), t.units(x), print(t.each))
	}
	upTo := last
	for i := len(t.upTo) - 1; i >= 0 && t.upTo[i] >= x; i-- {
		upTo = t.upTo[i]
	}
	return "up to " + print(upTo)
}

func (t *Tariff) fuelFigure(postage int64) string {
	if t.service.Fuel.Of == OfPostageAndParcel {
		postage += t.parcel // carriage has shown that this fits
	}
	return fmt.Sprintf("%s of %s", money.FormatPercent(t.service.Fuel.Rate), money.New(postage, t.service.Currency))
}

func (t *Tariff) coverFigure(insured int64) string {
	print := func(n int64) string { return money.New(n, t.service.Currency).String() }
	if len(t.cover.upTo) > 0 {
		return print(insured) + " covered: " + steps(&t.cover, insured, print)
	}
	figure := fmt.Sprintf("%s of %s", money.FormatPercent(t.service.Insurance.Rate), print(insured))
	if least := t.service.Insurance.Least; least.Sign() > 0 {
		figure += ", at least " + least.String()
	}
	return figure
}

// cautions tells what the quote rests on without having seen it.
func (t *Tariff) cautions(q *Quote) []string {
	var cautions []string
	l := t.limits[q.Box.form()]
	const none = math.MaxInt64
	bySize := l.longest != none || l.girth != none || l.sides != none
	switch {
	case !q.Box.Sized() && t.service.Volumetric.Billed != Actual:
		cautions = append(cautions, "the size is not known: billed by actual weight, while the service bills by volume, and limits on size are not looked at")
	case !q.Box.Sized() && bySize:
		cautions = append(cautions, "the size is not known: limits on size are not looked at")
	case q.SetBy == SetByVolumetric && len(q.Box.Lots) > 1:
		cautions = append(cautions, "volume sets the price, and a smaller box may do for these lots")
	}
	if n := q.Box.unvalued(); n > 0 && (l.value != none || t.covers && !q.Box.Uninsured) {
		cautions = append(cautions, fmt.Sprintf("%d of %d lots have no value: they are not insured, and a limit on value does not count them", n, len(q.Box.Lots)))
	}
	return cautions
}
