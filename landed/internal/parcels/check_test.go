package parcels_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

func TestCheck(t *testing.T) {
	if s := surface(); parcels.Check(&s) != nil {
		t.Error(parcels.Check(&s))
	}
	const in = "service Harbour Surface: "
	for _, c := range []struct {
		name   string
		change func(*freight.Service)
		want   string // every line
	}{
		{"name", func(s *freight.Service) { s.Name = "" }, "service : name: is missing: give the service a name of its own"},
		{"currency", func(s *freight.Service) { *s = freight.Service{Name: "Bare", Zones: s.Zones} }, "service Bare: currency: is missing: name the currency of its prices, as in CAD"},
		{"a price in another currency", func(s *freight.Service) { s.PerParcel = amount("300 JPY") },
			in + `charge per parcel: is in "JPY", not in the service's currency: give it in "CAD"`},
		{"a price below zero", func(s *freight.Service) { s.PerParcel = amount("-1 CAD") }, in + `charge per parcel: "-1.00 CAD" is below zero: give zero or more`},
		{"weights below zero", func(s *freight.Service) { s.RoundTo, s.Minimum = -1, -1 },
			in + "weight step: is below zero: give zero or more\n" + in + "minimum weight: is below zero: give zero or more"},
		{"dates", func(s *freight.Service) { s.Until = date("2026-03-31") }, in + `until: "2026-03-31" is before the first day "2026-04-01": give a last day that is not before it`},
		{"days", func(s *freight.Service) { s.MinDays, s.MaxDays = 9, 7 }, in + "days in transit: the most, 7, is less than the least, 9: give the least first, as in 7 to 14"},
		{"days below zero", func(s *freight.Service) { s.MinDays, s.MaxDays = -1, 0 }, in + "days in transit: are below zero: give zero or more"},
		{"divisor", func(s *freight.Service) { s.Divisor = 0 }, in + "volumetric divisor: is missing where the volume is billed: give the cm3 that count as 1 kg, as in 5000"},
		{"billed", func(s *freight.Service) { s.Billed = 9 }, in + "billed weight: 9 is no kind of weight: choose actual, volumetric or greater"},
		{"fuel", func(s *freight.Service) { s.Fuel = percent("-1%") }, in + `fuel: "-1%" is below zero: give zero or more`},
		{"digits", func(s *freight.Service) { s.Fuel = percent("0.12345678901234567%") }, in + "fuel: has more than 18 digits: give a percentage as the carrier prints it"},
		{"limits", func(s *freight.Service) { s.Limits.Longest = -1; s.Rolls = &freight.Limits{Weight: -1} },
			in + "limits: longest side: is below zero: give zero or more\n" + in + "limits of rolls: weight: is below zero: give zero or more"},
		{"insurance of both kinds", func(s *freight.Service) { s.Insurance.Rate = percent("1%") }, in + "insurance: has both steps and a percentage: give one of them"},
		{"least without rate", func(s *freight.Service) { s.Insurance.Least = amount("1 CAD") }, in + "insurance: least: stands without a percentage: give the percentage, or a step with this price"},
		{"insurance steps fall", func(s *freight.Service) { s.Insurance.Steps[1].UpTo = amount("100 CAD") },
			in + "insurance step 2: does not reach beyond the step before: list the steps from the least to the greatest, each above zero"},
		{"further cover alone", func(s *freight.Service) { s.Insurance.Steps = nil }, in + "insurance: each further: stands without a first step: give the first step and its price"},
		{"an empty refusal", func(s *freight.Service) { s.Refuses = []string{" "} }, in + "refuses: has an empty entry: name what is not taken, as in lithium cells"},
		{"no zones", func(s *freight.Service) { s.Zones = nil }, in + "zones: there is no price table: give at least one, with its weight steps"},
		{"a zone twice, and empty", func(s *freight.Service) {
			s.Zones = append(s.Zones, freight.Zone{Name: "CA", Further: s.Zones[1].Further})
		},
			in + "zone CA: name: the zone \"CA\" stands twice: give each zone one table\n" +
				in + "zone CA: steps: there is no weight step: give at least one weight and its price\n" +
				in + "zone CA: each further: stands without a first step: give the first step and its price"},
		{"steps fall", func(s *freight.Service) { s.Zones[0].Steps[0].UpTo, s.Zones[0].Steps[2].UpTo = 0, kg("1 kg") },
			in + "zone CA: step 1: does not reach beyond the step before: list the steps from the least to the greatest, each above zero\n" +
				in + "zone CA: step 3: does not reach beyond the step before: list the steps from the least to the greatest, each above zero"},
		{"a step without a price", func(s *freight.Service) { s.Zones[0].Steps[0].Price = money.Amount{} }, in + "zone CA: step 1: has no price: give the price, 0 when it is free"},
		{"a further price without a unit", func(s *freight.Service) { s.Zones[1].Further.UpTo = 0 }, in + "zone DE: each further: has a price but no unit: say for how much more the price is asked"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := surface()
			c.change(&s)
			err := parcels.Check(&s)
			if err == nil {
				t.Fatal("no fault")
			}
			if c.name == "currency" { // every price is then without one to compare with
				if got, _, _ := strings.Cut(err.Error(), "\n"); got != c.want {
					t.Errorf("got  %s\nwant %s", got, c.want)
				}
				return
			}
			if err.Error() != c.want {
				t.Errorf("got  %s\nwant %s", err, c.want)
			}
			if _, again := parcels.Compile(&s, "CA", on); again == nil || again.Error() != c.want {
				t.Errorf("compiled: %v", again)
			}
			var faults source.Faults
			if !errors.As(err, &faults) || len(faults) != strings.Count(c.want, "\n")+1 {
				t.Errorf("%d faults", len(faults))
			}
		})
	}
}

func TestCheckTellsThePlace(t *testing.T) {
	s := surface()
	s.At = source.Origin{File: "post.yaml", Line: 3, Column: 5}
	s.Zones[0].At = source.Origin{File: "post.yaml", Line: 9, Column: 7}
	s.Minimum, s.Zones[0].Steps[0].UpTo = -1, 0
	const want = "post.yaml:3:5: service Harbour Surface: minimum weight: is below zero: give zero or more\n" +
		"post.yaml:9:7: service Harbour Surface: zone CA: step 1: does not reach beyond the step before: list the steps from the least to the greatest, each above zero"
	if err := parcels.Check(&s); err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// What is too large is an error or a refusal, never a wrapped number.
func TestTooLarge(t *testing.T) {
	const most = 1<<63 - 1
	s := surface()
	s.Fuel = percent("0%")
	s.Zones[0].Steps[2].Price = money.New(most, cad)
	if _, err := parcels.Compile(&s, "CA", on); !errors.Is(err, money.ErrOverflow) {
		t.Error(err)
	}
	s = surface()
	s.Limits, s.RoundTo = freight.Limits{}, 0
	s.Zones[1].Further = money.Step[measure.Weight]{UpTo: 1, Price: amount("1 CAD")}
	if _, err := parcels.Ask(&s, []parcels.Box{{Weight: most}}, on, "DE"); !errors.Is(err, money.ErrOverflow) {
		t.Error(err)
	}
	if minor, ok := must(parcels.Compile(&s, "DE", on)).Cost(most); ok {
		t.Error(minor)
	}
	_, err := parcels.Ask(&s, []parcels.Box{{Weight: 1, Size: measure.Size{L: most, W: most, H: most}}}, on, "DE")
	if err == nil || !strings.HasSuffix(err.Error(), "the limit of a weight") {
		t.Error(err)
	}
}

func TestWords(t *testing.T) {
	if got := (parcels.NextCheaper{}).String(); got != "" {
		t.Error(got)
	}
	s := surface()
	s.From, s.Until = on.Add(24*time.Hour), time.Time{}
	if _, err := parcels.Compile(&s, "CA", on); err == nil || err.Error() != `service "Harbour Surface" is not offered on 2026-11-02: its prices hold from 2026-11-03` {
		t.Error(err)
	}
}
