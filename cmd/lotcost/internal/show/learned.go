package show

import (
	"fmt"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"

	"github.com/shopspring/decimal"
)

// learnedNotes tell what the user's own book said of the items of a lot.
func learnedNotes(list []book.Learned) []sheet.Block {
	var texts []string
	for l := range sheet.All(list) {
		if l.Asked {
			own := l.Own.Mul(decimal.NewFromInt(100)).StringFixed(1)
			texts = append(texts, fmt.Sprintf("%s, by your book: %s; your own chances count for %s%% of what is counted. Of %s, %s will be sound, at least 9 times in 10", l.Item, recordText(l), own, Plural(l.Pieces, "piece"), span(l.Low, l.High)))
		}
		if l.Model != "" && l.OnHand > 0 {
			texts = append(texts, fmt.Sprintf("%s: %d of %s on hand, %d wanted, so %s of the new ones are kept; what is for sale already is sold first", l.Item, l.OnHand, l.Model, l.Wanted, sheet.Either(l.Keep == 0, "none", fmt.Sprint(l.Keep))))
		}
	}
	return notes(sheet.Remark, texts...)
}

func span(low, high int64) string {
	return sheet.Either(low == high, fmt.Sprint(low), fmt.Sprintf("%d to %d", low, high))
}

// recordText is how many pieces of a record were sound.
func recordText(l *book.Learned) string {
	all := l.Sound + l.Parts + l.Dead
	what := then(" of class ", l.Class) + then(" of model ", l.Kind.Model) + then(" from ", l.Seller)
	if all == 0 {
		return "nothing is known yet of pieces" + what
	}
	return fmt.Sprintf("%d of %s%s were sound", l.Sound, Plural(all, "piece"), what)
}

// learnedJSON is what a book said, under names of their own.
func learnedJSON(list []book.Learned) object {
	var from, beside []object
	for l := range sheet.All(list) {
		if l.Asked {
			from = append(from, object{"id", l.Item, "class?", l.Class, "seller?", l.Seller, "model?", l.Kind.Model, "sound", l.Sound, "parts", l.Parts, "dead", l.Dead,
				"own", l.Own.StringFixed(6), "sound_low", l.Low, "sound_high", l.High})
		}
		if l.Model != "" {
			beside = append(beside, object{"id", l.Item, "model", l.Model, "on_hand", l.OnHand, "wanted", l.Wanted, "keep", l.Keep})
		}
	}
	return object{"from_book?", from, "on_hand?", beside}
}
