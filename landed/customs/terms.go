package customs

import (
	"fmt"

	"lotcost/landed/source"
)

// Use is what the goods are imported for.
type Use uint8

// The uses. The zero value is personal use of what was bought.
const (
	Personal Use = iota
	Gift         // sent by one private person to another, not paid for
	Resale       // a commercial importation
)

var useNames = []string{"personal", "gift", "resale"}

// ParseUse reads "personal", "gift" or "resale". It returns a [*WordError].
func ParseUse(s string) (Use, error) {
	i, err := parseWord("use", s, useNames)
	return Use(i), err
}

// String returns it in words, as files and results have it.
func (u Use) String() string { return nameOf(useNames, int(u)) }

// Mode is how a parcel enters; thresholds and fees may differ by it.
type Mode uint8

// The modes. The zero value is the postal stream.
const (
	Post Mode = iota
	Courier
	Cargo
)

var modeNames = []string{"post", "courier", "cargo"}

// ParseMode reads "post", "courier" or "cargo". It returns a [*WordError].
func ParseMode(s string) (Mode, error) {
	i, err := parseWord("mode", s, modeNames)
	return Mode(i), err
}

// String returns it in words, as files and results have it.
func (m Mode) String() string { return nameOf(modeNames, int(m)) }

// Stream is how the post carries a parcel; its fees may differ by it.
type Stream uint8

// The streams. The zero value is not said: what the rules take it for hangs on
// the weight and the value.
const (
	AnyStream Stream = iota
	Letters          // with the letters, as small packets are
	Parcels          // with the parcels, or by the post's express service
)

var streamNames = []string{"any", "letters", "parcels"}

// ParseStream reads "letters" or "parcels". It returns a [*WordError].
func ParseStream(s string) (Stream, error) {
	i, err := parseWord("stream of the post", s, streamNames[1:])
	return Stream(i + 1), err
}

// String returns it in words, as files and results have it.
func (s Stream) String() string { return nameOf(streamNames, int(s)) }

// Confidence is how far a figure can be relied on.
type Confidence uint8

// The confidences. The zero value is the least.
const (
	Memory    Confidence = iota // not checked at its source
	Reported                    // quoted or reported elsewhere
	Published                   // read in the authority's own text
	Custom                      // a way of working of ours, no fact about the territory
	Given                       // brought by the caller
)

var confidenceNames = []string{"memory", "reported", "published", "custom", "given"}

// String returns it in words, as files and results have it.
func (c Confidence) String() string { return nameOf(confidenceNames, int(c)) }

func parseConfidence(s string) (Confidence, error) {
	i, err := parseWord("confidence", s, confidenceNames[:Given])
	return Confidence(i), err
}

// WordError tells that a word is none of those that a choice has.
type WordError struct {
	What  string // what is chosen: "use"
	Word  string // as given
	Known []string
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *WordError) Error() string {
	return fmt.Sprintf("%q is no %s: %s", e.Word, e.What, source.DidYouMean(e.Word, e.Known))
}

func parseWord(what, s string, known []string) (int, error) {
	for i, k := range known {
		if k == s {
			return i, nil
		}
	}
	return 0, &WordError{what, s, known}
}

func nameOf(names []string, i int) string {
	if i < len(names) {
		return names[i]
	}
	return fmt.Sprintf("unknown (%d)", i)
}
