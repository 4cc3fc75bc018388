package show

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
)

// borderCautions is what stands under every answer with an estimate of the
// border in it: what is not in the figures, and what they would be if something
// not said holds.
func borderCautions(st *landed.Statement) []string {
	if st.Border == nil || st.Estimate().Sign() == 0 && len(st.Bills()) > 0 {
		return nil
	}
	text := "Duty, tax and border fees are estimates (lotcost duty shows how); the customs authority decides."
	if st.Estimate().Sign() == 0 {
		text = "The border is estimated to add nothing (lotcost duty shows how); the customs authority decides."
	}
	return append([]string{text}, besides(st)...)
}

// besides is what the border of a statement does not hold, and what else it may come to, beside the
// bills that have come.
func besides(st *landed.Statement) []string {
	var texts []string
	a := st.Border
	was, others := borderSums(a, st.Haul), append(a.Others(), a.Later()...)
	if apart, sellers := st.BySellers(); apart != nil {
		others = append(others, customs.Other{If: sheet.Listed(sellers) + " each send a parcel of their own" + taxedAtSale(apart), Assessment: apart})
	}
	for _, o := range others {
		if o.Err != nil {
			texts = append(texts, fmt.Sprintf("If %s, the border cannot be calculated: %s", o.If, o.Err))
		} else if now := borderSums(o.Assessment, st.Haul); now != was {
			texts = append(texts, fmt.Sprintf("If %s, the border adds %s instead of %s: duty %s, tax %s, fees %s.", o.If, now.Sum(), was.Sum().Said(), now.Duty.Said(), now.Tax.Said(), now.Fee.Said()))
		}
	}
	if len(a.Missing) == 0 {
		return texts
	}
	names := sheet.Each(a.Missing, func(m *customs.Missing) string { return m.What })
	return append([]string{"Not counted, since the sum is not known: " + strings.Join(names, "; ") + "."}, texts...)
}

// taxedAtSale says that the tax of some parcels is paid to their seller, and so not nothing.
func taxedAtSale(a *customs.Assessment) string {
	for p := range sheet.All(a.Parcels) {
		if slices.ContainsFunc(p.Relief, func(r customs.Relief) bool { return r.BySeller }) {
			return ", and charge the tax at the sale where the rules ask for that"
		}
	}
	return ""
}

// notes are texts of one kind.
func notes(kind sheet.NoteKind, texts ...string) []sheet.Block {
	return sheet.Each(texts, func(text *string) sheet.Block { return sheet.Note{Kind: kind, Text: *text} })
}

// remark, hint and caution are one of each kind.
func remark(text string) sheet.Block  { return sheet.Note{Kind: sheet.Remark, Text: text} }
func hint(text string) sheet.Block    { return sheet.Note{Kind: sheet.Hint, Text: text} }
func caution(text string) sheet.Block { return sheet.Note{Kind: sheet.Caution, Text: text} }

// borderSums is what the border adds, over all parcels, in the currency of the territory; what a
// haul has a bill for aside, where one is given.
func borderSums(a *customs.Assessment, billed *landed.Haul) landed.Bill {
	var duty, tax, fees int64
	for i := range a.Parcels {
		p, bill := &a.Parcels[i], landed.Bill{}
		if billed != nil {
			bill = billed.BillOf(p.ID)
		}
		if bill.Duty.Currency() == 0 {
			duty += p.Duty.Minor()
		}
		if bill.Tax.Currency() == 0 {
			tax += p.Tax.Minor()
		}
		if bill.Fee.Currency() == 0 {
			fees += sumEach(p.Fees, func(f *customs.Fee) int64 { return f.Amount.Minor() })
		}
	}
	in := func(minor int64) money.Amount { return money.New(minor, a.Rules.Currency) }
	return landed.Bill{Duty: in(duty), Tax: in(tax), Fee: in(fees)}
}

// doubts tells which of the figures used are not certain, and what depends on
// them: one sentence for each reason.
func doubts(a *customs.Assessment) string {
	var said []string
	all := customs.Doubts(a.Steps())
	for _, group := range byReason(all) {
		sum := int64(0)
		var charged, rests []string
		for _, d := range group {
			name := d.What + sheet.Either(d.Dated != "", " ("+d.Dated+")", "")
			if d.Topic != "value" && d.Topic != "relief" { // it made a charge or let it go
				sum += d.AtStake.Minor()
				if !slices.Contains(charged, name) { // a tax has several rates
					charged = append(charged, name)
				}
			} else {
				rests = append(rests, fmt.Sprintf("%s, on which %s depends", name, d.AtStake))
			}
		}
		text := sheet.Either(len(charged) > 0, fmt.Sprintf("%s of this is %s: ", money.New(sum, a.Rules.Currency), reason(group[0])), "Some of this is "+reason(group[0])+": ")
		said = append(said, text+strings.Join(append(charged, rests...), "; ")+".")
	}
	if len(said) == 0 {
		return "Every figure of theirs used here was read in the authority's own text."
	}
	return strings.Join(said, " ")
}

// byReason groups doubts of one reason, in the order in which they come up.
func byReason(all []customs.Step) [][]customs.Step {
	var groups [][]customs.Step
	for _, d := range all {
		i := slices.IndexFunc(groups, func(g []customs.Step) bool { return reason(g[0]) == reason(d) })
		if i < 0 {
			i = len(groups)
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], d)
	}
	return groups
}

func reason(d customs.Step) string {
	switch {
	case d.Confidence == customs.Memory:
		return "by a figure not checked at its source"
	case d.Confidence == customs.Reported && d.Old:
		return "from an old page that only quotes or reports it"
	case d.Confidence == customs.Reported:
		return "by a figure quoted or reported elsewhere, not read in the authority's own text"
	}
	return "from an old page"
}

// besideJSON is what stands beside the figures of the border, in the currency of the territory; nil
// where nothing does.
func besideJSON(st *landed.Statement) object {
	a := st.Border
	if a == nil {
		return nil
	}
	others, later := othersJSON(a.Others(), st.Haul), othersJSON(a.Later(), st.Haul)
	if len(a.Missing)+len(others)+len(later) == 0 {
		return nil
	}
	return object{"currency", a.Rules.Currency, "missing", missingJSON(a), "otherwise", others, "later?", later}
}

func missingJSON(a *customs.Assessment) []object {
	return sheet.Each(a.Missing, func(m *customs.Missing) object { return object{"what", m.What, "parcels", m.Parcels} })
}

// othersJSON is the border's sum if something else holds, beside the bills of a haul; where that
// cannot be calculated, the error and no sums.
func othersJSON(others []customs.Other, billed *landed.Haul) []object {
	return sheet.Each(others, func(o *customs.Other) object {
		if o.Err != nil {
			return object{"if", o.If, "error", o.Err.Error()}
		}
		s := borderSums(o.Assessment, billed)
		return object{"if", o.If, "total", s.Sum(), "duty", s.Duty, "tax", s.Tax, "fees", s.Fee}
	})
}

func doubtsJSON(doubts []customs.Step) []object {
	return sheet.Each(doubts, func(d *customs.Step) object {
		return object{"what", d.What, "confidence", d.Confidence, "dated?", d.Dated, "old?", d.Old, "hangs", d.AtStake, "source", d.Source}
	})
}
