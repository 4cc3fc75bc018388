package landed_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"pgregory.net/rapid"
)

// drawSplit draws a haul that can be split, and splits it.
func drawSplit(t *rapid.T) (*landed.Haul, *landed.Statement) {
	h, _ := drawHaul(t, solid)
	return h, mustSplit(t, h)
}

func mustSplit(t *rapid.T, h *landed.Haul) *landed.Statement {
	t.Helper()
	st, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// TestSumsAgree is the promise: charges, items, lots, pieces and total are one
// sum.
func TestSumsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, st := drawSplit(t)
		var lines, items, lots, pieces int64
		for _, line := range st.Lines {
			lines += line.Home.Minor()
			var parts int64
			for _, p := range line.Parts() {
				parts += p.Minor
			}
			if parts != line.Home.Minor() {
				t.Fatalf("the parts of %v %q sum to %d, want %v", line.Kind, line.What, parts, line.Home)
			}
		}
		for _, it := range st.Items {
			items += it.Cost.Minor()
			for _, g := range it.Each() {
				pieces += g.Count * g.Each.Minor()
			}
		}
		first := 0
		for _, lot := range st.Lots {
			lots += lot.Cost.Minor()
			var inside int64
			for _, it := range st.Items[first:][:len(lot.Items)] {
				inside += it.Cost.Minor()
				if it.Lot.ID != lot.ID {
					t.Fatalf("item %s of lot %s stands in lot %s", it.ID, it.Lot.ID, lot.ID)
				}
			}
			first += len(lot.Items)
			if inside != lot.Cost.Minor() {
				t.Fatalf("lot %s costs %v, its items %d", lot.ID, lot.Cost, inside)
			}
		}
		for name, sum := range map[string]int64{"lines": lines, "items": items, "lots": lots, "pieces": pieces} {
			if sum != st.Total.Minor() {
				t.Fatalf("%s sum to %d, the total is %v", name, sum, st.Total)
			}
		}
	})
}

// TestSumsByKind checks the shares by kind in both directions.
func TestSumsByKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, st := drawSplit(t)
		var all int64
		for k := range landed.Kind(landed.Kinds) {
			var lines, items int64
			for _, line := range st.Lines {
				if line.Kind == k {
					lines += line.Home.Minor()
				}
			}
			for _, it := range st.Items {
				items += it.Share(k).Minor()
				if it.Share(k).Sign() != 0 && !it.Bears(k) {
					t.Fatalf("item %s has %v of %v but does not bear it", it.ID, it.Share(k), k)
				}
			}
			if lines != items || st.Sum(k).Minor() != lines {
				t.Fatalf("%v: lines sum to %d, items to %d, Sum is %v", k, lines, items, st.Sum(k))
			}
			all += lines
		}
		if all != st.Total.Minor() {
			t.Fatalf("the kinds sum to %d, the total is %v", all, st.Total)
		}
	})
}

// TestPiecesAreAlike checks that the pieces of an item differ by one minor unit
// at most, the dearer first.
func TestPiecesAreAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, st := drawSplit(t)
		var all int64
		for n, it := range st.Items {
			groups := it.Each()
			var count int64
			for _, g := range groups {
				count += g.Count
			}
			all += count
			if count != it.Count || len(groups) > 2 {
				t.Fatalf("the %d pieces of item %d stand as %v", it.Count, n, groups)
			}
			if len(groups) == 2 {
				gap := groups[0].Each.Minor() - groups[1].Each.Minor()
				if it.Cost.Sign() < 0 {
					gap = -gap
				}
				if gap != 1 {
					t.Fatalf("pieces of item %d cost %v", n, groups)
				}
			}
		}
		if st.Pieces() != all || len(st.Lots) != len(h.Lots) {
			t.Fatalf("%d pieces in %d lots, want %d in %d", st.Pieces(), len(st.Lots), all, len(h.Lots))
		}
	})
}

// lineKey names a line whatever the order of the items.
func lineKey(l landed.Line) string {
	return fmt.Sprint(l.Kind, "|", l.What, "|", l.Parcel, "|", l.Lot, "|", l.Item)
}

// sharesOf lists each line's shares by item id.
func sharesOf(st *landed.Statement) map[string]map[string]int64 {
	all := map[string]map[string]int64{}
	for _, line := range st.Lines {
		shares := map[string]int64{}
		for _, p := range line.Parts() {
			shares[st.Items[p.Item].ID] = p.Minor
		}
		all[lineKey(line)] = shares
	}
	return all
}

// TestOrderMovesOneUnit checks that the order of lots and items decides no more
// than who gets the odd minor unit of a line.
func TestOrderMovesOneUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, st := drawSplit(t)
		other := *h
		other.Lots = rapid.Permutation(h.Lots).Draw(t, "lots")
		for i := range other.Lots {
			other.Lots[i].Items = rapid.Permutation(other.Lots[i].Items).Draw(t, "items")
		}
		moved := mustSplit(t, &other)
		if moved.Total != st.Total {
			t.Fatalf("the total was %v and became %v", st.Total, moved.Total)
		}
		before, after := sharesOf(st), sharesOf(moved)
		if len(before) != len(after) {
			t.Fatalf("%d lines became %d", len(before), len(after))
		}
		for key, shares := range before {
			if len(after[key]) != len(shares) {
				t.Fatalf("%s was shared over %d items, then over %d", key, len(shares), len(after[key]))
			}
			for id, minor := range shares {
				if gap := after[key][id] - minor; gap < -1 || gap > 1 {
					t.Fatalf("%s: item %s bore %d, then %d", key, id, minor, after[key][id])
				}
			}
		}
	})
}

// TestScale checks that all weights, or all values, taken so many times share
// as before.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, st := drawSplit(t)
		want := sharesOf(st)
		heavier, dearer := rapid.Int64Range(1, 1_000_000).Draw(t, "heavier"), rapid.Int64Range(1, 10_000_000_000).Draw(t, "dearer")
		for i := range h.Lots {
			for j := range h.Lots[i].Items {
				it := &h.Lots[i].Items[j]
				it.Weight = measureOf(int64(it.Weight) * heavier)
				it.Value = money.New(it.Value.Minor()*dearer, it.Value.Currency())
			}
		}
		if got := sharesOf(mustSplit(t, h)); !reflect.DeepEqual(got, want) {
			t.Fatalf("scaled by %d and %d: got %v, want %v", heavier, dearer, got, want)
		}
	})
}

// TestRefundMirrors checks that what is given back is shared as what was paid.
func TestRefundMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, st := drawSplit(t)
		neg := func(a *money.Amount) { *a = money.New(-a.Minor(), a.Currency()) }
		for i := range h.Lots {
			neg(&h.Lots[i].Price)
			neg(&h.Lots[i].Settled)
		}
		for i := range h.Parcels {
			neg(&h.Parcels[i].Freight)
			neg(&h.Parcels[i].Insurance)
			neg(&h.Parcels[i].Fees)
		}
		for i := range h.Charges { // a percentage of the price turns with it
			neg(&h.Charges[i].Amount)
			neg(&h.Charges[i].Settled)
		}
		back := mustSplit(t, h)
		for n, line := range st.Lines {
			for i, p := range line.Parts() {
				if got := back.Lines[n].Parts()[i]; got.Minor != -p.Minor || got.Item != p.Item {
					t.Fatalf("%s: paid %d, given back %d", lineKey(line), p.Minor, got.Minor)
				}
			}
		}
		if back.Total.Minor() != -st.Total.Minor() {
			t.Fatalf("paid %v, given back %v", st.Total, back.Total)
		}
	})
}

// TestLotByLot checks that lots without a charge in common cost in one haul
// what they cost in a haul each.
func TestLotByLot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, _ := drawHaul(t, solid)
		h.Parcels = nil
		for i := range h.Charges {
			h.Charges[i].Per = max(h.Charges[i].Per, landed.PerLot)
		}
		whole, first := mustSplit(t, h), 0
		for i, lot := range h.Lots {
			alone := *h
			alone.Lots, alone.Charges = []landed.Lot{lot}, nil
			for _, c := range h.Charges {
				if len(c.On) > 0 {
					c.On = inLot(c.On, lot)
					if len(c.On) == 0 {
						continue
					}
				}
				alone.Charges = append(alone.Charges, c)
			}
			st := mustSplit(t, &alone)
			if st.Total != whole.Lots[i].Cost {
				t.Fatalf("lot %s alone costs %v, in the haul %v", lot.ID, st.Total, whole.Lots[i].Cost)
			}
			for n, it := range whole.Items[first:][:len(lot.Items)] {
				if !reflect.DeepEqual(st.Items[n], it) {
					t.Fatalf("item %s alone costs %v, in the haul %v", it.ID, st.Items[n].Cost, it.Cost)
				}
			}
			first += len(lot.Items)
		}
	})
}

// inLot keeps the ids of a lot and of its items.
func inLot(ids []string, lot landed.Lot) []string {
	var kept []string
	for _, id := range ids {
		if id == lot.ID || slices.ContainsFunc(lot.Items, func(it landed.Item) bool { return it.ID == id }) {
			kept = append(kept, id)
		}
	}
	return kept
}

// sharedBy is a haul whose prices are shared by a basis.
func sharedBy(h *landed.Haul, basis landed.Basis) *landed.Haul {
	other := *h
	other.Share = other.Share.WithPrice(basis)
	return &other
}

// TestSharedBy checks that another basis for prices changes their sharing and
// nothing else, and leaves the haul alone.
func TestSharedBy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, st := drawSplit(t)
		share := h.Share
		for _, basis := range priceBases {
			got, err := landed.Split(sharedBy(h, basis))
			if err != nil {
				t.Fatal(err)
			}
			if h.Share != share {
				t.Fatalf("the haul's bases became %v", h.Share)
			}
			other := *h
			other.Share[landed.Price], other.Share[landed.Premium] = basis, basis
			if want := sharesOf(mustSplit(t, &other)); !reflect.DeepEqual(sharesOf(got), want) {
				t.Fatalf("by %v: got %v, want %v", basis, sharesOf(got), want)
			}
			for n, line := range got.Lines {
				was := st.Lines[n]
				priced := line.Kind == landed.Price || line.Kind == landed.Premium
				if line.Home != was.Home || priced && line.By != basis || !priced && (line.By != was.By || !slices.Equal(line.Parts(), was.Parts())) {
					t.Fatalf("by %v: %s was %+v and became %+v", basis, lineKey(line), was, line)
				}
			}
		}
	})
}

// priceBases are the bases by which prices can be shared.
var priceBases = []landed.Basis{landed.ByValue, landed.ByWeight, landed.ByCount, landed.ByLine}

// TestWords checks that each word of a file is read back, and others are not.
func TestWords(t *testing.T) {
	for k := range landed.Kind(landed.Kinds) {
		if got, ok := landed.Parse[landed.Kind](k.String()); !ok || got != k {
			t.Errorf("ParseKind(%q) = %v, %v", k.String(), got, ok)
		}
	}
	for want, word := range []string{"haul", "parcel", "lot", "item", "piece"} {
		if got, ok := landed.Parse[landed.Per](word); !ok || got != landed.Per(want) {
			t.Errorf("%q is read as %d, %v", word, got, ok)
		}
	}
	for want, word := range []string{"item", "lot", "haul", "written-off"} {
		if got, ok := landed.Parse[landed.LossRule](word); !ok || got != landed.LossRule(want) {
			t.Errorf("%q is read as %d, %v", word, got, ok)
		}
	}
	for b := landed.ByWeight; b <= landed.ByAssessed; b++ {
		if got, ok := landed.Parse[landed.Basis](b.String()); !ok || got != b {
			t.Errorf("ParseBasis(%q) = %v, %v", b.String(), got, ok)
		}
	}
	for _, word := range []string{"", "Weight", "weights", "price "} {
		_, kind := landed.Parse[landed.Kind](word)
		_, per := landed.Parse[landed.Per](word)
		_, basis := landed.Parse[landed.Basis](word)
		if kind || per || basis {
			t.Errorf("%q was read as a kind %v, per %v, basis %v", word, kind, per, basis)
		}
	}
}

// TestDefaultBases checks the bases against the words of the lot file.
func TestDefaultBases(t *testing.T) {
	want := map[landed.Kind]string{landed.Price: "value", landed.Premium: "value", landed.Freight: "weight", landed.Insurance: "value",
		landed.Fee: "count", landed.Repair: "count", landed.Duty: "assessed", landed.Tax: "assessed"}
	for k, word := range want {
		if got := (landed.Bases{}).For(k).String(); got != word {
			t.Errorf("%v is shared by %s, want %s", k, got, word)
		}
	}
	if got := (landed.Bases{}).WithPrice(landed.ByCount); got.For(landed.Price) != landed.ByCount || got.For(landed.Premium) != landed.ByCount || got.For(landed.Freight) != landed.ByWeight {
		t.Errorf("with prices by count: %v", got)
	}
}

// TestOneFaultOnce checks that one fault is reported once however many lines
// it stops.
func TestOneFaultOnce(t *testing.T) {
	h := crates()
	h.Lots[0].Items[0].Value = amount("20 USD")
	h.Lots[1].Items[0].Value = amount("20 USD")
	_, err := landed.Split(h)
	const want = `item jack: value: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestCheckWeights: the items that are told to have no weight are those that Split tells, each
// once, whatever else is wrong; none where the weight, or the charge, was not typed as it was
// meant.
func TestCheckWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, _ := drawHaul(t, solid)
		n := 0
		for i := range h.Lots {
			for j := range h.Lots[i].Items {
				item := &h.Lots[i].Items[j]
				n++
				item.At.Line = n
				item.Weighed = item.Weighed && rapid.Bool().Draw(t, "weighed")
			}
		}
		weightless := func(faults source.Faults) string {
			var list []string
			for _, f := range faults {
				if strings.HasPrefix(f.What, "has no weight") && !slices.Contains(list, f.Field) {
					list = append(list, f.Field)
				}
			}
			return strings.Join(list, ", ")
		}
		_, err := landed.Split(h)
		var faults source.Faults
		errors.As(err, &faults)
		want, reported := weightless(faults), h.CheckWeights(nil)
		if weightless(reported) != want || len(reported) != len(strings.FieldsFunc(want, func(r rune) bool { return r == ',' })) {
			t.Fatalf("told: %v\nwant: %s", reported, want)
		}
		if reported := h.CheckWeights(func(at source.Origin) bool { return at.Line == 0 }); len(reported) > 0 {
			t.Fatalf("told of items that are not sure: %v", reported)
		}
	})
}
