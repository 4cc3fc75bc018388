package customs

import (
	"maps"
	"slices"
	"strings"

	"lotcost/landed/internal/scrub"
)

// What a person who imports should know. Common practice and general law, no single source.
const (
	cautionEstimate = "This is an estimate: the customs authority decides, and its bill stands."
	cautionPrice    = "Declare the price truly paid, premium included: to mark a purchase as a gift, or to have it undervalued, is an offence."
	cautionGift     = "A gift is sent by one private person to another and not paid for by anyone; what was bought is none, and neither is what is to be sold."
	cautionReturned = "Goods that come back need proof that they left, and of what was paid then; where no step below relieves them, the rules here hold no relief for them."
	cautionSeller   = "Where the seller charges the tax at the sale it is in what you pay there, and not here."
	cautionDividing = "To divide one purchase over several parcels to stay under a threshold may be treated as one purchase."
)

// cautions returns the short warnings that apply to some parcels, in a fixed order. They depend on
// the use, on whether several parcels are of one seller, and on the tariff codes; goods without a
// code count as old goods of any material. An assessment adds those of its rules, and one where the
// seller charges the tax.
func cautions(c *Consignments) []string {
	list := []string{cautionEstimate, cautionPrice}
	if c.Use == Gift {
		list = append(list, cautionGift)
	}
	if c.Use == Returned {
		list = append(list, cautionReturned)
	}
	if c.sellerTwice() {
		list = append(list, cautionDividing)
	}
	codes := []string{""}
	for _, class := range c.Classes {
		codes = append(codes, scrub.Digits(class.Code))
	}
	if len(c.Classes) > 0 {
		codes = codes[1:]
	}
	for i := range cautionsOfGoods {
		k := &cautionsOfGoods[i]
		if slices.ContainsFunc(codes, func(code string) bool { return begins(code, k.starts) }) {
			list = append(list, k.said...)
		}
	}
	return list
}

// sellerTwice reports whether two parcels are of one seller, or of sellers that are not said.
func (c *Consignments) sellerTwice() bool {
	for i := range c.Parcels {
		if slices.ContainsFunc(c.Parcels[:i], func(p Parcel) bool { return p.sharesSeller(&c.Parcels[i]) }) {
			return true
		}
	}
	return false
}

// cautionsOfGoods are by chapters and headings of the Harmonized System in which old goods of horn,
// ivory or tropical wood are found, instruments with mercury or radium, old and rare objects,
// blades, and goods with a motor, a cell or a plug (from memory). "" is goods without a code.
var cautionsOfGoods = [...]struct{ starts, said []string }{
	{[]string{"", "44", "82", "90", "91", "92", "94", "95", "96", "97"}, []string{"Old goods may hold protected materials - ivory, tortoiseshell, some rosewoods: under CITES they may need a permit, or not be let in at all."}},
	{[]string{"", "84", "85", "90", "91"}, []string{"Old instruments and electrical goods may hold asbestos, mercury or radium: some countries refuse them, and the post does."}},
	{[]string{"", "92", "97"}, []string{"Old and rare objects may need an export licence of the country they leave, and papers of their origin where they arrive."}},
	{[]string{"8211", "9307"}, []string{"Knives and swords are restricted in many countries, by post above all."}},
	{[]string{"84", "85", "91"}, []string{
		"Lithium batteries travel under rules of their own, and loose ones often not by post.",
		"Check mains voltage, frequency, plug and, for adapters, polarity before you connect it.",
	}},
}

// Notes returns what bears on these parcels: remarks of the rules, then cautions.
func (a *Assessment) Notes() (notes []Note) {
	a.again(func(again *assessor) { notes = again.notes(a) })
	return notes
}

func (a *assessor) notes(of *Assessment) []Note {
	var notes []Note
	all := append(cautions(a.c), a.uncoded(of)...)
	for i, bears := range a.rules.bears[:min(len(a.rules.bears), len(a.rules.Notes))] {
		switch n := a.rules.Notes[i]; {
		case !a.anyParcel(&bears):
		case n.Caution:
			all = append(all, n.Text)
		default:
			notes = append(notes, n)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(a.c.Classes)) {
		if also := a.c.Classes[key].Also; len(also) > 0 && a.inUse(key) {
			notes = append(notes, Note{Text: "Also named at the line of " + key + " in the tariff, and not counted: " + strings.Join(also, "; ") + "."})
		}
	}
	bySeller := func(r Relief) bool { return r.BySeller }
	if slices.ContainsFunc(of.Parcels, func(p ParcelAssessment) bool { return slices.ContainsFunc(p.Relief, bySeller) }) {
		all = append(all, cautionSeller)
	}
	for _, text := range all {
		notes = append(notes, Note{text, true})
	}
	return notes
}

// uncoded tells how goods without a tariff code were counted where each heading bears a sum;
// nothing where none does, or all goods have a code.
func (a *assessor) uncoded(of *Assessment) []string {
	var classes, said []string
	for i := range a.work {
		w := &a.work[i]
		if y := first(a, w, a.rules.duty.ways); y.by != perHeading || of.Parcels[i].Duty.Sign() == 0 {
			continue
		}
		for j := range w.lines {
			switch l := &w.lines[j]; {
			case l.class == nil:
				said = []string{"The duty is a sum for each tariff heading, and each line of goods without a class counts as one: a class with its code makes it sure."}
			case l.class.code == "":
				classes = append(classes, l.Class)
			}
		}
	}
	if slices.Sort(classes); len(classes) > 0 {
		said = append(said, "The duty is a sum for each tariff heading, and a class without a code ("+join(slices.Compact(classes))+
			`) counts as one, whatever is in it: its code, as in code: "8205.59", makes it sure.`)
	}
	return said
}

// CountsFees reports whether fees beside freight and insurance are in what any of the parcels is
// charged on.
func (a *Assessment) CountsFees() (counts bool) {
	a.again(func(again *assessor) {
		counts = slices.ContainsFunc(again.work, func(w parcelWork) bool {
			in := w.value.holds
			for i := range again.rules.taxes {
				in |= again.rules.taxes[i].base &^ w.value.without
			}
			return in&partFees != 0 && slices.ContainsFunc(w.lines, func(l lineWork) bool { return l.OtherFees.Sign() > 0 })
		})
	})
	return counts
}

// inUse reports whether any line is of a class.
func (a *assessor) inUse(class string) bool {
	return slices.ContainsFunc(a.work, func(w parcelWork) bool {
		return slices.ContainsFunc(w.lines, func(l lineWork) bool { return l.Class == class })
	})
}

// anyParcel reports whether a rule is for any of the parcels.
func (a *assessor) anyParcel(r *when) bool {
	for i := range a.work { // not by copies: what is measured knows a parcel by its place
		if a.applies(r, &a.work[i]) {
			return true
		}
	}
	return false
}
