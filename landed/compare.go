package landed

// PriceBases are the bases by which prices can be shared.
func PriceBases() []Basis { return []Basis{ByValue, ByWeight, ByCount, ByEqual} }

// SplitBy is [Split] with prices and premiums shared by another basis than the
// haul's. The haul itself is not changed.
func SplitBy(h *Haul, basis Basis) (*Statement, error) {
	if h == nil {
		return nil, noHaul()
	}
	other := *h
	other.Share = other.Share.WithPrice(basis)
	return Split(&other)
}
