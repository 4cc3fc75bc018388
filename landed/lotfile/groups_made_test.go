package lotfile_test

import (
	"maps"
	"slices"
	"strings"
)

// groups.tsv is made here, of the table of shapes, as schema.json is.

// madeGroups is what groups.tsv is to hold: the two groups at the top, and those below the first,
// each once, at its shortest path.
func madeGroups() string {
	type place struct{ name, path, entry, within string }
	const top = "At the top"
	seen, rows := map[string]bool{top: true}, []string{}
	row := func(p place) {
		keys, holding := keysOf(p.name)
		rows = append(rows, strings.Join([]string{p.path, p.entry, keys, holding, p.within}, "\t"))
	}
	row(place{name: defaultsSection})
	for next := []place{{name: top}}; len(next) > 0; next = next[1:] {
		in := next[0]
		row(in)
		within, _ := keysOf(in.name)
		for _, key := range slices.SortedFunc(maps.Keys(shapes[in.name]), keysBeforeNames) {
			names, listed := groupsAt(shapes[in.name][key])
			for _, name := range names {
				if seen[name] {
					continue
				}
				seen[name] = true
				below := place{name: name, path: in.path + ": " + key, within: within}
				switch {
				case listed[name]:
					below.entry = "in an entry of " + key
					below.path = strings.TrimSuffix(below.entry+", "+in.path, ", ")
				case key == "*":
					below.path = in.path + ", below a name of yours"
				case in.path == "":
					below.path = "under " + key
				}
				next = append(next, below)
			}
		}
	}
	return strings.Join(rows, "\n") + "\n"
}

// keysBeforeNames orders keys by the alphabet, before what has a name of the user's.
func keysBeforeNames(a, b string) int {
	if (a == "*") != (b == "*") {
		return strings.Compare(b, a)
	}
	return strings.Compare(a, b)
}

// keysOf lists the keys of a group, and those whose values are groups, with no text in their place.
func keysOf(name string) (all, holding string) {
	var keys, hold []string
	for _, key := range slices.Sorted(maps.Keys(shapes[name])) {
		if key == "*" {
			continue
		}
		keys = append(keys, key)
		text := slices.ContainsFunc(strings.Fields(string(shapes[name][key])), func(word string) bool {
			kinds, _ := scalars[strings.TrimSuffix(word, "!")]["type"].([]string)
			return slices.Contains(kinds, "string")
		})
		if names, _ := groupsAt(shapes[name][key]); len(names) > 0 && !text {
			hold = append(hold, key)
		}
	}
	return strings.Join(keys, " "), strings.Join(hold, " ")
}

// groupsAt lists the groups that a shape allows, and which of them are entries of a list where they
// are named first.
func groupsAt(s shape) (names []string, listed map[string]bool) {
	listed = map[string]bool{}
	for word := range strings.FieldsSeq(strings.TrimSuffix(string(s), "!")) {
		inner, isList := strings.CutPrefix(word, "[")
		some := []string{word}
		if isList {
			some = strings.Split(strings.Trim(inner, "[]"), "|")
		}
		for _, name := range some {
			if name = strings.ReplaceAll(name, "#", " "); shapes[name] != nil && !slices.Contains(names, name) {
				names, listed[name] = append(names, name), isList
			}
		}
	}
	return names, listed
}
