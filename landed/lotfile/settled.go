package lotfile

import (
	"fmt"
	"math/big"
	"slices"

	"lotcost/fx"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// settlement is an amount that was asked, and what the bank took for it.
type settlement struct {
	asked, took money.Amount
	part        decimal.Decimal // of what was asked: with its premium
	of          source.Origin   // of what it stands with,
	keys        []string        // under which
	field       string          // in words
	makes       *big.Rat        // of what was asked, in home, with the spread
}

// settledKey is that of a lot and of a charge.
var settledKey = []string{"settled"}

// checkSettled warns of what the bank took where that is far from what was asked, at its rate: a
// decimal point has slipped in one of them. Where all that was taken in a currency is far off, it
// is the rate that is wrong, which is said once; and of a rate of which that was said already
// nothing more is.
func (r *reader) checkSettled(f *File) {
	all := settlements(f)
	if f.Home == 0 || len(all) == 0 {
		return
	}
	known, far := map[money.Currency]int{}, map[money.Currency][]settlement{}
	var order []money.Currency
	rates := f.Exchange()
	for _, s := range all {
		c := s.asked.Currency()
		if s.asked.Sign()*s.took.Sign() <= 0 || slices.Contains(r.doubted, fx.Code(c.Code())) {
			continue // nothing, or of another sign, which is told
		}
		took, err := rates.Exact(s.took, f.Home)
		if err == nil {
			s.makes, err = rates.ExactCost(s.asked)
		}
		if err != nil {
			continue
		}
		s.makes.Mul(s.makes, s.part.Rat())
		if known[c]++; known[c] == 1 {
			order = append(order, c)
		}
		if fx.Slipped(took.Quo(took, s.makes)) {
			far[c] = append(far[c], s)
		}
	}
	warn := func(fault *source.Fault) {
		if f.Comma {
			fault.What = input.OtherMarks(fault.What)
		}
		r.report.Add(fault)
	}
	for _, c := range order {
		if all := far[c]; len(all) > 1 && len(all) == known[c] && c != f.Home {
			warn(r.farRate(f, all))
			continue
		}
		for _, s := range far[c] {
			warn(&source.Fault{At: s.of.Key(s.keys...), Field: s.field, Warning: true, What: s.took.String() + " is far from " + s.words(f), Remedy: "correct the amount that is wrong, or the rate"})
		}
	}
}

// farRate warns of the rate of which all that was taken is far off.
func (r *reader) farRate(f *File, all []settlement) *source.Fault {
	return &source.Fault{At: f.At.Key("exchange", "rates"), Field: "exchange", Warning: true,
		What:   fmt.Sprintf("all %d amounts that the bank took for %s are far from what they should be at its rate, as %s is from %s", len(all), all[0].asked.Currency(), all[0].took, all[0].words(f)),
		Remedy: "correct the rate"}
}

// words are what was asked and what it makes.
func (s *settlement) words(f *File) string {
	asked := s.asked.String()
	if !s.part.Equal(decimal.NewFromInt(1)) {
		asked += " with its premium"
	}
	if s.asked.Currency() == f.Home {
		return asked
	}
	rate, err := f.Exchange().Rate(s.asked.Currency(), f.Home)
	makes, rounded := exchange.Round(s.makes, money.HalfAway, f.Home)
	if err != nil || rounded != nil {
		return asked
	}
	return fmt.Sprintf("%s, which makes %s by %s", asked, makes, rate.Source())
}

// settlements lists what the bank took beside what was asked. Nothing is put together for the many
// of which it took nothing yet.
func settlements(f *File) []settlement {
	var all []settlement
	one := decimal.NewFromInt(1)
	both := func(asked, took money.Amount) bool { return asked.Currency() != 0 && took.Currency() != 0 }
	for i := range f.Lots {
		if lot := &f.Lots[i]; both(lot.Price, lot.Settled) {
			all = append(all, settlement{lot.Price, lot.Settled, one.Add(lot.Premium), lot.At, settledKey, "lot " + lot.ID + ": settled", nil})
		}
	}
	for i := range f.Parcels {
		p := &f.Parcels[i]
		for _, c := range [...]struct {
			key         string
			asked, took money.Amount
		}{{"freight", p.Freight, p.Settled.Freight}, {"insurance", p.Insurance, p.Settled.Insurance}, {"fees", p.Fees, p.Settled.Fees}} {
			if both(c.asked, c.took) {
				all = append(all, settlement{c.asked, c.took, one, p.At, []string{"settled", c.key}, "parcel " + p.ID + ": settled: " + c.key, nil})
			}
		}
	}
	for i := range f.Charges {
		if c := &f.Charges[i]; both(c.Amount, c.Settled) {
			all = append(all, settlement{c.Amount, c.Settled, one, c.At, settledKey, "charge " + quote(c.What) + ": settled", nil})
		}
	}
	return all
}
