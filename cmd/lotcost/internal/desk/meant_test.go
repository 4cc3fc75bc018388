package desk

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/testdata/effort"
)

// TestMeant types figures alone, as a phone's keys for figures give them: what a bid is in, the day
// on which a lot closes and a percentage are taken from the rest of the haul, while it has mistakes
// elsewhere too; what the way costs is asked for, where it may be in either of two currencies.
func TestMeant(t *testing.T) {
	t.Parallel()
	begun := strings.Replace(three, "price: 9800 JPY", "price: open", 1) + "bidding: {start: 100 JPY}\n"
	broken := strings.Replace(begun, "freight: 3200 JPY", "freight: ", 1)
	for _, text := range []string{begun, broken} {
		s := entered(t, "three.yaml", text)
		save := func(path, value string) reply {
			t.Helper()
			return s.post("/save", "file", "three.yaml", "mark", mark([]byte(s.text("three.yaml"))), "view", "before", "path", path, "value", value)
		}
		for n, typed := range [][3]string{
			{"lots[kanna].closes", "20:15", "closes: 2026-09-03 20:15"},
			{"lots[kanna].closes", "21h30", "closes: 2026-09-03 21:30"},
			{"lots[kanna].closes", "2045", "closes: 2026-09-03 20:45"},
			{"lots[kanna].closes", "kl. 9.05", "closes: 2026-09-03 09:05"},
			{"lots[kanna].closes", "21.30 Uhr", "closes: 2026-09-03 21:30"},
			{"lots[kanna].closes", "4/9 22h", "closes: 2026-09-04 22:00"},
			{"lots[kanna].closes", "21", "closes: 2026-09-03 21:00"},
			{"lots[kanna].closes", "21 Uhr", "closes: 2026-09-03 21:00"},
			{"lots[kanna].closes", "8:15 p.m.", "closes: 2026-09-03 20:15"},
			{"lots[kanna].closes", "5.9.26 12am", "closes: 2026-09-05 00:00"},
			{"date", "2.9.26", "date: 2026-09-02"},
			{"date", "3.9.", "date: 2026-09-03"},
			{"lots[kanna].likely", "3000 bis 8500", "likely: 3000..8500 JPY"},
			{"lots[kanna].likely", "3000 / 8000¥", "likely: 3000..8000 JPY"},
			{"exchange.rates[0]", "0,63", `"100 JPY = 0,63 EUR"`},
			{"exchange.rates[0]", "1 EUR = 163,5", `"1 EUR = 163,5 JPY"`},
			{"lots[kanna].premium", "12.5", "premium: 12,5%"},
			{"lots[kanna].likely", "3000 à 8000 JPY", "likely: 3000..8000 JPY"},
			{"lots[kanna].items[nomi].value", "41.60", `value: "41,60"`},
			{"lots[kanna].likely", "2000..9000", "likely: 2000..9000 JPY"},
			{"lots[kanna].price", "8500", "price: 8500 JPY"},
			{"lots[kanna].price", "86oo", "price: 8600 JPY"},
			{"parcels[box-1].freight", "0", "freight: 0"},
			{"parcels[box-1].freight", "3900 JPY", "freight: 3900 JPY"},
			{"customs.assessed.tax", "12,50", `tax: "12,50"`},
			{"lots[kanna].items[nomi].value", "1'234.56", `value: "1234,56"`},
			{"lots[kanna].items[nomi].value", "1 234,5 €", `value: "1234,5 €"`},
			{"lots[kanna].items[nomi].value", "28,-", `value: "28,-"`},
			{"parcels[box-1].freight", "4.200 ¥", "freight: 4200 JPY"},
			{"lots[kanna].price", "8.400 円", "price: 8400 JPY"},
		} {
			if text == begun && n%effort.Cases(1, 3, 12) > 0 || text == broken && n%effort.Cases(1, 6, 24) > 0 {
				continue
			}
			if got := save(typed[0], typed[1]); got.status != 200 && text == begun || !strings.Contains(s.text("three.yaml"), typed[2]) {
				t.Errorf("%s %s: %d\n%s", typed[0], typed[1], got.status, s.text("three.yaml"))
			}
		}
		before := s.text("three.yaml")
		if got := save("exchange.rates[0]", "163,5"); got.status != 422 || !strings.Contains(got.body, "write 1 JPY = 163,5 EUR or 1 EUR = 163,5 JPY") {
			t.Errorf("the rate the other way round: %d %s", got.status, got.body)
		}
		if got := save("lots[kanna].closes", "20.10"); got.status != 422 || !strings.Contains(got.body, "write 20.10. or 20:10") {
			t.Errorf("a day or an hour: %d %s", got.status, got.body)
		}
		for _, path := range []string{"parcels[box-1].freight", "parcels[box-1].insurance", "charges[0].amount"} {
			if got := save(path, "4100"); got.status != 422 || !strings.Contains(got.body, `"what":"\"4100\" may be in EUR or in JPY","remedy":"write 4100 EUR or 4100 JPY"`) || s.text("three.yaml") != before {
				t.Errorf("%s: %d %s", path, got.status, got.body)
			}
		}
		if got := save("lots[kanna].likely", "40..90 €"); strings.Contains(s.text("three.yaml"), "90 JPY") {
			t.Errorf("a range in euro became one in yen: %d", got.status)
		}
	}
}

// TestLotOut takes lots out: of a box that holds others too, and of one that goes with them.
func TestLotOut(t *testing.T) {
	s := entered(t, "three.yaml", three)
	for _, out := range [][2]string{{"levels", "parcels:\n  - {id: box-1, lots: [kanna, compasses], freight: 4100 JPY}\n"}, {"kanna", "lots: [compasses], freight: 4100 JPY}\n"}} {
		lot, left := out[0], out[1]
		got := s.post("/save", "file", "three.yaml", "mark", mark([]byte(s.text("three.yaml"))), "view", "before", "path", "lots["+lot+"]", "value", "")
		if text := s.text("three.yaml"); got.status != 200 || !strings.Contains(text, left) || strings.Contains(text, "id: "+lot) || strings.Contains(got.body, "no lot has the id") {
			t.Errorf("%s: %d\n%s\n%s", lot, got.status, text, got.body)
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

// TestServices types what a service asks by weight, in a haul that has none yet: how the lots
// travel best is then planned, as the command plans it.
func TestServices(t *testing.T) {
	text := three[:strings.Index(three, "sending:")] + strings.ReplaceAll(three[strings.Index(three, "selling:"):], `, postage: "7,20"`, "")
	s := entered(t, "three.yaml", strings.Replace(text, "parcels:\n  - {id: box-1, lots: [kanna, compasses], freight: 4100 JPY}\n  - {id: box-2, lots: [levels], freight: 3200 JPY}\n", "", 1))
	p := s.at("/haul/three.yaml?view=before")
	p.Holds(`document.getElementById("wrong").innerText.includes("buyers pay 6,90 EUR for postage")`, "true") // in the marks of the haul
	pressed(p, `[name="another service"]`)
	typeInto(p, "sending.services[service-1].name", "Seepost")
	for i, step := range [][2]string{{"2 kg", "2500"}, {"10 kg", "7.400"}} {
		at := fmt.Sprintf("sending.services[Seepost].steps[%d].", i)
		typeInto(p, at+"up-to", step[0])
		typeInto(p, at+"price", step[1])
	}
	look(t, p, "services")
	p.Go(s.base + "/haul/three.yaml?view=sale")
	typeInto(p, "selling.venues[gable].postage", "7,20")
	var plans struct{ Plans []struct{ Total string } }
	s.said(&plans, "together", "three.yaml")
	p.Go(s.base + "/haul/three.yaml?view=boxes")
	p.Holds(`document.getElementById("answer").textContent.includes("`+figure(plans.Plans[len(plans.Plans)-1].Total, true)+` EUR")`, "true")
}
