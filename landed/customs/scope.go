package customs

// CountsTogether reports whether any rule looks beyond one parcel: at all
// parcels of a seller, or of the day. Where none does, a parcel is assessed
// alike whatever travels beside it.
func (r *Rules) CountsTogether() bool {
	wide := func(w *when) bool {
		return w.upto != nil && w.upto.over != overParcel || w.above != nil && w.above.over != overParcel
	}
	found := false
	for i := range r.relief.list {
		l := &r.relief.list[i]
		found = found || l.limit.over != overParcel || wide(&l.when)
	}
	for i := range r.value.list {
		found = found || wide(&r.value.list[i].when)
	}
	for i := range r.fees.list {
		found = found || wide(&r.fees.list[i].when)
	}
	for i := range r.collect.list {
		found = found || wide(&r.collect.list[i].when)
	}
	for i := range r.duty.list {
		d := &r.duty.list[i]
		for k := range d.ways {
			found = found || wide(&d.ways[k].when)
		}
		for k := range d.surcharges {
			found = found || wide(&d.surcharges[k].when)
		}
	}
	for i := range r.taxes.list {
		for k := range r.taxes.list[i].rates {
			found = found || wide(&r.taxes.list[i].rates[k].when)
		}
	}
	return found
}
