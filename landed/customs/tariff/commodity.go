package tariff

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// element is a resource of a JSON:API document, with what is used of it.
type element struct {
	ID, Type      text
	Attributes    attributes
	Relationships map[string]relation
}

type attributes struct {
	Code           text `json:"goods_nomenclature_item_id"`
	Description    text
	Plain          text `json:"description_plain"`
	Import         text
	VAT            text
	From           text `json:"effective_start_date"`
	To             text `json:"effective_end_date"`
	Base           text
	Expression     text `json:"duty_expression_id"`
	Amount         text `json:"duty_amount"`
	Money          text `json:"monetary_unit_code"`
	Unit           text `json:"measurement_unit_code"`
	Qualifier      text `json:"measurement_unit_qualifier_code"`
	AdditionalCode text `json:"code"`
}

// relation is what an element refers to.
type relation struct{ Data references }

type reference struct{ ID, Type text }

// references are none, one or several.
type references []reference

// UnmarshalJSON takes null, an object or a list.
func (r *references) UnmarshalJSON(data []byte) error {
	if data[0] == '{' {
		var one reference
		err := json.Unmarshal(data, &one)
		*r = references{one}
		return err
	}
	return json.Unmarshal(data, (*[]reference)(r))
}

// document is a commodity with all that it includes.
type document struct {
	element
	included map[reference]*element
	order    []*element // the measures, in the order of the file
}

// The types of measure that are distinguished: the duty for all countries, and the preference for
// some.
const thirdCountry, preference, anyCountry = "103", "142", "1011"

// commodity reads one commodity of the United Kingdom's tariff, in either form.
func commodity(dec *json.Decoder, each func(r *row, above []*row)) error {
	d := &document{included: map[reference]*element{}}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return err
		}
		switch key {
		case "data":
			err = dec.Decode(&d.element)
		case "included":
			err = d.include(dec)
		default:
			var other json.RawMessage
			err = dec.Decode(&other)
		}
		if err != nil {
			return err
		}
	}
	if _, err := dec.Token(); err != nil {
		return err
	}
	if d.Type != "commodity" || d.Attributes.Code == "" {
		return notATariff("the file holds no commodity")
	}
	each(d.row())
	return nil
}

// include reads what is included, one by one.
func (d *document) include(dec *json.Decoder) error {
	if open, err := dec.Token(); err != nil || open != json.Delim('[') {
		if err == nil {
			err = notATariff("included is no list")
		}
		return err
	}
	for dec.More() {
		e := &element{}
		if err := dec.Decode(e); err != nil {
			return err
		}
		switch e.Type { // of the many others nothing is used
		case "measure":
			d.order = append(d.order, e)
			fallthrough
		case "measure_type", "measure_component", "duty_expression", "geographical_area", "footnote", "additional_code", "heading", "commodity":
			d.included[reference{e.ID, e.Type}] = e
		}
	}
	_, err := dec.Token()
	return err
}

// one returns the element that another refers to, or an empty one.
func (d *document) one(e *element, name string) *element {
	for _, r := range e.Relationships[name].Data {
		if found := d.included[r]; found != nil {
			return found
		}
	}
	return &element{}
}

func (e *element) words() string {
	if e.Attributes.Plain != "" {
		return string(e.Attributes.Plain)
	}
	return string(e.Attributes.Description)
}

// row makes the one row of the document, and those above it.
func (d *document) row() (*row, []*row) {
	var above []*row
	for _, name := range []string{"heading", "ancestors"} {
		for _, r := range d.Relationships[name].Data {
			if e := d.included[r]; e != nil {
				above = append(above, &row{Row: Row{Code: string(e.Attributes.Code), Text: e.words()}, named: none})
			}
		}
	}
	var own, proved, further []Duty
	var named []string
	code := string(d.Attributes.Code)
	listed := d.Relationships["import_measures"].Data
	for _, m := range d.order {
		if m.Attributes.VAT == "true" || m.Attributes.Import == "false" || listed != nil && !slices.Contains(listed, reference{m.ID, m.Type}) {
			continue
		}
		switch duty, kind := d.duty(m, code); kind {
		case preference:
			proved = append(proved, duty)
		case thirdCountry:
			own = append(own, duty)
		default:
			further = append(further, duty)
		}
	}
	for _, ref := range d.Relationships["footnotes"].Data {
		named = append(named, d.included[ref].footnote()...)
	}
	r := &row{Row: Row{Code: code, Text: d.element.words()}, further: further, named: func() []string { return named }, of: []string{"GB", "EU"}}
	if own = append(own, proved...); own != nil {
		r.own = func() []Duty { return own }
	}
	return r, above
}

func none() []string { return nil }

// duty reads a measure, and says of which type it is.
func (d *document) duty(m *element, code string) (Duty, string) {
	kind := d.one(m, "measure_type")
	area := d.one(m, "geographical_area")
	id := firstID(m, "measure_type")
	out := Duty{what: string(kind.Attributes.Description), Code: code, proof: id == preference,
		Text: string(d.one(m, "duty_expression").Attributes.Base), from: day(m.Attributes.From), to: day(m.Attributes.To)}
	if out.what == "" {
		out.what = "measure type " + id
	}
	if where := firstID(m, "geographical_area"); where != anyCountry {
		out.area = area.words()
		out.only = append(area.members(), where)
	}
	for _, r := range m.Relationships["excluded_countries"].Data {
		out.not = append(out.not, string(r.ID))
		if e := d.included[r]; e != nil {
			out.not = append(out.not, e.members()...)
		}
	}
	var hangs []string
	for what, name := range map[string]string{"order_number": "a quota", "measure_conditions": "conditions", "additional_code": "an additional code"} {
		if len(m.Relationships[what].Data) > 0 {
			hangs = append(hangs, name)
		}
	}
	slices.Sort(hangs)
	if len(hangs) > 0 {
		out.hangs = "with " + strings.Join(hangs, " and ")
	}
	for _, r := range m.Relationships["footnotes"].Data {
		out.notes = append(out.notes, d.included[r].footnote()...)
	}
	d.components(m, &out)
	return out, id
}

// footnote says one; a reference to none is none.
func (e *element) footnote() []string {
	if e == nil {
		return nil
	}
	return []string{strings.TrimSpace("footnote "+string(e.Attributes.AdditionalCode)) + ": " + e.words()}
}

func firstID(e *element, name string) string {
	for _, r := range e.Relationships[name].Data {
		return string(r.ID)
	}
	return ""
}

// day is the day of a time such as 2021-01-01T00:00:00.000Z.
func day(t text) string { return string(t[:min(len(t), len("2021-01-01"))]) }

// members are the countries of an area.
func (e *element) members() []string {
	var all []string
	for _, r := range e.Relationships["children_geographical_areas"].Data {
		all = append(all, string(r.ID))
	}
	return all
}

// components reads the rate of a measure off its components: the first is a percentage or an amount
// ("01"), further ones are added ("04"). Amounts are for a kilogram, a hundred of them, or a piece,
// without any qualification.
func (d *document) components(m *element, out *Duty) {
	var rate customs.Rate
	known := len(m.Relationships["measure_components"].Data) > 0
	var said []string
	for i, r := range m.Relationships["measure_components"].Data {
		c := d.included[r]
		if c == nil {
			known = false
			continue
		}
		a := &c.Attributes
		said = append(said, strings.Join(strings.Fields(fmt.Sprintf("%s %s %s %s", a.Amount, a.Money, a.Unit, a.Qualifier)), " "))
		known = known && a.Expression == [2]text{"01", "04"}[min(i, 1)] && a.add(&rate, &out.Currency)
	}
	if known {
		out.Rate = &rate
	}
	if out.Text == "" {
		out.Text = strings.Join(said, " + ")
	}
}

// add adds a component to a rate, and reports whether it is plain.
func (a *attributes) add(rate *customs.Rate, in *money.Currency) bool {
	amount, err := decimal.NewFromString(string(a.Amount))
	if err != nil || amount.Sign() < 0 || len(a.Amount) > 20 || amount.Exponent() < -9 || amount.Exponent() > 9 || a.Qualifier != "" {
		return false
	}
	if a.Money == "" {
		rate.Fraction = rate.Fraction.Add(amount.Shift(-2))
		return a.Unit == ""
	}
	cur, err := money.ParseCurrency(string(a.Money))
	if err != nil || *in != 0 && *in != cur {
		return false
	}
	switch *in = cur; a.Unit {
	case "KGM":
		rate.PerKilogram = rate.PerKilogram.Add(amount)
	case "DTN":
		rate.PerKilogram = rate.PerKilogram.Add(amount.Shift(-2))
	case "NAR":
		rate.PerPiece = rate.PerPiece.Add(amount)
	default:
		return false
	}
	return true
}
