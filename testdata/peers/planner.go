package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// planner sets "lotcost together" without a border beside solvers of mixed integer programs, as
// whole processes on the same problem. Which lot is in which parcel suits many lots that fit
// together; where few do, one variable for each set that can be sent is much the shorter model.
func planner(binary, folder string) []contest {
	var all []contest
	for _, p := range []sending{
		newSending(7, 3_000, sending.places),
		newSending(12, 5_000, sending.sets),
		newSending(20, 3_000, sending.sets),
	} {
		for _, s := range solvers {
			all = append(all, p.contest(s, binary, folder))
		}
	}
	return all
}

// solver is a program that reads a model in the form of CPLEX and writes the best value to a file.
type solver struct {
	name string
	args func(model, answer string) []string
	best *regexp.Regexp // the value in that file
}

var solvers = []solver{
	{"glpsol", func(model, answer string) []string { return []string{"--lp", model, "--write", answer} }, regexp.MustCompile(`(?m)^s mip \d+ \d+ o (\S+)`)},
	{"cbc", func(model, answer string) []string { return []string{model, "solve", "solution", answer} }, regexp.MustCompile(`^Optimal - objective value (\S+)`)},
	{"highs", func(model, answer string) []string { return []string{"--solution_file", answer, model} }, regexp.MustCompile(`(?m)^Optimal[^#]*# Primal solution values\s+Feasible\s+Objective (\S+)`)},
}

// sending is lots of so many grams, and what a parcel of so many costs at most services.
type sending struct {
	lots  []int
	steps []step
	model func(sending) string
}

// step is what a service asks for a parcel up to so many grams, in cents.
type step struct{ service, upTo, price int }

func newSending(lots, heaviest int, model func(sending) string) sending {
	random := rand.New(rand.NewPCG(5, uint64(lots)))
	s := sending{model: model}
	for range lots {
		s.lots = append(s.lots, 600+random.IntN(1_500))
	}
	const services, each = 5, 4
	for service := range services {
		for k := range each {
			upTo := heaviest * (k + 1) / each * (service + 2) / (services + 1)
			s.steps = append(s.steps, step{service, upTo, 700 + 310*service + upTo*(95-11*service)/100 + random.IntN(60)})
		}
	}
	return s
}

// price is the least for so many grams, if any service takes them.
func (s sending) price(grams int) (cents int, ok bool) {
	cents = math.MaxInt
	taken := -1 // a service asks what its first step asks that holds the parcel
	for _, step := range s.steps {
		if grams <= step.upTo && step.service != taken {
			cents, taken = min(cents, step.price), step.service
		}
	}
	return cents, taken >= 0
}

// places is the model of which lot is in which parcel: a lot is in none that comes after its own.
func (s sending) places() string {
	var cost, rows, names strings.Builder
	for lot := range s.lots {
		fmt.Fprintf(&rows, " one%d:", lot)
		for parcel := range lot + 1 {
			fmt.Fprintf(&rows, " + x%dp%d", lot, parcel)
			fmt.Fprintf(&names, " x%dp%d\n", lot, parcel)
		}
		rows.WriteString(" = 1\n")
	}
	for parcel := range s.lots {
		var fits, sent strings.Builder
		for lot := parcel; lot < len(s.lots); lot++ {
			fmt.Fprintf(&fits, " + %d x%dp%d", s.lots[lot], lot, parcel)
		}
		for k, step := range s.steps {
			fmt.Fprintf(&cost, " + %d y%dp%d\n", step.price, k, parcel)
			fmt.Fprintf(&fits, " - %d y%dp%d", step.upTo, k, parcel)
			fmt.Fprintf(&sent, " + y%dp%d", k, parcel)
			fmt.Fprintf(&names, " y%dp%d\n", k, parcel)
		}
		fmt.Fprintf(&rows, " fits%d:%s <= 0\n sent%d:%s <= 1\n", parcel, &fits, parcel, &sent)
	}
	return fmt.Sprintf("Minimize\n obj:%sSubject To\n%sBinary\n%sEnd\n", &cost, &rows, &names)
}

// sets is the model of which sets of lots are sent.
func (s sending) sets() string {
	var cost, names strings.Builder
	holds := make([]strings.Builder, len(s.lots))
	for set := 1; set < 1<<len(s.lots); set++ {
		grams := 0
		for lot, w := range s.lots {
			grams += w * (set >> lot & 1)
		}
		cents, ok := s.price(grams)
		if !ok {
			continue
		}
		fmt.Fprintf(&cost, " + %d x%d\n", cents, set)
		fmt.Fprintf(&names, " x%d\n", set)
		for lot := range s.lots {
			if set>>lot&1 == 1 {
				fmt.Fprintf(&holds[lot], " + x%d\n", set)
			}
		}
	}
	var rows strings.Builder
	for lot := range holds {
		fmt.Fprintf(&rows, " one%d:%s = 1\n", lot, &holds[lot])
	}
	return fmt.Sprintf("Minimize\n obj:%sSubject To\n%sBinary\n%sEnd\n", &cost, &rows, &names)
}

// lotFile is the same as a lot file.
func (s sending) lotFile() string {
	var b strings.Builder
	b.WriteString("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nlots:\n")
	for lot, w := range s.lots {
		fmt.Fprintf(&b, "  - {id: lot-%d, price: 10, items: [{id: plane-%d, weight: %d g, value: 10}]}\n", lot, lot, w)
	}
	b.WriteString("sending:\n  services:\n")
	last := -1
	for _, step := range s.steps {
		if step.service != last {
			last = step.service
			fmt.Fprintf(&b, "    - name: service-%d\n      currency: CAD\n      steps:\n", last)
		}
		fmt.Fprintf(&b, "        - {up-to: %d g, price: %d.%02d}\n", step.upTo, step.price/100, step.price%100)
	}
	return b.String()
}

func (s sending) contest(by solver, binary, folder string) contest {
	c := contest{name: fmt.Sprintf("parcels of %d lots: %s", len(s.lots), by.name), needs: by.name}
	file, model, answer := filepath.Join(folder, "lots.yaml"), filepath.Join(folder, "model.lp"), filepath.Join(folder, "answer")
	c.before = func() error {
		return errors.Join(os.WriteFile(file, []byte(s.lotFile()), 0o600), os.WriteFile(model, []byte(s.model(s)), 0o600))
	}
	var ours, said bytes.Buffer
	c.ours = run(&ours, binary, "together", file, "--format", "json")
	c.theirs = run(&said, by.name, by.args(model, answer)...)
	c.equal = func() error {
		text, err := os.ReadFile(answer)
		if err != nil {
			return fmt.Errorf("%w: %s", err, &said)
		}
		return sameFreight(ours.Bytes(), by.best.FindSubmatch(text))
	}
	return c
}

// sameFreight compares what the best plan costs, proven, with the best value of a solver in cents.
func sameFreight(ours []byte, theirs [][]byte) error {
	var report struct {
		Exact bool
		Plans []struct{ Plan, Freight string }
	}
	if err := json.Unmarshal(ours, &report); err != nil {
		return err
	}
	if theirs == nil {
		return errors.New("the solver names no best value")
	}
	best, err := strconv.ParseFloat(string(theirs[1]), 64)
	if err != nil {
		return err
	}
	want := fmt.Sprintf("%.2f", best/100)
	for _, p := range report.Plans {
		if p.Plan == "best" && p.Freight == want && report.Exact {
			return nil
		}
	}
	return fmt.Errorf("the solver says %s, and the plans are %v, proven: %t", want, report.Plans, report.Exact)
}
