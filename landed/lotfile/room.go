package lotfile

import (
	"lotcost/landed"
	"lotcost/landed/internal/arena"
)

// Room is what many files are read in, each in the place of the one before: nothing of a file is to
// be used any more once the next one is read there, or a haul is split by Splitter. The zero value
// is ready for use, by one goroutine.
type Room struct {
	Splitter landed.Splitter // which also checks the hauls that are read

	files   arena.Of[File]
	hauls   arena.Of[landed.Haul]
	lots    arena.Of[landed.Lot]
	items   arena.Of[landed.Item]
	charges arena.Of[landed.Charge]

	countries map[string]bool // those that were looked up
}

// mostKept is room for how many items and the like is kept: that of larger hauls is not.
const mostKept = 10_000

func (r *Room) empty() {
	r.files.Empty(mostKept)
	r.hauls.Empty(mostKept)
	r.lots.Empty(mostKept)
	r.items.Empty(mostKept)
	r.charges.Empty(mostKept)
}
