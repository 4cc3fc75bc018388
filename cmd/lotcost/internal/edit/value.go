package edit

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// single is a single value, which stands nowhere yet.
func single(text string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: text} }

// listOf is a list of values.
func listOf(entries ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.SequenceNode, Content: entries}
}

// plain is a value without where it stood, and how it was written there.
func plain(n *yaml.Node) *yaml.Node {
	c := &yaml.Node{Kind: n.Kind, Value: n.Value}
	for _, inner := range n.Content {
		c.Content = append(c.Content, plain(inner))
	}
	return c
}

// isFlat reports whether a value holds single values alone, so that it is short.
func isFlat(n *yaml.Node) bool {
	return !slices.ContainsFunc(n.Content, func(c *yaml.Node) bool { return c.Kind != yaml.ScalarNode })
}

// scalar writes a text: bare where that reads back, else in quotes.
func scalar(s string, inFlow bool) string {
	around := []string{"k: ", ""}
	if inFlow {
		around = []string{"{k: [", "]}"}
	}
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(around[0]+s+around[1]), &doc); err == nil && !strings.ContainsAny(s, lineEnds) {
		n := doc.Content[0]
		if n.Kind == yaml.MappingNode && len(n.Content) == 2 {
			n = n.Content[1]
			if inFlow && len(n.Content) == 1 {
				n = n.Content[0]
			}
			if n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value == s && !isNull(n) {
				return s
			}
		}
	}
	return strconv.Quote(s)
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// like writes a text in the quotes of an older one.
func like(old *yaml.Node, s string, inFlow bool) string {
	switch {
	case old.Style&yaml.DoubleQuotedStyle != 0:
		return strconv.Quote(s)
	case old.Style&yaml.SingleQuotedStyle != 0 && s != "" && !strings.ContainsAny(s, lineEnds+"\t") && strconv.CanBackquote(strings.ReplaceAll(s, "`", "")):
		return "'" + strings.ReplaceAll(s, "'", "''") + "'"
	}
	return scalar(s, inFlow)
}

// flow writes a value within braces and brackets, all on one line.
func flow(n *yaml.Node) string {
	var parts []string
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			parts = append(parts, flow(n.Content[i])+": "+flow(n.Content[i+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		for _, c := range n.Content {
			parts = append(parts, flow(c))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return scalar(n.Value, true)
}

// writer writes values on lines of their own.
type writer struct{ end string } // how lines end

// pair writes a key and its value. A value that is short stands beside the key, unless
// the key is that of a section.
func (w writer) pair(key string, n *yaml.Node, indent int, section bool) string {
	key = scalar(key, false) + ":"
	switch {
	case n.Kind == yaml.ScalarNode:
		return key + " " + scalar(n.Value, false)
	case len(n.Content) == 0, isFlat(n) && !section:
		return key + " " + flow(n)
	case n.Kind == yaml.SequenceNode:
		for _, c := range n.Content {
			key += w.line(indent+2) + "- " + w.entry(c, indent+4, !isFlat(c))
		}
		return key
	}
	return key + w.line(indent+2) + w.pairs(n, indent+2)
}

func (w writer) line(indent int) string { return w.end + strings.Repeat(" ", indent) }

// pairs writes a group of keys, each on a line of its own.
func (w writer) pairs(n *yaml.Node, indent int) string {
	var lines []string
	for i := 0; i+1 < len(n.Content); i += 2 {
		lines = append(lines, w.pair(n.Content[i].Value, n.Content[i+1], indent, false))
	}
	return strings.Join(lines, w.line(indent))
}

// entry writes what stands behind the dash of a list.
func (w writer) entry(n *yaml.Node, indent int, open bool) string {
	switch {
	case n.Kind == yaml.ScalarNode:
		return scalar(n.Value, false)
	case n.Kind == yaml.MappingNode && open && len(n.Content) > 0:
		return w.pairs(n, indent)
	}
	return flow(n)
}
