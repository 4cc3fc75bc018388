package lotfile_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// untested is a lot file whose item may be given keys, and to which sections
// can be added.
const untested = `lotcost: 1
home: CAD
lots:
  - id: crate
    price: open
    items:
      - id: jack
        count: 2
`

// biddable is what untested may go on with: every key there is.
const biddable = `        alike: yes
        sold: [{price: 41 CAD, date: 2026-11-02, venue: gable, count: 1, postage: 14.95, fees: 6.34 CAD}, 38.50]
        chances:
          - {chance: 60%, what: works, value: 30..50.50 CAD, repair: 5}
          - {chance: 12.5%, what: parts, value: 800 JPY}
          - {chance: rest, what: dead, value: 0}
risks: [{chance: 2%, what: box dropped, keeps: 30%, on: [jack]}]
bidding:
  lot: crate
  start: 500 JPY
  steps: [{step: 100 JPY}, {from: 5000 JPY, step: 250 JPY}]
  goal: {profit: 20, return: 130%, margin: 20%, risk: 0, budget: 200 CAD}
`

// Every key, with each value what it says.
func TestBidding(t *testing.T) {
	h := parse(t, untested+biddable)
	lot, it := h.Lots[0], h.Lots[0].Items[0]
	if !lot.Open || lot.Price.Currency() != 0 || !it.Alike || sold(it.Sold) != "1 x 41.00 CAD at gable 2026-11-02 fees 6.34 CAD postage 14.95 CAD; 1 x 38.50 CAD" || it.Value.Currency() != 0 {
		t.Errorf("lot %+v", lot)
	}
	var outcomes []string
	for _, f := range it.Chances {
		outcomes = append(outcomes, strings.TrimSpace(fmt.Sprintln(f.What, f.Chance, f.Value, given(f.UpTo), given(f.Repair))))
	}
	const want = "works 0.6 30.00 CAD 50.50 CAD 5.00 CAD; parts 0.125 800 JPY - -; dead 0.275 0.00 CAD - -"
	if got := strings.Join(outcomes, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if r := h.Risks[0]; fmt.Sprint(r.What, r.Chance, r.Keeps, r.On) != "box dropped0.02 0.3 [jack]" {
		t.Errorf("risk %+v", r)
	}
	b := h.Bidding
	if got := fmt.Sprint(b.Lot, b.Start, b.Steps); got != "crate500 JPY [{0 JPY 100 JPY} {5000 JPY 250 JPY}]" {
		t.Errorf("bidding %s", got)
	}
	g := b.Goal
	if got := fmt.Sprint(g.Profit, g.Return, g.Margin, g.Risk, g.Budget); got != "20.00 CAD 1.3 0.2 0 200.00 CAD" {
		t.Errorf("goal %s", got)
	}
}

func given(a money.Amount) string {
	if a.Currency() == 0 {
		return "-"
	}
	return a.String()
}

// sold writes sales with what is said of them.
func sold(sales []landed.Sale) string {
	var list []string
	for _, s := range sales {
		text := fmt.Sprint(s.Count, " x ", s.Price)
		if s.Venue != "" {
			text += fmt.Sprint(" at ", s.Venue, s.Date.Format(" 2006-01-02"), " fees ", s.Fees, " postage ", s.Postage)
		}
		list = append(list, text)
	}
	return strings.Join(list, "; ")
}

// A range means its middle wherever one figure stands for it: as a value, as the
// value of a chance, and as that of the best of several, which is the best by it.
func TestValueWhenRight(t *testing.T) {
	for _, c := range []struct{ keys, value, chances string }{
		{"value: 30..50.01 CAD", "40.01 CAD", "1 30.00 CAD 50.01 CAD"},
		{"value: 30 CAD .. 50 CAD", "40.00 CAD", "1 30.00 CAD 50.00 CAD"},
		{"value: 900..1200 JPY", "1050 JPY", "1 900 JPY 1200 JPY"},
		{"chances: [{chance: 100%, value: 30..50}]", "40.00 CAD", "1 30.00 CAD 50.00 CAD"},
		{"chances: [{chance: rest, value: 8}, {chance: 60%, value: 30..45}]", "37.50 CAD", "0.4 8.00 CAD -, 0.6 30.00 CAD 45.00 CAD"},
		{"chances: [{chance: rest, value: 40}, {chance: 60%, value: 30..45}]", "40.00 CAD", "0.4 40.00 CAD -, 0.6 30.00 CAD 45.00 CAD"},
		{"value: 50 CAD\n        chances: [{chance: 100%, value: 45}]", "50.00 CAD", "1 45.00 CAD -"},
		{"value: 30..50\n        chances: [{chance: 100%, value: 45}]", "40.00 CAD", "1 45.00 CAD -"},
		{"value: 50 CAD", "50.00 CAD", ""},
	} {
		h := parse(t, untested+"        "+c.keys+"\n")
		it := h.Lots[0].Items[0]
		var list []string
		for _, f := range it.Chances {
			list = append(list, fmt.Sprint(f.Chance, " ", f.Value, " ", given(f.UpTo)))
		}
		if got := strings.Join(list, ", "); h.ValueOf(&it).String() != c.value || got != c.chances {
			t.Errorf("%s: got %s, %s, want %s, %s", c.keys, h.ValueOf(&it), got, c.value, c.chances)
		}
	}
}

func TestBiddingFaults(t *testing.T) {
	const chances, value = "        chances: ", ", value: 5}"
	for _, c := range []struct{ name, more, want string }{
		{"over 100 %", chances + "‸[{chance: 60%" + value + ", {chance: 45%" + value + "]", "@: item jack: chances: the chances come to 105%: take away 5%"},
		{"under 100 %", chances + "‸[{chance: 60%" + value + ", {chance: 30%" + value + "]", "@: item jack: chances: the chances come to 90%: name what happens in the other 10%, or write the last as chance: rest"},
		{"over before the rest", chances + "[{chance: 60%" + value + ", {chance: 45%" + value + ", {chance: rest" + value + "]", "9:18: item jack: chances: the chances before the rest come to 105%: take away 5%"},
		{"two rests", chances + "[{chance: rest" + value + ", {chance: ‸rest" + value + "]", "@: item jack: chances 2: chance: the rest is given twice: keep one of them, and give the other its chance"},
		{"negative", chances + "[{chance: -60%" + value + "]", `9:28: item jack: chances 1: chance: "-60%" is negative: write a percentage from 0% to 100%, as in chance: 60%`},
		{"a word", chances + "[{chance: likely" + value + "]", `9:28: item jack: chances 1: chance: "likely" is not a percentage: write it with its sign, as in 12.5%`},
		{"no chance", chances + "[{value: 5}]", "9:19: item jack: chances 1: chance is missing: write how likely it is, as in chance: 60%, or chance: rest for the last"},
		{"no value", chances + "[{chance: rest}]", "9:19: item jack: chances 1: value is missing: write what one piece then sells for, as in value: 8 CAD, or value: 0"},
		{"negative value", chances + "[{chance: rest, value: -1}]", "9:41: item jack: chances 1: value: a value cannot be negative: write what one piece should sell for when right, or 0"},
		{"negative repair", chances + "[{chance: rest, value: 1, repair: -1}]", `9:52: item jack: chances 1: repair: "-1.00 CAD" is negative: write an amount of 0 or more`},
		{"a range turned round", chances + "[{chance: rest, value: 50..30 CAD}]", "9:41: item jack: chances 1: value: a value from 50.00 CAD to 30.00 CAD makes no sense: write the lesser one first, as in value: 30..50 CAD"},
		{"a range in two currencies", "        value: 30 JPY..50 CAD", "9:16: item jack: value: a value from 30 JPY to 50.00 CAD makes no sense: write both in one currency, as in value: 30..50 CAD"},
		{"sold too often", "        sold: [1, 2, 3]", "9:22: item jack: sold: 3 were sold of 2: write each sale once, with the number of its pieces"},
		{"too many at once", "        sold: [{price: 20, count: ‸3}]", "@: item jack: sold: 3 were sold of 2: write each sale once, with the number of its pieces"},
		{"a sale without a price", "        sold: [{count: 2}]", "9:16: item jack: sold 1: price is missing: write what the buyer paid for all pieces of the sale, as in price: 46 CAD"},
		{"a sale of nothing", "        sold: [{price: 3, count: 0}]", "9:34: item jack: sold 1: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out"},
		{"sold before it was bought", "        sold: [{price: 3, date: ‸2026-10-02}]\ndate: 2026-10-03", "@: item jack: sold: sold on 2026-10-02, before the haul was bought on 2026-10-03: correct one of the two dates"},
		{"negative fees", "        sold: [{price: 3, fees: -1}]", `9:33: item jack: sold 1: fees: "-1.00 CAD" is negative: write an amount of 0 or more`},
		{"a risk without more", "risks: [{chance: 2%}]", "9:9: risks 1: keeps is missing: write the part of the values that remains, as in keeps: 30%"},
		{"a risk to nothing", "risks: [{chance: 2%, what: rain, keeps: 0, on: ‸jak}]", `@: risk "rain": no lot or item has the id "jak": did you mean jack?`},
		{"unknown lot", "bidding: {lot: ‸crat}", `@: bidding: lot: no lot has the id "crat": did you mean crate?`},
		{"step of zero", "bidding: {steps: [{step: ‸0 JPY}]}", "@: bidding: steps: a step of 0 JPY gets nowhere: write by how much bids rise, as in step: 100 JPY"},
		{"no step", "bidding: {steps: [{from: 0 JPY}]}", "9:19: bidding: steps 1: step is missing: write by how much bids rise, as in step: 100 JPY"},
		{"margin", "bidding: {goal: {margin: ‸100%}}", "@: bidding: goal: margin: 100% of the proceeds leaves nothing to pay with: write less than 100%, as in 20%"},
		{"a goal in brackets, with which there would be none", "bidding: {goal: {return: ‸[25%]}}", `@: bidding: goal: return: one value belongs here, not a list: write it on one line, as in key: value`},
		{"a goal misspelt", "bidding: {goal: {‸retrun: 25%, budget: 300 CAD}}", `@: bidding: goal: unknown key "retrun": did you mean return?`},
		{"a goal in words", "bidding: {goal: {return: much}}", `9:26: bidding: goal: return: "much" is not a percentage: write it with its sign, as in 12.5%`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text, at := edited(t, untested+c.more+"\n", nil)
			want := "haul.yaml:" + c.want
			if rest, marked := strings.CutPrefix(c.want, "@"); marked {
				want = at + rest
			}
			_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
			if err == nil || err.Error() != want {
				t.Errorf("got  %v\nwant %s", err, want)
			}
		})
	}
}

func TestParseGoal(t *testing.T) {
	half := decimal.New(5, -1)
	g, err := lotfile.ParseGoal(lotfile.Figures{"goal-profit": {"20"}, "goal-return": {"30%"}, "budget": {"200 CAD"}}, "", bid.Goal{Profit: dollars(1), Risk: &half}, cad)
	if got := fmt.Sprint(g.Profit, g.Return, g.Margin, g.Risk, g.Budget); err != nil || got != "20.00 CAD 0.3 <nil> 0.5 200.00 CAD" {
		t.Errorf("got %s, %v", got, err)
	}
	const want = "--budget: \"-5.00 CAD\" is negative: write an amount of 0 or more\n" + `--risk: "often" is not a percentage: write it with its sign, as in 12.5%`
	if _, err := lotfile.ParseGoal(lotfile.Figures{"risk": {"often"}, "budget": {"-5"}}, "", bid.Goal{}, cad); err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestQuickBid(t *testing.T) {
	f := lotfile.Figures{"in": {"JPY"}, "value": {"100..140"}, "works": {"60%"}, "parts": {"20 CAD"}, "pieces": {"3"}, "home": {"CAD"}, "premium": {"10%"}, "freight": {"7400 JPY"}, "insurance": {"1% of price"}, "fee": {"3 CAD"}, "spread": {"2.5%"}, "rate": {"100 JPY = 0.93 CAD"}}
	h, err := lotfile.Quick(f, lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	it := h.Lots[0].Items[0]
	got := fmt.Sprint(it.Count, it.Value, it.Chances[0].Chance, it.Chances[1].Chance, it.Chances[1].Value, h.Lots[0].Open, h.Lots[0].Premium, h.Bidding.Start, len(h.Charges), h.Spread)
	if want := "3 120.00 CAD 0.6 0.4 20.00 CAD true 0.1 0 JPY 3 0.025"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, c := range []struct {
		f    lotfile.Figures
		want string
	}{
		{lotfile.Figures{}, "--home: home is missing: write the currency of your books, as in --home CAD\n--in: in is missing: write the currency of the bids, as in --in JPY\n--value: value is missing: write what one piece sells for when right, as in --value '120 CAD'"},
		{lotfile.Figures{"in": {"JPY"}, "value": {"12"}, "parts": {"5"}, "home": {"CAD"}}, "--parts: it is not said how likely that is: add --works 60%"},
		{lotfile.Figures{"in": {"JPY"}, "value": {"12"}, "works": {"160%"}, "home": {"CAD"}}, `--works: "160%" is more than the whole: write a percentage from 0% to 100%, as in --works 60%`},
		{lotfile.Figures{"in": {"JPY"}, "value": {"-12"}, "pieces": {"0"}, "home": {"CAD"}}, "--pieces: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out\n--value: a value cannot be negative: write what one piece should sell for when right, or 0"},
	} {
		if _, err := lotfile.Quick(c.f, lotfile.Options{}); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// An open lot of which nothing says in which currency it is bid for is bid for in that of the
// others of its seller, or of all others, where these are in one.
func TestBidAlike(t *testing.T) {
	for lots, want := range map[string]string{
		"":                        "",
		"{id: b, price: 3000 JPY": "JPY",
		"{id: b, price: 30 CAD":   "CAD",
		"{id: b, price: open, likely: 2000..3000 JPY":                      "JPY",
		"{id: b, price: 3000 JPY}, {id: c, price: 40 GBP":                  "",
		"{id: b, price: 3000 JPY}, {id: c, price: open, likely: 9..12 GBP": "",

		"{id: b, seller: tidemark, price: 3000 JPY}, {id: c, seller: hollow, price: 40 GBP":                  "JPY",
		"{id: b, seller: tidemark, price: 3000 JPY}, {id: c, seller: tidemark, price: 40 GBP":                "",
		"{id: b, seller: tidemark, price: 3000 JPY}, {id: c, seller: hollow, price: open, likely: 9..12 GBP": "",
		"{id: b, seller: hollow, price: 30 GBP}, {id: c, seller: tidemark, price: 900 JPY, lost: no":         "JPY",
	} {
		if lots != "" {
			lots = ", " + strings.ReplaceAll(lots+"}", "}", ", items: [{id: x, value: 3}]}")
			for _, id := range []string{"y", "z"} {
				lots = strings.Replace(lots, "id: x", "id: "+id, 1)
			}
		}
		f, err := lotfile.Parse("h", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, seller: tidemark, price: open, items: [{id: w, value: 9}]}"+lots+"]\n"), ".", lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Bidding.Currency(&f.Lots[0]); got.Code() != want && (got != 0 || want != "") {
			t.Errorf("beside %q bids are in %q, want %q", lots, got.Code(), want)
		}
	}
}
