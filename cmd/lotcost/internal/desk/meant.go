package desk

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/fx"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Some fields stand for one of several keys, by what the item has: a piece that is sure has a
// value, one that is not has chances, each with a value. They are ~value, ~chance and ~else. And
// ~lots is the lots of a box, in one text.

// meantBy is the path of the value that a field stands for; nil where that is its own.
func meantBy(d *edit.Doc, p edit.Path) edit.Path {
	item := p[:len(p)-1]
	switch key := p[len(p)-1].Key; {
	case key == "~lots":
		return item.Below("lots")
	case key == "~value" && d.Len(item.Below("chances")) > 0:
		return item.Below("chances", 0, "value")
	case key == "~value":
		return item.Below("value")
	case key == "~chance":
		return item.Below("chances", 0, "chance")
	case key == "~else":
		return item.Below("chances", 1, "value")
	}
	return nil
}

// placeOfField is where the value of a field stands in the file.
func placeOfField(d *edit.Doc, p edit.Path) edit.Path {
	if at := meantBy(d, p); at != nil {
		return at
	}
	return p
}

// meant is what a change stands for, as changes of keys of the file.
func meant(d *edit.Doc, c change) []change {
	at := meantBy(d, c.path)
	switch {
	case at == nil:
		return slices.Concat([]change{c}, notBoth(d, c), noBox(d, c))
	case c.path[len(c.path)-1].Key == "~lots":
		list := []change{{at, ""}}
		ids, _ := lotsNamed(d, c.text)
		for _, id := range ids {
			list = append(list, change{at.Below(edit.New), id})
		}
		return list
	}
	item := c.path[:len(c.path)-1]
	chances, value := item.Below("chances"), item.Below("value")
	key, sure := c.path[len(c.path)-1].Key, d.Len(chances) == 0
	right, _ := d.Text(value)
	switch {
	case key == "~chance" && !sure && (c.text == "" || strings.TrimSpace(strings.TrimSuffix(c.text, "%")) == "100"):
		best, _ := d.Text(meantBy(d, item.Below("~value")))
		return []change{{chances, ""}, {value, best}}
	case key == "~chance" && sure && c.text != "", key == "~else" && sure && c.text != "":
		chance, other := c.text, "0"
		if key == "~else" {
			chance, other = "50%", c.text
		}
		list := []change{{chances.Below(0, "chance"), chance}}
		if right != "" {
			list = append(list, change{chances.Below(0, "value"), right}, change{value, ""})
		}
		return append(list, change{chances.Below(1, "chance"), "rest"}, change{chances.Below(1, "value"), other})
	case sure && key != "~value":
		return nil
	}
	return []change{{at, c.text}}
}

// notBoth is what no longer stands in the file once a lot is won, or lost, after all.
func notBoth(d *edit.Doc, c change) []change {
	if len(c.path) != 3 || c.path[0].Key != "lots" || c.text == "" || c.text == "open" {
		return nil
	}
	price, lost := c.path[:2].Below("price"), c.path[:2].Below("lost")
	switch at, _ := d.Text(price); {
	case slices.Equal(c.path, price) && d.Has(lost):
		return []change{{lost, ""}}
	case slices.Equal(c.path, lost) && at != "open":
		return []change{{price, "open"}}
	}
	return nil
}

// noBox takes a lot that is taken out out of its box too, and that as well where it holds no other.
func noBox(d *edit.Doc, c change) []change {
	if len(c.path) != 2 || c.path[0].Key != "lots" || c.text != "" {
		return nil
	}
	id, _ := d.Text(c.path.Below("id"))
	boxes := edit.Path{{Key: "parcels"}}
	for i := range d.Len(boxes) {
		lots := boxes.Below(i, "lots")
		for j := range d.Len(lots) {
			if of, _ := d.Text(lots.Below(j)); of != id {
				continue
			} else if d.Len(lots) == 1 {
				return []change{{boxes.Below(i), ""}}
			}
			return []change{{lots.Below(j), ""}}
		}
	}
	return nil
}

// understood is a haul with some changes, which are read as they are meant: what is not written as
// a file has it, but holds all that is to be said, is written so, as 80 for a chance is 80%.
func (h *haul) understood(list []change) (*haul, error) {
	for i := range list {
		if fault := h.unclear(list[i]); fault != nil {
			return nil, source.Faults{fault}
		}
		list[i].text = h.withMark(h.withYear(list[i]))
		list[i].text = h.asRate(h.onTheDay(list[i]), list[i].path)
		list[i].text = h.inCurrency(list[i])
		if p := list[i].path; len(p) == 1 && (p[0].Key == "from" || p[0].Key == "to") {
			list[i].text = placeOf(list[i].text)
		}
	}
	after, err := h.changed(list)
	if err != nil || after.Doc == nil {
		return after, err
	}
	again, faults := slices.Clone(list), after.faultsShown(after.Faults)
	var mended []string
	for i, c := range list {
		if text := h.onlyReading(faults, after.nameOf(c.path), c.text); text != "" {
			again[i].text = text
			mended = append(mended, c.path.String())
		}
	}
	if len(mended) == 0 {
		return after, nil
	}
	better, err := h.changed(again)
	if err != nil || better.spoils(mended) { // what it hid of other values may come out by it
		return after, nil
	}
	copy(list, again)
	return better, nil
}

// asRate is a figure alone at a rate in the place that the field shows for it, as in 100 JPY = …
// EUR; where it is far off what that was lately it may be the other way round, and is left.
func (h *haul) asRate(text string, p edit.Path) string {
	hint := h.rateHint()
	if len(p) != 3 || p[1].Key != "rates" || !bareFigures().MatchString(text) || !strings.Contains(hint, "…") {
		return text
	}
	rate := strings.Replace(hint, "…", text, 1)
	if eq, err := lotfile.Typed(rate, h.decimal(), lotfile.ParseEquation); err != nil || fx.Far([]fx.Equation{eq}, nil)[0] != nil {
		return text
	}
	return rate
}

// inCurrency is the price of a lot, or what it is likely to go for, in what the bids are in where
// figures alone were typed, letters for zeros among them, or two with a word between or that sign
// behind.
func (h *haul) inCurrency(c change) string {
	n := len(c.path)
	if n != 3 || c.path[0].Key != "lots" || c.path[2].Key != "price" && c.path[2].Key != "likely" {
		return c.text
	}
	typed := barePrices().FindStringSubmatch(c.text)
	if typed == nil {
		return c.text
	}
	in := h.foreign()
	if h.File != nil { // else with mistakes elsewhere, as while it is begun
		in = h.currencyOf(h.File.LotAt(c.path[1].ID))
	}
	if sign := typed[2]; sign != "" && !slices.Contains(money.Meant("1"+sign, 0), "1"+in) {
		return c.text
	}
	return typed[1] + in
}

// barePrices are figures, or two with a word or a mark between, and a sign behind.
var barePrices = sync.OnceValue(func() *regexp.Regexp {
	const figures = `[0-9][-–.,0-9oO\s]*`
	return regexp.MustCompile(`^(` + figures + `(?:(?:\s\pL{1,5}\s+|/\s?)` + figures + `)?)(\p{Sc}?)$`)
})

// unclear is what is wrong with a lot of a box that is none, with what may be a day or an hour, and
// with figures alone for what the way costs, which a file takes for home currency, in a haul whose
// lots are paid in another: nobody who types 4100 beside 9800 JPY means 4100 EUR. It is nil where
// nothing is.
func (h *haul) unclear(c change) *source.Fault {
	n := len(c.path)
	f := &source.Fault{At: source.Origin{File: h.Name}, Field: c.path.String()}
	switch key, list := c.path[n-1].Key, c.path[0].Key; {
	case key == "~lots":
		_, name := lotsNamed(h.Doc, c.text)
		if name == "" {
			return nil
		}
		f.What, f.Remedy = fmt.Sprintf("no lot is called %q", name), "known here: "+h.lotsIn(h.at("lots"), "id")
	case n != 3:
		return nil
	case key == "closes" && dayOrHour().MatchString(c.text):
		f.What, f.Remedy = fmt.Sprintf("%q may be a day or an hour", c.text), "write "+c.text+". or "+strings.Replace(c.text, ".", ":", 1)
	case bareFigures().MatchString(c.text) && strings.Trim(c.text, "0") != "" && slices.Contains([]string{"charges.amount", "parcels.freight", "parcels.insurance", "parcels.fees"}, list+"."+key):
		other, home := h.foreign(), " "+h.home()
		if other == "" || other == home {
			return nil
		}
		f.What, f.Remedy = fmt.Sprintf("%q may be in%s or in%s", c.text, home, other), "write "+c.text+home+" or "+c.text+other
	default:
		return nil
	}
	return f
}

// foreign is the currency of the lots, with a space before it; "" where there are none or several.
func (h *haul) foreign() string {
	if h.File != nil {
		return h.currencyOf(-1)
	}
	var found []string
	texts := []string{h.typed(h.at("bidding", "start"))}
	for i := range h.Doc.Len(h.at("lots")) {
		texts = append(texts, h.typed(h.at("lots", i, "price")))
	}
	for _, text := range texts {
		if cur, err := money.ParseCurrency(text[strings.LastIndex(text, " ")+1:]); err == nil {
			found = append(found, " "+cur.Code())
		}
	}
	return onlyOne(found)
}

// onlyOne is what all of some are; "" where there are none or several.
func onlyOne(list []string) string {
	slices.Sort(list)
	if list = slices.Compact(list); len(list) != 1 {
		return ""
	}
	return list[0]
}

// onTheDay is the hour at which a lot closes, as a file has it, on the day of the haul where it was
// typed alone: as 20:15, or as other countries write it.
func (h *haul) onTheDay(c change) string {
	if len(c.path) != 3 || c.path[2].Key != "closes" {
		return c.text
	}
	typed := hour().FindStringSubmatch(c.text)
	if typed == nil {
		return c.text
	}
	day, at := cmp.Or(strings.TrimSpace(typed[1]), h.typed(h.at("date"))), typed[2]
	if n, _ := strconv.Atoi(at); typed[4] != "" && n <= 12 {
		at = strconv.Itoa(n%12 + map[bool]int{true: 12}[strings.EqualFold(typed[4], "p")])
	}
	return strings.TrimSpace(fmt.Sprintf("%s %02s:%02s", day, at, cmp.Or(typed[3], "00")))
}

// withYear is the text of a change with the year of a day that was typed without one, as 29.11., or
// with two digits of it, as 3.1.27: the one in which it is nearest to today, or to the day of the
// haul where that is to come.
func (h *haul) withYear(c change) string {
	if key := c.path[len(c.path)-1].Key; !slices.Contains([]string{"date", "closes", "arrived", "leaves", "returned"}, key) {
		return c.text
	}
	typed := dayOnly().FindStringSubmatch(c.text)
	if typed == nil {
		return c.text
	}
	near := h.desk.Today()
	if day, err := time.Parse(time.DateOnly, h.typed(h.at("date"))); err == nil && day.After(near) {
		near = day
	}
	forms := []string{"2.1.2006"}
	if typed[2] == "/" && !h.Comma() { // the month may come first
		forms = append(forms, "1.2.2006")
	}
	best := time.Time{}
	for _, form := range forms {
		known := !best.IsZero()
		for year := near.Year() - 1; year <= near.Year()+1; year++ {
			day, err := time.Parse(form, fmt.Sprintf("%s.%s.%d", typed[1], typed[3], year))
			switch {
			case err != nil || !strings.HasSuffix(strconv.Itoa(year), typed[4]):
			case known: // it may be either
				return c.text
			case best.IsZero() || day.Sub(near).Abs() < best.Sub(near).Abs():
				best = day
			}
		}
	}
	if best.IsZero() { // there is no such day
		return c.text
	}
	return best.Format(time.DateOnly) + typed[5]
}

// dayOnly is a day and a month with points or a stroke between, as they are written where there are
// decimal commas, the last two digits of a year or none, and an hour behind.
var dayOnly = sheet.Pattern(`^([0-9]{1,2})([./]) ?([0-9]{1,2})(?:[./] ?([0-9]{2})|\.)?((?: .*[0-9].*)?)$`)

// hour is one as 20:15, 20.15, 2015, 20h15, 20h, 20, kl. 20:15, 20:15 Uhr or 8:15 pm, and a day
// before it.
var hour = sheet.Pattern(`(?i)^([0-9]{4}-[0-9]{2}-[0-9]{2} )?(?:kl\.? ?|à )?([0-9]{1,2})(?:[:.h]? ?([0-9]{2}))?(?: ?h| ?uhr| ?([ap])\.?m\.?)?$`)

// dayOrHour is what may be either where a lot closes, as 20.10.
var dayOrHour = sheet.Pattern(`^([01]?[0-9]|2[0-3])\.(0[1-9]|1[0-2])$`)

// currencyOf is the currency in which a lot is bid for, else the one of all the others, with a
// space before it; "" where that is not known.
func (h *haul) currencyOf(lot int) string {
	var others []string
	for i := range h.File.Lots {
		cur := h.File.Bidding.Currency(&h.File.Lots[i])
		if cur != 0 && i == lot {
			return " " + cur.Code()
		} else if cur != 0 {
			others = append(others, " "+cur.Code())
		}
	}
	return onlyOne(others)
}

var bareFigures = sheet.Pattern(`^[0-9][-–.,0-9\s]*$`)

// withMark writes the decimal mark of a figure as the file has it, where its thousands stand apart
// and leave no doubt which mark that is, as in 1'234.56.
func (h *haul) withMark(text string) string {
	typed := apartThousands().FindStringSubmatch(text)
	if typed == nil {
		return text
	}
	return h.marked(strings.NewReplacer(" ", "", "'", "", "’", "", "\u00a0", "", "\u202f", "").Replace(typed[1]) + "." + typed[2] + typed[3])
}

var apartThousands = sheet.Pattern(`^(-?[1-9][0-9]{0,2}(?:[ '’\x{a0}\x{202f}][0-9]{3})+)[.,]([0-9]{1,2})( ?[\pL\p{Sc}]*)$`)

// onlyReading is how a value was to be written, by what is wrong with it; "" where nothing is,
// where it may be several things, or where anything of it would be guessed: of the currencies of a
// sign that of the haul is meant, and home currency where figures alone are.
func (h *haul) onlyReading(faults []fault, name, typed string) string {
	i := slices.IndexFunc(faults, func(f fault) bool { return f.Field == name })
	if i < 0 {
		return ""
	}
	said := faults[i].What + ": " + faults[i].Remedy
	at := strings.LastIndex(said, ": write ")
	if at < 0 {
		return ""
	}
	text := strings.TrimSuffix(said[at+len(": write "):], ": ")
	readings, more := strings.Split(text, " or "), ""
	if hundredths().MatchString(typed) { // which no mark of thousands leaves behind it
		readings = slices.DeleteFunc(readings, func(r string) bool { return !strings.ContainsAny(r, ".,") })
		text = strings.Join(readings, " or ")
	}
	if strings.Contains(text, " = ") { // a rate: of which currencies is known
		more = h.home() + h.foreign()
	}
	if signed().MatchString(typed) {
		ours := slices.DeleteFunc(readings, func(r string) bool {
			return !strings.HasSuffix(r, " "+h.home()) && (h.foreign() == "" || !strings.HasSuffix(r, h.foreign()))
		})
		if len(ours) == 1 {
			text, typed = ours[0], typed+ours[0][strings.LastIndex(ours[0], " "):]
		}
	} else if bareFigures().MatchString(typed) {
		text = strings.TrimSuffix(text, " "+h.home())
	}
	if strings.Contains(text, " or ") || slices.Compare(figuresOf(text), figuresOf(typed)) != 0 || strings.Trim(text, "%.-: 0123456789,="+typed+more) != "" {
		return ""
	}
	return text
}

// hundredths is a figure with one mark in it, and one digit or two behind that.
var hundredths = sheet.Pattern(`^[^.,]*[.,][0-9]{1,2}[^.,0-9]*$`)

// signed is a figure with the sign of a currency, of which a part is none: 52 CA is half typed.
var signed = sync.OnceValue(func() *regexp.Regexp {
	const sign = `(?:\p{Sc}|円|元|[kK]r\.?)`
	return regexp.MustCompile(`^(?:` + sign + ` ?[0-9][-–.,0-9\s]*|[0-9][-–.,0-9\s]*` + sign + `)$`)
})

// figuresOf are the digits of a text in the order of their size, without the noughts of a day.
func figuresOf(text string) []byte {
	digits := slices.DeleteFunc([]byte(text), func(c byte) bool { return c < '1' || c > '9' })
	slices.Sort(digits)
	return digits
}

// lotsNamed are the ids of the lots that a text names with commas between, by their titles, which
// may hold commas too, or their ids; and the first of it that names none.
func lotsNamed(d *edit.Doc, text string) (ids []string, unknown string) {
	const between = ",; "
	for text = strings.Trim(text, between); text != ""; text = strings.TrimLeft(text, between) {
		name, of := "", ""
		for lot := range d.Len(edit.Path{{Key: "lots"}}) {
			id, _ := d.Text(edit.Path{{Key: "lots"}}.Below(lot, "id"))
			for _, by := range []string{lotTitle(d, id), id} {
				if n := len(by); n > len(name) && n <= len(text) && strings.EqualFold(text[:n], by) && strings.Trim(text[n:min(n+1, len(text))], between) == "" {
					name, of = by, id
				}
			}
		}
		if name == "" {
			name, _, _ = strings.Cut(strings.ReplaceAll(text, ";", ","), ",")
			of = strings.TrimSpace(name)
			unknown = cmp.Or(unknown, of)
		}
		ids, text = append(ids, of), text[len(name):]
	}
	return ids, unknown
}

// lotTitle is what a lot is called where nothing tells it from others that are called alike.
func lotTitle(d *edit.Doc, id string) string {
	title, _ := d.Text(edit.Path{{Key: "lots"}, {ID: id}, {Key: "title"}})
	return cmp.Or(title, spoken("lot", id))
}
