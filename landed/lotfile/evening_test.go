package lotfile_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

const openLot = `lotcost: 1
home: CAD
exchange: {rates: [100 JPY = 0.93 CAD, 1 USD = 1.4 CAD]}
lots:
  - id: a
    price: open
    KEY
    items: [{id: jack, weight: 1 kg, value: 9 CAD}]
  - id: b
    price: 4200 JPY
    items: [{id: iron, weight: 1 kg, value: 9 CAD}]
`

func TestLikelyWithoutHome(t *testing.T) {
	text := strings.NewReplacer("home: CAD\n", "", "KEY", "likely: 4000..9000").Replace(openLot)
	_, err := lotfile.Parse("haul.yaml", []byte(text), ".", lotfile.Options{})
	if want := "haul.yaml:1:1: home is missing: write the currency of your books, as in home: CAD"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s alone", err, want)
	}
}

func openWith(t *testing.T, key string) (*lotfile.File, source.Faults) {
	t.Helper()
	key, section, _ := strings.Cut(key, "\nbidding")
	text := strings.Replace(openLot, "KEY", key, 1)
	if section != "" {
		text += "bidding" + section + "\n"
	}
	f, err := lotfile.Parse("haul.yaml", []byte(text), ".", lotfile.Options{})
	var faults source.Faults
	if err != nil && !errors.As(err, &faults) {
		t.Fatal(err)
	}
	return f, faults
}

func TestLikely(t *testing.T) {
	for key, want := range map[string]string{
		"likely: 4000..9000 JPY":               "[] 4000 JPY 9000 JPY 0 0",
		"likely: 4,000 JPY..9,000 JPY":         "[] 4000 JPY 9000 JPY 0 0",
		"likely: [4200 JPY, 5000 JPY]":         "[4200 JPY 5000 JPY] 0 0 0 0",
		"likely: 4200 JPY":                     "[4200 JPY] 0 0 0 0",
		"likely: {half: 40 USD, most: 90 USD}": "[] 0 0 40.00 USD 90.00 USD",
	} {
		f, faults := openWith(t, key)
		if faults != nil {
			t.Errorf("%s: %v", key, faults)
			continue
		}
		l := f.Lots[0].Likely
		if got := fmt.Sprint(l.Prices, l.From, l.To, l.Half, l.Most); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
	for key, want := range map[string]string{
		"likely: 4000-9000 JPY":                                     `7:13: lot a: likely: "4000-9000 JPY" is not written as a range: write 4000..9000 JPY`,
		"likely: 4000...9000 JPY":                                   `7:13: lot a: likely: "4000...9000 JPY" is not written as a range: write 4000..9000 JPY`,
		"likely: 9000..4000 JPY":                                    `7:13: lot a: likely: the range ends at 4000 JPY, below its beginning at 9000 JPY: write the lesser one first, as in likely: 4000..9000 JPY`,
		"likely: 4010..4090 JPY":                                    `7:13: lot a: likely: there is no bid from 4010 JPY to 4090 JPY: write a range with a bid in it, such as 4100 JPY..4100 JPY`,
		"likely: []":                                                `7:13: lot a: likely: the list of likely prices is empty: write a range, a list or two amounts, as in likely: 4000..9000 JPY, [4200 JPY, 5000 JPY] or {half: 4000 JPY, most: 9000 JPY}`,
		"likely: [4200 JPY, 50 USD]":                                `7:24: lot a: likely 2: 50.00 USD is in another currency than 4200 JPY: write all prices of a lot in the currency of the sale`,
		"likely: {half: 4000 JPY}":                                  `7:13: lot a: likely: most is missing: write the most that others will pay, as in most: 9000 JPY`,
		"likely: {half: 4000 JPY, most: 3000 JPY}":                  `7:13: lot a: likely: the most, 3000 JPY, is below half, 4000 JPY: write the lesser one as half`,
		"likely: {half: 4000 JPY, most: 4000 JPY}":                  `7:13: lot a: likely: there is no bid above 4000 JPY up to 4000 JPY: write more as most, such as 4100 JPY`,
		"likely: {half: 40 JPY, most: 4000 JPY}":                    `7:13: lot a: likely: there is no bid up to 40 JPY: write as half a bid, such as 100 JPY`,
		"likely: [-4 JPY]":                                          `7:14: lot a: likely 1: "-4 JPY" is negative: write an amount of 0 or more`,
		"closes: 2026-10-03 20:15 JST":                              `7:13: lot a: closes: "20:15 JST" is no time of the day: write hours and minutes, as in closes: 2026-10-03 20:15`,
		"closes: 3 OCT 2026 20:15":                                  `7:13: lot a: closes: "3 OCT 2026" is not written as year-month-day: write 2026-10-03 20:15`,
		"closes: 2026-10-03 25:15":                                  `7:13: lot a: closes: "25:15" is no time of the day: write hours and minutes, as in closes: 2026-10-03 20:15`,
		"closes: 3.10.2026 20:15":                                   `7:13: lot a: closes: "3.10.2026" is not written as year-month-day: write 2026-10-03 20:15`,
		"closes: 3 October 2026 20:15":                              `7:13: lot a: closes: "3 October 2026" is not written as year-month-day: write 2026-10-03 20:15`,
		"closes: 3/10/2026 20:15":                                   `7:13: lot a: closes: "3/10/2026" is not written as year-month-day: write 2026-10-03 20:15 or 2026-03-10 20:15`,
		"likely: 1..9000000 CAD\nbidding: {steps: [{step: 1 CAD}]}": `7:13: lot a: likely: more than 5000 bids are likely: write a narrower range, a list of prices, or larger steps`,
		"likely: 5000 JPY\nbidding: {steps: [{step: 1 CAD}]}":       `7:13: lot a: likely: the prices are in JPY, but bids in CAD: write them in CAD, the currency of the sale`,
	} {
		_, faults := openWith(t, key)
		if len(faults) != 1 {
			t.Errorf("%s: %v", key, faults)
			continue
		}
		if got := strings.TrimPrefix(faults.Error(), "haul.yaml:"); got != want {
			t.Errorf("%s:\n%s, want\n%s", key, got, want)
		}
	}
	if f, faults := openWith(t, "closes: 2026-10-03 20:15"); faults != nil || f.Lots[0].Closes.Format("2006-01-02 15:04") != "2026-10-03 20:15" {
		t.Errorf("%v %v", f, faults)
	}
	// Of what is won or lost nothing is likely, and it is not looked at.
	if f, faults := openWith(t, "lost: yes\n    likely: []"); faults != nil || f.Lots[0].ID != "b" {
		t.Errorf("%v", faults)
	}
}
