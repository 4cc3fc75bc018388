package landed

import "lotcost/fx"

// Rates returns the exchange rates that were used, with the spread, each once, in the order in
// which they were needed.
func (s *Statement) Rates() []fx.Rate {
	var rates []fx.Rate
	seen := map[fx.Code]bool{}
	for i := range s.Lines {
		if r := s.Lines[i].source.rate; r != nil && !seen[r.From] {
			seen[r.From] = true
			rates = append(rates, r.Spread(s.Lines[i].source.spread))
		}
	}
	return rates
}

// BorderRates returns the rates by which the value for customs was found, each once; the card's
// spread is not in them.
func (s *Statement) BorderRates() []fx.Rate { return s.borderRates }
