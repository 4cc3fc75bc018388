package live

import (
	"cmp"
	"math"
	"strconv"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// Columns of the sheet pieces.
const (
	pieceID = iota
	pieceState
	pieceCount
	pieceCost
	pieceWhat
	pieceModel
	pieceLot
	pieceDearest
	pieceSoMany
	pieceOthers
	pieceOrder
)

// piecesSheet is a row for the pieces of an item in one state.
func (m *model) piecesSheet() {
	pieces := int64(0)
	for i := range m.st.Items {
		for _, p := range portions(&m.st.Items[i]) {
			m.pieces.add(sheet.Body, m.pieceRow(i, &p)...)
			pieces += p.count
		}
	}
	last := len(m.pieces.Rows) + 1
	if m.st.WasFound && m.mayLose() {
		cost := m.pieces.live(m.lossOf(), plain(m.st.Home), m.st.Loss.Number())
		m.pieces.add(sheet.Sum, []sheet.Cell{pieceCost: cost, pieceWhat: text("written off"), pieceOrder: fixed(strconv.Itoa(row(len(m.pieces.Rows))), count)}...)
	}
	sum := []sheet.Cell{pieceWhat: text("sum"), pieceOrder: fixed(strconv.Itoa(row(len(m.pieces.Rows))), count)}
	if end := len(m.pieces.Rows) + 1; end > 1 {
		sum[pieceWhat] = m.pieces.counted(sheet.Ref(pieceCost, end+1), m.paid.at(paidHome, len(m.st.Lines)+2))
		sum[pieceCount] = m.pieces.live("SUM("+m.pieces.column(pieceCount, 2, max(last, 2))+")", count, number64(pieces))
		sum[pieceCost] = m.pieces.live(m.sum(m.pieces.column(pieceCost, 2, end)), plain(m.st.Home), m.st.Total.Number())
	}
	m.pieces.add(sheet.Sum, sum...)
}

// portion is the pieces of an item in one state.
type portion struct {
	state       landed.State
	what        string
	count, cost int64
	made        int // which of those made from dead ones, counted from 0
}

// portions are those in which there are pieces that came to something.
func portions(item *landed.ItemCost) []portion {
	var list []portion
	made := -1
	for _, g := range item.AppendGroups(nil) {
		if g.State == landed.Dead {
			continue
		}
		last := len(list) - 1
		if last < 0 || list[last].state != g.State || list[last].what != g.What {
			if g.State == landed.Made {
				made++
			}
			list = append(list, portion{state: g.State, what: g.What, made: made})
			last++
		}
		list[last].count += g.Count
		list[last].cost += g.Cost.Minor()
	}
	return list
}

func (m *model) pieceRow(i int, p *portion) []sheet.Cell {
	item := &m.st.Items[i]
	r := len(m.pieces.Rows) + 2
	of := func(column int, value int64) figure { return m.pieces.of(column, r, float64(value)) }
	cells := []sheet.Cell{
		pieceID: text(item.ID), pieceState: text(p.state.String()), pieceCount: fixed(number64(p.count), count),
		pieceWhat: text(cmp.Or(p.what, item.What)), pieceModel: text(item.Model), pieceLot: text(item.Lot.ID), pieceOrder: {},
	}
	if item.Item.Found == nil {
		cells[pieceCount] = m.pieces.live(m.items.at(itemCount, row(i)), count, number64(p.count))
	}
	cost := m.items.at(m.costColumn(), row(i))
	if m.st.WasFound {
		cost = m.borneBy(i, p)
	}
	cells[pieceCost] = m.pieces.live(cost, plain(m.st.Home), m.number(p.cost))
	cells[pieceCost].Tone = sheet.Strong
	n := of(pieceCount, p.count)
	all := rounded(figure{"ABS(" + m.pieces.at(pieceCost, r) + ")" + m.times(), math.Abs(float64(p.cost))}, 0)
	each := floor(over(all, n))
	more := minus(all, times(n, each))
	way := sign(of(pieceCost, p.cost))
	dear := m.major(times(way, plus(each, above(more, whole(0)))))
	cells[pieceDearest] = m.pieces.figured(when(n, dear), plain(m.st.Home))
	cells[pieceSoMany] = m.pieces.figured(when(n, choose(above(more, whole(0)), more, n)), count)
	cells[pieceOthers] = m.pieces.figured(when(n, m.major(times(way, each))), plain(m.st.Home))
	cells[pieceOrder] = m.pieces.live("IF("+m.pieces.at(pieceID, r)+"="+m.items.at(itemID, row(i))+","+strconv.Itoa(r)+`,"moved")`, count, strconv.Itoa(r))
	return cells
}

// when is a figure where there are pieces, and else 0.
func when(n, f figure) figure { return choose(above(n, whole(0)), f, whole(0)) }
