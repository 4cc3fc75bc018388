package desk

import (
	"regexp"
	"strings"
	"testing"
)

// TestSearchGoesOn has pages that wait for no search: each shows what it has, says that the search
// goes on, and then by itself what the command finds; what is typed meanwhile is searched for
// instead.
func TestSearchGoesOn(t *testing.T) {
	t.Setenv("LOTCOST_PATIENCE", "1ns")
	one := strings.Replace(strings.Replace(three, "price: 6400 JPY", "price: open", 1), "parcels:\n  - {id: box-1, lots: [kanna, compasses], freight: 4100 JPY}\n  - {id: box-2, lots: [levels], freight: 3200 JPY}\n", "bidding: {start: 500 JPY}\n", 1)
	s := entered(t, "tonight.yaml", tonight, "three.yaml", three, "one.yaml", one)
	for _, page := range []string{"tonight.yaml?view=evening", "tonight.yaml?view=before", "one.yaml?view=before"} {
		if body := s.get("/haul/" + page).body; !strings.Contains(body, "The search goes on") || strings.Contains(body, "no bid") || strings.Contains(body, "was stopped") {
			t.Errorf("%s does not say that the search goes on, or says more: %s", page, regexp.MustCompile(`(?s)id="wrong".*?</div>`).FindString(body))
		}
	}
	p := s.at("/haul/tonight.yaml?view=evening")
	var said struct {
		Lots []struct{ ID, Limit string }
		Best struct{ Bid string }
	}
	found := func() {
		t.Helper()
		s.said(&said, "bid", "tonight.yaml")
		for _, l := range said.Lots {
			p.Holds(`document.getElementById("limit `+l.ID+`").textContent.replace(/\u202f/g, "").replace("\u00a0", " ")`, l.Limit+" JPY")
		}
		p.Holds(`document.querySelectorAll(".going").length`, "0")
	}
	found()
	p.Holds(`document.getElementById("said").textContent`, "The search is done.")
	p.On(`[name="lots[nomi].likely"]`, `select()`)
	p.Keys("2000..2500 JPY\t")
	s.waitSaved("tonight.yaml", strings.Replace(tonight, "likely: 3000..5000 JPY", "likely: 2000..2500 JPY", 1))
	found()
	p.Go(s.base + "/haul/one.yaml?view=before")
	s.said(&said, "bid", "one.yaml")
	p.Holds(`document.querySelector("#answer h2").textContent.replace(/[^0-9]/g, "").startsWith("`+said.Best.Bid+`")`, "true")
	p.Holds(`document.querySelectorAll(".going").length + document.getElementById("rest").querySelectorAll("table").length > 1`, "true")
	lookAgain(t, p, "searched")
}
