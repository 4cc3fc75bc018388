package desk

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/browser"
)

// three is a haul of three lots of two sellers in two boxes, in a country with decimal commas,
// with Japanese names, and names that would be marks of a page.
const three = `lotcost: 1
decimal: comma
title: 鉋と鑿, drei Posten   # three lots
home: EUR
date: 2026-09-03
from: JP
to: DE
exchange: {spread: "2,5%", rates: ["100 JPY = 0,61 EUR"]}
lots:
  - id: kanna
    title: 平鉋 <b>寸八</b>
    seller: tidemark
    price: 9800 JPY
    premium: 10%
    size: 32x24x14 cm
    items:
      - {id: kanna-48, what: 平鉋 寸八, count: 3, weight: 870 g, value: "31,50 EUR"}   # three alike
      - {id: nomi, what: "<script>alert(1)</script>", weight: 140 g, value: 14 EUR}
  - id: levels
    title: Long levels
    seller: gable-rooms
    price: 6400 JPY
    size: 78x9x6 cm
    items:
      - {id: level, what: Rosewood level, count: 2, weight: "1,8 kg", value: 45 EUR}
  - id: compasses
    title: Compasses
    seller: tidemark
    price: 1500 JPY
    size: 22x14x5 cm
    items:
      - {id: compass-set, what: Compass set in a case, weight: 420 g, value: 28 EUR}
parcels:
  - {id: box-1, lots: [kanna, compasses], freight: 4100 JPY}
  - {id: box-2, lots: [levels], freight: 3200 JPY}
customs:
  use: personal
  by: post
  class: hand-tool
  classes: {hand-tool: {what: Hand tools, duty: "2,7%"}}
sending:
  services:
    - name: surface
      currency: JPY
      steps: [{up-to: 1 kg, price: 1800}, {up-to: 2 kg, price: 2500}, {up-to: 5 kg, price: 4100}, {up-to: 10 kg, price: 7400}]
      limits: {weight: 20 kg}
      days: 35..50
  packing: {share: 6%, fixed: 250 g}
selling:
  venues:
    - {name: gable, fees: [{what: commission, percent: 11%, fixed: "0,45"}], charged: "6,90", postage: "7,20"}
    - {name: Marktstand, ships: no}
  target: 10%
`

// runs runs the command in the folder.
func (s *served) runs(args ...string) []byte {
	s.t.Helper()
	path, err := browser.Command()
	if err != nil {
		s.t.Fatal(err)
	}
	c := exec.Command(path, args...)
	c.Dir = s.folder
	var said strings.Builder
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		s.t.Fatalf("%v: %v\n%s%s", args, err, out, said.String())
	}
	return out
}

// said runs the command on a file of the folder as it is now, and reads its JSON.
func (s *served) said(into any, args ...string) {
	s.t.Helper()
	out := s.runs(append(args, "--format", "json")...)
	if err := json.Unmarshal(out, into); err != nil {
		s.t.Fatalf("%v: %v\n%s", args, err, out)
	}
}

// at opens a page of the desk in a browser.
func (s *served) at(path string) *browser.Page {
	s.t.Helper()
	p := browser.Open(s.t)
	p.Look(1280, 900, false)
	where, asked, _ := strings.Cut(path, "?")
	_, token, _ := strings.Cut(s.address, "?")
	p.Go(s.base + where + "?" + token + "&" + asked)
	return p
}

// waitSaved waits until the file is as wanted.
func (s *served) waitSaved(name, want string) {
	s.t.Helper()
	for end := time.Now().Add(time.Minute); s.text(name) != want; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			s.t.Fatalf("the file is\n%s\nwant\n%s", s.text(name), want)
		}
	}
}

// splitJSON is what split says of a file.
type splitJSON struct {
	Total string
	Items []struct {
		ID   string
		Cost string
		Each []struct {
			Count int
			Cost  string
		}
	}
}

// figure is a figure of a command as a page shows it.
func figure(text string, comma bool) string {
	if comma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// TestOpened opens a parcel: two sound, one dead, by one press; one weighed again; each piece then
// costs what split says.
func TestOpened(t *testing.T) {
	s := entered(t, "three.yaml", three)
	p := s.at("/haul/three.yaml?view=opened")
	p.On(`[name="kanna-48 dead"]`, `click()`)
	after := strings.Replace(three, `value: "31,50 EUR"}`, `value: "31,50 EUR", found: {sound: 2, dead: 1}}`, 1)
	s.waitSaved("three.yaml", after)
	p.Holds(`document.getElementById("n kanna-48 sound")?.textContent`, "2")
	var said splitJSON
	s.said(&said, "split", "three.yaml")
	p.Holds(`document.getElementById("cost kanna-48").innerText`, "2 sound: "+figure(said.Items[0].Each[0].Cost, true)+" each\n1 dead or missing")
	p.On(`[name="level missing"]`, `focus()`)
	p.Keys("\r")
	after = strings.Replace(after, `value: 45 EUR}`, `value: 45 EUR, found: {sound: 1, missing: 1}}`, 1)
	s.waitSaved("three.yaml", after)
	s.said(&said, "split", "three.yaml")
	p.Holds(`document.getElementById("cost level").innerText`, "1 sound: "+figure(said.Items[2].Cost, true)+"\n1 dead or missing")
	p.Holds(`document.activeElement.name`, "level missing")
	p.Holds(`document.body.innerText.split(`+"`total cost "+figure(said.Total, true)+"`"+`).length`, "2") // it is said once
	p.On(`[name="lots[kanna].items[nomi].weight"]`, `select()`)                                           // on the scales: 30 g more than was thought
	p.Keys("170 g\t")
	after = strings.Replace(after, "weight: 140 g", "weight: 170 g", 1)
	s.waitSaved("three.yaml", after)
	before := said.Items[1].Cost
	s.said(&said, "split", "three.yaml")
	if said.Items[1].Cost == before {
		t.Errorf("a heavier piece costs %s as before", before)
	}
	p.Holds(`document.getElementById("cost nomi").innerText`, "1 sound: "+figure(said.Items[1].Cost, true))
	look(t, p, "opened")
}
