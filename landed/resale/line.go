package resale

// line is a fee in whole numbers: minor units and millionths.
type line struct {
	fee   *Fee
	whole bool
	bands []band
	fixed int64
	floor int64
	cap   int64 // noEnd for none
	times int64 // how often it is charged

	base base
}

// band is a rate on base within (from, upTo]: the percentage there is (rate x base + offset)
// millionths.
type band struct {
	from, upTo int64
	rate       int64
	offset     int64
}

// base is what a fee is taken of, as a function of the price.
type base struct {
	add     int64 // postage in it
	tax     int64 // millionths of sales tax in it
	taxable int64 // postage that the tax is taken of as well
}

// at returns the base at a price. With price and postage at most highest and the tax below 100% it
// is below 4 x highest, and a rate below a million times that fits an int64.
func (b *base) at(price int64) int64 {
	of := price + b.add
	if b.tax != 0 {
		of += roundMillionths((price + b.taxable) * b.tax)
	}
	return of
}

// roundMillionths rounds half up, which is half away from zero for what is not negative.
func roundMillionths(x int64) int64 { return int64((uint64(x) + million/2) / million) }

func (l *line) band(base int64) *band {
	i := 0
	for base > l.bands[i].upTo {
		i++
	}
	return &l.bands[i]
}

// unlimited is the fee once, before floor and cap.
func (l *line) unlimited(b *band, base int64) int64 {
	return roundMillionths(b.rate*base+b.offset) + l.fixed
}

// amount is the fee at a price, as often as it is charged.
func (l *line) amount(price int64) int64 {
	base := l.base.at(price)
	return l.times * min(max(l.unlimited(l.band(base), base), l.floor), l.cap)
}

// segment is a range of prices, from first to where the next begins, in which a fee is a constant
// plus one rounded percentage.
type segment struct {
	first        int64
	constant     int64
	rate, offset int64
	edge         bool // the rate for the whole base steps up here
}

// segments splits a fee where a band, its floor or its cap begins or ends. The bounds are found by
// bisection on the rounded fee itself, so that they are exact.
func (l *line) segments() []segment {
	var all []segment
	for i, next := 0, int64(0); i < len(l.bands) && next <= highest; i++ {
		b, first := &l.bands[i], next
		next = firstPrice(first, func(p int64) bool { return l.base.at(p) > b.upTo })
		if next == first {
			continue
		}
		part := l.limited(b, first, next)
		part[0].edge = l.whole && i > 0 && l.bands[i-1].rate < b.rate
		all = append(all, part...)
	}
	return all
}

// limited splits a band, prices from first to before end, at floor and cap.
func (l *line) limited(b *band, first, end int64) []segment {
	fee := func(p int64) int64 { return l.unlimited(b, l.base.at(p)) }
	if b.rate == 0 {
		return []segment{{first: first, constant: min(max(fee(first), l.floor), l.cap)}}
	}
	var all []segment
	free := firstPrice(first, func(p int64) bool { return fee(p) >= l.floor })
	capped := firstPrice(first, func(p int64) bool { return fee(p) >= l.cap })
	if free > first {
		all = append(all, segment{first: first, constant: l.floor})
	}
	if free < min(capped, end) {
		all = append(all, segment{first: free, constant: l.fixed, rate: b.rate, offset: b.offset})
	}
	if capped < end {
		all = append(all, segment{first: capped, constant: l.cap})
	}
	return all
}

// firstPrice returns the least price from low to highest at which ok holds, or highest+1. Once ok
// holds it has to hold for all that is higher.
func firstPrice(low int64, ok func(int64) bool) int64 {
	high := int64(highest + 1)
	for low < high {
		if mid := low + (high-low)/2; ok(mid) {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}
