package sheet

import (
	"cmp"
	"fmt"
	"html"
)

// Chart is a drawing of figures: what it says in words, what it shows, and the figures themselves a
// press away. Only a page has it.
type Chart struct {
	Title   string
	Says    string // what is seen, in words
	Drawing Drawing
	Legend  []Key
	Remarks []string // what the numbers in the drawing stand for, from 1 on
	Figures *Table   // nil where a table beside it holds them
}

// Drawing is [*Bars] or a [*Plot].
type Drawing interface{ draw(*canvas) }

// Key says what a colour and its pattern stand for.
type Key struct {
	Ink  Ink
	What string
}

// Ink is a colour with a pattern of its own: the first eight for kinds of cost, in their order.
type Ink int

// Inks that are not for kinds of cost.
const (
	Loss  Ink = 8 + iota // what is lost
	Gain                 // what is not
	Quiet                // what is there for comparison
	inkCount
)

func (c *Chart) html(h *htmlWriter) {
	h.WriteString(`<figure class="chart">` + "\n")
	id := html.EscapeString(h.heading(c.Title))
	h.between(`<p id="`+id+`:says">`, c.Says, "</p>\n")
	parts := []Drawing{c.Drawing}
	if bars, are := c.Drawing.(*Bars); are && len(bars.Rows) > mostRows {
		parts = bars.inParts()
	}
	for _, part := range parts {
		v := &canvas{marks: h.marks}
		part.draw(v)
		fmt.Fprintf(h, `<svg class="drawing" role="img" aria-labelledby="%s" aria-describedby="%s:says" width="100%%" height="%d"><title>%s</title>`+"\n", id, id, v.height, html.EscapeString(h.set(c.Title, false)))
		h.WriteString(v.String())
		h.WriteString("</svg>\n")
	}
	if len(c.Legend) > 0 {
		h.WriteString(`<ul class="legend">`)
		for _, k := range c.Legend {
			fmt.Fprintf(h, `<li><svg aria-hidden="true" width="18" height="12">%s</svg> %s</li>`, inked(k.Ink, `x="0.5" y="0.5" width="17" height="11"`), attr(k.What))
		}
		h.WriteString("</ul>\n")
	}
	if len(c.Remarks) > 0 {
		h.WriteString(`<ol class="remarks">`)
		for _, r := range c.Remarks {
			h.between("<li>", r, "</li>")
		}
		h.WriteString("</ol>\n")
	}
	if c.Figures != nil {
		fmt.Fprintf(h, `<details class="figures"><summary>The figures<span class="of"> of %s</span></summary>`, attr(h.marks.of(c.Title)))
		t := *c.Figures
		t.Title, t.Topic, t.Drawn = "", cmp.Or(t.Topic, h.marks.of(c.Title)), false
		t.html(h)
		h.WriteString("</details>\n")
	}
	h.WriteString("</figure>\n")
}
