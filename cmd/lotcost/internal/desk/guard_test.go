package desk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs/tariff"
	"lotcost/landed/lotfile"
	"lotcost/testdata/effort"
)

// crate is a haul of one crate, won.
const crate = `lotcost: 1   # the first
title: A crate of planes
home: CAD
date: 2026-10-03
exchange: {rates: [100 JPY = 0.93 CAD]}
lots:
  - id: crate
    seller: tidemark
    price: 4600 JPY   # hammer
    items:
      - {id: jack, what: Jack planes, count: 3, weight: 1.9 kg, value: 58 CAD}
      - {id: square, what: Try square, weight: 310 g, value: 24 CAD}
`

// served is a desk that answers on this machine.
type served struct {
	*Desk
	t       testing.TB
	folder  string
	address string // with the token
	base    string
	client  *http.Client
	stop    func() // ends it
}

func serve(t testing.TB, folder string) *served {
	t.Helper()
	d, err := New(Options{Folder: folder, Files: lotfile.Options{Tariffs: &tariff.Cache{}}, Today: func() time.Time { return time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	if by, err := time.ParseDuration(os.Getenv("LOTCOST_PATIENCE")); err == nil {
		d.patience = by
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- d.Serve(ctx, slowly(t, l)) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	jar, _ := cookiejar.New(nil)
	s := &served{Desk: d, t: t, folder: folder, address: d.Address(l), base: "http://" + l.Addr().String(), client: &http.Client{Jar: jar}, stop: stop}
	return s
}

// entered is a served desk in which the client is known.
func entered(t testing.TB, files ...string) *served {
	t.Helper()
	folder := t.TempDir()
	for i := 0; i+1 < len(files); i += 2 {
		put(t, filepath.Join(folder, files[i]), files[i+1])
	}
	s := serve(t, folder)
	if r := s.get(strings.TrimPrefix(s.address, s.base)); r.status != 200 {
		t.Fatalf("not let in: %d", r.status)
	}
	return s
}

// put writes a file as other programs do: whole, since the desk looks at it at any time.
func put(t testing.TB, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	err := os.WriteFile(path+".new", []byte(text), 0o666)
	if err == nil {
		err = os.Rename(path+".new", path)
	}
	if err != nil {
		t.Fatal(err)
	}
}

type reply struct {
	status int
	head   http.Header
	body   string
}

func (s *served) do(r *http.Request) reply {
	s.t.Helper()
	answer, err := s.client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return reply{answer.StatusCode, answer.Header, string(body)}
}

func (s *served) request(method, path string, body io.Reader) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.base+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

func (s *served) get(path string) reply { return s.do(s.request("GET", path, nil)) }

func (s *served) post(path string, form ...string) reply {
	s.t.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(form); i += 2 {
		v.Add(form[i], form[i+1])
	}
	r := s.request("POST", path, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.do(r)
}

// TestPacked: a page is the same packed, in much less, and what goes on line by line is not.
func TestPacked(t *testing.T) {
	s := entered(t, "three.yaml", three)
	asked := func(path, packing string) reply {
		r := s.request("GET", path, nil)
		r.Header.Set("Accept-Encoding", packing)
		return s.do(r)
	}
	const page = "/haul/three.yaml?view=before"
	plain, zipped := asked(page, "identity"), asked(page, "gzip")
	if plain.head.Get("Content-Encoding") != "" || zipped.head.Get("Content-Encoding") != "gzip" || 3*len(zipped.body) > len(plain.body) {
		t.Errorf("%d bytes packed as %q, of %d", len(zipped.body), zipped.head.Get("Content-Encoding"), len(plain.body))
	}
	if got := s.get(page); got.body != plain.body {
		t.Error("it is another page when it is packed")
	}
	if got := asked("/write/three.yaml?of=costs&as=csv", "gzip"); got.status != 200 || got.head.Get("Content-Encoding") != "" {
		t.Errorf("a file: %d, %v", got.status, got.head)
	}
}

// TestRefused sends what no page of the desk would.
func TestRefused(t *testing.T) {
	outside := t.TempDir()
	put(t, filepath.Join(outside, "other.yaml"), crate)
	s := entered(t, "crate.yaml", crate, "book.yaml", "lotcost-book: 1\nhome: CAD\n", "secret.yaml", "password: 1\n", "plain.txt", "lotcost: 1\n")
	for link, to := range map[string]string{"out.yaml": filepath.Join(outside, "other.yaml"), "outside": outside, "in.yaml": filepath.Join(s.folder, "crate.yaml")} {
		if err := os.Symlink(to, filepath.Join(s.folder, link)); err != nil {
			t.Skip(err)
		}
	}
	s.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	known := s.client.Jar
	for _, test := range []struct {
		name, method, path string
		change             func(r *http.Request)
		stranger           bool
		want               int
	}{
		{"a page", "GET", "/haul/crate.yaml", nil, false, 200},
		{"without the cookie", "GET", "/haul/crate.yaml", nil, true, 403},
		{"with another token", "GET", "/?token=abc", nil, true, 403},
		{"with another token, though known", "GET", "/?token=abc", nil, false, 403},
		{"with another cookie", "GET", "/", func(r *http.Request) { r.AddCookie(&http.Cookie{Name: s.guard.cookie, Value: "abc"}) }, true, 403},
		{"another host", "GET", "/", func(r *http.Request) { r.Host = "example.org" }, false, 403},
		{"another port", "GET", "/", func(r *http.Request) { r.Host = "127.0.0.1:1" }, false, 403},
		{"another host with the token", "GET", strings.TrimPrefix(s.address, s.base), func(r *http.Request) { r.Host = "rebound.example:80" }, true, 403},
		{"a post from elsewhere", "POST", "/save", func(r *http.Request) { r.Header.Set("Origin", "http://example.org") }, false, 403},
		{"a post from nowhere", "POST", "/save", func(r *http.Request) { r.Header.Set("Origin", "null") }, false, 403},
		{"a post from https", "POST", "/save", func(r *http.Request) { r.Header.Set("Origin", "https://"+r.Host) }, false, 403},
		{"a post of two origins", "POST", "/save", func(r *http.Request) { r.Header["Origin"] = []string{s.base, "null"} }, false, 403},
		{"a post across sites", "POST", "/save", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, false, 403},
		{"a post of the same site", "POST", "/save", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, false, 403},
		{"a look across sites", "GET", "/", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, false, 403},
		{"another method", "DELETE", "/haul/crate.yaml", nil, false, 405},
		{"up", "GET", "/haul/../crate.yaml", nil, false, 400},
		{"up in other words", "GET", "/haul/..%2f..%2fetc%2fpasswd", nil, false, 400},
		{"up in the words of Windows", "GET", "/haul/..%5c..%5cboot.ini", nil, false, 400},
		{"twice the mark", "GET", "/haul//etc/passwd", nil, false, 400},
		{"nothing", "GET", "/haul/x%00.yaml", nil, false, 400},
		{"a link that leads out", "GET", "/haul/out.yaml", nil, false, 404},
		{"a folder that leads out", "GET", "/haul/outside/other.yaml", nil, false, 404},
		{"a link inside", "GET", "/haul/in.yaml", nil, false, 404},
		{"what is no lot file", "GET", "/haul/secret.yaml", nil, false, 404},
		{"defaults", "GET", "/haul/book.yaml", nil, false, 404},
		{"no yaml", "GET", "/haul/plain.txt", nil, false, 404},
		{"a folder", "GET", "/haul/outside", nil, false, 404},
		{"a view that is not there", "GET", "/haul/crate.yaml?view=x", nil, false, 404},
		{"a place that is not there", "GET", "/x", nil, false, 404},
		{"our own script", "GET", "/assets/x-../desk.go", nil, false, 404},
		{"another file of ours", "GET", "/assets/x-haul.html", nil, false, 404},
		{"a post without anything", "POST", "/save", nil, false, 404},
	} {
		t.Run(test.name, func(t *testing.T) {
			s.client.Jar = known
			if test.stranger {
				s.client.Jar = nil
			}
			r := s.request(test.method, test.path, nil)
			if test.change != nil {
				test.change(r)
			}
			got := s.do(r)
			if got.status != test.want {
				t.Errorf("%d, want %d", got.status, test.want)
			}
			if got.head.Get("Location") != "" {
				t.Errorf("sent on to %s", got.head.Get("Location"))
			}
			if test.want != 200 && (strings.Contains(got.body, "tidemark") || strings.Contains(got.body, "password") || strings.Contains(got.body, outside)) {
				t.Errorf("it tells too much:\n%s", got.body)
			}
			for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "X-Frame-Options": "DENY", "Content-Security-Policy": policy} {
				if got.head.Get(name) != want {
					t.Errorf("%s is %q", name, got.head.Get(name))
				}
			}
		})
	}
	s.client.Jar = known
	if first := s.get("/").body; strings.Contains(first, "out.yaml") || strings.Contains(first, "outside") || strings.Contains(first, "in.yaml") {
		t.Errorf("links are listed:\n%s", first)
	}
}

// TestEnter takes the token out of the address, into a cookie that no script reads.
func TestEnter(t *testing.T) {
	s := serve(t, t.TempDir())
	s.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	got := s.get(strings.TrimPrefix(s.address, s.base))
	if got.status != 303 || got.head.Get("Location") != "/" {
		t.Fatalf("%d to %q", got.status, got.head.Get("Location"))
	}
	if c := got.head.Get("Set-Cookie"); !strings.Contains(c, "HttpOnly") || !strings.Contains(c, "SameSite=Strict") || strings.Contains(c, s.guard.token) {
		t.Errorf("the cookie is %s", c)
	}
	if again := s.get("/"); again.status != 200 || strings.Contains(again.body, s.guard.token) {
		t.Errorf("%d:\n%s", again.status, again.body)
	}
}

// endless is a body of so many bytes.
type endless struct{ left int }

func (e *endless) Read(p []byte) (int, error) {
	if e.left == 0 {
		return 0, io.EOF
	}
	n := min(len(p), e.left)
	for i := range p[:n] {
		p[i] = 'a'
	}
	e.left -= n
	return n, nil
}

// TestTooLarge posts 100 MB, or under -short 20 MB, announced and not.
func TestTooLarge(t *testing.T) {
	size := effort.Cases(100, 100, 20) << 20
	s := entered(t, "crate.yaml", crate)
	for _, path := range []string{"/save", "/text"} {
		for _, announced := range []bool{true, false} {
			r := s.request("POST", path, &endless{size})
			if announced {
				r.ContentLength = int64(size)
			}
			if got := s.do(r); got.status != 413 {
				t.Errorf("%s: %d", path, got.status)
			}
		}
	}
}

// TestSlow sends a request that never ends: it is given up, and others are answered meanwhile.
func TestSlow(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	for _, begun := range []string{"GET / HTTP/1.1\r\nHost: ", "POST /save HTTP/1.1\r\nHost: " + strings.TrimPrefix(s.base, "http://") + "\r\nCookie: " + s.guard.cookie + "=" + s.guard.session + "\r\nContent-Length: 100\r\n\r\nfile="} {
		c, err := net.Dial("tcp", strings.TrimPrefix(s.base, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprint(c, begun)
		if got := s.get("/"); got.status != 200 {
			t.Errorf("%d meanwhile", got.status)
		}
		if !effort.All() { // to wait for the end takes long
			continue
		}
		c.SetReadDeadline(time.Now().Add(bodyTime + time.Minute))
		if _, err := io.ReadAll(c); err != nil && !errors.Is(err, net.ErrClosed) && !strings.Contains(err.Error(), "reset") {
			t.Errorf("it is still waited for: %v", err)
		}
	}
}

// TestReadingWritesNothing looks at every page and sees that no file was touched.
func TestReadingWritesNothing(t *testing.T) {
	s := entered(t, "2026/crate.yaml", crate, "broken.yaml", "lotcost: 1\nlots: [\n", "odd.yaml", strings.Replace(crate, "58 CAD", "58 CDA", 1))
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_CACHE_HOME", home)
	before := stateOf(t, s.folder)
	for _, path := range []string{"/", "/stock", "/doubles", "/sales", "/years", "/guesses", "/haul/2026/crate.yaml", "/haul/broken.yaml", "/haul/odd.yaml", "/write/2026/crate.yaml?of=costs&as=xlsx", "/write/2026/crate.yaml?of=costs&as=html", "/write/2026/crate.yaml?of=costs&as=csv"} {
		if got := s.get(path); got.status != 200 {
			t.Errorf("%s: %d\n%s", path, got.status, got.body)
		}
	}
	for _, v := range views {
		if got := s.get("/haul/2026/crate.yaml?view=" + v.id); got.status != 200 {
			t.Errorf("%s: %d", v.id, got.status)
		}
	}
	s.post("/try", "file", "2026/crate.yaml", "view", "costs", "path", "lots[crate].price", "value", "5000 JPY")
	if after := stateOf(t, s.folder); after != before {
		t.Errorf("before:\n%s\nafter:\n%s", before, after)
	}
	if left := stateOf(t, home); strings.Count(left, "\n") > 1 {
		t.Errorf("in the home directory:\n%s", left)
	}
}

// stateOf lists all files below a folder with their sizes and times.
func stateOf(t testing.TB, folder string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err == nil {
			fmt.Fprintln(&b, path, info.Size(), info.ModTime(), info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}
