package bid

// lastOf is the greatest number for which something holds, which it does up to some number and
// not above it; of the least one that is taken for granted. It looks near a number first, and from
// there in strides that grow.
func lastOf[N int | int64](near, least N, holds func(N) (bool, error)) (N, error) {
	up, err := holds(near)
	low, high := near, near
	for stride, ok := N(1), up; err == nil && ok == up && (up || low > least); stride *= 3 {
		if up {
			low, high = high, near+stride
			ok, err = holds(high)
			continue
		}
		if low, high = max(near-stride, least), low; low > least {
			ok, err = holds(low)
		}
	}
	for err == nil && high-low > 1 {
		mid, ok := low+(high-low)/2, false
		if ok, err = holds(mid); ok {
			low = mid
		} else {
			high = mid
		}
	}
	return low, err
}
