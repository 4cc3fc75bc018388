package lotfile

import _ "embed"

//go:embed starter.yaml
var starter string

// Starter returns a commented lot file to start from. It is valid as it stands.
func Starter() string { return starter }

//go:embed reference.md
var reference string

// Reference returns what may stand in a lot file, in Markdown: for each section a
// table with an example for every key.
func Reference() string { return reference }
