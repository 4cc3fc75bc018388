// Package arena hands out slices from room that is taken back all at once.
package arena

// Of is room for slices of a type. As long as nothing was taken back they are made one by one; from
// then on it has room for as many values as were taken before. The zero value is ready for use.
type Of[T any] struct {
	all, free []T
	kept      bool
	taken     int
}

// Take returns a slice of n zero values, which is the caller's until [Of.Empty].
func (a *Of[T]) Take(n int) []T {
	if a.kept {
		a.taken += n
	}
	if n > len(a.free) {
		return make([]T, n)
	}
	some := a.free[:n:n]
	a.free = a.free[n:]
	clear(some)
	return some
}

// Empty takes back what was taken, and keeps room for as many, but for no more than most.
func (a *Of[T]) Empty(most int) {
	if a.taken > len(a.all) && a.taken <= most {
		a.all = make([]T, a.taken)
	} else if len(a.all) > most || a.taken > most {
		a.all = nil
	}
	a.free, a.taken, a.kept = a.all, 0, true
}

// mostKept is room for how many values is kept, of items, lines and the like: that of larger hauls
// is not.
const mostKept = 10_000

// Empty takes back what was taken of several.
func Empty(all ...interface{ Empty(most int) }) {
	for _, a := range all {
		a.Empty(mostKept)
	}
}
