package fetch

import "net/http"

// By sends the request over a transport of the test's.
func (r Request) By(t http.RoundTripper) Request {
	r.transport = t
	return r
}
