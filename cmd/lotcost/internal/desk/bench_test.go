package desk

import (
	"net/http/httptest"
	"os"
	"testing"
	"time"

	"lotcost/landed/lotfile"
)

// BenchmarkBefore is what a key costs before the sale: the file read, the bid found, the page made.
func BenchmarkBefore(b *testing.B) {
	for _, name := range []string{"one-crate/1-before", "before-bidding", "first-bid"} {
		b.Run(name, func(b *testing.B) {
			folder := b.TempDir()
			if err := os.CopyFS(folder, os.DirFS("../../../../examples")); err != nil {
				b.Fatal(err)
			}
			d, err := New(Options{Folder: folder, Files: lotfile.Options{}, Today: time.Now})
			if err != nil {
				b.Fatal(err)
			}
			r := httptest.NewRequest("GET", "/haul/x?view=before", nil)
			for b.Loop() {
				h, err := d.read(name + "/haul.yaml")
				if err != nil {
					b.Fatal(err)
				}
				h.View = beforeView
				h.page(httptest.NewRecorder(), r, 200)
			}
		})
	}
}
