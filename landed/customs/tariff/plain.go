package tariff

import (
	"html"
	"strings"

	"lotcost/landed/customs"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

var (
	partPattern    = scrub.Pattern(`^(\$?)(\d{1,9}(?:\.\d{1,7})?)(%|¢?)(/kg| each|)$`)
	programPattern = scrub.Pattern(`^\s*([^()]+?)\s*\(([^()]*)\)`)
	tagPattern     = scrub.Pattern(`</?[A-Za-z][^<>]*>`)
)

// plain reads a rate as the schedule of the United States prints it, in US dollars: "Free", "3.2%",
// "34.2¢/kg", "51¢ each", "$1.05/kg + 2.3%". What reads in any other way is no plain rate.
func plain(text string) *customs.Rate {
	var rate customs.Rate
	if text == "Free" {
		return &rate
	}
	for _, part := range strings.Split(text, " + ") {
		m := partPattern().FindStringSubmatch(part)
		if m == nil {
			return nil
		}
		dollars, number, sign, unit := m[1] != "", decimal.RequireFromString(m[2]), m[3], m[4]
		switch percentage := sign == "%"; {
		case percentage && !dollars && unit == "":
			rate.Fraction = rate.Fraction.Add(number.Shift(-2))
			continue
		case percentage || unit == "" || dollars == (sign == "¢"):
			return nil
		case !dollars:
			number = number.Shift(-2)
		}
		if unit == "/kg" {
			rate.PerKilogram = rate.PerKilogram.Add(number)
		} else {
			rate.PerPiece = rate.PerPiece.Add(number)
		}
	}
	return &rate
}

// general is what stands in the general column of the schedule.
func general(code, text string) Duty {
	d := Duty{what: "general", Code: code, Text: text, Rate: plain(text)}
	return d.dollars()
}

// dollars says the currency of a duty that has sums.
func (d Duty) dollars() Duty {
	if d.Rate != nil && !(d.Rate.PerKilogram.IsZero() && d.Rate.PerPiece.IsZero()) {
		d.Currency = money.MustCurrency("USD")
	}
	return d
}

// special reads the column of preferences: "Free (A,AU,BH) 3.1% (JP)". A programme is for a country
// where its sign is the country's code; which countries the others are for the schedule tells in
// its notes, so they are for none here.
func special(code, text string) []Duty {
	var all []Duty
	for rest := text; strings.TrimSpace(rest) != ""; {
		m := programPattern().FindStringSubmatch(rest)
		if m == nil {
			return []Duty{{what: "special", Code: code, Text: text, proof: true}}
		}
		signs := strings.FieldsFunc(m[2], func(r rune) bool { return r == ',' || r == ' ' })
		d := Duty{what: "special", Code: code, Text: m[1], Rate: plain(m[1]), proof: true, area: strings.Join(signs, ", "), only: []string{}}
		for _, sign := range signs {
			if len(sign) == 2 && strings.Trim(sign, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "" {
				d.only = append(d.only, sign)
			}
		}
		all = append(all, d.dollars())
		rest = rest[len(m[0]):]
	}
	return all
}

// words leaves out the marks of pages in a text.
func words(text string) string {
	if strings.ContainsAny(text, "<&") {
		text = html.UnescapeString(tagPattern().ReplaceAllString(text, ""))
	}
	return strings.Join(strings.Fields(text), " ")
}
