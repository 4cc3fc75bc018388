package landed

import (
	"cmp"
	"errors"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/source"
)

// borderFault records what customs refuses at the key that it is about.
func (s *splitter) borderFault(err error) {
	if wrong := (*customs.InputError)(nil); errors.As(err, &wrong) && (wrong.What == "weight" && s.unweighed() || s.givenBack(wrong)) {
		return
	}
	at := s.borderPlace(err)
	if none := (*customs.NoRulesError)(nil); errors.As(err, &none) {
		var others []string
		if len(s.haul.Open()) == 0 {
			others = []string{"write all that was assessed (duty, tax and fee)"}
		}
		what, remedy := none.Parts(others...)
		s.report.Add(&source.Fault{At: at, Field: "customs", What: what, Remedy: remedy, Figure: "rules", Err: err})
		return
	}
	s.report.AddErr(at, "customs", err)
}

// unweighed records every item of which a duty by weight needs the weight, and reports whether
// there is one.
func (s *splitter) unweighed() bool {
	any := false
	for _, item := range s.items {
		class := cmp.Or(item.Class, s.haul.Border.Class)
		if duty := s.haul.Border.Classes[class].Duty; item.Weighed || item.Count == 0 || duty == nil || duty.PerKilogram.IsZero() {
			continue
		}
		any = true
		s.report.Fail(item.At.Key("weight"), "item "+item.ID, "has no weight, but the duty of class "+class+" is by weight", "write what one piece weighs").Figure = "weight"
	}
	return any
}

// topFor is where a key of the haul stands that has no value, or else the section that asks for it,
// or the top of the haul's file where that section is another's: defaults have no day.
func (s *splitter) topFor(key string) source.Origin {
	at, border := s.haul.At.Key(key), s.haul.Border.At
	switch {
	case at.Line > 0:
		return at
	case border.File == s.haul.At.File:
		return border
	}
	return s.haul.At.Key("lotcost")
}

func (s *splitter) borderPlace(err error) source.Origin {
	h, b := s.haul, s.haul.Border
	var rules *customs.NoRulesError
	var rate *customs.NoRateError
	var wrong *customs.InputError
	switch {
	case errors.As(err, &rules) && rules.Territory != "":
		return h.At.Key("date")
	case errors.As(err, &rules):
		return h.At.Key("to")
	case errors.As(err, &rate) && rate.Class != "":
		return b.At.Key("classes", rate.Class, "duty")
	case errors.As(err, &rate):
		return s.itemPlace(rate.Line)
	case !errors.As(err, &wrong):
		return b.At
	case wrong.What == "to":
		return h.At.Key("to")
	case wrong.What == "holds":
		return b.At.Key("holds")
	case wrong.What == "tax":
		return b.At.Key("classes", wrong.Class, "tax")
	case wrong.What == "class":
		return s.itemPlace(wrong.Line).Key("class")
	case wrong.Class != "":
		return b.At.Key("classes", wrong.Class)
	}
	return s.itemPlace(wrong.Line)
}

// givenBack records, of an item of which customs counts a sum below zero, the refund that takes the
// most off it, and reports whether there is one.
func (s *splitter) givenBack(wrong *customs.InputError) bool {
	item, known := s.itemIDs.find(wrong.Line)
	asked, worst, most := map[string]string{"value": "price", "freight": "freight", "insurance": "insurance"}[wrong.What], int32(0), int64(0)
	if !known || asked == "" {
		return false
	}
	for n := range s.st.Lines {
		line := &s.st.Lines[n]
		if line.charge == 0 || line.dutiable == NotDutiable || (line.dutiable == AsGoods) != (wrong.What == "value") ||
			line.dutiable == 0 && line.Kind.String() != asked {
			continue
		}
		if k := slices.Index(line.items, item); k >= 0 && k < len(line.shares) && line.shares[k] < most {
			worst, most = line.charge, line.shares[k]
		}
	}
	if worst == 0 {
		return false
	}
	c := &s.haul.Charges[worst-1]
	s.report.Fail(c.At.Key("amount"), chargeField(c), "it takes more off the "+asked+" of "+wrong.Line+" than that is, and customs counts nothing below zero",
		"write dutiable: no beside it: it is then taken off after the border")
	return true
}

// itemPlace is where an item stands, or the section where there is none.
func (s *splitter) itemPlace(id string) source.Origin {
	if i, known := s.itemIDs.find(id); known {
		return s.items[i].At
	}
	return s.haul.Border.At
}
