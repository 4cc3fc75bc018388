package bid

// leastRungs and mostRungs are how many bids of a ladder are priced for a reader; where each is a
// plan of how the lots travel there is no least, and mostPlannedRungs the most.
const (
	leastRungs       = 150
	mostRungs        = 2000
	mostPlannedRungs = 200
)

// Ladder prices every bid from the first on, so that a reader may look each up: to where a loss
// is sure ([Answer.Beyond]), and 150 of them unless each is a plan. It ends before a bid at which
// no service takes the lots any more, after 2000 bids, of plans 200, and where the search is
// ended. The errors are those of [New].
func (b *Bidder) Ladder(a *Answer) ([]Point, error) {
	least, most := leastRungs, mostRungs
	if planned(b.haul.Sending) {
		least, most = 0, mostPlannedRungs
	}
	var list []Point
	for i, bid := range b.grid.rising(0) {
		if i == most || !b.goes() {
			break
		}
		p, err := b.point(bid)
		if err != nil {
			return nil, err
		}
		if p.Why != nil {
			break
		}
		if list = append(list, p); len(list) >= least && a.Beyond(&p) {
			break
		}
	}
	return list, nil
}

// Beyond reports whether no bid above one is of interest: a loss is sure at it, and it is twice
// what the answer explains.
func (a *Answer) Beyond(p *Point) bool {
	far := a.Best.Bid.Minor()
	if a.Asked != nil {
		far = max(far, a.Asked.Bid.Minor())
	}
	low, _ := p.Loss.Bounds()
	return low.IsInt() && low.Sign() > 0 && p.Bid.Minor() >= 2*far
}
