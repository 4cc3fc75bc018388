package desk

import (
	"cmp"
	"context"
	"errors"
	"html/template"
	"maps"
	"net/http"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
)

// eveningView is several lots that close one after the other: what to bid for each as the evening
// goes, and won or lost by one press.
var eveningView = &view{id: "evening", Title: "The evening", mends: true, fits: (*haul).hasEvening, show: showEvening}

// hasEvening reports whether several lots are open, or were.
func (h *haul) hasEvening() bool {
	n := 0
	for i := range h.Doc.Len(h.at("lots")) {
		if h.isOpen(i) || h.isLost(i) || h.Doc.Has(h.at("lots", i, "closes")) {
			n++
		}
	}
	return n > 1
}

// tonightLot is a lot of the evening.
type tonightLot struct {
	Path, ID, Name string
	Limit          string // the highest bid as things stand; "" where none pays
	Unit           string // the currency of the price when it is won
	State          string // "", or that it is won or lost
	Lost, Again    set
	Fields         []headed
}

// closes is by what lots stand in order: the hour, those without one last.
func (l *tonightLot) closes() string { return cmp.Or(l.Fields[0].Value, "~") }

func showEvening(h *haul, r *http.Request) (parts, error) {
	var p parts
	var rest template.HTML
	var err error
	limits, result, slow := h.limits(r)
	budget := money.Amount{}
	if h.File != nil && h.File.Bidding != nil {
		budget = h.File.Bidding.Goal.Budget
	}
	if h.File != nil && len(h.open()) == 0 {
		over := struct {
			Won  int
			Left string
		}{len(h.File.WithoutLost().Lots), h.figure(string(show.Left(h.Statement(), budget)))}
		if p.Answer, err = fill("over", over); err != nil {
			return p, err
		}
	}
	if result.Sheet != nil {
		first, more := result.Whole().Parted()
		more.Blocks = slices.Concat(first.Blocks[1:], more.Blocks) // at the sale one presses before one reads
		first.Blocks = first.Blocks[:1:1]
		st, all := result.Of, len(limits) > 1 && !slices.Contains(slices.Collect(maps.Values(limits)), money.Amount{})
		if st != nil && all && (budget.Currency() != st.Home || st.Total.Cmp(budget) <= 0) { // else limits fall once some are won
			first.Add(sheet.Text("Total cost" + result.At + ": " + st.Total.String()))
		}
		left := show.Left(result.Before, budget)
		first.AddIf(left != "", left)
		more.Blocks = slices.DeleteFunc(more.Blocks, func(b sheet.Block) bool { return b == sheet.Block(left) || isLimits(b) })
		for i, b := range more.Blocks {
			if t, is := b.(*sheet.Table); is && t.Topic == "evening" {
				more.Blocks[i] = without(t, func(i int) bool { return slices.Contains(atLots, t.Columns[i].Key) })
			}
		}
		if p.Answer, rest, err = h.halves(first, more); err != nil {
			return p, err
		}
	}
	body := struct {
		Lots  []tonightLot
		Going bool
		Alone bool    // the limits are those of each lot by itself, until more is known
		First []field // the first bid, where nothing says in which currency the lots are bid for
		Rest  template.HTML
	}{Going: h.Going, Alone: h.Going && result.Sheet == nil, Rest: rest}
	for i := range h.Doc.Len(h.at("lots")) {
		body.Lots = append(body.Lots, h.tonightLot(i, limits))
	}
	if h.File != nil && slices.ContainsFunc(h.File.Lots, func(l landed.Lot) bool {
		return !l.Bought() && !l.Lost && h.File.Bidding.Currency(&l) == 0
	}) {
		body.First = append(body.First, h.firstBid())
	}
	slices.SortStableFunc(body.Lots, func(a, b tonightLot) int { return strings.Compare(a.closes(), b.closes()) })
	body.Going = body.Going || slow != nil || h.File == nil // and so no limit is known
	p.Work, err = fill("evening.html", body)
	return p, errors.Join(slow, err)
}

// atLots are the columns of the evening's table that stand at the lots already.
var atLots = []string{"closes", "likely", "limit"}

// isLimits reports whether a block is the table of an evening without a plan: it tells the limits
// of the lots by themselves, which stand at them.
func isLimits(b sheet.Block) bool {
	t, is := b.(*sheet.Table)
	if !is || t.Topic != "evening" {
		return false
	}
	limit := slices.IndexFunc(t.Columns, func(c sheet.Column) bool { return c.Key == "limit" })
	return !slices.ContainsFunc(t.Rows, func(r sheet.Row) bool { return r.Cell(limit).Text != "" })
}

// firstBid is the lowest bid that is taken, by which the desk knows in what currency bids are.
func (h *haul) firstBid() field {
	return h.field("The first bid that is taken, in the currency of the sale", "500 JPY", "bidding", "start")
}

// limits are the highest bids for the open lots as things stand, with all that is to be said of
// them: by the plan for the evening, or of the last one by itself, as lotcost bid has it.
func (h *haul) limits(r *http.Request) (map[string]money.Amount, show.Result, error) {
	limits := map[string]money.Amount{}
	switch open := h.open(); len(open) {
	case 0:
		return limits, show.Result{}, nil
	case 1:
		a, result, err := h.answered(r)
		if err != nil || a == nil {
			return limits, show.Result{}, err
		}
		if len(a.Ranges) > 0 {
			limits[open[0]] = a.Best.Bid
		}
		return limits, result, nil
	}
	ctx, stop := h.search(r)
	defer stop()
	e, err := h.tonight(ctx)
	if errors.Is(err, errTooLong) && !goesOn(r) {
		h.cut(r)
		err = nil
	}
	if e == nil || err != nil {
		return limits, show.Result{}, err
	}
	for i := range e.Lots {
		id := h.Shown().idOf(e.Lots[i].ID)
		if limits[id] = e.Lots[i].Limit; e.Plan == nil {
			limits[id] = e.Lots[i].Alone
		}
	}
	if h.Going && e.Plan == nil {
		return limits, show.Result{}, nil
	}
	return limits, show.Evening(h.File.Title, e, nil), nil
}

// tonight is the plan for the evening, as far as there is time.
func (h *haul) tonight(ctx context.Context) (*bid.Evening, error) {
	e, err := bid.Tonight(h.Shown().Haul, h.Shown().Plans, bid.Options{Goes: going(ctx)})
	if errors.Is(err, bid.ErrStopped) {
		return e, errTooLong
	}
	return e, h.explain(err)
}

// open are the lots still to come; none while the file has mistakes.
func (h *haul) open() []string {
	if h.File == nil {
		return nil
	}
	return h.File.Open()
}

func (h *haul) tonightLot(i int, limits map[string]money.Amount) tonightLot {
	at := h.at("lots", i)
	price := h.at("lots", i, "price")
	l := tonightLot{Path: at.String(), ID: h.typed(h.at("lots", i, "id")), Name: h.called(at), Lost: set{{h.at("lots", i, "lost").String(), "yes"}}}
	if h.File != nil {
		l.Unit = h.currencyOf(i)
	}
	if limit := limits[l.ID]; limit.Currency() != 0 {
		l.Limit, l.Unit = sheet.Typeset(h.marked(limit.String())), " "+limit.Currency().Code()
	}
	switch {
	case h.isLost(i):
		l.State, l.Again = "lost", set{{h.at("lots", i, "lost").String(), ""}}
	case h.typed(price) != "open" && h.Doc.Has(price):
		l.State, l.Again = "won at "+h.typed(price), set{{price.String(), "open"}}
	}
	l.Fields = h.headed([]column{{head: "closes", key: "closes", hint: "20:15"}, {head: "may go for", key: "likely", hint: "4000..9000 JPY"}}, at)
	return l
}
