package customs

import (
	"math/big"
	"slices"
	"time"

	"lotcost/landed/money"
)

// Refund is what may be paid back of a charge on goods that are sent back. Its figure says of what
// part, and what must be so.
type Refund struct {
	Figure
	Parcel, Line string       // ids
	Pieces       int64        // how many of the line are sent back
	Amount       money.Amount // at most, in the territory's currency
	Until        time.Time    // the last day to claim it; zero where that is not known
}

// Refunds tells what may be paid back when so many pieces of some lines, by id, are sent back: of
// duty and of tax, each by the first rule for it, rounded down (practice, no source). A charge of
// which the rules know no refund has none; more pieces than there are count as all.
func (a *Assessment) Refunds(pieces map[string]int64) []Refund {
	var all []Refund
	if a.of == nil {
		return nil // not made by Assess
	}
	back := &assessor{rules: a.Rules, c: a.of}
	back.prepare()
	for i := range back.work {
		w := &back.work[i]
		for j := range w.lines {
			n := min(pieces[w.lines[j].ID], w.lines[j].Count)
			if n <= 0 {
				continue
			}
			charged := &a.Parcels[i].Lines[j]
			for kind, sum := range [...]money.Amount{charged.Duty, charged.Tax} {
				if rule := back.refundOf(w, 1<<kind); rule != nil && sum.Minor() != 0 {
					all = append(all, back.refund(w, &w.lines[j], rule, kind, n, sum.Minor()))
				}
			}
		}
	}
	return all
}

// refundOf finds the first rule for a kind.
func (a *assessor) refundOf(w *parcelWork, kind kinds) *refund {
	i := slices.IndexFunc(a.rules.refunds, func(r refund) bool { return r.of&kind != 0 && a.applies(&r.when, w) })
	if i < 0 {
		return nil
	}
	return &a.rules.refunds[i]
}

// refund makes one, at most what was charged: no part is more than the whole.
func (a *assessor) refund(w *parcelWork, l *lineWork, rule *refund, kind int, n, charged int64) Refund {
	sum, of := big.NewInt(charged), big.NewInt(l.Count)
	sum.Mul(sum.Mul(sum, big.NewInt(n)), new(big.Int).SetUint64(rule.part.num))
	sum.Quo(sum, of.Mul(of, new(big.Int).SetUint64(rule.part.den)))
	r := Refund{Figure: a.figure(rule.cite, "refund", kindNames[kind], rule.words), Parcel: w.ID, Line: l.ID, Pieces: n, Amount: a.amount(sum.Int64())}
	if rule.months != 0 && !a.c.On.IsZero() {
		r.Until = a.c.On.AddDate(0, rule.months, 0)
	}
	return r
}
