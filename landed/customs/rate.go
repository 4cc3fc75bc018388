package customs

import (
	"strings"

	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Rate is a rate of duty; its parts are added. The zero Rate is free of duty.
type Rate struct {
	Fraction    decimal.Decimal // of the value for customs, exact: 0.027 is 2.7 %
	PerKilogram decimal.Decimal // major units of the currency of the territory
	PerPiece    decimal.Decimal // the same
}

// unitWords are what a specific duty may be for.
var unitWords = []string{"per kg", "per piece"}

// numberPattern is a sum of a specific duty: finer than the minor unit, as tariffs have it.
var numberPattern = scrub.Pattern(`^\d{1,9}(\.\d{1,9})?$`)

// ParseRate reads a rate of duty as tariffs print it: "2.7%", "free", "1.50 CHF per kg", "0.25 CHF
// per piece", or several joined by a plus sign. Sums are in currency cur. It returns a
// [*money.ParseError].
func ParseRate(s string, cur money.Currency) (Rate, error) {
	var r Rate
	if strings.TrimSpace(s) == "free" {
		return r, nil
	}
	for part := range strings.SplitSeq(s, "+") {
		at, d, err := parseRatePart(s, strings.TrimSpace(part), cur)
		if err != nil {
			return Rate{}, err
		}
		kind := []*decimal.Decimal{&r.Fraction, &r.PerKilogram, &r.PerPiece}[at]
		if !kind.IsZero() {
			return Rate{}, parseError(s, "has two parts of one kind", "add them up")
		}
		*kind = d
	}
	return r, nil
}

// parseRatePart reads one part; at is 0 for a percentage and else one more than its place in
// unitWords.
func parseRatePart(s, part string, cur money.Currency) (at int, d decimal.Decimal, err error) {
	for i, unit := range unitWords {
		amount, ok := strings.CutSuffix(part, unit)
		if !ok {
			continue
		}
		number, ok := strings.CutSuffix(strings.TrimSpace(amount), cur.Code())
		number = strings.TrimSpace(number)
		if !ok || !numberPattern().MatchString(number) {
			return 0, d, parseError(s, "has no sum in "+cur.Code()+" before "+unit, "write it so, as in 1.50 "+cur.Code()+" "+unit)
		}
		d, err = decimal.NewFromString(number)
		if _, tooFine := specific("", "", d, cur); err == nil && tooFine != nil {
			err = parseError(s, "is finer than can be held", "round it")
		}
		return i + 1, d, err
	}
	if !strings.HasSuffix(part, "%") && (part == "" || strings.Trim(part, "0123456789.,") != "") {
		return 0, d, parseError(s, "is no rate of duty", "write 2.7%, free, or 1.50 "+cur.Code()+" per kg, or several joined by +")
	}
	if d, err = money.ParsePercent(part); err == nil {
		_, err = ratioOf(d)
	}
	return 0, d, err
}
