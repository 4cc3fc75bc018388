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
				h.page(httptest.NewRecorder(), r)
			}
		})
	}
}

// BenchmarkViews is what a key costs in each view of three lots in two boxes.
func BenchmarkViews(b *testing.B) {
	s := entered(b, "three.yaml", three)
	for _, v := range views {
		b.Run(v.id, func(b *testing.B) {
			for b.Loop() {
				if got := s.post("/try", "file", "three.yaml", "mark", mark([]byte(three)), "view", v.id, "path", "lots[kanna].price", "value", "9900 JPY"); got.status != 200 {
					b.Fatal(got.status, got.body)
				}
			}
		})
	}
}
