package main

import "strings"

// indent sets a text in by two spaces.
func indent(text string) string { return "  " + strings.ReplaceAll(text, "\n", "\n  ") }
