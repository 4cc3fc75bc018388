package bid

// mostRungs is how many bids of a ladder are priced at most for a reader, and mostPlannedRungs
// where each is a plan of how the lots travel.
const (
	mostRungs        = 2000
	mostPlannedRungs = 200
)

// Ladder prices every bid from the first on, so that a reader may look each up: to where a loss is
// sure and to twice the bid that the answer explains, whichever is further. It ends before a bid at
// which no service takes the lots any more, after 2000 bids, of plans 200, and where the search is
// ended. The errors are those of [New].
func (b *Bidder) Ladder(a *Answer) ([]Point, error) {
	far, most := a.Best.Bid.Minor(), mostRungs
	if a.Asked != nil {
		far = max(far, a.Asked.Bid.Minor())
	}
	if planned(b.haul.Sending) {
		most = mostPlannedRungs
	}
	var list []Point
	for i := 0; i < most && b.goes(); i++ {
		bid, ok := b.grid.at(i)
		if !ok {
			break
		}
		q, err := b.pricer.quote(bid)
		if err != nil {
			return nil, err
		}
		if q.refused != nil {
			break
		}
		p, err := b.point(bid)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
		if low, _ := p.Loss.Bounds(); low.IsInt() && low.Sign() > 0 && bid >= 2*far {
			break
		}
	}
	return list, nil
}
