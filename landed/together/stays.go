package together

import (
	"cmp"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/came"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
)

// stays is what of a haul has come, and is in no parcel of a plan.
type stays struct {
	came    []landed.Parcel
	gone    partition.Set // the lots in them
	guessed int64         // what of their cost is estimated
	firm    bool          // whether nothing of what was asked for them is estimated
	stayed  money.Amount  // what they cost, prices and charges of the haul aside: at least, where it hangs on the plan
}

// SentAs returns the haul as it travels in some parcels of a plan, without what that takes the
// place of. What has come stands, and so does freight that was charged for that; beside it lots
// that are in none of the parcels are in one more. The haul itself is not changed.
func SentAs(h *landed.Haul, parcels []Sent) *landed.Haul {
	sent, there := *h, []string(nil)
	sent.Parcels, there = came.Of(h)
	sent.Parcels = slices.Clone(sent.Parcels)
	for i := range parcels {
		sent.Parcels = append(sent.Parcels, parcels[i].Parcel)
	}
	rest := landed.Parcel{ID: came.FreeID(sent.Parcels, "to come"), Lots: h.LotIDs()}
	rest.Lots = slices.DeleteFunc(rest.Lots, func(id string) bool {
		return slices.ContainsFunc(sent.Parcels, func(p landed.Parcel) bool { return slices.Contains(p.Lots, id) })
	})
	if len(rest.Lots) > 0 && len(sent.Parcels) > 0 {
		sent.Parcels = append(sent.Parcels, rest)
	}
	sent.Charges = nil
	for _, c := range h.Charges {
		if !c.OfParcels() {
			sent.Charges = append(sent.Charges, c)
		} else {
			sent.Charges = append(sent.Charges, paidFor(h, c, there)...)
		}
	}
	return &sent
}

// paidFor is what of a charge is for some lots: all of it, but for what others are asked for each.
func paidFor(h *landed.Haul, c landed.Charge, lots []string) []landed.Charge {
	if len(lots) == 0 {
		return nil
	}
	one := *h
	one.Charges = []landed.Charge{c}
	charges := one.Only(func(l *landed.Lot) bool { return slices.Contains(lots, l.ID) }).Charges
	for i := range charges {
		if len(charges[i].On) == 0 {
			charges[i].On = lots
		}
	}
	return charges
}

// stay keeps what has come of a haul.
func (p *planner) stay(h *landed.Haul) {
	var lots []string
	if p.came, lots = came.Of(h); len(lots) == 0 {
		return
	}
	p.firm = !slices.ContainsFunc(p.came, func(c landed.Parcel) bool { return !c.Bill.Whole() })
	for _, id := range lots {
		p.gone |= partition.SetOf(h.LotAt(id))
	}
}

// toCome is the lots that are still to come.
func (p *planner) toCome() partition.Set {
	return (&partition.Problem{Elements: len(p.haul.Lots), Out: p.gone}).All()
}

// stood reports whether a parcel of the haul as it is sent has come, by its id.
func (p *planner) stood(id string) bool {
	return slices.ContainsFunc(p.came, func(c landed.Parcel) bool { return c.ID == id })
}

// paid finds what the parcels cost that have come. Where what the border asks of them is estimated
// and hangs on the others, that is left out.
func (p *planner) paid() error {
	p.stayed = money.New(0, p.haul.Home)
	if p.came == nil {
		return nil
	}
	haul := *p.haul
	if !p.pricer.Additive() && !p.alone() {
		haul.Border = nil
	}
	st, err := landed.Sums(&haul)
	if err != nil {
		return err
	}
	sums := tally.Tally{}
	for i := range st.Lines {
		if l := &st.Lines[i]; p.stood(l.Parcel) {
			if p.stayed = sums.Add(p.stayed, l.Home); l.Estimated {
				p.guessed += l.Home.Minor()
			}
		}
	}
	return sums.Err
}

// fixed is what the haul costs apart from the parcels of the plan.
func (p *planner) fixed() (money.Amount, error) { return p.pricer.FixedCost().Add(p.stayed) }

// alone reports whether what the border asks of a parcel hangs on no other.
func (p *planner) alone() bool {
	wide, known := p.pricer.Together()
	return known && len(wide.Turns) == 0
}

// movesNot reports whether what has come costs the same at whatever prices of what is still to
// come.
func (p *planner) movesNot() bool {
	return p.came == nil || p.firm || p.haul.Border == nil || p.alone() &&
		!slices.ContainsFunc(p.haul.Charges, func(c landed.Charge) bool { return c.OfPrice })
}

// hasShared reports whether what is estimated of what has come may be more where fewer lots are in
// the haul, since they share its charges.
func (p *planner) hasShared() bool {
	return p.came != nil && !p.firm && p.haul.Border != nil && len(p.haul.Charges) > 0
}

// count finds what each parcel that has come is in the sum that rules look at, which stands at its
// first lot: at least and at most, by the lots of the haul.
func (p *planner) count() (sums []within, err error) {
	sums = make([]within, len(p.haul.Lots))
	for i := range p.came {
		c, lots := &p.came[i], p.lotsIn(&p.came[i])
		first := &sums[lots[0]]
		first.least, first.most, err = p.pricer.Counts(lots, cmp.Or(c.Freight, c.Settled.Freight), cmp.Or(c.Insurance, c.Settled.Insurance), cmp.Or(c.Fees, c.Settled.Fees))
		if err != nil {
			return nil, err
		}
	}
	return sums, nil
}

// lotsIn are the places of the lots in a parcel, in rising order.
func (p *planner) lotsIn(parcel *landed.Parcel) []int {
	var places []int
	for _, id := range parcel.Lots {
		places = append(places, p.haul.LotAt(id))
	}
	slices.Sort(places)
	return places
}

// sellers are those of the lots, each a bit; a parcel that has come counts with all goods of any
// seller of whom it holds some. Where the sum is over all parcels it is the same one.
func (p *planner) sellers(wide *planning.Together) []uint64 {
	list, known := make([]uint64, len(p.haul.Lots)), map[string]uint64{}
	for i := range p.haul.Lots {
		seller := p.haul.Lots[i].Seller
		if !wide.BySeller {
			seller = ""
		}
		if known[seller] == 0 {
			known[seller] = 1 << len(known)
		}
		list[i] = known[seller]
	}
	for i := range p.came {
		lots, of := p.lotsIn(&p.came[i]), uint64(0)
		for _, lot := range lots {
			of |= list[lot]
		}
		for _, lot := range lots {
			list[lot] = of
		}
	}
	return list
}
