package show

import (
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// atLimits are the sets of open lots that matter, with their limits as prices.
func atLimits(list []bid.Won) []sheet.Block {
	t := &sheet.Table{Topic: "at limits", Title: "With open lots won at their limits", Columns: []sheet.Column{
		{Head: "won"}, {Head: "at", Wrap: true, Min: 16}, {Head: "freight", Align: sheet.Right, Optional: 2}, {Head: "duty", Align: sheet.Right, Optional: 1}, {Head: "tax", Align: sheet.Right, Optional: 1},
		{Head: "border", Align: sheet.Right}, {Head: "total cost", Align: sheet.Right}, {Head: "parcels", Wrap: true, Min: 12, Optional: 3}}}
	blocks := []sheet.Block{t}
	for w := range sheet.All(list) {
		if w.Above.Currency() != 0 {
			blocks = append(blocks, caution(w.What+": "+w.Statement.Total.String()+" is above the budget of "+w.Above.String()+": once one is won, the limits of the others fall"))
		}
		parcels := strings.Join(sheet.Each(sentBy(w.Plan), func(s *together.Sent) string {
			return strings.Join(s.Parcel.Lots, ", ") + " by " + s.Quote.Service.Name
		}), "; ")
		if st := w.Statement; st != nil {
			t.Columns[6].Head = "total cost, " + st.Home.Code()
			t.Add(w.What, priced(w.Lots, w.Prices), st.Sum(landed.Freight), st.Sum(landed.Duty), st.Sum(landed.Tax), asksOf(st), sheet.Bold(st.Total), parcels)
		} else {
			t.Add(w.What, priced(w.Lots, w.Prices), nil, nil, nil, nil, "no service takes them", parcels)
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return blocks
}

// asksOf is what the border asks, as billed or else as estimated.
func asksOf(st *landed.Statement) money.Amount {
	return money.New(st.Estimate().Minor()+billed(st).Minor(), st.Home)
}

// billed is what the border has asked by its bills.
func billed(st *landed.Statement) money.Amount {
	return money.New(sumEach(st.Bills(), func(bill **landed.Line) int64 { return (*bill).Home.Minor() }), st.Home)
}

// priced lists lots with their prices.
func priced(lots []string, prices []money.Amount) string {
	texts := make([]string, len(prices))
	for i, price := range prices {
		texts[i] = lots[i] + " " + price.String()
	}
	return strings.Join(texts, ", ")
}

func atLimitsJSON(list []bid.Won) []object {
	return sheet.Each(list, func(w *bid.Won) object {
		var lots []object
		for n, id := range w.Lots {
			lots = append(lots, object{"id", id, "price", w.Prices[n].String()})
		}
		costs := object{"total", nil}
		if st := w.Statement; st != nil {
			costs = object{"total", st.Total, "freight", st.Sum(landed.Freight), "duty", st.Sum(landed.Duty), "tax", st.Sum(landed.Tax), "border", asksOf(st)}
		}
		return slices.Concat(object{"won", w.What, "lots", lots}, costs, object{"parcels?", boxesJSON(w.Plan)})
	})
}
