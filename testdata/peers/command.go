package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// processes sets the command beside scripts and solvers, as whole processes that read and write in
// a folder.
func processes(folder string) ([]contest, error) {
	binary := filepath.Join(folder, "lotcost")
	if out, err := exec.Command("go", "build", "-C", "../..", "-o", binary, "./cmd/lotcost").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	return append(planner(binary, folder), list(binary, folder), hauls(binary, folder, "inland", ""), hauls(binary, folder, "at a border", atBorder)), nil
}

// run fills a buffer with what a process writes.
func run(out *bytes.Buffer, name string, args ...string) func() error {
	return func() error {
		out.Reset()
		c := exec.Command(name, args...)
		var said bytes.Buffer
		c.Stdout, c.Stderr = out, &said
		if err := c.Run(); err != nil {
			return fmt.Errorf("%w: %s", err, &said)
		}
		return nil
	}
}

func list(binary, folder string) contest {
	const items = 100_000
	random := rand.New(rand.NewPCG(1, 2))
	var text strings.Builder
	text.WriteString("id,what,count,weight,value\n")
	for i := range items {
		fmt.Fprintf(&text, "plane-%d,\"Plane, iron, no %d\",%d,%d g,%d.%02d CAD\n", i, i, 1+random.IntN(4), 100+random.IntN(3000), 1+random.IntN(90), random.IntN(100))
	}
	path := filepath.Join(folder, "items.csv")
	var ours, theirs bytes.Buffer
	c := contest{name: fmt.Sprintf("a list of %d items, CSV to CSV: a script", items), needs: "python3"}
	c.before = func() error { return os.WriteFile(path, []byte(text.String()), 0o600) }
	c.ours = run(&ours, binary, "split", "--items", path, "--price", "39060.00 CAD", "--freight", "68.82 CAD", "--home", "CAD", "--from", "CA", "--to", "CA",
		"--format", "csv", "--columns", "id,count,cost,price,freight")
	c.theirs = run(&theirs, c.needs, "list.py", path, "3906000", "6882")
	c.equal = func() error {
		return sameCosts(ours.Bytes(), theirs.Bytes())
	}
	return c
}

// sameCosts compares what items cost: a line of ours for the pieces of an item that cost the same.
func sameCosts(ours, theirs []byte) error {
	sums := func(text []byte) (map[string]int64, error) {
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil || len(rows) < 2 {
			return nil, fmt.Errorf("%d rows, %v", len(rows), err)
		}
		all := map[string]int64{}
		for _, row := range rows[1:] {
			cost, err := strconv.ParseInt(strings.Replace(row[2], ".", "", 1), 10, 64)
			if err != nil {
				return nil, err
			}
			all[row[0]] += cost
		}
		return all, nil
	}
	a, err := sums(ours)
	if err != nil {
		return err
	}
	b, err := sums(theirs)
	if err != nil {
		return err
	}
	for id, cost := range b {
		if a[id] != cost {
			return fmt.Errorf("%s costs %d, and %d by the script", id, a[id], cost)
		}
	}
	return nil
}

// atBorder is what a haul says that crosses one.
const atBorder = `"date":"2026-10-03","from":"JP","to":"CA-ON","customs":{"use":"personal","by":"post","class":"tool","classes":{"tool":{"duty":"6.5%"}}},`

// hauls sets many hauls beside a script that does no more than read and write the JSON.
func hauls(binary, folder, what, border string) contest {
	const n = 2_000
	var text strings.Builder
	for i := range n {
		fmt.Fprintf(&text, `{"lotcost":1,"title":"Haul %d","home":"CAD",%s"exchange":{"spread":"2.5%%","rates":["100 JPY = 0.93 CAD"]},"lots":[{"id":"crate","price":"%d JPY","premium":"10%%","items":[`, i, border, 4000+i)
		for item := range 10 {
			fmt.Fprintf(&text, `%s{"id":"item-%d","what":"Plane, untested","count":2,"weight":"%d g","value":"%d CAD"}`, map[bool]string{true: ","}[item > 0], item, 300+item*i%900, 9+item)
		}
		text.WriteString(`]}],"charges":[{"kind":"freight","amount":"7400 JPY"}]}` + "\n")
	}
	path := filepath.Join(folder, what+".ndjson")
	var ours, theirs bytes.Buffer
	c := contest{name: fmt.Sprintf("%d hauls of ten items, %s, JSON to JSON: read and written alone", n, what), needs: "python3"}
	c.before = func() error { return os.WriteFile(path, []byte(text.String()), 0o600) }
	c.ours = run(&ours, binary, "batch", path)
	c.theirs = run(&theirs, c.needs, "-c", "import json, sys\nfor line in open(sys.argv[1]): print(json.dumps(json.loads(line)))", path)
	c.equal = func() error {
		a, b := bytes.Split(ours.Bytes(), []byte("\n")), bytes.Split(theirs.Bytes(), []byte("\n"))
		if len(a) != n+1 || len(b) != n+1 {
			return fmt.Errorf("%d and %d lines", len(a), len(b))
		}
		for i := range n {
			var x, y struct{ Title string }
			if json.Unmarshal(a[i], &x) != nil || json.Unmarshal(b[i], &y) != nil || x != y {
				return fmt.Errorf("line %d: %s", i+1, a[i])
			}
		}
		return nil
	}
	return c
}
