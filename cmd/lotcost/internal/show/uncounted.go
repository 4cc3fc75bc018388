package show

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
)

// uncountedText says that a cost holds no border, or not all of it, and by
// roughly how much that may change it.
func uncountedText(u *landed.Uncounted) string {
	switch {
	case u.NoRate:
		return fmt.Sprintf("Not counted: the duty at the border from %s to %s, since its rate is not given: --duty 2.7%%, or --duty 0%% where the goods are free of it.", u.From, u.To)
	case u.From == "" && u.To == "":
		return "Not known: whether a border is crossed, since from and to are not given. What it adds is not counted."
	case u.To == "":
		return "Not known: whether a border is crossed, since to is not given. What it adds is not counted."
	case u.From == "":
		return "Not known: whether a border is crossed, since from is not given. Not counted: the border of " + u.To + roughly(u) + "."
	}
	return fmt.Sprintf("Not counted: the border from %s to %s%s. A customs section counts it.", u.From, u.To, roughly(u))
}

// roughly says what the border may add, and how that was reckoned.
func roughly(u *landed.Uncounted) string {
	var none *customs.NoRulesError
	switch {
	case errors.As(u.Why, &none) && none.Territory == "":
		return "; how much it adds is not known, since there are no rules of " + u.To + " here"
	case u.Why != nil:
		return "; how much it adds is not known: " + u.Why.Error()
	}
	how := "by post, for personal use and free of duty by class"
	if u.Newest {
		how += ", by the newest rules"
	}
	text := fmt.Sprintf(", at least %s (%s) %s", u.Least, levies(u), how)
	if u.Least.Sign() == 0 {
		text = "; " + how + " it adds nothing"
	}
	if u.Most != u.Least {
		text = fmt.Sprintf(", from %s to %s %s, hanging on whether %s", u.Least.Number(), u.Most, how, u.If)
	}
	if len(u.Missing) > 0 {
		text += "; and besides, its sum not known: " + strings.Join(u.Missing, "; ")
	}
	return text
}

// levies lists what the least sum is made of.
func levies(u *landed.Uncounted) string {
	var parts []string
	for _, p := range []struct {
		what string
		sum  money.Amount
	}{{"duty", u.Duty}, {"tax", u.Tax}, {"fees", u.Fees}} {
		if p.sum.Sign() != 0 {
			parts = append(parts, p.what+" "+p.sum.Number())
		}
	}
	return strings.Join(parts, ", ")
}

// uncounted is a border that is not counted in JSON; amounts are in home and
// left out where they are not known.
type uncounted struct {
	From  string `json:"from"`
	To    string `json:"to"`
	Least string `json:"at_least,omitempty"`
	Most  string `json:"up_to,omitempty"`
	Duty  string `json:"duty,omitempty"`
	Tax   string `json:"tax,omitempty"`
	Fees  string `json:"fees,omitempty"`
	Text  string `json:"text"`
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

// Whole is the sheet of a result: a border that is not counted is told before
// any figure, what else there is to say of one under them.
func (r Result) Whole() *Sheet {
	sheet := r.Sheet()
	if u := r.uncounted(); u != nil {
		at := 0
		if len(sheet.Blocks) > 0 {
			switch sheet.Blocks[0].(type) {
			case Heading, Text:
				at = 1
			}
		}
		sheet.Blocks = slices.Insert(sheet.Blocks, at, Block(Note{Caution, uncountedText(u)}))
	}
	if r.Of != nil {
		sheet.add(borderCautions(r.Of)...)
	}
	return sheet
}

// WholeJSON writes the result as JSON; a border that is not counted is its last
// field.
func (r Result) WholeJSON(w io.Writer) error {
	u := r.uncounted()
	if u == nil {
		return WriteJSON(w, r.JSON())
	}
	return WriteJSON(w, r.JSON(), struct {
		Border uncounted `json:"border_not_counted"`
	}{uncounted{u.From, u.To, number(u.Least), number(u.Most), number(u.Duty), number(u.Tax), number(u.Fees), uncountedText(u)}})
}

// Aside is what a format has no place for; "" for nothing.
func (r Result) Aside(f Format) string {
	u := r.uncounted()
	if u == nil || f != FormatCSV && (f != FormatJSON || reflect.ValueOf(r.JSON()).Kind() == reflect.Struct) {
		return ""
	}
	return uncountedText(u)
}
