package doubles_test

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// TestSold: of two sound jacks and one for parts, the cheaper sound one and the
// one for parts are sold; the brace is sold elsewhere for what was really paid.
func TestSold(t *testing.T) {
	h := bench()
	items := h.Lots[0].Items
	items[0].Sold = []landed.Sale{{Price: amount("41"), Count: 1}}
	items[2].Sold = []landed.Sale{{Price: amount("33"), Count: 1, Venue: "fair", Fees: amount("5")}}
	r := price(t, h, doubles.Options{})
	// 41.00 - 4.10 - 0.50 + 7.00 - 9.50 = 33.90, and 28.00; 8.00 and 19.50 at their values
	k := r.Kept
	if got := fmt.Sprint(k.Sold.Number(), " ", k.NotYet.Number(), " ", k.Net.Number()); got != "61.90 27.50 10.60" {
		t.Errorf("got %s", got)
	}
	var list []string
	for _, s := range r.Sold {
		list = append(list, fmt.Sprint(s.ID, " ", s.Net.Number(), " of ", s.Cost.Number(), ": ", s.Left.Number()))
	}
	for i := range r.Offers {
		list = append(list, fmt.Sprint(r.Offers[i].ID, " ", r.Offers[i].State))
	}
	if want := []string{"jack 33.90 of 24.57: 9.33", "brace 28.00 of 14.29: 13.71", "jack parts", "block sound"}; !slices.Equal(list, want) {
		t.Errorf("got  %q\nwant %q", list, want)
	}
	if p := r.Payback; p.Over.Sign() >= 0 || paysBack(r) != 2 || p.Over != amount("-10.60") {
		t.Errorf("payback %+v", p)
	}
	carried := price(t, h, doubles.Options{CarryAll: true})
	if sum := carried.Offers[0].Cost.Minor() + carried.Offers[1].Cost.Minor(); sum != 3810 {
		t.Errorf("the others carry %d of 100.00 - 61.90", sum)
	}
}

// TestMoreSold: what was found and what was sold contradict each other.
func TestMoreSold(t *testing.T) {
	h := bench()
	h.Lots[0].Items[0].Sold = []landed.Sale{{Price: amount("41"), Count: 4}}
	st, err := landed.Split(&h.Haul)
	if err != nil {
		t.Fatal(err)
	}
	const want = "item jack: sold: more were sold (4) than are sound or for parts (3): correct what was sold, or what was found"
	if _, err := doubles.Price(&h.Haul, h.Selling, st, doubles.Options{}); err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// TestOtherHaul: the statement of another haul is refused, whatever it holds.
func TestOtherHaul(t *testing.T) {
	h, other := bench(), bench()
	other.Lots[0].Items = other.Lots[0].Items[:1]
	longer := bench()
	longer.Lots = append(longer.Lots, landed.Lot{ID: "box", Price: amount("1"), Items: []landed.Item{{ID: "bit", Count: 1}}})
	for _, wrong := range []*haul{other, longer} {
		st, err := landed.Split(&wrong.Haul)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := doubles.Price(&h.Haul, h.Selling, st, doubles.Options{}); err == nil || !strings.Contains(err.Error(), "not that of the haul: ") {
			t.Errorf("got %v", err)
		}
	}
	if _, err := doubles.Price(&h.Haul, h.Selling, nil, doubles.Options{}); err == nil {
		t.Error("no statement is none of the haul")
	}
	if _, err := doubles.Price(nil, h.Selling, nil, doubles.Options{}); err == nil {
		t.Error("no haul is none")
	}
}

// TestGapBelowTheTarget: commission of 9% on all up to 50.00, of 13% on all
// above: 45.00 are even at 49.45, but 50.01 makes 43.51; a mark-up of 30% is
// asked at 67.24.
func TestGapBelowTheTarget(t *testing.T) {
	h := bench()
	h.Lots[0].Price, h.Lots[0].Items = amount("45"), []landed.Item{{ID: "jack", Count: 1, Value: amount("60")}}
	h.Selling = &selling.Plan{Target: resale.Target{Markup: number("0.3")}, Venues: []resale.Venue{{Name: "gable", Currency: cad, Fees: []resale.Fee{{What: "commission", Whole: true,
		Bands: []resale.Band{{UpTo: amount("50"), Rate: number("0.09")}, {From: amount("50"), Rate: number("0.13")}}}}}}}
	r := price(t, h, doubles.Options{})
	q := r.Quote(&r.Offers[0])
	gaps, _ := q.Gaps()
	if len(gaps) != 1 || q.BreakEven.Price != amount("49.45") || q.Ask.Price != amount("67.24") {
		t.Fatalf("even at %s, ask %s, gaps %+v", q.BreakEven.Price, q.Ask.Price, gaps)
	}
	if g := gaps[0]; g.OfTarget || g.From != amount("50.01") || g.To != amount("51.71") || g.Shortfall != amount("1.49") || g.Fee != "commission" {
		t.Errorf("got %+v", g)
	}
}

// TestPartsAbroad: what is for parts carries what it should bring, so a sale
// that brings it covers it, in whatever currency, and however the account at
// home rounds it.
func TestPartsAbroad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := abroad(t, rapid.Int64Range(1000, 2_000_000).Draw(t, "rate"))
		it := &h.Lots[0].Items[0]
		it.Found = &landed.Found{Sound: 1, Parts: rapid.Int64Range(1, 4).Draw(t, "parts")}
		it.Count = it.Found.Sound + it.Found.Parts
		it.PartsValue = money.New(rapid.Int64Range(1, 3000).Draw(t, "parts value"), rapid.SampledFrom([]money.Currency{cad, usd}).Draw(t, "currency"))
		h.Lots[0].Price = money.New(10_000_000, cad)
		st, err := landed.Split(&h.Haul)
		if err != nil {
			t.Fatal(err)
		}
		r, err := doubles.Price(&h.Haul, h.Selling, st, doubles.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.Offers[1].Quotes {
			q := &r.Offers[1].Quotes[i]
			if q.Expected == nil || q.Expected.Left.Sign() < 0 || q.Expected.Price != q.BreakEven.Price {
				t.Errorf("at %s, %s for parts: %s, even at %s", q.Sale().Venue.Name, it.PartsValue, q.Verdict(), q.BreakEven.Price)
			}
			want := it.PartsValue
			if q.Cost.Currency() == cad {
				want = r.Offers[1].Dearest() // as the statement has it
			}
			if q.Cost.Currency() == want.Currency() && q.Cost != want {
				t.Errorf("at %s, %s for parts costs %s", q.Sale().Venue.Name, it.PartsValue, q.Cost)
			}
		}
	})
}

// abroad is a haul of one item to sell at home, for 10% and 0.50, and in
// dollars, for 7%; a dollar is so many millionths.
func abroad(t rapid.TB, millionths int64) *haul {
	eq, err := fx.ParseEquation("1 USD = " + decimal.New(millionths, -6).String() + " CAD")
	if err != nil {
		t.Fatal(err)
	}
	h := &haul{Haul: landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "lot", Price: money.New(0, cad), Items: []landed.Item{{ID: "jack", Count: 1, Weighed: true}}}}}}
	if h.Market, err = fx.NewMarket([]fx.Equation{eq}, nil, h.Date); err != nil {
		t.Fatal(err)
	}
	h.Share = h.Share.WithPrice(landed.ByCount)
	quay := resale.Venue{Name: "quay", Currency: usd, Sending: resale.Fetched, Fees: []resale.Fee{{What: "commission", Bands: []resale.Band{{Rate: number("0.07")}}}}}
	h.Selling = &selling.Plan{Venues: []resale.Venue{flat("gable", "0.1", "0.50", "9"), quay}, Dispatch: resale.Dispatch{Charged: amount("7"), Packing: amount("0.5")}}
	return h
}

// The oracle calculates piece by piece, in fractions.

var half = big.NewRat(1, 2)

// nearest rounds to a whole number, half away from zero.
func nearest(r *big.Rat) int64 {
	up := new(big.Rat).Add(new(big.Rat).Abs(r), half)
	return int64(r.Sign()) * new(big.Int).Quo(up.Num(), up.Denom()).Int64()
}

func whole(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

// oracle is a haul under test: a dollar is worth rate.
type oracle struct{ rate *big.Rat }

// cents is an amount in cents of home.
func (o oracle) cents(a money.Amount) *big.Rat {
	if a.Currency() == usd {
		return new(big.Rat).Mul(whole(a.Minor()), o.rate)
	}
	return whole(a.Minor())
}

// net is what a sale brought, each part of it rounded as the book shows it.
func (o oracle) net(s *landed.Sale) int64 {
	sum := o.cents(s.Price)
	fees, postage := new(big.Rat), new(big.Rat)
	switch s.Venue {
	case "", "gable":
		price := nearest(sum)
		sum = whole(price + 700)
		fees, postage = whole((price*10+50)/100+50), whole(950)
	case "quay":
		price := nearest(new(big.Rat).Quo(sum, o.rate)) // fees are of it, but the buyer paid what the sale says
		fees = new(big.Rat).Mul(whole((price*7+50)/100), o.rate)
	}
	if s.Fees.Currency() != 0 {
		fees = o.cents(s.Fees)
	}
	if s.Postage.Currency() != 0 {
		postage = o.cents(s.Postage)
	}
	return nearest(sum) - nearest(fees) - nearest(postage)
}

// left takes the pieces that were sold out of an item's, and tells which are
// kept and how many of each state are to be sold.
func left(it *landed.Item, each []landed.Pieces) (kept []int64, sound, parts int64) {
	var states [2][]int64
	for _, g := range each {
		for range g.Count {
			states[g.State] = append(states[g.State], g.Each.Minor())
		}
	}
	slices.Sort(states[0])
	for n := selling.Count(it.Sold); n > 0; n-- {
		if len(states[0]) > 0 {
			states[0] = states[0][1:]
		} else {
			states[1] = states[1][1:]
		}
	}
	sound = max(int64(len(states[0]))-it.Keep, 0)
	return states[0][sound:], sound, int64(len(states[1]))
}

// apportion shares by largest remainder, ties to the earlier.
func apportion(total int64, weights []int64) []int64 {
	all := int64(0)
	for _, w := range weights {
		all += w
	}
	shares, rest := make([]int64, len(weights)), total
	type odd struct {
		i    int
		part *big.Rat
	}
	var odds []odd
	for i, w := range weights {
		quota := big.NewRat(total, all)
		quota.Mul(quota, whole(w))
		shares[i] = new(big.Int).Quo(quota.Num(), quota.Denom()).Int64()
		rest -= shares[i]
		part := quota.Sub(quota, whole(shares[i]))
		odds = append(odds, odd{i, part.Abs(part)})
	}
	slices.SortStableFunc(odds, func(a, b odd) int { return b.part.Cmp(a.part) })
	for _, o := range odds {
		if rest == 0 {
			break
		}
		unit := rest / max(rest, -rest)
		shares[o.i], rest = shares[o.i]+unit, rest-unit
	}
	return shares
}

func drawSale(t *rapid.T, most int64) landed.Sale {
	either := func(what string, to int64) money.Amount {
		return money.New(rapid.Int64Range(0, to).Draw(t, what), rapid.SampledFrom([]money.Currency{cad, usd}).Draw(t, "currency"))
	}
	s := landed.Sale{Count: rapid.Int64Range(1, most).Draw(t, "sold"), Price: either("price", 6000), Venue: rapid.SampledFrom([]string{"", "gable", "quay", "fair"}).Draw(t, "venue")}
	if rapid.Bool().Draw(t, "fees") {
		s.Fees = either("fees", 900)
	}
	if rapid.Bool().Draw(t, "postage") {
		s.Postage = either("postage", 1500)
	}
	return s
}

// TestKept sets what the kept pieces cost, and which they are, against the
// oracle.
func TestKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		millionths := rapid.Int64Range(300_000, 2_000_000).Draw(t, "rate")
		h, o := abroad(t, millionths), oracle{big.NewRat(millionths, 1_000_000)}
		lot := &h.Lots[0]
		lot.Price, lot.Items = money.New(rapid.Int64Range(0, 20_000).Draw(t, "paid"), cad), nil
		for i := range rapid.IntRange(1, 4).Draw(t, "items") {
			f := &landed.Found{Sound: rapid.Int64Range(0, 5).Draw(t, "sound"), Parts: rapid.Int64Range(0, 2).Draw(t, "parts"), Dead: 1}
			it := landed.Item{ID: fmt.Sprintf("item-%d", i), Weighed: true, Count: f.Sound + f.Parts + 1, Found: f, Keep: rapid.Int64Range(0, f.Sound).Draw(t, "keep"),
				Value: money.New(rapid.Int64Range(0, 4000).Draw(t, "value"), cad), PartsValue: money.New(rapid.Int64Range(0, 300).Draw(t, "parts value"), cad)}
			for there := f.Sound + f.Parts; there > 0 && rapid.Bool().Draw(t, "one more sale"); there -= it.Sold[len(it.Sold)-1].Count {
				it.Sold = append(it.Sold, drawSale(t, there))
			}
			lot.Items = append(lot.Items, it)
		}
		st, err := landed.Split(&h.Haul)
		if err != nil {
			t.Fatal(err)
		}
		r, err := doubles.Price(&h.Haul, h.Selling, st, doubles.Options{})
		if err != nil {
			t.Fatal(err)
		}
		o.check(t, h, st, r)
	})
}

func (o oracle) check(t *rapid.T, h *haul, st *landed.Statement, r *doubles.Result) {
	gable := plain{rate: 10, fixed: 50, sending: 900, charged: 700, packing: 50}
	net, own, offers := st.Total.Minor(), []int64(nil), []string(nil)
	for i := range h.Lots[0].Items {
		it := &h.Lots[0].Items[i]
		kept, sound, parts := left(it, st.Items[i].Each())
		for n := range it.Sold {
			net -= o.net(&it.Sold[n])
		}
		net -= sound*max(gable.net(it.Value.Minor()), 0) + parts*max(gable.net(gable.least(it.PartsValue.Minor())), 0)
		if sum := int64(0); len(kept) > 0 {
			for _, cost := range kept {
				sum += cost
			}
			own = append(own, sum)
		}
		for n, state := range []landed.State{landed.Sound, landed.ForParts} {
			if count := []int64{sound, parts}[n]; count > 0 {
				offers = append(offers, fmt.Sprint(it.ID, state, count))
			}
		}
	}
	var got, gotOwn, gotNet = []string(nil), []int64(nil), []int64(nil)
	for i := range r.Offers {
		got = append(got, fmt.Sprint(r.Offers[i].ID, r.Offers[i].State, r.Offers[i].Count))
	}
	counts := []int64(nil)
	for _, k := range r.Kept.Items {
		gotOwn, gotNet, counts = append(gotOwn, k.Own.Minor()), append(gotNet, k.Net.Minor()), append(counts, k.Count)
	}
	if !slices.Equal(got, offers) || !slices.Equal(gotOwn, own) || r.Kept.Net.Minor() != net {
		t.Errorf("to sell %s, want %s; kept %v, want %v; net %s, want %d", got, offers, gotOwn, own, r.Kept.Net, net)
	}
	if len(own) == 0 {
		return
	}
	if slices.Max(own) == 0 {
		own = counts
	}
	if want := apportion(net, own); !slices.Equal(gotNet, want) {
		t.Errorf("kept at %v, want %v of %d by %v", gotNet, want, net, own)
	}
}

// TestNothingPanics: whatever the figures are, all that is exported answers.
func TestNothingPanics(t *testing.T) {
	var q doubles.Quote
	_, _ = q.Verdict(), resale.Reason(errors.New("a\nb"))
	q.Gaps()
	if got := (&doubles.Offer{}).Dearest(); got != (money.Amount{}) {
		t.Error(got)
	}
	for _, h := range []*haul{{}, {Selling: &selling.Plan{}}, {landed.Haul{Home: cad}, &selling.Plan{Venues: make([]resale.Venue, 1)}}} {
		if _, err := doubles.Price(&h.Haul, h.Selling, &landed.Statement{}, doubles.Options{Ending: 9, CarryAll: true}); err == nil {
			t.Errorf("%+v is no haul", h)
		}
	}
}

// TestNothingPanicsOnData calculates a haul whose figures were changed after its
// statement was made: an answer or an error must come back.
func TestNothingPanicsOnData(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := bench()
		st, err := landed.Split(&h.Haul)
		if err != nil {
			t.Fatal(err)
		}
		number := func(what string) int64 {
			return rapid.SampledFrom([]int64{0, 1, 2, -1, 1_000_000, 1 << 62, -1 << 63}).Draw(t, what)
		}
		amount := func(what string) money.Amount {
			return money.New(number(what), rapid.SampledFrom([]money.Currency{0, cad, usd}).Draw(t, "currency of "+what))
		}
		fraction := func(what string) decimal.Decimal {
			return decimal.New(number(what), rapid.SampledFrom([]int32{0, -2, 1 << 30, -1 << 30}).Draw(t, "exponent of "+what))
		}
		for i := range h.Lots[0].Items {
			it := &h.Lots[0].Items[i]
			it.Keep, it.Value, it.PartsValue, it.Worth, it.Hours = number("keep"), amount("value"), amount("parts value"), amount("worth"), fraction("hours")
			it.Weight, it.Weighed = measure.Weight(number("weight")), rapid.Bool().Draw(t, "weighed")
			if rapid.Bool().Draw(t, "sold") {
				it.Sold = []landed.Sale{{Price: amount("price"), Count: number("pieces"), Fees: amount("fees"), Postage: amount("postage"), Venue: rapid.SampledFrom([]string{"", "lantern", "fair"}).Draw(t, "venue")}}
			}
		}
		s := h.Selling
		s.Charged, s.Packing, s.Postage.Fixed, s.Offered = amount("charged"), amount("packing"), amount("own postage"), number("listings")
		s.Target = resale.Target{Amount: amount("target"), Margin: fraction("margin"), Markup: fraction("mark-up")}
		s.VAT = resale.VAT{Scheme: resale.Scheme(rapid.Uint8Range(0, 4).Draw(t, "scheme")), Rate: fraction("tax")}
		s.Venues[1].Currency = rapid.SampledFrom([]money.Currency{0, cad, usd}).Draw(t, "currency")
		r, err := doubles.Price(&h.Haul, h.Selling, st, doubles.Options{CarryAll: rapid.Bool().Draw(t, "carry all"), Ending: resale.Ending(rapid.Uint8Range(0, 5).Draw(t, "ending"))})
		if err != nil {
			return
		}
		for i := range r.Offers {
			o := &r.Offers[i]
			_, _ = r.Quote(o).Verdict(), o.Dearest()
			r.Quote(o).Gaps()
		}
	})
}

// january is when pieces come back.
var january = time.Date(2027, time.January, 9, 0, 0, 0, 0, time.UTC)

// TestReturned: the jack of TestSold comes back: 48.00 go to the buyer, 2.00 of fees come back
// and the way costs 9.80, so that 33.90 - 55.80 = -21.90 have come of it. The piece is for sale
// again, at what it cost, and what was lost has still to be brought: by all that is to be sold, and
// by the kept piece.
func TestReturned(t *testing.T) {
	unsold := price(t, bench(), doubles.Options{})
	h := bench()
	back := landed.Return{Date: january, Count: 1, FeesBack: amount("2"), Postage: amount("9.8")}
	h.Lots[0].Items[0].Sold = []landed.Sale{{Price: amount("41"), Count: 1, Returned: []landed.Return{back}}}
	r := price(t, h, doubles.Options{})
	if k := r.Kept; k.Sold != amount("-21.90") || k.NotYet != unsold.Kept.NotYet || k.Net.Minor() != unsold.Kept.Net.Minor()+2190 {
		t.Errorf("sold %s, not yet %s, net %s; unsold %+v", k.Sold, k.NotYet, k.Net, unsold.Kept)
	}
	if !slices.Equal(r.Payback.Steps, unsold.Payback.Steps) || r.Payback.Over.Minor() != unsold.Payback.Over.Minor()-2190 {
		t.Errorf("payback %+v, unsold %+v", r.Payback, unsold.Payback)
	}
	if b := r.Sold[0].Returned[0]; b.Sum() != amount("-55.80") || b.Cost.Minor() != -r.Sold[0].Cost.Minor() || b.Profit().Minor() != b.Sum().Minor()-b.Cost.Minor() || b.WrittenOff.Sign() != 0 {
		t.Errorf("back %+v", b)
	}
	if len(r.Offers) != len(unsold.Offers) {
		t.Fatalf("%d offers, want %d", len(r.Offers), len(unsold.Offers))
	}
	for i := range r.Offers {
		if o, u := &r.Offers[i], &unsold.Offers[i]; o.Count != u.Count || o.Cost != u.Cost || !slices.Equal(o.Each, u.Each) || r.Quote(o).BreakEven.Price != unsold.Quote(u).BreakEven.Price {
			t.Errorf("%s: %d at %v, want %d at %v", o.ID, o.Count, o.Each, u.Count, u.Each)
		}
	}
	carried := int64(0)
	for _, o := range price(t, h, doubles.Options{CarryAll: true}).Offers {
		carried += o.Cost.Minor()
	}
	if carried != 10000+2190 {
		t.Errorf("the pieces for sale carry %d of 100.00 and 21.90", carried)
	}
}

// TestReturnedForParts: what comes back for parts carries what such a piece is worth and no more.
func TestReturnedForParts(t *testing.T) {
	for worth, want := range map[string]string{"8.00": "parts 1 8.00, lost 16.57", "0.00": "parts 1 0.00, lost 24.57", "30.00": "parts 1 24.57, lost 0.00"} {
		h := bench()
		it := &h.Lots[0].Items[0]
		back := landed.Return{Date: january, Count: 1, As: landed.ForParts}
		it.Count, it.Found, it.PartsValue, it.Keep = 2, nil, amount(worth), 1
		it.Sold = []landed.Sale{{Price: amount("41"), Count: 1, Returned: []landed.Return{back}}}
		h.Lots[0].Items = h.Lots[0].Items[:1]
		h.Lots[0].Price = amount("49.15")
		r := price(t, h, doubles.Options{})
		b := r.Sold[0].Returned[0]
		if got := fmt.Sprintf("%s %d %s, lost %s", r.Offers[0].State, r.Offers[0].Count, r.Offers[0].Cost.Number(), b.WrittenOff.Number()); got != want || len(r.Offers) != 1 || len(r.Kept.Items) != 1 {
			t.Errorf("worth %s: %s, want %s", worth, got, want)
		}
	}
}

// TestReturnedForPartsAbroad: of two jacks for 20.00 one comes back for parts. It carries its
// 10.00, or what it is worth where that is less, and so it is quoted in another currency, rounded
// up: 10.00 CAD at 1.37 are 7.2993 USD, and 8.00 are 5.8394; not the 12.00, 8.7591 USD, that it
// should bring.
func TestReturnedForPartsAbroad(t *testing.T) {
	for worth, want := range map[string]string{"12.00": "10.00 CAD, 7.30 USD", "8.00": "8.00 CAD, 5.84 USD"} {
		h := abroad(t, 1_370_000)
		h.Lots[0].Price = amount("20")
		it := &h.Lots[0].Items[0]
		it.Count, it.PartsValue = 2, amount(worth)
		it.Sold = []landed.Sale{{Price: amount("41"), Count: 1, Returned: []landed.Return{{Date: january, Count: 1, As: landed.ForParts}}}}
		parts := &price(t, h, doubles.Options{}).Offers[1]
		if got := fmt.Sprintf("%s, %s", parts.Quotes[0].Cost, parts.Quotes[1].Cost); got != want || parts.State != landed.ForParts {
			t.Errorf("worth %s: %s costs %s, want %s", worth, parts.State, got, want)
		}
	}
}
