package together_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/parcels"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

func plan(t testing.TB, h *haul) *together.Report {
	t.Helper()
	r, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// totalOrNone is the total of a way, or -1 where it cannot be.
func totalOrNone(w *together.Way) int64 {
	if w.Statement == nil {
		return -1
	}
	return w.Total.Minor()
}

// TestEveryWay compares plans with every division of the lots and every choice
// of services, each total from a Split of the whole haul.
func TestEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	none, divided, places := 0, 0, map[string]int{}
	cases := effort.Cases(220, 74, 24)
	for n := range cases {
		lots, services := 1+n%4, 1+r.IntN(3)
		switch {
		case n%37 == 36:
			lots, services = 6, 2
		case n%9 == 8:
			lots, services = 5, 2
		case n == 100:
			lots, services = 6, 3
		}
		h := randomHaul(r, lots, services)
		best, apart, one := wayTotals(h)
		got, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
		if best < 0 {
			none++
			var faults source.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("case %d: no way exists, got %v", n, err)
			}
			continue
		}
		if err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if got.Best.Total.Minor() != best || !got.Exact || got.Bound != got.Best.Total {
			t.Errorf("case %d, %d lots to %q: best %v, bound %v, exact %t; want %d", n, lots, h.To, got.Best.Total, got.Bound, got.Exact, best)
		}
		if a := totalOrNone(&got.Apart); a != apart {
			t.Errorf("case %d, to %q: apart %d, want %d", n, h.To, a, apart)
		}
		if o := totalOrNone(&got.One); o != one {
			t.Errorf("case %d, to %q: one %d, want %d", n, h.To, o, one)
		}
		places[h.To]++
		if len(got.Divided) > 0 {
			divided++
		}
	}
	t.Logf("%d without a way, %d with relief by division, by territory %v", none, divided, places)
	if none == 0 || none > cases*2/5 || divided == 0 || len(places) < 8 {
		t.Error("the cases test too little")
	}
}

// TestPlanLaws: the best is no dearer than the two others, one service more
// never makes it dearer, and the order of the lots changes nothing.
func TestPlanLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for n := range effort.Cases(40, 30, 15) {
		h := randomHaul(r, 2+n%6, 2)
		more := *h
		sending := *h.Sending
		more.Sending = &sending
		sending.Services = append(slices.Clone(h.Sending.Services), randomService(r, 9))
		with, err := together.Plan(context.Background(), &more.Haul, more.Sending, together.Options{})
		if err != nil {
			continue
		}
		for _, w := range []*together.Way{&with.Apart, &with.One} {
			if w.Statement != nil && w.Total.Cmp(with.Best.Total) < 0 {
				t.Errorf("case %d: best %v, but %s is %v", n, with.Best.Total, w.Name, w.Total)
			}
		}
		if without, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{}); err == nil && with.Exact && with.Best.Total.Cmp(without.Best.Total) > 0 {
			t.Errorf("case %d: %v with a service more, %v without", n, with.Best.Total, without.Best.Total)
		}
		turned := more
		turned.Lots = slices.Clone(h.Lots)
		slices.Reverse(turned.Lots)
		back := plan(t, &turned)
		// Odd units go to the earlier item, so that where duty is taken item by
		// item each may differ by one.
		most := int64(0)
		if h.Border != nil {
			most = int64(4 * len(h.Lots))
		}
		if d := back.Best.Total.Minor() - with.Best.Total.Minor(); with.Exact && (d > most || -d > most) {
			t.Errorf("case %d to %q: %v, in another order %v", n, h.To, with.Best.Total, back.Best.Total)
		}
	}
}

// TestThreeLots: three lots at 20 each by themselves, 7 each in one box (common
// practice, no source).
func TestThreeLots(t *testing.T) {
	post := service("post", 2000, 50)
	h := haulOf([]landed.Lot{lot("a", 1000, 1000), lot("b", 1000, 1000), lot("c", 1000, 1000)}, post)
	h.Home = jpy
	r := plan(t, h)
	if r.Apart.Freight != amount("6000 JPY") || r.One.Freight != amount("2100 JPY") || r.Best.Saving != amount("3900 JPY") || len(r.Best.Parcels) != 1 {
		t.Errorf("apart %v, one box %v, saving %v in %d parcels", r.Apart.Freight, r.One.Freight, r.Best.Saving, len(r.Best.Parcels))
	}
	for _, lot := range r.Best.Statement.Lots {
		if lot.Cost != amount("1700 JPY") {
			t.Errorf("lot %s costs %v, want 1700 JPY: its price and 700 of freight", lot.ID, lot.Cost)
		}
	}
}

// TestStepFact works the step of a small case through by hand.
func TestStepFact(t *testing.T) {
	h := haulOf([]landed.Lot{lot("a", 1000, 1180)}, service("post", 2000, 1000))
	r := plan(t, h)
	if len(r.Facts) != 1 {
		t.Fatalf("facts: %+v", r.Facts)
	}
	// 1.18 kg is billed as 2 kg; 180 g less is 1000 JPY less, 9.30 CAD.
	if f := r.Facts[0]; f.Parcel != "box-1" || f.Cheaper.String() != "180 g less would save 9.30 CAD" {
		t.Errorf("%+v: %s", f, f.Cheaper)
	}
}

// TestStepFactOfWhichWay: the step is that of the best way, of its parcel that came
// least beyond one, and only where none did that of all lots in one parcel.
func TestStepFactOfWhichWay(t *testing.T) {
	for _, c := range []struct {
		a, b int64 // grams; each alone goes by a service that does not take both
		want string
	}{
		{1100, 1050, "box-2 cheap 50 g less would save 0.93 CAD"},
		{1100, 1400, "box-1 cheap 100 g less would save 0.93 CAD"},
		{600, 600, "dear 200 g less would save 9.30 CAD"},
		{600, 700, ""},
	} {
		cheap, dear := service("cheap", 500, 100), service("dear", 9000, 1000)
		cheap.Limits.Weight = units.Weight(max(c.a, c.b)) * units.Gram
		r := plan(t, haulOf([]landed.Lot{lot("a", 1000, c.a), lot("b", 1000, c.b)}, cheap, dear))
		if len(r.Best.Parcels) != 2 {
			t.Fatalf("%v: best in %d parcels", c, len(r.Best.Parcels))
		}
		var got []string
		for i := range r.Facts {
			if f := &r.Facts[i]; f.Cheaper != (parcels.NextCheaper{}) {
				got = append(got, strings.TrimSpace(f.Parcel+" "+f.Service+" "+f.Cheaper.String()))
			}
		}
		if list := strings.Join(got, ", "); list != c.want {
			t.Errorf("%d g and %d g: got %q, want %q", c.a, c.b, list, c.want)
		}
	}
}

// TestLimitKeepsApart: each lot fits the cheap service, both do not.
func TestLimitKeepsApart(t *testing.T) {
	cheap, dear := service("cheap", 500, 0), service("dear", 9000, 0)
	cheap.Limits.Weight = units.Kilogram
	r := plan(t, haulOf([]landed.Lot{lot("a", 1000, 700), lot("b", 1000, 700)}, cheap, dear))
	if len(r.Best.Parcels) != 2 || r.One.Parcels[0].Quote.Service.Name != "dear" {
		t.Fatalf("best in %d parcels, one box by %s", len(r.Best.Parcels), r.One.Parcels[0].Quote.Service.Name)
	}
	var limit *together.Fact
	for i := range r.Facts {
		if r.Facts[i].Refusal != nil {
			limit = &r.Facts[i]
		}
	}
	const want = `service "cheap" refuses lots "a" and "b" in one parcel: weight 1.4 kg is 400 g over the 1 kg allowed`
	if limit == nil || limit.Refusal.Error() != want {
		t.Errorf("facts %+v, want %s", r.Facts, want)
	}
}

// bordered is a haul that enters Ontario with duty of 6.5 %.
func bordered(lots ...landed.Lot) *haul {
	h := haulOf(lots, service("post", 600, 0))
	duty := customs.Rate{Fraction: number("0.065")}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}}
	return h
}

// TestDivisionIsNotSilent: where the rules look at each parcel, a plan that is
// cheaper because lots are divided says so; where they look at the day, no such
// plan is made.
func TestDivisionIsNotSilent(t *testing.T) {
	h := bordered(lot("a", 1500, 300), lot("b", 1500, 300)) // 13.95 CAD each; up to 20 CAD a parcel is free
	r := plan(t, h)
	if len(r.Best.Parcels) != 2 || !slices.Equal(r.Divided, []string{"box-1", "box-2"}) {
		t.Errorf("best in %d parcels, divided %v", len(r.Best.Parcels), r.Divided)
	}
	if r.Best.Border.Sign() != 0 || r.One.Border.Sign() <= 0 {
		t.Errorf("the border asks %v of two parcels, %v of one", r.Best.Border, r.One.Border)
	}
	h.Lots[0].Seller, h.Lots[1].Seller = "tidemark", "gable" // two purchases
	if r = plan(t, h); len(r.Best.Parcels) != 2 || len(r.Divided) != 0 {
		t.Errorf("of two sellers in %d parcels, divided %v", len(r.Best.Parcels), r.Divided)
	}
	h = bordered(lot("a", 70_000, 300), lot("b", 70_000, 300)) // 504 USD each; up to 800 a day was free
	h.To, h.Date, h.Market = "US", date("2025-03-03"), market("100 JPY = 0.93 CAD", "1 USD = 1.29 CAD", "1 JPY = 0.0072 USD")
	r = plan(t, h)
	if len(r.Best.Parcels) != 1 || len(r.Divided) != 0 || r.Best.Border.Sign() <= 0 {
		t.Errorf("best in %d parcels, divided %v, the border asks %v", len(r.Best.Parcels), r.Divided, r.Best.Border)
	}
}

// TestAside: charges of freight, and parcels, are not counted, and are reported.
func TestAside(t *testing.T) {
	h := bordered(lot("a", 3000, 300), lot("b", 3000, 300))
	want := plan(t, h)
	h.Charges = []landed.Charge{{What: "Estimate", Kind: landed.Freight, Amount: amount("9000 JPY")}}
	h.Parcels = []landed.Parcel{{ID: "p", Lots: []string{"a", "b"}, Carriage: landed.Carriage{Freight: amount("800 JPY")}}}
	got := plan(t, h)
	if got.Best.Total != want.Best.Total {
		t.Errorf("total %v, want %v", got.Best.Total, want.Best.Total)
	}
	var words []string
	for _, a := range got.Aside {
		words = append(words, a.What)
	}
	if !slices.Equal(words, []string{"parcel p", `charge "Estimate"`}) {
		t.Errorf("aside: %q", words)
	}
	if len(h.Parcels) != 1 || len(h.Charges) != 1 {
		t.Error("the haul was changed")
	}
}

// TestLatest: a service that cannot arrive in time is left out.
func TestLatest(t *testing.T) {
	slow, fast, silent := service("slow", 100, 0), service("fast", 900, 0), service("silent", 50, 0)
	slow.MinDays, slow.MaxDays, fast.MinDays, fast.MaxDays = 30, 50, 2, 5
	h := haulOf([]landed.Lot{lot("a", 1000, 700)}, slow, fast, silent)
	h.Sending.Latest = date("2026-10-08")
	r := plan(t, h)
	if r.Best.Parcels[0].Quote.Service.Name != "fast" {
		t.Errorf("by %s", r.Best.Parcels[0].Quote.Service.Name)
	}
	want := []string{
		`service "slow" may take 50 days, until 2026-11-22, and the parcels must arrive by 2026-10-08`,
		`service "silent" does not say how long it takes, and the parcels must arrive by 2026-10-08`,
	}
	if !slices.Equal(r.Out, want) {
		t.Errorf("out: %q", r.Out)
	}
}

func TestUnplannable(t *testing.T) {
	heavy := func() *haul {
		h := haulOf([]landed.Lot{lot("a", 1000, 700), lot("b", 1000, 9000)}, service("post", 600, 10))
		h.Sending.Services[0].Limits.Weight = 5 * units.Kilogram
		return h
	}
	for _, c := range []struct {
		name  string
		spoil func(*haul)
		want  string
	}{
		{"too heavy", func(*haul) {},
			`lot b: service "post" refuses lot "b": weight 9 kg is 4 kg over the 5 kg allowed: no service takes it: add one that does, or leave it out`},
		{"nothing said", func(h *haul) { h.Sending = nil },
			"sending: the file says nothing of how the lots may travel: name the services"},
		{"a service that is none", func(h *haul) { h.Sending.Services = append(h.Sending.Services, nil) },
			"sending: services: service 2 is none: leave it out, or give its name, currency and prices"},
		{"no day", func(h *haul) { h.Date = time.Time{} },
			"sending: leaves: the day the parcels leave is missing, and it picks the prices: write it, or write the day of purchase at the top"},
		{"arrives too late", func(h *haul) { h.Lots[0].Arrived = date("2026-10-09") },
			"lot a: arrived: the lot arrives on 2026-10-09, after the parcels leave on 2026-10-03: let them leave later"},
		{"no weight", func(h *haul) { h.Lots[0].Items[0].Weighed = false },
			"lot a: what the lot weighs is not known: write it as it goes into the box, or the weight of each item"},
		{"beyond all bounds", func(h *haul) { h.Lots[0].Packed = 40_000 * units.Kilogram },
			"lot a: the lot weighs 40000 kg: check the unit: parcels are planned of lots up to 10000 kg"},
		{"as long as a street", func(h *haul) {
			h.Lots[1].Packed, h.Lots[0].Size = units.Kilogram, units.Size{L: 20_000 * units.Centimetre, W: 1, H: 1}
		}, `sending: lot "a": the size "20000x0.0001x0.0001 cm" has a side above 100 m: check the unit`},
		{"dear beyond all bounds", func(h *haul) {
			h.Lots[1].Packed, h.Sending.Services[0].PerParcel = units.Kilogram, money.New(1<<60, jpy)
		}, "lot a: amount is too large to be held exactly: no service takes it: add one that does, or leave it out\n" +
			"lot b: amount is too large to be held exactly: no service takes it: add one that does, or leave it out"},
		{"refund by the parcel", func(h *haul) {
			h.Charges = []landed.Charge{{What: "Rebate", Kind: landed.Fee, Amount: amount("-3 CAD"), Per: landed.PerParcel}}
		}, `charge "Rebate": a refund for each parcel cannot be planned with: write it per haul, or leave it out while planning`},
		{"both together and apart", func(h *haul) {
			h.Sending.Together, h.Sending.Apart = [][]string{{"a", "b"}}, [][]string{{"b", "a"}}
		}, "sending: apart: lots a and b must share a parcel and must not: take them out of together or of apart"},
		{"together too heavy", func(h *haul) {
			h.Lots[1].Items[0].Weight = 4800 * units.Gram
			h.Sending.Together = [][]string{{"a", "b"}}
		}, `sending: together: service "post" refuses lots "a" and "b" in one parcel: weight 5.5 kg is 500 g over the 5 kg allowed: no service takes it: add one that does, or leave it out`},
		{"unknown lot", func(h *haul) { h.Sending.Apart = [][]string{{"a", "c"}} },
			`sending: apart: no lot has the id "c": known here: a, b`},
		{"no zone", func(h *haul) { h.Sending.Zone, h.Sending.Services[0].Zones[0].Name = "CA", "DE" },
			`sending: services: service "post" has no prices for zone "CA": known here: DE: none is left: add a service that can be used`},
		{"no rate for the value", func(h *haul) {
			h.Lots[1].Items[0].Weight = units.Kilogram
			h.Sending.Services[0].Limits.Value, h.Lots[0].Price = amount("90000 JPY"), amount("3 GBP")
		}, `lot a: value for post: no rate from GBP to CAD: state one ("100 GBP = … CAD") or give a table that holds it`},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := heavy()
			c.spoil(h)
			_, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
			var faults source.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("got %v", err)
			}
			if got := err.Error(); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

// TestNoHaul checks that a haul that is not there is refused.
func TestNoHaul(t *testing.T) {
	if _, err := together.Plan(context.Background(), nil, &together.Sending{}, together.Options{}); err == nil || err.Error() != "there is no haul" {
		t.Errorf("got %v", err)
	}
}

// TestCancelled: a search that is stopped at once has the simple ways, and
// says that it was stopped.
func TestPlanCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	h := sizable(10, false)
	r, err := together.Plan(ctx, &h.Haul, h.Sending, together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Stopped || r.Bound.Cmp(r.Best.Total) > 0 || r.Best.Total.Cmp(r.One.Total) > 0 || r.Best.Total.Cmp(r.Apart.Total) > 0 {
		t.Errorf("stopped %t, bound %v, best %v, one %v, apart %v", r.Stopped, r.Bound, r.Best.Total, r.One.Total, r.Apart.Total)
	}
}

// TestUnsizedLotLiftsNoLimit: a lot of unknown size makes no box smaller.
func TestUnsizedLotLiftsNoLimit(t *testing.T) {
	post := service("post", 600, 0)
	post.Limits.Longest = 50 * units.Centimetre
	dear := service("dear", 9000, 0)
	h := haulOf([]landed.Lot{lot("long", 1000, 700), lot("unsized", 1000, 700)}, post, dear)
	h.Lots[0].Size = units.Size{L: 60 * units.Centimetre, W: 5 * units.Centimetre, H: 5 * units.Centimetre}
	r := plan(t, h)
	if r.One.Parcels[0].Quote.Service.Name != "dear" || !slices.Equal(r.One.Parcels[0].Unsized, []string{"unsized"}) {
		t.Errorf("one box by %s, unsized %q", r.One.Parcels[0].Quote.Service.Name, r.One.Parcels[0].Unsized)
	}
}

// TestNext works out by hand what a third kilogram adds.
func TestNext(t *testing.T) {
	h := bordered(lot("a", 3000, 1000), lot("b", 3000, 1000))
	h.Sending.Services[0] = service("post", 2000, 500)
	for _, c := range []struct{ price, freight, border, adds string }{
		{"", "4.65 CAD", "0.00 CAD", "4.65 CAD"},
		// 27.90 CAD: duty 1.8135 on it, HST of 13 % on 29.71.
		{"3000 JPY", "4.65 CAD", "5.67 CAD", "10.32 CAD"},
	} {
		n := landed.Lot{Packed: units.Kilogram}
		if c.price != "" {
			n.Price = amount(c.price)
		}
		a, err := together.Next(context.Background(), &h.Haul, h.Sending, n, together.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if a.Freight != amount(c.freight) || a.Border != amount(c.border) || a.Total != amount(c.adds) {
			t.Errorf("at %q: freight %v, border %v, adds %v; want %+v", c.price, a.Freight, a.Border, a.Total, c)
		}
		if len(h.Lots) != 2 || together.Added(&h.Haul, n).Seller != "tidemark" {
			t.Errorf("%d lots, seller %q", len(h.Lots), together.Added(&h.Haul, n).Seller)
		}
	}
}

func ExamplePlan() {
	h := haulOf([]landed.Lot{lot("planes", 9800, 4300), lot("chisels", 6400, 1100), lot("compass", 1500, 400)},
		service("Harbour Surface", 2500, 750))
	r, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
	if err != nil {
		panic(err)
	}
	for _, way := range []together.Way{r.Apart, r.One, r.Best} {
		fmt.Println(way.Name, len(way.Parcels), way.Freight, way.Total)
	}
	fmt.Println("saves", r.Best.Saving)
	// Output:
	// apart 3 104.63 CAD 269.24 CAD
	// one 1 58.13 CAD 222.74 CAD
	// best 1 58.13 CAD 222.74 CAD
	// saves 46.50 CAD
}

func ExampleNext() {
	h := haulOf([]landed.Lot{lot("planes", 9800, 4300), lot("chisels", 6400, 1100)}, service("Harbour Surface", 2500, 750))
	a, err := together.Next(context.Background(), &h.Haul, h.Sending, landed.Lot{Packed: 900 * units.Gram}, together.Options{})
	if err != nil {
		panic(err)
	}
	fmt.Println("it adds", a.Total)
	// Output: it adds 6.97 CAD
}
