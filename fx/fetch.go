package fx

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// Addresses of the published tables, from memory and not checked: the newest day, the last 90 days, and all days since 1999.
const (
	ECBDaily   = "https://www.ecb.europa.eu/stats/eurofxref/eurofxref-daily.xml"
	ECB90Days  = "https://www.ecb.europa.eu/stats/eurofxref/eurofxref-hist-90d.xml"
	ECBHistory = "https://www.ecb.europa.eu/stats/eurofxref/eurofxref-hist.xml"
)

// Fetcher brings a published table into a folder. The zero value fetches [ECB90Days].
type Fetcher struct {
	URL      string        // http or https; "" means ECB90Days
	Client   *http.Client  // nil means a plain one; its CheckRedirect still applies
	Timeout  time.Duration // for the whole fetch; 0 means 30 seconds
	MaxBytes int64         // of the file; 0, or more than the 64 MiB that a table may have, means 64 MiB
}

// Fetched tells what was brought.
type Fetched struct {
	Path    string  // of the file, in the folder given
	Summary Summary // of the whole file, which was checked in full
	Bytes   int64   // size of the file
}

// Fetch brings the table into dir, which is made if it is not there, under the last part of the URL's path as name. An older file of that name
// is replaced only by a whole and sound one: the answer goes into a temporary file beside it, is checked in full as [Days] does,
// and then takes its place. After a failure the older file is as it was, and no temporary file is left.
//
// The error is a *FetchError, which wraps the cause: a URL or redirect that is not http or https, or that leaves https; a status other
// than 200; the time-out, or ctx done; a body that is cut off or too large; a *TableError if the body is not a table. A cut-off CSV body
// sent without its length can go unnoticed if the cut is at the end of a row.
func (f Fetcher) Fetch(ctx context.Context, dir string) (Fetched, error) {
	if f.URL == "" {
		f.URL = ECB90Days
	}
	u, err := url.Parse(f.URL)
	if err != nil {
		return Fetched{}, &FetchError{URL: f.URL, Err: errors.New("malformed URL: write one like " + ECB90Days)}
	}
	got, err := f.fetch(ctx, u, dir)
	if err != nil {
		if errors.Is(err, context.DeadlineExceeded) {
			err = fmt.Errorf("no whole answer in time: %w", err)
		}
		fail := &FetchError{URL: u.Redacted(), Err: err}
		if status := statusError(0); errors.As(err, &status) {
			fail.Status = int(status)
		}
		return Fetched{}, fail
	}
	return got, nil
}

// fetch does the work of Fetch; its errors lack the URL.
func (f Fetcher) fetch(ctx context.Context, u *url.URL, dir string) (Fetched, error) {
	if err := allowed(u); err != nil {
		return Fetched{}, err
	}
	name, err := fileName(u)
	if err != nil {
		return Fetched{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, orElse(f.Timeout, 30*time.Second))
	defer cancel()
	body, err := f.get(ctx, u)
	if err != nil {
		return Fetched{}, err
	}
	defer body.Close()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return Fetched{}, err
	}
	return store(body, min(orElse(f.MaxBytes, maxTable), maxTable), filepath.Join(dir, name))
}

// orElse gives v, or the default where v says nothing.
func orElse[T ~int64](v, otherwise T) T {
	if v <= 0 {
		return otherwise
	}
	return v
}

// allowed refuses addresses other than of the web.
func allowed(u *url.URL) error {
	if u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		return fmt.Errorf("%q is not a web address: write one that begins with https:// or http://", u.Redacted())
	}
	return nil
}

// fileName derives a file name that is safe in any folder from the last part of the path.
func fileName(u *url.URL) (string, error) {
	name := strings.Map(func(r rune) rune {
		if r < 0x80 && (r == '.' || r == '-' || r == '_' || '0' <= r && r <= '9' || 'a' <= r|0x20 && r|0x20 <= 'z') {
			return r
		}
		return '_'
	}, path.Base(u.Path))
	if name = strings.TrimLeft(name, "._"); name == "" || len(name) > 100 {
		return "", errors.New("the URL does not end in a file name: give the URL of the file itself")
	}
	return name, nil
}

// get asks for u and gives the body of a good answer.
func (f Fetcher) get(ctx context.Context, u *url.URL) (io.ReadCloser, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, err
	}
	resp, err := f.client().Do(req)
	if err != nil {
		// The wrapper repeats the URL, password and all.
		if wrapped := (*url.Error)(nil); errors.As(err, &wrapped) {
			err = wrapped.Err
		}
		return nil, err
	}
	if resp.StatusCode != http.StatusOK {
		resp.Body.Close()
		return nil, statusError(resp.StatusCode)
	}
	return resp.Body, nil
}

// client copies the client and makes it check where it is sent on to.
func (f Fetcher) client() *http.Client {
	c := http.Client{}
	if f.Client != nil {
		c = *f.Client
	}
	own := c.CheckRedirect
	c.CheckRedirect = func(req *http.Request, via []*http.Request) error {
		if err := allowed(req.URL); err != nil {
			return fmt.Errorf("redirect refused: %w", err)
		}
		if req.URL.Scheme == "http" && via[len(via)-1].URL.Scheme == "https" {
			return errors.New("redirect refused: it leaves https for http")
		}
		if own != nil {
			return own(req, via)
		}
		if len(via) >= 10 {
			return errors.New("redirect refused: it is the tenth")
		}
		return nil
	}
	return &c
}

// statusError is an answer with another status than 200.
type statusError int

// Error gives the status in number and words.
func (e statusError) Error() string {
	return fmt.Sprintf("the server answered %d %s", int(e), http.StatusText(int(e)))
}

// store puts a sound table in the place of the file at path, by way of a temporary file beside it.
func store(body io.Reader, most int64, path string) (Fetched, error) {
	temp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.tmp")
	if err != nil {
		return Fetched{}, err
	}
	got, err := fill(temp, body, most, filepath.Base(path))
	if err = errors.Join(err, temp.Close()); err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		os.Remove(temp.Name())
		return Fetched{}, err
	}
	got.Path = path
	return got, nil
}

// fill writes the body into temp, down to the disk, and checks what is there.
func fill(temp *os.File, body io.Reader, most int64, name string) (Fetched, error) {
	n, err := io.Copy(temp, io.LimitReader(body, most+1))
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return Fetched{}, fmt.Errorf("the answer was cut off after %d bytes: %w", n, err)
	} else if err != nil {
		return Fetched{}, err
	}
	if n > most {
		return Fetched{}, fmt.Errorf("the answer is larger than %d bytes", most)
	}
	if err := errors.Join(temp.Chmod(0o644), temp.Sync()); err != nil {
		return Fetched{}, err
	}
	if _, err := temp.Seek(0, io.SeekStart); err != nil {
		return Fetched{}, err
	}
	sum, err := Summarize(named(temp, name))
	return Fetched{Summary: sum, Bytes: n}, err
}

// FetchError says why a table could not be brought. What stood in its place before is as it was.
type FetchError struct {
	URL    string // without password
	Status int    // of the answer, if it was not 200; else 0
	Err    error  // the cause
}

// Error names the URL and the cause.
func (e *FetchError) Error() string { return fmt.Sprintf("fetching %s: %v", e.URL, e.Err) }

// Unwrap gives the cause.
func (e *FetchError) Unwrap() error { return e.Err }
