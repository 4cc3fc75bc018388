package show

import (
	"math/big"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"
	"lotcost/landed/money"
)

// The names in this file are promised to other programs. Amounts are decimal
// strings with exactly the digits of home.

type bookPeriod struct {
	Year       int    `json:"year"`
	Month      int    `json:"month,omitempty"`
	StockStart string `json:"stock_start"`
	Bought     string `json:"bought"`
	CostOfSold string `json:"cost_of_sold"`
	WrittenOff string `json:"written_off"`
	StockEnd   string `json:"stock_end"`
	Proceeds   string `json:"proceeds"`
	Fees       string `json:"fees"`
	Postage    string `json:"postage"`
	Tax        string `json:"value_added_tax,omitempty"`
	Profit     string `json:"profit"`
}

type bookStock struct {
	Haul   string `json:"haul"`
	Lot    string `json:"lot"`
	ID     string `json:"id"`
	Model  string `json:"model"`
	What   string `json:"what,omitempty"`
	State  string `json:"state"`
	Count  int64  `json:"count"`
	Cost   string `json:"cost"`
	Value  string `json:"value,omitempty"`
	EvenAt string `json:"even_at,omitempty"`
	Bought string `json:"bought"`
	Days   int64  `json:"days"`
}

type bookDouble struct {
	Model  string     `json:"model"`
	OnHand int64      `json:"on_hand"`
	Wanted int64      `json:"wanted"`
	Extra  int64      `json:"extra"`
	Sell   []bookCopy `json:"sell"`
}

type bookCopy struct {
	Haul  string `json:"haul"`
	ID    string `json:"id"`
	Count int64  `json:"count"`
	Cost  string `json:"cost_each"`
	Kept  bool   `json:"kept,omitempty"`
}

type bookSale struct {
	Haul    string `json:"haul"`
	Lot     string `json:"lot"`
	ID      string `json:"id"`
	Model   string `json:"model"`
	Date    string `json:"date"`
	Venue   string `json:"venue"`
	Count   int64  `json:"count"`
	Price   string `json:"price"`
	Charged string `json:"charged"`
	Fees    string `json:"fees"`
	Tax     string `json:"value_added_tax,omitempty"`
	Postage string `json:"postage"`
	Cost    string `json:"cost"`
	Profit  string `json:"profit"`
	Days    int64  `json:"days_held"`
}

type bookAccount struct {
	Name       string `json:"name"`
	Bought     string `json:"bought,omitempty"`
	CostOfSold string `json:"cost_of_sold"`
	WrittenOff string `json:"written_off,omitempty"`
	InStock    string `json:"in_stock,omitempty"`
	Sales      int64  `json:"sales"`
	Pieces     int64  `json:"pieces_sold"`
	Proceeds   string `json:"proceeds"`
	Fees       string `json:"fees"`
	Postage    string `json:"postage"`
	Profit     string `json:"profit"`
	Days       int64  `json:"days_held"`
}

type bookSaid struct {
	Said   string `json:"said"`
	Pieces int64  `json:"pieces"`
	Came   int64  `json:"came"`
}

type bookScore struct {
	Name   string `json:"name"`
	Pieces int64  `json:"pieces"`
	Came   int64  `json:"came"`
	Mean   string `json:"said"`
	Brier  string `json:"brier"`
}

// exactly prints an amount of a book, and of an empty one nothing at all.
func exactly(a money.Amount) string {
	if a.Currency() == 0 {
		return "0.00"
	}
	return a.Number()
}

// unlessNone leaves a tax out that nobody pays.
func unlessNone(a money.Amount) string {
	if a.Sign() == 0 {
		return ""
	}
	return a.Number()
}

func jsonPeriods(periods []book.Period) []bookPeriod {
	list := []bookPeriod{}
	for i := range periods {
		p := &periods[i]
		list = append(list, bookPeriod{p.Year, int(p.Month), p.Start.Number(), p.Bought.Number(), p.CostOfSold.Number(), p.WrittenOff.Number(), p.End.Number(),
			p.Proceeds().Number(), p.Fees.Number(), p.Postage.Number(), unlessNone(p.Tax), p.Profit().Number()})
	}
	return list
}

// costMethod names the method by which costs are reported.
func costMethod(r *book.Result) string {
	if r.Average {
		return "average"
	}
	return "own"
}

func yearsJSON(r *book.Result, months bool) any {
	out := struct {
		Years  []bookPeriod `json:"years"`
		Months []bookPeriod `json:"months,omitempty"`
		Cost   string       `json:"cost"`
	}{Years: jsonPeriods(r.Years), Cost: costMethod(r)}
	if months {
		out.Months = jsonPeriods(r.Months)
	}
	return out
}

func overviewJSON(r *book.Result) any {
	return struct {
		Home    string        `json:"home"`
		Hauls   int           `json:"hauls"`
		Cost    string        `json:"cost"`
		Pieces  int64         `json:"pieces"`
		Total   string        `json:"total"`
		Years   []bookPeriod  `json:"years"`
		Sellers []bookAccount `json:"sellers"`
		Venues  []bookAccount `json:"venues"`
		Doubles []bookDouble  `json:"doubles"`
		Brier   *string       `json:"brier"`
	}{r.Home.Code(), r.Hauls, costMethod(r), onHand(r), exactly(r.Total), jsonPeriods(r.Years), jsonAccounts(r.Sellers, true), jsonAccounts(r.Venues, false), jsonDoubles(r), score(r.Guesses.Brier)}
}

func jsonAccounts(accounts []book.Account, buys bool) []bookAccount {
	list := []bookAccount{}
	for i := range accounts {
		a := &accounts[i]
		j := bookAccount{Name: a.Name, CostOfSold: a.CostOfSold.Number(), Sales: a.Sales, Pieces: a.PiecesSold, Proceeds: a.Proceeds().Number(), Fees: a.Fees.Number(), Postage: a.Postage.Number(), Profit: a.Profit().Number(), Days: daysHeld(&a.Figures)}
		if buys {
			j.Bought, j.WrittenOff, j.InStock = a.Bought.Number(), a.WrittenOff.Number(), a.Left().Number()
		}
		list = append(list, j)
	}
	return list
}

func stockJSON(r *book.Result, on time.Time) any {
	list := []bookStock{}
	for i := range r.Stock {
		s := &r.Stock[i]
		list = append(list, bookStock{s.Haul, s.Lot, s.ID, s.Model, s.What, s.State.String(), s.Count, s.Cost.Number(), number(s.Value), evenCell(r, s).Text, dayText(s.Bought), s.Age(on)})
	}
	return struct {
		Total string      `json:"total"`
		Stock []bookStock `json:"stock"`
		Cost  string      `json:"cost"`
	}{exactly(r.Total), list, costMethod(r)}
}

func jsonDoubles(r *book.Result) []bookDouble {
	list := []bookDouble{}
	for i := range r.Doubles {
		d := &r.Doubles[i]
		j := bookDouble{d.Model, d.OnHand, d.Wanted, d.Extra, []bookCopy{}}
		for _, c := range d.Sell {
			j.Sell = append(j.Sell, bookCopy{c.Haul, c.ID, c.Count, c.Each.Number(), c.Kept})
		}
		list = append(list, j)
	}
	return list
}

func doublesJSON(r *book.Result) any {
	return struct {
		Doubles []bookDouble `json:"doubles"`
	}{jsonDoubles(r)}
}

func salesJSON(r *book.Result) any {
	list := []bookSale{}
	for i := range r.Sales {
		s := &r.Sales[i]
		list = append(list, bookSale{s.Haul, s.Lot, s.ID, s.Model, dayText(s.Day), s.Venue, s.Count, s.Price.Number(), s.Charged.Number(), s.Fees.Number(), unlessNone(s.Tax), s.Postage.Number(), s.Cost.Number(), s.Profit.Number(), s.Days()})
	}
	return struct {
		Sales []bookSale `json:"sales"`
		Cost  string     `json:"cost"`
	}{list, costMethod(r)}
}

// score prints a score with four decimals, half away from zero; nil of none.
func score(r *big.Rat) *string {
	if r == nil {
		return nil
	}
	text := r.FloatString(4)
	return &text
}

// chanceText prints a chance as it was said: exactly, where that ends.
func chanceText(r *big.Rat) string {
	const most = 18 // decimals of a chance
	text := r.FloatString(most)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func guessesJSON(g *book.Guesses) any {
	said := []bookSaid{}
	for i := range g.ByChance {
		said = append(said, bookSaid{chanceText(g.ByChance[i].Chance), g.ByChance[i].Pieces, g.ByChance[i].Came})
	}
	list := func(of []book.Scored) []bookScore {
		out := []bookScore{}
		for i := range of {
			s := &of[i]
			out = append(out, bookScore{s.Name, s.Pieces, s.Came, s.Mean.FloatString(4), *score(s.Brier)})
		}
		return out
	}
	return struct {
		Brier       *string     `json:"brier"`
		Items       int64       `json:"items"`
		ByChance    []bookSaid  `json:"by_chance"`
		Pieces      int64       `json:"pieces"`
		Came        int64       `json:"came"`
		Reliability *string     `json:"reliability"`
		Resolution  *string     `json:"resolution"`
		Uncertainty *string     `json:"uncertainty"`
		BySeller    []bookScore `json:"by_seller"`
		ByClass     []bookScore `json:"by_class"`
		ByModel     []bookScore `json:"by_model"`
	}{score(g.Brier), g.Items, said, g.Pieces, g.Came, score(g.Reliability), score(g.Resolution), score(g.Uncertainty), list(g.BySeller), list(g.ByClass), list(g.ByModel)}
}

// recordJSON is the record under the names of its columns.
func recordJSON(t *sheet.Table) any {
	list := []map[string]string{}
	for _, row := range t.Rows {
		piece := map[string]string{}
		for i, c := range t.Columns {
			if c.Key != "" {
				piece[c.Key] = row.Cell(i).Text
			}
		}
		list = append(list, piece)
	}
	return struct {
		Pieces []map[string]string `json:"pieces"`
	}{list}
}
