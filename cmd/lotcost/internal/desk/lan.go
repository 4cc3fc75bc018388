package desk

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"strings"
	"sync"

	"lotcost/cmd/lotcost/internal/sheet"

	"rsc.io/qr"
)

// codeKey is the parameter of an address that holds the code for a phone.
const codeKey = "code"

// mostTries is how often a code may be wrong before none is taken any more, until the desk asks
// for another.
const mostTries = 5

// code lets a phone of the home network in, once; then there is another for the next.
type code struct {
	base string // the address in the network

	mu    sync.Mutex
	word  string // eight signs; "" once too many were wrong
	wrong int
}

// newWord is a code of eight of 32 signs, of which none looks like another.
func newWord() string { return rand.Text()[:8] }

// Lan opens the desk to the network by a listener there, and returns the address with the
// code for one phone.
func (d *Desk) Lan(l net.Listener) string {
	d.guard.code = &code{base: "http://" + l.Addr().String() + "/", word: newWord()}
	return d.guard.code.address()
}

// address is where a phone enters; "" while no code is taken.
func (c *code) address() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.word == "" {
		return ""
	}
	return c.base + "?" + codeKey + "=" + c.word
}

// isOf reports whether a host is that of the network, where the token is no key.
func (c *code) isOf(host string) bool { return c != nil && c.base == "http://"+host+"/" }

// answers lets a phone in that has the code, and refuses what has another; it reports whether
// it did either.
func (c *code) answers(g *guard, w http.ResponseWriter, r *http.Request) bool {
	if c == nil || r.Method != http.MethodGet || !r.URL.Query().Has(codeKey) {
		return false
	}
	if !c.takes(r.URL.Query().Get(codeKey)) {
		refuse(w, http.StatusForbidden, "This code is not taken. It lets one phone in, once; the page \"A phone\" at the desk has another.")
		return true
	}
	g.admit(w, r, "/")
	return true
}

// takes uses the code up.
func (c *code) takes(word string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	word = strings.ToUpper(strings.ReplaceAll(word, "-", ""))
	if c.word == "" {
		return false
	}
	if subtle.ConstantTimeCompare([]byte(word), []byte(c.word)) != 1 {
		if c.wrong++; c.wrong >= mostTries {
			c.word = ""
		}
		return false
	}
	c.word, c.wrong = newWord(), 0
	return true
}

// renew makes another code.
func (c *code) renew() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.word, c.wrong = newWord(), 0
}

// NetworkAddress is an address of this machine in its network.
func NetworkAddress() (string, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return "", err
	}
	best := ""
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.To4() == nil || !n.IP.IsGlobalUnicast() {
			continue
		}
		if n.IP.IsPrivate() {
			return n.IP.String(), nil
		}
		best = n.IP.String()
	}
	if best == "" {
		return "", errors.New("this machine is in no network")
	}
	return best, nil
}

// Picture draws an address as a QR code (ISO/IEC 18004) of half blocks, for a terminal: two
// rows of it a line, with the quiet zone of four that it needs. With colour it is black on
// white whatever the terminal is like; without, light is drawn, as on a dark one.
func Picture(address string, colour bool) (string, error) {
	c, err := qr.Encode(address, qr.M)
	if err != nil {
		return "", err
	}
	const quiet = 4
	var b strings.Builder
	for y := -quiet; y < c.Size+quiet; y += 2 {
		if colour {
			b.WriteString("\x1b[38;5;231;48;5;16m")
		}
		for x := -quiet; x < c.Size+quiet; x++ {
			b.WriteString([]string{"█", "▀", "▄", " "}[sheet.Either(c.Black(x, y), 2, 0)+sheet.Either(c.Black(x, y+1), 1, 0)])
		}
		if colour {
			b.WriteString("\x1b[0m")
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

// phoneBody is the page that lets a phone in.
type phoneBody struct {
	Address, Folder string
	Picture         template.URL
}

// phone shows the code for the next phone.
func (d *Desk) phone(w http.ResponseWriter, r *http.Request) error {
	if d.guard.code == nil {
		return &refusal{http.StatusNotFound, "The desk is open on this computer alone. Begin it with --lan to use a phone."}
	}
	if r.Method == http.MethodPost {
		d.guard.code.renew()
		http.Redirect(w, r, "/phone", http.StatusSeeOther)
		return nil
	}
	b := phoneBody{Address: d.guard.code.address(), Folder: d.Folder}
	if b.Address != "" {
		c, err := qr.Encode(b.Address, qr.M)
		if err != nil {
			return &refusal{http.StatusInternalServerError, fmt.Sprintf("The picture could not be drawn: %v.", err)}
		}
		c.Scale = 6
		b.Picture = template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(c.PNG()))
	}
	w.Header().Set("Content-Security-Policy", strings.Replace(policy, "img-src 'self'", "img-src 'self' data:", 1))
	return d.send(w, http.StatusOK, "phone.html", frame{Title: "A phone", Where: "phone", Body: b})
}
