package lotfile

import (
	"flag"
	"os"
	"strings"
	"testing"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// The names of countries are those of CLDR, as golang.org/x/text/language/display has them, whose
// tables every start of the command would unpack. With -update the file is written again.
func TestCountryNames(t *testing.T) {
	var want strings.Builder
	for a := 'A'; a <= 'Z'; a++ {
		for b := 'A'; b <= 'Z'; b++ {
			region, err := language.ParseRegion(string([]rune{a, b}))
			if err != nil || !region.IsCountry() {
				continue
			}
			want.WriteString(region.Canonicalize().String())
			for _, in := range []language.Tag{language.English, language.German, language.French, language.Spanish, language.Italian, language.Dutch, language.Japanese} {
				want.WriteString("\t" + display.Regions(in).Name(region))
			}
			own, _ := language.MustParse("und-" + region.String()).Base()
			names := display.Regions(language.Make(own.String()))
			if names != nil { // of its own language
				want.WriteString("\t" + names.Name(region))
			} else {
				want.WriteString("\t")
			}
			want.WriteString("\n")
		}
	}
	if update := flag.Lookup("update"); update != nil && update.Value.String() == "true" {
		if err := os.WriteFile("countries.tsv", []byte(want.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if countryNames != want.String() {
		t.Error("countries.tsv is not what CLDR has: run this test with -update")
	}
}
