package landed

import (
	"encoding/binary"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// quick answers what [planning.Parcels.Parcel] asks where nothing is charged for each parcel but
// its carriage and the border: with sums alone, in room that is used again.
type quick struct {
	*parcelPricer
	meter     planning.Border[customs.Parcel, customs.Fee, customs.ParcelAssessment] // nil without a border
	border    *assessor
	items     [][]int // of each lot
	sent      [2]customs.Parcel
	together  planning.Together
	counts    bool              // whether that is all that rules look at beyond a parcel
	both      [2]customs.Parcel // of beside
	rest      [1]customs.Line
	held      []int // the items in the parcel asked about
	shares    []int64
	home      map[money.Amount]int64 // amounts converted so far
	territory map[money.Amount]int64
	asks      []money.Amount
	asked     map[string]money.Amount // by key, once prices move; see [planning.Parcels.At]
	key       []byte
}

// mostAsked is how many parcels at other prices are remembered.
const mostAsked = 200_000

// newQuick returns nil where the haul asks more of a parcel.
func (p *parcelPricer) newQuick() (*quick, error) {
	if slices.ContainsFunc(p.haul.Charges, func(c Charge) bool { return c.Per == PerParcel }) {
		return nil, nil
	}
	q := &quick{parcelPricer: p, items: make([][]int, len(p.haul.Lots)),
		home: map[money.Amount]int64{}, territory: map[money.Amount]int64{}}
	for i := range p.base.items {
		lot := p.base.lotOf(i)
		q.items[lot] = append(q.items[lot], i)
	}
	if p.rules == nil {
		return q, nil
	}
	q.border = &assessor{splitter: p.with(p.everyLot(), Carriage{}), border: p.haul.Border, rules: p.rules, lines: p.lines}
	c, _ := q.border.bySeller()
	var err error
	if q.meter, err = customs.NewMeter(p.rules, c); err == nil {
		q.together, q.counts = q.meter.Together()
	}
	return q, err
}

// parcel is what some lots, in rising order, cost in one parcel, as in [planning.Parcels.Beside]
// where a sum is given; false where that is to be found the long way.
func (q *quick) parcel(lots []int, carriage Carriage, together *int64) (money.Amount, bool) {
	sum, ok := q.sum(carriage.Freight, carriage.Insurance, carriage.Fees)
	if q.meter == nil || !ok {
		return sum, ok
	}
	parcels, ok := q.parcels(lots, carriage)
	if !ok {
		return sum, false
	}
	if together != nil {
		parcels = q.beside(parcels[0], *together)
	}
	border, ok := q.levied(parcels)
	if !ok {
		return sum, false
	}
	sum, err := sum.Add(border)
	return sum, err == nil
}

// sum adds up amounts in home, each converted by itself; false where it fits nowhere.
func (q *quick) sum(list ...money.Amount) (money.Amount, bool) {
	sum := money.New(0, q.haul.Home)
	for _, a := range list {
		minor, err := q.inHome(a)
		if err == nil {
			sum, err = sum.Add(money.New(minor, q.haul.Home))
		}
		if err != nil {
			return sum, false
		}
	}
	return sum, true
}

// levied is what the border asks for the first of some parcels, in home. At other prices of a haul
// the same goods are met again and again.
func (q *quick) levied(parcels []customs.Parcel) (money.Amount, bool) {
	if q.at != nil {
		q.keyOf(parcels)
		if sum, known := q.asked[string(q.key)]; known {
			return sum, true
		}
	}
	sum, ok := q.askedBy(parcels)
	if q.at != nil && ok {
		if q.asked == nil || len(q.asked) == mostAsked {
			q.asked = map[string]money.Amount{}
		}
		q.asked[string(q.key)] = sum
	}
	return sum, ok
}

// askedBy is what the border asks for the first of some parcels, in home.
func (q *quick) askedBy(parcels []customs.Parcel) (money.Amount, bool) {
	duty, tax, fees, err := q.meter.Parcel(parcels)
	if err != nil {
		return duty, false
	}
	q.asks = append(q.asks[:0], duty, tax)
	for i := range fees {
		q.asks = append(q.asks, fees[i].Amount)
	}
	return q.sum(q.asks...)
}

// keyOf makes the key of a parcel, which tells what it holds and at which values, and of another
// that counts with it.
func (q *quick) keyOf(parcels []customs.Parcel) {
	q.key = binary.AppendVarint(q.key[:0], int64(len(q.held)))
	for _, item := range q.held {
		q.key = binary.AppendVarint(q.key, int64(item))
	}
	for i := range parcels {
		for j := range parcels[i].Lines {
			l := &parcels[i].Lines[j]
			for _, a := range [...]money.Amount{l.Value, l.Freight, l.Insurance, l.OtherFees} {
				q.key = binary.AppendVarint(q.key, a.Minor())
			}
		}
	}
}

// parcels fills the parcel asked about, and the one of all other lots where rules look at it.
func (q *quick) parcels(lots []int, carriage Carriage) ([]customs.Parcel, bool) {
	q.held = q.held[:0]
	rest := customs.Parcel{Lines: q.sent[1].Lines[:0]}
	this := customs.Parcel{Lines: q.sent[0].Lines[:0]}
	next := 0
	for lot := range q.items {
		into := &rest
		if next < len(lots) && lots[next] == lot {
			into, next = &this, next+1
			q.held = append(q.held, q.items[lot]...)
		} else if !q.wide {
			continue
		}
		q.put(into, lot)
	}
	if q.CountsFreight() && !q.carry(&this, carriage) {
		return nil, false
	}
	q.sent[0], q.sent[1] = this, rest
	if len(rest.Lines) == 0 {
		return q.sent[:1], len(this.Lines) > 0
	}
	return q.sent[:2], len(this.Lines) > 0
}

func (q *quick) put(p *customs.Parcel, lot int) {
	b := q.haul.Border
	for _, i := range q.items[lot] {
		if q.base.items[i].Count == 0 {
			continue
		}
		p.TaxPaid, p.Private, p.Fees = b.TaxPaid, b.Private, b.Fees
		if q.wide {
			addSeller(p, q.haul.Lots[lot].Seller, len(p.Lines) == 0)
		}
		p.Lines = append(p.Lines, q.lines[i])
	}
}

// carry shares the carriage over the lines of a parcel, in the territory's currency.
func (q *quick) carry(p *customs.Parcel, carriage Carriage) bool {
	for _, c := range [...]struct {
		kind Kind
		sum  money.Amount
	}{{Freight, carriage.Freight}, {Insurance, carriage.Insurance}, {Fee, carriage.Fees}} {
		kind := c.kind
		total, ok := q.inTerritory(c.sum)
		if !ok {
			return false
		}
		if total == 0 || kind == Fee && total < 0 {
			continue
		}
		q.shares = slices.Grow(q.shares[:0], len(q.held))[:len(q.held)]
		if q.base.weights.vector(q.haul.Share.of(kind)).apportion(q.shares, total, q.held) != nil {
			return false
		}
		at := 0
		for n, i := range q.held {
			if q.base.items[i].Count == 0 {
				continue
			}
			l := &p.Lines[at]
			at++
			share := money.New(q.shares[n], q.rules.Currency)
			switch kind {
			case Freight:
				l.Freight, _ = l.Freight.Add(share)
			case Insurance:
				l.Insurance, _ = l.Insurance.Add(share)
			default:
				l.OtherFees, _ = l.OtherFees.Add(share)
			}
		}
	}
	return true
}

// inHome is what an amount costs in home; each is converted once.
func (q *quick) inHome(a money.Amount) (int64, error) {
	if a.Currency() == 0 || a.Currency() == q.haul.Home {
		return a.Minor(), nil
	}
	if minor, known := q.home[a]; known {
		return minor, nil
	}
	home, err := q.base.rates.Cost(a)
	if err == nil {
		q.home[a] = home.Minor()
	}
	return home.Minor(), err
}

// inTerritory is an amount at customs' rate.
func (q *quick) inTerritory(a money.Amount) (int64, bool) {
	if a.Currency() == 0 {
		return 0, true
	}
	if minor, known := q.territory[a]; known {
		return minor, true
	}
	rate, err := q.border.rate(a.Currency())
	if err != nil {
		return 0, false
	}
	there, err := exchange.At(a, &rate, q.rules.Currency)
	if err == nil {
		q.territory[a] = there.Minor()
	}
	return there.Minor(), err == nil
}
