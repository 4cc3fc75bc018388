// Package source reads what people type in files and keeps where they typed
// it, so that every fault can be told with file, line, column and remedy, all
// faults of a file at once.
//
// [ParseYAML] gives the root [Node] of a document; a reader walks it with
// [Node.Map], [Node.List] and [Scalar], which record a [Fault] and go on
// instead of stopping at the first. [Report] collects the faults.
//
// # What is refused
//
// A document must be UTF-8 text of at most [MaxBytes] and about a million
// values, one YAML document, not nested deeper than any of our formats could
// need. No value or key is longer than [MaxText]. Anchors may stand but aliases
// and merge keys are refused: they hide where a figure was typed, and let a few
// bytes stand for gigabytes.
package source
