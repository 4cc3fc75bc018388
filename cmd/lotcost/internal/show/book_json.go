package show

import (
	"cmp"
	"math/big"
	"strconv"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"
	"lotcost/landed/money"
)

// exactly is a sum of a book, and of an empty one nothing at all.
func exactly(a money.Amount) string {
	return cmp.Or(number(a), "0.00")
}

// unlessNone leaves out what is nothing, as a tax that nobody pays.
func unlessNone(a money.Amount) money.Amount {
	if a.Sign() == 0 {
		return money.Amount{}
	}
	return a
}

func periodsJSON(periods []book.Period) []object {
	return sheet.Each(periods, func(p *book.Period) object {
		from := sheet.Either(p.Month == 0 && !isCalendar(p.From), p.From, time.Time{})
		return object{"year", p.From.Year(), "from?", from, "month?", int(p.Month), "stock_start", p.Start, "bought", p.Bought, "cost_of_sold", p.Cost, "written_off", p.WrittenOff, "stock_end", p.End,
			"proceeds", p.Proceeds(), "fees", p.Fees, "postage", p.Sending, "value_added_tax?", unlessNone(p.VAT), "profit", p.Profit(), "refunded?", unlessNone(p.Refunded)}
	})
}

// costMethod names the method by which costs are reported.
func costMethod(r *book.Result) string {
	return sheet.Either(r.Average, "average", "own")
}

func yearsJSON(r *book.Result, months bool) any {
	var list []object
	if months {
		list = periodsJSON(r.Months)
	}
	return object{"years", periodsJSON(r.Years), "months?", list, "cost", costMethod(r)}
}

func overviewJSON(r *book.Result) any {
	return object{"home", r.Home, "hauls", r.Hauls, "cost", costMethod(r), "pieces", onHand(r), "total", exactly(r.Total), "years", periodsJSON(r.Years),
		"sellers", accountsJSON(r.Sellers, true), "venues", accountsJSON(r.Venues, false), "doubles", doublesJSON(r), "brier", score(r.Guesses.Brier)}
}

func accountsJSON(accounts []book.Account, buys bool) []object {
	return sheet.Each(accounts, func(a *book.Account) object {
		var bought, lost, left money.Amount
		if buys {
			bought, lost, left = a.Bought, a.WrittenOff, a.Left()
		} else {
			lost = unlessNone(a.WrittenOff) // of what came back
		}
		return object{"name", a.Name, "bought?", bought, "cost_of_sold", a.Cost, "written_off?", lost, "in_stock?", left, "sales", a.Sales, "pieces_sold", a.PiecesSold,
			"proceeds", a.Proceeds(), "fees", a.Fees, "postage", a.Sending, "profit", a.Profit(), "days_held", daysHeld(&a.Figures),
			"refunded?", unlessNone(a.Refunded), "pieces_returned?", a.PiecesReturned}
	})
}

func stockJSON(r *book.Result, on time.Time) any {
	return object{"total", exactly(r.Total), "stock", sheet.Each(r.Stock, func(s *book.Stock) object {
		return object{"haul", s.Haul, "lot", s.Lot, "id", s.ID, "model", s.Model, "what?", s.What, "state", s.State, "count", s.Count, "cost", s.Cost, "value?", s.Value,
			"even_at?", evenText(r, s), "bought", s.Bought, "days", s.Age(on)}
	}), "cost", costMethod(r)}
}

func doublesJSON(r *book.Result) []object {
	return sheet.Each(r.Doubles, func(d *book.Double) object {
		return object{"model", d.Model, "on_hand", d.OnHand, "wanted", d.Wanted, "extra", d.Extra, "sell", sheet.Each(d.Sell, func(c *book.Copy) object {
			return object{"haul", c.Haul, "id", c.ID, "count", c.Count, "cost_each", c.Each, "kept?", c.Kept}
		})}
	})
}

func salesJSON(r *book.Result) any {
	return object{"sales", sheet.Each(r.Sales, func(s *book.Sale) object {
		return object{"haul", s.Haul, "lot", s.Lot, "id", s.ID, "model", s.Model, "date", s.Day, "venue", s.Venue, "count", s.Count, "price", s.Price, "charged", s.Charged, "fees", s.Fees,
			"value_added_tax?", unlessNone(s.VAT), "postage", s.Sending, "cost", s.Cost, "profit", s.Profit(), "days_held", s.Days(),
			"return_of?", day(s.ReturnOf), "written_off?", unlessNone(s.WrittenOff)}
	}), "cost", costMethod(r)}
}

// score prints a score with four decimals; nil of none.
func score(r *big.Rat) any { return decimals(r, 4) }

// chanceText prints a chance as it was said: exactly, where that ends.
func chanceText(r *big.Rat) string {
	const most = 18 // decimals of a chance
	return strings.TrimRight(strings.TrimRight(r.FloatString(most), "0"), ".")
}

func guessesJSON(g *book.Guesses) any {
	scored := func(list []book.Scored) []object {
		return sheet.Each(list, func(s *book.Scored) object {
			return object{"name", s.Name, "pieces", s.Pieces, "came", s.Came, "said", s.Mean.FloatString(4), "brier", score(s.Brier)}
		})
	}
	said := sheet.Each(g.ByChance, func(s *book.Score) object {
		return object{"said", chanceText(s.Mean), "pieces", s.Pieces, "came", s.Came}
	})
	return object{"brier", score(g.Brier), "items", g.Items, "by_chance", said, "pieces", g.Pieces, "came", g.Came, "reliability", score(g.Reliability), "resolution", score(g.Resolution),
		"uncertainty", score(g.Uncertainty), "by_seller", scored(g.BySeller), "by_class", scored(g.ByClass), "by_model", scored(g.ByModel)}
}

// recordJSON is the record under the names of its columns, the number of pieces as a number.
func recordJSON(t *sheet.Table) any {
	return object{"pieces", sheet.Each(t.Rows, func(row *sheet.Row) (piece object) {
		for i, c := range t.Columns {
			switch text := row.Cell(i).Text; c.Key {
			case "":
			case "count":
				pieces, _ := strconv.ParseInt(text, 10, 64) // as it was written
				piece = append(piece, c.Key, pieces)
			default:
				piece = append(piece, c.Key, text)
			}
		}
		return piece
	})}
}
