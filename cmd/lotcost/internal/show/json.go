package show

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode/utf16"
)

// WriteJSON writes v indented by two spaces, with a newline at the end. Characters that would act
// on a terminal are escaped, which changes no value; those of HTML are not. Nothing is written
// when v cannot be encoded.
func WriteJSON(w io.Writer, v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(escapeHidden(b.Bytes()))
	return err
}

// escapeHidden spells out hidden characters in a JSON text. They can only stand in its strings,
// newlines apart.
func escapeHidden(text []byte) []byte {
	var b bytes.Buffer
	for _, r := range string(text) {
		if r == '\n' || !hidden(r) {
			b.WriteRune(r)
			continue
		}
		for _, unit := range utf16.AppendRune(nil, r) {
			fmt.Fprintf(&b, `\u%04x`, unit)
		}
	}
	return b.Bytes()
}
