package money_test

import (
	"slices"
	"testing"

	"lotcost/landed/internal/published"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

type sharingCase struct {
	published.Case `yaml:",inline"`
	Total          int64
	Weights        []int64
	Shares         []int64
	Not            []int64 // printed in the source, and wrong
	Pieces         []int64 // each share is then divided over so many pieces
	Each           []int64
}

func testSharings(t *testing.T, file string) {
	var data struct {
		Sources map[string]string
		Cases   []sharingCase
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

func (c sharingCase) test(t *testing.T) {
	got := share(t, c.Total, c.Weights...)
	if !slices.Equal(got, c.Shares) {
		t.Errorf("%d over %v: got %v, want %v", c.Total, c.Weights, got, c.Shares)
	}
	if c.Not != nil && slices.Equal(got, c.Not) {
		t.Errorf("%d over %v: got %v, the mistake in print", c.Total, c.Weights, got)
	}
	large := make([]int64, len(c.Weights))
	if err := money.ApportionBig(large, c.Total, bigWeights(c.Weights)); err != nil || !slices.Equal(large, c.Shares) {
		t.Errorf("ApportionBig of %d over %v: got %v, %v, want %v", c.Total, c.Weights, large, err, c.Shares)
	}
	for i, n := range c.Pieces {
		large, small, larger, err := money.Equal(got[i], n)
		if err != nil || large != c.Each[i] || small != c.Each[i] || larger != n {
			t.Errorf("%d over %d pieces: got %d, %d, %d, %v, want %d each", got[i], n, large, small, larger, err, c.Each[i])
		}
	}
}

// share apportions where an error would be a failure.
func share(t testing.TB, total int64, weights ...int64) []int64 {
	t.Helper()
	dst := make([]int64, len(weights))
	if err := money.Apportion(dst, total, weights); err != nil {
		t.Fatalf("%d over %v: %v", total, weights, err)
	}
	return dst
}

func TestApportionCases(t *testing.T)      { testSharings(t, "apportion.yaml") }
func TestApportionComplaints(t *testing.T) { testSharings(t, "complaints.yaml") }
func TestJointCost(t *testing.T)           { testSharings(t, "jointcost.yaml") }

// TestEuroRounding checks Round by the rules of the euro changeover.
func TestEuroRounding(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case `yaml:",inline"`
			Num, Den       []string
			Currency       string
			Want           string
		}
	}
	published.Read(t, "sharing/euro.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Grade+"/"+c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			got, err := money.Round(product(c.Num), product(c.Den), money.MustCurrency(c.Currency))
			if err != nil || got.Number() != c.Want {
				t.Errorf("%v / %v: got %v, %v, want %s %s", c.Num, c.Den, got, err, c.Want, c.Currency)
			}
		})
	}
}

func product(factors []string) decimal.Decimal {
	p := decimal.NewFromInt(1)
	for _, f := range factors {
		p = p.Mul(decimal.RequireFromString(f))
	}
	return p
}
