package desk

import (
	"strings"
	"testing"
)

// TestList puts the pieces of a list into the lot file: each costs what it did, nothing else of the
// file changes, and one is then found dead by one press. What the list alone can say stays there.
func TestList(t *testing.T) {
	const items = "id;what;count;weight;value;sound;dead\noire;\"Oire, breit\";3;0,14 kg;14,50 EUR;2;1\nkiri;Kiri;1;90 g;8 EUR;;\n"
	at := strings.Index(three, "    items:\n      - {id: level,")
	end := strings.Index(three, "  - id: compasses")
	haul := three[:at] + "    items: pieces.csv   # as it came\n" + three[end:]
	s := entered(t, "three.yaml", haul, "pieces.csv", items, "odd.yaml", strings.Replace(haul, "pieces.csv", "odd.csv", 1), "odd.csv", "id;weight;value\noire;140 g;10..20 EUR\n")
	var before, after splitJSON
	s.said(&before, "split", "three.yaml")
	p := s.at("/haul/three.yaml?view=opened")
	p.On(`form[action="/list"] button`, `click()`)
	p.Holds(`document.querySelectorAll('[name="oire dead"][aria-pressed=true]').length`, "1")
	if now := s.text("three.yaml"); !strings.HasPrefix(now, three[:at]) || !strings.HasSuffix(now, three[end:]) {
		t.Errorf("more changed than the list:\n%s", now)
	}
	s.said(&after, "split", "three.yaml")
	if len(after.Items) != len(before.Items) || after.Total != before.Total || after.Items[2].Cost != before.Items[2].Cost {
		t.Errorf("before %v, after %v", before, after)
	}
	p.On(`[name="kiri dead"]`, `click()`)
	p.Holds(`document.querySelector('[name="kiri dead"]').getAttribute("aria-pressed")`, "true")
	if s.text("pieces.csv") != items {
		t.Error("the list changed")
	}
	p.Go(s.base + "/haul/odd.yaml?view=opened")
	odd := s.text("odd.yaml")
	p.On(`form[action="/list"] button`, `click()`)
	p.Holds(`document.getElementById("wrong").textContent.includes("change it there")`, "true")
	if s.text("odd.yaml") != odd {
		t.Error("it was written")
	}
}
