package source

// Nearest returns the known word most like the given one, or "" when none is
// close enough to have been meant: at most one edit in three letters of the
// longer word, or one in a shorter one, an edit being a letter wrong, missing,
// doubled or swapped with its neighbour (the restricted Damerau-Levenshtein
// distance); where all letters are others, none was. Of words equally like it, the first is taken.
func Nearest(word string, known []string) string {
	letters := []rune(word)
	best, fewest := "", len(letters)+1
	for _, k := range known {
		other := []rune(k)
		longer, shorter := max(len(letters), len(other)), min(len(letters), len(other))
		allowed := max(longer/3, 1)
		if longer-shorter > allowed { // it takes that many edits at least, and a word may be very long
			continue
		}
		if edits := distance(letters, other); edits <= allowed && edits < min(fewest, longer) {
			best, fewest = k, edits
		}
	}
	return best
}

func distance(a, b []rune) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
