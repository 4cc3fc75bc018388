package sheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"lotcost/landed/money"
)

// WriteJSON writes v with a newline at the end. The fields of an object stand on lines of their
// own, and so do the entries of its lists; what is below them stays on one line. Characters that
// would act on a terminal are escaped, which changes no value; those of HTML are not. More fields
// follow those of v, where that has some.
func WriteJSON(w io.Writer, v any, more ...Fields) error {
	out := &JSON{w: w, lines: true}
	out.whole(v, more)
	if out.flush(0); out.err != nil {
		return out.err
	}
	return nil
}

// AppendJSON appends what [WriteJSON] writes, on one line.
func AppendJSON(b []byte, v any, more ...Fields) ([]byte, error) {
	out := &JSON{text: b}
	out.whole(v, more)
	return out.text, out.err
}

// Fields writes the fields of an object: an [Object], or what is large or written often.
type Fields interface{ WriteFields(*JSON) }

// Object is the names and the values of its fields in turn. A field whose name ends in a question
// mark, which is no part of it, is left out where the value is empty.
type Object []any

// WriteFields implements [Fields].
func (o Object) WriteFields(j *JSON) {
	for i := 0; i+1 < len(o); i += 2 {
		name, optional := strings.CutSuffix(o[i].(string), "?")
		if !optional || !empty(o[i+1]) {
			j.Key(name)
			j.Value(o[i+1])
		}
	}
}

func empty(of any) bool {
	v := reflect.ValueOf(of)
	switch v.Kind() {
	case reflect.Invalid:
		return true
	case reflect.Slice, reflect.Map:
		return v.Len() == 0
	}
	return v.IsZero()
}

// Each makes something of each entry of a list.
func Each[T, U any](list []T, of func(*T) U) []U {
	out := make([]U, len(list))
	for i := range list {
		out[i] = of(&list[i])
	}
	return out
}

// All are the entries of a list, each where it stands in it.
func All[T any](list []T) iter.Seq[*T] {
	return func(yield func(*T) bool) {
		for i := range list {
			if !yield(&list[i]) {
				return
			}
		}
	}
}

// Either is one of two values, by whether something holds. Both are made, so that one which needs
// what holds, or takes long, stands behind an if instead.
func Either[T any](holds bool, then, otherwise T) T {
	if holds {
		return then
	}
	return otherwise
}

// Objects writes objects as the entries of a list, one for each entry of another.
func Objects[T any](j *JSON, list []T, fields func(*JSON, *T)) {
	for i := range list {
		j.Begin('{')
		fields(j, &list[i])
		j.End('}')
	}
}

// List writes a field that is a list of such objects.
func List[T any](j *JSON, name string, list []T, fields func(*JSON, *T)) {
	j.Key(name)
	j.Begin('[')
	Objects(j, list, fields)
	j.End(']')
}

// Entries writes the values of a list that is long: none is held.
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

// whole writes a value and further fields, and ends the line.
func (j *JSON) whole(v any, more []Fields) {
	if own, ok := v.(Fields); ok {
		j.Begin('{')
		for _, f := range append([]Fields{own}, more...) {
			f.WriteFields(j)
		}
		j.End('}')
	} else {
		j.lines = false
		j.Value(v)
	}
	j.text = append(j.text, '\n')
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

// named is the text with the name of a field, and what parts it from its value.
func (j *JSON) named(name string) []byte {
	if j.begun && !j.lines { // in an object, where a name stands, nothing is keyed
		return append(append(append(j.text, ',', '"'), name...), '"', ':')
	}
	j.lead()
	text := append(append(append(j.text, '"'), name...), '"', ':')
	if j.lines && len(j.open) == 1 {
		text = append(text, ' ')
	}
	return text
}

// Key begins a field. Its name is one of ours, in which no sign is escaped.
func (j *JSON) Key(name string) { j.text, j.keyed = j.named(name), true }

// Text writes a text.
func (j *JSON) Text(s string) {
	j.lead()
	j.text = j.quoted(j.text, s)
}

// Field writes a field that is a text.
func (j *JSON) Field(name, text string) { j.text = j.quoted(j.named(name), text) }

// Given writes a field that is a text, unless that is empty.
func (j *JSON) Given(name, text string) {
	if text != "" {
		j.Field(name, text)
	}
}

// Count writes a field that is a number.
func (j *JSON) Count(name string, n int64) { j.text = strconv.AppendInt(j.named(name), n, 10) }

// Amount writes a field that is an amount, as a text of the figure alone.
func (j *JSON) Amount(name string, a money.Amount) {
	j.text = append(a.AppendNumber(append(j.named(name), '"')), '"')
}

// Appended writes a field that is a text, in which no sign is escaped, as another appends it.
func (j *JSON) Appended(name string, text func([]byte) []byte) {
	j.text = append(text(append(j.named(name), '"')), '"')
}

// Value writes a value: an [Object], [Entries], a list of values, an amount, a day or what has
// words, or else by the rules of encoding/json.
func (j *JSON) Value(of any) {
	switch v := of.(type) {
	case Object:
		j.object(v)
		return
	case Entries:
		j.Begin('[')
		v(j)
		j.End(']')
		return
	case bool:
		j.lead()
		j.text = strconv.AppendBool(j.text, v)
		return
	case int64:
		j.lead()
		j.text = strconv.AppendInt(j.text, v, 10)
		return
	case string, time.Time, money.Amount, fmt.Stringer:
		j.Text(AsText(v))
		return
	}
	if v := reflect.ValueOf(of); v.Kind() == reflect.Slice && !v.IsNil() {
		j.Begin('[')
		for i := range v.Len() {
			j.Value(v.Index(i).Interface())
		}
		j.End(']')
		return
	}
	j.lead()
	j.text = j.encoded(j.text, of)
}

// object writes one, on one line.
func (j *JSON) object(o Object) {
	j.Begin('{')
	lines := j.lines
	j.lines = false
	o.WriteFields(j)
	j.End('}')
	j.lines = lines
}

// encoded appends a value by the rules of encoding/json.
func (j *JSON) encoded(text []byte, v any) []byte {
	if j.err != nil {
		return text
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if j.err = enc.Encode(v); j.err != nil {
		return text
	}
	return append(text, escapeHidden(bytes.TrimSuffix(b.Bytes(), []byte("\n")))...)
}

// simple are the signs that stand for themselves in JSON.
var simple = func() (all [256]bool) {
	for c := ' '; c < 0x7f; c++ {
		all[c] = c != '"' && c != '\\'
	}
	return all
}()

// quoted appends a text in quotes.
func (j *JSON) quoted(text []byte, s string) []byte {
	for i := range len(s) {
		if simple[s[i]] {
			continue
		}
		if escapes(s[i:]) {
			return j.encoded(text, s)
		}
		break
	}
	return append(append(append(text, '"'), s...), '"')
}

// escapes reports whether any sign of a text in any letters does not stand for itself.
func escapes(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool {
		return r < ' ' || r == '"' || r == '\\' || r == utf8.RuneError || r >= 0x7f && hidden(r)
	})
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
