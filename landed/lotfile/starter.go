package lotfile

import _ "embed"

// Starter is a commented lot file to start from. It is valid as it stands.
//
//go:embed starter.yaml
var Starter string
