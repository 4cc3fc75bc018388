package desk

import (
	"strings"
	"testing"
)

// TestMeant types figures alone, as a phone's keys for figures give them: what a bid is in, the day
// on which a lot closes and a percentage are taken from the rest of the haul, while it has mistakes
// elsewhere too; what the way costs is asked for, where it may be in either of two currencies.
func TestMeant(t *testing.T) {
	begun := strings.Replace(three, "price: 9800 JPY", "price: open", 1) + "bidding: {start: 100 JPY}\n"
	broken := strings.Replace(begun, "freight: 3200 JPY", "freight: ", 1)
	for _, text := range []string{begun, broken} {
		s := entered(t, "three.yaml", text)
		save := func(path, value string) reply {
			t.Helper()
			return s.post("/save", "file", "three.yaml", "mark", mark([]byte(s.text("three.yaml"))), "view", "before", "path", path, "value", value)
		}
		for _, typed := range [][3]string{
			{"lots[kanna].closes", "20:15", "closes: 2026-09-03 20:15"},
			{"lots[kanna].likely", "2000..9000", "likely: 2000..9000 JPY"},
			{"lots[kanna].price", "8500", "price: 8500 JPY"},
			{"parcels[box-1].freight", "0", "freight: 0"},
			{"parcels[box-1].freight", "3900 JPY", "freight: 3900 JPY"},
			{"customs.assessed.tax", "12,50", `tax: "12,50"`},
		} {
			if got := save(typed[0], typed[1]); got.status != 200 && text == begun || !strings.Contains(s.text("three.yaml"), typed[2]) {
				t.Errorf("%s %s: %d\n%s", typed[0], typed[1], got.status, s.text("three.yaml"))
			}
		}
		before := s.text("three.yaml")
		for _, path := range []string{"parcels[box-1].freight", "parcels[box-1].insurance", "charges[0].amount"} {
			if got := save(path, "4100"); got.status != 422 || !strings.Contains(got.body, `"what":"\"4100\" may be in EUR or in JPY","remedy":"write 4100 EUR or 4100 JPY"`) || s.text("three.yaml") != before {
				t.Errorf("%s: %d %s", path, got.status, got.body)
			}
		}
	}
}

// TestKeypad: a phone shows keys for figures where figures are all there is to type, and letters
// where a currency, a unit or a word may be.
func TestKeypad(t *testing.T) {
	for path, want := range map[string]string{
		"lots[a].items[b].count": "numeric", "lots[a].items[b].~value": "decimal", "lots[a].items[b].sold[0].price": "decimal", "lots[a].items[b].sold[0].fees": "decimal", "parcels[a].assessed.duty": "decimal", "exchange.spread": "decimal",
		"lots[a].price": "", "lots[a].items[b].weight": "", "parcels[a].fees": "", "charges[0].amount": "", "customs.classes.goods.duty": "", "home": "",
	} {
		if got := (field{Path: path}).Keypad(); got != want {
			t.Errorf("%s: %q, want %q", path, got, want)
		}
	}
}
