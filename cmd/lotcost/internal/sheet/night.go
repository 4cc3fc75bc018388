package sheet

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
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

// NightState is what to do once the first lots are decided: for each the price at which it was
// won, "" where it was lost. Limits are of those after them, none where it is not known.
type NightState struct {
	Went   []string
	Answer string
	Limits []string
}

//go:embed night.js
var nightJS string

func (n *Night) tool(h *htmlWriter) {
	type state struct {
		Answer string   `json:"answer"`
		Limits []string `json:"limits"`
	}
	states := map[string]state{}
	for _, s := range n.States {
		out := state{Answer: h.set(s.Answer, false), Limits: []string{}}
		for _, l := range s.Limits {
			out.Limits = append(out.Limits, h.set(l, true))
		}
		states[n.key(s.Went)] = out
	}
	h.WriteString(`<section class="sale" aria-labelledby="sale"><h2 id="sale">As the evening goes</h2>
<form id="evening" hidden>
`)
	for i, l := range n.Lots {
		fmt.Fprintf(h, `<label><span>%s<span class="limit" id="limit-%d"></span></span> <select name="lot-%d"><option value="">open</option>`, attr(l.ID), i, i)
		for at, price := range l.Won {
			said := "won, up to "
			if len(l.Won) == 1 {
				said = "won, about "
			}
			fmt.Fprintf(h, `<option value="%d">%s</option>`, at, attr(said+h.set(price, true)))
		}
		if len(l.Won) == 0 {
			h.WriteString(`<option value="0">won</option>`)
		}
		fmt.Fprintf(h, "<option value=%q>lost</option></select></label>\n", nightLost)
	}
	h.WriteString(`</form>
<div id="answer" role="status"></div>
</section>
`)
	h.live("states", states, nightJS)
}

// nightLost is how a lost lot stands in the key of a state; one that was won has the number of its
// price.
const nightLost = "l"

func (n *Night) key(went []string) string {
	var b strings.Builder
	for i, price := range went {
		if at := slices.Index(n.Lots[i].Won, price); at >= 0 {
			b.WriteString(strconv.Itoa(at))
		} else {
			b.WriteString(nightLost)
		}
	}
	return b.String()
}
