package show

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/together"
)

// withoutOpen names a sum that holds no open price, nor the border that depends on it; "" where
// none is open.
func withoutOpen(st *landed.Statement) string {
	text, border := "without the open price", " and its border"
	switch n := len(st.Haul.Open()); {
	case n == 0:
		return ""
	case n > 1:
		text, border = text+"s", " and their border"
	}
	if st.Unknown == nil {
		return text
	}
	return text + border
}

// then puts a word before what is not empty.
func then(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// OpenText says of which lots the price is open, and what is not known for it.
func OpenText(st *landed.Statement) string {
	prices, it := "price", "it"
	if len(st.Haul.Open()) > 1 {
		prices, it = "prices", "them"
	}
	text := fmt.Sprintf("Without the open %s of %s: no sum here holds %s.", prices, named(st.Haul.Open()), it)
	if st.Unknown != nil {
		parcels := sheet.Either(len(st.Unknown) == 1 && st.Unknown[0] == "", "the one parcel", named(st.Unknown))
		text += fmt.Sprintf(" Nor is the border of %s counted, which depends on %s; lotcost duty shows it bid by bid.", parcels, it)
	}
	return text
}

// partial tells of which prices a percentage is not.
func partial(st *landed.Statement) []sheet.Block {
	var blocks []sheet.Block
	for l := range sheet.All(st.Lines) {
		if len(l.Without) > 0 {
			blocks = append(blocks, remark(fmt.Sprintf("%s is %s of the prices that are known: that of %s is open", l.What, strings.TrimSuffix(l.Asked(), " of price"), strings.Join(l.Without, ", "))))
		}
	}
	return blocks
}

// openPlanText tells what depends on open prices in a plan.
func openPlanText(o *together.Opened) string {
	price := sheet.Either(len(o.Lots) > 1, "the open prices", "the open price")
	if !o.Bear {
		return price + " would not change how the lots travel"
	}
	text := "the border, insurance and limits on value count " + price + " as nothing"
	if o.Worth == nil {
		return text + "; dearer, another way may be the best"
	}
	text += fmt.Sprintf("; at what the pieces are worth when right (%s) ", priced(o.Lots, o.Worth))
	switch {
	case o.Best.Why != nil:
		return text + "no way is possible: " + whyText(o.Best.Why)
	case o.Same:
		return fmt.Sprintf("%sthe same way is the best, with %s at the border and %s of insurance", text, o.Best.Border, o.Best.Insurance)
	}
	parcels := sheet.Each(o.Best.Parcels, func(s *together.Sent) string { return named(s.Parcel.Lots) + " by " + s.Quote.Service.Name })
	return text + "another way is the best: " + strings.Join(parcels, "; ")
}

// atWorthJSON is the best way where each open lot costs what its pieces are worth when right.
func atWorthJSON(o *together.Opened) object {
	if o.Worth == nil {
		return nil
	}
	prices, best := map[string]string{}, o.Best
	for i := range o.Worth {
		prices[o.Lots[i]] = o.Worth[i].Number()
	}
	best.Name = "best"
	return object{"prices", prices, "same", o.Same, "best", wayJSON(&best)}
}
