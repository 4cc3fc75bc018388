package lotfile

import (
	"errors"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
)

// closes reads the day and the hour at which a lot is sold.
func (r *reader) closes(n input.Node) time.Time {
	text, ok := n.Text()
	if !ok {
		return time.Time{}
	}
	day, hour := dayAndHour(text)
	at, err := input.ParseDate(day)
	clock, wrong := clockOf(hour)
	switch {
	case err != nil && wrong == nil:
		n.FailErr(withHour(err, hour))
	case err != nil:
		n.FailErr(err)
	case wrong != nil:
		n.Fail(quote(hour)+" is no time of the day", "write hours and minutes, as in closes: "+day+" 20:15")
	default:
		return at.Add(clock)
	}
	return time.Time{}
}

// betweenFigures is the T of ISO 8601 between a day and an hour.
var betweenFigures = scrub.Pattern(`(\d)T(\d)`)

// dayAndHour parts a text: a day may be of several words, an hour with a colon in it is the last.
func dayAndHour(text string) (day, hour string) {
	text = strings.TrimSpace(betweenFigures().ReplaceAllString(text, "$1 $2"))
	at := strings.LastIndexByte(text, ' ')
	if at < 0 || !strings.Contains(text[at:], ":") {
		at = strings.IndexByte(text, ' ')
	}
	if at < 0 {
		return text, ""
	}
	return strings.TrimSpace(text[:at]), strings.TrimSpace(text[at:])
}

// clockOf is an hour of the day; 0 where none is said.
func clockOf(hour string) (time.Duration, error) {
	if hour == "" {
		return 0, nil
	}
	clock, err := time.Parse("15:04", hour)
	if err != nil {
		clock, err = time.Parse(time.TimeOnly, hour)
	}
	return time.Duration(clock.Hour())*time.Hour + time.Duration(clock.Minute())*time.Minute + time.Duration(clock.Second())*time.Second, err
}

// withHour is what is wrong with a day, its remedy being one for the day and the hour.
func withHour(err error, hour string) error {
	what, remedy, ok := strings.Cut(err.Error(), ": write ")
	if !ok || hour == "" {
		return err
	}
	return errors.New(what + ": write " + anyDay().ReplaceAllString(remedy, "$0 "+hour))
}

var anyDay = scrub.Pattern(`[0-9]{4}-[0-9]{2}-[0-9]{2}`)

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
