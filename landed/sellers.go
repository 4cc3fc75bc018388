package landed

import (
	"slices"

	"lotcost/landed/customs"
)

// BySellers is what the border would ask if each seller sent a parcel of his own, with the freight
// that the haul has; and the sellers. It is nil where the haul names its parcels, where fewer than
// two sellers are named, and where there is no border, or it has sent a bill.
func (s *Statement) BySellers() (*customs.Assessment, []string) {
	if s.Border == nil || s.Haul.Border == nil {
		return nil, nil
	}
	h := *s.Haul
	if len(h.Parcels) > 0 || h.Border.Bill != (Bill{}) || len(h.Open()) > 0 {
		return nil, nil
	}
	var named []string
	for i := range h.Lots {
		l := &h.Lots[i]
		n := slices.IndexFunc(h.Parcels, func(p Parcel) bool { return p.ID == l.Seller })
		if n < 0 {
			n, h.Parcels = len(h.Parcels), append(h.Parcels, Parcel{ID: l.Seller})
			if l.Seller != "" {
				named = append(named, l.Seller)
			}
		}
		h.Parcels[n].Lots = append(h.Parcels[n].Lots, l.ID)
	}
	if len(named) < 2 {
		return nil, nil
	}
	st, err := Split(&h)
	if err != nil {
		return nil, nil // what it asks for is asked of parcels that nobody has named
	}
	return st.Border, named
}
