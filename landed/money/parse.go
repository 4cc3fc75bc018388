package money

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/scrub"

	"github.com/shopspring/decimal"
)

// ParseError tells what is wrong with a written amount or percentage and how
// to write it.
type ParseError struct {
	Input  string // as given
	Reason string // what is wrong
	Remedy string // what would put it right

	shown bool  // whether the remedy shows what to write for this text
	err   error // what was found first, where readings stand in its place; may be nil
}

// Unwrap returns what was found first.
func (e *ParseError) Unwrap() error { return e.err }

// Error quotes the text, and says what is wrong and how to write it.
func (e *ParseError) Error() string {
	what, remedy := e.Parts()
	return what + ": " + remedy
}

// Parts are what is wrong and what would put it right, each for itself.
func (e *ParseError) Parts() (what, remedy string) {
	return fmt.Sprintf("%q %s", e.Input, e.Reason), e.Remedy
}

// Parse reads an amount with its currency as people write it: "4200 JPY",
// "jpy 4200", "1,250.50 USD", "-3.20 CAD", "20 €". The point is the decimal mark
// and a comma only groups thousands; no more decimals than the minor unit has. Of
// the signs those are read that one currency alone uses.
//
// It returns a [*ParseError] for what is ambiguous ("1.250 EUR", "1,25 EUR",
// "$40") or no amount at all, an error that names a currency code that is none, or a ParseError
// whose reason says that the amount is too large.
func Parse(s string) (Amount, error) { return ParseIn(s, 0) }

// ParseIn is [Parse], but a bare number is taken to be in currency home.
func ParseIn(s string, home Currency) (Amount, error) {
	if a, ok := plain(s, home); ok {
		return a, nil
	}
	a, err := parse(s, home)
	if err != nil {
		return Amount{}, show(err, s, home)
	}
	return a, nil
}

// plain reads an amount as most are written, such as 4200 JPY: digits, perhaps a point with more
// behind it, and perhaps a space and a code in capitals. It reports false of all others, right ones
// too.
func plain(s string, home Currency) (Amount, bool) {
	const most = 18 // digits that fit for certain
	minor, digits, decimals, end := int64(0), 0, -1, 0
	for ; end < len(s) && digits < most; end++ {
		switch c := s[end]; {
		case '0' <= c && c <= '9':
			minor = 10*minor + int64(c-'0')
			digits++
			if decimals >= 0 {
				decimals++
			}
			continue
		case c == '.' && decimals < 0 && digits > 0:
			decimals = 0
			continue
		}
		break
	}
	cur := home
	if code := strings.TrimPrefix(s[end:], " "); code != "" {
		cur = ofCapitals(code)
	}
	missing := cur.Digits() - max(decimals, 0)
	if cur == 0 || digits == 0 || decimals == 0 || missing < 0 || digits+missing > most {
		return Amount{}, false
	}
	for range missing {
		minor *= 10
	}
	return Amount{minor, cur}, true
}

func parse(s string, home Currency) (Amount, error) {
	number, code := splitCode(strings.TrimSpace(s))
	cur := home
	switch {
	case strings.IndexFunc(number, unicode.IsDigit) < 0:
		return Amount{}, &ParseError{Input: s, Reason: "holds no number", Remedy: "write an amount and its currency, as in 4200 JPY"}
	case code != "":
		var err error
		if cur, err = currencyIn(s, code); err != nil {
			return Amount{}, err
		}
	case home == 0:
		return Amount{}, &ParseError{Input: s, Reason: "has no currency", Remedy: "write the code behind it, as in " + number + " JPY"}
	}
	minor, err := parseNumber(s, number, cur)
	if err != nil {
		return Amount{}, err
	}
	return Amount{minor, cur}, nil
}

// splitCode parts an amount into its number and what stands before or behind.
// Marks and digits that no number may hold count as its, to be refused by name.
func splitCode(s string) (number, code string) {
	isMark := func(r rune) bool {
		return unicode.IsDigit(r) || strings.ContainsRune(".,'_+-\u2212", r) || unicode.IsSpace(r)
	}
	first := strings.IndexFunc(s, isMark)
	if first < 0 {
		return "", s
	}
	if first > 0 {
		return strings.TrimSpace(s[first:]), s[:first]
	}
	end := strings.IndexFunc(s, func(r rune) bool { return !isMark(r) })
	if end < 0 {
		return strings.TrimSpace(s), ""
	}
	return strings.TrimSpace(s[:end]), s[end:]
}

// currencyIn finds the currency meant by what stood beside the number.
func currencyIn(s, code string) (Currency, error) {
	for _, r := range code {
		if unicode.Is(unicode.Sc, r) {
			return ofSign(s, code, r)
		}
		if !unicode.IsLetter(r) {
			return 0, &ParseError{Input: s, Reason: "is not an amount", Remedy: "write a plain number and its currency, as in 4200 JPY"}
		}
	}
	return ParseCurrency(code)
}

// ofSign takes a sign that stands for one currency alone.
func ofSign(s, code string, sign rune) (Currency, error) {
	codes := signed(string(sign))
	switch {
	case len(codes) == 1 && strings.TrimSpace(code) == string(sign):
		return ParseCurrency(codes[0])
	case len(codes) > 1:
		return 0, &ParseError{Input: s, Reason: fmt.Sprintf("is ambiguous, %d currencies use the sign %q", len(codes), sign), Remedy: "write the code behind the number, as in 4200 JPY"}
	}
	return 0, &ParseError{Input: s, Reason: fmt.Sprintf("has a sign %q instead of a currency code", sign), Remedy: "write the code behind the number, as in 4200 JPY"}
}

// parseNumber reads the number of an amount of currency cur in minor units.
func parseNumber(s, number string, cur Currency) (int64, error) {
	fail := func(reason, remedy string) (int64, error) {
		return 0, &ParseError{Input: s, Reason: reason, Remedy: remedy, shown: remedy != asIn(cur)}
	}
	digits := cur.Digits()
	body := strings.TrimPrefix(number, "-")
	sign := number[:len(number)-len(body)]
	whole, fraction, hasPoint := strings.Cut(body, ".")
	plain := sign + strings.ReplaceAll(whole, ",", "")
	switch why := badMarks(whole, fraction); {
	case why != "":
		return fail(why, asIn(cur))
	case hasPoint && (whole == "" || fraction == ""):
		return fail("has a point with no digits beside it", asIn(cur))
	case !hasPoint && wrongGroups(whole, digits):
		return fail("has a comma that may be a decimal or a thousands mark", twoReadings(whole, plain, cur))
	case wrongGroups(whole, 0):
		return fail("has commas that do not group thousands", fmt.Sprintf("write %s.%s %s", plain, fraction, cur))
	case len(fraction) > digits:
		return fail(tooFine(cur, len(fraction)), finer(plain, fraction, cur))
	}
	minor, err := strconv.ParseInt(plain+fraction+strings.Repeat("0", digits-len(fraction)), 10, 64)
	if err != nil {
		return fail(tooLarge, "the largest amount is 9223372036854775807 minor units")
	}
	return minor, nil
}

// badMarks names a mark that has no place in a number.
func badMarks(whole, fraction string) string {
	if strings.Contains(fraction, ",") {
		return "has a comma behind the point"
	}
	for _, r := range whole + fraction {
		if r >= '0' && r <= '9' || r == ',' {
			continue
		}
		if unicode.IsSpace(r) {
			return "has a space inside the number"
		}
		return fmt.Sprintf("has %q inside the number", string(r))
	}
	return ""
}

// wrongGroups reports whether the commas in whole are not all thousands marks
// beyond doubt. With three decimals (KWD) one comma group could be either.
func wrongGroups(whole string, digits int) bool {
	if !strings.Contains(whole, ",") {
		return false
	}
	groups := strings.Split(whole, ",")
	return !scrub.Thousands(groups) || digits >= 3 && len(groups) == 2
}

const tooLarge = "is too large to be held exactly"

func tooFine(cur Currency, have int) string {
	if cur.Digits() == 0 {
		return fmt.Sprintf("has decimals, but %s has no smaller unit", cur)
	}
	return fmt.Sprintf("has %d decimals, but %s has %d", have, cur, cur.Digits())
}

// finer advises on a number with more decimals than its currency has: with
// three of them the point may have been meant to group thousands.
func finer(plain, fraction string, cur Currency) string {
	kept := decimal.RequireFromString(plain + "." + fraction).StringFixed(int32(cur.Digits()))
	if len(fraction) == 3 && strings.Trim(plain, "-0") != "" {
		return fmt.Sprintf("write %s%s %s or %s %s", plain, fraction, cur, kept, cur)
	}
	return fmt.Sprintf("write %s %s, or the amount rounded as it was paid", kept, cur)
}

// twoReadings advises on a comma that may be either mark. Where nothing but
// zeros stands before it, it cannot group thousands.
func twoReadings(whole, plain string, cur Currency) string {
	last := whole[strings.LastIndexByte(whole, ',')+1:]
	head := strings.TrimSuffix(plain, last)
	decimals := len(last) > 0 && len(last) <= cur.Digits()
	nought := strings.Trim(head, "-0") == ""
	switch {
	case nought && !decimals:
		return asIn(cur)
	case nought:
		return fmt.Sprintf("write %s0.%s %s", strings.TrimRight(head, "0"), last, cur)
	case decimals:
		return fmt.Sprintf("write %s.%s %s or %s %s", head, last, cur, plain, cur)
	}
	return fmt.Sprintf("write %s %s", plain, cur)
}

func asIn(cur Currency) string {
	example := New(125050, cur)
	if cur.Digits() == 0 {
		return fmt.Sprintf("write plain digits, as in %s", example)
	}
	return fmt.Sprintf("write plain digits with a point before the decimals, as in %s", example)
}

// ParsePercent reads a percentage as written ("12.5%", "8 %") and returns the
// exact fraction it stands for, 0.125. It may be negative or above 100: what
// makes sense is for the caller to say. It returns a [*ParseError] for
// anything else, a number without the sign included: 0.175 may be meant as
// 17.5% or as 0.175%.
func ParsePercent(s string) (decimal.Decimal, error) {
	if d, ok := percent(s); ok {
		return d, nil
	}
	fail := func(reason, remedy string) (decimal.Decimal, error) {
		if scrub.Unlettered(s) != s {
			reason = scrub.LettersFor
		}
		return decimal.Decimal{}, &ParseError{Input: s, Reason: reason, Remedy: remedy}
	}
	number, sign := "", ""
	if parts := percentIn().FindStringSubmatch(scrub.Figure(s)); parts != nil {
		number, sign = strings.TrimSpace(parts[2]), parts[1]+parts[3]
	}
	if marks := strings.Count(number, ",") + strings.Count(number, "."); marks == 1 {
		number = strings.Replace(number, ",", ".", 1)
	}
	if strings.HasPrefix(number, ".") {
		number = "0" + number
	}
	d, ok := percent(number + "%")
	switch why := scrub.Partial(s); {
	case why != "":
		return fail(why, "write all of it as one percentage, as in 12.5%")
	case number == "" && !strings.Contains(s, "%"):
		return fail("is not a percentage", "write it with its sign, as in 12.5%")
	case !ok:
		return fail("is not a percentage", "write a plain number and the sign, as in 12.5%")
	case sign != "" && strings.Contains(s, ","):
		return fail("has a comma", "write "+number+"%")
	case sign != "" || d.IsZero() || d.Abs().GreaterThan(decimal.New(1, -2)):
		return fail("is not a percentage", "write "+d.Shift(2).String()+"%")
	}
	return fail("is not a percentage", fmt.Sprintf("write %s or %s%%", FormatPercent(d.Shift(2)), d.Shift(2)))
}

// percentIn parts a text in the words for percent before its number, that, and
// those behind it.
var percentIn = scrub.Pattern(`(?i)^(%?)\s*(-?\s*[0-9.,]+)\s*(%|per ?cent|pct\b\.?|percentage|prozent|proz\b\.?|pour ?cent|procent|por ?ciento)?(?:\s*(?:%|of (?:the )?(?:hammer|price|hammer price|value|cost)|on (?:the )?(?:hammer|price|hammer price)|margin|profit))?$`)

func percent(s string) (decimal.Decimal, bool) {
	number, ok := strings.CutSuffix(strings.TrimSpace(s), "%")
	number = strings.TrimSpace(number)
	if !ok || !plainDecimal(number) {
		return decimal.Decimal{}, false
	}
	if whole, part, _ := strings.Cut(number, "."); len(number) <= len("123456789012345678") {
		coefficient, err := strconv.ParseInt(whole+part, 10, 64)
		return decimal.New(coefficient, int32(-2-len(part))), err == nil
	}
	d, err := decimal.NewFromString(number)
	return d.Shift(-2), err == nil
}

// FormatPercent prints an exact fraction as [ParsePercent] reads it, unless it has
// too many digits for anybody to read.
func FormatPercent(fraction decimal.Decimal) string {
	if !exact.IsBounded(fraction) {
		return "that many digits"
	}
	return fraction.Shift(2).String() + "%"
}

// plainDecimal reports whether s is digits with at most one point between
// them and perhaps a minus, at most 40 characters.
func plainDecimal(s string) bool {
	const longest = 40
	s = strings.TrimPrefix(s, "-")
	whole, fraction, hasPoint := strings.Cut(s, ".")
	allDigits := func(t string) bool {
		for i := range len(t) {
			if t[i] < '0' || t[i] > '9' {
				return false
			}
		}
		return t != ""
	}
	return len(s) <= longest && allDigits(whole) && (!hasPoint || allDigits(fraction))
}
