package bid_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// into sends a haul to a territory, in whose currency a limit of its rules comes to about what some
// lots cost together; for use of one's own or for sale, by post or courier, from one seller or two.
func into(r *rand.Rand, h *haul, to, currency string, limit float64) {
	h.To, h.From = to, "JP"
	near := []float64{6, 15, 40}[r.IntN(3)] // in the currency of home
	if h.Market = market("100 JPY = 0.93 CAD"); currency == "JPY" {
		h.From = "CA"
		for i := range h.Lots {
			if l := h.Lots[i].Likely; l != nil {
				for n := range l.Prices {
					l.Prices[n] = money.New(3*l.Prices[n].Minor(), jpy)
				}
			}
		}
	} else {
		h.Market = market("100 JPY = 0.93 CAD", fmt.Sprintf("1 %s = %.6f CAD", currency, near/limit))
	}
	h.Border = border([]customs.Mode{customs.Post, customs.Courier}[r.IntN(2)])
	h.Border.Use, h.Border.Private = []customs.Use{customs.Personal, customs.Resale}[r.IntN(2)], r.IntN(2) == 0
	if r.IntN(2) == 0 {
		for i := range h.Lots {
			h.Lots[i].Seller = []string{"tidemark", "gable"}[r.IntN(2)]
		}
	}
	for i := range h.Lots {
		h.Lots[i].Items[0].Weight = measure.Weight(1+r.IntN(6)) * measure.Kilogram
	}
}

// TestEveningOfAll: into each territory an evening by services is what every way in which it may go
// makes it, and with few states bounds hold that.
func TestEveningOfAll(t *testing.T) {
	if testing.Short() {
		t.Skip("evenings into other territories take long")
	}
	bounded := 0
	places := []struct {
		to, currency string
		limit        float64
	}{{"DE", "EUR", 150}, {"NZ", "NZD", 1000}, {"JP", "JPY", 10_000}, {"US", "USD", 800}, {"ZA", "ZAR", 500}, {"NO", "NOK", 100}, {"SG", "SGD", 400}, {"CA-ON", "USD", 20},
		{"AU", "AUD", 1000}, {"BR", "USD", 3000}, {"CH", "CHF", 62}, {"GB", "GBP", 135}, {"IL", "USD", 75}, {"KR", "USD", 150}, {"TW", "TWD", 2000}}
	for _, c := range places[:effort.Cases(len(places), 1, 1)] {
		r := rand.New(rand.NewPCG(16, 21))
		for n := range effort.Cases(4, 1, 1) {
			h := evening(r, 2+r.IntN(2), effort.Cases(3, 2, 2))
			withServices(r, h)
			h.Sending.Insure = false
			into(r, h, c.to, c.currency, c.limit)
			name := fmt.Sprint(c.to, " ", n)
			compare(t, name, h)
			if bounds(t, name, h, 4+r.IntN(40)) {
				bounded++
			}
		}
	}
	if bounded == 0 {
		t.Error("every evening was planned exactly")
	}
}

// bounds sets the bounds of an evening with few states beside what it is worth; false where it is
// exact with those too.
func bounds(t *testing.T, name string, h *haul, states int) bool {
	exact, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if none := (*together.NoPlanError)(nil); errors.As(err, &none) {
		return false
	}
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}.Few(states))
	if err != nil || e.TooMany || e.Plan.Most == nil {
		return false
	}
	if e.Plan.Value.Cmp(exact.Plan.Value) > 0 || e.Plan.Most.Cmp(exact.Plan.Value) < 0 {
		t.Errorf("%s: from %s to %s, exactly %s", name, e.Plan.Value.FloatString(2), e.Plan.Most.FloatString(2), exact.Plan.Value.FloatString(2))
	}
	return true
}
