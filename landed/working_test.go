package landed_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

func printSteps(b *strings.Builder, steps []landed.Step) {
	for _, s := range steps {
		fmt.Fprintf(b, "%s | %s | %s | %s\n", s.What, s.From, s.Rule, s.Result)
	}
}

// TestWorkingText compares the whole working of one haul. The figures, by hand:
// 4200 x 0.0093 x 1.025 = 40.0365, 420 yen a tenth of that; a fee of 300 yen is
// 2.85975 for each lot; 1.5% of 40.04 + 4.00 + 29.11 is 1.09725. By value crate
// A is 76 to 24, so 40.04 is 30.4304 and 9.6096; by weight the parcel is 3.8 kg,
// 780 g and 180 g of 4.76 kg: 55.8983, 11.4739 and 2.6478.
func TestWorkingText(t *testing.T) {
	st := split(t, crates())
	var b strings.Builder
	for n := range st.Lines {
		printSteps(&b, st.Working(&st.Lines[n]))
	}
	for n := range st.Items {
		printSteps(&b, st.ItemWorking(n))
	}
	const want = `price: Crate A, planes | 4200 JPY x 0.93 / 100 x (1 + 2.5%) | equation 100 JPY = 0.93 CAD, card spread 2.5%, rounded once, half away from zero | 40.04 CAD
shared over 2 items | 40.04 CAD over 100.00 CAD | by value, largest remainder, ties to the earlier item | shares sum to 40.04 CAD
premium: Crate A, planes | 420 JPY x 0.93 / 100 x (1 + 2.5%) | equation 100 JPY = 0.93 CAD, card spread 2.5%, rounded once, half away from zero | 4.00 CAD
shared over 2 items | 4.00 CAD over 100.00 CAD | by value, largest remainder, ties to the earlier item | shares sum to 4.00 CAD
price: crate-b | 3000 JPY | as settled by the bank, in place of the conversion | 29.11 CAD
shared over 1 item | 29.11 CAD over 33.00 CAD | by value, largest remainder, ties to the earlier item | shares sum to 29.11 CAD
freight: Surface parcel | 7400 JPY | as settled by the bank, in place of the conversion | 70.02 CAD
shared over 3 items | 70.02 CAD over 4.76 kg | by weight, largest remainder, ties to the earlier item | shares sum to 70.02 CAD
fee: Packing | 300 JPY x 0.93 / 100 x (1 + 2.5%) | equation 100 JPY = 0.93 CAD, card spread 2.5%, rounded once, half away from zero | 2.86 CAD
shared over 2 items | 2.86 CAD over 3 pieces | by count, largest remainder, ties to the earlier item | shares sum to 2.86 CAD
fee: Packing | 300 JPY x 0.93 / 100 x (1 + 2.5%) | equation 100 JPY = 0.93 CAD, card spread 2.5%, rounded once, half away from zero | 2.86 CAD
shared over 1 item | 2.86 CAD over 3 pieces | by count, largest remainder, ties to the earlier item | shares sum to 2.86 CAD
insurance: Transit cover | 1.5% of 73.15 CAD | of the covered lots' price and premium in home, rounded once, half away from zero | 1.10 CAD
shared over 3 items | 1.10 CAD over 133.00 CAD | by value, largest remainder, ties to the earlier item | shares sum to 1.10 CAD
repair: Oil | 2.20 CAD | in home already; 2 alike, each rounded by itself | 2.20 CAD
share of jack | 2.20 CAD | charged to this item only | 2.20 CAD
repair: Oil | 1.10 CAD | in home already | 1.10 CAD
share of block | 1.10 CAD | charged to this item only | 1.10 CAD
price: Crate A, planes | 76.00 CAD of 100.00 CAD, of 40.04 CAD | by value, largest remainder | 30.43 CAD
premium: Crate A, planes | 76.00 CAD of 100.00 CAD, of 4.00 CAD | by value, largest remainder | 3.04 CAD
freight: Surface parcel | 3.8 kg of 4.76 kg, of 70.02 CAD | by weight, largest remainder | 55.90 CAD
fee: Packing | 2 pieces of 3 pieces, of 2.86 CAD | by count, largest remainder | 1.91 CAD
insurance: Transit cover | 76.00 CAD of 133.00 CAD, of 1.10 CAD | by value, largest remainder | 0.63 CAD
repair: Oil | 2.20 CAD | charged to this item only | 2.20 CAD
cost of jack | 6 shares | sum | 94.11 CAD
cost of a piece | 94.11 CAD over 2 pieces | equally, the extra cents to the earlier pieces | 1 x 47.06 CAD, 1 x 47.05 CAD
price: Crate A, planes | 24.00 CAD of 100.00 CAD, of 40.04 CAD | by value, largest remainder | 9.61 CAD
premium: Crate A, planes | 24.00 CAD of 100.00 CAD, of 4.00 CAD | by value, largest remainder | 0.96 CAD
freight: Surface parcel | 780 g of 4.76 kg, of 70.02 CAD | by weight, largest remainder | 11.47 CAD
fee: Packing | 1 piece of 3 pieces, of 2.86 CAD | by count, largest remainder | 0.95 CAD
insurance: Transit cover | 24.00 CAD of 133.00 CAD, of 1.10 CAD | by value, largest remainder | 0.20 CAD
repair: Oil | 1.10 CAD | charged to this item only | 1.10 CAD
cost of block | 6 shares | sum | 24.29 CAD
cost of a piece | 24.29 CAD over 1 piece | equally, the extra cents to the earlier pieces | 1 x 24.29 CAD
price: crate-b | 33.00 CAD of 33.00 CAD, of 29.11 CAD | by value, largest remainder | 29.11 CAD
freight: Surface parcel | 180 g of 4.76 kg, of 70.02 CAD | by weight, largest remainder | 2.65 CAD
fee: Packing | 3 pieces of 3 pieces, of 2.86 CAD | by count, largest remainder | 2.86 CAD
insurance: Transit cover | 33.00 CAD of 133.00 CAD, of 1.10 CAD | by value, largest remainder | 0.27 CAD
cost of compass | 4 shares | sum | 34.89 CAD
cost of a piece | 34.89 CAD over 3 pieces | equally, the extra cents to the earlier pieces | 3 x 11.63 CAD
`
	gotLines, wantLines := strings.Split(b.String(), "\n"), strings.Split(want, "\n")
	for i := range max(len(gotLines), len(wantLines)) {
		var got, want string
		if i < len(gotLines) {
			got = gotLines[i]
		}
		if i < len(wantLines) {
			want = wantLines[i]
		}
		if got != want {
			t.Errorf("step %d: got\n%s\nwant\n%s", i+1, got, want)
		}
	}
	if st.Total.String() != "153.29 CAD" { // 40.04 + 4.00 + 29.11 + 70.02 + 2 x 2.86 + 1.10 + 3.30
		t.Errorf("total %v", st.Total)
	}
}

// TestWorkingRecomputed takes each working at its word: it computes what stands
// under From again, and compares that with the result.
func TestWorkingRecomputed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, st := drawSplit(t)
		for n := range st.Lines {
			line := &st.Lines[n]
			steps := st.Working(line)
			checkAmountStep(t, st, line, steps[0])
			if len(line.Parts()) > 0 && (len(steps) != 2 || !strings.HasSuffix(steps[1].Result, line.Home.String())) {
				t.Fatalf("line %d: %v", n, steps)
			}
		}
		for n := range st.Items {
			checkItemSteps(t, st, n)
		}
	})
}

func checkAmountStep(t *rapid.T, st *landed.Statement, line *landed.Line, step landed.Step) {
	if step.Result != line.Home.String() {
		t.Fatalf("%v ends with %s, the line is %v", step, step.Result, line.Home)
	}
	if strings.Contains(step.Rule, "settled") {
		return
	}
	one := new(big.Rat).Quo(evaluate(t, step.From), new(big.Rat).SetInt64(line.Times))
	o := oracle{haul: &landed.Haul{Home: st.Home}}
	want := o.toHome(one)
	want.Mul(want, big.NewInt(line.Times))
	if want.Cmp(big.NewInt(line.Home.Minor())) != 0 {
		t.Fatalf("%v: From makes %v minor units, not %v", step, want, line.Home)
	}
	whole := new(big.Rat).Mul(new(big.Rat).SetInt(tenTo(digitsOf[st.Home.Code()])), one).IsInt()
	if !whole && !strings.Contains(step.Rule, "rounded") {
		t.Fatalf("%v was rounded and does not say so", step)
	}
}

// evaluate computes "4200 JPY x 0.93 / 100 x (1 + 2.5%)" and "1.5% of 73.15 CAD".
func evaluate(t *rapid.T, text string) *big.Rat {
	words := strings.Fields(strings.NewReplacer("(", " ", ")", " ").Replace(text))
	value := big.NewRat(1, 1)
	op := "x"
	for i := 0; i < len(words); i++ {
		switch word := words[i]; word {
		case "x", "/":
			op = word
		case "of":
			op = "x"
		case "1":
			if i+2 < len(words) && words[i+1] == "+" {
				value.Mul(value, new(big.Rat).Add(big.NewRat(1, 1), rational(t, words[i+2])))
				i += 2
				continue
			}
			fallthrough
		default:
			if len(word) == 3 && word >= "A" && word[0] <= 'Z' && word[0] >= 'A' {
				continue // a currency
			}
			if op == "x" {
				value.Mul(value, rational(t, word))
			} else {
				value.Quo(value, rational(t, word))
			}
		}
	}
	return value
}

// rational reads a number or percentage.
func rational(t *rapid.T, word string) *big.Rat {
	digits, percent := strings.CutSuffix(word, "%")
	r, ok := new(big.Rat).SetString(digits)
	if !ok {
		t.Fatalf("%q is no number", word)
	}
	if percent {
		r.Quo(r, big.NewRat(100, 1))
	}
	return r
}

func checkItemSteps(t *rapid.T, st *landed.Statement, n int) {
	steps, cost := st.ItemWorking(n), st.Items[n].Cost
	parts, sum, pieces := steps[:len(steps)-2], steps[len(steps)-2], steps[len(steps)-1]
	total := money.New(0, st.Home)
	for _, s := range parts {
		share, err := money.Parse(s.Result)
		if err != nil {
			t.Fatal(err)
		}
		if total, err = total.Add(share); err != nil {
			t.Fatal(err)
		}
		checkQuota(t, s, share)
	}
	if total != cost || sum.Result != cost.String() || !strings.HasPrefix(pieces.From, cost.String()+" over ") {
		t.Fatalf("item %d costs %v, its working says %v and %v, its shares sum to %v", n, cost, sum, pieces, total)
	}
}

// checkQuota checks that a share is within one minor unit of its exact part.
func checkQuota(t *rapid.T, s landed.Step, share money.Amount) {
	if s.Rule == "charged to this item only" {
		if s.From != s.Result {
			t.Fatalf("%v is not charged to this item only", s)
		}
		return
	}
	if strings.Contains(s.From, "about ") {
		return // a value that has no end in decimals: the oracle has it
	}
	part, rest, _ := strings.Cut(s.From, " of ")
	all, of, ok := strings.Cut(rest, ", of ")
	if !ok {
		t.Fatalf("%v does not say of what", s)
	}
	exact := new(big.Rat).Mul(evaluate(t, of), new(big.Rat).Quo(quantity(t, part), quantity(t, all)))
	gap := exact.Sub(exact, major(share))
	gap.Mul(gap.Abs(gap), new(big.Rat).SetInt(tenTo(digitsOf[share.Currency().Code()])))
	if gap.Cmp(big.NewRat(1, 1)) >= 0 {
		t.Fatalf("%v is %v minor units from its quota", s, gap.FloatString(3))
	}
}

// quantity reads "780 g", "3.8 kg", "2 pieces", "1 item", "76.00 CAD".
func quantity(t *rapid.T, text string) *big.Rat {
	digits, unit, _ := strings.Cut(text, " ")
	r := rational(t, digits)
	if unit == "kg" {
		r.Mul(r, big.NewRat(1000, 1))
	}
	return r
}

// TestPremiumAtHome: a premium in home is rounded too, and says so.
func TestPremiumAtHome(t *testing.T) {
	h := &landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "a", Price: amount("5.01 CAD"), Premium: number("0.125"), Items: []landed.Item{item("x", 1, "", "1 CAD")}}}}
	st := split(t, h)
	want := landed.Step{What: "premium: a", From: "0.62625 CAD", Rule: "in home already, rounded once, half away from zero", Result: "0.63 CAD"}
	if got := st.Working(&st.Lines[1])[0]; got != want {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestWorkingOfLargeWeights: sums beyond 64 bits are printed in full.
func TestWorkingOfLargeWeights(t *testing.T) {
	it := item("anvil", landed.MaxCount, "9000000 kg", "90000000000000000 CAD")
	h := &landed.Haul{Home: cad, Lots: []landed.Lot{{ID: "a", Price: amount("5.00 CAD"), Items: []landed.Item{it}}}}
	want := map[landed.Basis]string{
		landed.ByValue:  "5.00 CAD over 9000000000000000000000000000000 minor units of CAD",
		landed.ByWeight: "5.00 CAD over 9000000000000000000000000000000 ng",
		landed.ByCount:  "5.00 CAD over 1000000000000 pieces",
		landed.ByEqual:  "5.00 CAD over 1 item"}
	for basis, from := range want {
		st, err := landed.Split(sharedBy(h, basis))
		if err != nil {
			t.Fatal(err)
		}
		if got := st.Working(&st.Lines[0])[1].From; got != from {
			t.Errorf("by %v: got %q, want %q", basis, got, from)
		}
	}
}

// TestAsked checks how amounts are reported as they were asked.
func TestAsked(t *testing.T) {
	cases := []struct {
		line *landed.Line
		want string
	}{
		{landed.AskedFor(number("4200"), jpy), "4200 JPY"},
		{landed.AskedFor(number("462.5"), jpy), "462.5 JPY"},
		{landed.AskedFor(number("462.0"), jpy), "462 JPY"},
		{landed.AskedFor(number("38.6"), cad), "38.60 CAD"},
		{landed.AskedFor(number("-0.625"), cad), "-0.625 CAD"},
		{landed.AskedFor(number("12"), kwd), "12.000 KWD"},
		{landed.AskedFor(number("0.015"), 0), "1.5% of price"},
	}
	for _, c := range cases {
		if got := c.line.Asked(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// TestRates checks that each rate used is reported once, with the spread, and
// those not used are not.
func TestRates(t *testing.T) {
	h := crates()
	h.Market = market("1 USD = 1.36 CAD", "100 JPY = 0.93 CAD", "1 KWD = 4.4 CAD")
	h.Charges = append(h.Charges, landed.Charge{What: "Broker", Kind: landed.Fee, Amount: amount("12 USD")})
	var got []string
	for _, r := range split(t, h).Rates() {
		got = append(got, r.String())
	}
	if want := "1 JPY = 0.95325 / 100 CAD, 1 USD = 1.394 CAD"; strings.Join(got, ", ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}
