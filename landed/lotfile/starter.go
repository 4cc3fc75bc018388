package lotfile

import _ "embed"

//go:embed starter.yaml
var starter string

// Starter returns a commented lot file to start from. It is valid as it stands.
func Starter() string { return starter }
