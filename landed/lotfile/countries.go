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

// partNames are the names of the subdivisions of ISO 3166-2 in which a tax or a
// tariff depends on them, by code. From memory.
var partNames = sync.OnceValue(func() map[string]string {
	return map[string]string{
		"alberta": "CA-AB", "british columbia": "CA-BC", "manitoba": "CA-MB", "new brunswick": "CA-NB", "newfoundland": "CA-NL", "newfoundland and labrador": "CA-NL",
		"nova scotia": "CA-NS", "northwest territories": "CA-NT", "nunavut": "CA-NU", "ontario": "CA-ON", "ont": "CA-ON", "prince edward island": "CA-PE", "quebec": "CA-QC", "québec": "CA-QC",
		"saskatchewan": "CA-SK", "yukon": "CA-YT", "new south wales": "AU-NSW", "queensland": "AU-QLD", "south australia": "AU-SA", "tasmania": "AU-TAS", "victoria": "AU-VIC", "western australia": "AU-WA",
		"northern territory": "AU-NT", "alabama": "US-AL", "alaska": "US-AK", "arizona": "US-AZ", "arkansas": "US-AR", "california": "US-CA", "colorado": "US-CO", "connecticut": "US-CT", "delaware": "US-DE",
		"florida": "US-FL", "hawaii": "US-HI", "idaho": "US-ID", "illinois": "US-IL", "indiana": "US-IN", "iowa": "US-IA", "kansas": "US-KS", "kentucky": "US-KY", "louisiana": "US-LA", "maine": "US-ME",
		"maryland": "US-MD", "massachusetts": "US-MA", "michigan": "US-MI", "minnesota": "US-MN", "mississippi": "US-MS", "missouri": "US-MO", "montana": "US-MT", "nebraska": "US-NE", "nevada": "US-NV",
		"new hampshire": "US-NH", "new jersey": "US-NJ", "new mexico": "US-NM", "new york": "US-NY", "north carolina": "US-NC", "north dakota": "US-ND", "ohio": "US-OH", "oklahoma": "US-OK", "oregon": "US-OR",
		"pennsylvania": "US-PA", "rhode island": "US-RI", "south carolina": "US-SC", "south dakota": "US-SD", "tennessee": "US-TN", "texas": "US-TX", "utah": "US-UT", "vermont": "US-VT", "virginia": "US-VA",
		"washington": "US-WA", "west virginia": "US-WV", "wisconsin": "US-WI", "wyoming": "US-WY",
	}
})

// MeantPlace is the code of ISO 3166 of what somebody wrote for a country, or for a part
// of one with or without its country; "" where it is not known.
func MeantPlace(text string) string {
	text = strings.ToLower(scrub.Signs(text))
	if code := meantCountry(text); code != "" {
		return code
	}
	if code := partNames()[text]; code != "" {
		return code
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,/_-:;.()", r) })
	for i := 1; i < len(parts); i++ {
		first, last := strings.Join(parts[:i], " "), strings.Join(parts[i:], " ")
		for _, pair := range [][2]string{{first, last}, {last, first}} {
			country := meantCountry(pair[0])
			if code := partNames()[pair[1]]; code != "" && strings.HasPrefix(code, country+"-") {
				return code
			}
			if country != "" && (country == meantCountry(pair[1]) || pair[0] == first && len(first) == len("DE") && subdivisions()[country] == "") {
				return country
			}
			if slices.Contains(strings.Fields(subdivisions()[country]), strings.ToUpper(pair[1])) {
				return country + "-" + strings.ToUpper(pair[1])
			}
		}
	}
	for country, known := range subdivisions() { // written together, as CAON
		if part, ok := strings.CutPrefix(strings.ToUpper(text), country); ok && slices.Contains(strings.Fields(known), part) {
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
// German, French, Spanish, Italian, Dutch and Japanese.
//
//go:embed countries.tsv
var countryNames string

// countryCalled finds a country by its name in a few languages, by CLDR.
func countryCalled(name string) string {
	if len(name) < len("ad") || !strings.ContainsFunc(name, func(r rune) bool { return r > ' ' }) {
		return ""
	}
	var rows [][]string
	for line := range strings.Lines(countryNames) {
		rows = append(rows, strings.Split(strings.TrimSuffix(line, "\n"), "\t"))
	}
	for column := 1; column < len(rows[0]); column++ {
		for _, row := range rows {
			if strings.EqualFold(row[column], name) {
				return row[0]
			}
		}
	}
	return ""
}
