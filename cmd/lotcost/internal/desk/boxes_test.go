package desk

import (
	"strings"
	"testing"
)

// TestBoxes moves a lot into a box of its own by the keyboard, sees what that costs beside the
// best way, and puts it into the file, which then costs as much by split.
func TestBoxes(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=boxes")
	var plans struct {
		Plans []struct{ Plan, Total string }
	}
	s.said(&plans, "together", "three.yaml")
	best := figure(plans.Plans[2].Total, true)
	p.Holds(`document.getElementById("answer").textContent.includes("total cost `+best+` EUR")`, "true")
	p.Text(`[...document.querySelectorAll("[id='lot-compasses'] a")].find(a => a.textContent == "a box of its own").focus()`)
	p.Keys("\r")
	p.Holds(`document.querySelectorAll(".box").length`, "3")
	p.Holds(`document.location.hash`, "#lot-compasses")
	total := p.Text(`document.getElementById("answer").textContent.match(/These boxes: total cost ([\d,]+)/)[1]`)
	p.On(`[name='put boxes']`, `click()`)
	p.Holds(`document.getElementById("total").textContent.replace("\u00a0", " ")`, "total cost "+total+" EUR")
	var said splitJSON
	s.said(&said, "split", "three.yaml")
	if figure(said.Total, true) != total || total <= best {
		t.Errorf("the page says %s, split %s, the best way is %s", total, said.Total, best)
	}
	text := s.text("three.yaml")
	if before, _, _ := strings.Cut(three, "parcels:"); !strings.HasPrefix(text, before) {
		t.Errorf("more changed than the parcels:\n%s", text)
	}
	if _, after, _ := strings.Cut(three, "customs:"); !strings.HasSuffix(text, "customs:"+after) {
		t.Errorf("more changed than the parcels:\n%s", text)
	}
	look(t, p, "boxes")
}
