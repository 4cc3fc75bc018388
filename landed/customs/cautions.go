package customs

import (
	"maps"
	"slices"
)

// What a person who imports should know. Common practice and general law, no
// single source.
const (
	cautionEstimate  = "This is an estimate: the customs authority decides, and its bill stands."
	cautionPrice     = "Declare the price truly paid, premium included: to mark a purchase as a gift, or to have it undervalued, is an offence."
	cautionGift      = "A gift is sent by one private person to another and not paid for by anyone; what was bought is none."
	cautionSeller    = "Where the seller charges the tax at the sale it is in what you pay there, and not here; a private seller may charge none."
	cautionDividing  = "To divide one purchase over several parcels to stay under a threshold may be treated as one purchase."
	cautionProtected = "Old goods may hold protected materials - ivory, tortoiseshell, some rosewoods: under CITES they may need a permit, or not be let in at all."
	cautionBatteries = "Lithium batteries travel under rules of their own, and loose ones often not by post."
	cautionMains     = "Check mains voltage, frequency, plug and, for adapters, polarity before you connect it."
)

// bySeller reports whether any parcel is let in because the seller charges the
// tax at the sale.
func bySeller(parcels []ParcelAssessment) bool {
	return slices.ContainsFunc(parcels, func(p ParcelAssessment) bool {
		return slices.ContainsFunc(p.Relief, func(r Relief) bool { return r.BySeller })
	})
}

// Cautions returns the short warnings that apply to some parcels, in a fixed
// order. They depend on the use, on how many parcels there are, and on the
// chapters of the tariff codes; goods without a code count as old goods of any
// material. An assessment adds one where the seller charges the tax.
func Cautions(c *Consignments) []string {
	list := []string{cautionEstimate, cautionPrice}
	if c.Use == Gift {
		list = append(list, cautionGift)
	}
	if len(c.Parcels) > 1 {
		list = append(list, cautionDividing)
	}
	protected, electrical := len(c.Classes) == 0, false
	for _, class := range slices.Collect(maps.Values(c.Classes)) {
		chapter := class.Code[:min(2, len(class.Code))]
		protected = protected || slices.Contains(protectedChapters, chapter)
		electrical = electrical || slices.Contains(electricalChapters, chapter)
	}
	if protected {
		list = append(list, cautionProtected)
	}
	if electrical {
		list = append(list, cautionBatteries, cautionMains)
	}
	return list
}

// Chapters of the Harmonized System in which old goods of horn, ivory or
// tropical wood are found, and those with a motor, a cell or a plug (from
// memory).
var (
	protectedChapters  = []string{"", "44", "82", "90", "91", "92", "94", "95", "96", "97"}
	electricalChapters = []string{"84", "85", "91"}
)
