package desk

import (
	"net"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"
)

// TestPhone lets a phone in by its code, once, and no more after five wrong ones.
func TestPhone(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	if got := s.get("/phone"); got.status != 404 {
		t.Errorf("a phone without --lan: %d", got.status)
	}
	l, err := net.Listen("tcp", "127.0.0.2:0") // it stands for the network
	if err != nil {
		t.Skip(err)
	}
	defer l.Close()
	address := s.Lan(l)
	go http.Serve(l, s.Handler(l))
	phone := func() *served {
		jar, _ := cookiejar.New(nil)
		return &served{Desk: s.Desk, t: t, base: "http://" + l.Addr().String(), client: &http.Client{Jar: jar}}
	}
	code := strings.TrimPrefix(address, "http://"+l.Addr().String())
	if !strings.HasPrefix(code, "/?code=") || len(code) != len("/?code=")+8 {
		t.Fatalf("the phone's address is %s", address)
	}
	if shown := s.get("/phone"); !strings.Contains(shown.body, address) || !strings.Contains(shown.body, "data:image/png;base64,") {
		t.Errorf("the page for phones is\n%s", shown.body)
	}
	stranger := phone()
	if got := stranger.get("/"); got.status != 403 {
		t.Errorf("without a code: %d", got.status)
	}
	if got := stranger.get(strings.TrimPrefix(s.address, s.base)); got.status != 403 {
		t.Errorf("the token over the network: %d", got.status)
	}
	first := phone()
	if got := first.get(code); got.status != 200 || !strings.Contains(got.body, "A crate of planes") {
		t.Errorf("with the code: %d", got.status)
	}
	if got := first.get("/haul/crate.yaml"); got.status != 200 {
		t.Errorf("once in: %d", got.status)
	}
	if got := phone().get(code); got.status != 403 {
		t.Errorf("the same code again: %d", got.status)
	}
	for range mostTries {
		stranger.get("/?code=AAAAAAAA")
	}
	if next := s.guard.code.address(); next != "" {
		t.Errorf("after too many tries %s is still good", next)
	}
	if got := s.post("/phone"); got.status != 200 || !strings.Contains(got.body, "?code=") {
		t.Errorf("another code: %d", got.status)
	}
	if got := phone().get("/" + s.guard.code.address()[len(s.guard.code.base):]); got.status != 200 {
		t.Errorf("by the other code: %d", got.status)
	}
}

// TestPicture draws a code that is as wide as it is high, light all around.
func TestPicture(t *testing.T) {
	text, err := Picture("http://192.0.2.7:8100/?code=ABCDEFGH", false)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	for _, line := range lines {
		n := len([]rune(line))
		if n != len([]rune(lines[0])) || !strings.HasPrefix(line, "████") || !strings.HasSuffix(line, "████") || n > 2*len(lines) {
			t.Errorf("a line of %d: %s", n, line)
		}
	}
}
