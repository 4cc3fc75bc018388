package fetch

import "net/http"

// By sends the request over a transport of the test's.
func (r Request) By(t http.RoundTripper) Request {
	r.transport = t
	return r
}

// Failure is why a table could not be brought.
type Failure = failure

// URL is what was asked for, without user and password.
func (e *failure) URL() string { return e.url }
