package lotfile

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"golang.org/x/text/currency"
	"golang.org/x/text/language"
)

// What is here changes the meaning of a figure in silence: it is refused where
// it can be read two ways, and else a warning.

// price reads the price of a lot. Whether a bare number can be one is known
// when all amounts have been read; one below zero is none in any currency.
func (r *reader) price(n input.Node) money.Amount {
	n = n.Figure()
	text, ok := textOf(n)
	bare := ok && !strings.ContainsFunc(text, isCurrencyMark)
	if bare {
		if _, err := amountsIn(r.home)(text); err != nil { // of the other currency it may be one
			r.bare = append(r.bare, n)
			return money.Amount{}
		}
	}
	a := r.amount(n)
	if bare && a.Sign() > 0 {
		r.bare = append(r.bare, n)
	}
	return a
}

// checkBare refuses bare prices where another lot, a charge or a bid is in a
// foreign currency: they may be in that one.
func (r *reader) checkBare(h *File) {
	foreign := foreignOf(h)
	for _, n := range r.bare {
		text, _ := n.Text()
		remedy := "write " + text + " " + h.Home.Code()
		other := text + " " + foreign.Code()
		_, not := amountsIn(h.Home)(text)
		_, neither := money.Parse(other)
		switch {
		case not != nil && (foreign == 0 || neither != nil):
			r.amount(n)
			continue
		case foreign == 0:
			continue
		case not != nil:
			n.Fail(fmt.Sprintf("%s is no amount in %s, but in %s, which stands elsewhere", quote(text), h.Home, foreign), "write "+other)
			continue
		case neither == nil:
			remedy += " or " + other
		}
		n.Fail(fmt.Sprintf("%s may be in %s or in %s, which stands elsewhere", quote(text), h.Home, foreign), remedy)
	}
}

// taken reads what the bank took for what is never a refund.
func (r *reader) taken(n input.Node, asked money.Amount) money.Amount {
	a := r.settled(n)
	if asked.Sign() == 0 { // it may not be given
		asked = money.New(1, r.home)
	}
	checkTaken(n, a, asked)
	return a
}

// checkTaken warns of what was settled with the sign of a refund where none was asked, as the
// statement of a bank has it, and the other way round.
func checkTaken(n input.Node, settled, asked money.Amount) {
	other := money.New(-settled.Minor(), settled.Currency())
	switch {
	case settled.Sign() < 0 && asked.Sign() > 0:
		n.Warn(quote(settled.String())+" is taken off the cost", "write "+other.String()+" if the bank took it")
	case settled.Sign() > 0 && asked.Sign() < 0:
		n.Warn(quote(settled.String())+" is added to the cost, and "+asked.String()+" is a refund", "write "+other.String()+" if it came back")
	}
}

// farAbove is how many times the most that a lot may go for is no price to be expected.
const farAbove = 3

// checkWon warns of a lot that went for far more than the end of the range in which that was
// expected, as where a digit slipped in. What else stands there plays no part any more.
func (r *reader) checkWon(n, likely input.Node, price money.Amount) {
	text, _ := textOf(likely.Figure())
	_, end, isRange := strings.Cut(text, "..")
	if !isRange {
		return
	}
	most, err := money.ParseIn(strings.TrimSpace(end), price.Currency())
	if err != nil || most.Currency() != price.Currency() || most.Sign() <= 0 || price.Minor()/farAbove <= most.Minor() {
		return
	}
	n.Warn(fmt.Sprintf("%s is more than %d times %s, the most that the lot was expected to go for", quote(price.String()), farAbove, most), "correct it if a digit slipped, or take out what it may go for (likely) to keep it")
}

// foreignOf returns the first currency other than home that is asked in, of a lot's price, a
// charge or a bid; none where there is none.
func foreignOf(h *File) money.Currency {
	var found money.Currency
	see := func(asked money.Amount) {
		if found == 0 && asked.Currency() != h.Home {
			found = asked.Currency()
		}
	}
	for i := range h.Lots {
		see(h.Lots[i].Price)
	}
	for i := range h.Charges {
		see(h.Charges[i].Amount)
	}
	if b := h.Bidding; b != nil {
		see(b.Start)
		for _, s := range b.Steps {
			see(s.Step)
		}
	}
	if h.Home == 0 {
		return 0
	}
	return found
}

// checkWay warns where the goods come from the country of the books and go to
// that of a price: the two may have changed places.
func (r *reader) checkWay(h *File, from input.Node) {
	foreign := foreignOf(h)
	if foreign != 0 && tender(h.From) == h.Home.Code() && tender(h.To) == foreign.Code() {
		from.Warn(fmt.Sprintf("the goods come from where %s is paid in and go to where %s is, but the books are in %s", h.Home, foreign, h.Home),
			fmt.Sprintf("from: %s and to: %s may have changed places", h.From, h.To))
	}
}

// tender is the currency of a country by CLDR's table, or "".
func tender(place string) string {
	country, _, _ := strings.Cut(place, "-")
	region, err := language.ParseRegion(country)
	if err != nil {
		return ""
	}
	unit, ok := currency.FromRegion(region)
	if !ok {
		return ""
	}
	return unit.String()
}

// checkUnit warns of a piece lighter than a gram or heavier than a tonne: its unit may be another.
func checkUnit(n input.Node, piece measure.Weight) {
	const tonne = 1000 * measure.Kilogram
	if piece == 0 || piece >= measure.Gram && piece <= tonne {
		return
	}
	if text, _ := n.Text(); !strings.Contains(text, "mg") {
		n.Warn(quote(text)+" for one piece is less than a gram or more than a tonne", "check its unit, as in 650 g or 1.9 kg")
	}
}

// counted finds how many pieces a name speaks of, as in "2 x plane" or "chisels x4".
var counted = scrub.Pattern(`^([0-9]{1,3}) ?[x×] ?\pL|\pL\)? [x×] ?([0-9]{1,3})$`)

// checkOne warns of an item that is counted as one piece, since nothing else is said, and that is
// called as if it were more.
func checkOne(n input.Node, what string) {
	if !strings.ContainsAny(what, "x×") || !strings.ContainsAny(what, "123456789") {
		return
	}
	found := counted().FindStringSubmatch(what)
	if found == nil {
		return
	}
	if many := strings.TrimLeft(found[1]+found[2], "0"); many != "" && many != "1" {
		n.Warn(quote(what)+" may be "+many+" pieces, and is counted as one", "write count: "+many+" beside it, or count: 1")
	}
}

// checkPart warns of a province or state that the country does not have; "" is none.
func checkPart(n input.Node, country, part string) {
	if known := parts().of[country]; known != nil && part != "" && !slices.Contains(known, part) {
		n.Warn(quote(part)+" is no province or state of "+country, "write one of ISO 3166-2: "+strings.Join(known, ", "))
	}
}

// event reads the day of something that happened or is about to.
func (r *reader) event(n input.Node) time.Time {
	day := r.day(n)
	r.checkAhead(n, day)
	return day
}

func (r *reader) checkAhead(n input.Node, day time.Time) {
	if !r.Today.IsZero() && !day.Before(r.Today.AddDate(1, 0, 0)) {
		_, month, of := day.Date()
		this := time.Date(r.Today.Year(), month, of, 0, 0, 0, 0, time.UTC)
		if this.Month() != month { // 29 February, and no leap year
			this = this.AddDate(0, 0, -1)
		}
		n.Warn(day.Format(time.DateOnly)+" is a year ahead or more", "check the year, did you mean "+this.Format(time.DateOnly)+"?")
	}
}
