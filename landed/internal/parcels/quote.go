package parcels

import (
	"cmp"
	"fmt"
	"math"

	"lotcost/landed/freight"
	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// What sets a billed weight.
const (
	byVolume  = "volumetric"
	byMinimum = "minimum" // the service's least billed weight
)

// Ask prices boxes for the same lots, as [Pack] makes them, and returns the account of the
// cheapest, the earlier box where two cost the same. Each line is rounded once, half away from
// zero.
//
// It returns a [*RefusedError], of the first box, when the service takes none; a
// [money.MismatchError] when a box's value matters and is in another currency; an error when
// there is no box, or one has no weight, a side that is not above zero or a value
// below zero; and [money.ErrOverflow] or an error of [measure] when a result
// is too large.
func (t *Tariff) Ask(boxes []Box) (Quote, error) {
	if len(boxes) == 0 {
		return Quote{}, badInput("there is no box", "give at least one")
	}
	var best weighed
	at, least := -1, int64(0)
	var refusal error
	for i := range boxes {
		b := &boxes[i]
		w, err := t.weighed(b)
		if err != nil {
			return Quote{}, err
		}
		if !t.takes(b, w.billed) {
			if i == 0 { // its words take longer than all the rest
				refusal = t.refusal(b, w.billed)
			}
			continue
		}
		carriage, insurance, ok := t.asks(b, w.billed)
		if !ok {
			return Quote{}, money.ErrOverflow
		}
		if at < 0 || carriage+insurance < least {
			best, at, least = w, i, carriage+insurance
		}
	}
	if at < 0 {
		return Quote{}, refusal
	}
	return t.account(&boxes[at], best)
}

func (t *Tariff) weighed(b *Box) (weighed, error) {
	if err := cmp.Or(b.check(), t.mismatch(b)); err != nil {
		return weighed{}, err
	}
	return t.weigh(b)
}

func (t *Tariff) account(b *Box, w weighed) (Quote, error) {
	q := Quote{Service: t.service, Size: b.Size, Weight: b.Weight, Volumetric: w.volumetric, Billed: w.billed, SetBy: w.setBy}
	q.Step = steps(&t.weights, int64(w.billed), func(n int64) string { return measure.Weight(n).String() })
	if err := t.fill(&q, b); err != nil {
		return Quote{}, err
	}
	q.NextCheaper = t.cheaper(&q, w.counts)
	q.Cautions = t.cautions(b, w.setBy)
	return q, nil
}

// fill works out the lines of the quote of a box and their sum.
func (t *Tariff) fill(q *Quote, b *Box) error {
	postage, ok := t.weights.at(int64(q.Billed))
	fuel, okFuel := t.surcharge(postage)
	insured := t.insured(b)
	insurance, okInsurance := t.insurance(insured)
	total, okTotal := exact.Sum(postage, t.parcel, fuel, insurance)
	if !ok || !okFuel || !okInsurance || !okTotal {
		return money.ErrOverflow
	}
	line := func(what, figure string, minor int64, asked bool) {
		if asked {
			q.Lines = append(q.Lines, Charge{What: what, Figure: figure, Amount: money.New(minor, t.service.Currency)})
		}
	}
	line("postage", fmt.Sprintf("%s billed: %s", q.Billed, q.Step), postage, true)
	line("per parcel", "", t.parcel, t.parcel > 0)
	line("fuel", t.fuelFigure(postage), fuel, t.fuel.Num > 0)
	line("insurance", t.coverFigure(insured), insurance, insured > 0)
	q.Total = money.New(total, t.service.Currency)
	return nil
}

// steps is the step of a table that a figure is in, in words.

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
	if t.service.FuelOnAll {
		postage += t.parcel // carriage has shown that this fits
	}
	return fmt.Sprintf("%s of %s", money.FormatPercent(t.service.Fuel), money.New(postage, t.service.Currency))
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

// cautions tells what the quote of a box rests on without having seen it.
func (t *Tariff) cautions(b *Box, setBy string) []string {
	var cautions []string
	l := t.limits[b.form()]
	const none = math.MaxInt64
	bySize := l.longest != none || l.girth != none || l.sides != none
	switch {
	case !b.sized() && t.service.Billed != freight.Actual:
		cautions = append(cautions, "the size is not known: billed by actual weight, while the service bills by volume, and limits on size are not looked at")
	case !b.sized() && bySize:
		cautions = append(cautions, "the size is not known: limits on size are not looked at")
	case setBy == byVolume && len(b.Lots) > 1:
		cautions = append(cautions, "volume sets the price, and a smaller box may do for these lots")
	}
	if n := b.unvalued(); n > 0 && (l.value != none || t.covers && !b.Uninsured) {
		cautions = append(cautions, fmt.Sprintf("%d of %d lots have no value: they are not insured, and a limit on value does not count them", n, len(b.Lots)))
	}
	return cautions
}
