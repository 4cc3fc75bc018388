package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// TestWrongLines: what makes no sense on the command line, or what it names and
// cannot be used, is said in one line, and nothing is written.
func TestWrongLines(t *testing.T) {
	files := readTree(t, "../../examples")
	files["t.csv"] = readAll(t, "../../testdata/rates/eurofxref-2025.csv")["eurofxref-2025.csv"]
	t.Chdir(t.TempDir())
	files["inland.yaml"] = "{lotcost: 1, from: DE, to: FR, home: EUR, lots: [{id: a, price: 9, items: [{id: b}]}]}\n"
	put(t, files)
	const haul = "examples/three-lots/haul.yaml"
	for _, c := range []struct{ line, want string }{
		{"bid --value 12 --home CAD --in CAD --fact", "error: --fact needs a lot file: name the one that says what was found and sold"},
		{"bid --value 12 --home CAD --in CAD --rules no.yaml", "no.yaml: there is no such file: check the name"},
		{"bid examples/before-bidding/haul.yaml --at much", `error: --at: "much" holds no number: write an amount and its currency, as in 4200 JPY`},
		{"bid examples/before-bidding/haul.yaml --risk 120%", "--risk: a chance of 120% makes no sense: write the greatest chance of a loss you take, from 0% to 100%"},
		{"bid examples/before-bidding/haul.yaml --goal-return -100%", "--goal-return: -100% on cost makes no sense: write what is to be gained on the cost, as in 30%"},
		{"bid examples/before-bidding/haul.yaml --budget '200 USD'", "--budget: 200.00 USD is not in CAD: write it in the currency of your books"},
		{"bid examples/before-bidding/haul.yaml --time-limit 90", `error: --time-limit: "90" is no length of time: write --time-limit 90s`},
		{"bid examples/before-bidding/haul.yaml --decimal comme", `error: --decimal: "comme" is neither comma nor point: write --decimal comma`},
		{"bid examples/before-bidding/haul.yaml --time-limit long", `error: --time-limit: "long" is no length of time: write --time-limit 90s`},
		{"bid examples/before-bidding/haul.yaml --fact=maybe", `error: --fact: "maybe" is neither true nor false: write --fact alone`},
		{"desk examples --port x", `error: --port: "x" is not a whole number: write --port 8080`},
		{"duty inland.yaml", "inland.yaml:1:20: customs: there is no border from DE to FR, so that nothing is asked at one: correct from or to if the goods come over one"},
		{"duty " + haul + " --rules no.yaml", "no.yaml: there is no such file: check the name"},
		{"new", "error: new needs the name of one file to write: lotcost new haul.yaml"},
		{"new a b", "error: new needs the name of one file to write: lotcost new haul.yaml"},
		{"price examples/bench-day/haul.yaml --item jack --at much", `error: --at: "much" holds no number: write an amount and its currency, as in 4200 JPY`},
		{"rates convert '4200 JPY'", "error: rates convert needs an amount and a currency: lotcost rates convert '4200 JPY' CAD, the amount in quotes"},
		{"rates convert '-5 JPY' CAD", `error: "-5 JPY" begins as a flag does, with a dash: write "5 JPY", or all flags first and then -- "-5 JPY" and the currency`},
		{"rates convert -5USD CAD --rate '1 USD = 2 CAD'", `error: "-5USD" begins as a flag does, with a dash: write "5USD", or all flags first and then -- "-5USD" and the currency`},
		{"rates convert -x CAD", "error: unknown shorthand flag: 'x' in -x: see --help"},
		{"rates convert 4200 CAD", `"4200" has no currency: write the code behind it, as in 4200 JPY`},
		{"rates convert '4200 JPY' CAN", `currency "CAN" is not an ISO 4217 code: did you mean CAD?`},
		{"rates convert '4200 JPY' CAD", `no rate from JPY to CAD: give --rate '100 JPY = … CAD', or a --table that holds it`},
		{"rates convert '4200 JPY' CAD --date 3.10.2026", `error: "3.10.2026" is not written as year-month-day: write --date 2026-10-03`},
		{"rates convert '4200 JPY' CAD --spread lots", `error: --spread: "lots" is not a percentage: write it with its sign, as in 12.5%`},
		{"rates convert '4200 JPY' CAD --rate '100 JPY'", `error: --rate: equation "100 JPY": "100 JPY" does not have one equals sign: write it like "100 JPY = 0.93 CAD"`},
		{"rates convert '4200 JPY' CAD --rate '100 JPY = 0.93 CAD' --rate '1 CAD = 200 JPY'", `equation "1 CAD = 200 JPY" contradicts "100 JPY = 0.93 CAD": keep one of them`},
		{"rates convert '9000000000000000000 JPY' CAD --rate '1 JPY = 90000 CAD'", "amount is too large to be held exactly"},
		{"rates convert '4200 JPY' XOF --table t.csv --date 2025-05-09", `no rate from JPY to XOF: give --rate '100 JPY = … XOF', or a --table that holds it`},
		{"rates convert '4200 JPY' CAD --table no.csv", "no.csv: there is no such file: check the name"},
		{"rates convert '4200 JPY' CAD --table " + haul, haul + `:1:1: "lotcost: 1" is not the column Date: expected a header such as Date,USD,JPY`},
		{"rates show JPY CAN", `currency "CAN" is not an ISO 4217 code: did you mean CAD?`},
		{"rates list " + haul, haul + `:1:1: "lotcost: 1" is not the column Date: expected a header such as Date,USD,JPY`},
		{"rates list a.csv b.csv", "error: rates list takes one table: name one file"},
		{"rates fetch now", "error: rates fetch takes no argument: give the address as --url ADDRESS"},
		{"rules CA US", "error: rules takes one territory: lotcost rules CA"},
		{"rules UK", `error: "UK" is no code of a territory: did you mean GB?`},
		{"rules mx.yaml", "error: mx.yaml is a file, not a territory: name the one whose rules it holds, as in lotcost rules MX --rules mx.yaml"},
		{"rules germany", `error: "GERMANY" is no code of a territory: did you mean DE?`},
		{"help items", `error: there is no command or topic "items": did you mean lotcost help file items?`},
		{"split " + haul + " -o costs.pdf", "error: -o costs.pdf would be a printed page, which cannot be written yet: name a .csv, .json, .md, .xlsx or .html file, or another for the table"},
		{"rules CA --on 3.10.26", `error: "3.10.26" is not written as year-month-day: write 2026-10-03`},
		{"rules CA --on 2026-10-03 --and 3.10.26", `error: "3.10.26" is not written as year-month-day: write 2026-10-03`},
		{"split " + haul + " --by weight --compare", "error: --compare and --by do not go together: leave out one of them"},
		{"split " + haul + " --price 12", "error: --price stands in for a lot file, but " + haul + " is one: leave out one of them"},
		{"split " + haul + " --format word", `error: unknown format "word": write one of table, csv, json, markdown, xlsx, html`},
		{"split --price 12", "error: --price needs an item list: add --items items.csv"},
		{"split --items examples/one-lot/items.csv --shipping 5", "error: unknown flag: --shipping: did you mean --freight?"},
		{"bid --count 2", "error: unknown flag: --count: did you mean --pieces?"},
		{"bid --postage 2", "error: unknown flag: --postage: did you mean --freight?"},
		{"bid --home-currency EUR", "error: unknown flag: --home-currency: did you mean --home?"},
		{"split --items examples/one-lot/items.csv --home CAD --price 5200JPY --rate '100 JPY is 0.93 CAD'", `--rate: "100 JPY is 0.93 CAD" is not written as a rate: write 100 JPY = 0.93 CAD`},
		{"split --items examples/one-lot/items.csv --home CAD --price 5 --from Japan --to DE", `--from: "Japan" is not a country code: did you mean JP?`},
		{"split --items examples/one-lot/items.csv --home CAD --price 5 --premium 10", `--premium: "10" is not a percentage: write 10%`},
		{"split --items examples/one-lot/items.csv --home dollars --price 5", `--home: currency "dollars" is not an ISO 4217 code: did you mean USD?`},
		{"split --items examples/one-lot/items.csv --home CAD --price $45", `--price: "$45" is ambiguous, 29 currencies use the sign '$': write 45 CAD or 45 USD`},
		{"split --items examples/one-lot/items.csv --home CAD", "--price: price is missing: write what the lot cost, as in --price '4200 JPY' (0 if it came free)"},
		{"split --items examples/one-lot/items.csv --price 5 --home CAD --rules no.yaml", "no.yaml: there is no such file: check the name"},
		{"together " + haul + " --rules no.yaml", "no.yaml: there is no such file: check the name"},
		{"together " + haul + " --plan one", "error: --plan says which way is written, but nothing is: add --apply OUT"},
		{"together " + haul + " --next '0 g'", "error: --next: a weight of zero makes no sense: write it as in --next '1.2 kg'"},
		{"together " + haul + " --next '1 kg' --next-size big", `error: --next-size: size "big": no sides: give three sides and a unit, as in 30x20x10 cm`},
		{"together " + haul + " --next '1 kg' --next-price dear", `error: --next-price: "dear" holds no number: write an amount and its currency, as in 4200 JPY`},
		{"together " + haul + " --next '1 kg' --next-price -3", "error: --next-price is negative: write what the lot may go for, 0 or more"},
	} {
		code, said := quietly(shellWords(c.line))
		if first, rest, _ := strings.Cut(said, "\n"); code != exitInput || first != c.want || strings.Count(rest, "\n") != 1 {
			t.Errorf("%s: exit %d:\n%s\nwant\n%s", c.line, code, said, c.want)
		}
	}
}

// TestManyFaults: of many faults the first are reported, and how many more there are.
func TestManyFaults(t *testing.T) {
	for _, c := range []struct {
		lots int
		last string
	}{{41, "… and 1 more\nerror: 41 errors, nothing was written\n"}, {2000, "error: more than 1000 errors, nothing was written\n"}} {
		t.Chdir(t.TempDir())
		text := "lotcost: 1\nhome: CAD\nlots:\n"
		for i := range c.lots {
			text += fmt.Sprintf("  - {id: lot-%d, price: few, items: [{id: piece-%d}]}\n", i, i)
		}
		if err := os.WriteFile("haul.yaml", []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if code, said := quietly([]string{"split", "haul.yaml"}); code != exitInput || !strings.HasSuffix(said, c.last) {
			t.Errorf("exit %d:\n%s", code, said)
		}
	}
}

// What a shell parted at its space is reported as one, in quotes.
func TestParted(t *testing.T) {
	for line, want := range map[string]string{
		"split --items list.csv --price 45 GBP --home EUR":      `--price "45 GBP"`,
		"split --items list.csv --price=45,50 gbp":              `--price "45,50 GBP"`,
		"bid --in JPY --value 120 EUR --freight 14 GBP":         `--value "120 EUR"`,
		"split --items list.csv --price 4200JPY --premium 10 %": "--premium 10%",
	} {
		code, said := quietly(strings.Fields(line))
		if first, _, _ := strings.Cut(said, "\n"); code != exitInput || first != "error: the shell parts what has a space in it: write "+want {
			t.Errorf("%s: exit %d: %s", line, code, said)
		}
	}
	for _, line := range []string{"rates convert --spread 2 EUR USD", "bid --pieces 3 haul.yaml", "split --price 45 --home EUR", "split haul.yaml GBP"} {
		if text, is := parted(strings.Fields(line)); is {
			t.Errorf("%s: %s", line, text)
		}
	}
}

// The shell of Windows leaves single quotes and parts the text in them.
func TestSingleQuoted(t *testing.T) {
	for _, args := range [][]string{{"split", "--price", "'5200", "JPY'"}, {"split", "--price='5200", "JPY'", "--home", "CAD"}, {"rates", "convert", "'5200", "JPY'", "CAD"}} {
		code, said := quietly(args)
		if first, _, _ := strings.Cut(said, "\n"); code != exitInput || first != `error: the shell of Windows takes no single quotes: write "5200 JPY"` {
			t.Errorf("%q: exit %d: %s", args, code, said)
		}
	}
	for _, args := range [][]string{{"split", "o'clock.yaml"}, {"split", "'haul.yaml"}, {"split", "--price", "5'200 JPY'"}} {
		if text, quoted := singleQuoted(args); quoted {
			t.Errorf("%q: %q", args, text)
		}
	}
}
