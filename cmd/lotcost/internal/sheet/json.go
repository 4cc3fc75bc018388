package sheet

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode/utf16"
)

// WriteJSON writes v with a newline at the end. The fields of a struct stand on lines of their
// own, and so do the entries of its lists; what is below them stays on one line. Characters that
// would act on a terminal are escaped, which changes no value; those of HTML are not. The fields of
// more structs follow those of v, where that is a struct.
func WriteJSON(w io.Writer, v any, more ...any) error {
	out := &jsonWriter{Writer: bufio.NewWriterSize(w, 1<<16)}
	out.enc = json.NewEncoder(&out.buf)
	out.enc.SetEscapeHTML(false)
	if value := reflect.ValueOf(v); value.Kind() == reflect.Struct {
		out.text("{")
		lead := "\n  "
		for _, v := range append([]any{v}, more...) {
			lead = out.fields(reflect.ValueOf(v), lead)
		}
		out.text("\n}")
	} else {
		out.value(v)
	}
	out.text("\n")
	if out.err != nil {
		return out.err
	}
	return out.Flush()
}

// jsonWriter writes JSON piece by piece, so that a long list is never held as a whole.
type jsonWriter struct {
	*bufio.Writer
	buf bytes.Buffer
	enc *json.Encoder
	err error
}

func (j *jsonWriter) text(s string) {
	if j.err == nil {
		_, j.err = j.WriteString(s)
	}
}

// value writes v on one line.
func (j *jsonWriter) value(v any) {
	if j.err != nil {
		return
	}
	j.buf.Reset()
	if j.err = j.enc.Encode(v); j.err == nil {
		_, j.err = j.Write(escapeHidden(bytes.TrimSuffix(j.buf.Bytes(), []byte("\n"))))
	}
}

// fields writes those of a struct by the rules of encoding/json for its tags, and returns what
// leads to a next one.
func (j *jsonWriter) fields(v reflect.Value, lead string) string {
	for i := range v.NumField() {
		name, options, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		field := v.Field(i)
		if options == "omitempty" && empty(field) {
			continue
		}
		j.text(lead)
		lead = ",\n  "
		j.value(name)
		j.text(": ")
		if field.Kind() == reflect.Slice && field.Len() > 0 {
			j.list(field)
		} else {
			j.value(field.Interface())
		}
	}
	return lead
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String:
		return v.Len() == 0
	}
	return v.IsZero()
}

func (j *jsonWriter) list(v reflect.Value) {
	for i := range v.Len() {
		if i == 0 {
			j.text("[\n    ")
		} else {
			j.text(",\n    ")
		}
		j.value(v.Index(i).Interface())
	}
	j.text("\n  ]")
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
