// Package input reads what people write in files: values that know where they stand.
//
// [ParseYAML] gives the root [Node] of a document; a reader walks it with [Node.Map], [Node.List]
// and [Scalar], which record a [source.Fault] and go on instead of stopping at the first.
//
// # What is refused
//
// A document must be UTF-8 text of at most [MaxBytes] and about a million values, one YAML
// document, not nested deeper than any of our formats could need. No value or key is longer than
// [MaxText]. Anchors may stand but aliases and merge keys are refused: they hide where a figure was
// typed, and let a few bytes stand for gigabytes.
package input
