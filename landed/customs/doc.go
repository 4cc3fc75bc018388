// Package customs assesses what the country of entry charges on a parcel from abroad - duty, import
// tax and fees - by dated rule sets that are data, each figure with its source.
//
// Most callers need [NewBook] and [Book.For], which find the rules of a place on a day, and
// [Assess], which applies them to one day's parcels.
//
// # The pipeline
//
// Value for customs, relief, duty, import tax, fees: always in that order. What the value holds,
// where the thresholds lie, how duty and tax are made and rounded, is in the rules (the folder
// rules, with its schema). Duty rates are never in them: a class of goods brings its own, found in
// the territory's tariff, and where the duty is relieved none is needed.
//
// # Amounts and rounding
//
// Every amount is in whole minor units of the currency of the territory; the caller converts, at
// customs' own rate of exchange where there is one. A rate is exact; what it gives is rounded once,
// half away from zero unless the rules say otherwise, over what the rules say: the line, the tariff
// heading, all goods at one rate, or the parcel. What was rounded over several lines goes to them
// by [money.Apportion], so lines always sum to their parcel.
//
// # Range
//
// The money in one set of consignments may sum to 2^60 minor units, and so may the pieces; beyond
// that, and where a result would not fit, the error is [money.ErrOverflow].
//
// # What is not certain
//
// Each figure is graded: read in the authority's own text, reported elsewhere, or not checked at
// its source, with the day of the page. [Doubts] names the uncertain ones that were used
// and what depends on them, Missing what may be asked besides, and [Assessment.Others] what else
// the answer may be.
//
// # Errors
//
// [*NoRulesError], [*NoRateError] and [*InputError] say what is missing or makes no sense and where
// to find or write it. Faults of a rule file go to a [collect.Report] with line and column.
package customs
