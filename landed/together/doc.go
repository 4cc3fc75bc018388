// Package together finds which lots travel in which parcel by which service for the least total
// cost.
//
// Most callers need one call: [Plan] takes a [landed.Haul] and how its lots may travel, a
// [Sending], and returns a [Report] of three ways: all apart, all in one box, and the best, each
// with the total of the whole account. [Next] tells what one more lot would add. Where a rule of
// the border counts parcels together, they are counted together; where a way is the best only
// because lots are divided, the report names the parcels that are relieved for it.
//
// The least-cost division itself is found by package partition: up to about twenty unlike lots it
// is proven, up to twelve where a limit is over several parcels and may be passed or not; for more
// a good one comes with a bound.
//
// # Amounts
//
// All amounts are in the haul's home currency. Nothing is rounded beyond what [landed.Split]
// rounds.
//
// # Errors
//
// What is wrong with a haul is returned as [source.Faults].
package together
