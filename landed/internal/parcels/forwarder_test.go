package parcels_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

func warehouse() freight.Forwarder {
	return freight.Forwarder{
		PerParcel: amount("500 JPY"), PerLot: amount("200 JPY"), Consolidation: amount("800 JPY"),
		FreeDays: 10, PerDay: amount("30 JPY"),
	}
}

func show(charges []parcels.Charge) string {
	var b strings.Builder
	for _, c := range charges {
		fmt.Fprintf(&b, "%s|%s|%s|%s\n", c.What, c.Lot, c.Figure, c.Amount)
	}
	return b.String()
}

func TestCharges(t *testing.T) {
	held := []parcels.Lot{
		{ID: "jack", Arrived: date("2026-11-01"), Weight: kg("2.2 kg")},
		{ID: "brace", Arrived: date("2026-11-20"), Weight: kg("1 kg")},
		{ID: "rule"},
	}
	for _, c := range []struct {
		name   string
		change func(*freight.Forwarder)
		lots   []parcels.Lot
		leaves string
		want   string
	}{
		{"one lot, within the free days", nil, held[:1], "2026-11-11", "per parcel|||500 JPY\nper lot|jack||200 JPY\n"},
		{"a day beyond", nil, held[:1], "2026-11-12", "per parcel|||500 JPY\nper lot|jack||200 JPY\nstorage|jack|1 day beyond 10 free, 30 JPY each|30 JPY\n"},
		{"three lots, each by its own arrival", nil, held, "2026-12-01",
			"per parcel|||500 JPY\nconsolidation||3 lots in one parcel|800 JPY\nper lot|jack||200 JPY\nstorage|jack|20 days beyond 10 free, 30 JPY each|600 JPY\n" +
				"per lot|brace||200 JPY\nstorage|brace|1 day beyond 10 free, 30 JPY each|30 JPY\nper lot|rule||200 JPY\n"},
		{"by kilograms begun", func(f *freight.Forwarder) {
			*f = freight.Forwarder{FreeDays: f.FreeDays, PerDay: f.PerDay}
			f.PerKilogram = true
		}, held[:2], "2026-12-01",
			"storage|jack|20 days beyond 10 free, 30 JPY each, for 3 kg begun|1800 JPY\nstorage|brace|1 day beyond 10 free, 30 JPY each, for 1 kg begun|30 JPY\n"},
		{"nothing asked", func(f *freight.Forwarder) { *f = freight.Forwarder{} }, held, "2026-12-01", ""},
	} {
		f := warehouse()
		if c.change != nil {
			c.change(&f)
		}
		charges, err := parcels.Charges(&f, c.lots, date(c.leaves))
		if got := show(charges); err != nil || got != c.want {
			t.Errorf("%s: %v\ngot\n%swant\n%s", c.name, err, got, c.want)
		}
	}
}

func TestChargesErrors(t *testing.T) {
	late := []parcels.Lot{{ID: "jack", Arrived: date("2026-11-20")}}
	for _, c := range []struct {
		change func(*freight.Forwarder)
		lots   []parcels.Lot
		want   string
	}{
		{func(*freight.Forwarder) {}, nil, "there are no lots to send on: give at least one"},
		{func(*freight.Forwarder) {}, late, `lot "jack": it arrives on 2026-11-20 and would leave on 2026-11-19: let the parcel leave when all its lots are there`},
		{func(f *freight.Forwarder) { f.PerLot = amount("-1 JPY") }, late, `the forwarder's charge "-1 JPY" is below zero: give zero or more`},
		{func(f *freight.Forwarder) { f.PerDay = amount("1 CAD") }, late, money.MismatchError{jpy, cad}.Error()},
		{func(f *freight.Forwarder) { f.FreeDays = -1 }, late, "-1 free days of storage: give zero or more"},
		{func(f *freight.Forwarder) { f.PerKilogram = true }, []parcels.Lot{{ID: "jack", Arrived: date("2026-01-01")}},
			`lot "jack": the weight is missing, and storage is by the kilogram: weigh the lot or estimate it, as in 780 g`},
		{func(f *freight.Forwarder) { f.PerDay = money.New(1<<62, jpy) }, []parcels.Lot{{ID: "jack", Arrived: date("2026-01-01")}}, money.ErrOverflow.Error()},
		{func(f *freight.Forwarder) { f.PerKilogram = true }, []parcels.Lot{{ID: "jack", Arrived: date("0001-01-02"), Weight: 1<<63 - 1}}, ""},
	} {
		f := warehouse()
		c.change(&f)
		_, err := parcels.Charges(&f, c.lots, date("2026-11-19"))
		if got := fmt.Sprint(err); got != c.want && (c.want != "" || err != nil) {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

// Storage is what pricer the days off a calendar gives.
func TestStorageByTheCalendar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := freight.Forwarder{
			FreeDays: rapid.IntRange(0, 40).Draw(t, "free"), PerDay: money.New(rapid.Int64Range(1, 90).Draw(t, "per day"), jpy), PerKilogram: rapid.Bool().Draw(t, "by"),
		}
		h := parcels.Lot{ID: "x", Arrived: date("2024-02-01").AddDate(0, 0, rapid.IntRange(0, 700).Draw(t, "arrives")), Weight: measure.Weight(rapid.IntRange(1, 9000).Draw(t, "g")) * measure.Gram}
		leaves := h.Arrived.AddDate(0, 0, rapid.IntRange(0, 90).Draw(t, "stays"))
		want, free := int64(0), f.FreeDays
		for d := h.Arrived; d.Before(leaves); d = d.Add(24 * time.Hour) {
			if free--; free >= 0 {
				continue
			}
			if !f.PerKilogram {
				want += f.PerDay.Minor()
			}
			for w := measure.Weight(0); f.PerKilogram && w < h.Weight; w += measure.Kilogram {
				want += f.PerDay.Minor()
			}
		}
		got := int64(0)
		for _, c := range must(parcels.Charges(&f, []parcels.Lot{h}, leaves)) {
			got += c.Amount.Minor()
		}
		if got != want {
			t.Fatalf("got %d, want %d", got, want)
		}
	})
}
