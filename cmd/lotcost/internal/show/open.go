package show

import (
	"fmt"
	"strings"

	"lotcost/landed"
	"lotcost/landed/money"
)

// withoutOpen names a sum that holds no open price; "" where none is open.
func withoutOpen(st *landed.Statement) string {
	switch len(st.Open()) {
	case 0:
		return ""
	case 1:
		return "without the open price"
	}
	return "without the open prices"
}

// then puts a word before what is not empty.
func then(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// openText says of which lots the price is open, and what is not known for it.
func openText(st *landed.Statement) string {
	prices, it := "price", "it"
	if len(st.Open()) > 1 {
		prices, it = "prices", "them"
	}
	text := fmt.Sprintf("Without the open %s of %s: no sum here holds %s.", prices, named(st.Open()), it)
	if st.Unknown != nil {
		text += fmt.Sprintf(" Nor is the border of %s counted, which hangs on %s.", parcelsText(st.Unknown), it)
	}
	return text
}

func parcelNames(ids []string) []string {
	var names []string
	for _, id := range ids {
		names = append(names, parcelName(id))
	}
	return names
}

func parcelsText(ids []string) string {
	if len(ids) == 1 && ids[0] == "" {
		return "the one parcel"
	}
	return named(ids)
}

// partial tells of which prices a percentage is not.
func partial(st *landed.Statement) []Block {
	var blocks []Block
	for i := range st.Lines {
		if l := &st.Lines[i]; len(l.Without) > 0 {
			blocks = append(blocks, Note{Remark, fmt.Sprintf("%s is %s of the prices that are known: that of %s is open", l.What, money.FormatPercent(l.Paid.Percent), strings.Join(l.Without, ", "))})
		}
	}
	return blocks
}
