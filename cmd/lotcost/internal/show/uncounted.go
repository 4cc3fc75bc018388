package show

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// uncountedText says that a cost holds no border, or not all of it, and by
// roughly how much that may change it at the prices of the result.
func (r Result) uncountedText(u *landed.Uncounted) string {
	h := r.Of.Haul
	switch {
	case h.Border != nil:
		return fmt.Sprintf("Not counted: the duty at the border from %s to %s, since its rate is not given: --duty 2.7%%, or --duty 0%% where the goods are free of it.", h.From, h.To)
	case h.From == "" && h.To == "":
		return "Not known: whether there is a border between, since from and to are not given. What it adds is not counted."
	case h.To == "":
		return "Not known: whether there is a border between, since to is not given. What it adds is not counted."
	case h.From == "":
		return "Not known: whether there is a border between, since from is not given. Not counted: the border of " + h.To + roughly(h, u, r.At) + "."
	}
	what, remedy := "the border", "A customs section counts it."
	if !h.OmitsBorder() {
		what, remedy = "what the bills leave out of the border", "A customs section counts it; for what was not asked write 0 beside what was."
	}
	return fmt.Sprintf("Not counted: %s from %s to %s%s. %s", what, h.From, h.To, roughly(h, u, r.At), remedy)
}

// roughly says what the border may add, and how that was calculated.
func roughly(h *landed.Haul, u *landed.Uncounted, at string) string {
	var none *customs.NoRulesError
	switch {
	case errors.As(u.Why, &none) && none.Territory == "":
		return "; how much it adds is not known, since there are no rules of " + h.To + " here"
	case u.Why != nil:
		return "; how much it adds is not known: " + u.Why.Error()
	}
	how := "by post, for personal use and free of duty by class" + sheet.Either(h.Date.IsZero(), ", by the newest rules", "")
	text := fmt.Sprintf(", at least %s (%s) %s", u.Least, levies(u), how)
	if u.Least.Sign() == 0 {
		text = "; " + how + " it adds nothing"
	}
	if u.Most != u.Least {
		text = fmt.Sprintf(", from %s to %s %s, depending on whether %s", u.Least.Said(), u.Most, how, u.If)
	}
	text += at
	text += sheet.Either(len(u.Missing) > 0, "; and besides, its sum not known: "+strings.Join(u.Missing, "; "), "")
	return text
}

// levies lists what the least sum is made of.
func levies(u *landed.Uncounted) string {
	var parts []string
	for _, p := range []struct {
		what string
		sum  money.Amount
	}{{"duty", u.Duty}, {"tax", u.Tax}, {"fees", u.Fee}} {
		if p.sum.Sign() != 0 {
			parts = append(parts, p.what+" "+p.sum.Said())
		}
	}
	return strings.Join(parts, ", ")
}

// uncounted is the border that the costs of a result do not hold; nil when
// there is none.
func (r Result) uncounted() *landed.Uncounted {
	if r.Of == nil {
		return nil
	}
	u := r.Of.Uncounted()
	if u != nil && r.Before != nil {
		u = u.Beyond(r.Before.Uncounted())
	}
	return u
}

// lacking is what the costs of a result do not hold, in words.
func (r Result) lacking() []string {
	var texts []string
	if r.Of != nil && len(r.Of.Haul.Open()) > 0 {
		texts = append(texts, OpenText(r.Of))
	}
	if u := r.uncounted(); u != nil {
		texts = append(texts, r.uncountedText(u))
	}
	if text := r.unshipped(); text != "" {
		texts = append(texts, text)
	}
	return texts
}

// unshipped says that the costs of a result hold no freight; "" where they do, or there is none.
func (r Result) unshipped() string {
	if r.Of == nil {
		return ""
	}
	parcels, h := r.Of.WithoutFreight(), r.Of.Haul
	switch {
	case parcels == nil:
		return ""
	case h.At.File == "": // figures stand in for a lot file
		return fmt.Sprintf("Not counted: freight from %s to %s. --freight counts it; 0 if nothing is paid.", h.From, h.To)
	case len(parcels) >= len(h.Parcels):
		return fmt.Sprintf("Not counted: freight from %s to %s. A charge of kind freight, or parcels with freight (lotcost together plans them), counts it; write 0 if nothing is paid.", h.From, h.To)
	}
	return fmt.Sprintf("Not counted: freight of parcel %s. Freight at the parcel counts it; write 0 if nothing is paid.", sheet.Listed(sheet.Each(parcels, func(id *string) string { return strconv.Quote(*id) })))
}

// Whole is the sheet of a result: what its costs do not hold is reported before any
// figure, what else there is to say of a border under them.
func (r Result) Whole() *sheet.Sheet {
	doc, at := r.Sheet(), 0
	if len(doc.Blocks) > 0 {
		switch doc.Blocks[0].(type) {
		case sheet.Heading, sheet.Text:
			at = 1
		}
	}
	doc.Blocks = slices.Insert(doc.Blocks, at, notes(sheet.Caution, r.lacking()...)...)
	doc.Add(learnedNotes(r.Learned)...)
	if r.Of != nil {
		doc.Add(notes(sheet.Caution, borderCautions(r.Of)...)...)
	}
	if r.Defaults != nil {
		doc.Add(figures(r.Defaults)...)
	}
	return doc
}

// AppendLine appends the result as JSON on one line, with what is strange in the file, if anything
// is.
func (r Result) AppendLine(b []byte, strange source.Faults) ([]byte, error) {
	more := r.beside()
	if len(strange) > 0 {
		more = append(more, object{"warnings", faultList(strange)})
	}
	return sheet.AppendJSON(b, r.JSON(), more...)
}

// beside are the fields that stand behind those of a result: what its costs do not hold comes last.
func (r Result) beside() (more []sheet.Fields) {
	if r.Defaults != nil {
		more = append(more, figuresJSON(r.Defaults))
	}
	if len(r.Learned) > 0 {
		more = append(more, learnedJSON(r.Learned))
	}
	if r.Of != nil && len(r.Of.Haul.Open()) > 0 {
		more = append(more, object{"without_open_price", r.Of.Haul.Open(), "border_left_out?", sheet.Each(r.Of.Unknown, func(id *string) string { return parcelName(*id) })})
	}
	if u := r.uncounted(); u != nil {
		h := r.Of.Haul
		more = append(more, object{"border_not_counted", object{"from", h.From, "to", h.To, "at_least?", u.Least, "up_to?", u.Most, "duty?", u.Duty, "tax?", u.Tax, "fees?", u.Fee,
			"text", r.uncountedText(u)}})
	}
	if text := r.unshipped(); text != "" {
		more = append(more, object{"freight_not_counted", text})
	}
	return more
}

// Aside is what a format has no place for; "" for nothing.
func (r Result) Aside(f sheet.Format) string {
	if f == sheet.FormatJSON {
		if _, takes := r.JSON().(sheet.Fields); takes {
			return ""
		}
	} else if f != sheet.FormatCSV {
		return ""
	}
	return strings.Join(r.lacking(), " ")
}
