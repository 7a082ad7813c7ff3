package studio

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"net"
	"net/http"
	"strings"
)

// guard lets in only who was let in: requests to this machine's own names, from pages of this server, with the secret of this start.
// A hostile page in the same browser, or a name that was rebound to this machine, gets nothing.
type guard struct {
	secret string
	ports  map[string]bool // host:port that may be asked for
	next   http.Handler
}

// cookie carries the secret after the first visit.
const cookie = "knobwright"

// policy allows nothing from anywhere else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; frame-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// newSecret makes the secret of a start.
func newSecret() string {
	b := make([]byte, 18)
	if _, err := rand.Read(b); err != nil {
		panic(err) // the system has no random numbers: nothing is safe
	}
	return base64.RawURLEncoding.EncodeToString(b)
}

// own lists the names under which a listener on this machine may be asked for.
func own(addr net.Addr) map[string]bool {
	_, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return nil
	}
	return map[string]bool{"127.0.0.1:" + port: true, "localhost:" + port: true, "[::1]:" + port: true}
}

// headers let a page ask nobody else, and nobody else show it.
func headers(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	headers(w.Header())
	if !g.ports[r.Host] {
		http.Error(w, "This page is served to its own machine only.", http.StatusForbidden)
		return
	}
	if o := r.Header.Get("Origin"); o != "" && !g.ports[strings.TrimPrefix(o, "http://")] {
		http.Error(w, "Another page may not ask for this.", http.StatusForbidden)
		return
	}
	if s := r.Header.Get("Sec-Fetch-Site"); s != "" && s != "same-origin" && s != "none" {
		http.Error(w, "Another page may not ask for this.", http.StatusForbidden)
		return
	}
	if key := r.URL.Query().Get("key"); key != "" && r.Method == http.MethodGet && r.URL.Path == "/" {
		if !g.is(key) {
			http.Error(w, "This link is of another start. Use the one that was printed last.", http.StatusForbidden)
			return
		}
		http.SetCookie(w, &http.Cookie{Name: cookie, Value: key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	c, err := r.Cookie(cookie)
	if err != nil || !g.is(c.Value) {
		http.Error(w, "Open the link that knobwright printed: it lets you in.", http.StatusForbidden)
		return
	}
	g.next.ServeHTTP(w, r)
}

func (g *guard) is(key string) bool {
	return subtle.ConstantTimeCompare([]byte(key), []byte(g.secret)) == 1
}
