// Package bid finds the highest bid for a lot that still makes sense, with the
// odds of its pieces counted.
//
// Most callers need two calls: [New] takes a [landed.Haul], and what is planned for it, and makes a
// [Bidder], and [Bidder.Highest] gives the answer. [Bidder.Judge] judges one given price,
// [Bidder.Moves] says what would change the answer, and [Look] sets a forecast beside what came.
//
// # Cost
//
// A lot with a price is bought, and paid for whatever becomes of the bid. So a
// bid costs what it adds: all that is paid for the haul with the bid as the price
// of the lot, less all that is paid for the lots that are bought, both by
// [landed.Split]; premium, freight, duty, tax and fees follow. Without the lot, a
// charge that covers none of what is bought is not paid, and where nothing is
// bought nothing is ([landed.Haul.Only]). Other lots that are open count as not
// there. A parcel for which the border has sent its bill has come, and costs what it
// did, as has one whose freight was settled, or in which something was found or sold: an
// open lot that the haul has in it counts in one more parcel, together with others of
// that kind. For a lot that is bid for though it was bought all that came with it is
// taken as still to come, and a bill is left aside, since it is for another price.
//
// Where services are named ([Plans].Sending), the lots travel by the plan of least cost, of
// those with the lot and of those without it ([together.Least]), in place of the
// parcels and charges of freight that the haul has; lots that have come stay in
// their parcels, with the freight that was charged for them. Lots that no service
// takes cannot be won.
//
// # Proceeds
//
// Each piece brings what its outcomes say: the value as a price at the venue, less
// the venue's fees, postage and packing, less the repair. What a sale would
// leave less than nothing of is not sold and brings nothing, as does what has a
// value of 0; its repair is spent all the same. Without a selling section a value
// is what it brings. A piece without chances is right for certain.
//
// A range of values is taken as five amounts, evenly spread, ends included, of
// equal chance: fewer where it is less than four minor units wide.
//
// A kept piece is one that came out with the outcome of the highest mean value
// ([landed.Haul.Best]): as many as are to be kept, of a range the lesser ones, or
// all where there are fewer. It counts at its worth, or else its value, less the
// repair, even if a sale would bring more. All others are sold.
//
// A risk leaves a fraction of the value of each piece it hits, and of what a kept
// one is worth. Values, each point of a range by itself, are rounded in the currency
// in which they are written, once, half away from zero, after all risks that happen.
// Fees, postage and repair are then what they are at that value: a repair is spent
// whatever comes. All of these are choices of this project (common practice, no
// source).
//
// Counted are the pieces of the lot that is bid for alone. No piece brings more or
// less for another, so that this is what the lot adds, whatever the others bring:
// a risk that hits both strikes the pieces of each for itself. A loss is that the
// lot brings less than it adds to the cost.
//
// The proceeds do not depend on the bid. Under a margin scheme the tax would:
// it is then worked out on the whole price, which never makes a bid too high.
//
// # Goals
//
// Every goal becomes the most that a bid may add, a [Limit], and a bid
// qualifies if and only if it adds no more than the least of them. With D what
// the lot brings, E its mean and C what the bid adds: a profit of P is E - C >= P, so C
// <= E - P. A return of r is E - C >= r C, so C <= E / (1 + r), since 1 + r >
// 0. A margin of m is E - C >= m E, so C <= E (1 - m). A budget of B is for all that
// is paid, what is bought with it, which is S: C <= B - S.
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
// rounded once, and everything else does not depend on it: what is paid without
// the lot is the same for every bid. That holds for each plan of how the lots
// travel, cover by a service's table left out, and so for the least of all plans,
// of which a higher bid can but close some, where a service limits the value.
// What the border and cover add is never negative. So no bid qualifies above the
// last one whose cost without them is within the limit; bisection finds that one,
// and where there is neither it is the answer. Else every bid up to it is priced.
// Where lots are too many for a plan to be proven the best, neither is the answer.
//
// # An evening
//
// [Tonight] plans several open lots that close one after the other. A lot whose highest price by
// others is p goes to the user at p when the limit is at least p; results are known before the
// next one closes. The plan maximises the expected net proceeds less (1 + the goal of return) times
// the landed cost that the evening adds; all that is paid is within the budget after every win. A
// limit is, of all bids and of none, the one that makes the evening worth most, every likely price
// up to it taken; of equal ones the highest at which to have won keeps to the budget and is worth
// at least as much as to have lost, both continued in the best way (for one sale W. Vickrey,
// J. Finance 16 (1961); for several R. Weber, Multiple-object auctions (1983): from memory).
// Prices of the others are taken as given, and as independent of what was bid or won.
//
// It works backwards from the last lot over (lots won, what of their prices still matters),
// exactly: see [planning.Prices.Terms] for how a price enters the border. Where there are too many
// such states, what counts for the border and the budget is counted in multiples of an amount, and
// what is paid for a lot itself exactly. With all raised to the next multiple, a plan can be
// followed at the true prices, as if the border had asked more and the budget had less left; with
// all lowered, none is worth less than the best: where no cost falls as a bid rises, the true worth
// lies between the two, and the budget holds. A sum differs by one multiple for each lot at most,
// so that the bounds are the nearer the more states there are. With services each bid adds an
// amount for certain, and what is left of the cost lies between two figures for each cell of bids
// that a lot is won at (see [planning.Bounds]); limits are then likely bids.
//
// # In print
//
// Whether a goal is met is decided exactly. [Point.Profit] is rounded down where
// it would meet a goal that is missed; all else that is not a whole number is
// given exactly.
//
// # Units, currency and rounding
//
// Bids are in the currency of the sale, all else in home. A repair is paid, and bears the
// card's spread. Values are brought to home, and to the currency of the venue, without it.
// Each is rounded once, half away from zero; what a sale leaves is exact until it is home;
// means are exact.
//
// # Errors
//
// [source.Faults] tell what is wrong with the haul; Asked in them, such as "lot" or
// "venue", what was asked for and cannot be. That no bid meets the goal is no
// error: the [Answer] says so, with the least bad bid.
package bid
