package customs

// CountsTogether reports whether any rule looks beyond one parcel: at all
// parcels of a seller, or of the day. Where none does, a parcel is assessed
// alike whatever travels beside it.
func (r *Rules) CountsTogether() bool {
	return r.anyLimit(func(l *limit) bool { return l.over != overParcel })
}

// HangsOnDivision reports whether what one parcel is charged may change with
// how the other goods of the day are divided over parcels, not only with what
// they are worth: where a rule counts the parcels of one of several sellers,
// or counts freight, which comes by the parcel.
func (r *Rules) HangsOnDivision(severalSellers bool) bool {
	return r.anyLimit(func(l *limit) bool {
		return l.over == overSeller && severalSellers || l.over != overParcel && l.of == ofValue
	})
}

// CountsFreight reports whether freight, insurance or other fees are part of
// what anything is charged on, or compared with a threshold.
func (r *Rules) CountsFreight() bool {
	const carriage = partFreight | partInsurance | partFees
	found := false
	for i := range r.value.list {
		found = found || r.value.list[i].holds&carriage != 0
	}
	for i := range r.taxes.list {
		found = found || r.taxes.list[i].base&carriage != 0
	}
	for i := range r.fees.list {
		found = found || r.fees.list[i].of&carriage != 0
	}
	return found
}

// anyLimit reports whether any bound of the entry is such.
func (r *Rules) anyLimit(such func(*limit) bool) bool {
	in := func(w *when) bool { return w.upto != nil && such(w.upto) || w.above != nil && such(w.above) }
	found := false
	for i := range r.relief.list {
		l := &r.relief.list[i]
		found = found || such(&l.limit) || in(&l.when)
	}
	for i := range r.value.list {
		found = found || in(&r.value.list[i].when)
	}
	for i := range r.fees.list {
		found = found || in(&r.fees.list[i].when)
	}
	for i := range r.collect.list {
		found = found || in(&r.collect.list[i].when)
	}
	for i := range r.duty.list {
		d := &r.duty.list[i]
		for k := range d.ways {
			found = found || in(&d.ways[k].when)
		}
		for k := range d.surcharges {
			found = found || in(&d.surcharges[k].when)
		}
	}
	for i := range r.taxes.list {
		for k := range r.taxes.list[i].rates {
			found = found || in(&r.taxes.list[i].rates[k].when)
		}
	}
	return found
}
