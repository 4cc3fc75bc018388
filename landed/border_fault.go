package landed

import (
	"cmp"
	"errors"
	"strings"

	"lotcost/landed/customs"
	"lotcost/landed/source"
)

// borderFault records what customs refuses at the key that it is about.
func (s *splitter) borderFault(err error) {
	if wrong := (*customs.InputError)(nil); errors.As(err, &wrong) && wrong.What == "weight" && s.unweighed() {
		return
	}
	at := s.borderPlace(err)
	if none := (*customs.NoRulesError)(nil); errors.As(err, &none) {
		what, remedy, _ := strings.Cut(none.Error(), ": ")
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
		s.report.Fail(item.At, "item "+item.ID, "has no weight, but the duty of class "+class+" is by weight", "write what one piece weighs").Figure = "weight"
	}
	return any
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
	for i := range h.Charges { // more may be given back than was asked
		if c := &h.Charges[i]; c.Amount.Sign() < 0 && strings.Contains(wrong.What, c.Kind.String()) {
			return c.At.Key("amount")
		}
	}
	return s.itemPlace(wrong.Line)
}

// itemPlace is where an item stands, or the section where there is none.
func (s *splitter) itemPlace(id string) source.Origin {
	if i, known := s.itemIDs.find(id); known {
		return s.items[i].At
	}
	return s.haul.Border.At
}
