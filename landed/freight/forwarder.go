package freight

import (
	"fmt"
	"time"

	"lotcost/landed/internal/exact"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Forwarder is what somebody asks who receives lots, keeps them and sends them
// on. All amounts are in one currency; one without a currency is none.
type Forwarder struct {
	PerParcel     money.Amount // for each parcel that leaves
	PerLot        money.Amount // for each lot received
	Consolidation money.Amount // for each parcel of more than one lot
	Storage       Storage
}

// Storage is what keeping a lot costs. A day is begun when a lot stays over
// night: a lot that leaves on the day it came was kept for none.
type Storage struct {
	FreeDays int
	PerDay   money.Amount // for each day after the free ones
	By       StorageBy
}

// StorageBy says for what a day of storage is asked.
type StorageBy uint8

// What storage is asked for.
const (
	ByLot      StorageBy = iota
	ByKilogram           // each kilogram begun, lot by lot
)

var storageNames = []string{"lot", "kg"}

// String returns the word used in files.
func (s StorageBy) String() string { return nameOf(storageNames, s) }

// Held is a lot that a forwarder keeps.
type Held struct {
	Lot     string
	Arrived time.Time      // at 00:00 UTC; zero when not known, then no storage is reckoned
	Weight  measure.Weight // needed where storage is by the kilogram
}

// Charge is one thing a forwarder asks.
type Charge struct {
	What   string // "per parcel", "per lot", "consolidation" or "storage"
	Lot    string // empty when it is for the parcel
	Figure string // what it was reckoned from; may be empty
	Amount money.Amount
}

// Charges are what the forwarder asks for one parcel of the lots that leaves on
// a day, at 00:00 UTC: first what is for the parcel, then lot by lot. Nothing is
// rounded. The charges of several parcels simply add up.
//
// It returns an [*InputError] when there are no lots, one arrives after it
// leaves, a weight that is needed is missing or a charge is below zero, a
// [*money.MismatchError] when the charges are in several currencies, and
// [money.ErrOverflow].
func (f *Forwarder) Charges(lots []Held, leaves time.Time) ([]Charge, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	if len(lots) == 0 {
		return nil, &InputError{What: "there are no lots to send on", Remedy: "give at least one"}
	}
	var charges []Charge
	add := func(what, lot, figure string, a money.Amount) {
		if a.Sign() != 0 {
			charges = append(charges, Charge{what, lot, figure, a})
		}
	}
	add("per parcel", "", "", f.PerParcel)
	if len(lots) > 1 {
		add("consolidation", "", fmt.Sprintf("%d lots in one parcel", len(lots)), f.Consolidation)
	}
	for i := range lots {
		add("per lot", lots[i].Lot, "", f.PerLot)
		figure, a, err := f.Storage.charge(&lots[i], leaves)
		if err != nil {
			return nil, err
		}
		add("storage", lots[i].Lot, figure, a)
	}
	return charges, nil
}

func (f *Forwarder) check() error {
	var c money.Currency
	for _, a := range []money.Amount{f.PerParcel, f.PerLot, f.Consolidation, f.Storage.PerDay} {
		switch {
		case a.Sign() < 0:
			return &InputError{What: fmt.Sprintf("the forwarder's charge %q is below zero", a), Remedy: "give zero or more"}
		case a.Currency() == 0:
		case c != 0 && a.Currency() != c:
			return &money.MismatchError{A: c, B: a.Currency()}
		default:
			c = a.Currency()
		}
	}
	if f.Storage.FreeDays < 0 {
		return &InputError{What: fmt.Sprintf("%d free days of storage", f.Storage.FreeDays), Remedy: "give zero or more"}
	}
	return nil
}

// charge is what storing one lot costs.
func (s *Storage) charge(h *Held, leaves time.Time) (figure string, a money.Amount, err error) {
	if s.PerDay.Sign() == 0 || h.Arrived.IsZero() {
		return "", money.Amount{}, nil
	}
	if leaves.Before(h.Arrived) {
		return "", money.Amount{}, &InputError{
			Lot: h.Lot, What: fmt.Sprintf("it arrives on %s and would leave on %s", day(h.Arrived), day(leaves)), Remedy: "let the parcel leave when all its lots are there",
		}
	}
	const secondsPerDay = 24 * 60 * 60 // a Duration would stop at 292 years
	kept := (leaves.Unix() - h.Arrived.Unix()) / secondsPerDay
	days := max(0, kept-int64(s.FreeDays))
	if days == 0 {
		return "", money.Amount{}, nil
	}
	figure = fmt.Sprintf("%s beyond %d free, %s each", count(days, "day"), s.FreeDays, s.PerDay)
	if s.By == ByLot {
		a, err = s.PerDay.Times(days)
		return figure, a, err
	}
	kg, err := h.kilograms()
	if err != nil {
		return "", money.Amount{}, err
	}
	units, ok := exact.Mul(days, kg)
	if !ok {
		return "", money.Amount{}, money.ErrOverflow
	}
	a, err = s.PerDay.Times(units)
	return fmt.Sprintf("%s, for %d kg begun", figure, kg), a, err
}

func count(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// kilograms is the lot's weight in kilograms begun.
func (h *Held) kilograms() (int64, error) {
	if h.Weight <= 0 {
		return 0, &InputError{Lot: h.Lot, What: "the weight is missing, and storage is by the kilogram", Remedy: "weigh the lot or estimate it, as in 780 g"}
	}
	return ceilTo(int64(h.Weight), int64(measure.Kilogram)) / int64(measure.Kilogram), nil
}
