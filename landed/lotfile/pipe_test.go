//go:build unix

package lotfile_test

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"lotcost/landed/lotfile"
)

// TestPipe: a pipe named in a lot file would be waited for without end.
func TestPipe(t *testing.T) {
	folder := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(folder, "items.csv"), 0o600); err != nil {
		t.Skip(err)
	}
	path := filepath.Join(folder, "haul.yaml")
	if err := os.WriteFile(path, []byte("lotcost: 1\nhome: CAD\nlots: [{id: crate, price: 1, items: items.csv}]\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	const with = `with: "items.csv" is no plain file: name a file, not a pipe or a device`
	if _, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nwith: items.csv\nlots: [{id: crate, price: 1, items: [{id: jack}]}]\n"), folder, lotfile.Options{}); err == nil || err.Error() != "haul.yaml:2:7: "+with {
		t.Errorf("got %v, want %s", err, with)
	}
	want := path + `:3:37: lot crate: items: "items.csv" is no plain file: name a file, not a pipe or a device`
	if _, err := lotfile.Read(path, lotfile.Options{}); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
