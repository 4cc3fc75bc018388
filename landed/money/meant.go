package money

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"lotcost/landed/internal/scrub"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"
)

// What a text that is no amount was meant as is worked out here, for what to
// write in its place. Each reading is one that [ParseIn] takes.

// mostReadings is how many readings are shown.
const mostReadings = 2

// show puts readings in place of a remedy that shows none.
func show(err error, s string, home Currency) error {
	var p *ParseError
	if errors.As(err, &p) && (p.shown || strings.HasPrefix(p.Reason, tooLarge)) {
		return err
	}
	if why := scrub.Partial(s); why != "" {
		return &ParseError{Input: s, Reason: why, Remedy: "write what one piece or, of a lot or a charge, all of it comes to", shown: true, err: err}
	}
	meant := Meant(s, home)
	if len(meant) == 0 {
		return err
	}
	shown := &ParseError{Input: s, Reason: "is not an amount", Remedy: "write " + strings.Join(meant, " or "), shown: true, err: err}
	if p != nil {
		shown.Reason = p.Reason
	}
	if unknown, ok := errors.AsType[*unknownCurrencyError](err); scrub.Unlettered(s) != s {
		shown.Reason = scrub.LettersFor
	} else if ok {
		shown.Reason = fmt.Sprintf("has no currency code of ISO 4217 in %q", unknown.code)
	}
	return shown
}

// Meant returns the amounts that a text which is none may mean, the likelier
// first, each as [ParseIn] takes it: with a sign or a name for its currency, other
// marks, a note beside it. It is empty where nothing is likely.
func Meant(s string, home Currency) []string {
	text := scrub.Figure(s)
	if strings.Contains(text, "%") || scrub.Partial(text) != "" {
		return nil
	}
	if slices.Contains([]string{"free", "gratis", "nothing", "nil", "none"}, strings.ToLower(text)) {
		text = "0"
	}
	text = signAsPoint().ReplaceAllString(text, "$1.$3 $2")
	if parts := hundredths().FindStringSubmatch(text); parts != nil && (parts[2][0] == 'p' || home != 0) {
		unit := home.Code()
		if parts[2][0] == 'p' {
			unit = "GBP"
		}
		text = decimal.RequireFromString(parts[1]).Shift(-2).String() + " " + unit
	}
	parts := numberIn().FindStringSubmatch(text)
	if parts == nil {
		return nil
	}
	currencies, known := currenciesOf(parts[1], parts[4], home)
	if !known {
		return nil
	}
	var meant []string
	for _, number := range numbers(parts[2], parts[3] != "") {
		for _, code := range currencies {
			reading := strings.TrimSpace(number + " " + code)
			a, err := parse(reading, home)
			if err != nil { // decimals that the currency does not have may be noughts
				reading = strings.TrimSpace(strings.TrimRight(strings.TrimRight(number, "0"), ".") + " " + code)
				a, err = parse(reading, home)
			}
			if err == nil && !slices.Contains(meant, reading) && (a.Currency() != 0 || home == 0) {
				meant = append(meant, reading)
			}
		}
	}
	return meant[:min(len(meant), mostReadings)]
}

// numberIn parts a text in what stands before its one number, that, a k for
// thousands, and what stands behind.
var numberIn = scrub.Pattern(`^([^0-9(.,-]*)(-?\s*[.,]?[0-9](?:[0-9.,' ]*[0-9])?)(?:[.,]\s*-{1,2})?[.,]?\s*([kK]\b)?([^0-9-]*)$`)

// signAsPoint is a sign in the place of the point, as in 12€50.
var signAsPoint = scrub.Pattern(`^([0-9]+)\s*(\p{Sc}|[A-Za-z]{3})\s*([0-9]{2})$`)

// hundredths are small sums, in cents or pence.
var hundredths = scrub.Pattern(`^([0-9]{1,6})\s*(cents?|ct?|pence|p)\.?$`)

// numbers are the ways to read a number with marks in it, in plain digits with a
// point, the likelier first.
func numbers(marked string, thousands bool) []string {
	plain := strings.NewReplacer(" ", "", "'", "").Replace(marked)
	points, commas := strings.Count(plain, "."), strings.Count(plain, ",")
	joined := strings.NewReplacer(".", "", ",", "").Replace(plain)
	last := strings.LastIndexAny(plain, ".,")
	var read []string
	switch decimals := len(plain) - last - 1; {
	case last < 0, points+commas > 1 && points*commas == 0 && grouped(plain):
		read = []string{joined}
	case strings.Count(plain, plain[last:last+1]) > 1: // no mark of decimals stands twice
	case decimals == 3 && points+commas == 1 && grouped(plain):
		read = []string{joined, plain[:last] + "." + plain[last+1:]}
	default:
		whole := strings.NewReplacer(".", "", ",", "").Replace(plain[:last])
		if strings.Trim(whole, "-") == "" {
			whole += "0"
		}
		read = []string{whole + "." + plain[last+1:]}
	}
	if thousands {
		for i, number := range read {
			d, err := decimal.NewFromString(number)
			if err != nil {
				return nil
			}
			read[i] = d.Shift(3).String()
		}
	}
	return read
}

// grouped reports whether each mark in a number may group its thousands.
func grouped(number string) bool {
	groups := strings.FieldsFunc(strings.TrimPrefix(number, "-"), func(r rune) bool { return r == '.' || r == ',' })
	return scrub.Thousands(groups) && number[0] != '.' && number[0] != ','
}

// names are what currencies are called, by sign: the codes that it may stand for
// are worked out from that. Common usage, no source.
var names = map[string]string{
	"dollar": "$", "dollars": "$", "buck": "$", "bucks": "$", "pound": "£", "pounds": "£", "quid": "£", "pfund": "£", "sterling": "£", "livre": "£", "livres": "£",
	"euro": "€", "euros": "€", "yen": "JPY", "円": "JPY", "yuan": "CNY", "元": "CNY", "won": "KRW", "franken": "CHF", "francs": "CHF", "franc": "CHF", "fr": "CHF", "sfr": "CHF",
	"kr": "kr", "krone": "kr", "kronor": "SEK", "kroner": "kr", "zł": "PLN", "zloty": "PLN", "rupees": "INR", "rs": "INR",
	"c$": "CAD", "ca$": "CAD", "can$": "CAD", "cad$": "CAD", "cdn": "CAD", "cdn$": "CAD", "us$": "USD", "usd$": "USD", "a$": "AUD", "au$": "AUD", "aud$": "AUD", "nz$": "NZD", "hk$": "HKD", "s$": "SGD", "nt$": "TWD",
	"£stg": "GBP", "gbp£": "GBP", "eur€": "EUR", "cent": "", "cents": "", "p": "",
	"kg": "", "g": "", "oz": "", "lb": "", "lbs": "", "cm": "", "mm": "", // a figure of another kind
}

// beside are words by a number that are as short as a code, and none.
var beside = []string{"max", "min", "abt", "bis", "til", "per", "pro", "for", "stk", "net"}

// currenciesOf are the codes that the words round a number may mean, home before
// the others; it reports false where they mean none that is known.
func currenciesOf(before, behind string, home Currency) ([]string, bool) {
	var bare []string
	if home != 0 {
		bare = []string{home.Code()}
	}
	words := strings.FieldsFunc(before+" "+behind, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.Is(unicode.Sc, r)
	})
	words = slices.DeleteFunc(words, func(word string) bool { return slices.Contains(beside, strings.ToLower(word)) })
	if len(words) == 0 {
		return bare, home != 0
	}
	whole := strings.Join(words, " ")
	for _, adjective := range [][2]string{{"canadian", "CAD"}, {"us ", "USD"}, {"american", "USD"}, {"australian", "AUD"}, {"british", "GBP"}, {"pounds sterling", "GBP"}, {"swiss", "CHF"}, {"japanese", "JPY"}} {
		if strings.HasPrefix(strings.ToLower(whole), adjective[0]) {
			return []string{adjective[1]}, true
		}
	}
	var found []string
	for _, word := range words {
		switch codes := codesOf(word, home); {
		case len(codes) == 0 || slices.Equal(codes, found):
		case found == nil:
			found = codes
		case len(codes) > 1 && slices.Contains(codes, found[0]): // such as CAD $
		case len(found) > 1 && slices.Contains(found, codes[0]):
			found = codes
		default:
			return nil, false
		}
	}
	return found, found != nil
}

// codesOf are the codes that one word or sign may mean.
func codesOf(word string, home Currency) []string {
	if c, err := ParseCurrency(word); err == nil {
		return []string{c.Code()}
	}
	name, isName := names[strings.ToLower(word)]
	switch {
	case isName && len(name) == codeLen && name != "€":
		if _, err := ParseCurrency(name); err == nil {
			return []string{name}
		}
	case isName && name == "":
		return nil
	case !isName:
		name = word
	}
	codes := signed(name)
	for _, c := range Currencies() { // a country, as the first letters of its currency
		if len(word) == len("GB") && len(codes) == 0 && strings.HasPrefix(c.Code(), strings.ToUpper(word)) {
			codes = append(codes, c.Code())
		}
	}
	if at := slices.Index(codes, home.Code()); at > 0 {
		codes = slices.Insert(slices.Delete(codes, at, at+1), 0, home.Code())
	}
	if near := nearestCode(word); len(codes) == 0 && near != "" {
		return []string{near}
	}
	return codes
}

// signed are the codes of the currencies that a sign is used for, by CLDR's
// table, the more usual first.
func signed(sign string) []string {
	var codes []string
	for _, c := range Currencies() {
		unit, err := currency.ParseISO(c.Code())
		if err == nil && fmt.Sprint(currency.NarrowSymbol(unit)) == sign && c.Code() != sign {
			codes = append(codes, c.Code())
		}
	}
	usual := []string{"USD", "CAD", "AUD", "EUR", "GBP", "JPY", "CNY", "SEK", "NOK"}
	slices.SortStableFunc(codes, func(a, b string) int { return rank(usual, a) - rank(usual, b) })
	return codes
}

func rank(list []string, s string) int {
	if i := slices.Index(list, s); i >= 0 {
		return i
	}
	return len(list)
}
