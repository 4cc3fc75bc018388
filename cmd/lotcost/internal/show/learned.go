package show

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/book"

	"github.com/shopspring/decimal"
)

// learnedNotes tell what the user's own book said of the items of a lot.
func learnedNotes(list []book.Learned) []sheet.Block {
	var notes []sheet.Block
	add := func(text string) { notes = append(notes, sheet.Note{Kind: sheet.Remark, Text: text}) }
	for i := range list {
		l := &list[i]
		if l.Asked {
			own := l.Own.Mul(decimal.NewFromInt(100)).StringFixed(1)
			add(fmt.Sprintf("%s, by your book: %s; your own chances count for %s%% of what is counted. Of %s, %s will be sound, at least 9 times in 10", l.Item, recordText(l), own, plural(l.Pieces, "piece"), span(l.Low, l.High)))
		}
		if l.Model != "" && l.OnHand > 0 {
			add(fmt.Sprintf("%s: %d of %s on hand, %d wanted, so %s of the new ones are kept; what is for sale already is sold first", l.Item, l.OnHand, l.Model, l.Wanted, noneOr(l.Keep)))
		}
	}
	return notes
}

func noneOr(n int64) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

func span(low, high int64) string {
	if low == high {
		return fmt.Sprint(low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

// recordText is how many pieces of a record were sound.
func recordText(l *book.Learned) string {
	all, of := l.Sound+l.Parts+l.Dead, []string{}
	if l.Class != "" {
		of = append(of, " of class "+l.Class)
	}
	if l.Kind.Model != "" {
		of = append(of, " of model "+l.Kind.Model)
	}
	if l.Seller != "" {
		of = append(of, " from "+l.Seller)
	}
	what := strings.Join(of, "")
	if all == 0 {
		return "nothing is known yet of pieces" + what
	}
	return fmt.Sprintf("%d of %s%s were sound", l.Sound, plural(all, "piece"), what)
}

type learnedJSON struct {
	ID     string `json:"id"`
	Class  string `json:"class,omitempty"`
	Seller string `json:"seller,omitempty"`
	Model  string `json:"model,omitempty"`
	Sound  int64  `json:"sound"`
	Parts  int64  `json:"parts"`
	Dead   int64  `json:"dead"`
	Own    string `json:"own"`
	Low    int64  `json:"sound_low"`
	High   int64  `json:"sound_high"`
}

type onHandJSON struct {
	ID     string `json:"id"`
	Model  string `json:"model"`
	OnHand int64  `json:"on_hand"`
	Wanted int64  `json:"wanted"`
	Keep   int64  `json:"keep"`
}

// jsonLearned is what a book said, under names of their own.
func jsonLearned(list []book.Learned) any {
	out := struct {
		From   []learnedJSON `json:"from_book,omitempty"`
		Beside []onHandJSON  `json:"on_hand,omitempty"`
	}{}
	for i := range list {
		l := &list[i]
		if l.Asked {
			out.From = append(out.From, learnedJSON{l.Item, l.Class, l.Seller, l.Kind.Model, l.Sound, l.Parts, l.Dead, l.Own.StringFixed(6), l.Low, l.High})
		}
		if l.Model != "" {
			out.Beside = append(out.Beside, onHandJSON{l.Item, l.Model, l.OnHand, l.Wanted, l.Keep})
		}
	}
	return out
}
