// Package bid finds the highest bid for a lot that still makes sense, with the
// odds of its pieces counted.
//
// Most callers need two calls: [New] takes a [landed.Haul] and makes a
// [Bidder], and [Bidder.Highest] gives the answer. [Bidder.Judge] judges one
// given price, [Bidder.Moves] says what would change the answer, and
// [Look] sets a forecast beside what came.
//
// # Cost
//
// What a bid costs is what [landed.Split] says of the haul with the bid as the
// price of the lot: premium, freight, duty, tax and fees follow it. A bill of
// customs that stands in the haul is left aside, since it is for another price.
//
// # Proceeds
//
// Each piece brings what its fates say: the value as a price at the venue, less
// the venue's fees, postage and packing, less the repair. What a sale would
// leave less than nothing of is not sold and brings nothing; its repair is
// spent all the same. Without a selling section a value is what it brings. A
// piece without chances is right for certain.
//
// A range of values is taken as five amounts, evenly spread, ends included, of
// equal chance ([odds.Range]): fewer where it is less than four minor units wide.
//
// A kept piece is one that came out with the fate of the highest mean value
// ([landed.Haul.Best]): as many as are to be kept, of a range the lesser ones, or
// all where there are fewer. It counts at its worth, or else its value, less the
// repair, even if a sale would bring more. All others are sold.
//
// A risk leaves a fraction of the value of each piece it hits, and of what a kept
// one is worth. Values, each point of a range by itself, are rounded once, half
// away from zero, after all risks that happen. Fees, postage and repair are then
// what they are at that value: a repair is spent whatever comes. All of these are
// choices of this project (common practice, no source).
//
// The proceeds do not depend on the bid. Under a margin scheme the tax would:
// it is then reckoned on the whole price, which never makes a bid too high.
//
// # Goals
//
// Every goal becomes the most that all may cost, a [Limit], and a bid
// qualifies if and only if it costs no more than the least of them. With D what
// the haul brings, E its mean and C the cost: a profit of P is E - C >= P, so C
// <= E - P. A return of r is E - C >= r C, so C <= E / (1 + r), since 1 + r >
// 0. A margin of m is E - C >= m E, so C <= E (1 - m). A budget of B is C <= B.
// The chance of a loss, P(D < C), never falls as C rises, so that it is at most
// q up to some greatest C and above it never. Costs are whole minor units, so
// each bound may be rounded down.
//
// # Every range
//
// Cost can fall as the bid rises: where a flat duty takes the place of one by
// value, or a rounded share moves to goods at a lower rate. So the bids that
// qualify need not be one range, and the search takes nothing for granted but
// one thing. Without the border, cost never falls as the bid rises: the price,
// the premium and each percentage of them are a positive number times the bid,
// rounded once, and everything else does not depend on it. What the border adds
// is never negative. So no bid qualifies above the last one whose cost without
// the border is within the limit; bisection finds that one, and without a
// border it is the answer. With one, every bid up to it is priced.
//
// # Units, currency and rounding
//
// Bids are in the currency of the sale, all else in home. Values are brought to
// home without the card's spread, rounded once, half away from zero; means are
// exact.
//
// # Errors
//
// [*UnknownLotError], [*UnknownVenueError], [*NoCurrencyError],
// [*BidError] and [*TooManyStepsError] say what was asked for and cannot be;
// [source.Faults] tell what is wrong with the haul. That no bid meets the goal
// is no error: the [Answer] says so, with the least bad bid.
package bid
