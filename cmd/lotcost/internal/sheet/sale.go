package sheet

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

// Sale is what a page answers at the sale: to a price that is typed, or found along the ladder,
// what it costs and what comes of it. Every bid is priced beforehand and stands in the page as it
// does in JSON, so that its script only looks up.
type Sale struct {
	Bids, Home string // codes of currencies
	CostName   string // what the cost of a bid is called
	First      string // the bid that is shown at first
	Steps      []SaleStep
}

// SaleStep is one bid, its figures plain: with a point, chances and returns as fractions.
type SaleStep struct {
	Bid, Cost, Profit, Return, Loss, Meets, Missing string
}

//go:embed sale.js
var saleJS string

func (s *Sale) tool(h *htmlWriter) {
	type out struct {
		Bids     string     `json:"bids"`
		Home     string     `json:"home"`
		CostName string     `json:"costName"`
		Comma    bool       `json:"comma"`
		Steps    [][]string `json:"steps"`
	}
	data := out{Bids: s.Bids, Home: s.Home, CostName: s.CostName, Comma: bool(h.marks)}
	for _, p := range s.Steps {
		data.Steps = append(data.Steps, []string{p.Bid, p.Cost, p.Profit, p.Return, p.Loss, p.Meets, p.Missing})
	}
	text, err := json.Marshal(data) // which leaves no sign of HTML as it is
	if err != nil {
		return // strings and a flag always go
	}
	fmt.Fprintf(h, `<section class="sale" aria-labelledby="sale"><h2 id="sale">At the sale</h2>
<form id="ask" hidden>
<label for="price">It stands at, %s</label>
<input id="price" type="text" inputmode="decimal" autocomplete="off" spellcheck="false" value="%s" aria-describedby="answer">
<label for="slide">or along the ladder</label>
<input id="slide" type="range" min="0" max="%d" step="1">
</form>
<div id="answer" role="status" data-cost="" data-profit="" data-chance-of-loss="" data-meets=""><p>What comes of each bid is in the chart and its figures.</p></div>
</section>
<script type="application/json" id="steps">%s</script>
`, attr(s.Bids), attr(h.marks.of(s.First)), max(len(s.Steps)-1, 0), text)
	h.scripts = append(h.scripts, saleJS)
}
