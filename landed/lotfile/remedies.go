package lotfile

import (
	"errors"
	"fmt"
	"strings"
	"sync"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// written is how a figure is written in a lot file, by its name in faults.
var written = sync.OnceValue(func() map[string]string {
	return map[string]string{
		"amount":         "amount: 7400 JPY",
		"date":           "date: 2026-10-03",
		"dead":           "dead: 1",
		"extra":          "found: {sound: 1, extra: 1}",
		"first-bid":      "bidding: {start: 500 JPY}",
		"first-step":     "from: 0 %s",
		"found":          "found: {sound: 2}",
		"from":           "from: JP",
		"group":          "%s: [[crate-a, box-b]]",
		"home":           "home: CAD",
		"hours":          "hours: 1.5",
		"id":             "id: %s-1",
		"later":          "sending: {leaves: …}",
		"leaves":         "leaves: 2026-11-14",
		"lots":           "lots: [crate-a]",
		"margin":         "margin: 20%",
		landed.OpenPrice: "price: 4200 JPY",
		"outcome":        "value: 8 CAD, or value: 0",
		"packed":         "packed: 3.2 kg",
		"parts-value":    "parts-value: 9 %s",
		"premium":        "premium: 10%",
		"price":          "price: 4200 JPY (0 if it came free)",
		"most-fees-back": "fees-back: %s",
		"most-refund":    "refund: %s",
		"range":          "value: 30..50 CAD",
		"refund":         "refund: 46 CAD",
		"return":         "return: 30%",
		"return-as":      "as: dead",
		"return-date":    "returned: 2027-01-09",
		"rules":          "customs: {rules: mx.yaml}",
		"sale-count":     "count: 2",
		"sale-price":     "price: 46 CAD",
		"selling":        "selling: {venues: [{name: gable, fees: [{what: commission, percent: 12%}]}]}",
		"services":       "sending: {services: services.yaml, zone: CA}",
		"spread":         "spread: 2.5%",
		"start":          "start: 500 JPY",
		"step":           "step: 100 JPY",
		"to":             "to: CA-ON",
		"value":          "value: 38 %s",
		"weight":         "weight: 1.9 kg",
		"weight-sold":    "weight: 1.9 kg",
		"yield":          "what: iron",
		"yield-value":    "value: 6 CAD, or value: 0",
	}
})

// writtenOr is how what else would do is written.
var writtenOr = map[string]string{"found": "sold: [41 CAD]", "weight-sold": "postage: 14.95"}

// Explain returns an error of this project's packages with remedies that say how a
// figure is written in a lot file: "write what one piece weighs, as in weight: 1.9 kg".
// It may be given any error, and one that was explained already. The examples have
// decimal commas where decimal is comma.
func Explain(err error, decimal string) error {
	if err == nil {
		return nil
	}
	if faults, is := errors.AsType[source.Faults](err); is {
		explained := make(source.Faults, len(faults))
		for i, f := range faults {
			explained[i] = explain(*f, decimal)
		}
		return explained
	}
	if fault, is := errors.AsType[*source.Fault](err); is {
		return explain(*fault, decimal)
	}
	return err
}

func explain(f source.Fault, decimal string) *source.Fault {
	name, of, _ := strings.Cut(f.Figure, " ")
	example, known := written()[name]
	if !known || strings.Contains(f.Remedy, ", as in ") {
		return &f
	}
	if of != "" {
		example = fmt.Sprintf(example, of)
	}
	other := writtenOr[name]
	if decimal == "comma" {
		example, other = input.OtherMarks(example), input.OtherMarks(other)
	}
	if f.Remedy += ", as in " + example; f.Or != "" {
		f.Remedy, f.Or = f.Remedy+", or "+f.Or, ""
	}
	if other != "" {
		f.Remedy += ", as in " + other
	}
	return &f
}
