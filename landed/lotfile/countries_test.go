package lotfile

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"golang.org/x/text/currency"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// What countries are called, and their codes and currencies, are those of CLDR, as
// golang.org/x/text has them, whose tables every start of the command would unpack. With -update
// the files are written again.

func TestCountryNames(t *testing.T) {
	var want strings.Builder
	for region := range regionsOfCLDR {
		if !region.IsCountry() {
			continue
		}
		want.WriteString(region.Canonicalize().String())
		for _, in := range []language.Tag{language.English, language.German, language.French, language.Spanish, language.Italian, language.Dutch, language.Japanese} {
			want.WriteString("\t" + display.Regions(in).Name(region))
		}
		want.WriteString("\n")
	}
	holds(t, "countries.tsv", countryNames, want.String())
}

func TestRegions(t *testing.T) {
	var want strings.Builder
	for region, code := range regionsOfCLDR {
		inUse, tender := "", ""
		if region.IsCountry() {
			inUse = region.Canonicalize().String()
		}
		if unit, pays := currency.FromRegion(region); pays {
			tender = unit.String()
		}
		its := func(other string) string { // where no region in use has it
			if again, err := language.ParseRegion(other); err != nil || again != region {
				return "---"
			}
			return other
		}
		alpha3, digits := its(region.ISO3()), its(fmt.Sprintf("%03d", region.M49()))
		if inUse+tender != "" {
			fmt.Fprintf(&want, "%s %s %s %s %s\n", code, cmp.Or(inUse, "--"), alpha3, digits, cmp.Or(tender, "---"))
		}
	}
	holds(t, "regions.txt", regions, want.String())
}

// TestRegionOf finds regions by all codes that the library knows.
func TestRegionOf(t *testing.T) {
	for region, code := range regionsOfCLDR {
		for _, known := range []string{code, strings.ToLower(code), region.ISO3(), fmt.Sprintf("%03d", region.M49())} {
			again, err := language.ParseRegion(known)
			if err != nil || again != region || !region.IsCountry() {
				continue
			}
			if got := regionOf(known); got.code != code {
				t.Errorf("%s is %q, want %s", known, got.code, code)
			}
		}
	}
	for _, none := range []string{"", "D", "ZZ", "ZZZ", "---", "--", "999", "0", "DE DE", "DEUT"} {
		if got := regionOf(none); got != (region{}) {
			t.Errorf("%q is %v", none, got)
		}
	}
}

// regionsOfCLDR are the regions of two letters, with those.
func regionsOfCLDR(yield func(language.Region, string) bool) {
	for a := 'A'; a <= 'Z'; a++ {
		for b := 'A'; b <= 'Z'; b++ {
			code := string([]rune{a, b})
			if region, err := language.ParseRegion(code); err == nil && !yield(region, code) {
				return
			}
		}
	}
}

// holds compares a file that is embedded with what it has to be.
func holds(t *testing.T, name, text, want string) {
	t.Helper()
	if update := flag.Lookup("update"); update != nil && update.Value.String() == "true" {
		if err := os.WriteFile(name, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if text != want {
		t.Errorf("%s is not what CLDR has: run this test with -update", name)
	}
}
