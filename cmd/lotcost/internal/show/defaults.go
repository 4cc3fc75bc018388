package show

import (
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
)

// figures are which figure stands in which file, and why there.
func figures(d *lotfile.Defaults) []sheet.Block {
	t := &sheet.Table{Title: "Which figure stands where", Columns: []sheet.Column{
		{Head: "figure", Key: "figure", Wrap: true, Min: 12},
		{Head: "value", Key: "value", Wrap: true, Min: 12},
		{Head: "line", Key: "line", Wrap: true, Min: 12},
	}}
	for _, f := range d.Figures {
		t.Add(f.What, f.Value, f.At.String())
	}
	if d.Beside {
		return []sheet.Block{t, remark("The lot file came by standard input, so its defaults were looked for in the working folder.")}
	}
	return []sheet.Block{t}
}

// figuresJSON is the same for [sheet.WriteJSON].
func figuresJSON(d *lotfile.Defaults) object {
	return object{"stands_in", sheet.Each(d.Figures, func(f *lotfile.Figure) object {
		return object{"figure", f.What, "value", f.Value, "file", f.At.File, "line", f.At.Line}
	})}
}
