package lotfile_test

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/sales"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// sellable is a lot file to which a selling section can be added.
const sellable = `lotcost: 1
home: CAD
from: JP
to: CA-ON
lots:
  - id: crate
    price: 40
    items: [{id: jack, count: 2, weight: 1.9 kg, value: 50}]
`

func dollars(minor int64) money.Amount { return money.New(minor, cad) }

// Every key of the section, with each value what it says.
func TestSelling(t *testing.T) {
	h := parse(t, sellable+`selling:
  venue: gable
  target: 25%
  charged: 12 CAD
  packing: 0.80
  postage: {fixed: 1 CAD, steps: [{up-to: 500 g, cost: 9.80 CAD}, {up-to: 4 lb, cost: 14}]}
  advertised: yes
  offered: 3
  tax: {scheme: margin, rate: 20%, goods: antique, imported: yes}
  venues:
    - name: quay
      currency: JPY
      ships: yes
      charged: 1500
      packing: 80 JPY
      fees: [{what: commission, percent: 11.5%, fixed: 30}]
      postage: 900
    - name: gable
      fees:
        - what: commission
          of: price and postage
          with-tax: yes
          bands: whole
          tiers: [{up-to: 100 CAD, rate: 13%}, {from: 100, rate: 5%}]
          floor: 0.50
          cap: 40
        - {kind: payment, fixed: 0.30}
        - {what: shown first, kind: advertising, percent: 3%}
        - {what: listing, kind: listing, fixed: 0.25}
      sales-tax: {rate: 13%, on-postage: yes}
      postage: {steps: [{up-to: 1 kg, cost: 9}]}
`)
	s := h.Selling
	if s == nil {
		t.Fatal("no selling")
	}
	rates := []decimal.Decimal{s.Target.Margin, s.VAT.Rate, s.Venues[0].Fees[0].Bands[0].Rate, s.Venues[1].Fees[0].Bands[0].Rate, s.Venues[1].Fees[0].Bands[1].Rate,
		s.Venues[1].Fees[2].Bands[0].Rate, s.Venues[1].SalesTax}
	for i, want := range []string{"0.25", "0.2", "0.115", "0.13", "0.05", "0.03", "0.13"} {
		if !rates[i].Equal(decimal.RequireFromString(want)) {
			t.Errorf("rate %d is %s, want %s", i, rates[i], want)
		}
	}
	want := &selling.Plan{
		Usual: "gable", Target: resale.Target{Margin: rates[0]}, Dispatch: resale.Dispatch{Charged: dollars(1200), Packing: dollars(80), Postage: resale.Postage{Fixed: dollars(100), Steps: []money.Step[measure.Weight]{{UpTo: 500 * measure.Gram, Price: dollars(980)}, {UpTo: s.Postage.Steps[1].UpTo, Price: dollars(1400)}}}}, Terms: resale.Terms{Advertised: true, Offered: 3, VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: rates[1], Collectible: true, Imported: true}}, At: s.At,
		Venues: []resale.Venue{
			{Name: "quay", Currency: jpy, Fees: []resale.Fee{{What: "commission", Bands: []resale.Band{{Rate: rates[2]}}, Fixed: money.New(30, jpy)}}, Dispatch: resale.Dispatch{Postage: resale.Postage{Fixed: money.New(900, jpy)}, Charged: money.New(1500, jpy), Packing: money.New(80, jpy)},
				Sending: resale.Sent},
			{Name: "gable", Currency: cad, SalesTax: rates[6], TaxOnPostage: true, Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: dollars(900)}}}},
				Fees: []resale.Fee{
					{What: "commission", WithPostage: true, WithTax: true, Whole: true, Floor: dollars(50), Cap: dollars(4000),
						Bands: []resale.Band{{UpTo: dollars(10000), Rate: rates[3]}, {From: dollars(10000), Rate: rates[4]}}},
					{Fixed: dollars(30)},
					{What: "shown first", Kind: resale.AdvertisingFee, Bands: []resale.Band{{Rate: rates[5]}}},
					{What: "listing", Kind: resale.ListingFee, Fixed: dollars(25)},
				}},
		},
	}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got  %+v\nwant %+v", s, want)
	}
}

// Goods from another country count as imported unless the file says otherwise.
func TestImported(t *testing.T) {
	const venue = "  venues: [{name: gable}]\n"
	for text, want := range map[string]bool{
		sellable: true,
		strings.Replace(sellable, "from: JP", "from: CA-BC", 1): false,
		strings.Replace(sellable, "from: JP\n", "", 1):          true,
	} {
		h := parse(t, text+"selling:\n  tax: {scheme: ordinary, rate: 13%}\n"+venue)
		if got := h.Selling.VAT.Imported; got != want {
			t.Errorf("imported: %v, want %v in\n%s", got, want, text)
		}
	}
	h := parse(t, sellable+"selling:\n  tax: {scheme: margin, rate: 13%, imported: no}\n"+venue)
	if h.Selling.VAT.Imported || h.Selling.VAT.Scheme != resale.MarginScheme {
		t.Errorf("got %+v", h.Selling.VAT)
	}
}

// What a venue that does not ship would take for sending is strange, not wrong.
func TestFetched(t *testing.T) {
	var warned []string
	h, err := lotfile.Parse("haul.yaml", []byte(sellable+"selling:\n  charged: 12\n  packing: 1\n  venues: [{name: fair, ships: no, charged: 7, postage: 9}]\n"), t.TempDir(),
		lotfile.Options{Warn: func(f *source.Fault) { warned = append(warned, f.Error()) }})
	if err != nil {
		t.Fatal(err)
	}
	const not = "it is not counted, since nothing is sent from there (ships: no): take it out, or write ships: yes"
	if want := []string{"haul.yaml:12:45: warning: venue fair: charged: " + not, "haul.yaml:12:57: warning: venue fair: postage: " + not}; !slices.Equal(warned, want) {
		t.Errorf("got  %q\nwant %q", warned, want)
	}
	v := &h.Selling.Venues[0]
	sale, err := sales.New(h.Haul, h.Selling).Sale(&h.Lots[0].Items[0], v, 1)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := sale.At(dollars(4000)); err != nil || out.Net != dollars(4000) {
		t.Errorf("40.00 leaves %s, %v", out.Net, err)
	}
}

// Venues can stand in a file of their own; its faults name it.
func TestVenueFile(t *testing.T) {
	folder := t.TempDir()
	text := sellable + "selling: {venues: venues.yaml}\n"
	read := func(venues string) (*lotfile.File, error) {
		write(t, folder, "venues.yaml", venues)
		return lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	}
	h, err := read("- name: gable\n  fees: [{what: commission, percent: 12%}]\n- name: quay\n")
	if err != nil || len(h.Selling.Venues) != 2 || h.Selling.Venues[1].Name != "quay" {
		t.Errorf("got %+v, %v", h.Selling, err)
	}
	path := filepath.Join(folder, "venues.yaml")
	for venues, want := range map[string]string{
		"- name: gable\n  fes: []\n": path + `:2:3: venues 1: unknown key "fes": did you mean fees?`,
		"name: gable\n":              path + `:1:1: venues: a list belongs here, not a group of keys: begin each entry with a dash, as in "- …"`,
		"- [\n":                      path + ":1:1: this line cannot be read as it stands: write - []\n" + path + `:1:3: venues 1: a group of keys belongs here, not a list: write each as "key: value", of the keys name, currency, ships, fees, sales-tax, charged, packing, postage`,
		"[]\n":                       path + ":1:1: venues: there are no venues: list at least one, as in - name: gable",
	} {
		if _, err := read(venues); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	_, err = lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	if want := `haul.yaml:9:19: selling: venues: there is no file "venues.yaml" beside the lot file: check the name`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// sellingMistakes are what people get wrong in the section; ‸ marks the place.
var sellingMistakes = []struct{ name, text, want string }{
	{"no venues", "selling:\n  ‸target: 5 CAD\n", "@: selling: venues is missing: list where you would sell, or name a file with such a list, as in venues: venues.yaml"},
	{"empty list", "selling:\n  venues: ‸[]\n", "@: selling: venues: there are no venues: list at least one, as in - name: gable"},
	{"venues alone", "selling:\n  ‸- name: gable\n    postage: 4\n  - name: quay\n", "@: selling: a group of keys belongs here, not a list: put the list under a key of its own, as in venues: [ … ]"},
	{"steps alone", "selling:\n  venues: [{name: gable, postage: ‸[{up-to: 2 kg, cost: 4}]}]\n",
		"@: venue gable: postage: a group of keys belongs here, not a list: put the list under a key of its own, as in steps: [ … ]"},
	{"texts alone", "selling: ‸[gable]\n", `@: selling: a group of keys belongs here, not a list: write each as "key: value"`},
	{"a word", "selling: ‸gable\n", `@: selling: a group of keys belongs here, not a single value: write each as "key: value"`},
	{"unknown key", "selling:\n  ‸packaging: 1 CAD\n  venues: [{name: gable, postage: 5 CAD}]\n", `@: selling: unknown key "packaging": did you mean packing?`},
	{"unknown venue", "selling:\n  venue: ‸gabel\n  venues: [{name: gable}, {name: quay}]\n", `@: selling: venue: no venue is called "gabel": did you mean gable?`},
	{"venue twice", "selling:\n  venues: [{name: gable}, ‸{name: gable}]\n", `@: selling: venues 2: the venue "gable" stands twice: give each venue a name of its own`},
	{"no name", "selling:\n  venues: [‸{fees: []}]\n", "@: selling: venues 1: name is missing: give each venue a name of its own"},
	{"venue's currency", "selling:\n  venues: [{name: gable, currency: ‸YEN}]\n", `@: venue gable: currency: currency "YEN" is not an ISO 4217 code: did you mean JPY?`},
	{"fee in another currency", "selling:\n  venues: [{name: gable, fees: [{what: commission, fixed: ‸30 JPY}]}]\n",
		`@: venue gable: fee "commission", fixed amount: "30 JPY" is not in CAD, the currency of the venue: convert it first`},
	{"fee of 100 %", "selling:\n  venues: [{name: gable, fees: [{what: commission, percent: ‸100%}]}]\n",
		`@: venue gable: fee "commission", band 1, rate: "100%" takes the whole price or more, so no price exists: write a rate below 100%`},
	{"fees of 100 % together", "selling:\n  venues: [‸{name: gable, fees: [{what: a, percent: 60%}, {what: b, percent: 40%}]}]\n",
		"@: venue gable: the fees take 100% of every price or more, so no price exists that leaves anything: lower a rate"},
	{"a percentage alone", "selling:\n  venues: [{name: gable, fees: ‸8.5%}]\n",
		`@: venue gable: fees: "8.5%" is the figure of a fee alone: write [{what: commission, percent: 8.5%}]`},
	{"a sum alone in a list", "selling:\n  venues: [{name: gable, fees: [{percent: 3%}, ‸0.30 CAD]}]\n",
		`@: venue gable: fees 2: "0.30 CAD" is the figure of a fee alone: write {what: commission, fixed: 0.30 CAD}`},
	{"percentage without a sign", "selling:\n  venues: [{name: gable, fees: [{what: commission, percent: ‸11.5}]}]\n",
		`@: venue gable: fee "commission": percent: "11.5" is not a percentage: write 11.5%`},
	{"tiers that overlap", "selling:\n  venues: [{name: gable, fees: [{what: commission, tiers: [{up-to: 100, rate: 13%}, {from: ‸80, rate: 5%}]}]}]\n",
		`@: venue gable: fee "commission", band 2: it begins at "80.00 CAD" and overlaps the band before: begin it at 100.00 CAD, where that ends`},
	{"tiers that fall", "selling:\n  venues: [{name: gable, fees: [{what: commission, tiers: [{up-to: 100, rate: 13%}, {up-to: ‸80, rate: 9%}, {rate: 5%}]}]}]\n",
		`@: venue gable: fee "commission", band 2: it ends at "80.00 CAD", not above 100.00 CAD where it begins: raise its end or leave the band out`},
	{"tiers with a gap", "selling:\n  venues: [{name: gable, fees: [{fixed: 1}, {tiers: [{up-to: 100, rate: 13%}, {from: ‸120, rate: 5%}]}]}]\n",
		`@: venue gable: fee 2, band 2: it begins at "120.00 CAD", so nothing covers what is between 100.00 CAD and that: begin it at 100.00 CAD`},
	{"tiers that end", "selling:\n  venues: [{name: gable, fees: [{what: commission, tiers: [{up-to: ‸100, rate: 13%}]}]}]\n",
		`@: venue gable: fee "commission", band 1: it is the last and ends at "100.00 CAD", so nothing covers higher prices: leave out its end`},
	{"tier without a rate", "selling:\n  venues: [{name: gable, fees: [{what: commission, tiers: [‸{up-to: 100}]}]}]\n",
		`@: venue gable: fee "commission": tiers 1: rate is missing: write the rate of this band, as in rate: 13%`},
	{"percent and tiers", "selling:\n  venues: [{name: gable, fees: [{what: commission, percent: ‸5%, tiers: [{rate: 5%}]}]}]\n",
		`@: venue gable: fee "commission": percent: a fee has either percent or tiers: write a single rate as percent, bands as tiers`},
	{"fee of nothing", "selling:\n  venues: [{name: gable, fees: [‸{what: commission}]}]\n",
		`@: venue gable: fee "commission": the fee charges nothing: write percent, tiers, fixed or floor, as in percent: 11%`},
	{"fee that a comma parts", "selling:\n  venues: [{name: gable, fees: [{what: commission, fixed: ‸0,50}]}]\n",
		`@: venue gable: fees 1: fixed: in brackets the comma of 0,50 parts two values: write fixed: 0.50, or decimal: comma at the top of the file if all its figures are so, and here fixed: "0,50"`},
	{"scheme that is none", "selling:\n  venues: [{name: gable}]\n  tax: {scheme: ‸GST, rate: 10%}\n", `@: selling: tax: scheme: unknown word "GST": known here: none, ordinary, margin`},
	{"floor above cap", "selling:\n  venues: [{name: gable, fees: [{what: commission, percent: 5%, floor: 5, cap: ‸4}]}]\n",
		`@: venue gable: fee "commission": the floor "5.00 CAD" is above the cap "4.00 CAD": exchange them or lower the floor`},
	{"negative fee", "selling:\n  venues: [{name: gable, fees: [{what: commission, fixed: ‸-1}]}]\n",
		`@: venue gable: fee "commission": fixed: "-1.00 CAD" is negative: write an amount of 0 or more`},
	{"unknown kind", "selling:\n  venues: [{name: gable, fees: [{kind: ‸pay, fixed: 1}]}]\n", `@: venue gable: fees 1: kind: unknown word "pay": known here: selling, payment, listing, advertising`},
	{"unknown base", "selling:\n  venues: [{name: gable, fees: [{of: ‸prise, fixed: 1}]}]\n", `@: venue gable: fees 1: of: unknown word "prise": did you mean price?`},
	{"neither yes nor no", "selling:\n  advertised: ‸maybe\n  venues: [{name: gable}]\n", `@: selling: advertised: "maybe" is neither yes nor no: write yes or no`},
	{"offered", "selling:\n  offered: ‸0\n  venues: [{name: gable}]\n", `@: selling: offered: "0" is not how often a piece is offered: write a whole number from 1 to 100, as in offered: 2`},
	{"offered, by both words", "selling:\n  offered: 2\n  listings: ‸2\n  venues: [{name: gable}]\n", `@: selling: listings: it is the older word for offered, which stands here too: keep offered`},
	{"steps that fall", "selling:\n  postage: {steps: [{up-to: 2 kg, cost: 9}, {up-to: ‸1 kg, cost: 12}]}\n  venues: [{name: gable}]\n",
		"@: selling: postage: steps 2: up-to: the step does not go beyond the one before it, 2 kg: write the steps by rising weight"},
	{"postage finer than its currency", "selling:\n  venues:\n    - {name: gable, currency: JPY, postage: ‸14.95}\n", `@: venue gable: postage: "14.95" has decimals, but JPY has no smaller unit: write 15 JPY, or the amount rounded as it was paid`},
	{"step in yen without a cost", "selling:\n  venues: [{name: gable, currency: JPY, postage: {steps: [‸{up-to: 2 kg}]}}]\n", "@: venue gable: postage: steps 1: cost is missing: write what it costs to send, as in cost: 980"},
	{"step without a cost", "selling:\n  venues: [{name: gable, postage: {steps: [‸{up-to: 2 kg}]}}]\n", "@: venue gable: postage: steps 1: cost is missing: write what it costs to send, as in cost: 9.80"},
	{"negative postage", "selling:\n  charged: ‸-3\n  venues: [{name: gable}]\n", `@: selling: charged: "-3.00 CAD" is negative: write an amount of 0 or more`},
	{"postage from buyers and none paid", "selling:\n  charged: 12 CAD\n  packing: 0.80\n  venues: [‸{name: gable}, {name: quay, postage: 9}, {name: fair, ships: no}, {name: shop, ships: yes}]\n",
		"@: venue gable: buyers pay 12.00 CAD for postage, but it is not said what sending costs: write ships: no at the venue if nothing is sent from there, or what sending costs, as in postage: 14.95"},
	{"packing at the venue and no postage", "selling:\n  charged: 12 CAD\n  venues: [‸{name: gable, packing: 1, charged: 0}]\n",
		"@: venue gable: packing costs 1.00 CAD, but it is not said what sending costs: write ships: no at the venue if nothing is sent from there, or what sending costs, as in postage: 14.95"},
	{"charged in another currency", "selling:\n  venues: [{name: gable, charged: ‸900 JPY, postage: 9}]\n",
		`@: venue gable: postage paid by the buyer: "900 JPY" is not in CAD, the currency of the venue: convert it first`},
	{"neither ships nor does not", "selling:\n  venues: [{name: gable, ships: ‸abroad}]\n", `@: venue gable: ships: "abroad" is neither yes nor no: write yes or no`},
	{"target of 100 %", "selling:\n  target: ‸100%\n  venues: [{name: gable}]\n", `@: selling: target: "100%" is the whole price or more, so no price exists: write less than 100%, or a mark-up such as 100% on cost`},
	{"target of what", "selling:\n  target: ‸30% of cost\n  venues: [{name: gable}]\n", `@: selling: target: "30% of cost" does not say on what: write 30% on cost`},
	{"target of something else", "selling:\n  target: ‸30% of proceeds\n  venues: [{name: gable}]\n", `@: selling: target: "30% of proceeds" does not say on what: write 30% on price, or 30% on cost`},
	{"negative target", "selling:\n  target: ‸-30%\n  venues: [{name: gable}]\n", `@: selling: target: "-30%" is negative: write 0% or more`},
	{"a loss for a target", "selling:\n  target: ‸-5 CAD\n  venues: [{name: gable}]\n", `@: selling: target: "-5 CAD" is a loss: write the profit you want, 0 or more; without a target it is break-even`},
	{"target too fine", "selling:\n  target: ‸0.00001%\n  venues: [{name: gable}]\n", `@: selling: target: "0.00001%" has more than four decimals: round it to 0.0001%`},
	{"target too large", "selling:\n  target: ‸100001% on cost\n  venues: [{name: gable}]\n", `@: selling: target: "100001% on cost" is too large: write at most 100000% on cost`},
	{"margin scheme for imports", "selling:\n  tax: ‸{scheme: margin, rate: 20%}\n  venues: [{name: gable}]\n",
		`@: selling: tax: the margin scheme does not take "ordinary second-hand goods" that the seller imported: it wants goods bought within the tax area from somebody who could not deduct the tax, and of imported goods only works of art, antiques over 100 years old and collectors' pieces (Directive 2006/112/EC, articles 314 and 317): use the ordinary scheme, say which of these they are, or imported: no where they were bought within the tax area`},
	{"goods of the margin scheme misspelt", "selling:\n  tax: {scheme: margin, rate: 20%, goods: ‸antiqe}\n  venues: [{name: gable}]\n", `@: selling: tax: goods: unknown word "antiqe": did you mean antique?`},
	{"tax without a rate", "selling:\n  tax: ‸{scheme: ordinary}\n  venues: [{name: gable}]\n", "@: selling: tax: rate is missing: write the rate of the tax, as in rate: 20%"},
	{"tax without a scheme", "selling:\n  tax: {rate: ‸20%}\n  venues: [{name: gable}]\n", "@: selling: tax: rate: the scheme of this tax is not said: write scheme: ordinary or scheme: margin beside it"},
	{"rate of no tax", "selling:\n  tax: {scheme: none, rate: ‸20%}\n  venues: [{name: gable}]\n", "@: selling: tax: rate: there is no tax under scheme: none: leave the rate out, or write scheme: ordinary or scheme: margin"},
	{"rate too fine", "selling:\n  tax: {scheme: ordinary, rate: ‸0.00001%}\n  venues: [{name: gable}]\n", `@: selling: tax: rate: value added tax: "0.00001%" has more than four decimals: round it to 0.0001%`},
	{"losses", "losses: ‸lots\n", `@: losses: unknown word "lots": did you mean lot?`},
}

func TestSellingMistakes(t *testing.T) {
	for _, c := range sellingMistakes {
		t.Run(c.name, func(t *testing.T) {
			text, at := spoil(t, []string{theLots, theLots + c.text})
			_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
			if want := strings.ReplaceAll(c.want, "@:", at+":"); err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
		})
	}
}

// benchMistakes are what people get wrong of an item on the bench.
var benchMistakes = []struct{ name, text, want string }{
	{"does not add up", "count: 2\n        found: ‸{sound: 2, dead: 1}", "@: item jack: found: 3 pieces found, but the count is 2: sound, parts, dead and missing must sum to the count; write extra for pieces beyond it"},
	{"keep more than sound", "count: 2\n        keep: ‸2\n        found: {sound: 1, dead: 1}", "@: item jack: keep: 2 are to be kept, but 1 are sound: keep no more than are sound"},
	{"unknown state", "count: 2\n        found: {sound: 2, ‸brocken: 1}", `@: item jack: found: unknown key "brocken": known here: sound, parts, dead, missing, extra, yields`},
	{"found as a word", "count: 2\n        found: ‸all", `@: item jack: found: a group of keys belongs here, not a single value: write each as "key: value", of the keys sound, parts, dead, missing, extra, yields`},
	{"count in words", "count: 2\n        found: {sound: ‸two}", `@: item jack: found: sound: "two" is not a number of pieces: write 2`},
	{"negative", "count: 2\n        keep: ‸-1", "@: item jack: keep: -1 pieces make no sense: write 0 or more, as in keep: 1"},
	{"too many", "count: 2\n        keep: ‸1000000001", "@: item jack: keep: 1000000001 pieces are too many: write how many pieces there are"},
	{"count wrong too", "count: ‸x\n        keep: 4\n        found: {sound: 4}", `@: item jack: count: "x" is not a number of pieces: write a whole number, as in count: 2`},
	{"hours and minutes", "count: 2\n        hours: ‸1h30", `@: item jack: hours: "1h30" is not a number of hours: write 1.5`},
	{"hours in another notation", "count: 2\n        hours: ‸1e3", `@: item jack: hours: "1e3" is not a number of hours: write it as in hours: 1.5`},
	{"negative hours", "count: 2\n        hours: ‸-1", `@: item jack: hours: "-1" hours make no sense: write 0 or more, as in hours: 1.5`},
	{"a lifetime", "count: 2\n        hours: ‸100001", `@: item jack: hours: "100001" hours are too many: write how many hours were worked on the item`},
	{"negative repair", "count: 2\n        repair: ‸-1 CAD", `@: item jack: repair: "-1.00 CAD" is negative: write an amount of 0 or more`},
	{"negative worth", "count: 2\n        worth: ‸-1 CAD", `@: item jack: worth: "-1.00 CAD" is negative: write an amount of 0 or more`},
	{"nothing for nothing", "count: ‸0", "@: item jack: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out"},
	{"nothing is dead", "count: 2\n        found: ‸{sound: 2, yields: [{what: iron, value: 6}]}", "@: item jack: found: pieces were made from dead ones, but none is dead: write how many are dead, as in dead: 1, or leave yields out"},
	{"yields without a name", "count: 2\n        found: {dead: 2, yields: [‸{value: 6}]}", "@: item jack: found: yields 1: what is missing: name what was made, as in what: iron"},
	{"yields without a value", "count: 2\n        found: {dead: 2, yields: [‸{what: iron}]}", "@: item jack: found: yields 1: value is missing: write what one should sell for, as in value: 6 CAD"},
	{"yields twice", "count: 2\n        found: {dead: 2, yields: [{what: iron, value: 6}, ‸{what: iron, value: 4}]}", `@: item jack: yields: "iron" stands twice: write all of them together, or name them apart`},
	{"yields of none", "count: 2\n        found: {dead: 2, yields: [{what: iron, count: ‸0, value: 6}]}", "@: item jack: found: yields 1: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out"},
	{"yields of less than nothing", "count: 2\n        found: {dead: 2, yields: [{what: iron, value: ‸-6}]}", `@: item jack: found: yields 1: value: "-6.00 CAD" is negative: write an amount of 0 or more`},
	{"yields sold, which cannot be read", "count: 2\n        sold: [{price: 5, made: iron}]\n        found: {sound: 1, dead: 1, yields: [{what: iron, value: ‸6 CDN}]}", `@: item jack: found: yields 1: value: "6 CDN" has no currency code of ISO 4217 in "CDN": write 6 CAD`},
	{"yields sold, and a repair below zero", "count: 2\n        sold: [{price: 5, made: iron}]\n        found: {sound: 1, dead: 1, yields: [{what: iron, value: 6}]}\n        repair: ‸-1 CAD", `@: item jack: repair: "-1.00 CAD" is negative: write an amount of 0 or more`},
	{"misspelt", "count: 2\n        ‸part-value: 4", `@: lot crate-a: items 1: unknown key "part-value": did you mean parts-value?`},
}

func TestBenchMistakes(t *testing.T) {
	for _, c := range benchMistakes {
		t.Run(c.name, func(t *testing.T) {
			text, at := spoil(t, []string{"count: 2", c.text})
			_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
			if want := strings.ReplaceAll(c.want, "@:", at+":"); err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
		})
	}
}

// What is written of an item on the bench, in a lot file and in a list.
func TestBench(t *testing.T) {
	const yaml = "lotcost: 1\nhome: CAD\nlosses: written-off\nlots: [{id: a, price: 10, items: [{id: jack, count: 4, found: {sound: 2, parts: 1, dead: 1, missing: 1, extra: 1}, repair: 12, hours: 1.5, parts-value: 4 CAD, keep: 1, worth: 60 CAD}]}]\n"
	written := parse(t, yaml)
	listed, _, err := readItems(t, "id,count,sound,parts,dead,missing,extra,repair,hours,parts_value,keep,worth\njack,4,2,1,1,1,1,12,1.5,4 CAD,1,60 CAD\nsquare,1,,,,,,,,,,\n")
	if err != nil {
		t.Fatal(err)
	}
	if written.Losses != landed.LossWrittenOff {
		t.Errorf("losses: %d", written.Losses)
	}
	for _, item := range []landed.Item{written.Lots[0].Items[0], listed.Lots[0].Items[0]} {
		found := landed.Found{Sound: 2, Parts: 1, Dead: 1, Missing: 1, Extra: 1}
		if !reflect.DeepEqual(*item.Found, found) || item.Repair != dollars(1200) || item.PartsValue != dollars(400) || item.Worth != dollars(6000) || item.Keep != 1 || item.Hours.String() != "1.5" {
			t.Errorf("got %+v, %+v", item, item.Found)
		}
	}
	if square := listed.Lots[0].Items[1]; square.Found != nil || square.Keep != 0 {
		t.Errorf("nothing was found of %+v", square)
	}
}

// What is made from dead pieces, pieces that nobody paid for, and a model.
func TestYields(t *testing.T) {
	h := parse(t, `lotcost: 1
home: CAD
lots:
  - id: a
    price: 10
    items:
      - {id: jack, model: jack-5, count: 2, value: 9, found: {sound: 1, dead: 1, yields: [{what: iron, count: 3, value: 6 CAD, weight: 400 g}, {what: knob, value: 1}]}}
      - {id: level, count: 0, found: {sound: 2, extra: 2}}
`)
	jack, level := &h.Lots[0].Items[0], &h.Lots[0].Items[1]
	want := []landed.Yield{{What: "iron", Count: 3, Value: dollars(600), Weight: 400 * measure.Gram, Weighed: true}, {What: "knob", Count: 1, Value: dollars(100)}}
	if got := jack.Found.Yields; !slices.Equal(got, want) || jack.Model != "jack-5" {
		t.Errorf("got %+v of %q", jack.Found.Yields, jack.Model)
	}
	if level.Count != 0 || level.Found.Extra != 2 {
		t.Errorf("got %+v", level)
	}
	if _, _, err := readItems(t, "id,yields\njack,iron\n"); err == nil || !strings.HasSuffix(err.Error(), ":1:4: a list has no room for what was made from dead pieces: write the items in the lot file, with found: {…, yields: [{what: iron, count: 3, value: 6 CAD}]}") {
		t.Errorf("got %v", err)
	}
	listed, _, err := readItems(t, "id,model,count,sound,extra\njack,jack-5,1,1,\nlevel,,0,2,2\n")
	if err != nil {
		t.Fatal(err)
	}
	if items := listed.Lots[0].Items; items[0].Model != "jack-5" || items[1].Count != 0 || items[1].Found.Extra != 2 {
		t.Errorf("got %+v", items)
	}
}

// ParseTarget reads what --target and the file say.
func TestParseTarget(t *testing.T) {
	for text, want := range map[string]string{"5 CAD": "5.00 CAD", "25%": "25%", "25 %  on price": "25%", "30% on cost": "30% on cost", "0": "nothing lost", "0%": "nothing lost"} {
		if got, err := lotfile.ParseTarget(text, cad); err != nil || got.String() != want {
			t.Errorf("%q is %q, %v, want %q", text, got, err, want)
		}
	}
}

// FuzzParseTarget: what is read makes sense, and its words are read back.
func FuzzParseTarget(f *testing.F) {
	for _, text := range []string{"5 CAD", "25%", "30% on cost", "100%", "-3", "% on cost", "1e9%", "12,5%"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		target, err := lotfile.ParseTarget(text, cad)
		if err != nil || target.IsZero() {
			return
		}
		again, err := lotfile.ParseTarget(target.String(), cad)
		if err != nil || again.String() != target.String() {
			t.Errorf("%q is %s, and that is %s, %v", text, target, again, err)
		}
	})
}

// FuzzSelling: a section that is accepted holds venues that are right.
func FuzzSelling(f *testing.F) {
	f.Add("{venues: [{name: gable, fees: [{what: commission, tiers: [{up-to: 100, rate: 13%}, {rate: 5%}], floor: 1}]}]}")
	f.Add("{target: 25%, tax: {scheme: ordinary, rate: 20%}, venues: [{name: gable, postage: {steps: [{up-to: 1 kg, cost: 9}]}}]}")
	for _, c := range sellingMistakes {
		if text, ok := strings.CutPrefix(c.text, "selling:"); ok {
			f.Add(strings.ReplaceAll(text, here, ""))
		}
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, text string) {
		h, err := lotfile.Parse("haul.yaml", []byte(sellable+"selling: "+text), folder, lotfile.Options{})
		checkAnswer(t, h, err)
		if err != nil || h.Selling == nil {
			return
		}
		if len(h.Selling.Venues) == 0 {
			t.Fatal("a section without venues")
		}
		for i := range h.Selling.Venues {
			if err := h.Selling.Venues[i].Check(); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := h.Selling.Venue(""); err != nil {
			t.Error("there is no usual venue")
		}
	})
}

// A usual venue that there is not is told beside what is wrong with one that there is.
func TestUsualVenueBesideFaults(t *testing.T) {
	text := "selling:\n  venue: gabel\n  venues: [{name: gable, fees: [{what: commission, fixed: x}]}]\n"
	_, err := lotfile.Parse("haul.yaml", []byte(sellable+text), t.TempDir(), lotfile.Options{})
	faults, _ := errors.AsType[source.Faults](err)
	if len(faults) != 2 || !strings.Contains(faults[0].Error(), "did you mean gable?") {
		t.Errorf("got %v, want two faults, the usual venue first", err)
	}
}
