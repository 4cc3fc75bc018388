package lotfile

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/customs/tariff"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// wantedRate is a rate of duty that is to be looked up in a published tariff.
type wantedRate struct {
	class string
	code  input.Node
	file  input.Node
	name  string // of the file
	day   string // of the tariff, as typed; "" is not known
	proof bool
	spare bool // a class of the defaults that nothing in the haul is of: what is wrong with it is not reported
}

// wantedRate reads where the rate of a class is to be looked up; nil where it is
// not. A class without a tariff of its own has that of the section.
func (r *reader) wantedRate(class string, m, section *input.Map) *wantedRate {
	w := wantedRate{class: class, code: m.Get("code"), file: m.Get("tariff"), proof: r.yes(m.Get("proof"))}
	remedy := "keep one of the two"
	day := m.Get("tariff-date")
	if !w.file.Given() {
		w.file, remedy = section.Get("tariff"), "take it out, or write tariff: no beside it to keep a rate of your own"
		if !day.Given() {
			day = section.Get("tariff-date")
		}
	}
	name, named := w.file.Text()
	if !named || name == "no" {
		for _, key := range []string{"proof", "tariff-date"} {
			if m.Has(key) {
				m.Get(key).Fail("no tariff is named that it is for", "write tariff: and the name of its file, or take it out")
			}
		}
		return nil
	}
	if w.name = name; day.Given() {
		if on := r.day(day); !on.IsZero() {
			w.day = on.Format(time.DateOnly)
		}
	}
	if m.Has("duty") {
		m.Get("duty").Fail("a rate stands beside the tariff that it would be taken from", remedy)
		return nil
	}
	if code, ok := m.Require("code", "write the code of the goods in the tariff, as in code: \"8205.59.55\"").Text(); !ok || code == "" {
		return nil
	}
	wanted := w // made only here, since most classes want none
	return &wanted
}

// lookUp finds the wanted rates, each file in one pass.
func (r *reader) lookUp(wanted []*wantedRate, b *landed.Border, h *landed.Haul, rules *customs.Rules) {
	used := usedClasses(h, b)
	for _, w := range wanted {
		w.spare = r.inBook(w.code) && !used[w.class]
	}
	for len(wanted) > 0 {
		name, folder := wanted[0].name, r.folderOf(wanted[0].file)
		var codes []string
		var here, rest []*wantedRate
		for _, w := range wanted {
			if w.name != name || r.folderOf(w.file) != folder {
				rest = append(rest, w)
				continue
			}
			code, _ := w.code.Text()
			here, codes = append(here, w), append(codes, code)
		}
		wanted = rest
		if !slices.ContainsFunc(here, func(w *wantedRate) bool { return !w.spare }) {
			continue
		}
		f, ok := r.open(here[0].file, name)
		if !ok {
			continue
		}
		lines, unknown, err := r.inTariff(f, codes)
		f.Close()
		if err != nil {
			failTariff(here[0].file, err)
			continue
		}
		for i, w := range here {
			err := unknown[i]
			at := w.code
			if err == nil {
				at, err = r.take(w, lines[i], b, h, rules)
			}
			if err != nil && !w.spare {
				failTariff(at, err)
			}
		}
	}
}

// inTariff finds codes in a file, or what was found in it before.
func (r *reader) inTariff(f *os.File, codes []string) ([]*tariff.Line, []error, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, nil, err
	}
	return r.Tariffs.Read(fmt.Sprint(f.Name(), " ", info.Size(), " ", info.ModTime().UnixNano()), f, codes...)
}

// usedClasses are those that items of the haul are of.
func usedClasses(h *landed.Haul, b *landed.Border) map[string]bool {
	used := map[string]bool{b.Class: true}
	for _, item := range h.Items() {
		used[item.Class] = true
	}
	return used
}

// take takes the rate of a class from its line, or says what is wrong and where.
func (r *reader) take(w *wantedRate, line *tariff.Line, b *landed.Border, h *landed.Haul, rules *customs.Rules) (input.Node, error) {
	goods := tariff.Goods{Origin: cmp.Or(b.Made, h.From), Proof: w.proof, On: h.Date}
	if rules != nil {
		goods.Currency = rules.Currency
		if !slices.Contains(line.Territories, rules.Territory) {
			return w.file, &source.Fault{What: "this is the tariff of " + strings.Join(line.Territories, " or ") + ", and the goods enter " + h.To,
				Remedy: "name the tariff of the place of entry, or write duty: in place of it"}
		}
	}
	duty, err := line.Duty(goods)
	if err != nil {
		return w.code, err
	}
	class := b.Classes[w.class]
	class.Duty, class.Found, class.Also = duty.Rate, w.found(line, duty), line.Also(goods, duty)
	b.Classes[w.class] = class
	return w.code, nil
}

// found says where a rate was found: the file, whose name is the revision, its
// day, the line and its text.
func (w *wantedRate) found(line *tariff.Line, duty *tariff.Duty) string {
	day := "of a day that is not said"
	if w.day != "" {
		day = "of " + w.day
	}
	text := filepath.Base(w.name) + ", " + day + ", " + line.Code + ", " + line.Path() + "; " + duty.String()
	if duty.Code != line.Code {
		text += ", at " + duty.Code
	}
	return text
}

// failTariff records why a tariff, or a line of it, is of no use.
func failTariff(n input.Node, err error) {
	const typed = "write the rate that holds for your goods, as in duty: 5% with tariff: no beside it"
	var reported *source.Fault
	switch {
	case !errors.As(err, &reported):
		n.FailErr(err)
	case reported.Remedy != "":
		n.Fail(reported.What, reported.Remedy)
	case reported.Asked == "code":
		n.Fail(reported.What, "write the code of the line that is yours, or "+typed)
	default:
		n.Fail(reported.What, typed)
	}
}
