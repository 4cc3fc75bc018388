package lotfile

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"sync"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
)

// A key that is unknown where it stands is often one of another group: budget, which is written at
// the top and belongs in the goal of bidding.

// misplaced tells of keys that are not known, nor like one that is and takes such a value, where
// they belong.
func misplaced(report *collect.Report) {
	for _, f := range report.All() {
		shape, is := errors.AsType[*input.ShapeError](f)
		if !is || shape.Key == "" || shape.Meant != "" && !(shape.Single && takesGroups(shape.Meant, shape.Keys)) {
			continue
		}
		if strings.TrimSuffix(shape.Key, "s") == "parcel" && slices.Contains(shape.Keys, "on") {
			f.Remedy = "write on with the lots in it, as in on: [crate-a]"
		} else if place := belongs(shape.Key, shape.Keys); place != "" {
			f.Remedy = "it belongs " + place
		}
	}
}

// belongs says where a key has its place that stands in a group of other keys: at the top, in each
// entry of a list of that group, or in the one group that knows it; "" where there are several.
func belongs(key string, known []string) string {
	if slices.Contains(fileKeys, key) {
		return "at the top of the file"
	}
	known = slices.Sorted(slices.Values(known))
	var here, anywhere []string
	for _, g := range groups() {
		if !slices.Contains(g.keys, key) {
			continue
		}
		if anywhere = append(anywhere, g.path); g.listed && slices.Equal(g.within, known) {
			here = append(here, entryOf+g.key)
		}
	}
	switch {
	case len(here) == 1:
		return here[0]
	case len(anywhere) == 1:
		return anywhere[0]
	}
	return ""
}

const entryOf = "in an entry of "

// group is one of the schema: where it is, at which key, its keys, and those of the group that it
// stands in, in the order of the alphabet.
type group struct {
	path, key    string
	listed       bool // whether it is an entry of a list
	keys, within []string
}

// forms are those of all groups of a lot file, by their names in the schema.
var forms = sync.OnceValue(func() map[string]form {
	var s struct {
		Defs map[string]form `json:"$defs"`
	}
	if err := json.Unmarshal(schema, &s); err != nil {
		panic("landed/lotfile: schema.json: " + err.Error())
	}
	return s.Defs
})

// takesGroups reports whether a key of a group of some keys has groups of keys as its value, and no
// text in their place.
func takesGroups(key string, known []string) bool {
	known = slices.Sorted(slices.Values(known))
	for _, of := range forms() {
		if slices.Equal(of.keys(), known) {
			value := of.Properties[key]
			return len(value.refs(key, false)) > 0 && !value.isText()
		}
	}
	return false
}

// groups are those of a lot file below the top, each once, at its shortest path.
var groups = sync.OnceValue(func() []group {
	type place struct{ name, path string }
	const top = "at-the-top"
	seen, found := map[string]bool{top: true}, []group{}
	for next := []place{{name: top}}; len(next) > 0; next = next[1:] {
		in, of := next[0], forms()[next[0].name]
		for _, r := range of.below() {
			if seen[r.name] {
				continue
			}
			seen[r.name] = true
			path := in.path + ": " + r.key
			switch {
			case r.listed:
				path = strings.TrimSuffix(entryOf+r.key+", "+in.path, ", ")
			case r.key == "":
				path = in.path + ", below a name of yours"
			case in.path == "":
				path = "under " + r.key
			}
			next = append(next, place{r.name, path})
			found = append(found, group{path, r.key, r.listed, forms()[r.name].keys(), of.keys()})
		}
	}
	return found
})

// form is what groups are made of in a schema.
type form struct {
	Ref        string          `json:"$ref"`
	Properties map[string]form `json:"properties"`
	Named      *form           `json:"additionalProperties"` // of what has a name of the user's
	AnyOf      []form          `json:"anyOf"`
	Items      *form           `json:"items"`
	Type       any             `json:"type"` // a word, or a list of them
}

// UnmarshalJSON reads a form; false is one that nothing has.
func (f *form) UnmarshalJSON(text []byte) error {
	type plain form
	if string(text) == "false" {
		return nil
	}
	return json.Unmarshal(text, (*plain)(f))
}

// keys are those of a group, in the order of the alphabet.
func (f form) keys() []string { return slices.Sorted(maps.Keys(f.Properties)) }

// isText reports whether a text may stand for it.
func (f form) isText() bool {
	words, _ := f.Type.([]any)
	return slices.Contains(words, any("string")) || slices.ContainsFunc(f.AnyOf, form.isText)
}

// below are the groups that a group holds, with the keys that they stand at; that of what has a
// name of the user's stands at none.
func (f form) below() []ref {
	var found []ref
	for _, key := range f.keys() {
		found = append(found, f.Properties[key].refs(key, false)...)
	}
	if f.Named != nil {
		found = append(found, f.Named.refs("", false)...)
	}
	return found
}

// ref is a group that stands at a key, as itself or as an entry of a list.
type ref struct {
	key, name string
	listed    bool
}

func (f form) refs(key string, listed bool) []ref {
	var found []ref
	if name, is := strings.CutPrefix(f.Ref, "#/$defs/"); is {
		found = append(found, ref{key, name, listed})
	}
	for _, other := range f.AnyOf {
		found = append(found, other.refs(key, listed)...)
	}
	if f.Items != nil {
		found = append(found, f.Items.refs(key, true)...)
	}
	return found
}
