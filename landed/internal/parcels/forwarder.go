package parcels

import (
	"fmt"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Charges are what the forwarder asks for one parcel of the lots that leaves on
// a day, at 00:00 UTC: first what is for the parcel, then lot by lot. Nothing is
// rounded. The charges of several parcels simply add up. Storage of a lot is left
// out when the day it arrived is not known.
//
// It returns an error when there are no lots, one arrives after it
// leaves, a weight that is needed is missing or a charge is below zero, a
// [money.MismatchError] when the charges are in several currencies, and
// [money.ErrOverflow].
func Charges(f *freight.Forwarder, lots []Lot, leaves time.Time) ([]Charge, error) {
	if err := checkForwarder(f); err != nil {
		return nil, err
	}
	if len(lots) == 0 {
		return nil, badInput("there are no lots to send on", "give at least one")
	}
	var charges []Charge
	add := func(what, lot, figure string, a money.Amount) {
		if a.Sign() != 0 {
			charges = append(charges, Charge{What: what, Lot: lot, Figure: figure, Amount: a})
		}
	}
	add("per parcel", "", "", f.PerParcel)
	if len(lots) > 1 {
		add("consolidation", "", fmt.Sprintf("%d lots in one parcel", len(lots)), f.Consolidation)
	}
	for i := range lots {
		add("per lot", lots[i].ID, "", f.PerLot)
		figure, a, err := storage(f, &lots[i], leaves)
		if err != nil {
			return nil, err
		}
		add("storage", lots[i].ID, figure, a)
	}
	return charges, nil
}

func checkForwarder(f *freight.Forwarder) error {
	var c money.Currency
	for _, a := range []money.Amount{f.PerParcel, f.PerLot, f.Consolidation, f.PerDay} {
		switch {
		case a.Sign() < 0:
			return badInput(fmt.Sprintf("the forwarder's charge %q is below zero", a), "give zero or more")
		case a.Currency() == 0:
		case c != 0 && a.Currency() != c:
			return money.MismatchError{c, a.Currency()}
		default:
			c = a.Currency()
		}
	}
	if f.FreeDays < 0 {
		return badInput(fmt.Sprintf("%d free days of storage", f.FreeDays), "give zero or more")
	}
	return nil
}

func storage(f *freight.Forwarder, l *Lot, leaves time.Time) (figure string, a money.Amount, err error) {
	if f.PerDay.Sign() == 0 || l.Arrived.IsZero() {
		return "", money.Amount{}, nil
	}
	if leaves.Before(l.Arrived) {
		return "", money.Amount{}, badLot(l.ID, fmt.Sprintf("it arrives on %s and would leave on %s", date(l.Arrived), date(leaves)), "let the parcel leave when all its lots are there")
	}
	const secondsPerDay = 24 * 60 * 60 // a Duration would stop at 292 years
	kept := (leaves.Unix() - l.Arrived.Unix()) / secondsPerDay
	days := max(0, kept-int64(f.FreeDays))
	if days == 0 {
		return "", money.Amount{}, nil
	}
	figure, units := fmt.Sprintf("%s beyond %d free, %s each", count(days, "day"), f.FreeDays, f.PerDay), days
	if f.PerKilogram {
		if l.Weight <= 0 {
			return "", money.Amount{}, badLot(l.ID, "the weight is missing, and storage is by the kilogram", "weigh the lot or estimate it, as in 780 g")
		}
		kg := ceilTo(int64(l.Weight), int64(measure.Kilogram)) / int64(measure.Kilogram)
		figure += fmt.Sprintf(", for %d kg begun", kg)
		var ok bool
		if units, ok = exact.Mul(days, kg); !ok {
			return "", money.Amount{}, money.ErrOverflow
		}
	}
	a, err = f.PerDay.Times(units)
	return figure, a, err
}

func count(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
