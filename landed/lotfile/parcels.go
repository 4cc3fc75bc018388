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
	p.Lots = r.texts(m.Get("lots"))
	r.need(!m.Misspelt("lots"), p.At)
	p.Freight = r.notNegative(m.Get("freight"))
	p.Insurance = r.notNegative(m.Get("insurance"))
	p.Fees = r.notNegative(m.Get("fees"))
	settled := m.Get("settled").Map(carriageKeys...)
	p.Settled = landed.Carriage{Freight: r.taken(settled.Get("freight"), p.Freight), Insurance: r.taken(settled.Get("insurance"), p.Insurance), Fees: r.taken(settled.Get("fees"), p.Fees)}
	p.Bill = r.bill(m.Get("assessed"))
	p.Billed, _ = input.Scalar(m.Get("billed"), measure.ParseWeight)
	p.Size, _ = input.Scalar(m.Get("size"), measure.ParseSize)
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
