// Package partition divides a set into parts at the least total cost.
//
// Most callers need one call: [Problem.Solve]. Given what any part costs in any of several modes,
// it returns the cheapest way to divide the elements into parts, or, for more elements than can be
// solved exactly, a good way and a bound below which no way can be.
//
// # Exact answers
//
// Up to twenty elements the answer is proven. Prices per element are found for which no part costs
// less than its elements are priced at (linear programming duality, the set partitioning
// relaxation); a part that costs more than its elements' prices by as much as the best plan costs
// more than all prices cannot be in a better plan and is dropped, most often without asking for its
// cost. Dynamic programming over the sets that remain solves the rest. Sets that no mode carries,
// or that cost as much as the plan to beat, are not walked: twenty elements of which few fit
// together are a small problem. Alike elements count as one kind: sixty of three kinds are too.
// Where brackets say what parts cost at least besides, no more than so much work goes into a proof.
//
// # Good answers with a bound
//
// Above that, or when the work allowed is spent, [Solution.Exact] is false and [Solution.Bound]
// says how low the cost of any plan could be. Plans come from merging, from rounding the linear
// relaxation, and from local search; the bound from the elements' weights and what weight costs at
// least: the relaxation solved by column generation (P. C. Gilmore and R. E. Gomory, "A linear
// programming approach to the cutting-stock problem", Operations Research 9, 1961), and the least
// price of steps that together carry the whole weight. The relaxation takes shares of parts: plans
// are told apart by how many parts of a kind they have (branch and bound over the number of columns
// of a kind; common practice, no source), and the least bound of all that remain is that of all.
//
// # Amounts
//
// Costs are whole numbers of one unit, from 0 to [MaxCost]. Nothing is rounded. The fractions
// inside the relaxation only suggest prices: every bound is checked in whole numbers before it is
// used.
//
// # Errors
//
// Input that makes no sense is an error that names it, and elements that no plan can take are a
// [*NoPlanError].
package partition
