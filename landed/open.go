package landed

import (
	"slices"
)

// openRule says what [Split] makes of open prices.
type openRule uint8

const (
	openRefused openRule = iota
	openLeftOut          // and with them the border of each parcel that holds such a lot
	openNothing          // at the border too
)

// Bought reports whether what the lot costs is not open any more.
func (l *Lot) Bought() bool { return !l.Open || l.Settled.Currency() != 0 }

// Open lists the ids of the lots whose price is not known yet, and in no sum. The haul may be nil.
func (h *Haul) Open() []string {
	var ids []string
	if h == nil {
		return nil
	}
	for i := range h.Lots {
		if l := &h.Lots[i]; !l.Bought() && !l.Lost {
			ids = append(ids, l.ID)
		}
	}
	return ids
}

// WithoutOpen returns the haul for an account of what is known: [Split] then
// leaves each open price out, with its premium and what is a percentage of it.
// It leaves out what the border asks for a parcel with such a lot too, since its
// value for customs is not known, and for all parcels where the rules count
// several together. The statement names both.
func (h *Haul) WithoutOpen() *Haul { return h.opened(openLeftOut) }

// OpenAsFree returns the haul with each open price taken as nothing, at the border
// too, so that ways to send it can be compared.
func (h *Haul) OpenAsFree() *Haul { return h.opened(openNothing) }

func (h *Haul) opened(rule openRule) *Haul {
	other := *h
	other.open = rule
	return &other
}

// openPrice records a price that is still open, where it may not be left out.
func (s *splitter) openPrice(lot *Lot) {
	if s.haul.open == openRefused {
		s.report.Fail(lot.At.Key("price"), "lot "+lot.ID, "the price is still open", "write it once it is known").Figure = "open-price"
	}
}

// openOf lists the ids of the lots of some items whose price is open.
func (s *splitter) openOf(items []int) []string {
	var ids []string
	last := -1
	for _, i := range items {
		if lot := &s.haul.Lots[s.lotOf(i)]; s.lotOf(i) != last && !lot.Bought() {
			ids = append(ids, lot.ID)
		}
		last = s.lotOf(i)
	}
	return ids
}

// leave finds the parcels for which what the border asks depends on an open price
// that is left out. It reports false where there are none.
func (a *assessor) leave() bool {
	if a.haul.open != openLeftOut || len(a.haul.Open()) == 0 {
		return false
	}
	for _, items := range a.charged() {
		a.left = append(a.left, a.rules.CountsTogether() || len(a.openOf(items)) > 0)
	}
	return slices.Contains(a.left, true)
}

func (a *assessor) leaves(parcel int) bool { return a.left != nil && a.left[parcel] }

// place is where a parcel that is not left out stands among those assessed.
func (a *assessor) place(parcel int) int {
	place := 0
	for n := range parcel {
		if !a.leaves(n) {
			place++
		}
	}
	return place
}

// unknown records that what the border asks for a parcel is left out.
func (a *assessor) unknown(parcel int) {
	if id := a.parcelID(parcel); !slices.Contains(a.st.Unknown, id) {
		a.st.Unknown = append(a.st.Unknown, id)
	}
}
