package desk

import (
	"cmp"
	"fmt"
	"iter"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/source"
)

// called is what somebody reads for an entry of the file, in the words that were typed: a piece
// with its lot, a lot, a box, a cost, a place where it is sold.
func (h *haul) called(p edit.Path) string {
	if len(p) < 2 || h.Doc == nil {
		return ""
	}
	in := func(key string) string { return h.typed(p.Below(key)) }
	if p[len(p)-1].Key == "returned" { // the only one, which is no list
		return entryWords["returned"] + " of " + h.called(p[:len(p)-1])
	}
	list := p[len(p)-2].Key
	word := entryWords[list]
	number := word
	if !h.Doc.Has(p) {
		number = "a new " + word
	} else if i := p[len(p)-1].Index; p[len(p)-1].ID == "" && i >= 0 {
		number = fmt.Sprintf("%s %d", word, i+1)
	}
	switch list {
	case "lots":
		if len(p) == 2 {
			return cmp.Or(in("title"), withWord(word, in("id")), number)
		}
	case "items":
		name, lot := cmp.Or(h.pieceName(p), number), h.called(p[:2])
		if strings.HasSuffix(name, " ("+lot+")") {
			return name
		}
		return name + ", " + lot
	case "parcels":
		return cmp.Or(withWord(word, in("id")), number)
	case "yields", "charges":
		return cmp.Or(in("what"), number)
	case "venues", "services":
		return cmp.Or(in("name"), number)
	case "steps", "sold", "returned":
		return number + " of " + h.called(p[:len(p)-2])
	}
	return ""
}

// entryWords are what an entry of a list is, in a word.
var entryWords = map[string]string{"lots": "lot", "items": "piece", "parcels": "box", "yields": "part", "charges": "cost", "venues": "place", "services": "service", "steps": "step", "sold": "sale", "returned": "return"}

// withWord is an id behind the word for what it is of, where it does not say so.
func withWord(word, id string) string {
	if id == "" || strings.HasPrefix(id, word) {
		return spoken(word, id)
	}
	return word + " " + id
}

// spoken is an id as it is read: one of the word for what it is of and a number, as those that we
// give are, has a space between them.
func spoken(word, id string) string {
	number, ours := strings.CutPrefix(id, word+"-")
	if ours && number != "" && strings.Trim(number, "0123456789") == "" {
		return word + " " + number
	}
	return id
}

// pieceName is what a piece is called: as it was typed, and where others are called alike with its
// lot behind, or its id where that does not tell them apart.
func (h *haul) pieceName(item edit.Path) string {
	what, id, lot := h.inItem(item)
	return h.alike().apart(what, id, lot)
}

// inItem is what is typed of an item, and of its lot.
func (h *haul) inItem(item edit.Path) (what, id, lot string) {
	return h.typed(item.Below("what")), h.typed(item.Below("id")), cmp.Or(h.typed(item[:2].Below("title")), spoken("lot", h.typed(item[:2].Below("id"))))
}

// items are the paths of the pieces that stand in the file.
func (h *haul) items() iter.Seq[edit.Path] {
	return func(yield func(edit.Path) bool) {
		for i := range h.Doc.Len(h.at("lots")) {
			for j := range h.Doc.Len(h.at("lots", i, "items")) {
				if !yield(h.at("lots", i, "items", j)) {
					return
				}
			}
		}
	}
}

// pieces is how many of them stand in the file, and in lists of their own.
func (h *haul) pieces() (n int) {
	for i := range h.Doc.Len(h.at("lots")) {
		if h.typed(h.at("lots", i, "items")) == "" {
			n += h.Doc.Len(h.at("lots", i, "items"))
		} else if h.File != nil {
			n += len(h.File.Lots[i].Items)
		}
	}
	return n
}

// names counts how many are called the same.
type names map[string]int

// add counts one more, of a lot.
func (n names) add(name, lot string) {
	n[name]++
	n[name+" ("+lot+")"]++
}

// apart is the name of one, with what tells it from others that are called alike.
func (n names) apart(name, id, lot string) string {
	in := name + " (" + lot + ")"
	switch {
	case name == "" || n[name] < 2 || id == "":
		return cmp.Or(name, id)
	case lot != "" && lot != name && n[in] < 2:
		return in
	}
	return name + " (" + id + ")"
}

// alike counts the pieces by what they are called.
func (h *haul) alike() names {
	if h.sameNames == nil {
		h.sameNames = names{}
		for item := range h.items() {
			what, _, lot := h.inItem(item)
			h.sameNames.add(what, lot)
		}
	}
	return h.sameNames
}

// labelOf is a field of an entry for those who hear it.
func (h *haul) labelOf(head string, entry edit.Path) string {
	head = sheet.Upper(head)
	if of := h.called(entry); of != "" && strings.HasSuffix(head, " took") {
		return head + " for " + of
	} else if of != "" {
		return head + " of " + of
	}
	return head
}

// keyWords are keys of the file in words, where those are others.
var keyWords = map[string]string{"count": "pieces", "what": "name", "likely": "what it may go for", "up-to": "up to", "chances": "chance", "use": "what the goods are for", "by": "way they come", "duty": "duty", "rates": "rate", "spread": "what the card adds", "assessed": "bill of the border", "settled": "what the bank took", "id": "short id", "charged": "postage buyers pay", "keep": "kept", "ships": "sent by post", "yields": "what was made", "date": "day", "fees-back": "fees back", "as": "is now", "parts": "for parts", "~value": "value", "~chance": "chance", "~else": "value else", "~lots": "lots in it"}

// wordsOf says in words what a fault is about, on the pages where no keys are seen; "" where it is
// not known what it is, or the file itself is shown.
func (h *haul) wordsOf(f *source.Fault, field string) string {
	p, err := edit.ParsePath(field)
	if err != nil || field == "" || h.View == textView {
		return ""
	}
	if n := len(p); n > 1 && p[n-1].Key == "id" && !strings.HasSuffix(f.Field, "id") { // where an entry begins
		p = p[:n-1]
	}
	for n := len(p); n > 0; n-- {
		of := h.called(p[:n])
		if of == "" {
			continue
		}
		if n == len(p) {
			return sheet.Upper(of)
		}
		key := p[n].Key
		if key == "found" && n+1 < len(p) {
			key = p[n+1].Key
		}
		return h.labelOf(cmp.Or(keyWords[key], strings.ReplaceAll(key, "-", " ")), p[:n])
	}
	key := p[len(p)-1].Key
	if key == "" && len(p) > 1 {
		key = p[len(p)-2].Key
	}
	return sheet.Upper(cmp.Or(keyWords[key], strings.ReplaceAll(key, "-", " ")))
}
