package parcels_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/published"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

var (
	cad = money.MustCurrency("CAD")
	jpy = money.MustCurrency("JPY")
	on  = date("2026-11-02")
)

// must gives the value of a call that cannot fail with this input.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func kg(s string) measure.Weight       { return must(measure.ParseWeight(s)) }
func length(s string) measure.Length   { return must(measure.ParseLength(s)) }
func size(s string) measure.Size       { return must(measure.ParseSize(s)) }
func amount(s string) money.Amount     { return must(money.Parse(s)) }
func date(s string) time.Time          { return must(time.Parse(time.DateOnly, s)) }
func percent(s string) decimal.Decimal { return must(money.ParsePercent(s)) }

// surface is an invented service by steps, with every kind of charge.
func surface() freight.Service {
	return freight.Service{
		Name: "Harbour Surface", Currency: cad,
		Zones: []freight.Zone{
			{Name: "CA", Steps: []money.Step[measure.Weight]{
				{UpTo: kg("500 g"), Price: amount("14.00 CAD")},
				{UpTo: kg("1 kg"), Price: amount("21.80 CAD")},
				{UpTo: kg("2 kg"), Price: amount("31.20 CAD")},
			}},
			{Name: "DE", Steps: []money.Step[measure.Weight]{{UpTo: kg("500 g"), Price: amount("11.00 CAD")}},
				Further: money.Step[measure.Weight]{UpTo: kg("500 g"), Price: amount("4.25 CAD")}},
		},
		Divisor: 5000, Billed: freight.Greater, WholeTo: measure.Centimetre,
		RoundTo:   kg("50 g"),
		Minimum:   kg("200 g"),
		Limits:    freight.Limits{Weight: kg("10 kg"), Longest: length("60 cm"), SumOfSides: length("90 cm"), Value: amount("1000 CAD")},
		PerParcel: amount("2.50 CAD"),
		Fuel:      percent("12.5%"),
		Insurance: freight.Insurance{
			Steps:   []money.Step[money.Amount]{{UpTo: amount("100 CAD"), Price: amount("0 CAD")}, {UpTo: amount("300 CAD"), Price: amount("4.50 CAD")}},
			Further: money.Step[money.Amount]{UpTo: amount("100 CAD"), Price: amount("1.75 CAD")},
		},
		Refuses: []string{"lithium cells", "liquids"},
		MinDays: 20, MaxDays: 45,
		From: date("2026-04-01"), Until: date("2027-03-31"),
	}
}

func weighedBox(w string) parcels.Box { return parcels.Box{Weight: kg(w)} }

func TestPublishedVolumetric(t *testing.T) {
	for _, row := range published.Rows(t, "parcels/volumetric.csv", 8) {
		s := freight.Service{
			Name: "As published", Currency: cad,
			Zones:   []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: kg("100 kg"), Price: amount("1 CAD")}}}},
			Divisor: must(strconv.ParseInt(row[2], 10, 64)), Billed: freight.Greater,
		}
		b := parcels.Box{Weight: measure.Gram, Size: size(row[1])}
		if row[4] != "" {
			b.Weight = kg(row[4])
		}
		if row[5] != "" {
			s.RoundTo = kg(row[5])
		}
		q, err := parcels.Ask(&s, []parcels.Box{b}, on, "")
		if err != nil || q.Volumetric != kg(row[3]) || q.Billed != kg(row[6]) || q.SetBy != row[7] {
			t.Errorf("%v: volumetric %s, billed %s set by %s, %v", row, q.Volumetric, q.Billed, q.SetBy, err)
		}
	}
}

// Random sides seldom leave a remainder of one, or a quotient of 64 ones.
func TestVolumetricAtTheEdge(t *testing.T) {
	for _, c := range []struct {
		size    measure.Size
		divisor int64
		want    string
	}{
		{measure.Size{L: 1, W: 1, H: 4001}, 4000, "0.000000002 g <nil>"},
		// The product is 2^65 - 1; half of it, rounded up, is 2^64.
		{measure.Size{L: 31, W: 8191, H: 145_295_143_558_111}, 2, "0 g volumetric weight of 0.0031x0.8191x14529514355.8111 cm by 2: passes 9223372.036854775807 kg, the limit of a weight"},
		{size("9000x9000x9000 m"), 1, "0 g volumetric weight of 900000x900000x900000 cm by 1: passes 9223372.036854775807 kg, the limit of a weight"},
	} {
		if got := fmt.Sprintln(parcels.Volumetric(c.size, c.divisor)); got != c.want+"\n" {
			t.Errorf("got  %swant %s", got, c.want)
		}
	}
}

// broken lists the limits that the error names.
func broken(t interface {
	Helper()
	Fatal(...any)
}, err error) string {
	t.Helper()
	var refused *parcels.RefusedError
	if err == nil {
		return ""
	}
	if !errors.As(err, &refused) {
		t.Fatal(err)
	}
	var names []string
	for _, text := range refused.Limits {
		for _, limit := range []string{"weight", "billed weight", "longest side", "length plus girth", "sum of sides", "value", "insured value"} {
			if strings.Contains(text, ": "+limit+" ") {
				names = append(names, limit)
			}
		}
		if strings.HasSuffix(text, "is not taken") {
			names = append(names, "contents")
		}
	}
	return strings.Join(names, "; ")
}

func TestPublishedSmallPacket(t *testing.T) {
	s := freight.Service{
		Name: "Small packet", Currency: jpy,
		Zones:  []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: kg("30 kg"), Price: amount("1000 JPY")}}}},
		Limits: freight.Limits{Weight: kg("2 kg"), Longest: length("600 mm"), SumOfSides: length("900 mm"), Tolerance: length("2 mm")},
		Rolls:  &freight.Limits{Weight: kg("2 kg"), Longest: length("900 mm"), SumOfSides: length("1040 mm"), Tolerance: length("2 mm")},
	}
	for _, row := range published.Rows(t, "parcels/smallpacket.csv", 5) {
		b, err := pack([]parcels.Lot{{ID: "x", Size: size(row[2]), Weight: kg(row[3]), Roll: row[1] == "roll"}}, freight.Packing{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err = parcels.Ask(&s, []parcels.Box{b}, on, ""); broken(t, err) != row[4] {
			t.Errorf("%v: %v", row, err)
		}
	}
}

func TestPublishedGirth(t *testing.T) {
	for _, row := range published.Rows(t, "parcels/girth.csv", 4) {
		s := freight.Service{
			Name: "As published", Currency: cad,
			Zones:  []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: kg("30 kg"), Price: amount("1 CAD")}}}},
			Limits: freight.Limits{LengthPlusGirth: length(row[2])},
		}
		if row[1] != "" {
			s.Limits.Longest = length(row[1])
		}
		_, err := parcels.Ask(&s, []parcels.Box{{Weight: measure.Gram, Size: size(row[0])}}, on, "")
		if broken(t, err) != row[3] {
			t.Errorf("%v: %v", row, err)
		}
	}
}

func TestQuote(t *testing.T) {
	for _, c := range []struct {
		name, zone, weight, size, value         string
		change                                  func(*freight.Service)
		billed, setBy, base, fuel, cover, total string
		step, cheaper                           string
	}{
		{name: "a bound is in its step", zone: "CA", weight: "1 kg", billed: "1 kg", setBy: "actual",
			base: "21.80", fuel: "2.73", cover: "0.00", total: "27.03", step: "up to 1 kg", cheaper: "500 g less would save 8.78 CAD"},
		{name: "just past a step", zone: "CA", weight: "1.001 kg", billed: "1.05 kg", setBy: "actual",
			base: "31.20", fuel: "3.90", cover: "0.00", total: "37.60", step: "up to 2 kg", cheaper: "1 g less would save 10.57 CAD"},
		{name: "volume counts, sides in whole centimetres", zone: "CA", weight: "700 g", size: "29.1x19.5x9.2 cm", billed: "1.2 kg", setBy: "volumetric",
			base: "31.20", fuel: "3.90", cover: "0.00", total: "37.60", step: "up to 2 kg", cheaper: "200 g less volumetric weight would save 10.57 CAD"},
		{name: "both weights alike", zone: "CA", weight: "400 g", size: "20x10x10 cm", billed: "400 g", setBy: "actual",
			base: "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
		{name: "both weights must fall", zone: "CA", weight: "1.1 kg", size: "30x20x10 cm", billed: "1.2 kg", setBy: "volumetric",
			base: "31.20", fuel: "3.90", cover: "0.00", total: "37.60", step: "up to 2 kg", cheaper: "100 g less, with 200 g less volumetric weight, would save 10.57 CAD"},
		{name: "the minimum is billed", zone: "CA", weight: "30 g", billed: "200 g", setBy: "minimum",
			base: "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
		{name: "first and further", zone: "DE", weight: "1.501 kg", billed: "1.55 kg", setBy: "actual",
			base: "23.75", fuel: "2.97", cover: "0.00", total: "29.22", step: "500 g and 3 further of 500 g begun", cheaper: "1 g less would save 4.78 CAD"},
		{name: "a further unit just full", zone: "DE", weight: "1.5 kg", billed: "1.5 kg", setBy: "actual",
			base: "19.50", fuel: "2.44", cover: "0.00", total: "24.44", step: "500 g and 2 further of 500 g begun", cheaper: "500 g less would save 4.78 CAD"},
		{name: "insurance step", zone: "CA", weight: "400 g", value: "300 CAD", billed: "400 g", setBy: "actual",
			base: "14.00", fuel: "1.75", cover: "4.50", total: "22.75", step: "up to 500 g"},
		{name: "insurance included", zone: "CA", weight: "400 g", value: "100 CAD", billed: "400 g", setBy: "actual",
			base: "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
		{name: "insurance beyond the steps", zone: "CA", weight: "400 g", value: "500.01 CAD", billed: "400 g", setBy: "actual",
			base: "14.00", fuel: "1.75", cover: "9.75", total: "28.00", step: "up to 500 g"},
		{name: "insurance by percentage", zone: "CA", weight: "400 g", value: "333.33 CAD", billed: "400 g", setBy: "actual",
			change: func(s *freight.Service) { s.Insurance = freight.Insurance{Rate: percent("1.5%")} },
			base:   "14.00", fuel: "1.75", cover: "5.00", total: "23.25", step: "up to 500 g"},
		{name: "insurance at least", zone: "CA", weight: "400 g", value: "20 CAD", billed: "400 g", setBy: "actual",
			change: func(s *freight.Service) {
				s.Insurance = freight.Insurance{Rate: percent("1.5%"), Least: amount("3 CAD")}
			},
			base: "14.00", fuel: "1.75", cover: "3.00", total: "21.25", step: "up to 500 g"},
		{name: "fuel of postage and parcel", zone: "CA", weight: "400 g", billed: "400 g", setBy: "actual",
			change: func(s *freight.Service) { s.FuelOnAll = true },
			base:   "14.00", fuel: "2.06", cover: "0.00", total: "18.56", step: "up to 500 g"},
		{name: "volume alone", zone: "CA", weight: "1.9 kg", size: "20x10x5 cm", billed: "200 g", setBy: "volumetric",
			change: func(s *freight.Service) { s.Billed = freight.VolumeOnly },
			base:   "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
		{name: "the actual weight alone", zone: "CA", weight: "300 g", size: "30x20x10 cm", billed: "300 g", setBy: "actual",
			change: func(s *freight.Service) { s.Billed = freight.Actual },
			base:   "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
		{name: "the table for everywhere", zone: "NZ", weight: "300 g", billed: "300 g", setBy: "actual",
			change: func(s *freight.Service) { s.Zones[0].Name = "" },
			base:   "14.00", fuel: "1.75", cover: "0.00", total: "18.25", step: "up to 500 g"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := surface()
			if c.change != nil {
				c.change(&s)
			}
			b := weighedBox(c.weight)
			if c.size != "" {
				b.Size = size(c.size)
			}
			if c.value != "" {
				b.Value = amount(c.value)
			}
			q, err := parcels.Ask(&s, []parcels.Box{b}, on, c.zone)
			if err != nil {
				t.Fatal(err)
			}
			got := []string{q.Billed.String(), q.SetBy, asked(q, "postage"), asked(q, "fuel"), asked(q, "insurance"), q.Total.Number(), q.Step, q.NextCheaper.String()}
			want := []string{c.billed, c.setBy, c.base, c.fuel, c.cover, c.total, c.step, c.cheaper}
			for i := range want {
				if got[i] != want[i] {
					t.Errorf("got %q, want %q", got[i], want[i])
				}
			}
			if asked(q, "per parcel") != "2.50" || q.Service.MaxDays != 45 {
				t.Errorf("per parcel %s, days %v", asked(q, "per parcel"), q.Service.MaxDays)
			}
		})
	}
}

// TestFuelFigure: the figure beside the fuel is that of which it is a part.
func TestFuelFigure(t *testing.T) {
	for want, all := range map[string]bool{"12.5% of 14.00 CAD": false, "12.5% of 16.50 CAD": true} {
		s := surface()
		s.FuelOnAll = all
		q, err := parcels.Ask(&s, []parcels.Box{weighedBox("400 g")}, on, "CA")
		if err != nil {
			t.Fatal(err)
		}
		if i := slices.IndexFunc(q.Lines, func(l parcels.Charge) bool { return l.What == "fuel" }); i < 0 || q.Lines[i].Figure != want {
			t.Errorf("got %+v, want %s", q.Lines, want)
		}
	}
}

// TestFloorOfVolume: where the volume alone is billed, the weight says nothing, and the least is
// that of the cheapest step.
func TestFloorOfVolume(t *testing.T) {
	s := surface()
	s.Billed = freight.VolumeOnly
	least, ok := must(parcels.Compile(&s, "CA", on)).Cost(1)
	if floor, _, taken := must(parcels.Compile(&s, "CA", on)).Floor(kg("1 kg"), 1e9, 0); floor != least || !ok || !taken {
		t.Errorf("%d, %t, want %d", floor, taken, least)
	}
}

// asked is the amount of a line of a quote, 0.00 where there is none.
func asked(q parcels.Quote, what string) string {
	for _, line := range q.Lines {
		if line.What == what {
			return line.Amount.Number()
		}
	}
	return "0.00"
}

func TestQuoteErrors(t *testing.T) {
	lot := func(id, weight, sides, value string, contents ...string) parcels.Lot {
		return parcels.Lot{ID: id, Weight: kg(weight), Size: size(sides), Value: amount(value), Contents: contents}
	}
	jack := lot("jack", "2 kg", "40x10x10 cm", "300 CAD")
	for _, c := range []struct {
		name   string
		lots   []parcels.Lot
		on     string
		zone   string
		change func(*freight.Service)
		want   string
	}{
		{name: "too early", on: "2026-03-31", want: `service "Harbour Surface" is not offered on 2026-03-31: its prices hold from 2026-04-01 until 2027-03-31`},
		{name: "too late", on: "2027-04-01", change: func(s *freight.Service) { s.From = time.Time{} },
			want: `service "Harbour Surface" is not offered on 2027-04-01: its prices hold until 2027-03-31`},
		{name: "no such zone", zone: "CAA", want: `service "Harbour Surface" has no prices for zone "CAA": did you mean CA?`},
		{name: "a lot too long", lots: []parcels.Lot{jack, lot("saw", "1 kg", "70.5x5x5 cm", "10 CAD")},
			want: `service "Harbour Surface" refuses lot "saw": longest side 70.5 cm is 10.5 cm over the 60 cm allowed; lots "jack" and "saw" in one parcel: sum of sides 95.5 cm is 5.5 cm over the 90 cm allowed`},
		{name: "too heavy together", lots: []parcels.Lot{jack, lot("anvil", "8.25 kg", "20x10x10 cm", "10 CAD")},
			want: `service "Harbour Surface" refuses lots "jack" and "anvil" in one parcel: weight 10.25 kg is 250 g over the 10 kg allowed`},
		{name: "too heavy, each by itself", lots: []parcels.Lot{lot("vice", "11 kg", "20x10x10 cm", "10 CAD"), jack, lot("anvil", "12 kg", "20x10x10 cm", "10 CAD")},
			want: `service "Harbour Surface" refuses lots "vice" and "anvil", each by itself: weight 25 kg is 15 kg over the 10 kg allowed`},
		{name: "contents", lots: []parcels.Lot{jack, lot("lamp", "1 kg", "10x10x10 cm", "10 CAD", "glass", " Lithium Cells")},
			want: `service "Harbour Surface" refuses lot "lamp": " Lithium Cells" is not taken`},
		{name: "worth too much, and too thick", lots: []parcels.Lot{lot("level", "1 kg", "59x21x12 cm", "1000.01 CAD")},
			want: `service "Harbour Surface" refuses lot "level": sum of sides 92 cm is 2 cm over the 90 cm allowed; lot "level": value 1000.01 CAD is 0.01 CAD over the 1000.00 CAD allowed`},
		{name: "the table ends", zone: "CA", lots: []parcels.Lot{lot("vice", "2.01 kg", "20x10x10 cm", "10 CAD")},
			want: `service "Harbour Surface" refuses lot "vice": billed weight 2.05 kg is 50 g over the 2 kg allowed`},
		{name: "too heavy for the service and its table", zone: "CA", lots: []parcels.Lot{lot("vice", "11 kg", "20x10x10 cm", "10 CAD")},
			want: `service "Harbour Surface" refuses lot "vice": weight 11 kg is 1 kg over the 10 kg allowed`},
		{name: "no more is covered", lots: []parcels.Lot{jack, lot("plough", "1 kg", "20x10x10 cm", "20 CAD"), lot("rule", "1 kg", "20x10x10 cm", "20 CAD")},
			change: func(s *freight.Service) { s.Insurance.Further = money.Step[money.Amount]{} },
			want:   `service "Harbour Surface" refuses lots "jack", "plough" and "rule" in one parcel: insured value 340.00 CAD is 40.00 CAD over the 300.00 CAD allowed`},
		{name: "another currency", lots: []parcels.Lot{{ID: "x", Weight: kg("1 kg"), Value: amount("5000 JPY")}},
			want: money.MismatchError{jpy, cad}.Error()},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := surface()
			if c.change != nil {
				c.change(&s)
			}
			day, zone := on, "DE"
			if c.on != "" {
				day = date(c.on)
			}
			if c.zone != "" {
				zone = c.zone
			}
			if c.lots == nil {
				c.lots = []parcels.Lot{jack}
			}
			b, err := pack(c.lots, freight.Packing{})
			if err != nil {
				t.Fatal(err)
			}
			if _, err = parcels.Ask(&s, []parcels.Box{b}, day, zone); err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// A box that nobody packed here is taken as it is.
func TestBoxByHand(t *testing.T) {
	s := surface()
	for _, c := range []struct {
		box  parcels.Box
		want string
	}{
		{parcels.Box{}, "the box has no weight: weigh it, or let Pack make it of lots"},
		{parcels.Box{Weight: 1, Size: measure.Size{L: 100 * measure.Centimetre}}, `the box's size "100x0x0 cm" has a side that is not above zero: give all three sides, or none`},
		{parcels.Box{Weight: 1, Value: amount("-1 CAD")}, `the box's value "-1.00 CAD" is below zero: give zero or more`},
		{weighedBox("10.5 kg"), `service "Harbour Surface" refuses the parcel: weight 10.5 kg is 500 g over the 10 kg allowed`},
		{parcels.Box{Weight: kg("10.5 kg"), Lots: []parcels.Lot{{ID: "jack"}}}, `service "Harbour Surface" refuses lot "jack": weight 10.5 kg is 500 g over the 10 kg allowed`},
	} {
		_, err := parcels.Ask(&s, []parcels.Box{c.box}, on, "DE")
		_, errBest := parcels.Ask(&s, []parcels.Box{c.box}, on, "DE")
		if err == nil || err.Error() != c.want || errBest == nil || errBest.Error() != c.want {
			t.Errorf("got  %v\nand  %v\nwant %s", err, errBest, c.want)
		}
	}
	if _, err := parcels.Ask(&s, []parcels.Box{weighedBox("1 kg")}, on, "FR"); err == nil || err.Error() != `service "Harbour Surface" has no prices for zone "FR": known here: CA, DE` {
		t.Error(err)
	}
}

// The first and the last day are days of the prices.
func TestFirstAndLastDay(t *testing.T) {
	s := surface()
	for d, offered := range map[string]bool{"2026-03-31": false, "2026-04-01": true, "2027-03-31": true, "2027-04-01": false} {
		if _, err := parcels.Compile(&s, "CA", date(d)); (err == nil) != offered {
			t.Errorf("%s: %v", d, err)
		}
	}
}

// The fast path refuses what a quote refuses.
func TestPriceRefuses(t *testing.T) {
	s := surface()
	tariff := must(parcels.Compile(&s, "DE", on))
	good := parcels.Box{Weight: kg("1 kg"), Value: amount("100 CAD"), Lots: []parcels.Lot{{Contents: []string{"steel"}}}}
	if minor, cover, ok := tariff.Price(&good); !ok || minor+cover != 250+1525+191 {
		t.Errorf("%d, %t", minor, ok)
	}
	for name, change := range map[string]func(*parcels.Box){
		"contents": func(b *parcels.Box) { b.Lots = []parcels.Lot{{Contents: []string{"steel", "LIQUIDS"}}} },
		"currency": func(b *parcels.Box) { b.Value = amount("1 JPY") },
		"weight":   func(b *parcels.Box) { b.Weight = 0 },
		"negative": func(b *parcels.Box) { b.Value = amount("-1 CAD") },
		"value":    func(b *parcels.Box) { b.Value = amount("1000.01 CAD") },
		"volume":   func(b *parcels.Box) { b.Size = measure.Size{L: 1 << 60, W: 1 << 60, H: 1 << 60} },
	} {
		b := good
		change(&b)
		if minor, _, ok := tariff.Price(&b); ok {
			t.Errorf("%s: %d", name, minor)
		}
		if q, err := tariff.Ask([]parcels.Box{b}); err == nil {
			t.Errorf("%s: %s", name, q.Total)
		}
	}
}
