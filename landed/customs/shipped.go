package customs

import (
	"embed"
	"fmt"
	"path"
	"strings"
	"sync"
)

//go:embed rules/*.yaml
var shippedFiles embed.FS

// shipped are the rule sets that come with the program, by territory; they are not to be changed.
// Tests read each of them too, so that a fault in one never reaches a user.
var shipped = sync.OnceValue(func() []*held {
	files := must(shippedFiles.ReadDir("rules"))
	sets := make([]*held, len(files))
	for i, f := range files {
		name := "rules/" + f.Name()
		sets[i] = &held{landsOf(name), sync.OnceValue(func() *RuleSet { return read(name) })}
	}
	return sets
})

// read reads a rule set that is shipped.
func read(name string) *RuleSet {
	return must(Parse(path.Base(name), must(shippedFiles.ReadFile(name))))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(fmt.Sprintf("customs: the embedded rules: %v", err))
	}
	return v
}

// landsOf finds where the rules of a shipped file hold, which its first lines say.
func landsOf(name string) lands {
	f := must(shippedFiles.Open(name))
	defer f.Close()
	var head [512]byte
	n, _ := f.Read(head[:])
	var l lands
	for line := range strings.Lines(string(head[:n])) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch key {
		case "territory":
			l.territory = strings.Trim(value, `"`)
		case "members":
			l.members = strings.Split(strings.Trim(value, "[]"), ", ")
		}
	}
	return l
}
