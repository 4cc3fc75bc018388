// Package together finds which lots travel in which parcel by which service for the least total cost.
//
// Most callers need one call: [Plan] takes a [landed.Haul] that says how its lots may travel, and returns a
// [Report] of three ways: all apart, all in one box, and the best, each with the total of the whole account.
// [Next] tells what one more lot would add. Where a rule of the border counts parcels together, they are counted
// together; where a way is the best only because lots are divided, the report names the parcels that are
// relieved for it.
//
// The heart of it is [Problem.Solve]: given what any set of lots costs in one parcel by any service, it
// returns the cheapest way to divide the lots into parcels, or, for more lots than can be settled, a good
// way and a bound below which no way can lie.
//
// # Exact answers
//
// Up to [Options.ExactUpTo] lots the answer is proven. Prices per lot are found for which no parcel costs
// less than its lots are priced at (linear programming duality, the set partitioning relaxation); a parcel
// that costs more than its lots' prices by as much as the best plan costs more than all prices cannot be in a
// better plan and is dropped, most often without asking for its cost. Dynamic programming over the sets of
// lots that remain settles the rest. Alike lots count as one kind: sixty lots of three kinds are a small
// problem.
//
// # Good answers with a bound
//
// Above that, or when the work allowed is spent, [Solution.Exact] is false and [Solution.Bound] says how low
// the cost of any plan could be. Plans come from merging, from rounding the linear relaxation, and from
// local search; the bound from the lots' weights and the tariff: the relaxation solved by column generation
// (P. C. Gilmore and R. E. Gomory, "A linear programming approach to the cutting-stock problem", Operations
// Research 9, 1961), and the least price of tariff steps that together carry the whole weight.
//
// # Amounts
//
// Costs are whole minor units of one currency, from 0 to [MaxCost]. Nothing is rounded. The fractions inside
// the relaxation only suggest prices: every bound is checked in whole numbers before it is used.
//
// # Errors
//
// What is wrong with a haul is returned as [source.Faults]. The rest concerns Solve:
//
// Input that makes no sense is a [*ProblemError], a floor above a cost a [*FloorError], and lots that no
// plan can carry a [*NoPlanError].
package together
