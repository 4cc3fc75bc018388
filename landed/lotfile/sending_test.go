package lotfile_test

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/landed/together"
	"lotcost/testdata/reworded"

	"github.com/shopspring/decimal"
)

// aSending is right as it stands and has every key; each case spoils it.
const aSending = `lotcost: 1
home: CAD
date: 2026-10-03
exchange:
  rates: [100 JPY = 0.93 CAD]
lots:
  - id: crate-a
    price: 4200 JPY
    size: 30x20x10 cm
    packed: 3.2 kg
    arrived: 2026-10-05
    contents: [liquids, oil]
    roll: yes
    items: [{id: jack, value: 38}]
  - {id: box-b, price: 100 JPY, items: [{id: square, value: 9}]}
sending:
  services:
    - name: surface
      currency: JPY
      zones:
        - name: CA
          steps: [{up-to: 500 g, price: 1200}, {up-to: 1 kg, price: 1500 JPY}]
          further: {each: 500 g, price: 350}
      volumetric: {divisor: 5000, billed: greater, whole: 1 cm}
      round-to: 500 g
      minimum: 1 kg
      limits: {weight: 20 kg, longest: 1.05 m, length-plus-girth: 2 m, sum-of-sides: 90 cm, tolerance: 2 mm, value: 60000}
      rolls: {longest: 90 cm}
      per-parcel: 100
      fuel: {rate: 12%, of: postage and parcel}
      insurance: {steps: [{up-to: 20000, price: 400}], further: {each: 20000, price: 50}}
      refuses: [lithium cells]
      days: 5..9
      from: 2026-01-01
      until: 2026-12-31
    - name: air
      currency: CAD
      steps: [{up-to: 1 kg, price: 12}]
      insurance: {rate: 2%, least: 3}
      days: 4
  zone: CA
  packing: {share: 8%, fixed: 200 g, padding: 2 cm}
  forwarder: {parcel: 300 JPY, lot: 90 JPY, consolidation: 250 JPY, storage: {free: 14, day: 20 JPY, by: kg}}
  leaves: 2026-10-20
  latest: 2026-12-20
  together: [[crate-a, box-b]]
  apart: []
  insure: yes
`

func TestSending(t *testing.T) {
	h := parse(t, aSending)
	day := func(month time.Month, day int) time.Time { return time.Date(2026, month, day, 0, 0, 0, 0, time.UTC) }
	yen := func(n int64) money.Amount { return money.New(n, money.MustCurrency("JPY")) }
	const cm, kg = measure.Centimetre, measure.Kilogram
	lot := h.Lots[0]
	if lot.Size != (measure.Size{L: 30 * cm, W: 20 * cm, H: 10 * cm}) || lot.Packed != 3200*measure.Gram || !lot.Arrived.Equal(day(10, 5)) ||
		!reflect.DeepEqual(lot.Contents, []string{"liquids", "oil"}) || !lot.Roll {
		t.Errorf("lot: %+v", lot)
	}
	s := h.Sending
	want := &freight.Service{Name: "surface", Currency: money.MustCurrency("JPY"),
		Zones: []freight.Zone{{Name: "CA", Steps: []money.Step[measure.Weight]{{UpTo: kg / 2, Price: yen(1200)}, {UpTo: kg, Price: yen(1500)}},
			Further: money.Step[measure.Weight]{UpTo: kg / 2, Price: yen(350)}, At: placeIn(h, 21, 11)}},
		Divisor: 5000, Billed: freight.Greater, WholeTo: cm, RoundTo: kg / 2, Minimum: kg,
		Limits: freight.Limits{Weight: 20 * kg, Longest: 105 * cm, LengthPlusGirth: 200 * cm, SumOfSides: 90 * cm, Tolerance: cm / 5, Value: yen(60000)},
		Rolls:  &freight.Limits{Longest: 90 * cm}, PerParcel: yen(100),
		Fuel: s.Services[0].Fuel, FuelOnAll: true,
		Insurance: freight.Insurance{Steps: []money.Step[money.Amount]{{UpTo: yen(20000), Price: yen(400)}}, Further: money.Step[money.Amount]{UpTo: yen(20000), Price: yen(50)}},
		Refuses:   []string{"lithium cells"}, MinDays: 5, MaxDays: 9, From: day(1, 1), Until: day(12, 31),
		At: placeIn(h, 18, 7)}
	if !reflect.DeepEqual(s.Services[0], want) {
		t.Errorf("service\n%+v\nwant\n%+v", s.Services[0], want)
	}
	if !s.Services[0].Fuel.Equal(decimal.RequireFromString("0.12")) || s.Services[1].MinDays != 4 || s.Services[1].MaxDays != 4 ||
		s.Services[1].Insurance.Least.String() != "3.00 CAD" || s.Services[1].Zones[0].Name != "" {
		t.Errorf("services: %+v, %+v", s.Services[0], s.Services[1])
	}
	f := freight.Forwarder{PerParcel: yen(300), PerLot: yen(90), Consolidation: yen(250), FreeDays: 14, PerDay: yen(20), PerKilogram: true}
	if *s.Forwarder != f || s.Zone != "CA" || !s.Leaves.Equal(day(10, 20)) || !s.Latest.Equal(day(12, 20)) || !s.Insure ||
		!reflect.DeepEqual(s.Together, [][]string{{"crate-a", "box-b"}}) || s.Apart != nil || s.Packing.Fixed != kg/5 || s.Packing.Padding != 2*cm {
		t.Errorf("sending: %+v, %+v", s, s.Forwarder)
	}
}

var sendingMistakes = []struct {
	name  string
	edits []string
	want  string
}{
	{"zero weight", []string{"packed: 3.2 kg", "packed: ‸0 g"},
		"@: lot crate-a: packed: a weight of zero makes no sense: write it as in packed: 3.2 kg"},
	{"arrived soon", []string{"arrived: 2026-10-05", "arrived: ‸soon"},
		`@: lot crate-a: arrived: "soon" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day`},
	{"size of two sides", []string{"size: 30x20x10 cm", "size: ‸30x20 cm"},
		`@: lot crate-a: size: size "30x20 cm": 2 sides, not 3: give three sides and a unit, as in 30x20x10 cm`},
	{"no services", []string{"  services:\n    - name: surface", "  carriers:\n    - name: surface"},
		`haul.yaml:17:3: sending: unknown key "carriers": known here: services, zone, packing, forwarder, leaves, latest, together, apart, insure` + "\n" +
			"haul.yaml:17:3: sending: services is missing: list what carriers offer, or name a file with such a list, as in services: services.yaml"},
	{"service without currency", []string{"    - name: air\n      currency: CAD\n", "    - ‸name: air\n"},
		"@: service air: currency is missing: name the currency of its prices, as in currency: JPY"},
	{"service twice", []string{"    - name: air", "    - ‸name: surface"},
		`@: sending: services 2: the service "surface" stands twice: give each service a name of its own`},
	{"steps and zones", []string{"      zones:\n", "      steps: [{up-to: 1 kg, price: 1}]\n      zones:\n"},
		"haul.yaml:22:9: service surface: zones: a service has either steps or zones: write one table as steps, several as zones with steps of their own"},
	{"no prices", []string{"      steps: [{up-to: 1 kg, price: 12}]\n", "", "    - name: air", "    - ‸name: air"},
		"@: service air: steps is missing: write what it costs by weight, as in steps: [{up-to: 500 g, price: 1200 JPY}]"},
	{"step without a price", []string{"{up-to: 1 kg, price: 12}", "‸{up-to: 1 kg}"},
		"@: service air: steps 1: price is missing: write what it costs to send, as in price: 1200 JPY"},
	{"steps that fall", []string{"{up-to: 1 kg, price: 1500 JPY}", "{up-to: ‸400 g, price: 1500 JPY}"},
		"@: service surface: zone CA: step 2: does not reach beyond the step before: list the steps from the least to the greatest, each above zero"},
	{"another currency", []string{"per-parcel: 100", "per-parcel: ‸1 CAD"},
		`@: service surface: charge per parcel: is in "CAD", not in the service's currency: give it in "JPY"`},
	{"negative fee", []string{"per-parcel: 100", "per-parcel: ‸-100"},
		`@: service surface: per-parcel: "-100 JPY" is negative: write an amount of 0 or more`},
	{"divisor in words", []string{"divisor: 5000", "divisor: ‸large"},
		`@: service surface: volumetric: divisor: "large" is not a divisor: write the cm3 that count as 1 kg, as in divisor: 5000`},
	{"billed by a mule", []string{"billed: greater", "billed: ‸graeter"},
		`@: service surface: volumetric: billed: unknown word "graeter": did you mean greater?`},
	{"days turned round", []string{"days: 5..9", "days: ‸9..5"},
		`@: service surface: days: "9..5" is not a time in transit: write 5..9`},
	{"a day too early", []string{"until: 2026-12-31", "until: ‸2025-12-31"},
		`@: service surface: until: "2025-12-31" is before the first day "2026-01-01": give a last day that is not before it`},
	{"storage by the year", []string{"free: 14", "free: ‸1.5"},
		`@: sending: forwarder: storage: free: "1.5" is not a number of days: write a whole number from 0 to 1000`},
	{"forwarder of two currencies", []string{"lot: 90 JPY", "lot: ‸1 CAD"},
		`@: sending: forwarder: lot: "1.00 CAD" is not in JPY, as the other charges here are: write all of them in one currency`},
	{"arrives before it leaves", []string{"latest: 2026-12-20", "latest: ‸2026-10-19"},
		"@: sending: latest: the parcels cannot arrive before they leave: write a day after 2026-10-20"},
	{"one group not in brackets", []string{"together: [[crate-a, box-b]]", "together: [‸crate-a, [crate-a, box-b]]"},
		"@: sending: together 1: a list of lots belongs here: write each group in brackets, as in [[crate-a, box-b]]"},
	{"lots without a group", []string{"together: [[crate-a, box-b]]", "together: [‸crate-a, box-b]"},
		"@: sending: together 1: a list of lots belongs here: write together: [[crate-a, box-b]]"},
	{"groups as keys", []string{"together: [[crate-a, box-b]]", "together: ‸{crate-a: box-b}"},
		"@: sending: together: a list of groups of lots belongs here: write each group in brackets, as in [[crate-a, box-b]]"},
	{"groups as a number", []string{"together: [[crate-a, box-b]]", "together: ‸2"},
		"@: sending: together: a list of groups of lots belongs here: write each group in brackets, as in [[crate-a, box-b]]"},
	{"keys for a lot in a group", []string{"together: [[crate-a, box-b]]", "together: [‸[{id: crate-a}, box-b]]"},
		"@: sending: together 1: a list of lots belongs here: write each group in brackets, as in [[crate-a, box-b]]"},
	{"brackets in a group", []string{"apart: []", "apart: [[crate-a, box-b], ‸[box-b, [crate-a]]]"},
		"@: sending: apart 2: a list of lots belongs here: write each group in brackets, as in [[crate-a, box-b]]"},
	{"group of one", []string{"apart: []", "apart: [‸[box-b]]"},
		"@: sending: apart: a group holds fewer than two lots: name two lots or more, as in apart: [[crate-a, box-b]]"},
	{"unknown lot", []string{"apart: []", "apart: [[box-b, ‸crate-c]]"},
		`@: sending: apart: no lot has the id "crate-c": did you mean crate-a?`},
	{"a lot twice", []string{"apart: []", "apart: [[box-b, ‸box-b]]"},
		"@: sending: apart: lot box-b stands twice in one group: name each lot once"},
	{"share beyond all", []string{"share: 8%", "share: ‸108%"},
		`@: sending: packing: share: "108%" is more than the whole: write a percentage from 0% to 100%, as in share: 8%`},
}

func TestSendingMistakes(t *testing.T) {
	for _, c := range sendingMistakes {
		t.Run(c.name, func(t *testing.T) {
			text, at := edited(t, aSending, c.edits)
			_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
			if want := strings.ReplaceAll(c.want, "@", at); err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
		})
	}
}

// A charge of 0 is none, also where the others are in a currency that it does not name.
func TestForwarderWithout(t *testing.T) {
	text, _ := edited(t, aSending, []string{"parcel: 300 JPY", "parcel: 0"})
	f, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Sending.Forwarder; got.PerParcel != (money.Amount{}) || got.PerLot.String() != "90 JPY" {
		t.Errorf("got %+v", got)
	}
}

// edited spoils a text and tells where the mark stood.
func edited(t testing.TB, text string, edits []string) (spoilt, at string) {
	t.Helper()
	for i := 0; i < len(edits); i += 2 {
		if !strings.Contains(text, edits[i]) {
			t.Fatalf("%q is not in the text", edits[i])
		}
		text = strings.Replace(text, edits[i], edits[i+1], 1)
	}
	if before, after, marked := strings.Cut(text, here); marked {
		line := before[strings.LastIndex(before, "\n")+1:]
		at = source.Origin{File: "haul.yaml", Line: 1 + strings.Count(before, "\n"), Column: 1 + len([]rune(line))}.String()
		text = before + after
	}
	return text, at
}

// TestServicesFile reads the services from a file below the lot file's folder.
func TestServicesFile(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "services.yaml", "- name: air\n  currency: JPY\n  steps: [{up-to: 1 kg, price: 12}]\n")
	const text = "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\nsending: {services: services.yaml}\n"
	h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	if err != nil || len(h.Sending.Services) != 1 || h.Sending.Services[0].Name != "air" {
		t.Fatalf("%+v, %v", h, err)
	}
	_, err = lotfile.Parse("haul.yaml", []byte(strings.Replace(text, "services.yaml", "other.yaml", 1)), folder, lotfile.Options{})
	const want = `haul.yaml:4:21: sending: services: there is no file "other.yaml" beside the lot file: check the name`
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// FuzzPlan: a lot file is planned with, or refused with reasons, and the best
// way is no dearer than the simple ones.
func FuzzPlan(f *testing.F) {
	texts := []string{aSending, example(f, "three-lots/haul.yaml"), example(f, "at-the-border/haul.yaml")}
	texts[2] += "sending: {services: [{name: post, currency: JPY, steps: [{up-to: 1 kg, price: 900}, {up-to: 9 kg, price: 5200}]}], forwarder: {parcel: 300 JPY}}\n"
	for i := range texts {
		f.Add(uint8(i), []byte{})
	}
	folder := f.TempDir()
	write(f, folder, "services.yaml", example(f, "three-lots/services.yaml"))
	f.Fuzz(func(t *testing.T, which uint8, changes []byte) {
		text := reworded.Text(texts[int(which)%len(texts)], changes)
		h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil || len(h.Lots) > 6 {
			return
		}
		r, err := together.Plan(context.Background(), h.Haul, h.Sending, together.Options{Work: 2000})
		if err != nil {
			var faults source.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("not faults: %v", err)
			}
			return
		}
		for _, w := range []*together.Way{&r.Apart, &r.One} {
			if w.Statement != nil && w.Total.Cmp(r.Best.Total) < 0 {
				t.Errorf("best %v, but %s is %v", r.Best.Total, w.Name, w.Total)
			}
		}
		if r.Bound.Cmp(r.Best.Total) > 0 {
			t.Errorf("best %v is below the bound %v", r.Best.Total, r.Bound)
		}
	})
}
