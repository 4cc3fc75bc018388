package live_test

import (
	"archive/zip"
	"encoding/xml"
	"fmt"
	"io"
	"maps"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// functionsOfTheStandard are those of ECMA-376 part 1, 18.17.7, that our formulas use.
var functionsOfTheStandard = strings.Fields("ABS AND COUNT COUNTIF FIXED GCD IF IFERROR INT ISERROR INDEX ISNUMBER LARGE LEFT MATCH MAX MIN NA NOT OR ROUND ROW SIGN SUM SUMPRODUCT")

// orderOfSheet is the order of parts of a sheet: ECMA-376 part 1, 18.3.1.99.
var orderOfSheet = strings.Fields("sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting dataValidations hyperlinks printOptions pageMargins pageSetup headerFooter")

var (
	quotedText   = regexp.MustCompile(`"(?:[^"]|"")*"`)
	functionName = regexp.MustCompile(`[A-Z][A-Z0-9.]*\(`)
	otherSheet   = regexp.MustCompile(`([a-z]+)!`)
)

// TestWorkbooksAreValid: a workbook holds to what ECMA-376 and the limits that the common programs
// publish ask of it: they refuse a file with a longer formula, text in one, or name.
func TestWorkbooksAreValid(t *testing.T) {
	large := &landed.Haul{Home: currency(t, "CAD")}
	lots := effort.Cases(600, 600, 60)
	for n := range lots {
		lot := landed.Lot{ID: fmt.Sprint("lot-", n), Price: money.New(1000+int64(n), large.Home)}
		for k := range 2 {
			item := landed.Item{ID: fmt.Sprintf("item-%d-%d", n, k), Count: 2, Weighed: true, Weight: measure.Gram, Value: money.New(500, large.Home)}
			item.Found = &landed.Found{Sound: 1, Dead: 1}
			if k == 1 {
				item.Found = &landed.Found{Dead: 2}
			}
			lot.Items = append(lot.Items, item)
		}
		large.Lots = append(large.Lots, lot)
		if n%2 == 0 {
			large.Charges = append(large.Charges, landed.Charge{What: "fee", Kind: landed.Fee, Amount: money.New(100, large.Home), On: []string{lot.ID}})
		}
	}
	share := landed.Charge{What: "of every second", Kind: landed.Fee, OfPrice: true, Percent: decimal.New(1, -2)}
	for n := 0; n < lots; n += 2 {
		share.On = append(share.On, large.Lots[n].ID)
	}
	large.Charges = append(large.Charges, share)
	hauls := randomHauls(t, effort.Cases(40, 6, 3))
	large.Losses = landed.LossToHaul
	hauls = append(hauls, large)
	given := examples(t)
	for n, from := range slices.Sorted(maps.Keys(given)) {
		if n%effort.Cases(1, 2, 8) == 0 {
			hauls = append(hauls, given[from])
		}
	}
	for n, h := range hauls {
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		for _, problem := range invalid(t, saved(t, show.Split(st).Pages(false))) {
			t.Errorf("haul %d: %s", n, problem)
		}
	}
	for name, r := range priced(t) {
		for _, problem := range invalid(t, saved(t, show.Price(r).Pages(false))) {
			t.Errorf("%s: %s", name, problem)
		}
	}
}

// validSheet is what is looked at of a sheet.
type validSheet struct {
	Parts []struct {
		XMLName xml.Name
		Rows    []struct { // of sheetData
			R     int `xml:"r,attr"`
			Cells []struct {
				R       string `xml:"r,attr"`
				S       int    `xml:"s,attr"`
				T       string `xml:"t,attr"`
				Formula string `xml:"f"`
				Value   string `xml:"v"`
				Text    string `xml:"is>t"`
			} `xml:"c"`
		} `xml:"row"`
		Count       int        `xml:"count,attr"` // of dataValidations
		Validations []struct{} `xml:"dataValidation"`
	} `xml:",any"`
}

// invalid tells in what a workbook breaks the rules.
func invalid(t *testing.T, file string) []string {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	var problems []string
	wrong := func(format string, of ...any) { problems = append(problems, fmt.Sprintf(format, of...)) }
	parts := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		parts[f.Name], err = io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
	}
	read := func(name string, into any) {
		if err := xml.Unmarshal(parts[name], into); err != nil {
			wrong("%s: %v", name, err)
		}
	}
	// Part 2 (Open Packaging Conventions), 10.1.2: each part has a type.
	var types struct {
		Default []struct {
			Extension string `xml:"Extension,attr"`
		}
		Override []struct {
			Name string `xml:"PartName,attr"`
		}
	}
	read("[Content_Types].xml", &types)
	named := map[string]bool{"[Content_Types].xml": true}
	for _, o := range types.Override {
		named[strings.TrimPrefix(o.Name, "/")] = true
		if parts[strings.TrimPrefix(o.Name, "/")] == nil {
			wrong("there is no part %s", o.Name)
		}
	}
	for name := range parts {
		if !named[name] && (len(types.Default) != 1 || path.Ext(name) != "."+types.Default[0].Extension) {
			wrong("%s has no type", name)
		}
	}
	// Part 2, 9.3: what is related to is there, and each id once.
	var relations struct {
		All []struct {
			ID     string `xml:"Id,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	read("xl/_rels/workbook.xml.rels", &relations)
	ids := map[string]string{}
	for _, r := range relations.All {
		if parts["xl/"+r.Target] == nil || ids[r.ID] != "" {
			wrong("relationship %s to %s", r.ID, r.Target)
		}
		ids[r.ID] = "xl/" + r.Target
	}
	var styles struct {
		Formats struct {
			Count int        `xml:"count,attr"`
			All   []struct{} `xml:"numFmt"`
		} `xml:"numFmts"`
		Fonts struct {
			Count int        `xml:"count,attr"`
			All   []struct{} `xml:"font"`
		} `xml:"fonts"`
		Fills struct {
			Count int        `xml:"count,attr"`
			All   []struct{} `xml:"fill"`
		} `xml:"fills"`
		Cells struct {
			Count int `xml:"count,attr"`
			All   []struct {
				Font int `xml:"fontId,attr"`
				Fill int `xml:"fillId,attr"`
			} `xml:"xf"`
		} `xml:"cellXfs"`
	}
	read("xl/styles.xml", &styles)
	if styles.Formats.Count != len(styles.Formats.All) || styles.Cells.Count != len(styles.Cells.All) || styles.Fonts.Count != len(styles.Fonts.All) || styles.Fills.Count != len(styles.Fills.All) {
		wrong("counts of styles")
	}
	for _, xf := range styles.Cells.All {
		if xf.Font >= styles.Fonts.Count || xf.Fill >= styles.Fills.Count {
			wrong("a style names what is not there: %+v", xf)
		}
	}
	var book struct {
		Views  []struct{} `xml:"bookViews>workbookView"`
		Sheets []struct {
			Name string `xml:"name,attr"`
			ID   string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
		} `xml:"sheets>sheet"`
	}
	read("xl/workbook.xml", &book)
	if len(book.Views) != 1 {
		wrong("sheets are of view 0, and there are %d", len(book.Views))
	}
	var names []string
	for _, s := range book.Sheets {
		if lower := strings.ToLower(s.Name); s.Name == "" || len([]rune(s.Name)) > 31 || strings.ContainsAny(s.Name, `[]:*?/\`) || slices.Contains(names, lower) {
			wrong("sheet name %q", s.Name)
		} else {
			names = append(names, lower)
		}
	}
	for _, s := range book.Sheets {
		var held validSheet
		read(ids[s.ID], &held)
		last, row := -1, 0
		for _, p := range held.Parts {
			at := slices.Index(orderOfSheet, p.XMLName.Local)
			if at <= last {
				wrong("%s: %s is out of order", s.Name, p.XMLName.Local)
			}
			last = at
			if p.XMLName.Local == "dataValidations" && p.Count != len(p.Validations) {
				wrong("%s: %d validations", s.Name, p.Count)
			}
			for _, r := range p.Rows {
				if r.R <= row || r.R > 1<<20 {
					wrong("%s: row %d behind %d", s.Name, r.R, row)
				}
				row = r.R
				for _, c := range r.Cells {
					at := s.Name + "!" + c.R
					if c.S >= styles.Cells.Count || !strings.HasSuffix(c.R, strconv.Itoa(r.R)) || len(c.Text) > 32767 {
						wrong("%s: style %d, %d characters", at, c.S, len(c.Text))
					}
					if _, err := strconv.ParseFloat(c.Value, 64); c.T == "" && c.Value != "" && err != nil {
						wrong("%s: %q is no number", at, c.Value)
					}
					for _, problem := range invalidFormula(c.Formula, names) {
						wrong("%s: %s", at, problem)
					}
				}
			}
		}
	}
	return problems
}

// invalidFormula tells in what a formula breaks the published limits: 8192 characters, 255 of a
// text in it, 255 arguments, 64 levels.
func invalidFormula(formula string, sheets []string) []string {
	var problems []string
	if len(formula) > 8192 {
		problems = append(problems, fmt.Sprintf("a formula of %d characters", len(formula)))
	}
	for _, text := range quotedText.FindAllString(formula, -1) {
		if len([]rune(text)) > 257 {
			problems = append(problems, fmt.Sprintf("a text of %d characters in a formula", len([]rune(text))))
		}
	}
	bare := quotedText.ReplaceAllString(formula, "")
	for _, name := range functionName.FindAllString(bare, -1) {
		if !slices.Contains(functionsOfTheStandard, strings.TrimSuffix(name, "(")) {
			problems = append(problems, "no function of the standard: "+name)
		}
	}
	for _, m := range otherSheet.FindAllStringSubmatch(bare, -1) {
		if !slices.Contains(sheets, m[1]) {
			problems = append(problems, "there is no sheet "+m[1])
		}
	}
	arguments := []int{0}
	deepest := 0
	for _, c := range bare {
		switch c {
		case '(':
			arguments = append(arguments, 1)
			deepest = max(deepest, len(arguments)-1)
		case ')':
			arguments = arguments[:max(len(arguments)-1, 0)]
		case ',':
			if len(arguments) > 0 {
				arguments[len(arguments)-1]++
				if arguments[len(arguments)-1] == 256 {
					problems = append(problems, "a function of more than 255 arguments")
				}
			}
		}
	}
	if formula != "" && (len(arguments) != 1 || deepest > 64) {
		problems = append(problems, fmt.Sprintf("%d levels, %d open", deepest, len(arguments)-1))
	}
	return problems
}
