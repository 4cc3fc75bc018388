package customs

import (
	"fmt"
	"slices"

	"lotcost/landed/source"
)

// Use is what the goods are imported for.
type Use uint8

// The uses. The zero value is personal use of what was bought.
const (
	Personal Use = iota
	Gift         // sent by one private person to another, not paid for
	Resale       // a commercial importation
	Returned     // sent abroad and coming back unaltered
)

var useNames = []string{"personal", "gift", "resale", "returned"}

// counts are the uses that a use counts as: what comes back is for personal use in all that no rule
// says of it.
func (u Use) counts() uint8 {
	if u == Returned {
		return 1<<Returned | 1<<Personal
	}
	return 1 << u
}

// ParseUse reads "personal", "gift", "resale" or "returned". It returns a [*money.ParseError].
func ParseUse(s string) (Use, error) { return wordOf("use", s, useNames, Personal) }

// Mode is how a parcel enters; thresholds and fees may differ by it.
type Mode uint8

// The modes. The zero value is by post, and what the rules take that for depends on the weight and
// the value.
const (
	Post Mode = iota
	Courier
	Cargo
	Letters // by post with the letters, as small packets are
	Parcels // by post with the parcels, or by its express service
)

var (
	modeNames   = []string{"post", "courier", "cargo"}
	streamNames = []string{"letters", "parcels"}
)

// ParseMode reads "post", "courier" or "cargo". It returns a [*money.ParseError].
func ParseMode(s string) (Mode, error) { return wordOf("mode", s, modeNames, Post) }

// ParseStream reads how the post carries a parcel, "letters" or "parcels". It returns a
// [*money.ParseError].
func ParseStream(s string) (Mode, error) {
	return wordOf("stream of the post", s, streamNames, Letters)
}

// Confidence is how far a figure can be relied on.
type Confidence uint8

// The confidences. The zero value is the least.
const (
	Memory    Confidence = iota // not checked at its source
	Reported                    // quoted or reported elsewhere
	Published                   // read in the authority's own text
	Custom                      // a way of working of ours, no fact about the territory
	given                       // brought by the caller
)

var confidenceNames = []string{"memory", "reported", "published", "custom", "given"}

// String returns it in words, as files and results have it.
func (c Confidence) String() string {
	if int(c) < len(confidenceNames) {
		return confidenceNames[c]
	}
	return fmt.Sprintf("unknown (%d)", c)
}

// wordOf reads one of a list of words, which stand for values from the first on.
func wordOf[T ~uint8](what, s string, known []string, first T) (T, error) {
	i := slices.Index(known, s)
	if i < 0 {
		return 0, parseError(s, "is no "+what, source.DidYouMean(s, known))
	}
	return first + T(i), nil
}
