// Package doubles says what each piece that is not kept must bring, and what the
// kept ones then cost.
//
// Most callers need one call: [Price] takes a [landed.Haul], its
// [landed.Statement] and [Options], and returns a [Result].
//
// # Which pieces
//
// What was sold is taken out first ([sales.Take]: the sound pieces before those
// for parts, in each state the cheaper first) and stands under [Sold] with what
// it really brought. What came back is there again, at what it had cost, while
// fees and postage that were lost by it are still to be brought. To be sold yet
// are the sound pieces of each item that are left but those it keeps, the dearer
// ones, and those good for parts. An [Offer] is the pieces of one item in one
// state; its prices are those of its dearest piece, so that none loses anything.
// The value of a sound piece is a price; that of a piece for parts is what it
// should bring, selling costs off (a net realisable value). Before it is written
// what was found of an item, all its pieces are taken to be sound, whatever its
// chances, and the value is that of [landed.Haul.ValueOf]:
// the mean of the best.
//
// # Three readings
//
// By itself, each piece bears its own cost. With [Options].CarryAll, the pieces to be
// sold yet bear all that was paid for the haul less what sales have brought, and
// the kept ones are free: it is shared by what they should bring, or by their
// number where no value is given. [Kept], the third, turns it round: what sales
// have brought, and what the others bring at their values, is taken off what was
// paid, as the net value of a by-product is taken off the cost of the main
// product (IAS 2.14 as retold in Ind AS 2), and the kept pieces bear the rest.
// It falls below zero when the sales bring more than was paid; that it is then
// shown as a gain is a choice of this project (no source).
//
// # Currency and rounding
//
// A [Quote] is in the currency of its venue, all else in home. A cost is brought to another
// currency rounded up, so that nothing is lost, and so is what pieces for parts should bring, which
// is what they carry: by way of home only at a venue at home, or where the item's cost is less;
// other values, postage and packing are rounded once, half away from zero, and so is what each sale
// brings when it is brought home. Rates bear no spread, as for the values of items. Sums are exact.
//
// # Errors
//
// [Price] returns [source.Faults] where the haul says nothing of selling or a
// rate is missing, and where sales contradict what was found or, under
// CarryAll, only some pieces have a value. Asked is "venue" where no venue has the name, "ending"
// where a currency has no cents to end in, "carry" where no piece is to be sold that could carry
// the haul, and "statement" where that is of another haul. That a single piece has no price is no
// error: its [Quote] says why.
package doubles
