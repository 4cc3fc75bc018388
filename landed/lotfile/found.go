package lotfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"

	"github.com/shopspring/decimal"
)

// benchKeys are the keys of an item that are written once the parcel is open,
// foundKeys those of what was found. An item list has a column for each of
// both but found.
var (
	benchKeys = []string{"found", "repair", "hours", "parts-value", "keep", "worth"}
	foundKeys = []string{"sound", "parts", "dead", "missing", "extra"}

	foundInFile = slices.Concat(foundKeys, []string{"yields"})
)

// bench reads what was found of an item and done with it once the parcel was
// open. What was found is a group of keys in a lot file, a few columns of an
// item list. Where they or the count could not be read, the pieces are not
// counted against each other.
func (r *reader) bench(item *landed.Item, counted bool, found, get func(string) input.Node) {
	var f landed.Found
	given, before := false, r.report.Len()
	for i, count := range []*int64{&f.Sound, &f.Parts, &f.Dead, &f.Missing, &f.Extra} {
		n := found(foundKeys[i])
		given = given || n.Given()
		*count = r.pieces(n, foundKeys[i])
	}
	item.Keep = r.pieces(get("keep"), "keep")
	if item.Count == 0 && f.Extra == 0 { // pieces that nobody paid for are extra
		failCount(get("count"), 0)
		item.Count = 1
	}
	switch {
	case !counted || r.report.Len() > before:
		item.Keep = 0
	case given:
		item.Found = &f
	}
	item.Repair = r.notNegativeIn(get("repair"), r.home)
	item.Hours = r.hours(get("hours"))
	item.PartsValue = r.notNegativeIn(get("parts-value"), r.home)
	item.Worth = r.notNegativeIn(get("worth"), r.home)
}

// yield reads what was made from dead pieces.
func (r *reader) yield(n input.Node, y *landed.Yield) {
	m := n.Map("what", "count", "value", "weight")
	y.What, _ = m.Require("what", "name what was made, as in what: iron").Text()
	y.Count = r.count(m.Get("count"))
	y.Value = r.notNegativeIn(m.Require("value", "write what one should sell for, as in value: 6 CAD"), r.home)
	y.Weight, y.Weighed = input.Scalar(m.Get("weight"), measure.ParseWeight)
}

// pieces reads a number of pieces, which may be none, from a key.
func (r *reader) pieces(n input.Node, key string) int64 {
	text, ok := n.Text()
	if !ok {
		return 0
	}
	count, err := strconv.ParseInt(text, 10, 64)
	switch {
	case err != nil:
		failNumber(n, text, "a number of pieces", "write a whole number, as in "+key+": 1")
	case count < 0:
		n.Fail(fmt.Sprintf("%d pieces make no sense", count), "write 0 or more, as in "+key+": 1")
	case count > mostPieces:
		n.Fail(fmt.Sprintf("%d pieces are too many", count), "write how many pieces there are")
	default:
		return count
	}
	return 0
}

// mostHours is more than anybody works on one item.
const mostHours = 100_000

func (r *reader) hours(n input.Node) decimal.Decimal {
	n = n.Figure()
	text, ok := n.Text()
	if !ok {
		return decimal.Decimal{}
	}
	const longest = 20
	hours, err := decimal.NewFromString(text)
	switch {
	case err != nil || len(text) > longest || strings.Trim(text, "0123456789.-") != "":
		n.Fail(quote(text)+" is not a number of hours", show(meantHours(text), "write it as in hours: 1.5"))
	case hours.Sign() < 0:
		n.Fail(quote(text)+" hours make no sense", "write 0 or more, as in hours: 1.5")
	case hours.GreaterThan(decimal.NewFromInt(mostHours)):
		n.Fail(quote(text)+" hours are too many", "write how many hours were worked on the item")
	default:
		return hours
	}
	return decimal.Decimal{}
}
