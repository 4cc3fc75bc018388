package edit

import (
	"slices"

	"lotcost/landed/lotfile"

	"go.yaml.in/yaml/v3"
)

// usualPlace is the place in the content of a group at which a new key is put: behind
// the last of those that usually come before it; where the group is of no known kind,
// at its end.
func usualPlace(group *yaml.Node, key string) int {
	keys := keysOf(group)
	best, most := []string(nil), 0
	for _, order := range lotfile.KeyOrders() {
		n := 0
		for _, k := range keys {
			if slices.Contains(order, k) {
				n++
			}
		}
		if n > most && slices.Contains(order, key) {
			best, most = order, n
		}
	}
	mine := slices.Index(best, key)
	if mine < 0 {
		return len(group.Content)
	}
	after := 0
	for i, k := range keys {
		if at := slices.Index(best, k); at >= 0 && at < mine {
			after = 2*i + 2
		}
	}
	return after
}
