// Package source tells where things were typed and what is wrong with them: file, line, column,
// field, what is wrong and what would put it right, all faults of a file at once.
//
// Readers of files return [Faults], all there are instead of the first; errors.As gets at those, or
// at one [*Fault].
package source
