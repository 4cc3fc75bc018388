// Package source tells where things were typed and what is wrong with them: file, line, column,
// field, what is wrong and what would put it right, all faults of a file at once.
//
// A [Report] collects faults instead of stopping at the first. Readers of files return them as
// [Faults]; errors.As gets at those, or at one [*Fault].
package source
