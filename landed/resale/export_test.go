package resale

// Highest is the highest price considered.
const Highest = highest

// Compile prepares a sale for finding prices, for many costs.
func Compile(s *Sale) (*schedule, error) {
	f, err := new(Desk).figures(s)
	if err != nil {
		return nil, err
	}
	return compile(f), nil
}

// Least returns the smallest price at which a cost is covered and the target met.
func (s *schedule) Least(cost int64) (price int64, ok bool) {
	price, end := s.next(0, cost+s.f.target.ofCost(cost))
	return price, end == yes
}

// NoPriceError tells that no price meets the target of a sale.
type NoPriceError = noPriceError

// Undecided reports whether the search for a price was given up.
func (e *noPriceError) Undecided() bool { return e.undecided }

// Place is the fee, the band and the step of a figure.
func (e *FieldError) Place() (fee, band, step int) { return e.fee, e.band, e.step }

// EndingFrom is the smallest price with an ending that is not below p.
var EndingFrom = endingFrom

// Price asks a desk of its own.
func Price(s *Sale, ending Ending) (Least, error) { return new(Desk).Price(s, ending) }
