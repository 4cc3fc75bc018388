package show

import (
	"fmt"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/doubles"
	"lotcost/landed/resale"
	"lotcost/landed/together"
)

// A page tells, folded, how its figures came about.

// mostStories is of how many items that is told.
const mostStories = 200

// storyID is the address of how an item's cost came about.
func storyID(item string) string { return "story-" + item }

// storyLink is that address where it is told.
func storyLink(st *landed.Statement, item *landed.ItemCost) string {
	if len(st.Items) > mostStories {
		return ""
	}
	return storyID(item.ID)
}

const storiesHead = sheet.Heading("How each figure came about")

// folded is one table behind a title.
func folded(title, id string, t *sheet.Table, more ...sheet.Block) *sheet.Folded {
	t.Title, t.Topic = "", id+"-steps"
	return &sheet.Folded{Title: title, ID: id, Blocks: append([]sheet.Block{t}, more...)}
}

// stories tells how all came about that was paid: each amount, each item, and the border.
func stories(st *landed.Statement) sheet.PageOnly {
	return func() []sheet.Block {
		blocks := []sheet.Block{storiesHead, paidStory(st)}
		if len(st.Items) > mostStories {
			blocks = append(blocks, sheet.Text(fmt.Sprintf("Of %d items that would be too long here.", len(st.Items))))
		} else {
			for i := range st.Items {
				blocks = append(blocks, folded(fmt.Sprintf("%s: %s", st.Items[i].ID, st.Items[i].Cost), storyID(st.Items[i].ID), itemWorking(st, i)))
			}
		}
		return append(blocks, borderStory(st)...)
	}
}

func paidStory(st *landed.Statement) *sheet.Folded {
	return folded("Each amount that is paid, and how it is shared", "the-working", working(st))
}

// borderStory is what the border asks, step by step and with its sources.
func borderStory(st *landed.Statement) []sheet.Block {
	a := st.Border
	if a == nil {
		return nil
	}
	steps := stepsToRead(a)
	f := folded("The border, step by step, with its sources", "the-border", steps[0].(*sheet.Table), steps[1:]...)
	f.Blocks = append([]sheet.Block{sheet.Text(rulesLine(a.Rules)), dutyTable(a)}, f.Blocks...)
	return []sheet.Block{f}
}

// bidStory tells how the cost of a bid came about.
func bidStory(a *bid.Answer) sheet.PageOnly {
	return func() []sheet.Block {
		return append([]sheet.Block{storiesHead, paidStory(a.Statement)}, borderStory(a.Statement)...)
	}
}

// priceStories tells of each piece to be sold what becomes of the price at which it breaks even.
func priceStories(r *doubles.Result) sheet.PageOnly {
	return func() []sheet.Block {
		if len(r.Offers) == 0 || len(r.Offers) > mostStories {
			return nil
		}
		blocks := []sheet.Block{storiesHead}
		for o := range sheet.All(r.Offers) {
			q := r.Quote(o)
			sale := q.Sale()
			sale.Target = resale.Target{}
			if q.BreakEven.Err != nil {
				continue
			}
			if out, err := sale.At(q.BreakEven.Price); err == nil {
				t := priceWorkingTable(o, q, &out)
				blocks = append(blocks, folded(t.Title, storyID(OfferName(o)), t))
			}
		}
		return blocks
	}
}

// planStories tells what each parcel of the best way costs.
func planStories(r *together.Report) sheet.PageOnly {
	return func() []sheet.Block {
		blocks := []sheet.Block{storiesHead}
		for s := range sheet.All(r.Best.Parcels) {
			t := &sheet.Table{Columns: []sheet.Column{{Head: "what", Key: "what", Wrap: true}, {Head: "for", Key: "lot"}, {Head: "from", Key: "from", Wrap: true}, {Head: "amount", Key: "amount", Align: sheet.Right}}}
			for _, l := range append(s.Quote.Lines[:len(s.Quote.Lines):len(s.Quote.Lines)], s.Charges...) {
				t.Add(l.What, l.Lot, l.Figure, l.Amount.String())
			}
			blocks = append(blocks, folded(fmt.Sprintf("%s by %s, %s", s.Parcel.ID, s.Quote.Service.Name, s.Quote.Step), "parcel-"+s.Parcel.ID, t))
		}
		return append(append(blocks, paidStory(r.Best.Statement)), borderStory(r.Best.Statement)...)
	}
}
