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

// SchemaName is what the file of [Schema] is called where the starter names it.
const SchemaName = "lotcost.schema.json"

//go:embed schema.json
var schema []byte

// Schema returns the JSON Schema (draft 2020-12) of lot files and of files of defaults, by which
// an editor completes and checks them: which keys may stand where, with what the reference says
// of them, what kind of value each has, and which words. What it refuses the reader refuses too;
// the reader looks further, at what figures and names mean.
func Schema() []byte { return schema }
