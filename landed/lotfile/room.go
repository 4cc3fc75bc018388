package lotfile

import (
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/arena"
	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Room is what many files are read in, each in the place of the one before: nothing of a file is to
// be used any more once the next one is read there, or a haul is split by Splitter. The zero value
// is ready for use, by one goroutine, which reads all by the same options.
type Room struct {
	Splitter landed.Splitter // which also checks the hauls that are read

	files   arena.Of[File]
	hauls   arena.Of[landed.Haul]
	lots    arena.Of[landed.Lot]
	items   arena.Of[landed.Item]
	charges arena.Of[landed.Charge]

	readers arena.Of[reader]
	reports arena.Of[collect.Report]
	borders arena.Of[landed.Border]
	unasked [][2]source.Origin       // lots of a seller of which no premium is said, and their prices
	classes map[string]customs.Class // of the border

	// What texts were read as: most hauls of a run say the same.
	countries known[string, bool]
	fractions known[string, decimal.Decimal]
	duties    known[dutyText, *customs.Rate]
	markets   known[marketText, *fx.Market]
	texts     []byte // of a marketText
}

// dutyText is a rate of duty as it is written, and the currency of its amounts.
type dutyText struct {
	text      string
	territory money.Currency
}

// marketText is what a market was made of: its equations, parted by a byte that stands in no text,
// and the day of the rates that they were held against; none where there are no such rates.
type marketText struct {
	equations string
	on        time.Time
}

// known keeps what was made of something.
type known[K comparable, V any] map[K]V

// mostKnown is of how many it is kept: where there are more, they are hardly alike.
const mostKnown = 256

// keep notes what was made of something.
func (k *known[K, V]) keep(of K, made V) {
	if *k == nil || len(*k) == mostKnown {
		*k = known[K, V]{}
	}
	(*k)[of] = made
}

func (r *Room) noClasses() map[string]customs.Class {
	if r.classes == nil || len(r.classes) > mostKnown {
		r.classes = map[string]customs.Class{}
	}
	clear(r.classes)
	return r.classes
}

func (r *Room) empty() {
	arena.Empty(&r.files, &r.hauls, &r.lots, &r.items, &r.charges, &r.readers, &r.reports, &r.borders)
}
