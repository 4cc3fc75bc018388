package desk

import (
	"compress/gzip"
	"net/http"
	"strings"
)

// packed sends pages in a tenth of their length: that of a haul of 400 pieces is a megabyte, and
// goes to a phone at each key.
type packed struct {
	http.ResponseWriter
	zip *gzip.Writer
}

// packing has pages packed where the browser takes them so.
func packing(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			next.ServeHTTP(w, r)
			return
		}
		p := &packed{ResponseWriter: w}
		next.ServeHTTP(p, r)
		if p.zip != nil {
			p.zip.Close()
		}
	})
}

// WriteHeader implements [http.ResponseWriter]; each page says before that it is one.
func (p *packed) WriteHeader(status int) {
	if strings.HasPrefix(p.Header().Get("Content-Type"), "text/html") {
		p.Header().Set("Content-Encoding", "gzip")
		p.zip, _ = gzip.NewWriterLevel(p.ResponseWriter, gzip.BestSpeed)
	}
	p.ResponseWriter.WriteHeader(status)
}

// Write implements [http.ResponseWriter].
func (p *packed) Write(text []byte) (int, error) {
	if p.zip != nil {
		return p.zip.Write(text)
	}
	return p.ResponseWriter.Write(text)
}

// Unwrap lets deadlines be set and what changes be sent at once.
func (p *packed) Unwrap() http.ResponseWriter { return p.ResponseWriter }
