package landed_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/published"
	"lotcost/landed/money"
)

// lumpCase is one price for several things.
type lumpCase struct {
	published.Case `yaml:",inline"`
	Home           string
	Price          string
	By             string   // the basis; value when not given
	ValuesIn       string   `yaml:"values_in"` // currency of the values; home when not given
	Fees           []string // shared as the price is
	Items          []struct {
		Count         int64
		Weight, Value string
	}
	Cost []string
	Each []string // of a piece, where all pieces of an item cost the same
	Not  []string // printed in the source, and wrong
}

func testLumpSums(t *testing.T, file string) {
	var data struct {
		Sources map[string]string
		Cases   []lumpCase
	}
	published.Read(t, "sharing/"+file, &data)
	if len(data.Cases) == 0 {
		t.Fatal("no cases")
	}
	for _, c := range data.Cases {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			c.test(t)
		})
	}
}

func (c lumpCase) haul(t *testing.T) *landed.Haul {
	basis := landed.ByValue
	if c.By != "" {
		var ok bool
		if basis, ok = landed.Parse[landed.Basis](c.By); !ok {
			t.Fatalf("no basis %q", c.By)
		}
	}
	values := c.Home
	if c.ValuesIn != "" {
		values = c.ValuesIn
	}
	lot := landed.Lot{ID: "lot", Price: amount(c.Price + " " + c.Home)}
	for i, it := range c.Items {
		value := it.Value
		if value != "" {
			value += " " + values
		}
		lot.Items = append(lot.Items, item(fmt.Sprintf("part-%d", i+1), max(it.Count, 1), it.Weight, value))
	}
	h := &landed.Haul{Home: money.MustCurrency(c.Home), Lots: []landed.Lot{lot}}
	h.Share = h.Share.WithPrice(basis)
	for _, fee := range c.Fees {
		h.Charges = append(h.Charges, landed.Charge{What: "fee", Kind: landed.Fee, Amount: amount(fee + " " + c.Home), By: basis})
	}
	return h
}

func (c lumpCase) test(t *testing.T) {
	st := split(t, c.haul(t))
	got := numbers(st)
	if !slices.Equal(got, c.Cost) {
		t.Errorf("got %v, want %v", got, c.Cost)
	}
	if c.Not != nil && slices.Equal(got, c.Not) {
		t.Errorf("got %v, the mistake in print", got)
	}
	for i, want := range c.Each {
		if each := st.Items[i].Each(); len(each) != 1 || each[0].Each.Number() != want {
			t.Errorf("item %d: each piece costs %v, want %s", i, each, want)
		}
	}
}

func TestLumpSumPurchases(t *testing.T)  { testLumpSums(t, "lumpsum.yaml") }
func TestJointCostPhysical(t *testing.T) { testLumpSums(t, "physical.yaml") }

// TestEuroCrossing converts prices by the rules of the euro changeover and
// across a published table.
func TestEuroCrossing(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case `yaml:",inline"`
			Paid, Home     string
			Equations      []string
			Table          string // currencies, and what one euro is in them
			Cost, Not      string
		}
	}
	published.Read(t, "sharing/crossing.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			lot := landed.Lot{ID: "lot", Price: amount(c.Paid), Items: []landed.Item{item("all", 1, "", "1 "+c.Home)}}
			h := &landed.Haul{Home: money.MustCurrency(c.Home), Market: market(c.Equations...), Lots: []landed.Lot{lot}}
			if c.Table != "" {
				h.Market = tableMarket(t, c.Table)
			}
			got := split(t, h).Total.Number()
			if got != c.Cost || got == c.Not {
				t.Errorf("%s is %s %s, want %s", c.Paid, got, c.Home, c.Cost)
			}
		})
	}
}

// tableMarket makes a market of one published row, given as its heads and cells.
func tableMarket(t *testing.T, row string) *fx.Market {
	t.Helper()
	heads, cells, _ := strings.Cut(row, " ")
	text := fmt.Sprintf("Date,%s,\n%s,%s,\n", heads, day.Format("2006-01-02"), cells)
	table, err := fx.ReadTable(strings.NewReader(text), fx.Window{On: day})
	if err != nil {
		t.Fatal(err)
	}
	m, err := fx.NewMarket(nil, table, day)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestCostOfPurchase checks which costs are part of what goods cost.
func TestCostOfPurchase(t *testing.T) {
	type cost struct{ What, Amount, Kind, Word string }
	var data struct {
		Source, Grade, Total string
		Costs, Out           []cost
	}
	published.Read(t, "sharing/purchase.yaml", &data)
	lot := landed.Lot{ID: "goods", Items: []landed.Item{item("goods-1", 1, "1 kg", "2 JPY"), item("goods-2", 3, "1 kg", "1 JPY")}}
	h := &landed.Haul{Home: jpy, Lots: []landed.Lot{lot}}
	for _, c := range data.Costs {
		kind, ok := landed.Parse[landed.Kind](c.Kind)
		switch a := amount(c.Amount + " JPY"); {
		case !ok:
			t.Fatalf("%s: %q is no kind of cost", c.What, c.Kind)
		case kind == landed.Price:
			h.Lots[0].Price = a
		case kind == landed.Duty: // a bill, without rules to estimate it by
			h.Parcels = []landed.Parcel{{ID: "all", Lots: []string{"goods"}, Bill: landed.Bill{Duty: a}}}
		default:
			h.Charges = append(h.Charges, landed.Charge{What: c.What, Kind: kind, Amount: a, By: landed.ByValue})
		}
	}
	st := split(t, h)
	if st.Total.Number() != data.Total {
		t.Errorf("the goods cost %s, want %s", st.Total.Number(), data.Total)
	}
	if got, want := st.Sum(landed.Fee).Number(), "-62850"; got != want { // -90000 + 12150 + 15000
		t.Errorf("fees less discounts are %s, want %s", got, want)
	}
	for _, c := range data.Out {
		if kind, ok := landed.Parse[landed.Kind](c.Word); ok {
			t.Errorf("%s is a cost of the goods as %v", c.What, kind)
		}
	}
}

// TestOneBox checks what every buyer knows: sent together, lots of one seller
// bear a fraction of the freight each.
func TestOneBox(t *testing.T) {
	var data struct {
		Source                  string
		Lots                    int
		Weight, Apart, Together string
		EachApart               string `yaml:"each_apart"`
		EachTogether            string `yaml:"each_together"`
	}
	published.Read(t, "sharing/practice.yaml", &data)
	h := &landed.Haul{Home: cad}
	for i := range data.Lots {
		h.Lots = append(h.Lots, landed.Lot{ID: fmt.Sprintf("lot-%d", i), Seller: "tidemark", Price: amount("0 CAD"),
			Items: []landed.Item{item(fmt.Sprintf("planes-%d", i), 1, data.Weight, "")}})
	}
	apart := landed.Charge{What: "post", Kind: landed.Freight, Amount: amount(data.Apart), Per: landed.PerLot}
	together := landed.Charge{What: "box", Kind: landed.Freight, Amount: amount(data.Together)}
	for want, c := range map[string]landed.Charge{data.EachApart: apart, data.EachTogether: together} {
		h.Charges = []landed.Charge{c}
		for _, lot := range split(t, h).Lots {
			if lot.Cost.Number() != want || lot.Seller != "tidemark" {
				t.Errorf("%s: %s of %q bears %v, want %s", c.What, lot.ID, lot.Seller, lot.Cost, want)
			}
		}
	}
}

// TestUnwrap keeps the errors of the packages below within reach.
func TestUnwrap(t *testing.T) {
	h := crates()
	h.Market = nil
	_, err := landed.Split(h)
	var none *fx.NoRateError
	if !errors.As(err, &none) || none.From != "JPY" || none.To != "CAD" {
		t.Errorf("got %v, want a NoRateError from JPY to CAD", err)
	}
}
