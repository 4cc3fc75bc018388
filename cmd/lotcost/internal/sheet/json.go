package sheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"lotcost/landed/money"
)

// WriteJSON writes v with a newline at the end. The fields of a struct stand on lines of their
// own, and so do the entries of its lists; what is below them stays on one line. Characters that
// would act on a terminal are escaped, which changes no value; those of HTML are not. The fields of
// more structs follow those of v, where that is a struct.
func WriteJSON(w io.Writer, v any, more ...any) error {
	out := &JSON{w: w, lines: true}
	out.whole(v, more)
	if out.flush(0); out.err != nil {
		return out.err
	}
	return nil
}

// AppendJSON appends what [WriteJSON] writes, on one line.
func AppendJSON(b []byte, v any, more ...any) ([]byte, error) {
	out := &JSON{text: b}
	out.whole(v, more)
	return out.text, out.err
}

// Fields is a struct that writes its own fields as JSON: for what is large or written often, since
// the rules of encoding/json for tags take several times as long.
type Fields interface{ WriteFields(*JSON) }

// Entries writes the values of a list, for a field of a struct that is long: none is held.
type Entries func(*JSON)

// JSON is JSON being written, piece by piece, so that a long list is never held as a whole. In an
// object a key comes before each value.
type JSON struct {
	w     io.Writer // where text goes when it has grown; may be nil
	text  []byte
	lines bool // whether fields and their entries stand on lines of their own
	open  []byte
	begun bool // whether what is open holds something
	keyed bool // whether a key was written, whose value follows
	err   error
}

// most is how much text is held before it is written on, in bytes.
const most = 1 << 16

func (j *JSON) flush(from int) {
	if j.err == nil && j.w != nil && len(j.text) > from {
		_, j.err = j.w.Write(j.text)
		j.text = j.text[:0]
	}
}

// whole writes a value and the fields of others, and ends the line.
func (j *JSON) whole(v any, more []any) {
	if _, own := v.(Fields); own || reflect.ValueOf(v).Kind() == reflect.Struct {
		j.Begin('{')
		for _, v := range append([]any{v}, more...) {
			j.fields(v)
		}
		j.End('}')
	} else {
		j.Value(v)
	}
	j.text = append(j.text, '\n')
}

// fields writes those of a struct, by the rules of encoding/json for its tags unless it has its
// own.
func (j *JSON) fields(of any) {
	if own, ok := of.(Fields); ok {
		own.WriteFields(j)
		return
	}
	v := reflect.ValueOf(of)
	for i := range v.NumField() {
		name, options, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		field := v.Field(i)
		if options == "omitempty" && empty(field) {
			continue
		}
		j.Key(name)
		if list, ok := field.Interface().(Entries); ok {
			j.Begin('[')
			list(j)
			j.End(']')
			continue
		}
		if field.Kind() != reflect.Slice || field.Len() == 0 {
			j.Value(field.Interface())
			continue
		}
		j.Begin('[')
		for i := range field.Len() {
			j.Value(field.Index(i).Interface())
		}
		j.End(']')
	}
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String:
		return v.Len() == 0
	}
	return v.IsZero()
}

// Begin begins an object or a list, by its bracket.
func (j *JSON) Begin(bracket byte) {
	j.lead()
	j.text = append(j.text, bracket)
	j.open, j.begun = append(j.open, bracket), false
}

// End ends what was begun last, by its bracket.
func (j *JSON) End(bracket byte) {
	depth := len(j.open) - 1
	if j.lines && j.begun && depth < 2 {
		j.text = append(j.text, "\n  "[:1+2*depth]...)
	}
	j.text = append(j.text, bracket)
	j.open, j.begun = j.open[:depth], true
}

// lead writes what parts a value from what stands before it.
func (j *JSON) lead() {
	if j.keyed || len(j.open) == 0 {
		j.keyed = false
		return
	}
	if j.begun {
		j.text = append(j.text, ',')
	}
	if j.begun = true; j.lines && len(j.open) <= 2 {
		j.text = append(j.text, "\n    "[:1+2*len(j.open)]...)
		j.flush(most)
	}
}

// Key begins a field.
func (j *JSON) Key(name string) {
	j.lead()
	if j.quote(name); j.lines && len(j.open) == 1 {
		j.text = append(j.text, ": "...)
	} else {
		j.text = append(j.text, ':')
	}
	j.keyed = true
}

// Text writes a text.
func (j *JSON) Text(s string) {
	j.lead()
	j.quote(s)
}

// Field writes a field that is a text.
func (j *JSON) Field(name, text string) {
	j.Key(name)
	j.Text(text)
}

// Given writes a field that is a text, unless that is empty.
func (j *JSON) Given(name, text string) {
	if text != "" {
		j.Field(name, text)
	}
}

// Count writes a field that is a number.
func (j *JSON) Count(name string, n int64) {
	j.Key(name)
	j.lead()
	j.text = strconv.AppendInt(j.text, n, 10)
}

// Amount writes a field that is an amount, as a text of the figure alone.
func (j *JSON) Amount(name string, a money.Amount) {
	j.Key(name)
	j.lead()
	j.text = append(a.AppendNumber(append(j.text, '"')), '"')
}

// Value writes any value on one line, by the rules of encoding/json.
func (j *JSON) Value(v any) {
	j.lead()
	j.encode(v)
}

// encode writes a value by the rules of encoding/json.
func (j *JSON) encode(v any) {
	if j.err != nil {
		return
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if j.err = enc.Encode(v); j.err == nil {
		j.text = append(j.text, escapeHidden(bytes.TrimSuffix(b.Bytes(), []byte("\n")))...)
	}
}

// quote writes a text in quotes.
func (j *JSON) quote(s string) {
	for _, r := range s {
		if r < ' ' || r == '"' || r == '\\' || r == utf8.RuneError || r >= 0x7f && hidden(r) {
			j.encode(s)
			return
		}
	}
	j.text = append(append(append(j.text, '"'), s...), '"')
}

// escapeHidden spells out hidden characters in a JSON text. They can only stand in its strings.
func escapeHidden(text []byte) []byte {
	if bytes.IndexFunc(text, func(r rune) bool { return r >= 0x7f && hidden(r) }) < 0 {
		return text
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		if !hidden(r) {
			b.WriteRune(r)
			continue
		}
		for _, unit := range utf16.AppendRune(nil, r) {
			fmt.Fprintf(&b, `\u%04x`, unit)
		}
	}
	return b.Bytes()
}
