package desk

import (
	"fmt"
	"net/http"
	"os"
	"time"
)

// lookEvery is how often a file is looked at while a page shows it.
const lookEvery = time.Second

// events tells a page when the file that it shows changes on disk, as long as it is open.
func (d *Desk) events(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	data, err := d.folder.text(name)
	if err != nil {
		return err
	}
	out := http.NewResponseController(w)
	out.SetReadDeadline(time.Time{}) // it lasts as long as the page does
	out.SetWriteDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	tell := func(mark string) bool {
		_, err := fmt.Fprintf(w, "event: file\ndata: %s\n\n", mark)
		return err == nil && out.Flush() == nil
	}
	seen := mark(data)
	if !tell(seen) {
		return nil
	}
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	var last os.FileInfo
	for {
		select {
		case <-r.Context().Done():
			return nil
		case <-tick.C:
		}
		info, err := os.Stat(d.folder.full(name))
		if err != nil || last != nil && info.ModTime().Equal(last.ModTime()) && info.Size() == last.Size() {
			continue
		}
		last = info
		if data, err = d.folder.text(name); err != nil || mark(data) == seen {
			continue
		}
		if seen = mark(data); !tell(seen) {
			return nil
		}
	}
}
