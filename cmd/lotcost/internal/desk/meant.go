package desk

import (
	"slices"
	"strings"

	"lotcost/landed/lotfile/edit"
)

// Some fields stand for one of several keys, by what the item has: a piece that is sure has a
// value, one that is not has chances, each with a value. They are ~value, ~chance and ~else.

// meantBy is the path of the value that a field stands for; nil where that is its own.
func meantBy(d *edit.Doc, p edit.Path) edit.Path {
	item := slices.Clone(p[:len(p)-1])
	unsure := d.Len(append(item, edit.Step{Key: "chances"})) > 0
	outcome := func(i int, key string) edit.Path {
		return append(item, edit.Step{Key: "chances"}, edit.Step{Index: i}, edit.Step{Key: key})
	}
	switch key := p[len(p)-1].Key; {
	case key == "~value" && unsure:
		return outcome(0, "value")
	case key == "~value":
		return append(item, edit.Step{Key: "value"})
	case key == "~chance":
		return outcome(0, "chance")
	case key == "~else":
		return outcome(1, "value")
	}
	return nil
}

// meant is what a change stands for, as changes of keys of the file.
func meant(d *edit.Doc, c change) []change {
	at := meantBy(d, c.path)
	if at == nil {
		return []change{c}
	}
	item := c.path[:len(c.path)-1]
	chances := append(slices.Clone(item), edit.Step{Key: "chances"})
	value := append(slices.Clone(item), edit.Step{Key: "value"})
	key, sure := c.path[len(c.path)-1].Key, d.Len(chances) == 0
	right, _ := d.Text(value)
	switch {
	case key == "~chance" && !sure && (c.text == "" || strings.TrimSpace(strings.TrimSuffix(c.text, "%")) == "100"):
		best, _ := d.Text(meantBy(d, append(slices.Clone(item), edit.Step{Key: "~value"})))
		return []change{{chances, ""}, {value, best}}
	case key == "~chance" && sure && c.text != "", key == "~else" && sure && c.text != "":
		chance, other := c.text, "0"
		if key == "~else" {
			chance, other = "50%", c.text
		}
		list := []change{{outcomeOf(chances, 0, "chance"), chance}}
		if right != "" {
			list = append(list, change{outcomeOf(chances, 0, "value"), right}, change{value, ""})
		}
		return append(list, change{outcomeOf(chances, 1, "chance"), "rest"}, change{outcomeOf(chances, 1, "value"), other})
	case sure && key != "~value":
		return nil
	}
	return []change{{at, c.text}}
}

func outcomeOf(chances edit.Path, i int, key string) edit.Path {
	return append(slices.Clone(chances), edit.Step{Index: i}, edit.Step{Key: key})
}
