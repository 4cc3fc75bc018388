// Package book calculates across many hauls: what is still there and what it cost
// ([Stock]), of what there is more than is wanted ([Double]), what sold ([Sale]),
// years and months ([Period]), and how good the guesses were ([Guesses]).
//
// [Enter] makes an [Entry] of one haul and may run for several at once; a [Book]
// takes entries in any order and keeps no more of them than what is still there,
// unless all sales are asked for; [Book.Result] is what comes of them.
//
// # Cost
//
// Pieces are goods that are not ordinarily interchangeable, so each leaves the
// stock at its own cost: specific identification (IAS 2, paragraph 23, read in a
// copy). With [Options.Average] the pieces of a model and state are a pool, and
// each leaves at the average of the moment, taken anew with each purchase (the
// moving average of IAS 2, paragraphs 25 and 27, the latter from memory). What
// nobody carries of pieces that came to nothing is written off in the month of
// the haul (paragraph 34).
//
// Whatever the method, to the minor unit and for each period: stock at its start,
// and what was bought, less the cost of what was sold and what was written off,
// is the stock at its end.
//
// What comes back of a sale counts on its own day, below zero: the refund is off the proceeds of
// that period, and the very cost at which the pieces left is off its cost of sold, as they are in
// stock again; what they are then worth less is written off (common practice of sales returns; data
// under testdata/stock/returns.yaml; the lower of cost and net realisable value is IAS 2, paragraph
// 9). The period of the sale stays what it was. An average is not taken anew for them: they come
// into the pool at the average at which they left.
//
// All amounts are in home. What a sale brought is rounded part by part, as
// [sales.Seller.Proceeds] does.
package book
