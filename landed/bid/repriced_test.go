package bid_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/internal/planning"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/testdata/effort"
)

// bidHaul draws a haul with an open lot, now and then beside others that are bought, into any
// territory.
func bidHaul(r *rand.Rand, to string) *haul {
	h := crate()
	h.To, h.Lots, h.Charges = to, nil, nil
	rules, err := customs.NewBook().For(to, day)
	if err != nil {
		panic(err)
	}
	if there := rules.Currency; there != cad && there != jpy {
		h.Market = market("100 JPY = 0.93 CAD", "1 "+there.Code()+" = 1.25 CAD")
	}
	if to == "JP" {
		h.From = "CA"
	}
	for l := range 1 + r.IntN(3) {
		lot := landed.Lot{ID: fmt.Sprint("lot-", l), Open: l == 0, Premium: number([]string{"0", "0.1", "0.125"}[r.IntN(3)])}
		if l > 0 {
			lot.Price = money.New(900+r.Int64N(6000), jpy)
		}
		for i := range 1 + r.IntN(4) {
			best, works := 700+r.Int64N(5000), 30+r.Int64N(60)
			it := landed.Item{ID: fmt.Sprintf("i%d-%d", l, i), Count: 1 + r.Int64N(3), Weighed: true, Weight: measure.Weight(100+r.Int64N(1900)) * measure.Gram,
				Value: money.New(best, cad), Class: []string{"tool", "pen"}[r.IntN(2)]}
			if r.IntN(2) == 0 {
				it.Chances = []landed.Outcome{{What: "works", Chance: number(fmt.Sprintf("0.%d", works)), Value: money.New(best, cad)},
					{What: "parts", Chance: number(fmt.Sprintf("0.%d", 100-works)), Value: money.New(best/5, cad)}}
			}
			lot.Items = append(lot.Items, it)
		}
		h.Lots = append(h.Lots, lot)
	}
	for _, c := range []landed.Charge{
		{What: "Parcel", Kind: landed.Freight, Amount: amount("3000 JPY")},
		{What: "Agent", Kind: landed.Fee, OfPrice: true, Percent: number("0.03")},
		{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.01"), On: []string{"lot-0"}},
		{What: "Packing", Kind: landed.Fee, Amount: amount("0.40 CAD"), Per: landed.PerPiece, Dutiable: landed.AsGoods},
	} {
		if r.IntN(2) == 0 {
			h.Charges = append(h.Charges, c)
		}
	}
	if r.IntN(4) > 0 {
		h.Border = border([]customs.Mode{customs.Post, customs.Courier, customs.Cargo}[r.IntN(3)])
		h.Border.Use = []customs.Use{customs.Personal, customs.Resale}[r.IntN(2)]
	}
	if r.IntN(3) == 0 {
		h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}}
	}
	if r.IntN(3) == 0 {
		h.Risks = []bid.Risk{{What: "box dropped", Chance: number("0.02"), Keeps: number("0.3")}}
	}
	if h.Bidding.Goal.Return = fraction("0.2"); r.IntN(2) == 0 {
		h.Bidding.Goal.Risk = fraction("0.2")
	}
	return h
}

// TestRepriced: an answer of bids of which only the open lot is priced, in one box or several, is
// the answer of those of which each is a whole account.
func TestRepriced(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 7))
	entries := customs.NewBook().Entries()
	repriced := 0
	for range effort.Cases(900, 60, 20) {
		to := entries[r.IntN(len(entries))].Territory
		if within := map[string]string{"CA": "CA-ON", "EU": "DE"}[to]; within != "" {
			to = within
		}
		if _, err := customs.NewBook().For(to, day); err != nil {
			continue
		}
		h := bidHaul(r, to)
		if r.IntN(3) == 0 {
			h.Parcels = boxes(r, h.Lots)
			bill(r, &h.Haul)
		}
		fast, plain := bidder(t, h, bid.Options{}), bidder(t, h, bid.Options{})
		if plain.Plainly() {
			repriced++
		}
		got, err := fast.Highest()
		want, errPlain := plain.Highest()
		if fmt.Sprint(err) != fmt.Sprint(errPlain) {
			t.Fatalf("%s: %v; plainly %v", to, err, errPlain)
		}
		if err != nil {
			continue
		}
		for _, of := range [][2]any{{got.Best, want.Best}, {got.Ranges, want.Ranges}, {got.Cliffs, want.Cliffs}, {got.Ladder, want.Ladder}, {got.Back, want.Back}} {
			if !reflect.DeepEqual(of[0], of[1]) {
				t.Fatalf("%s: %+v; plainly %+v", to, of[0], of[1])
			}
		}
		moves, err := fast.Moves()
		if err != nil {
			t.Fatal(err)
		}
		if movesPlain, err := plain.Moves(); err != nil || !reflect.DeepEqual(moves, movesPlain) {
			t.Fatalf("%s: moves %v; plainly %v, %v", to, moves, movesPlain, err)
		}
	}
	if repriced == 0 {
		t.Error("no bid was repriced")
	}
}

// TestRepricedParcels: what several lots cost at other prices, in boxes of one or several of them
// and of one or two sellers, is what a whole account says, in each territory.
func TestRepricedParcels(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 8))
	priced, summed := map[string]int{}, map[string]int{}
	for _, e := range customs.NewBook().Entries() {
		to := cmp.Or(map[string]string{"CA": "CA-ON", "EU": "DE"}[e.Territory], e.Territory)
		if _, err := customs.NewBook().For(to, day); err != nil {
			continue
		}
		for range effort.Cases(200, 30, 10) {
			h := bidHaul(r, to)
			h.Parcels = boxes(r, h.Lots)
			var places []int
			var prices []money.Amount
			other := h.Haul
			other.Lots = slices.Clone(h.Lots)
			for i := range h.Lots {
				h.Lots[i].Seller, other.Lots[i].Seller = "tidemark", "tidemark"
				if r.IntN(3) == 0 {
					h.Lots[i].Seller, other.Lots[i].Seller = "gable", "gable"
				}
				if i == 0 || r.IntN(2) == 0 {
					places, prices = append(places, i), append(prices, money.New(r.Int64N(20_000), jpy))
					h.Lots[i].Open, h.Lots[i].Price = true, money.Amount{}
					other.Lots[i].Open, other.Lots[i].Price = false, prices[len(prices)-1]
				}
			}
			bill(r, &h.Haul)
			other.Parcels = h.Parcels
			quick, err := landed.NewRepricer(&h.Haul, places)
			if err != nil || quick == nil {
				t.Fatalf("%s: %v, %v", to, quick, err)
			}
			total, err := quick.Total(prices)
			st, refused := landed.Split(&other)
			if err != nil || refused != nil {
				t.Fatalf("%s: %v; split %v", to, err, refused)
			}
			if total != st.Total {
				t.Fatalf("%s: %v; split %v", to, total, st.Total)
			}
			if rest, ok := byTerms(t, quick, prices); ok && rest != st.Total.Minor()-goods(t, other).Minor()+goods(t, h.Haul).Minor() {
				t.Fatalf("%s: by terms %v beside the prices; split %v", to, rest, st.Total)
			} else if ok && len(h.Parcels) > 1 {
				summed[to]++
			}
			if len(h.Parcels) > 1 && h.Border != nil {
				priced[to]++
			}
		}
	}
	if len(priced) < 10 || len(summed) < 5 {
		t.Errorf("several boxes at the border: %v, by sums %v", priced, summed)
	}
}

// byTerms is what all costs beside prices, found by the sums of what each enters with.
func byTerms(t *testing.T, quick planning.Prices, prices []money.Amount) (int64, bool) {
	var sums []int64
	for n, price := range prices {
		terms, ok, err := quick.Terms(n, price)
		if err != nil || !ok {
			return 0, false
		}
		sums = append(sums, make([]int64, max(len(terms)-len(sums), 0))...)
		for k, term := range terms {
			sums[k] += term
		}
	}
	rest, ok, err := quick.Rest(quick.Classes(), sums)
	if err != nil {
		t.Fatal(err)
	}
	return rest.Minor(), ok
}

// goods is what the prices and premiums of a haul come to, those of open lots at nothing.
func goods(t *testing.T, h landed.Haul) money.Amount {
	bare := *h.OpenAsFree()
	bare.Charges, bare.Parcels, bare.Border = nil, nil, nil
	st, err := landed.Sums(&bare)
	if err != nil {
		t.Fatal(err)
	}
	return st.Total
}
