package lotfile_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// resold is a lot file with what was sold of two jacks in the place of @.
const resold = `lotcost: 1
home: CAD
date: 2026-10-03
exchange: {rates: [100 JPY = 0.93 CAD]}
lots:
  - id: crate
    price: 40
    items:
      - {id: jack, count: 2, weight: 1.9 kg, value: 50, parts-value: 6}
selling: {charged: 7, venues: [{name: gable, fees: [{percent: 10%}], postage: 9}]}
`

func resoldWith(sold string) string {
	return strings.Replace(resold, "parts-value: 6", "parts-value: 6, sold: ["+sold+"]", 1)
}

// TestReturned: what came back, as it may be written.
func TestReturned(t *testing.T) {
	for _, c := range []struct{ sold, want string }{
		{"{price: 46, returned: 2027-01-09}", "2027-01-09 x1"},
		{"{price: 46, returned: {date: 2027-01-09}}", "2027-01-09 x1"},
		{"{price: 46, returned: [2027-01-09]}", "2027-01-09 x1"},
		{"{price: 46, returned: }", ""},
		{"{price: 86, count: 2, returned: {date: 2027-01-09, refund: 40 CAD, count: 1, fees-back: 3.10, postage: 9.80, as: parts}}", "2027-01-09 x1 refund 40.00 CAD fees 3.10 CAD postage 9.80 CAD as parts"},
		{"{price: 86, count: 2, returned: [{date: 2026-12-09, refund: 1000 JPY, count: 1, as: dead}, {date: 2027-01-09, refund: 5, count: 0}, 2027-02-09]}", "2026-12-09 x1 refund 1000 JPY as dead, 2027-01-09 x0 refund 5.00 CAD, 2027-02-09 x1"},
	} {
		if got := returnsOf(parse(t, resoldWith(c.sold)).Lots[0].Items[0].Sold[0]); got != c.want {
			t.Errorf("%s: %s, want %s", c.sold, got, c.want)
		}
	}
	comma := strings.NewReplacer("home: CAD", "home: CAD\ndecimal: comma", "1.9 kg", `"1,9 kg"`, "[100 JPY = 0.93 CAD]", `["100 JPY = 0,93 CAD"]`).Replace(resoldWith(`{price: 46, returned: {date: 2027-01-09, refund: "40,50", postage: "9,80"}}`))
	if got := returnsOf(parse(t, comma).Lots[0].Items[0].Sold[0]); got != "2027-01-09 x1 refund 40.50 CAD postage 9.80 CAD" {
		t.Errorf("with decimal commas: %s", got)
	}
}

func returnsOf(s landed.Sale) string {
	var list []string
	for _, r := range s.Returned {
		text := fmt.Sprintf("%s x%d", r.Date.Format("2006-01-02"), r.Count)
		for _, part := range []struct{ name, text string }{{"refund", r.Refund.String()}, {"fees", r.FeesBack.String()}, {"postage", r.Postage.String()}} {
			if part.text != (landed.Return{}).Refund.String() {
				text += " " + part.name + " " + part.text
			}
		}
		if r.As != landed.Sound {
			text += " as " + r.As.String()
		}
		list = append(list, text)
	}
	return strings.Join(list, ", ")
}

// TestReturnedWrongly: one message a mistake, at its place, and with what it shows to write the
// file is right.
func TestReturnedWrongly(t *testing.T) {
	for _, c := range []struct{ sold, want, cured string }{
		{"{price: ‸-46}", `item jack: sold 1: price: "-46.00 CAD" is negative: write what the buyer paid; what came back stands at the sale that it is of, as in returned: 2027-01-09`,
			"{price: 46, returned: 2027-01-09}"},
		{"‸-46", `item jack: sold 1: "-46.00 CAD" is negative: write what the buyer paid; what came back stands at the sale that it is of, as in returned: 2027-01-09`,
			"{price: 46, returned: 2027-01-09}"},
		{"{price: 46, returned: ‸yes}", `item jack: sold 1: returned: "yes" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day`, "{price: 46, returned: 2026-10-03}"},
		{"{price: 46, returned: ‸{refund: 46}}", "item jack: sold 1: returned: date is missing: write the day on which it came back, as in date: 2027-01-09", "{price: 46, returned: {refund: 46, date: 2027-01-09}}"},
		{"{price: 46, date: 2026-11-02, returned: ‸2026-11-01}", "item jack: returned: came back on 2026-11-01, before it was sold on 2026-11-02: correct one of the two dates", "{price: 46, date: 2026-11-01, returned: 2026-11-01}"},
		{"{price: 46, returned: {date: 2027-01-09, refund: ‸53.01}}", "item jack: returned: refund: 53.01 CAD went back to the buyer, who had paid 53.00 CAD: write no more than that, as in refund: 53.00 CAD", "{price: 46, returned: {date: 2027-01-09, refund: 53.00 CAD}}"},
		{"{price: 46, returned: {date: 2027-01-09, fees-back: ‸4.61}}", "item jack: returned: fees-back: 4.61 CAD of fees came back, and 4.60 CAD were paid: write no more than that, as in fees-back: 4.60 CAD", "{price: 46, returned: {date: 2027-01-09, fees-back: 4.60 CAD}}"},
		{"{price: 46, returned: {date: 2027-01-09, count: ‸2}}", "item jack: returned: 2 came back of 1 sold: write how many pieces came back each time, of those of this sale", "{price: 46, returned: {date: 2027-01-09, count: 1}}"},
		{"{price: 86, count: 2, returned: ‸{date: 2027-01-09, count: 1}}", "item jack: returned: 1 came back of 2 sold, and it is not said for what part of the price: write what the buyer got back, as in refund: 46 CAD", "{price: 86, count: 2, returned: {date: 2027-01-09, count: 1, refund: 46 CAD}}"},
		{"{price: 46, returned: ‸{date: 2027-01-09, count: 0}}", "item jack: returned: it is not said what came back: write what the buyer got back, as in refund: 46 CAD", "{price: 46, returned: {date: 2027-01-09, count: 0, refund: 46 CAD}}"},
		{"{price: 46, returned: {date: 2027-01-09, as: ‸broken}}", `item jack: sold 1: returned: as: unknown word "broken": did you mean dead?`, "{price: 46, returned: {date: 2027-01-09, as: dead}}"},
		{"{price: 46, returned: {date: 2027-01-09, ‸refunded: 46}}", `item jack: sold 1: returned: unknown key "refunded": did you mean refund?`, "{price: 46, returned: {date: 2027-01-09, refund: 46}}"},
		{"{price: 46, returned: {date: 2027-01-09, postage: ‸-9}}", `item jack: sold 1: returned: postage: "-9.00 CAD" is negative: write an amount of 0 or more`, "{price: 46, returned: {date: 2027-01-09, postage: 9}}"},
		{"{price: 80, count: 2, returned: 2027-01-09}, ‸{price: 46, date: 2026-12-20}", "item jack: sold: 1 piece sold on 2026-12-20, with 0 on hand: correct the day of this sale or of what came back, or the number of pieces", "{price: 80, count: 2, returned: 2027-01-09}, {price: 46, date: 2027-01-09}"},
		{"{price: 40, count: 2, returned: {date: 2027-01-09, as: dead}}, ‸{price: 46, date: 2027-01-20}", "item jack: sold: 1 piece sold on 2027-01-20, with 0 on hand: correct the day of this sale or of what came back, or the number of pieces", "{price: 40, count: 2, returned: {date: 2027-01-09, count: 1, refund: 9, as: dead}}"},
	} {
		before, after, _ := strings.Cut(resoldWith(c.sold), "‸")
		at := fmt.Sprintf("haul.yaml:%d:%d: ", 1+strings.Count(before, "\n"), 1+len(before)-1-strings.LastIndexByte(before, '\n'))
		if _, err := lotfile.Parse("haul.yaml", []byte(before+after), ".", lotfile.Options{}); err == nil || err.Error() != at+c.want {
			t.Errorf("%s:\ngot  %v\nwant %s", c.sold, err, at+c.want)
		}
		parse(t, resoldWith(c.cured))
	}
}
