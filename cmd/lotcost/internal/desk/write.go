package desk

import (
	"bytes"
	"fmt"
	"mime"
	"net/http"
	"path"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
)

// offer is a form in which a haul can be written.
type offer struct {
	As, What, kind string
	write          func(h *haul, r show.Result, out *bytes.Buffer) error
}

var offers = []offer{
	{"xlsx", "a workbook", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", func(_ *haul, r show.Result, out *bytes.Buffer) error {
		return sheet.WriteWorkbook(out, r.Pages())
	}},
	{"csv", "a list for a spreadsheet", "text/csv; charset=utf-8", func(h *haul, r show.Result, out *bytes.Buffer) error {
		if h.Comma() {
			return sheet.WriteCSVWithCommas(out, r.Table())
		}
		return sheet.WriteCSV(out, r.Table())
	}},
}

// Offers are the forms in which the haul can be written.
func (h *haul) Offers() []offer { return offers }

// write hands over what a haul cost as a file, which goes where the browser puts it.
func (d *Desk) write(w http.ResponseWriter, r *http.Request) {
	h, err := d.read(r.PathValue("name"))
	if err != nil {
		missing(w, err)
		return
	}
	st := h.Statement()
	for _, o := range offers {
		if o.As != r.URL.Query().Get("as") {
			continue
		}
		if st == nil {
			refuse(w, http.StatusUnprocessableEntity, "There is nothing to write yet: nothing was bought, or the file has a mistake.")
			return
		}
		var out bytes.Buffer
		if err := o.write(h, show.Split(st), &out); err != nil {
			refuse(w, http.StatusInternalServerError, fmt.Sprintf("It could not be written: %v.", err))
			return
		}
		name := strings.TrimSuffix(path.Base(h.Name), ".yaml") + "." + o.As
		w.Header().Set("Content-Type", o.kind)
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
		w.Write(out.Bytes())
		return
	}
	refuse(w, http.StatusNotFound, "A haul cannot be written so.")
}
