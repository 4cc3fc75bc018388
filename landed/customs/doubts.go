package customs

import (
	"slices"

	"lotcost/landed/money"
)

// Doubt is a figure used in an assessment that is not certain: not read in the
// authority's own text, or in a page that is old.
type Doubt struct {
	What       string // "postal handling"
	Source     string
	Dated      string // as in [Step]
	Old        bool
	Confidence Confidence
	// Charged is set where the figure made a charge or let it go; else it is what
	// a charge is on or a threshold for it.
	Charged bool
	Hangs   money.Amount // what of the answer hangs on it
}

// Doubts returns the uncertain figures that were used, each once, in the order
// of their use, with what hangs on them over all parcels. Rounding is no such
// figure, and neither is what the caller gave.
func (a *Assessment) Doubts() []Doubt {
	var list []Doubt
	for _, s := range a.Steps {
		if s.Confidence >= Custom || s.Confidence == Published && !s.Old {
			continue
		}
		i := slices.IndexFunc(list, func(d Doubt) bool { return d.What == s.What && d.Source == s.Source })
		if i < 0 {
			i = len(list)
			list = append(list, Doubt{What: s.What, Source: s.Source, Dated: s.Dated, Old: s.Old, Confidence: s.Confidence,
				Charged: s.Topic != "value" && s.Topic != "relief", Hangs: money.New(0, a.Currency)})
		}
		list[i].Hangs = money.New(list[i].Hangs.Minor()+s.Hangs.Minor(), a.Currency)
	}
	return list
}
