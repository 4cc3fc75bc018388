package desk

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// waits is what a haul waits for.
type waits int

const (
	toMend waits = iota
	toClose
	onTheWay
	toOpen
	toSell
	done
	archived
)

// longestWay is how long a parcel is taken to be on its way where no bill of the border says
// that it is there: by surface mail it may be (common practice, no source).
const longestWay = 120 * 24 * time.Hour

var waitTitles = [...]string{toMend: "To be completed", toClose: "Closing soon", onTheWay: "On the way", toOpen: "To be opened", toSell: "To be sold", done: "Done", archived: "Archived"}

// line is a haul on the first page.
type line struct {
	Name, Title, Seller, Day, Total, Next string
	Holds                                 string // what its pieces are, by which it is found
	waits                                 waits
	closes                                time.Time
	comma                                 bool // it is written with decimal commas
}

// archivedMark is the note by which a file says that it is out of the way, on a line of its own.
// Its figures stay in the book, and whoever opens the file sees why it is not listed.
var archivedMark = sheet.Pattern(`(?m)^# archived[ \t]*\r?\n`)

// Archived reports whether the file says that it is.
func (h *haul) Archived() bool { return archivedMark().Match(h.Text) }

// withArchived is the text with the note, or without it.
func withArchived(text []byte, is bool) []byte {
	bare := archivedMark().ReplaceAll(text, nil)
	if !is {
		return bare
	}
	_, end, _ := lotfile.Lines("", text)
	at := len(bare) - len(bytes.TrimPrefix(bare, []byte("\xef\xbb\xbf")))
	return slices.Concat(bare[:at], []byte("# archived"+end), bare[at:])
}

// lineOf is a haul as the first page lists it.
func lineOf(h *haul, e *book.Entry, faults source.Faults) line {
	f := h.File
	l := line{Name: h.Name, Title: cmp.Or(sheet.Visible(f.Title), h.Title()), waits: h.waits(e != nil), comma: f.Comma}
	var sellers []string
	for lot := range sheet.All(f.Lots) {
		if lot.Seller != "" && !slices.Contains(sellers, lot.Seller) {
			sellers = append(sellers, lot.Seller)
		}
		l.Holds += " " + lot.Title
		for item := range sheet.All(lot.Items) {
			l.Holds += " " + cmp.Or(item.What, item.ID) + " " + item.Model
		}
	}
	l.closes = h.closes()
	l.Seller = sheet.Visible(some(sellers))
	l.Day = sheet.AsText(f.Date)
	if e != nil && e.Statement != nil {
		l.Total = sheet.Typeset(h.marked(e.Statement.Total.String()))
	}
	l.Next = h.next(l.waits, e)
	if at := l.closes.Format("2 January 15:04"); l.waits == toClose && !l.closes.IsZero() {
		if l.Next = "closes " + at + ": " + l.Next; h.closesBy(h.desk.Today().AddDate(0, 0, -1)) {
			l.Next = "closed " + at + ": say whether it was won or lost"
		}
	}
	if len(faults) > 0 {
		l.waits, l.Next = toMend, faults[0].What
	}
	if h.Archived() {
		l.waits = archived
	}
	return l
}

// closes is when the first open lot does, where any says so.
func (h *haul) closes() (first time.Time) {
	for lot := range sheet.All(h.File.Lots) {
		if c := lot.Closes; lot.Open && !lot.Lost && !c.IsZero() && (first.IsZero() || c.Before(first)) {
			first = c
		}
	}
	return first
}

// closesBy reports whether a lot closes on a day, or closed before. Hours are those of the sale,
// whose clock nobody knows here.
func (h *haul) closesBy(day time.Time) bool {
	at := h.closes()
	return !at.IsZero() && at.Format(time.DateOnly) <= day.Format(time.DateOnly)
}

// waits is what the haul waits for, as far as its file says.
func (h *haul) waits(bought bool) waits {
	f := h.File
	if len(f.Open()) > 0 {
		return toClose
	}
	if !bought {
		return done // all of it was lost
	}
	untested, known := h.untested()
	switch {
	case !known && h.billMissing() && h.desk.Today().Sub(f.Date) < longestWay:
		return onTheWay
	case len(untested) > 0:
		return toOpen
	case h.forSale() > 0:
		return toSell
	}
	return done
}

// billMissing reports whether the border is counted and asked for nothing yet.
func (h *haul) billMissing() bool {
	f := h.File
	if f.Border == nil || f.Border.Bill != (landed.Bill{}) {
		return false
	}
	return !slices.ContainsFunc(f.Parcels, func(p landed.Parcel) bool { return p.Bill != (landed.Bill{}) })
}

// untested are the items of which it is not known what was found, though it was not sure;
// known is whether anything is known of any item.
func (h *haul) untested() (ids []string, known bool) {
	for _, item := range h.File.Items() {
		known = known || item.Found != nil || len(item.Sold) > 0
		if item.Found == nil && len(item.Chances) > 0 && !item.Spread && len(item.Sold) == 0 {
			ids = append(ids, item.ID)
		}
	}
	return ids, known
}

// forSale counts the pieces that are neither kept nor sold, and came to something.
func (h *haul) forSale() int64 {
	n := int64(0)
	for _, item := range h.File.WithoutLost().Items() {
		left := item.Count - item.Keep
		if item.Found != nil {
			left = item.Found.Sound + item.Found.Parts - item.Keep
		}
		for i := range item.Sold {
			if item.Sold[i].Made == "" {
				left -= item.Sold[i].Count - again(&item.Sold[i])
			}
		}
		n += max(0, left)
	}
	return n
}

// again is how many pieces of a sale came back and may be sold again.
func again(s *landed.Sale) (n int64) {
	for i := range s.Returned {
		if s.Returned[i].As != landed.Dead {
			n += s.Returned[i].Count
		}
	}
	return n
}

// next is the next thing to do, in words.
func (h *haul) next(w waits, e *book.Entry) string {
	switch w {
	case toClose:
		return h.nextBid()
	case onTheWay:
		return "the customs bill is missing"
	case toOpen:
		ids, _ := h.untested()
		return "say what was found of " + some(h.Shown().named(ids))
	case toSell:
		if without := h.soldWithout(); without != "" {
			return without
		}
		n := h.forSale()
		if n == 1 {
			return "1 piece is for sale"
		}
		return fmt.Sprintf("%d pieces are for sale", n)
	}
	if e == nil {
		return "it went to others"
	}
	return h.soldWithout()
}

// nextBid is what is missing for a bid, or how long there is.
func (h *haul) nextBid() string {
	for _, g := range h.File.Gaps() {
		switch g.Missing {
		case "weight", "value", "rate", "customs class":
			return fmt.Sprintf("%s %s no %s", some(h.Shown().named(g.Of)), sheet.Either(len(g.Of) == 1, "has", "have"), g.Missing)
		}
	}
	return "bid for " + some(h.Shown().lotsNamed(h.File.Open()))
}

// soldWithout tells of a sale that has no day.
func (h *haul) soldWithout() string {
	for _, item := range h.File.Items() {
		for i := range item.Sold {
			if item.Sold[i].Date.IsZero() {
				return h.Shown().names[item.ID] + " is sold without a day"
			}
		}
	}
	return ""
}

// some names a few things, and how many more there are.
func some(names []string) string {
	switch n := len(names); {
	case n == 0:
		return ""
	case n <= 2:
		return strings.Join(names, " and ")
	default:
		return fmt.Sprintf("%s and %d others", names[0], n-1)
	}
}
