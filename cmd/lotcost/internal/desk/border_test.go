package desk

import (
	"strings"
	"testing"
)

// TestBorder types the bill of one of two boxes beside its estimate: the difference and the total
// are those of the command on the file.
func TestBorder(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=border")
	holds(t, p, `document.getElementById("estimate box-1 tax").textContent`, "20,69")
	p.Eval(`document.querySelector('[name="parcels[box-1].assessed.tax"]').focus()`, nil)
	p.Keys("21,4")
	holds(t, p, `document.getElementById("more box-1 tax").textContent`, "0,71")
	if s.text("three.yaml") != three {
		t.Fatal("it was written before the field was left")
	}
	p.Keys("0\t")
	s.waitSaved("three.yaml", strings.Replace(three, "freight: 4100 JPY}", `freight: 4100 JPY, assessed: {tax: "21,40"}}`, 1))
	var said struct {
		Total string
		Bills []struct{ Parcel, Kind, Difference string }
	}
	s.said(&said, "split", "three.yaml")
	holds(t, p, `document.getElementById("total").textContent`, "total cost "+figure(said.Total, true)+" EUR")
	holds(t, p, `document.getElementById("more box-1 tax").textContent`, "0,71")
	holds(t, p, `document.activeElement.name`, "parcels[box-1].assessed.fee")
	p.Go(s.base + "/haul/three.yaml?view=border") // half a figure was refused before, which a browser complains of
	look(t, p, "border")
}
