package sheet

import (
	_ "embed"
	"fmt"
)

// Night is what a page answers during an evening of several lots: as each is marked won or lost,
// the limits of those after it change to what was worked out for that.
type Night struct {
	Lots   []NightLot // in the order in which they close
	States []NightState
}

// NightLot is one lot, and the prices at which it counts as won, rising; none where that does not
// matter.
type NightLot struct {
	ID  string
	Won []string
}

// NightState is what to do once the first lots are decided: Key has a sign for each, the number of
// the price at which it was won or [NightLost], Answer is what then is the answer of the page, More
// what is said with it, and Limits are of those after them, none where it is not known.
type NightState struct {
	Key    string   `json:"-"`
	Answer string   `json:"answer"`
	More   string   `json:"more"`
	Limits []string `json:"limits"`
}

// NightLost is the sign of a lot that was lost.
const NightLost = "l"

//go:embed night.js
var nightJS string

func (n *Night) tool(h *htmlWriter) {
	states := map[string]NightState{}
	for _, s := range n.States {
		s.Answer, s.More = h.set(s.Answer, false), h.set(s.More, false)
		s.Limits = Each(s.Limits, func(limit *string) string { return h.set(*limit, true) })
		states[s.Key] = s
	}
	h.WriteString(`<section class="sale" aria-labelledby="sale"><h2 id="sale">As the evening goes</h2>
<form id="evening" hidden>
`)
	for i, l := range n.Lots {
		fmt.Fprintf(h, `<label><span>%s<span class="limit" id="limit-%d"></span></span> <select name="lot-%d"><option value="">open</option>`, attr(l.ID), i, i)
		for at, price := range l.Won {
			said := Either(len(l.Won) == 1, "won, about ", "won, up to ")
			fmt.Fprintf(h, `<option value="%d">%s</option>`, at, attr(said+h.set(price, true)))
		}
		if len(l.Won) == 0 {
			h.WriteString(`<option value="0">won</option>`)
		}
		fmt.Fprintf(h, "<option value=%q>lost</option></select></label>\n", NightLost)
	}
	h.WriteString(`</form>
<div id="answer" role="status"></div>
</section>
<p class="remark" id="since" hidden>What follows is as it was before anything was marked.</p>
`)
	h.live("states", states, nightJS)
}
