package cells

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// decode returns text as UTF-8, and the name of the encoding that it was in where
// that is another one.
func decode(data []byte) ([]byte, string) {
	switch {
	case len(data) > MaxBytes:
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		return fromUTF16(data[2:], binary.LittleEndian), "UTF-16"
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return fromUTF16(data[2:], binary.BigEndian), "UTF-16"
	case isWindows(data):
		return fromWindows(data), "Windows-1252"
	}
	return data, ""
}

// fromUTF16 writes UTF-16 as UTF-8, with U+FFFD for what is none.
func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, 0, len(data)/2+1)
	for ; len(data) > 1; data = data[2:] {
		units = append(units, order.Uint16(data))
	}
	if len(data) > 0 {
		units = append(units, utf8.RuneError)
	}
	return []byte(string(utf16.Decode(units)))
}

// windows are the characters of Windows-1252 from 0x80 to 0x9F, with U+FFFD for what it leaves
// free. All others are those of Unicode. TestWindows holds it to golang.org/x/text.
var windows = [...]rune{
	'€', '\uFFFD', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\uFFFD', 'Ž', '\uFFFD',
	'\uFFFD', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\uFFFD', 'ž', 'Ÿ',
}

// fromWindows writes Windows-1252 as UTF-8.
func fromWindows(data []byte) []byte {
	out := make([]byte, 0, len(data)+len(data)/8)
	for _, b := range data {
		r := rune(b)
		if at := int(b) - 0x80; at >= 0 && at < len(windows) {
			r = windows[at]
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

// rare are the bytes that Windows-1252 leaves free, or has for what stands in no
// list; encodings of other languages are full of them.
const (
	quotes = "\x84\x85\x91\x92\x93\x94\x96\x97"
	rare   = "\x81\x83\x88\x8d\x8f\x90\x98\x9d"
)

// isWindows reports whether data is text in the encoding of western spreadsheets
// rather than a damaged one in UTF-8 or one of another language. Of any pair of
// bytes that UTF-8 has, hardly one stands in western words.
func isWindows(data []byte) bool {
	if utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 || hasAny(data, rare) {
		return false
	}
	for rest := data; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		if n > 1 && r != utf8.RuneError {
			return false
		}
		// Before a letter with an accent stand quotes and dashes alone.
		if n == 1 && len(rest) > 1 && rest[0] >= 0x80 && rest[0] < 0xA0 && rest[1] >= 0xA0 && strings.IndexByte(quotes, rest[0]) < 0 {
			return false
		}
		rest = rest[n:]
	}
	return true
}

func hasAny(data []byte, some string) bool {
	for i := range len(some) {
		if bytes.IndexByte(data, some[i]) >= 0 {
			return true
		}
	}
	return false
}
