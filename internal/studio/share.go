package studio

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"knobwright/internal/edit"
)

// Sharing lets a phone in the same network look and tick, and nothing else. It is a door of its own, on a port of its own: the owner's
// door stays on this machine. A link opens it once, within linkFor; who came in stays for stayFor.
const (
	linkFor   = 10 * time.Minute
	stayFor   = 12 * time.Hour
	mostLinks = 16
	mostGuest = 32
	pass      = "knobwright-guest" // cookie of a guest
)

// guestMay lists what a guest may ask for: the page, what it shows, and to tick. All else is refused, whatever is added to the server.
var guestMay = []struct{ method, path string }{
	{http.MethodGet, "/"}, {http.MethodGet, "/index.html"}, {http.MethodGet, "/assets/"}, {http.MethodGet, "/fonts/"},
	{http.MethodGet, "/api/look"}, {http.MethodGet, "/api/events"}, {http.MethodGet, "/api/drawing/"},
	{http.MethodGet, "/api/steps"}, {http.MethodGet, "/api/steps/"}, {http.MethodPost, "/api/tick"},
}

type roleKey struct{}

// isGuest reports whether a request came in by the guests' door.
func isGuest(r *http.Request) bool { return r.Context().Value(roleKey{}) != nil }

// door is where guests come in.
type door struct {
	mu    sync.Mutex
	links map[[sha256.Size]byte]time.Time // not yet used, and until when
	in    map[[sha256.Size]byte]time.Time // passes, and until when
	hosts map[string]bool                 // addresses with ports that may be asked for
	now   func() time.Time
	next  http.Handler
}

func newDoor(next http.Handler) *door {
	return &door{links: map[[sha256.Size]byte]time.Time{}, in: map[[sha256.Size]byte]time.Time{}, hosts: map[string]bool{}, now: time.Now, next: next}
}

// link makes a key that opens the door once.
func (d *door) link() (key string, until time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	key, until = newSecret(), d.now().Add(linkFor)
	put(d.links, key, until, d.now(), mostLinks)
	return key, until
}

// put keeps a key; the ones that are over go, and the oldest when there are too many.
func put(m map[[sha256.Size]byte]time.Time, key string, until, now time.Time, most int) {
	for k, t := range m {
		if !t.After(now) {
			delete(m, k)
		}
	}
	for len(m) >= most {
		var old [sha256.Size]byte
		first := time.Time{}
		for k, t := range m {
			if first.IsZero() || t.Before(first) {
				old, first = k, t
			}
		}
		delete(m, old)
	}
	m[sha256.Sum256([]byte(key))] = until
}

// enter uses a link up and gives a pass for it.
func (d *door) enter(key string) (guest string, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	h := sha256.Sum256([]byte(key))
	until, ok := d.links[h]
	delete(d.links, h)
	if !ok || !until.After(d.now()) {
		return "", false
	}
	guest = newSecret()
	put(d.in, guest, d.now().Add(stayFor), d.now(), mostGuest)
	return guest, true
}

func (d *door) is(guest string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	until, ok := d.in[sha256.Sum256([]byte(guest))]
	return ok && until.After(d.now())
}

func (d *door) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	headers(w.Header())
	d.mu.Lock()
	known := d.hosts[r.Host]
	from := d.hosts[strings.TrimPrefix(r.Header.Get("Origin"), "http://")]
	d.mu.Unlock()
	switch site := r.Header.Get("Sec-Fetch-Site"); {
	case !known:
		http.Error(w, "Open the link as it was printed, with its numbers.", http.StatusForbidden)
		return
	case r.Header.Get("Origin") != "" && !from, site == "cross-site" && r.URL.Path != "/", site == "same-site":
		http.Error(w, "Another page may not ask for this.", http.StatusForbidden)
		return
	}
	if key := r.URL.Query().Get("key"); key != "" && r.Method == http.MethodGet && r.URL.Path == "/" {
		guest, ok := d.enter(key)
		if !ok {
			http.Error(w, "This link has been used, or is too old. Ask for another one at the machine that shares.", http.StatusForbidden)
			return
		}
		http.SetCookie(w, &http.Cookie{Name: pass, Value: guest, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(stayFor.Seconds())})
		// not a redirect: after a link from elsewhere a strict cookie would not be sent with it
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><meta http-equiv="refresh" content="0;url=/"><title>Knobwright</title><p><a href="/">Open the panel</a></p>`)
		return
	}
	c, err := r.Cookie(pass)
	if err != nil || !d.is(c.Value) {
		http.Error(w, "Ask for a link at the machine that shares: each one lets one phone in.", http.StatusForbidden)
		return
	}
	if !mayGuest(r) {
		say(w, http.StatusForbidden, "A guest may look and tick. Changes are made at the machine that shares.")
		return
	}
	d.next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), roleKey{}, true)))
}

func mayGuest(r *http.Request) bool {
	for _, m := range guestMay {
		if r.Method == m.method && (r.URL.Path == m.path || len(m.path) > 1 && strings.HasSuffix(m.path, "/") && strings.HasPrefix(r.URL.Path, m.path)) {
			return true
		}
	}
	return false
}

// ErrNoNetwork says that there is nobody to share with.
var ErrNoNetwork = errors.New("this machine is in no local network")

// LocalAddresses lists the addresses of this machine in local networks (those kept for private use, RFC 1918 and RFC 4193), at most four.
func LocalAddresses() []string {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var out []string
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsPrivate() && n.IP.To4() != nil && len(out) < 4 {
			out = append(out, n.IP.String())
		}
	}
	return out
}

// ShareOn opens the guests' door at addresses of this machine, each on a free port, until the context ends.
func (v *Server) ShareOn(ctx context.Context, addresses []string) error {
	if len(addresses) == 0 {
		return ErrNoNetwork
	}
	d := newDoor(v.mux)
	for _, a := range addresses {
		if ip := net.ParseIP(a); ip == nil || ip.IsUnspecified() || ip.IsMulticast() {
			return fmt.Errorf("%q is no address of this machine", a)
		}
		l, err := net.Listen("tcp", net.JoinHostPort(a, "0"))
		if err != nil {
			return err
		}
		d.hosts[l.Addr().String()] = true
		s := &http.Server{
			Handler: d, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, MaxHeaderBytes: 16 << 10,
			BaseContext: func(net.Listener) context.Context { return ctx },
		}
		go func() { _ = s.Serve(l) }()
		context.AfterFunc(ctx, func() { _ = s.Close() })
	}
	v.door = d
	return nil
}

// LinkData is a link that lets one phone in, once.
type LinkData struct {
	Links []string `json:"links"` // one for each network that this machine is in; the first one used spends them all
	Until string   `json:"until"` // when it stops working, as a clock time
}

// Link makes a link for one guest. It opens the door once, whichever of the addresses is taken.
func (v *Server) Link() (LinkData, bool) {
	if v.door == nil {
		return LinkData{}, false
	}
	key, until := v.door.link()
	d := LinkData{Until: until.Format("15:04")}
	for h := range v.door.hosts {
		d.Links = append(d.Links, "http://"+h+"/?key="+key)
	}
	return d, true
}

// share gives the owner a link for a phone.
func (v *Server) share(w http.ResponseWriter, r *http.Request) {
	d, ok := v.Link()
	if !ok || isGuest(r) {
		say(w, http.StatusForbidden, "Nothing is shared. Start it with knobwright open --share to let a phone look and tick.")
		return
	}
	answer(w, d)
}

// forGuest leaves out of a look what a guest has no use for: the text, what could be moved, and proposals.
func (d *LookData) forGuest() {
	d.Guest, d.Text, d.Undo, d.Redo, d.Groups = true, "", "", "", []edit.Group{}
	d.Controls = slices.Clone(d.Controls)
	for i := range d.Controls {
		d.Controls[i].Move = ""
	}
	d.Findings = slices.Clone(d.Findings)
	for i := range d.Findings {
		d.Findings[i].Fixes = nil
	}
}
