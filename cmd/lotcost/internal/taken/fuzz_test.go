package taken_test

import (
	"archive/zip"
	"bytes"
	"io"
	"maps"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/landed/lotfile"
)

const small = "lotcost: 1\nhome: CAD\nexchange: {rates: [100 JPY = 0.93 CAD]}\nlots:\n  - id: crate\n    price: 4200 JPY  # asked\n    items: [{id: jack, weight: 1.9 kg, value: 38 CAD}, {id: square, weight: 310 g, value: 12 CAD}]\ncharges: [{what: Post, kind: freight, amount: 2100 JPY}]\n"

// FuzzRead gives spoilt sheets of a workbook: whatever stands there, what comes of it is errors, or
// changes of values that a workbook has a cell for.
func FuzzRead(f *testing.F) {
	parts := partsOf(f, bytesOf(f, book(f, "haul.yaml", []byte(small))))
	names := slices.Sorted(maps.Keys(parts))
	for _, name := range names {
		if strings.HasPrefix(name, "xl/") {
			f.Add(name, parts[name])
			f.Add(name, bytes.Replace(parts[name], []byte("1900"), []byte("2000"), 1))
		}
	}
	known := map[string]bool{}
	for _, in := range live.Inputs(split(f, "haul.yaml", []byte(small))) {
		known[in.Key] = in.Not == ""
	}
	f.Fuzz(func(t *testing.T, name string, part []byte) {
		r, err := taken.Read(taken.File{Path: "haul.yaml", Text: []byte(small)}, "costs.xlsx", zipped(t, names, parts, name, part))
		if err != nil {
			return
		}
		if (len(r.Changes) > 0) != (len(r.Files) > 0) {
			t.Errorf("%d changes of %d files", len(r.Changes), len(r.Files))
		}
		for _, c := range r.Changes {
			if !known[c.Of] {
				t.Errorf("%+v is changed", c)
			}
		}
		for _, file := range r.Files {
			if _, err := lotfile.ReadText(file.Path, file.After, lotfile.Options{}); err != nil {
				t.Error(err)
			}
		}
	})
}

// partsOf are the files in an archive.
func partsOf(f testing.TB, whole []byte) map[string][]byte {
	f.Helper()
	parts := map[string][]byte{}
	z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range z.File {
		in, err := file.Open()
		if err != nil {
			f.Fatal(err)
		}
		if parts[file.Name], err = io.ReadAll(in); err != nil {
			f.Fatal(err)
		}
	}
	return parts
}

// zipped is an archive of parts, one of them another one.
func zipped(t *testing.T, names []string, parts map[string][]byte, name string, part []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, other := range names {
		to, err := w.CreateHeader(&zip.FileHeader{Name: other, Method: zip.Store})
		if err != nil {
			t.Fatal(err)
		}
		text := parts[other]
		if other == name {
			text = part
		}
		if _, err := to.Write(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
