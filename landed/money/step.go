package money

// Step is one of a table of prices: the price up to and including so much, such as a weight or a
// value. Of what lies beyond the last one it is the price of each unit of UpTo begun: a tariff of
// "first 500 g, then each further 500 g" is one step and what is further.
type Step[T any] struct {
	UpTo  T      // this much, with it
	Price Amount // what is asked up to there
}
