package selling_test

import (
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
)

// TestProfit: what buyers paid less fees and sending, and less what the pieces cost and what nobody
// carries any more: 40 + 7 - 4.50 - 1.20 - 9 - 20 - 3.30 = 9.00.
func TestProfit(t *testing.T) {
	cad := money.MustCurrency("CAD")
	of := func(minor int64) money.Amount { return money.New(minor, cad) }
	e := selling.Earnings{Takings: resale.Takings{Price: of(4000), Charged: of(700), Fees: of(450), VAT: of(120), Sending: of(900)}, Cost: of(2000), WrittenOff: of(330)}
	if got := e.Profit(); got != of(900) {
		t.Errorf("got %s", got)
	}
}

// TestCount: of three and two that were sold one came back, and then another of the same sale.
func TestCount(t *testing.T) {
	back := landed.Return{Date: time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC), Count: 1}
	sales := []landed.Sale{{Count: 3, Returned: []landed.Return{back, back}}, {Count: 2}}
	if got := selling.Count(sales); got != 3 {
		t.Errorf("%d are gone, want 3", got)
	}
}
