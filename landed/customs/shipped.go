package customs

import (
	"embed"
	"fmt"
	"strings"
	"sync"

	"lotcost/landed/source"
)

//go:embed rules/*.yaml
var shippedFiles embed.FS

// shipped are the rule sets that come with the program, by territory; they are not to be changed.
// Tests read each of them too, so that a fault in one never reaches a user.
var shipped = sync.OnceValue(func() []*held {
	files, err := shippedFiles.ReadDir("rules")
	if err != nil {
		panic(fmt.Sprintf("customs: the embedded rules: %v", err))
	}
	sets := make([]*held, len(files))
	for i, f := range files {
		data, err := shippedFiles.ReadFile("rules/" + f.Name())
		if err != nil {
			panic(fmt.Sprintf("customs: the embedded rules: %v", err))
		}
		sets[i] = &held{landsOf(string(data)), sync.OnceValue(func() *RuleSet {
			set, err := Parse(f.Name(), data, &source.Report{})
			if err != nil {
				panic(fmt.Sprintf("customs: the embedded rules: %v", err))
			}
			return set
		})}
	}
	return sets
})

// landsOf finds in a rule file, as those that are shipped are written, where its rules hold.
func landsOf(rules string) lands {
	var l lands
	for line := range strings.Lines(rules) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch key {
		case "territory":
			l.territory = strings.Trim(value, `"`)
		case "members":
			l.members = strings.Split(strings.Trim(value, "[]"), ", ")
		case "sources:":
			return l
		}
	}
	return l
}
