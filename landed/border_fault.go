package landed

import (
	"errors"

	"lotcost/landed/customs"
	"lotcost/landed/source"
)

// borderFault records what customs refuses at the key that it is about.
func (s *splitter) borderFault(err error) {
	s.report.AddErr(s.borderPlace(err), "customs", err)
}

func (s *splitter) borderPlace(err error) source.Origin {
	h, b := s.haul, s.haul.Border
	var rules *customs.NoRulesError
	var place *customs.PlaceError
	var tax *customs.NoTaxRateError
	var rate *customs.NoRateError
	var class *customs.UnknownClassError
	var line *customs.LineError
	switch {
	case errors.As(err, &rules) && rules.Territory != "":
		return h.At.Key("date")
	case errors.As(err, &rules), errors.As(err, &place):
		return h.At.Key("to")
	case errors.As(err, &tax):
		return b.At.Key("classes", tax.Class, "tax")
	case errors.As(err, &rate) && rate.Class != "":
		return b.At.Key("classes", rate.Class)
	case errors.As(err, &rate):
		return s.itemPlace(rate.Line)
	case errors.As(err, &class):
		return s.itemPlace(class.Line).Key("class")
	case errors.As(err, &line) && line.Class != "":
		return b.At.Key("classes", line.Class)
	case errors.As(err, &line):
		return s.itemPlace(line.Line)
	}
	return b.At
}

// itemPlace is where an item stands, or the section where there is none.
func (s *splitter) itemPlace(id string) source.Origin {
	if i, known := s.itemIDs[id]; known {
		return s.items[i].At
	}
	return s.haul.Border.At
}
