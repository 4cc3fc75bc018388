package desk

import (
	"fmt"
	"net"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"lotcost/testdata/effort"

	"github.com/chromedp/chromedp/kb"
)

// late is a listener whose answers come late, after they were made: what races with them is seen.
// LOTCOST_LATE says by how much in all tests.
type late struct {
	net.Listener
	by time.Duration
}

type lateConn struct {
	net.Conn
	by    time.Duration
	asked atomic.Bool
}

func slowly(t testing.TB, l net.Listener) net.Listener {
	t.Helper()
	by, err := time.ParseDuration(os.Getenv("LOTCOST_LATE"))
	if err != nil {
		return l
	}
	return late{l, by}
}

func (l late) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	return &lateConn{Conn: c, by: l.by}, err
}

func (c *lateConn) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if n > 0 {
		c.asked.Store(true)
	}
	return n, err
}

func (c *lateConn) Write(p []byte) (int, error) {
	if c.asked.Swap(false) {
		time.Sleep(c.by)
	}
	return c.Conn.Write(p)
}

// watched takes down what stood in each cell of the first grid, whatever took its place.
const watched = `(() => { window.seen = {}; setInterval(() => { for (const f of document.querySelector("table.grid").querySelectorAll("input[data-edit]:not([type=range])")) {
	const list = window.seen[f.closest("tr").rowIndex + "/" + f.closest("td").cellIndex] ||= [];
	if (list.at(-1) !== f.value) list.push(f.value); } }, 5); return 1; })()`

// TestTypedFast types through the fields of a grid, and on into a new row, faster than the desk
// answers: all of it is saved, nothing that was typed is taken back on the page, and the focus is
// where the keys led.
func TestTypedFast(t *testing.T) {
	t.Setenv("LOTCOST_LATE", fmt.Sprintf("%dms", effort.Cases(400, 120, 120)))
	open := strings.Replace(crate, "4600 JPY", "open", 1)
	s := entered(t, "crate.yaml", open)
	p := s.at("/haul/crate.yaml?view=before")
	p.Eval(watched, nil)
	p.On(`[name="lots[crate].items[jack].count"]`, `select()`)
	for _, typed := range []string{"4", "2.1 kg", "jack-5", "61 CAD"} {
		p.Keys(typed + "\t")
	}
	p.On(`[name="lots[crate].items[2].what"]`, `focus()`)
	for _, typed := range []string{"Iron", "2", "300 g", "iron-4", "12 CAD"} {
		p.Keys(typed + "\t")
	}
	want := strings.Replace(open, `count: 3, weight: 1.9 kg, value: 58 CAD}`, `model: jack-5, count: 4, weight: 2.1 kg, value: 61 CAD}`, 1)
	want += "      - {id: iron, what: Iron, model: iron-4, count: 2, weight: 300 g, value: 12 CAD}\n"
	s.waitSaved("crate.yaml", want)
	p.Holds(`document.activeElement.name`, "lots[crate].items[iron].~chance")
	p.Holds(`document.getElementById("said").textContent`, "Saved")
	var seen map[string][]string
	p.Eval(`window.seen`, &seen)
	for at, list := range seen {
		if slices.Sort(list); len(slices.Compact(slices.Clone(list))) < len(list) { // what was left came back
			t.Errorf("%s was %q", at, list)
		}
	}
	if !slices.Contains(seen["1/1"], "4") || !slices.Contains(seen["3/4"], "12 CAD") {
		t.Errorf("seen was %q", seen)
	}
}

// TestHalfTyped leaves a value that is not right in its field: it stands there, with what is wrong,
// while others are typed and saved, and the page is not left for another by mistake.
func TestHalfTyped(t *testing.T) {
	t.Setenv("LOTCOST_LATE", fmt.Sprintf("%dms", effort.Cases(200, 80, 80)))
	open := strings.Replace(crate, "4600 JPY", "open", 1)
	s := entered(t, "crate.yaml", open)
	p := s.at("/haul/crate.yaml?view=before")
	square := `[name="lots[crate].items[square].~value"]`
	p.On(square, `select()`)
	p.Keys("24 CA\t")
	p.Holds(`document.querySelector('`+square+`').getAttribute("aria-invalid")`, "true")
	p.Holds(`document.querySelector(".error").getBoundingClientRect().height > 10`, "true")
	p.On(`[name="lots[crate].items[jack].count"]`, `select()`)
	p.Keys("4\t")
	want := strings.Replace(open, "count: 3", "count: 4", 1)
	s.waitSaved("crate.yaml", want)
	p.On(`[name="lots[crate].items[2].what"]`, `focus()`) // a row comes in, and the page is another
	p.Keys("Iron\t")
	want += "      - {id: iron, what: Iron}\n"
	s.waitSaved("crate.yaml", want)
	p.Holds(`document.querySelectorAll("[name='lots[crate].items[iron].what']").length`, "1")
	for script, want := range map[string]string{`.value`: "24 CA", `.getAttribute("aria-invalid")`: "true"} {
		p.Holds(`document.querySelector('`+square+`')`+script, want)
	}
	p.On(square, `focus()`)
	p.Keys(kb.End + "D\t")
	s.waitSaved("crate.yaml", want)
	p.Holds(`document.querySelectorAll("[aria-invalid]").length`, "0")

	// A file that is changed beneath what is typed, and beneath the whole text.
	p.On(square, `select()`)
	p.Keys("2")
	put(t, s.folder+"/crate.yaml", want+"# elsewhere\n")
	p.Holds(`document.getElementById("said").textContent.includes("changed elsewhere")`, "true")
	p.Holds(`document.querySelector('`+square+`').value`, "2")
	p.Keys("6 CAD\t")
	want = strings.Replace(want, "24 CAD", "26 CAD", 1)
	s.waitSaved("crate.yaml", want+"# elsewhere\n") // both
	p.Go(s.base + "/haul/crate.yaml?view=text")
	p.On(`textarea`, `focus()`)
	p.Keys("# mine\n")
	put(t, s.folder+"/crate.yaml", want+"# elsewhere again\n")
	p.Holds(`document.getElementById("said").textContent.includes("changed elsewhere")`, "true")
	p.On(`.whole button`, `click()`)
	p.Holds(`document.querySelector(".versions").textContent.includes("# mine")`, "true")
	if now := s.text("crate.yaml"); now != want+"# elsewhere again\n" {
		t.Errorf("the file is\n%s", now)
	}
}
