package landed

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lotcost/fx"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Split shares everything that was paid for a haul over its items. The
// statement's amounts are in the haul's home currency. It refers to the haul, which
// is not to be changed while the statement is in use.
//
// A lot that is lost counts as not there ([Haul.WithoutLost]). An open price is left
// out only if that is asked for ([Haul.WithoutOpen], [Haul.OpenAsFree]).
//
// It returns [source.Faults] when the haul does not hang together (see
// [Haul.Check]), a price is open, a rate is missing, a weight or value is missing where a cost
// is shared by it, every weight of a sharing is zero, or an amount is too large
// to be held exactly.
func Split(h *Haul) (*Statement, error) { return split(h, &room{}) }

func split(h *Haul, r *room) (*Statement, error) {
	s, err := lined(h, r)
	if err != nil {
		return nil, err
	}
	return s.sum()
}

// Sums is [Split] for those who ask for what was paid alone, of many items: where
// nothing was found, which nothing then depends on, the statement has no Lots and no
// Items.
func Sums(h *Haul) (*Statement, error) {
	s, err := lined(h, &room{})
	if err != nil {
		return nil, err
	}
	if s.anyFound() {
		return s.sum()
	}
	s.total()
	return s.st, s.report.Err()
}

// lined has the lines of all that was paid.
func lined(h *Haul, r *room) (*splitter, error) {
	if h == nil {
		return nil, noHaul
	}
	h = h.WithoutLost()
	s := r.splitterOf(h)
	if h.Home == 0 {
		s.report.Add(&source.Fault{At: h.At, Field: "home", What: "the home currency is missing", Remedy: "write the currency of your books", Figure: "home"})
	}
	if !r.checked {
		s.check(s.report)
	}
	if err := s.report.Err(); err != nil {
		return nil, err
	}
	s.lots()
	s.parcels()
	s.charges()
	s.border()
	s.repairs()
	return s, s.report.Err()
}

func newSplitter(h *Haul) *splitter { return (&room{}).splitterOf(h) }

func (r *room) splitterOf(h *Haul) *splitter {
	x := r.indexOf(h)
	r.weights = weights{index: x}
	return r.splitterBy(x, &r.weights)
}

// splitterBy begins a statement by weights that are known.
func (r *room) splitterBy(x *index, w *weights) *splitter {
	r.rates.Reset(x.haul.Market, x.haul.Home, x.haul.Spread)
	r.splitter = splitter{index: x, report: &r.report, weights: w, rates: &r.rates, st: &r.st}
	s := &r.splitter
	s.st.Haul, s.st.Home, s.st.weights = x.haul, x.haul.Home, w
	lines := len(x.haul.Lots) + len(x.haul.Charges) + 3*len(x.haul.Parcels)
	for i := range x.haul.Lots {
		if !x.haul.Lots[i].Premium.IsZero() {
			lines++
		}
	}
	if x.haul.Border != nil { // duty, tax and two fees
		lines += 4 * max(len(x.haul.Parcels), 1)
	}
	s.st.Lines = r.lines.Take(lines)[:0]
	return s
}

// splitter holds what one Split works with.
type splitter struct {
	*index
	report  *collect.Report
	weights *weights
	st      *Statement
	prices  []money.Amount // by lot: price and premium in home
	rates   *exchange.Converter
	unrated []fx.Code // those of which it was reported that there is no rate to home, or from it
	large   bool      // an amount was too large
}

// again makes ready for another answer, whose faults are told whatever was told before.
func (s *splitter) again() {
	*s.report, s.large, s.unrated = collect.Report{}, false, nil
	for _, v := range s.weights.by {
		if v != nil {
			v.reported = false
			clear(v.weightless)
		}
	}
}

// lots adds the lines of prices and premiums.
func (s *splitter) lots() {
	s.prices = s.room.prices.Take(len(s.haul.Lots))
	for i := range s.haul.Lots {
		lot := &s.haul.Lots[i]
		items := s.all[s.start[i]:s.start[i+1]]
		price := Line{What: lot.name(), Kind: Price, Lot: lot.ID, Times: 1, By: s.haul.Share.of(Price)}
		price.paid.amount = lot.Price
		premium := price
		premium.Kind, premium.By = Premium, s.haul.Share.of(Premium)
		premium.paid.part, premium.paid.parted = lot.Premium, true
		s.prices[i] = money.New(0, s.haul.Home)
		if lot.Settled.Currency() != 0 {
			if price.premiumIn = !lot.Premium.IsZero(); price.premiumIn {
				price.paid.part, price.paid.parted = decimal.NewFromInt(1).Add(lot.Premium), true
			}
			if price.paid.amount.Currency() == 0 {
				price.paid = paid{amount: lot.Settled}
			}
			if s.addPrice(i, price, lot.Settled, items) && s.haul.quiet && price.premiumIn && lot.Price.Currency() != 0 {
				premium.paid.part = decimal.Zero
				s.addPrice(i, premium, money.New(0, s.haul.Home), items)
			}
			continue
		}
		if !lot.Bought() {
			s.openPrice(lot)
			continue
		}
		if lot.Price.Currency() == 0 {
			s.report.Add(&source.Fault{At: lot.At, Field: "lot " + lot.ID, What: "the price is missing", Remedy: "write what the whole lot cost", Figure: "price"})
			continue
		}
		if s.addPrice(i, price, money.Amount{}, items) && !lot.Premium.IsZero() {
			s.addPrice(i, premium, money.Amount{}, items)
		}
	}
}

// name is what a lot is called: its title, or else its id.
func (l *Lot) name() string { return cmp.Or(l.Title, l.ID) }

// addPrice reports false for what would only be reported again of the premium.
func (s *splitter) addPrice(lot int, line Line, settled money.Amount, items []int) bool {
	l := &s.haul.Lots[lot]
	at := spot{of: l.At, key: "price", lot: l, kind: line.Kind}
	if !s.convert(&line, settled, at) {
		s.unconverted(&line, items, at)
		return false
	}
	if !s.share(&line, items, at) {
		return false
	}
	s.prices[lot] = s.plus(s.prices[lot], line.Home, at)
	s.st.Lines = append(s.st.Lines, line)
	return true
}

func (s *splitter) line(c *Charge) Line {
	line := Line{What: c.What, Kind: c.Kind, By: c.By, dutiable: c.Dutiable}
	if c.By == NoBasis {
		line.By = s.haul.Share.of(c.Kind)
	}
	line.paid = paid{amount: c.Amount, part: c.Percent, ofPrice: c.OfPrice}
	if c.Amount.Currency() == 0 && !c.OfPrice {
		line.paid.amount = c.Settled
	}
	return line
}

// charges adds the lines of the charges, one for each haul, parcel, lot, item
// or piece that a charge is asked for.
func (s *splitter) charges() {
	s.st.Lines = slices.Grow(s.st.Lines, s.single+len(s.haul.Charges))
	for i := range s.haul.Charges {
		c := &s.haul.Charges[i]
		line := s.line(c)
		if line.paid.amount.Currency() == 0 && !c.OfPrice {
			s.report.Add(&source.Fault{At: c.At, Field: chargeField(c), What: "the amount is missing", Remedy: "write what was asked", Figure: "amount"})
			continue
		}
		line.charge = int32(i + 1) // a file has room for far fewer
		for _, group := range s.groups(c, s.covered(c, s.report)) {
			s.addCharge(c, line, group, "amount")
		}
	}
}

// repairs adds the lines of what was spent on putting items right.
func (s *splitter) repairs() {
	for i, item := range s.items {
		if item.Repair.Currency() == 0 {
			continue
		}
		c := Charge{What: "repair of " + item.ID, Kind: Repair, Amount: item.Repair, At: item.At}
		s.addCharge(&c, s.line(&c), group{items: []int{i}, lot: s.haul.Lots[s.lotOf(i)].ID, item: item.ID, times: 1}, "repair")
	}
}

// spot is a key of what was typed, looked for only when there is a fault to
// tell.
type spot struct {
	of         source.Origin
	key, field string  // a key below another stands behind it, as in goal/return
	what       string  // behind the field
	charge     *Charge // whose field it is, where that is not said; or else
	lot        *Lot    // the lot's
	kind       Kind    // of its cost
}

func (s spot) name() string {
	switch {
	case s.charge != nil && s.key != "amount": // of a parcel, or a repair, which is no charge in a file
		return s.charge.What
	case s.charge != nil:
		return chargeField(s.charge)
	case s.lot != nil:
		return "lot " + s.lot.ID + ": " + s.kind.String()
	}
	return s.field + s.what
}

func (s spot) origin() source.Origin { return s.of.Key(strings.Split(s.key, "/")...) }

// group is what one charge of its own is asked for.
type group struct {
	items             []int
	parcel, lot, item string // ids, where it is one of them
	times             int64
}

func (s *splitter) groups(c *Charge, covered []int) []group {
	var groups []group
	switch c.Per {
	case PerParcel:
		byParcel := s.together(covered, func(i int) int { return s.parcel[s.lotOf(i)] })
		slices.SortFunc(byParcel, func(a, b []int) int { return s.parcel[s.lotOf(a[0])] - s.parcel[s.lotOf(b[0])] })
		for _, items := range byParcel {
			groups = append(groups, group{items: items, parcel: s.parcelID(s.parcel[s.lotOf(items[0])]), times: 1})
		}
	case PerLot:
		for _, items := range s.together(covered, func(i int) int { return s.lotOf(i) }) {
			groups = append(groups, group{items: items, lot: s.haul.Lots[s.lotOf(items[0])].ID, times: 1})
		}
	case PerItem, PerPiece:
		for at, i := range covered {
			times := int64(1)
			if c.Per == PerPiece {
				times = s.items[i].Count
			}
			if s.items[i].Count == 0 && (times == 0 || !slices.Contains(c.On, s.items[i].ID)) {
				continue // nobody paid for it
			}
			groups = append(groups, group{covered[at : at+1], "", s.haul.Lots[s.lotOf(i)].ID, s.items[i].ID, times})
		}
	default:
		groups = s.room.groups.Take(1)
		groups[0] = group{items: covered, times: 1}
	}
	return groups
}

// together gathers items that have the same key, in the order of the first of
// each.
func (s *splitter) together(items []int, key func(int) int) [][]int {
	var groups [][]int
	place := map[int]int{}
	for _, i := range items {
		k := key(i)
		if _, seen := place[k]; !seen {
			place[k] = len(groups)
			groups = append(groups, nil)
		}
		groups[place[k]] = append(groups[place[k]], i)
	}
	return groups
}

// addCharge adds the line of a charge; its amount stands at the key.
func (s *splitter) addCharge(c *Charge, line Line, g group, key string) {
	at := spot{of: c.At, key: key, charge: c}
	line.Parcel, line.Lot, line.Item, line.Times, line.perPiece = g.parcel, g.lot, g.item, g.times, c.Per == PerPiece
	if c.OfPrice {
		line.paid.amount = s.pricesOf(g.items, at)
		if c.Settled.Currency() == 0 {
			line.Without = s.openOf(g.items)
		}
	}
	if !s.convert(&line, c.Settled, at) {
		s.unconverted(&line, g.items, at)
		return
	}
	all, err := line.Home.Times(g.times)
	if err != nil {
		s.tooLarge(at, err)
		return
	}
	line.Home = all
	if s.share(&line, g.items, at) {
		s.st.Lines = append(s.st.Lines, line)
	}
}

// pricesOf sums the prices and premiums, in home, of the lots of some items.
func (s *splitter) pricesOf(items []int, at spot) money.Amount {
	sum, last := money.New(0, s.haul.Home), -1
	for _, i := range items {
		if s.lotOf(i) == last {
			continue
		}
		last = s.lotOf(i)
		sum = s.plus(sum, s.prices[last], at)
	}
	return sum
}

// convert sets the line's amount in home: as settled, as a percentage of
// prices, or at the rate and spread, rounded once.
func (s *splitter) convert(line *Line, settled money.Amount, at spot) bool {
	home, asked := s.haul.Home, line.paid.amount
	switch {
	case settled.Currency() == home:
		line.Home, line.source.settled = settled, true
		return true
	case settled.Currency() != 0:
		s.report.Fail(at.of.Key("settled"), at.name(), fmt.Sprintf("settled is in %s, but home is %s", settled.Currency(), home), "write what the bank took, in "+home.Code())
		return false
	case asked.Currency() != home:
		rate, err := s.rates.Rate(asked.Currency(), home)
		if err != nil {
			if !s.knownUnrated(err) {
				s.report.AddErr(at.origin(), at.name(), err)
			}
			return false
		}
		line.source.rate, line.source.spread = rate, s.haul.Spread
	}
	var err error
	if line.Home, err = s.rates.Cost(asked, line.paid.factors()...); err != nil {
		s.tooLarge(at, err)
	}
	return err == nil
}

// unconverted tells what else is wrong with a line that has no rate: what its sharing asks for is
// missing whatever it comes to.
func (s *splitter) unconverted(line *Line, items []int, at spot) {
	line.Home = money.New(int64(line.paid.amount.Sign()), s.haul.Home)
	s.share(line, items, at)
}

// knownUnrated reports whether an error tells of a rate that was told to be missing: one rate is
// one mistake.
func (s *splitter) knownUnrated(err error) bool {
	var none *fx.NoRateError
	if !errors.As(err, &none) || slices.Contains(s.unrated, abroad(none, s.haul.Home)) {
		return none != nil
	}
	s.unrated = append(s.unrated, abroad(none, s.haul.Home))
	return false
}

// abroad is the other currency of a rate that is missing from home or to it.
func abroad(none *fx.NoRateError, home money.Currency) fx.Code {
	if none.From == fx.Code(home.Code()) {
		return none.To
	}
	return none.From
}

// share fills in the line's shares. Nothing is shared of an amount of zero, and
// one item bears its own charges whole.
func (s *splitter) share(line *Line, items []int, at spot) bool {
	line.items = items
	if line.Home.Sign() == 0 {
		return true
	}
	if line.Item != "" {
		line.shares = s.room.minors.Take(1)
		line.shares[0] = line.Home.Minor()
		return true
	}
	shares, f := s.weights.share(line, items)
	if shares == nil {
		for _, fault := range f {
			if fault.Field == "" {
				fault.At, fault.Field = at.origin(), at.name()
			}
			if !s.knownUnrated(fault.Err) {
				s.report.Add(fault)
			}
		}
		return false
	}
	line.shares = shares
	return true
}

// sum adds the lines up by item, by lot and in all. Where all amounts, taken
// as positive, can be added up, so can any of them, whatever moves.
func (s *splitter) sum() (*Statement, error) {
	s.st.Items = s.room.costs.Take(len(s.items))
	for i, item := range s.items {
		s.st.Items[i] = ItemCost{Item: item, Lot: &s.haul.Lots[s.lotOf(i)]}
	}
	if s.total(); s.report.Len() > 0 {
		return nil, s.report.Err()
	}
	for n := range s.st.Lines {
		line := &s.st.Lines[n]
		for i, share := range line.shares {
			item := &s.st.Items[line.items[i]]
			item.shares[line.Kind] += share
			item.bears[line.Kind] = true
		}
	}
	s.allocate()
	s.sumLots()
	if err := s.report.Err(); err != nil {
		return nil, err
	}
	return s.st, nil
}

func (s *splitter) total() {
	size := money.New(0, s.haul.Home)
	for n := range s.st.Lines {
		line := &s.st.Lines[n]
		size = s.grow(size, line.Home)
		s.st.sums[line.Kind] += line.Home.Minor()
	}
	s.st.Total, s.st.Loss = money.New(s.st.sums.sum(), s.haul.Home), money.New(0, s.haul.Home)
}

// grow adds an amount, taken as positive, to the size of all.
func (s *splitter) grow(size, by money.Amount) money.Amount {
	add := size.Add
	if by.Sign() < 0 {
		add = size.Sub
	}
	sum, err := add(by)
	if err != nil {
		s.tooLarge(spot{of: s.haul.At, field: "total"}, err)
	}
	return sum
}

func (s *splitter) sumLots() {
	s.st.Lots = s.room.lots.Take(len(s.haul.Lots))
	for i := range s.haul.Lots {
		lot := &s.haul.Lots[i]
		var sum int64
		for n := s.start[i]; n < s.start[i+1]; n++ {
			sum += s.st.Items[n].Cost.Minor()
		}
		s.st.Lots[i] = LotCost{lot, money.New(sum, s.haul.Home)}
	}
}

// plus adds two amounts of home, and records a sum that is too large.
func (s *splitter) plus(a, b money.Amount, at spot) money.Amount {
	sum, err := a.Add(b)
	if err != nil {
		s.tooLarge(at, err)
		return money.New(0, s.haul.Home) // so that what is added next is not at fault too
	}
	return sum
}

// tooLarge records that an amount cannot be held exactly. The first is enough:
// what is made of it is too large as well.
func (s *splitter) tooLarge(at spot, err error) {
	if !s.large {
		s.large = true
		s.report.Add(&source.Fault{At: at.origin(), Field: at.name(), What: err.Error(), Remedy: "check the figures: no purchase is that large", Err: err})
	}
}
