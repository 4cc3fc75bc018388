package customs

import (
	"embed"
	"fmt"
	"sync"

	"lotcost/landed/source"
)

//go:embed rules/*.yaml
var shippedFiles embed.FS

// shipped reads the rule sets that come with the program, by territory; they are not to be changed.
// A test reads each of them too, so that a fault in one never reaches a user.
var shipped = sync.OnceValue(func() []*RuleSet {
	files, err := shippedFiles.ReadDir("rules")
	if err != nil {
		panic(fmt.Sprintf("customs: the embedded rules: %v", err))
	}
	sets := make([]*RuleSet, 0, len(files))
	for _, f := range files {
		data, err := shippedFiles.ReadFile("rules/" + f.Name())
		if err != nil {
			panic(fmt.Sprintf("customs: the embedded rules: %v", err))
		}
		set, err := Parse(f.Name(), data, &source.Report{})
		if err != nil {
			panic(fmt.Sprintf("customs: the embedded rules: %v", err))
		}
		sets = append(sets, set)
	}
	return sets
})
