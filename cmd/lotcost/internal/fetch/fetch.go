// Package fetch brings published files over the web, tables of exchange rates among them. It
// stores nothing: what came whole and can be read is handed over.
package fetch

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"strings"
	"sync"
	"time"

	"lotcost/fx"
)

// ECB90Days is the address of the published table of the last 90 days, from memory and not checked.
const ECB90Days = "https://www.ecb.europa.eu/stats/eurofxref/eurofxref-hist-90d.xml"

// mostBytes is what package fx reads of a table at most.
const mostBytes = 64 << 20

// Request says what to fetch, and how.
type Request struct {
	URL      string        // http or https; "" means ECB90Days where a table is fetched
	Timeout  time.Duration // for the whole fetch; 0 means 30 seconds
	MaxBytes int64         // of the file; 0, or more than a file of its kind may have, as a table 64 MiB, means that

	transport http.RoundTripper // nil means the usual one
}

// File is a file that came whole.
type File struct {
	Name string // the last part of the URL's path, made safe as the name of a file in any folder
	Text []byte
}

// Table is a table that came whole.
type Table struct {
	File
	Summary fx.Summary // of the whole table, which was checked in full
}

// Fetch brings the table. An XML table is whole when its root element is closed, a CSV table when
// it ends with a line end; one that was cut off just there cannot be distinguished from a whole
// one, but has fewer days than before. Errors are those of [Request.File]; an [*fx.TableError] if
// the body is not a table is among the causes.
func (r Request) Fetch(ctx context.Context) (*Table, error) {
	t := &Table{}
	r.URL = cmp.Or(r.URL, ECB90Days)
	f, err := r.File(ctx, mostBytes, func(f *File) (err error) {
		t.Summary, err = check(f.Name, f.Text)
		return err
	})
	if err != nil {
		return nil, err
	}
	t.File = *f
	return t, nil
}

// File brings a file of so many bytes at most, of which whole says what is wrong with it, or nil.
// r.MaxBytes may set a lower bound.
//
// A bad URL is an *[AddressError]. Any other error wraps the cause: a redirect that is not http or
// https, or that leaves https; a status other than 200; the time-out, or ctx done; a body that is
// cut off or too large; what whole says. No error holds a password.
func (r Request) File(ctx context.Context, most int64, whole func(*File) error) (*File, error) {
	u, name, err := parse(r.URL)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, cmp.Or(r.Timeout, 30*time.Second))
	defer cancel()
	f := &File{Name: name}
	if f.Text, err = r.body(ctx, u, min(cmp.Or(r.MaxBytes, most), most)); err == nil {
		err = whole(f)
	}
	if err != nil {
		return nil, failed(u, err)
	}
	return f, nil
}

// AddressError says why a URL cannot be fetched. It does not repeat the URL, which may hold a
// password.
type AddressError struct{ Problem, Remedy string }

// Error says what is wrong with the address and what to write.
func (e *AddressError) Error() string { return e.Problem + ": " + e.Remedy }

// parse reads an address, and derives a file name that is safe in any folder from the last part of
// its path.
func parse(text string) (*url.URL, string, error) {
	u, err := url.Parse(text)
	if err != nil {
		return nil, "", &AddressError{"this is no address", "write one like " + ECB90Days}
	}
	if !onWeb(u) {
		return nil, "", &AddressError{"this is no web address", "write one that begins with https:// or http://"}
	}
	name := strings.Map(func(r rune) rune {
		if r < 0x80 && (r == '.' || r == '-' || r == '_' || '0' <= r && r <= '9' || 'a' <= r|0x20 && r|0x20 <= 'z') {
			return r
		}
		return '_'
	}, path.Base(u.Path))
	if name = strings.TrimLeft(name, "._"); name == "" || len(name) > 100 {
		return nil, "", &AddressError{"the address does not end in a file name", "give the address of the file itself"}
	}
	return u, name, nil
}

func onWeb(u *url.URL) bool {
	return (u.Scheme == "http" || u.Scheme == "https") && u.Host != ""
}

// body asks for u and gives all of a good answer.
func (r Request) body(ctx context.Context, u *url.URL, most int64) ([]byte, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, err
	}
	resp, err := r.client().Do(req)
	if err != nil {
		// The wrapper repeats the URL.
		if wrapped := (*url.Error)(nil); errors.As(err, &wrapped) {
			err = wrapped.Err
		}
		return nil, err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("the server answered %d %s", resp.StatusCode, http.StatusText(resp.StatusCode))
	}
	text, err := io.ReadAll(io.LimitReader(resp.Body, most+1))
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return nil, fmt.Errorf("the answer was cut off after %d bytes: %w", len(text), err)
	case err == nil && int64(len(text)) > most:
		return nil, fmt.Errorf("the answer is larger than %d bytes", most)
	}
	return text, err
}

// client checks where it is sent on to.
func (r Request) client() *http.Client {
	return &http.Client{Transport: r.transport, CheckRedirect: func(req *http.Request, via []*http.Request) error {
		switch {
		case !onWeb(req.URL):
			return fmt.Errorf("redirect refused: %q is not a web address", req.URL)
		case req.URL.Scheme == "http" && via[len(via)-1].URL.Scheme == "https":
			return errors.New("redirect refused: it leaves https for http")
		case len(via) >= 10:
			return errors.New("redirect refused: it is the tenth")
		}
		return nil
	}}
}

func check(name string, text []byte) (fx.Summary, error) {
	sum, err := fx.Summarize(bytes.NewReader(text))
	if bad := (*fx.TableError)(nil); errors.As(err, &bad) {
		bad.Name = name
	}
	if err == nil && text[len(text)-1] != '\n' && !bytes.HasSuffix(bytes.TrimSpace(text), []byte(">")) {
		err = errors.New("the table ends inside its last line: it was cut off on the way")
	}
	return sum, err
}

// failure says why a table could not be brought.
type failure struct {
	url string // without user and password
	err error  // the cause
}

func failed(u *url.URL, err error) error {
	if errors.Is(err, context.DeadlineExceeded) {
		err = fmt.Errorf("no whole answer in time: %w", err)
	}
	return &failure{url: withoutUser(u.String()), err: err}
}

// Error names the URL and the cause.
func (e *failure) Error() string { return withoutUser(fmt.Sprintf("fetching %s: %v", e.url, e.err)) }

// Unwrap gives the cause.
func (e *failure) Unwrap() error { return e.err }

var user = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`//[^\s"]*@`) })

// withoutUser hides what stands before an at sign in the addresses of a text: causes repeat
// addresses of redirects and proxies.
func withoutUser(text string) string { return user().ReplaceAllString(text, "//xxxxx@") }
