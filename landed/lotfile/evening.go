package lotfile

import (
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
)

// closes reads the day and the hour at which a lot is sold.
func (r *reader) closes(n input.Node) time.Time {
	text, ok := n.Text()
	if !ok {
		return time.Time{}
	}
	day, hour, _ := strings.Cut(strings.Replace(text, "T", " ", 1), " ")
	at, err := input.ParseDate(day)
	if hour = strings.TrimSpace(hour); err == nil && hour != "" {
		clock, wrong := time.Parse("15:04", hour)
		if wrong != nil {
			clock, wrong = time.Parse(time.TimeOnly, hour)
		}
		if wrong != nil {
			n.Fail(quote(hour)+" is no time of the day", "write hours and minutes, as in closes: "+day+" 20:15")
			return time.Time{}
		}
		return at.Add(time.Duration(clock.Hour())*time.Hour + time.Duration(clock.Minute())*time.Minute + time.Duration(clock.Second())*time.Second)
	}
	if err != nil {
		n.FailErr(err)
		return time.Time{}
	}
	return at
}

// likelyAs is how likely prices are written.
const likelyAs = "write a range, a list or two amounts, as in likely: 4000..9000 JPY, [4200 JPY, 5000 JPY] or {half: 4000 JPY, most: 9000 JPY}"

// likely reads what the others may pay for a lot; nil where that is not said or wrong.
func (r *reader) likely(n input.Node) *landed.Likely {
	if !n.Given() {
		return nil
	}
	before, l, ok := r.report.Len(), &landed.Likely{At: n.Origin()}, true
	text, single := textOf(n)
	switch {
	case n.IsMap():
		m := n.Map("half", "most")
		l.Half = r.notNegativeIn(m.Require("half", "write the price that it goes for or less in half of all cases, as in half: 4000 JPY"), r.home)
		l.Most = r.notNegativeIn(m.Require("most", "write the most that others will pay, as in most: 9000 JPY"), r.home)
		if r.report.Len() == before {
			sameCurrency(n, l.Half, l.Most)
		}
	case single && r.isRange(text):
		l.From, l.To, ok = r.likelyRange(n)
	default:
		list := n.List(true)
		if len(list) == 0 && r.report.Len() == before {
			n.Fail("the list of likely prices is empty", likelyAs)
		}
		for _, entry := range list {
			price := r.notNegativeIn(entry, r.home)
			if l.Prices = append(l.Prices, price); r.report.Len() == before {
				sameCurrency(entry, l.Prices[0], price)
			}
		}
	}
	if !ok || r.report.Len() > before {
		return nil
	}
	return l
}

// likelyRange reads the two ends of a range. It reports false where they are none.
func (r *reader) likelyRange(n input.Node) (from, to money.Amount, ok bool) {
	n = n.Figure()
	text, _ := textOf(n)
	from, to, ok = r.ends(n, text)
	switch {
	case !ok, !sameCurrency(n, from, to):
	case from.Sign() < 0:
		n.Fail(quote(from.String())+" is negative", "write an amount of 0 or more")
	case to.Cmp(from) < 0:
		n.Fail("the range ends at "+to.String()+", below its beginning at "+from.String(), "write the lesser one first, as in likely: 4000..9000 JPY")
	}
	return from, to, ok
}

// sameCurrency refuses two prices in different currencies.
func sameCurrency(n input.Node, a, b money.Amount) bool {
	if a.Currency() == b.Currency() {
		return true
	}
	n.Fail(b.String()+" is in another currency than "+a.String(), "write all prices of a lot in the currency of the sale")
	return false
}
