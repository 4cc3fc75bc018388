package taken_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/testdata/effort"

	"github.com/xuri/excelize/v2"
)

// profile is what LibreOffice finds in a folder of its own: its language, with which it starts once
// and puts files there, and in the place of some of those a macro.
var profile = map[string]string{
	"registrymodifications.xcu": `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>LOCALE</value></prop></item>
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="MacroSecurityLevel" oor:op="fuse"><value>0</value></prop></item></oor:items>
`,
	"basic/Standard/script.xlb": `<?xml version="1.0" encoding="UTF-8"?><!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd"><library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false" library:passwordprotected="false"><library:element library:name="Module1"/></library:library>`,
	"basic/Standard/Module1.xba": `<?xml version="1.0" encoding="UTF-8"?><!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd"><script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">Sub Main
Dim hidden(0) As New com.sun.star.beans.PropertyValue
hidden(0).Name = "Hidden"
hidden(0).Value = True
Dim workbook(0) As New com.sun.star.beans.PropertyValue
workbook(0).Name = "FilterName"
workbook(0).Value = "Calc MS Excel 2007 XML"
doc = StarDesktop.loadComponentFromURL("file://FROM", "_blank", 0, hidden())
doc.Sheets.getByName("sharing").getCellRangeByName("WEIGHT").FormulaLocal = "TYPED"
doc.calculateAll()
doc.storeToURL("file://TO", workbook())
doc.close(True)
End Sub
</script:module>`,
}

// TestTypedInThreeCountries types a weight into a workbook as a spreadsheet in each of them has it,
// which saves it: it comes back as it was meant, and what the spreadsheet calculated for it is what
// the changed file costs.
func TestTypedInThreeCountries(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if !effort.All() || err != nil && os.Getenv("LOTCOST_OFFICE") != "must" {
		t.Skip("LibreOffice starts anew for each country")
	}
	const file = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n    price: 90 EUR\n    items: [{id: x, weight: \"1,8 kg\", value: \"31,5\"}, {id: y, count: 2, weight: 300 g, value: 20}]\ncharges: [{what: P, kind: freight, amount: \"9,40 EUR\"}]\n"
	for locale, typed := range map[string]string{"de-DE": "2.750,5", "en-US": "2,750.5", "sv-SE": "2750,5"} {
		dir := t.TempDir()
		from, to := filepath.Join(dir, "costs.xlsx"), filepath.Join(dir, "saved.xlsx")
		was := book(t, "haul.yaml", []byte(file))
		rows, err := was.GetRows("sharing")
		if err == nil {
			err = was.SaveAs(from)
		}
		if err != nil {
			t.Fatal(err)
		}
		weight := ""
		for i, head := range rows[0] {
			if strings.HasPrefix(head, "weight") {
				weight = fmt.Sprintf("%c2", 'A'+i)
			}
		}
		for _, part := range []struct{ of, ends string }{{"registry", "--terminate_after_init"}, {"basic", "macro:///Standard.Module1.Main"}} {
			for name, text := range profile {
				path := filepath.Join(dir, "profile", "user", name)
				text = strings.NewReplacer("LOCALE", locale, "FROM", from, "TO", to, "WEIGHT", weight, "TYPED", typed).Replace(text)
				err := os.MkdirAll(filepath.Dir(path), 0o700)
				if err == nil && strings.HasPrefix(name, part.of) {
					err = os.WriteFile(path, []byte(text), 0o600)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
			ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
			out, err := exec.CommandContext(ctx, office, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", part.ends).CombinedOutput()
			if stop(); err != nil {
				t.Fatalf("%s: %v: %s", locale, err, out)
			}
		}
		data, missing := os.ReadFile(to)
		if missing != nil {
			t.Fatal(missing)
		}
		r, err := taken.Read(taken.File{Path: "haul.yaml", Text: []byte(file)}, to, data)
		if err != nil || len(r.Changes) != 1 || len(r.Left) > 0 || r.Changes[0].New != "2,7505 kg" {
			t.Fatalf("%s: %v, %v, in %s", locale, r, err, weight)
		}
		saved, err := excelize.OpenFile(to)
		if err != nil {
			t.Fatal(err)
		}
		want := book(t, "haul.yaml", r.Files[0].After)
		figures := 0
		for _, page := range []string{"paid", "sharing", "pieces"} {
			is, err := saved.GetRows(page, excelize.Options{RawCellValue: true})
			wanted, wrong := want.GetRows(page, excelize.Options{RawCellValue: true})
			if err != nil || wrong != nil || len(is) != len(wanted) {
				t.Fatalf("%s: %s: %v, %v: %d rows, want %d", locale, page, err, wrong, len(is), len(wanted))
			}
			for i, row := range wanted {
				for j, cell := range row {
					if number, err := strconv.ParseFloat(cell, 64); err == nil {
						figures++
						if got, err := strconv.ParseFloat(is[i][j], 64); err != nil || math.Abs(got-number) > 1e-9 {
							t.Errorf("%s: %s, row %d: %s is %s, want %s", locale, page, i+1, wanted[0][j], is[i][j], cell)
						}
					}
				}
			}
		}
		if figures < 30 {
			t.Errorf("%s: only %d figures", locale, figures)
		}
		saved.Close()
	}
}
