package lotfile

import (
	"errors"
	"slices"
	"strings"
	"time"

	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// What a value that cannot be read was meant as is worked out here, as far as no
// package of its own does; "" where nothing is likely.

// show is a remedy that shows what was meant, or else another.
func show(meant, otherwise string) string {
	if meant != "" {
		return "write " + meant
	}
	return otherwise
}

// numerals are numbers in words, from 1. Numbers in English and German.
var numerals = strings.Fields("one two three four five six seven eight nine ten eleven twelve eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf")

// wholeIn is a whole number with words, and noughts behind a point, round it.
var wholeIn = scrub.Pattern(`^[^0-9-]*([0-9]{1,9})(?:[.,](0*))?[^0-9]*$`)

// several are words for more than one, of which each counts for so many; 0 for those that may mean
// any number. Words in English and German.
var several = map[string]int64{"pair": 2, "pairs": 2, "dozen": 12, "dutzend": 12, "week": 7, "weeks": 7, "woche": 7, "wochen": 7,
	"few": 0, "couple": 0, "paar": 0, "half": 0, "month": 0, "months": 0, "monat": 0, "monate": 0}

// meantCount is the whole number that a text means: in figures, in words, or both.
func meantCount(text string) string {
	text = strings.ToLower(scrub.Figure(text))
	number, each := int64(0), int64(1) // in words
	for i, word := range strings.Fields(text) {
		if n, is := several[word]; is {
			each *= n
		}
		switch at := slices.Index(numerals, word); {
		case at >= 0 && i > 0: // one or two
			return ""
		case at >= 0:
			number = int64(at%12 + 1)
		case i == 0 && slices.Contains([]string{"a", "an", "single", "ein", "eine"}, word):
			number = 1
		}
	}
	parts := wholeIn().FindStringSubmatch(text)
	switch {
	case each == 0, number*each > 1 && parts != nil, strings.Contains(text, "%"): // two boxes of 12
		return ""
	case parts == nil && strings.ContainsAny(text, "0123456789"), parts == nil && number == 0 && each == 1:
		return ""
	case parts == nil:
		return decimal.NewFromInt(max(number, 1) * each).String()
	case each > 1:
		return decimal.RequireFromString(parts[1]).Mul(decimal.NewFromInt(each)).String()
	case len(parts[2]) == 3 && len(parts[1]) <= 3 && parts[1] != "0": // the mark may group thousands
		return parts[1] + parts[2] + " or " + parts[1]
	}
	return parts[1]
}

// hoursIn is a time: hours, and minutes behind a colon, or minutes alone.
var hoursIn = scrub.Pattern(`^([0-9]+)(?:([.,:h])([0-9]+))?\s*(h|hrs?|hours?|std|stunden?|m|mins?|minutes?|minuten?)?\.?$`)

func meantHours(text string) string {
	parts := hoursIn().FindStringSubmatch(strings.ToLower(scrub.Figure(text)))
	if parts == nil || len(parts[1])+len(parts[3]) > 6 {
		return ""
	}
	const digits = 2
	sixty := decimal.NewFromInt(60)
	whole := decimal.RequireFromString(parts[1])
	switch isMinutes := strings.HasPrefix(parts[4], "m"); {
	case isMinutes && parts[2] == "":
		return whole.DivRound(sixty, digits).String()
	case isMinutes:
		return ""
	case parts[2] == ":" || parts[2] == "h":
		return whole.Add(decimal.RequireFromString(parts[3]).DivRound(sixty, digits)).String()
	case parts[2] != "":
		return parts[1] + "." + parts[3]
	}
	return parts[1]
}

// spanIn is a text from one figure to another.
var spanIn = scrub.Pattern(`^\s*(.*[0-9][^0-9]*?)\s*(?:\.\.+|-|…|\b(?:to|bis|until|till?|tot|a)\b|à|/)\s*([^0-9]*[0-9].*?)\s*$`)

// rangeIn is a text with two points, and no more, in it.
var rangeIn = scrub.Pattern(`[^.]\.\.[^.]`)

// meantDays is the time in transit that a text means, in days.
func meantDays(text string) string {
	if parts := spanIn().FindStringSubmatch(scrub.Figure(text)); parts != nil {
		if _, err := decimal.NewFromString(parts[1]); err == nil { // what is counted is said once
			parts[1] += strings.TrimLeft(parts[2], "0123456789")
		}
		least, most := meantCount(parts[1]), meantCount(parts[2])
		switch {
		case least == "" || most == "":
		case len(least) > len(most), len(least) == len(most) && least > most:
			return most + ".." + least
		default:
			return least + ".." + most
		}
	}
	return meantCount(text)
}

func meantRange(text string, home money.Currency) string {
	parts := spanIn().FindStringSubmatch(scrub.Figure(text))
	if parts == nil {
		return ""
	}
	to, high, ok := meantAmount(parts[2], home)
	if !ok {
		return ""
	}
	from, low, ok := meantAmount(parts[1], to.Currency())
	if !ok || from.Currency() != to.Currency() || from.Cmp(to) > 0 {
		return ""
	}
	return strings.TrimSuffix(low, " "+to.Currency().Code()) + ".." + high
}

// meantAmount is the likeliest amount that a text means, and how it is written.
func meantAmount(text string, usual money.Currency) (a money.Amount, written string, ok bool) {
	meant := money.Meant(text, usual)
	if len(meant) == 0 {
		return a, "", false
	}
	a, err := money.ParseIn(meant[0], usual)
	return a, meant[0], err == nil
}

// meantPremium is the percentage that an amount is of a price, to the last cent, as
// short as it can be written; "" where none is.
func meantPremium(text string, price money.Amount) string {
	premium, _, ok := meantAmount(text, price.Currency())
	if !ok || price.Sign() <= 0 || premium.Currency() != price.Currency() || premium.Sign() <= 0 || premium.Cmp(price) > 0 {
		return ""
	}
	for digits := int32(0); digits < 8; digits++ {
		percent := premium.Decimal().Shift(2).DivRound(price.Decimal(), digits)
		if again, err := money.Round(percent.Mul(price.Decimal()), decimal.New(1, 2), price.Currency()); err == nil && again == premium {
			return percent.String() + "%"
		}
	}
	return ""
}

// twoShares is a text of two percentages, with what the second is, before or behind it.
var twoShares = scrub.Pattern(`^\s*([0-9.,]+)\s*%([^0-9%]*?)([0-9.,]+)\s*%([^0-9%]*)$`)

// meantSum says how two percentages in one text are written as one: a premium and the tax on it,
// of which nobody can tell whether the price is taxed too, or two premiums; "" where they are none.
func meantSum(n input.Node) string {
	text, _ := n.Figure().Text()
	parts := twoShares().FindStringSubmatch(scrub.Figure(text))
	if parts == nil {
		return ""
	}
	first, err := money.ParsePercent(parts[1] + "%")
	second, err2 := money.ParsePercent(parts[3] + "%")
	if err != nil || err2 != nil {
		return ""
	}
	written := func(f decimal.Decimal) string { return "premium: " + f.Shift(2).String() + "%" }
	isTax := func(word string) bool { return source.Meant(word, []string{"tax"}) != "" }
	switch sum := first.Add(second); {
	case slices.ContainsFunc(strings.Fields(parts[2]+parts[4]), isTax):
		taxed := first.Add(first.Mul(second))
		return written(taxed) + " if the tax is on the premium alone, or " + written(taxed.Add(second)) + " if it is on the price too"
	case strings.Trim(parts[4], " )") == "" && atMostOne(sum):
		return written(sum) + ", which is both"
	}
	return ""
}

// perOf parts an amount for each lot, item, piece or parcel, as in "5 EUR per lot", in that and for
// what; "" where it is none.
func perOf(text string, home money.Currency) (sum, each string) {
	if text == "" || !strings.Contains("tmelx", text[len(text)-1:]) { // as in most
		return "", ""
	}
	if parts := perIn().FindStringSubmatch(scrub.Signs(text)); parts != nil {
		if sum = amountMeant(parts[1], home); sum != "" {
			each = strings.Replace(parts[2], "box", "parcel", 1)
		}
	}
	return sum, each
}

// amountMeant is a text that is an amount, or how that is written which it may stand for.
func amountMeant(text string, home money.Currency) string {
	if _, err := money.ParseIn(text, home); err == nil {
		return strings.TrimSpace(text)
	}
	return strings.Join(money.Meant(text, home), " or ")
}

// premiumIn is a premium, behind the price to which it is added.
var premiumIn = scrub.Pattern(`(?i)^\s*([0-9.,]+\s*%)\s*(?:(?:buyer['’]?s['’]?\s+)?(?:premium|bp|aufgeld))?\s*$`)

// perIn finds the words of perOf.
var perIn = scrub.Pattern(`^(.*\d.*?)\s*(?:/|\bper\b|\ba\b)\s*(lot|item|piece|parcel|box)$`)

// isAmount reports whether a text is an amount with a currency rather than a
// percentage.
func isAmount(text string) bool {
	if strings.Contains(text, "%") || !strings.ContainsFunc(text, isCurrencyMark) {
		return false
	}
	_, err := money.Parse(text)
	return err == nil || len(money.Meant(text, 0)) > 0
}

// meantShare is the percentage of the price that a number means, "" where it is none.
func meantShare(number string) string {
	_, err := money.ParsePercent(number + "%")
	var p *money.ParseError
	switch {
	case err == nil:
		return strings.TrimSpace(number) + "% of price"
	case errors.As(err, &p) && strings.HasSuffix(p.Remedy, "%") && !strings.Contains(p.Remedy, " or "):
		return strings.TrimPrefix(p.Remedy, "write ") + " of price"
	}
	return ""
}

// currency reads the currency of the books; for one that is called otherwise the
// place of the goods tells which dollar it is.
func (r *reader) currency(n, to input.Node) money.Currency {
	text, ok := n.Text()
	c, err := money.ParseCurrency(text)
	if !ok || err == nil {
		return c
	}
	place, _ := textOf(to)
	usual, _ := money.ParseCurrency(tender(strings.ToUpper(place)))
	meant := codeOf(scrub.Figure(text), usual)
	if country := meantCountry(strings.ToLower(scrub.Figure(text))); meant == "" && country != "" {
		meant = tender(country)
	}
	if meant == "" {
		n.FailErr(err)
	} else {
		n.Fail("currency "+quote(text)+" is not an ISO 4217 code", "did you mean "+meant+"?")
	}
	return 0
}

// ParseDate reads a day, year-month-day. Its error shows what else the text may mean.
func ParseDate(text string) (time.Time, error) { return input.ParseDate(text) }

func failNumber(n input.Node, text, what, otherwise string) {
	n.Fail(quote(text)+" is not "+what, show(meantCount(text), otherwise))
}
