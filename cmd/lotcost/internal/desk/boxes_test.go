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

// TestBoxesCome: a box that the border has billed, or that is paid, is none to fill, and its lines
// stay as they are where others are put into the file.
func TestBoxesCome(t *testing.T) {
	for _, by := range []string{"assessed: {duty: 0, tax: 8, fee: 6}", "settled: {freight: 20 EUR}"} {
		t.Run(by, func(t *testing.T) { boxesCome(t, "  - {id: box-1, lots: [levels], freight: 3200 JPY, "+by+"}\n") })
	}
}

func boxesCome(t *testing.T, came string) {
	text := strings.Replace(three, "  - {id: box-2, lots: [levels], freight: 3200 JPY}\n", "", 1)
	text = strings.Replace(text, "  - {id: box-1, lots: [kanna, compasses], freight: 4100 JPY}\n", "  # both\n  - {id: old, lots: [kanna, compasses], freight: 4100 JPY}\n"+came, 1)
	s := entered(t, "three.yaml", text)
	p := s.at("/haul/three.yaml?view=boxes")
	if boxes := p.Text(`[...document.querySelectorAll("section.lot h2")].map(h => h.textContent).join(" ")`); boxes != "box-2" {
		t.Fatalf("boxes to fill: %s", boxes)
	}
	p.Text(`[...document.querySelectorAll("[id='lot-compasses'] a")].find(a => a.textContent == "a box of its own").focus()`)
	p.Keys("\r")
	p.Holds(`document.querySelectorAll(".box").length`, "2")
	total := p.Text(`document.getElementById("answer").textContent.match(/These boxes: total cost ([\d,]+)/)[1]`)
	p.On(`[name='put boxes']`, `click()`)
	p.Holds(`document.getElementById("total").textContent.replace("\u00a0", " ")`, "total cost "+total+" EUR")
	var said splitJSON
	s.said(&said, "split", "three.yaml")
	after := s.text("three.yaml")
	if figure(said.Total, true) != total || !strings.Contains(after, came) || strings.Contains(after, "id: old") || !strings.Contains(after, "id: box-3") {
		t.Errorf("the page says %s, split %s:\n%s", total, said.Total, after)
	}
}
