package landed

import "lotcost/landed/money"

// kinds is a sum of money by kind of cost, in minor units of home.
type kinds [Kinds]int64

// of returns the amount of a kind; of what is no kind there is none.
func (k *kinds) of(kind Kind) int64 {
	if int(kind) >= Kinds {
		return 0
	}
	return k[kind]
}

func (k *kinds) sum() int64 { return total(k[:]) }

func (k *kinds) add(other *kinds) {
	for i, minor := range other {
		k[i] += minor
	}
}

func (k *kinds) take(other *kinds) {
	for i, minor := range other {
		k[i] -= minor
	}
}

func total(minors []int64) int64 {
	var sum int64
	for _, minor := range minors {
		sum += minor
	}
	return sum
}

// over divides the sum over rows that bear given amounts of it, none of them
// against the sign of the sum. Each row's kinds come to its amount, and the
// rows to the sum, exactly. What was given back is divided first, each kind by
// what the rows bear, and then each row in turn takes its amount of what is
// left, both by largest remainder. Where the rows bear nothing, kinds that come
// to nothing together go to one of them.
func (k kinds) over(rows []int64, one int) []kinds {
	parts, sum := make([]kinds, len(rows)), total(rows)
	if sum == 0 {
		parts[one] = k
		return parts
	}
	need, sign := make([]int64, len(rows)), int64(1)
	if sum < 0 {
		sign = -1
	}
	k.times(sign)
	for i, minor := range rows {
		need[i] = sign * minor
	}
	k.giveBack(parts, need)
	for i := range parts {
		var took kinds
		if need[i] > 0 && money.Apportion(took[:], need[i], k[:]) == nil {
			k.take(&took)
			parts[i].add(&took)
		}
		parts[i].times(sign)
	}
	return parts
}

// giveBack divides the kinds that are below zero, by what the rows bear, and
// adds to what the rows need of the others.
func (k *kinds) giveBack(parts []kinds, need []int64) {
	bear, shares := append([]int64(nil), need...), make([]int64, len(need))
	for kind, minor := range k {
		if minor >= 0 || money.Apportion(shares, minor, bear) != nil {
			continue
		}
		for i, share := range shares {
			parts[i][kind] = share
			need[i] -= share
		}
		k[kind] = 0
	}
}

func (k *kinds) times(sign int64) {
	for i := range k {
		k[i] *= sign
	}
}
