package bid

import "lotcost/landed/internal/odds"

// DefaultSteps are the steps where a haul names none.
var DefaultSteps = defaultSteps

// Proceeds is the distribution of what the lot brings.
func (b *Bidder) Proceeds() *odds.Distribution { return b.dist }

// Few lets an evening be looked at in few states.
func (o Options) Few(states int) Options {
	o.states = states
	return o
}

// Plainly has every bid priced by a whole account, and reports whether it was not before.
func (b *Bidder) Plainly() bool {
	repriced := b.pricer.quick != nil
	b.pricer.quick = nil
	return repriced
}
