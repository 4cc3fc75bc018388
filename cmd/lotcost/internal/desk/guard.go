package desk

import (
	"bytes"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"path"
	"slices"
	"strings"
)

// tokenKey is the parameter of an address that holds the token.
const tokenKey = "token"

// The most that a request may hold, in bytes: fields, and the whole text of a lot file.
const (
	mostFields = 1 << 20
	mostText   = 17 << 20
	mostHeard  = 256 << 20 // what is listened to before it is refused, so that the answer is heard
)

// guard lets only those in who have the token, and only from pages of the desk itself.
type guard struct {
	token, session string
	hosts          map[string]bool
	cookie         string // its name: cookies know no ports
	code           *code  // nil where the network is not served
}

// serves names an address under which the desk may be asked for.
func (g *guard) serves(address string) {
	g.hosts[address] = true
	_, port, _ := net.SplitHostPort(address)
	if isLoopback(address) {
		g.hosts[net.JoinHostPort("localhost", port)] = true
	}
	if g.cookie == "" {
		g.cookie = "lotcost-" + port
	}
}

// isLoopback reports whether an address is this computer's own, which no other reaches.
func isLoopback(address string) bool {
	host, _, err := net.SplitHostPort(address)
	return err == nil && (host == "localhost" || net.ParseIP(host).IsLoopback())
}

// policy is what a page may load and be loaded by: of this server alone, no script or
// style but its files, no frame around it.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func (g *guard) over(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if status, why := g.refuses(r); status != 0 {
			refuse(w, status, why)
			return
		}
		if token := r.URL.Query().Get(tokenKey); r.Method == http.MethodGet && token != "" {
			g.enter(w, r, token)
			return
		}
		if g.code.answers(g, w, r) {
			return
		}
		if !g.knows(r) {
			refuse(w, http.StatusForbidden, "The desk is open only to the address that it printed when it began. Take that one, with all of its last word.")
			return
		}
		if r.Method == http.MethodPost && !heard(w, r) {
			return
		}
		defer func() {
			if fault := recover(); fault != nil && fault != http.ErrAbortHandler {
				refuse(w, http.StatusInternalServerError, fmt.Sprintf("The page could not be made; this is a mistake of the desk's. Nothing was written. %v", fault))
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// refuses tells why a request is refused whoever it is from; 0 where it is not.
func (g *guard) refuses(r *http.Request) (status int, why string) {
	if !g.hosts[r.Host] {
		return http.StatusForbidden, "This desk is not called that."
	}
	other := func(origin string) bool { return origin != "http://"+r.Host }
	elsewhere := func(site string) bool { return site != "same-origin" && site != "none" }
	if slices.ContainsFunc(r.Header["Origin"], other) || slices.ContainsFunc(r.Header["Sec-Fetch-Site"], elsewhere) {
		return http.StatusForbidden, "This was sent by a page that is none of the desk's."
	}
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodPost:
	default:
		return http.StatusMethodNotAllowed, "The desk is read and written to, no more."
	}
	if p := r.URL.Path; p == "" || p[0] != '/' || path.Clean(p) != p || strings.ContainsAny(p, "\\\x00") {
		return http.StatusBadRequest, "There is no such place."
	}
	return 0, ""
}

// enter lets the holder of the token in: it goes into a cookie, and out of the address.
func (g *guard) enter(w http.ResponseWriter, r *http.Request, token string) {
	if subtle.ConstantTimeCompare([]byte(token), []byte(g.token)) != 1 || g.code.isOf(r.Host) {
		refuse(w, http.StatusForbidden, "This address is of another desk, or not whole. Take the one that the desk printed when it began.")
		return
	}
	to := *r.URL
	query := to.Query()
	query.Del(tokenKey)
	to.RawQuery = query.Encode()
	g.admit(w, r, to.RequestURI())
}

// admit gives a browser the cookie by which it is known, and sends it on.
func (g *guard) admit(w http.ResponseWriter, r *http.Request, to string) {
	http.SetCookie(w, &http.Cookie{Name: g.cookie, Value: g.session, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func (g *guard) knows(r *http.Request) bool {
	return slices.ContainsFunc(r.CookiesNamed(g.cookie), func(c *http.Cookie) bool {
		return subtle.ConstantTimeCompare([]byte(c.Value), []byte(g.session)) == 1
	})
}

// heard reads all of what is posted, or refuses it.
func heard(w http.ResponseWriter, r *http.Request) bool {
	most := int64(mostFields)
	if r.URL.Path == "/text" || r.URL.Path == "/bring" || r.URL.Path == "/workbook" {
		most = mostText
	}
	body, err := io.ReadAll(io.LimitReader(r.Body, most+1))
	var slow net.Error
	switch {
	case errors.As(err, &slow) && slow.Timeout():
		refuse(w, http.StatusRequestTimeout, "This took too long to arrive.")
	case err != nil:
		refuse(w, http.StatusBadRequest, "This did not arrive whole.")
	case int64(len(body)) > most:
		io.Copy(io.Discard, io.LimitReader(r.Body, mostHeard)) // whoever sends it hears no answer before
		refuse(w, http.StatusRequestEntityTooLarge, "This is more than a lot file can hold.")
	default:
		r.Body = io.NopCloser(bytes.NewReader(body))
		return true
	}
	return false
}
