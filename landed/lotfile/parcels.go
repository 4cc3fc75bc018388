package lotfile

import (
	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

var (
	parcelKeys   = []string{"id", "lots", "freight", "insurance", "fees", "billed", "size", "settled", "assessed"}
	carriageKeys = []string{"freight", "insurance", "fees"}
	billKeys     = []string{"duty", "tax", "fee"}
)

func (r *reader) parcel(n input.Node, p *landed.Parcel) {
	m := n.Map(parcelKeys...)
	p.At = n.Origin()
	p.ID = r.named(m, "parcel")
	var whole bool
	p.Lots, whole = r.lotIDs(m.Get("lots"), "write their ids in brackets, as in lots: [crate-a, box-b]")
	r.need(whole && !m.Misspelt("lots"), p.At)
	p.Freight = r.notNegative(m.Get("freight"))
	p.Insurance = r.notNegative(m.Get("insurance"))
	p.Fees = r.notNegative(m.Get("fees"))
	settled := m.Get("settled").Map(carriageKeys...)
	p.Settled = landed.Carriage{Freight: r.taken(settled.Get("freight"), p.Freight), Insurance: r.taken(settled.Get("insurance"), p.Insurance), Fees: r.taken(settled.Get("fees"), p.Fees)}
	p.Bill = r.bill(m.Get("assessed"))
	p.Billed, _ = input.Scalar(m.Get("billed"), measure.ParseWeight)
	p.Size, _ = input.Scalar(m.Get("size"), measure.ParseSize)
}

// lotIDs reads a list of ids of lots, or one id. It reports false where it is neither, which it
// tells once.
func (r *reader) lotIDs(n input.Node, remedy string) (ids []string, whole bool) {
	const what = "a list of lots belongs here"
	if n.IsMap() {
		n.Misshapen(what, remedy)
		return nil, false
	}
	before := r.report.Len()
	for _, entry := range n.Names() {
		if entry.IsMap() || entry.IsList() {
			n.Misshapen(what, remedy)
			return nil, false
		}
		if id, ok := entry.Text(); ok {
			ids = append(ids, id)
		}
	}
	return ids, r.report.Len() == before
}

// bill reads what the border really asked.
func (r *reader) bill(n input.Node) landed.Bill {
	m := n.Map(billKeys...)
	return landed.Bill{Duty: r.notNegative(m.Get("duty")), Tax: r.notNegative(m.Get("tax")), Fee: r.notNegative(m.Get("fee"))}
}

// notNegative reads an amount that cannot be a refund.
func (r *reader) notNegative(n input.Node) money.Amount {
	a := r.amount(n)
	if a.Sign() < 0 {
		n.Fail("this cannot be negative", "write a refund as a charge with a negative amount")
		return money.Amount{}
	}
	return a
}
