package show

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/bid"
	"lotcost/landed/money"
)

// MostCourses is of how many ways in which an evening may go a page tells.
const MostCourses = 160

// nightOf is what is marked as the evening goes.
func nightOf(e *bid.Evening, courses []bid.Course) *sheet.Night {
	n := &sheet.Night{Lots: sheet.Each(e.Lots, func(l *bid.LotTonight) sheet.NightLot { return sheet.NightLot{ID: l.ID} })}
	for _, c := range courses {
		s := sheet.NightState{}
		for i, won := range c.Won {
			if won.Currency() == 0 {
				s.Key += sheet.NightLost
				continue
			}
			lot, price := &n.Lots[i], won.String()
			at := slices.Index(lot.Won, price)
			if at < 0 {
				at, lot.Won = len(lot.Won), append(lot.Won, price)
			}
			s.Key += strconv.Itoa(at)
		}
		if c.Evening != nil {
			s.Answer = eveningAnswer(c.Evening)
			if c.Plan != nil {
				s.More = fmt.Sprintf("Still to be expected: %s.", profitText(homeSum(new(big.Rat).Sub(c.Plan.Proceeds, c.Plan.Cost), c.Home)))
			}
			s.Limits = sheet.Each(c.Lots, func(l *bid.LotTonight) string { return limitText(l.Limit) })
		}
		n.States = append(n.States, s)
	}
	return n
}

func limitText(limit money.Amount) string {
	if limit.Currency() == 0 {
		return "no bid"
	}
	return limit.String()
}

// eveningChart is the lots in the order in which they close: what is likely, the limit with all
// before them lost, and how wins before them move it.
func eveningChart(e *bid.Evening, courses []bid.Course) []sheet.Block {
	cur := e.Lots[0].Bids
	bars := &sheet.Bars{Axis: sheet.Axis{What: cur.Code(), Print: printed(cur)}}
	figures := &sheet.Table{Topic: "limits", Columns: []sheet.Column{{Head: "lot", Key: "lot"}, {Head: "may go for, at least", Key: "least", Align: sheet.Right}, {Head: "at most", Key: "most", Align: sheet.Right},
		{Head: "limit, all before it lost", Key: "lost", Align: sheet.Right}, {Head: "all before it won", Key: "won", Align: sheet.Right}}}
	var moved []string
	for i := range e.Lots {
		l := &e.Lots[i]
		if l.Bids != cur || l.Likely == nil {
			return nil // there is no one axis, or nothing on it
		}
		won, known := afterWins(e, courses, i)
		row := sheet.BarRow{Label: l.ID, Figure: limitText(l.Limit), Parts: []sheet.Part{{From: l.Least.Minor(), To: l.Most.Minor(), Ink: sheet.Quiet, What: l.ID + ": may go for"}}}
		after := ""
		if l.Limit.Currency() != 0 {
			row.Marks = append(row.Marks, sheet.Mark{At: l.Limit.Minor(), Kind: sheet.Tick, What: l.ID + ": limit " + l.Limit.String() + ", all before it lost"})
		}
		if known && i > 0 {
			if after = limitText(won); won.Currency() != 0 {
				row.Marks = append(row.Marks, sheet.Mark{At: won.Minor(), Kind: sheet.Dot, What: l.ID + ": limit " + won.String() + ", all before it won"})
			}
			if won != l.Limit {
				moved = append(moved, fmt.Sprintf("%s from %s to %s", l.ID, limitText(l.Limit), limitText(won)))
			}
		}
		bars.Rows = append(bars.Rows, row)
		figures.Add(l.ID, l.Least, l.Most, limitText(l.Limit), after)
	}
	says := "The bars are what each may go for; a stroke marks the limit if all lots before are lost, a ring if all are won at the middle of what they may go for."
	says += sheet.Either(len(moved) > 0, " Such wins move the limit of "+firstOf(moved)+".", "")
	return []sheet.Block{&sheet.Chart{Title: "How the evening may go", Says: says, Drawing: bars, Figures: figures}}
}

// afterWins is the limit of a lot once all before it are won at the middle of what is likely, and
// whether that is known.
func afterWins(e *bid.Evening, courses []bid.Course, lot int) (money.Amount, bool) {
	middles := sheet.Each(e.Lots[:lot], func(l *bid.LotTonight) money.Amount { return l.Middle })
	for _, c := range courses {
		if c.Evening != nil && slices.Equal(c.Won, middles) {
			return c.Lots[0].Limit, true
		}
	}
	return money.Amount{}, false
}
