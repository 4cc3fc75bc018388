package show

import (
	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// costs is a statement in JSON. The names are promised to other programs. Amounts are decimal
// strings with exactly the digits of home.
type costs struct {
	*landed.Statement
	working bool // which is asked for
}

// WriteFields implements [sheet.Fields].
func (c costs) WriteFields(j *sheet.JSON) {
	j.Field("title", c.Haul.Title)
	j.Field("home", c.Home.Code())
	j.Amount("total", c.Total)
	if c.WasFound {
		f := allFound(c.Statement)
		object{"pieces_paid_for?", c.Pieces(), "pieces_came?", f.Sound + f.Parts + f.Dead}.WriteFields(j)
	}
	if c.Loss.Sign() != 0 {
		j.Amount("loss", c.Loss)
	}
	sheet.List(j, "charges", c.Lines, writeCharge)
	if bills := c.Bills(); len(bills) > 0 {
		object{"bills", billsJSON(bills)}.WriteFields(j)
	}
	if len(c.Lots) > 0 {
		sheet.List(j, "lots", c.Lots, writeLot)
	} else {
		j.Key("lots")
		j.Value(nil)
	}
	kinds := live.Kinds(c.Statement)
	sheet.List(j, "items", c.Items, func(j *sheet.JSON, item *landed.ItemCost) { writeItem(j, item, kinds, c.WasFound) })
	if c.working {
		object{"working?", stepsJSON(allSteps(c.Statement))}.WriteFields(j)
	}
	if beside := besideJSON(c.Statement); beside != nil {
		object{"border", beside}.WriteFields(j)
	}
}

func writeLot(j *sheet.JSON, lot *landed.LotCost) {
	j.Field("id", lot.ID)
	j.Given("title", lot.Title)
	j.Given("seller", lot.Seller)
	j.Amount("cost", lot.Cost)
}

func writeCharge(j *sheet.JSON, line *landed.Line) {
	j.Field("what", line.What)
	j.Field("kind", line.Kind.String())
	j.Given("parcel", line.Parcel)
	j.Given("lot", line.Lot)
	j.Given("item", line.Item)
	if line.Times > 1 {
		j.Count("times", line.Times)
	}
	j.Appended("paid", line.AppendAsked)
	j.Amount("home", line.Home)
	j.Field("by", line.By.String())
	if line.Estimated {
		j.Key("estimated")
		j.Value(true)
	}
	if len(line.Without) > 0 {
		j.Key("without_open_price")
		j.Value(line.Without)
	}
}

func writeItem(j *sheet.JSON, item *landed.ItemCost, kinds []landed.Kind, found bool) {
	j.Field("id", item.ID)
	j.Field("lot", item.Lot.ID)
	j.Given("model", item.Model)
	j.Given("what", item.What)
	j.Count("count", item.Count)
	j.Amount("cost", item.Cost)
	if found {
		f := item.Found
		j.Key("found")
		j.Value(object{"sound", f.Sound, "parts", f.Parts, "dead", f.Dead, "missing", f.Missing, "extra", f.Extra})
		if moved := item.Moved(); moved.Sign() != 0 {
			j.Amount("taken_over", moved)
		}
	}
	j.Key("shares")
	j.Begin('{')
	for _, k := range kinds {
		if item.Bears(k) {
			j.Amount(k.String(), item.Share(k))
		}
	}
	j.End('}')
	sheet.List(j, "each", item.Each(), func(j *sheet.JSON, g *landed.Pieces) {
		if found {
			j.Given("state", g.State.String())
		}
		j.Given("what", g.What)
		j.Count("count", g.Count)
		j.Amount("cost", g.Each)
	})
}

// comparisonJSON is what the dearest piece of each item costs under every basis that can be used.
func comparisonJSON(trials []Trial) any {
	var done []Trial
	leftOut := map[string]string{}
	for _, trial := range trials {
		if trial.Statement != nil {
			done = append(done, trial)
			continue
		}
		for _, key := range basisKeys(trial.Basis) {
			leftOut[key] = trial.Err.Error()
		}
	}
	first := done[0].Statement
	items := make([]object, len(first.Items))
	for i := range items {
		item, each := &first.Items[i], map[string]string{}
		for _, trial := range done {
			for _, key := range basisKeys(trial.Basis) {
				each[key] = dearest(&trial.Statement.Items[i]).Number()
			}
		}
		items[i] = object{"id", item.ID, "lot", item.Lot.ID, "count", item.Count, "each", each}
	}
	return object{"home", first.Home, "items", items, "left_out?", leftOut}
}

func stepsJSON(steps []landed.Step) []object {
	return sheet.Each(steps, func(s *landed.Step) object {
		return object{"what", s.What, "from", s.From, "rule", s.Rule, "result", s.Result}
	})
}

// billsJSON are the bills of the border beside their estimates, where these are known.
func billsJSON(bills []*landed.Line) []object {
	return sheet.Each(bills, func(b **landed.Line) object {
		return object{"parcel?", (*b).Parcel, "kind", (*b).Kind, "estimate?", (*b).AsEstimated, "bill", (*b).Home, "difference?", billedMore(*b)}
	})
}
