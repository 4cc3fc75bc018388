package cells

import (
	"encoding/binary"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// TestWindows decodes each byte as golang.org/x/text does, by the table of the WHATWG.
func TestWindows(t *testing.T) {
	for b := range 256 {
		want, err := charmap.Windows1252.NewDecoder().Bytes([]byte{byte(b)})
		if err != nil {
			t.Fatal(err)
		}
		if got := fromWindows([]byte{byte(b)}); string(got) != string(want) {
			t.Errorf("0x%X is %q, want %q", b, got, want)
		}
	}
}

// TestUTF16 decodes characters of one and two units, and what is no text, as golang.org/x/text
// does.
func TestUTF16(t *testing.T) {
	for _, text := range []string{"", "a", "a\x00b\x20", "\x3d\xd8\x00\xde", "\x00\xde\x3d\xd8", "\x3d\xd8a\x00", "\x3d\xd8", "a\x00\x3d"} {
		for order, endian := range map[binary.ByteOrder]unicode.Endianness{binary.LittleEndian: unicode.LittleEndian, binary.BigEndian: unicode.BigEndian} {
			want, err := unicode.UTF16(endian, unicode.IgnoreBOM).NewDecoder().Bytes([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if got := fromUTF16([]byte(text), order); string(got) != string(want) {
				t.Errorf("%q in %s is %q, want %q", text, order, got, want)
			}
		}
	}
}
