package bid_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	"lotcost/landed/internal/sales"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// TestBorderBidByBid: every bid of the ladder stands with what the account of
// the haul at that price says of the border, and each relief that is lost is
// told where it is.
func TestBorderBidByBid(t *testing.T) {
	r := rand.New(rand.NewPCG(20261003, 21))
	rungs, lost := 0, 0
	for n := range effort.Cases(120, 20, 20) {
		h := randomHaul(r)
		if h.Border == nil {
			continue
		}
		a, err := bid.Border(&h.Haul, h.Plans, "lot-0")
		if err != nil {
			t.Fatal(n, err)
		}
		price, below := firstBid(h), []string(nil)
		for i := range a.Ladder {
			rung := &a.Ladder[i]
			rungs++
			if rung.Bid != money.New(price, jpy) {
				t.Fatalf("%d: bid %d is %v, want %d", n, i, rung.Bid, price)
			}
			at := *h
			at.Lots = slices.Clone(h.Lots)
			at.Lots[0].Price, at.Lots[0].Open = rung.Bid, false
			st, err := landed.Split(&at.Haul)
			if err != nil {
				t.Fatal(n, err)
			}
			sum, billed := st.Sum(landed.Duty).Minor(), map[string]bool{}
			for _, l := range st.Lines {
				if l.Kind == landed.Duty && !l.Estimated {
					sum -= l.Home.Minor()
				}
			}
			if rung.Border.Duty != money.New(sum, cad) || rung.Border.Sum() != st.Estimate() {
				t.Fatalf("%d: at %v duty %v, in all %v, want %v, %v", n, rung.Bid, rung.Border.Duty, rung.Border.Sum(), money.New(sum, cad), st.Estimate())
			}
			for i := range h.Parcels {
				billed[h.Parcels[i].ID] = h.Parcels[i].Bill.Whole()
			}
			var relieved []string
			for _, p := range st.Border.Parcels {
				if billed[p.ID] {
					continue
				}
				for _, re := range p.Relief {
					if re.Relieved {
						relieved = append(relieved, p.ID+" "+re.What)
					}
				}
			}
			for _, what := range below {
				if slices.Contains(relieved, what) {
					continue
				}
				lost++
				if !slices.ContainsFunc(rung.Turns, func(t string) bool {
					id, text, lost := strings.Cut(strings.TrimPrefix(t, "parcel "), "above the duty-free limit of ")
					_, reliefs, _ := strings.Cut(text, "(")
					reliefs, _, _ = strings.Cut(reliefs, ")")
					for _, relief := range strings.Split(reliefs, " and ") {
						if lost && strings.TrimSuffix(id, ": ")+" "+relief == what {
							return true
						}
					}
					return false
				}) {
					t.Errorf("%d: at %v the relief of %s is lost, told is %v", n, rung.Bid, what, rung.Turns)
				}
			}
			price, below = nextBid(h.Bidding.Steps, price), relieved
		}
		if last := a.Ladder[len(a.Ladder)-1]; a.Statement.Estimate() != last.Border.Sum() {
			t.Errorf("%d: the account says %v, the last bid %v", n, a.Statement.Estimate(), last.Border.Sum())
		}
		if len(h.Lots) > 1 {
			if st, err := landed.Split(&without(h).Haul); err != nil || st.Estimate() != a.Before.Estimate() {
				t.Errorf("%d: without it %v, want %v, %v", n, a.Before.Estimate(), st, err)
			}
		}
	}
	if rungs < 100 || lost == 0 {
		t.Error(rungs, lost)
	}
}

// TestBorderWithoutTerms: bids are in the currency of the other lots, or else of
// home, by the usual steps, up to what the pieces are worth when right.
func TestBorderWithoutTerms(t *testing.T) {
	h := crate()
	h.Border, h.Bidding = border(0), nil
	a, err := bid.Border(&h.Haul, h.Plans, h.Lots[0].ID)
	if err != nil || a.Bids != h.Home {
		t.Fatal(a, err)
	}
	if worth, last := sales.LotWorth(&h.Haul, &h.Lots[0]), a.Ladder[len(a.Ladder)-1].Bid; last.Cmp(worth) < 0 || last.Minor() > 3*worth.Minor() {
		t.Errorf("up to %v, worth are %v", last, worth)
	}
	h.Lots = append(h.Lots, landed.Lot{ID: "tray", Price: amount("700 JPY"), Items: []landed.Item{{ID: "rule", Count: 1, Value: amount("9 CAD"), Class: "tool"}}})
	h.Share = h.Share.WithPrice(landed.ByCount)
	for i := range h.Lots[0].Items {
		h.Lots[0].Items[i].Value, h.Lots[0].Items[i].Chances = money.Amount{}, nil
	}
	h.Charges = nil
	if a, err = bid.Border(&h.Haul, h.Plans, h.Lots[0].ID); err != nil || a.Bids != jpy || len(a.Ladder) < 20 || a.Ladder[0].Bid != amount("100 JPY") {
		t.Errorf("%+v, %v", a, err)
	}
	if _, err := bid.Border(&h.Haul, h.Plans, "none"); err == nil {
		t.Error("a lot that is not there")
	}
	h.Border = nil
	if a, err = bid.Border(&h.Haul, h.Plans, h.Lots[0].ID); err != nil || len(a.Ladder) != 0 {
		t.Errorf("%+v, %v", a, err)
	}
}

// turning are invented rules that turn as a bid rises: a relief that ends without another, one that
// begins, fees that end and change, and one of nothing.
const turning = `customs: 1
territory: XA
name: An invented island
currency: CAD
tariff: an invented tariff
authorities: [invented.example]
sources: {test: "invented for a test"}
entries:
  - from: 2026-01-01
    about: what turns
    published: invented
    checked: 2026-11-25
    value:
      - {holds: [goods], source: test, confidence: custom}
    relief:
      - {of: duty, when: {upto: {amount: 20 CAD}}, upto: 20 CAD, source: test, confidence: custom}
      - {of: duty, when: {above: {amount: 80 CAD}}, wholly: yes, source: test, confidence: custom}
      - {of: tax, upto: 40 CAD, source: test, confidence: custom}
    duty:
      ways:
        - {by: class, source: test, confidence: custom}
    taxes:
      - name: tax
        base: [value]
        source: test
        confidence: custom
        rates:
          - {rate: 10%, source: test, confidence: custom}
    fees:
      - {name: stamp, amount: 2 CAD, charged: always, when: {upto: {amount: 30 CAD}}, source: test, confidence: custom}
      - {name: papers, amount: 3 CAD, headings-above: 5, charged: always, when: {above: {amount: 50 CAD}}, source: test, confidence: custom}
      - {name: handling, amount: 8 CAD, charged: always, when: {upto: {amount: 60 CAD}}, source: test, confidence: custom}
      - {name: handling, amount: 25 CAD, charged: always, source: test, confidence: custom}
`

// TestTurns: what turns at each bid of 10, 20 and so on, by hand, and what the border adds there.
func TestTurns(t *testing.T) {
	set, err := customs.Parse("xa.yaml", []byte(turning))
	if err != nil {
		t.Fatal(err)
	}
	h := crate()
	h.To, h.Charges, h.Border = "XA", nil, border(customs.Post)
	h.Border.Book = customs.NewBook(set)
	h.Bidding = &bid.Bidding{Start: amount("10 CAD"), Steps: []bid.BidStep{{From: amount("0 CAD"), Step: amount("10 CAD")}}}
	a, err := bid.Border(&h.Haul, h.Plans, h.Lots[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{ // 5 % of duty, and 10 % of tax
		"10.00 CAD":  "10.00 CAD 20.00 CAD []",
		"20.00 CAD":  "10.00 CAD 30.00 CAD []",
		"30.00 CAD":  "11.50 CAD 41.50 CAD [above the duty-free limit of 20.00 CAD (duty)]",
		"40.00 CAD":  "10.00 CAD 50.00 CAD [stamp ends, 2.00 CAD]",
		"50.00 CAD":  "15.50 CAD 65.50 CAD [above the duty-free limit of 40.00 CAD (tax), at 50.00 CAD]",
		"60.00 CAD":  "17.00 CAD 77.00 CAD []",
		"70.00 CAD":  "35.50 CAD 105.50 CAD [handling changes to 25.00 CAD]",
		"80.00 CAD":  "37.00 CAD 117.00 CAD []",
		"90.00 CAD":  "34.00 CAD 124.00 CAD [duty ends]",
		"100.00 CAD": "35.00 CAD 135.00 CAD []",
	}
	for i := range a.Ladder {
		p := &a.Ladder[i]
		got := fmt.Sprint(p.Border.Sum(), p.Cost, p.Turns)
		if w, is := want[p.Bid.String()]; is && got != w {
			t.Errorf("at %v: %s, want %s", p.Bid, got, w)
		}
		delete(want, p.Bid.String())
	}
	if len(want) > 0 {
		t.Error(want)
	}
}

// TestBorderSent: where services carry the lots the ladder ends before the bid at which none does:
// this one takes no parcel worth more than 4 000 yen.
func TestBorderSent(t *testing.T) {
	h := crate()
	h.Charges, h.Border = nil, border(customs.Post)
	boat := &freight.Service{Name: "boat", Currency: jpy, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: 20 * measure.Kilogram, Price: amount("900 JPY")}}}}}
	boat.Limits.Value = amount("4000 JPY")
	h.Sending = &together.Sending{Services: []*freight.Service{boat}}
	a, err := bid.Border(&h.Haul, h.Plans, h.Lots[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	last := a.Ladder[len(a.Ladder)-1]
	if last.Bid != amount("4000 JPY") || a.Refused == nil || a.Refused.Bid != amount("4100 JPY") || a.Refused.Why == nil {
		t.Errorf("up to %v, refused is %+v", last.Bid, a.Refused)
	}
	if list, err := bidder(t, h, bid.Options{}).Ladder(highest(t, h, bid.Options{})); err != nil || list[len(list)-1].Bid != last.Bid {
		t.Errorf("all bids: %v, %v", list, err)
	}
}
