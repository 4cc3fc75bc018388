package show

import (
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// costs is a statement in JSON. The names are promised to other programs. Amounts are decimal
// strings with exactly the digits of home.
type costs struct {
	*landed.Statement
	working bool
}

// CostsJSON is a statement for [WriteJSON], with the working when it is asked for.
func CostsJSON(st *landed.Statement, working bool) any { return costs{st, working} }

// WriteFields implements [sheet.Fields].
func (c costs) WriteFields(j *sheet.JSON) {
	j.Field("title", c.Haul.Title)
	j.Field("home", c.Home.Code())
	j.Amount("total", c.Total)
	if f := c.Found(); c.WasFound {
		countGiven(j, "pieces_paid_for", c.Pieces())
		countGiven(j, "pieces_came", f.Sound+f.Parts+f.Dead)
	}
	if c.Loss.Sign() != 0 {
		j.Amount("loss", c.Loss)
	}
	j.Key("charges")
	j.Begin('[')
	for i := range c.Lines {
		writeCharge(j, &c.Lines[i])
	}
	j.End(']')
	if bills := billsJSON(c.Statement); bills != nil {
		listJSON(j, "bills", bills)
	}
	c.writeLots(j)
	kinds := usedKinds(c.Statement)
	j.Key("items")
	j.Begin('[')
	for i := range c.Items {
		writeItem(j, &c.Items[i], kinds, c.WasFound)
	}
	j.End(']')
	if steps := c.steps(); steps != nil {
		listJSON(j, "working", steps)
	}
	// What stands beside the border's figures: what is not in them, and what they
	// would be otherwise.
	if border := besideJSON(c.Border); border != nil {
		j.Key("border")
		j.Value(border)
	}
}

// countGiven writes a number unless it is 0.
func countGiven(j *sheet.JSON, name string, n int64) {
	if n != 0 {
		j.Count(name, n)
	}
}

// listJSON writes a list, each entry on a line.
func listJSON[T any](j *sheet.JSON, name string, list []T) {
	j.Key(name)
	j.Begin('[')
	for i := range list {
		j.Value(list[i])
	}
	j.End(']')
}

func (c costs) writeLots(j *sheet.JSON) {
	j.Key("lots")
	if len(c.Lots) == 0 {
		j.Value(nil)
		return
	}
	j.Begin('[')
	for _, lot := range c.Lots {
		j.Begin('{')
		j.Field("id", lot.ID)
		j.Given("title", lot.Title)
		j.Given("seller", lot.Seller)
		j.Amount("cost", lot.Cost)
		j.End('}')
	}
	j.End(']')
}

func writeCharge(j *sheet.JSON, line *landed.Line) {
	j.Begin('{')
	j.Field("what", line.What)
	j.Field("kind", line.Kind.String())
	j.Given("parcel", line.Parcel)
	j.Given("lot", line.Lot)
	j.Given("item", line.Item)
	if line.Times > 1 {
		j.Count("times", line.Times)
	}
	j.Field("paid", line.Asked())
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
	j.End('}')
}

// steps is the working, where it is asked for.
func (c costs) steps() (steps []costStep) {
	for i := range c.Lines {
		if !c.working {
			break
		}
		for _, s := range c.Working(&c.Lines[i]) {
			steps = append(steps, costStep(s))
		}
	}
	return steps
}

// costBill is a bill of the border beside its estimate, if that is known.
type costBill struct {
	Parcel     string `json:"parcel,omitempty"`
	Kind       string `json:"kind"`
	Estimate   string `json:"estimate,omitempty"`
	Bill       string `json:"bill"`
	Difference string `json:"difference,omitempty"`
}

type costLot struct {
	ID     string `json:"id"`
	Title  string `json:"title,omitempty"`
	Seller string `json:"seller,omitempty"`
	Cost   string `json:"cost"`
}

type costFound struct {
	Sound   int64 `json:"sound"`
	Parts   int64 `json:"parts"`
	Dead    int64 `json:"dead"`
	Missing int64 `json:"missing"`
	Extra   int64 `json:"extra"`
}

type costPieces struct {
	State string `json:"state,omitempty"`
	What  string `json:"what,omitempty"` // of pieces made from dead ones
	Count int64  `json:"count"`
	Cost  string `json:"cost"`
}

type costStep struct {
	What   string `json:"what"`
	From   string `json:"from"`
	Rule   string `json:"rule"`
	Result string `json:"result"`
}

func writeItem(j *sheet.JSON, item *landed.ItemCost, kinds []landed.Kind, found bool) {
	j.Begin('{')
	j.Field("id", item.ID)
	j.Field("lot", item.Lot.ID)
	j.Given("model", item.Model)
	j.Given("what", item.What)
	j.Count("count", item.Count)
	j.Amount("cost", item.Cost)
	if found {
		f := item.Found
		j.Key("found")
		j.Value(costFound{f.Sound, f.Parts, f.Dead, f.Missing, f.Extra})
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
	j.Key("each")
	j.Begin('[')
	for _, g := range item.Each() {
		j.Begin('{')
		if found {
			j.Given("state", g.State.String())
		}
		j.Given("what", g.What)
		j.Count("count", g.Count)
		j.Amount("cost", g.Each)
		j.End('}')
	}
	j.End(']')
	j.End('}')
}

type comparedItem struct {
	ID    string            `json:"id"`
	Lot   string            `json:"lot"`
	Count int64             `json:"count"`
	Each  map[string]string `json:"each"`
}

// ComparisonJSON is a comparison for [WriteJSON]: what the dearest piece of
// each item costs under every basis that can be used.
func ComparisonJSON(trials []Trial) any {
	out := struct {
		Home    string            `json:"home"`
		Items   []comparedItem    `json:"items"`
		LeftOut map[string]string `json:"left_out,omitempty"`
	}{Items: []comparedItem{}, LeftOut: map[string]string{}}
	for _, trial := range trials {
		if trial.Statement == nil {
			for _, key := range basisKeys(trial.Basis) {
				out.LeftOut[key] = trial.Err.Error()
			}
			continue
		}
		out.Home = trial.Statement.Home.Code()
		for i := range trial.Statement.Items {
			item := &trial.Statement.Items[i]
			if i == len(out.Items) {
				out.Items = append(out.Items, comparedItem{item.ID, item.Lot.ID, item.Count, map[string]string{}})
			}
			for _, key := range basisKeys(trial.Basis) {
				out.Items[i].Each[key] = dearest(item).Number()
			}
		}
	}
	return out
}

func billsJSON(st *landed.Statement) []costBill {
	var bills []costBill
	for _, b := range st.Bills() {
		bills = append(bills, costBill{b.Parcel, b.Kind.String(), number(b.AsEstimated), b.Home.Number(), billedMore(b)})
	}
	return bills
}
