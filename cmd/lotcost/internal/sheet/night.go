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

// NightLot is one lot, and the price at which it counts as won.
type NightLot struct{ ID, Won string }

// NightState is what to do once the first lots are decided: Key has a letter for each, w for won
// and l for lost, and Limits are of those after them, none where it is not known.
type NightState struct {
	Key, Answer string
	Limits      []string
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
		states[s.Key] = out
	}
	h.WriteString(`<section class="sale" aria-labelledby="sale"><h2 id="sale">As the evening goes</h2>
<form id="evening" hidden>
`)
	for i, l := range n.Lots {
		fmt.Fprintf(h, `<fieldset><legend>%s<span class="limit" id="limit-%d"></span></legend>`, attr(l.ID), i)
		for _, choice := range [][2]string{{"", "open"}, {"w", "won at " + h.set(l.Won, true)}, {"l", "lost"}} {
			checked := ""
			if choice[0] == "" {
				checked = " checked"
			}
			fmt.Fprintf(h, `<label><input type="radio" name="lot-%d" value="%s"%s> %s</label>`, i, choice[0], checked, attr(choice[1]))
		}
		h.WriteString("</fieldset>\n")
	}
	h.WriteString(`</form>
<div id="answer" role="status"></div>
</section>
`)
	h.live("states", states, nightJS)
}
