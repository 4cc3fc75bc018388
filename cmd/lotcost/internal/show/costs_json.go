package show

import "lotcost/landed"

// costs is a statement in JSON. The names are promised to other programs.
type costs struct {
	Title   string       `json:"title"`
	Home    string       `json:"home"`
	Total   string       `json:"total"`
	PaidFor int64        `json:"pieces_paid_for,omitempty"` // where it is known what came
	Came    int64        `json:"pieces_came,omitempty"`
	Loss    string       `json:"loss,omitempty"`
	Charges []costCharge `json:"charges"`
	Bills   []costBill   `json:"bills,omitempty"`
	Lots    []costLot    `json:"lots"`
	Items   []costItem   `json:"items"`
	Working []costStep   `json:"working,omitempty"`
	// Border is what stands beside the border's figures: what is not in them,
	// and what they would be otherwise.
	Border *borderBeside `json:"border,omitempty"`
}

type costCharge struct {
	What      string   `json:"what"`
	Kind      string   `json:"kind"`
	Parcel    string   `json:"parcel,omitempty"`
	Lot       string   `json:"lot,omitempty"`
	Item      string   `json:"item,omitempty"`
	Times     int64    `json:"times,omitempty"`
	Paid      string   `json:"paid"`
	Home      string   `json:"home"`
	By        string   `json:"by"`
	Estimated bool     `json:"estimated,omitempty"`
	Without   []string `json:"without_open_price,omitempty"`
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

type costItem struct {
	ID     string       `json:"id"`
	Lot    string       `json:"lot"`
	Model  string       `json:"model,omitempty"`
	What   string       `json:"what,omitempty"`
	Count  int64        `json:"count"`
	Cost   string       `json:"cost"`
	Found  *costFound   `json:"found,omitempty"`
	Moved  string       `json:"taken_over,omitempty"`
	Shares itemShares   `json:"shares"`
	Each   []costPieces `json:"each"`
}

// itemShares are an item's shares by kind of cost, in the order of the kinds.
type itemShares struct {
	item  *landed.ItemCost
	kinds []landed.Kind
}

// MarshalJSON writes an object with a decimal string for each kind of cost.
// Names and figures hold nothing that JSON would escape.
func (s itemShares) MarshalJSON() ([]byte, error) {
	b := []byte{'{'}
	for _, k := range s.kinds {
		if !s.item.Bears(k) {
			continue
		}
		if len(b) > 1 {
			b = append(b, ',')
		}
		b = append(b, '"')
		b = append(b, k.String()...)
		b = append(b, `":"`...)
		b = s.item.Share(k).AppendNumber(b)
		b = append(b, '"')
	}
	return append(b, '}'), nil
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

// CostsJSON is a statement for [WriteJSON], with the working when it is asked
// for. Amounts are decimal strings with exactly the digits of home.
func CostsJSON(st *landed.Statement, working bool) any {
	out := costs{Title: st.Haul.Title, Home: st.Home.Code(), Total: st.Total.Number(), Charges: []costCharge{}, Items: make([]costItem, len(st.Items))}
	if f := st.Found(); st.WasFound {
		out.PaidFor, out.Came = st.Pieces(), f.Sound+f.Parts+f.Dead
	}
	if st.Loss.Sign() != 0 {
		out.Loss = st.Loss.Number()
	}
	out.Border = besideJSON(st.Border)
	for i := range st.Lines {
		line := &st.Lines[i]
		c := costCharge{What: line.What, Kind: line.Kind.String(), Parcel: line.Parcel, Lot: line.Lot, Item: line.Item,
			Paid: line.Asked(), Home: line.Home.Number(), By: line.By.String(), Estimated: line.Estimated, Without: line.Without}
		if line.Times > 1 {
			c.Times = line.Times
		}
		out.Charges = append(out.Charges, c)
		if working {
			for _, s := range st.Working(line) {
				out.Working = append(out.Working, costStep(s))
			}
		}
	}
	out.Bills = billsJSON(st)
	for _, lot := range st.Lots {
		out.Lots = append(out.Lots, costLot{lot.ID, lot.Title, lot.Seller, lot.Cost.Number()})
	}
	kinds := usedKinds(st)
	for i := range st.Items {
		out.Items[i] = jsonItem(&st.Items[i], kinds, st.WasFound)
	}
	return out
}

func jsonItem(item *landed.ItemCost, kinds []landed.Kind, found bool) costItem {
	out := costItem{ID: item.ID, Lot: item.Lot.ID, Model: item.Model, What: item.What, Count: item.Count, Cost: item.Cost.Number(), Shares: itemShares{item, kinds}, Each: []costPieces{}}
	for _, g := range item.Each() {
		p := costPieces{What: g.What, Count: g.Count, Cost: g.Each.Number()}
		if found {
			p.State = g.State.String()
		}
		out.Each = append(out.Each, p)
	}
	if found {
		f := item.Found
		out.Found = &costFound{f.Sound, f.Parts, f.Dead, f.Missing, f.Extra}
		if item.Moved().Sign() != 0 {
			out.Moved = item.Moved().Number()
		}
	}
	return out
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
