package lotfile

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"

	"golang.org/x/text/language"
)

// spokenPlaces are what people write for a country that is neither its code nor its
// name. Common usage, no source.
var spokenPlaces = sync.OnceValue(func() map[string]string {
	return map[string]string{
		"uk": "GB", "england": "GB", "scotland": "GB", "wales": "GB", "great britain": "GB", "britain": "GB", "en": "GB", "eng": "GB", "gb-eng": "GB",
		"great britain and northern ireland": "GB", "america": "US", "united states of america": "US", "u.s.": "US", "u.s.a.": "US", "usa": "US",
		"holland": "NL", "grossbritannien": "GB", "großbritannien": "GB", "schottland": "GB", "angleterre": "GB", "grande-bretagne": "GB", "inghilterra": "GB", "inglaterra": "GB", "amerika": "US", "ger": "DE", "d": "DE", "brd": "DE", "jap": "JP", "jpan": "JP", "nippon": "JP", "f": "FR", "i": "IT", "e": "ES", "a": "AT", "ch": "CH",
		"south korea": "KR", "korea": "KR", "czech republic": "CZ", "sui": "CH", "ned": "NL", "den": "DK", "por": "PT", "gre": "GR", "ire": "IE", "eire": "IE", "roc": "TW",
	}
})

// partTable are the subdivisions of ISO 3166-2, by code and with their names, of countries in which
// a tax or a tariff may depend on them. From memory.
//
//go:embed parts.tsv
var partTable string

// parts are those subdivisions: the codes behind that of each country, and the whole code by name.
var parts = sync.OnceValue(func() (all struct {
	of     map[string][]string
	called map[string]string
}) {
	all.of, all.called = map[string][]string{}, map[string]string{}
	for row := range rowsOf(partTable) {
		country, part, _ := strings.Cut(row[0], "-")
		all.of[country] = append(all.of[country], part)
		for _, name := range row[1:] {
			all.called[name] = row[0]
		}
	}
	return all
})

// MeantPlace is the code of ISO 3166 of what somebody wrote for a country, or for a part
// of one with or without its country; "" where it is not known.
func MeantPlace(text string) string {
	text = strings.ToLower(scrub.Signs(text))
	if code := meantCountry(text); code != "" {
		return code
	}
	if code := parts().called[text]; code != "" {
		return code
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,/_-:;.()", r) })
	for i := 1; i < len(words); i++ {
		first, last := strings.Join(words[:i], " "), strings.Join(words[i:], " ")
		for _, pair := range [][2]string{{first, last}, {last, first}} {
			country := meantCountry(pair[0])
			if code := parts().called[pair[1]]; code != "" && strings.HasPrefix(code, country+"-") {
				return code
			}
			if country != "" && (country == meantCountry(pair[1]) || pair[0] == first && len(first) == len("DE") && parts().of[country] == nil) {
				return country
			}
			if slices.Contains(parts().of[country], strings.ToUpper(pair[1])) {
				return country + "-" + strings.ToUpper(pair[1])
			}
		}
	}
	for country, known := range parts().of { // written together, as CAON
		if part, ok := strings.CutPrefix(strings.ToUpper(text), country); ok && slices.Contains(known, part) {
			return country + "-" + part
		}
	}
	return ""
}

// meantCountry is the code of a country by its code or name, in small letters, or
// by that of its currency; "" where it is not known.
func meantCountry(text string) string {
	if code := spokenPlaces()[text]; code != "" {
		return code
	}
	if region, err := language.ParseRegion(text); err == nil && region.IsCountry() && region.ISO3() != "ZZZ" {
		return region.Canonicalize().String()
	}
	if code := countryCalled(text); code != "" {
		return code
	}
	if c, err := money.ParseCurrency(text); err == nil && tender(c.Code()[:2]) == c.Code() {
		return c.Code()[:2]
	}
	return ""
}

// countryNames are those of CLDR: a line for each country, with its code and its names in English,
// German, French, Spanish, Italian, Dutch and Japanese, and in the language that most speak there.
//
//go:embed countries.tsv
var countryNames string

// countryCalled finds a country by its name in a few languages, by CLDR.
func countryCalled(name string) string {
	if len(name) < len("ad") || !strings.ContainsFunc(name, func(r rune) bool { return r > ' ' }) {
		return ""
	}
	rows := slices.Collect(rowsOf(countryNames))
	for column := 1; column < len(rows[0]); column++ {
		for _, row := range rows {
			if strings.EqualFold(row[column], name) {
				return row[0]
			}
		}
	}
	return ""
}
