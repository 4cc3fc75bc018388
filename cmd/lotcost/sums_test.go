package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// answers are the sums that several commands said of one file, which must agree.
type answers struct {
	total     *big.Rat
	estimated *big.Rat // what the border adds in the statement, where no bill is
	home      string
	looked    map[string]int // how often the sums of a command were looked at
}

// reported is what is looked at of an answer in JSON, of whichever command.
type reported struct {
	Total   string
	Loss    string
	Home    string
	Charges []struct {
		Home      string
		Estimated bool
	}
	Bills []struct{}
	Lots  []struct{ ID, Cost string }
	Items []struct {
		ID, Lot, Cost string
		Moved         string `json:"taken_over"`
		Shares        map[string]string
		Each          []struct {
			Count int64
			Cost  string
		}
		Duty, Tax string // of duty
	}
	Currency    string
	Fees        []struct{ Amount string }
	Carry, Lost string
	Pieces      []struct{ Cost string }
	Sold        []struct {
		Cost     string
		Returned []struct {
			Cost       string
			WrittenOff string `json:"written_off"`
		}
	}
	Kept  struct{ Own string }
	Open  []string `json:"without_open_lots"`
	Plans []struct {
		Plan, Total, Saving, Loss string
		Lots                      []struct{ Cost string }
	}
	Exact    bool
	Bound    string
	Best     struct{ Bid, Cost, Profit string }
	Proceeds struct{ Mean string }
	Ladder   []struct{ Bid, Cost, Profit string }
}

// byteOrderMark begins a table in the marks of a country with decimal commas.
const byteOrderMark = "\ufeff"

// take reads the answer to one command line, which stands for others alike.
func (a *answers) take(line string, args []string, out []byte) error {
	at := slices.Index(args, "--format") + 1
	if at == 0 || at == len(args) || slices.Contains(args, "-o") {
		return nil
	}
	switch args[at] {
	case "json":
		if !json.Valid(out) {
			return errors.New("this is no JSON")
		}
		return a.takeJSON(line, out)
	case "csv":
		body, ofCommas := bytes.CutPrefix(out, []byte(byteOrderMark))
		in := csv.NewReader(bytes.NewReader(body))
		if ofCommas { // its figures are looked at where the examples are rewritten with commas
			in.Comma = ';'
		}
		rows, err := in.ReadAll()
		if err != nil || ofCommas {
			return err
		}
		return a.takeCSV(line, rows)
	}
	return nil
}

func (a *answers) takeJSON(line string, out []byte) error {
	command, rest, _ := strings.Cut(line, " ")
	var look func(*reported) error
	switch {
	case strings.Contains(rest, "--item ") || strings.Contains(rest, "--compare") || strings.Contains(rest, "--fact") || strings.Contains(rest, "--next"):
		return nil
	case command == "split":
		look = a.statement
	case command == "price":
		look = a.priced
	case command == "duty":
		look = a.border
	case command == "together":
		look = plans
	case command == "bid":
		look = bids
	default:
		return nil
	}
	var t reported
	if err := json.Unmarshal(out, &t); err != nil {
		return err
	}
	a.looked[command]++
	return look(&t)
}

// priced: what is to be sold, what was sold and did not come back, what is kept, what is lost and
// what was written off cost together what was paid.
func (a *answers) priced(t *reported) error {
	if t.Carry == "own" {
		var cost sum
		for _, p := range t.Pieces {
			cost.add(dec(p.Cost), 1)
		}
		for _, s := range t.Sold {
			cost.add(dec(s.Cost), 1)
			for _, back := range s.Returned {
				cost.add(dec(back.Cost), -1)
				cost.add(dec(back.WrittenOff), 1)
			}
		}
		cost.add(dec(t.Kept.Own), 1)
		cost.add(dec(t.Lost), 1)
		if !cost.is(dec(t.Total)) {
			return fmt.Errorf("%s was paid, but the pieces cost %s", t.Total, text(&cost.Rat))
		}
	}
	if len(t.Open) > 0 {
		return nil // as the book has it: the border and the bills are of what is bought
	}
	return a.all(dec(t.Total))
}

// border: the assessment is what stands in the statement, where no bill does, no
// lot has an open price and both are in one currency.
func (a *answers) border(t *reported) error {
	var all sum
	for _, item := range t.Items {
		all.add(dec(item.Duty), 1)
		all.add(dec(item.Tax), 1)
	}
	for _, fee := range t.Fees {
		all.add(dec(fee.Amount), 1)
	}
	if a.estimated != nil && len(t.Lots) == 0 && a.home == t.Currency && !all.is(a.estimated) {
		return fmt.Errorf("the border is %s, in the statement %s", text(&all.Rat), text(a.estimated))
	}
	return nil
}

// all takes what a command says that was paid.
func (a *answers) all(paid *big.Rat) error {
	if a.total != nil && a.total.Cmp(paid) != 0 {
		return fmt.Errorf("all that was paid is %s, and was %s", text(paid), text(a.total))
	}
	a.total = paid
	return nil
}

// statement: charges, items with the loss and lots with the loss sum to the
// total, the shares and the pieces of an item to its cost, the items of a lot to
// that of the lot.
func (a *answers) statement(t *reported) error {
	var charges, items, lots, border sum
	inLot := map[string]*sum{}
	for _, c := range t.Charges {
		charges.add(dec(c.Home), 1)
		if c.Estimated {
			border.add(dec(c.Home), 1)
		}
	}
	if a.home = t.Home; len(t.Bills) == 0 {
		a.estimated = &border.Rat
	}
	for _, lot := range t.Lots {
		lots.add(dec(lot.Cost), 1)
		inLot[lot.ID] = &sum{}
	}
	for _, item := range t.Items {
		var shares, pieces sum
		shares.add(dec(item.Moved), 1)
		for _, share := range item.Shares {
			shares.add(dec(share), 1)
		}
		for _, g := range item.Each {
			pieces.add(dec(g.Cost), g.Count)
		}
		if cost := dec(item.Cost); !shares.is(cost) || !pieces.is(cost) {
			return fmt.Errorf("%s costs %s, its shares %s, its pieces %s", item.ID, item.Cost, text(&shares.Rat), text(&pieces.Rat))
		}
		items.add(dec(item.Cost), 1)
		inLot[item.Lot].add(dec(item.Cost), 1)
	}
	for _, lot := range t.Lots {
		if !inLot[lot.ID].is(dec(lot.Cost)) {
			return fmt.Errorf("lot %s costs %s, its items %s", lot.ID, lot.Cost, text(&inLot[lot.ID].Rat))
		}
	}
	items.add(dec(t.Loss), 1)
	lots.add(dec(t.Loss), 1)
	if total := dec(t.Total); !charges.is(total) || !items.is(total) || !lots.is(total) {
		return fmt.Errorf("the total is %s, the charges %s, items and loss %s, lots and loss %s", t.Total, text(&charges.Rat), text(&items.Rat), text(&lots.Rat))
	}
	return a.all(dec(t.Total))
}

// plans: the lots of a way sum to its total, and no way is better than the best.
func plans(t *reported) error {
	best := dec(t.Plans[len(t.Plans)-1].Total)
	for _, p := range t.Plans {
		var lots sum
		for _, lot := range p.Lots {
			lots.add(dec(lot.Cost), 1)
		}
		lots.add(dec(p.Loss), 1)
		if p.Total != "" && (!lots.is(dec(p.Total)) || best.Cmp(dec(p.Total)) > 0) {
			return fmt.Errorf("%s: the total is %s, the lots %s, the best way %s", p.Plan, p.Total, text(&lots.Rat), text(best))
		}
	}
	if bound := dec(t.Bound).Cmp(best); bound > 0 || t.Exact && bound != 0 {
		return fmt.Errorf("the best way is %s, its bound %s", text(best), t.Bound)
	}
	return nil
}

// bids: a profit is what the pieces bring less what all costs.
func bids(t *reported) error {
	for _, p := range append(t.Ladder, t.Best) {
		var s sum
		s.add(dec(p.Cost), 1)
		s.add(dec(p.Profit), 1)
		if !s.is(dec(t.Proceeds.Mean)) {
			return fmt.Errorf("at %s: cost %s and profit %s are not %s", p.Bid, p.Cost, p.Profit, t.Proceeds.Mean)
		}
	}
	return nil
}

// takeCSV: the pieces' costs sum to what was paid, and so do the amounts; a row
// sums to its cost.
func (a *answers) takeCSV(line string, rows [][]string) error {
	if len(rows) == 0 {
		return errors.New("there is no head")
	}
	column := map[string]int{}
	for i, key := range rows[0] {
		column[key] = i
	}
	var all sum
	switch {
	case !strings.HasPrefix(line, "split") || strings.Contains(line, "--item ") || strings.Contains(line, "--compare"):
		return nil
	case strings.Contains(line, "--paid"):
		for _, row := range rows[1:] {
			all.add(dec(row[column["home"]]), 1)
		}
	default:
		for _, row := range rows[1:] {
			var kinds, pieces sum
			for _, amount := range row[column["cost"]+1 : column["what"]] {
				kinds.add(dec(amount), 1)
			}
			count, err := strconv.ParseInt(row[column["count"]], 10, 64)
			if err != nil {
				return err
			}
			pieces.add(dec(row[column["each"]]), count)
			cost := dec(row[column["cost"]])
			if !kinds.is(cost) || !pieces.is(cost) {
				return fmt.Errorf("row %q costs %s by its kinds, %s by its pieces", row, text(&kinds.Rat), text(&pieces.Rat))
			}
			all.add(cost, 1)
		}
	}
	return a.all(&all.Rat)
}

// sum is a sum of amounts.
type sum struct{ big.Rat }

func (s *sum) add(amount *big.Rat, times int64) {
	s.Add(&s.Rat, new(big.Rat).Mul(amount, big.NewRat(times, 1)))
}

func (s *sum) is(amount *big.Rat) bool { return s.Cmp(amount) == 0 }

// dec reads an amount; one that is not said is none.
func dec(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(cmp.Or(text, "0"))
	if !ok {
		panic(fmt.Sprintf("%q is no amount", text))
	}
	return r
}

func text(r *big.Rat) string { return r.FloatString(4) }
