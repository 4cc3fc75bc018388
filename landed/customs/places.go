package customs

import (
	"cmp"
	"slices"
	"strings"
)

// joined are countries whose goods meet the border of another one: Monaco that of France (Reg. (EU)
// 952/2013 art. 4(2)(a), Directive 2006/112/EC art. 7), the Isle of Man that of the United Kingdom
// (the same art. 7), Puerto Rico that of the United States (19 CFR 101.1) and Liechtenstein that of
// Switzerland (Customs Treaty of 29 March 1923; from memory).
var joined = map[string]string{"MC": "FR", "IM": "GB", "PR": "US", "LI": "CH"}

// outside are parts of countries to which the taxes of the country do not extend, by their codes in
// ISO 3166-2; some have a code of a country too. Spain, France, Finland and Greece: Directive
// 2006/112/EC art. 6. The United States: 19 CFR 101.1, "only the States, the District of Columbia,
// and Puerto Rico". Svalbard and Jan Mayen: from memory.
var outside = strings.Fields(`ES-CN ES-GC ES-TF ES-CE ES-ML FI-01 GR-69 NO-21 NO-22
	FR-971 FR-972 FR-973 FR-974 FR-976 FR-GP FR-MQ FR-GF FR-RE FR-YT FR-BL FR-MF FR-NC FR-PF FR-PM FR-TF FR-WF
	US-AS US-GU US-MP US-UM US-VI`)

// countryOf is the country whose border a place lies behind, or the place itself where it lies
// outside that of its own.
func countryOf(place string) string {
	country := homeland(place)
	if country != place && slices.Contains(outside, place) {
		return place
	}
	return cmp.Or(joined[country], country)
}

// within reports whether goods move from a place and to it as in all of the territory. Those of
// Northern Ireland do within the European Union, "no customs declarations, tariffs or quantitative
// restrictions" (Revenue of Ireland, customs implications of trade with Northern Ireland), though
// what comes there from elsewhere meets the border of the United Kingdom.
func (l lands) within(place string) bool {
	return l.covers(place) || l.territory == "EU" && place == "GB-NIR"
}

// inPlaces reports whether a place of entry is in a list of countries and subdivisions.
func inPlaces(list []string, place string) bool {
	return slices.Contains(list, place) || slices.Contains(list, countryOf(place))
}

// homeland is the country of a place, wherever its border is.
func homeland(place string) string {
	country, _, _ := strings.Cut(place, "-")
	return country
}

// fromAny reports whether a place of dispatch is, or lies in, any of some places.
func fromAny(list []string, place string) bool {
	country := homeland(place)
	return slices.Contains(list, place) || slices.Contains(list, country) || slices.Contains(list, joined[country])
}
