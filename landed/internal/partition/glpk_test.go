package partition_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"lotcost/landed/internal/partition"
)

// glpsol solves a model with GLPK's stand-alone solver and returns the optimum, or false when there
// is none. The test is skipped where GLPK is not installed.
func glpsol(t *testing.T, format, model string) (int64, bool) {
	t.Helper()
	program, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not installed (Debian package glpk-utils): nothing was compared with it")
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "model"), filepath.Join(dir, "solution")
	if err := os.WriteFile(in, []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(program, format, in, "--write", out).CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%s\n%s", err, text, model)
	}
	solution, err := os.ReadFile(out)
	if err != nil {
		t.Fatalf("glpsol wrote no solution: %v\n%s", err, text)
	}
	for line := range strings.Lines(string(solution)) {
		// "s mip rows columns status objective", the status o for optimal and n for none.
		fields := strings.Fields(line)
		if len(fields) == 6 && fields[0] == "s" && fields[1] == "mip" {
			best, err := strconv.ParseFloat(fields[5], 64)
			if err != nil {
				t.Fatal(err)
			}
			return int64(best + 0.5), fields[4] == "o"
		}
	}
	t.Fatalf("no result in glpsol's solution:\n%s", solution)
	return 0, false
}

// partitionModel writes the problem in CPLEX LP form: one binary variable for each set, each
// element in one set taken.
func partitionModel(p *partition.Problem) string {
	var costs, names []string
	holds := make([][]string, p.Elements)
	for s := partition.Set(1); s < 1<<p.Elements; s++ {
		cost, ok := cheapest(p, s)
		if !ok {
			continue
		}
		name := fmt.Sprintf("x%d", s)
		names = append(names, name)
		costs = append(costs, fmt.Sprintf("%d %s", cost, name))
		for _, element := range s.Elements() {
			holds[element] = append(holds[element], "\n + "+name)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Minimize\n obj: 0 none + %s\nSubject To\n", strings.Join(costs, " +\n "))
	for element, sets := range holds {
		fmt.Fprintf(&b, " one%d: 0 none%s = 1\n", element, strings.Join(sets, ""))
	}
	fmt.Fprintf(&b, "Binary\n none\n %s\nEnd\n", strings.Join(names, "\n "))
	return b.String()
}

// TestMixedIntegerSolver compares with GLPK on problems that brute force no longer reaches.
func TestMixedIntegerSolver(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for n := range 12 {
		p := &partition.Problem{Elements: 8 + n%4, Modes: 2}
		if n%3 == 0 {
			anyCosts(r, p)
		} else {
			steppedCosts(r, p, 200)
		}
		if _, ok := cheapest(p, partition.SetOf(0)); !ok {
			continue
		}
		want, ok := glpsol(t, "--lp", partitionModel(p))
		got, err := p.Solve(context.Background(), partition.Options{})
		if (err == nil) != ok || ok && got.Cost != want {
			t.Errorf("case %d, %d elements: got %d, %v; glpsol says %d, %t", n, p.Elements, got.Cost, err, want, ok)
		}
	}
}

// binModel is the usual model of bin packing in MathProg: which item is in which bin, and which
// bins are used.
const binModel = `
set I; set B; param w{I}; param c;
var x{I,B} binary; var used{B} binary;
minimize bins: sum{b in B} used[b];
s.t. one{i in I}: sum{b in B} x[i,b] = 1;
s.t. fits{b in B}: sum{i in I} w[i] * x[i,b] <= c * used[b];
solve;
data;
`

// TestBinPackingSolver lets GLPK solve the smaller published instances, which it does in seconds,
// and compares.
func TestBinPackingSolver(t *testing.T) {
	for _, in := range instances(t) {
		if len(in.Items) > 12 {
			continue
		}
		var b strings.Builder
		b.WriteString(binModel)
		fmt.Fprintf(&b, "param c := %d;\nset B := 1 2 3 4 5;\nset I :=", in.Bin)
		for i := range in.Items {
			fmt.Fprintf(&b, " %d", i)
		}
		b.WriteString(";\nparam w :=")
		for i, w := range in.Items {
			fmt.Fprintf(&b, " %d %d", i, w)
		}
		b.WriteString(";\nend;\n")
		want, ok := glpsol(t, "--math", b.String())
		got, err := in.parts(1).Solve(context.Background(), partition.Options{})
		if err != nil || !ok || want != in.Bins || got.Cost != want {
			t.Errorf("%s: got %d, %v; glpsol says %d, %t; published %d", in.Name, got.Cost, err, want, ok, in.Bins)
		}
	}
}
