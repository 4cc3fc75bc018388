package sheet

import (
	_ "embed"
	"fmt"
)

// Sale is what a page answers at the sale: to a price that is typed, or found along the ladder,
// what it costs and what comes of it. Every bid is priced beforehand and stands in the page as it
// does in JSON, so that its script only looks up.
type Sale struct {
	Bids     string     `json:"bids"` // codes of currencies
	Home     string     `json:"home"`
	CostName string     `json:"costName"` // what the cost of a bid is called
	Comma    bool       `json:"comma"`    // whether the page has decimal commas, which it says itself
	Steps    []SaleStep `json:"steps"`
	First    string     `json:"-"` // the bid that is shown at first
}

// SaleStep is one bid, what it costs, the profit, the return, the chance of a loss, whether it
// meets the goal, and what is missing: figures with a point, chances and returns as fractions.
type SaleStep [7]string

//go:embed sale.js
var saleJS string

func (s *Sale) tool(h *htmlWriter) {
	data := *s
	data.Comma = bool(h.marks)
	fmt.Fprintf(h, `<section class="sale" aria-labelledby="sale"><h2 id="sale">At the sale</h2>
<form id="ask" hidden>
<label for="price">It stands at, %s</label>
<input id="price" type="text" inputmode="decimal" autocomplete="off" spellcheck="false" value="%s" aria-describedby="answer">
<label for="slide">or along the ladder</label>
<input id="slide" type="range" min="0" max="%d" step="1">
</form>
<div id="answer" role="status" data-cost="" data-profit="" data-chance-of-loss="" data-meets=""><p>What comes of each bid is in the chart and its figures.</p></div>
</section>
`, attr(s.Bids), attr(h.marks.of(s.First)), max(len(s.Steps)-1, 0))
	h.live("steps", data, saleJS)
}
