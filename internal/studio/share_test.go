package studio

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/cookiejar"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"knobwright/internal/drawing/solid"
)

// shared opens the owner's door and the guests' one on this machine.
func shared(t *testing.T) (v *Server, own, ownLink, path string) {
	t.Helper()
	s, path := opened(t)
	v = NewServer(s, Rim{
		Assets: fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>page</title>")}, "assets/a.js": {Data: []byte("1")}},
		Papers: func(*Look) ([]Paper, error) { return []Paper{{Name: "a.txt", Data: []byte("secret plans")}}, nil },
		Solids: func(*Look) (*solid.Model, error) { return nil, nil },
	})
	l, link, err := v.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	if err := v.ShareOn(ctx, []string{"127.0.0.1"}); err != nil {
		t.Fatal(err)
	}
	go func() { over <- v.Serve(ctx, l) }()
	t.Cleanup(func() {
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	return v, "http://" + l.Addr().String(), link, path
}

func get(t *testing.T, c *http.Client, url string) (int, string) {
	t.Helper()
	r, err := c.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, _ := io.ReadAll(r.Body)
	return r.StatusCode, string(b)
}

func phone() *http.Client {
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: 20 * time.Second}
}

func TestGuestLooksAndTicksOnly(t *testing.T) {
	v, own, ownLink, path := shared(t)
	d, ok := v.Link()
	if !ok || len(d.Links) != 1 {
		t.Fatalf("%+v", d)
	}
	base := d.Links[0][:strings.Index(d.Links[0], "/?")]
	c := phone()
	if code, _ := get(t, c, base+"/api/look"); code != 403 {
		t.Errorf("without a link: %d", code)
	}
	if code, b := get(t, c, d.Links[0]); code != 200 || !strings.Contains(b, "url=/") {
		t.Fatalf("%d %s", code, b)
	}
	for _, p := range []string{"/", "/assets/a.js", "/api/look", "/api/drawing/front.svg", "/api/drawing/behind.svg"} {
		if code, b := get(t, c, base+p); code != 200 {
			t.Errorf("%s: %d %.100s", p, code, b)
		}
	}
	_, b := get(t, c, base+"/api/look")
	var l LookData
	if err := json.Unmarshal([]byte(b), &l); err != nil || !l.Guest || l.Text != "" || l.Controls[0].Move != "" || len(l.Controls) != 2 {
		t.Errorf("a guest sees %v %+v", err, l)
	}
	for _, p := range []string{"/api/papers", "/api/papers/a.txt", "/api/schema", "/api/wiring", "/api/parts", "/api/steps-of-others", "/api/lookout"} {
		if code, b := get(t, c, base+p); code != 403 || strings.Contains(b, "secret plans") {
			t.Errorf("%s: %d %.100s", p, code, b)
		}
	}
	before := content(t, path)
	for p, body := range map[string]string{
		"/api/edit": `{"edits":[{"op":"set","path":"title","value":"x"}]}`, "/api/text": `{"rev":1,"text":"x"}`, "/api/undo": `{}`, "/api/redo": `{}`,
		"/api/fix": `{"rev":1}`, "/api/act": `{"do":"remove","names":["go"]}`, "/api/share": `{}`, "/api/try": `{"edits":[]}`, "/api/tick/../edit": `{"edits":[{"op":"set","path":"title","value":"x"}]}`, "/": "",
	} {
		if code, b := post(t, c, base+p, body); code != 403 {
			t.Errorf("a guest's %s: %d %s", p, code, b)
		}
	}
	if content(t, path) != before {
		t.Error("a guest has changed the file")
	}
	// ticking is let through to whoever serves it; here nobody does
	if code, _ := post(t, c, base+"/api/tick", `{}`); code == 403 {
		t.Error("a guest may not tick")
	}
	// the two doors know nothing of each other
	if code, _ := get(t, c, own+"/api/look"); code != 403 {
		t.Errorf("a guest at the owner's door: %d", code)
	}
	o := browser(t, ownLink)
	if code, _ := get(t, o, base+"/api/look"); code != 403 {
		t.Errorf("the owner's cookie at the guests' door: %d", code)
	}
	if code, b := post(t, o, own+"/api/share", `{}`); code != 200 || !bytes.Contains(b, []byte("key=")) {
		t.Errorf("another link: %d %s", code, b)
	}
}

func TestLinkWorksOnce(t *testing.T) {
	v, _, _, _ := shared(t)
	d, _ := v.Link()
	if r, err := http.DefaultClient.Head(d.Links[0]); err != nil || r.StatusCode != 403 {
		t.Errorf("a glance at the link: %v", r.StatusCode)
	}
	if code, _ := get(t, phone(), d.Links[0]); code != 200 {
		t.Errorf("first use: %d", code)
	}
	if code, b := get(t, phone(), d.Links[0]); code != 403 || !strings.Contains(b, "has been used") {
		t.Errorf("second use: %d %s", code, b)
	}
	late, _ := v.Link()
	v.door.mu.Lock()
	v.door.now = func() time.Time { return time.Now().Add(linkFor + time.Second) }
	v.door.mu.Unlock()
	if code, b := get(t, phone(), late.Links[0]); code != 403 || !strings.Contains(b, "too old") {
		t.Errorf("an old link: %d %s", code, b)
	}
}

func TestPassEnds(t *testing.T) {
	v, _, _, _ := shared(t)
	d, _ := v.Link()
	c := phone()
	base := d.Links[0][:strings.Index(d.Links[0], "/?")]
	get(t, c, d.Links[0])
	if code, _ := get(t, c, base+"/api/look"); code != 200 {
		t.Fatal(code)
	}
	v.door.mu.Lock()
	v.door.now = func() time.Time { return time.Now().Add(stayFor + time.Second) }
	v.door.mu.Unlock()
	if code, _ := get(t, c, base+"/api/look"); code != 403 {
		t.Errorf("after its time: %d", code)
	}
}

func TestGuestsDoorIsGuarded(t *testing.T) {
	v, _, _, _ := shared(t)
	d, _ := v.Link()
	for _, x := range []struct{ what, host, origin, site string }{
		{"a rebound name", "evil.example:80", "", ""},
		{"a name for this machine", "localhost:80", "", ""},
		{"another page's origin", "", "http://evil.example", ""},
		{"a sandboxed page", "", "null", ""},
		{"a page of a sister name", "", "", "same-site"},
	} {
		q, _ := http.NewRequest(http.MethodGet, d.Links[0], nil)
		if x.host != "" {
			q.Host = x.host
		}
		if x.origin != "" {
			q.Header.Set("Origin", x.origin)
		}
		if x.site != "" {
			q.Header.Set("Sec-Fetch-Site", x.site)
		}
		r, err := http.DefaultTransport.RoundTrip(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != 403 || len(r.Cookies()) > 0 || !strings.HasPrefix(r.Header.Get("Content-Security-Policy"), "default-src 'none'") {
			t.Errorf("%s: %d %v", x.what, r.StatusCode, r.Cookies())
		}
	}
	if code, _ := get(t, phone(), d.Links[0]); code != 200 {
		t.Errorf("the link was spent by those who were refused: %d", code)
	}
}

func TestLinksAreBounded(t *testing.T) {
	v, _, _, _ := shared(t)
	for range 200 {
		v.Link()
	}
	if n := len(v.door.links); n > mostLinks {
		t.Errorf("%d links are kept", n)
	}
}

func TestSharingNeedsANetwork(t *testing.T) {
	s, _ := opened(t)
	v := NewServer(s, Rim{Assets: fstest.MapFS{}})
	if err := v.ShareOn(t.Context(), nil); err != ErrNoNetwork {
		t.Error(err)
	}
	for _, a := range []string{"0.0.0.0", "::", "desk.example", "", "224.0.0.1"} {
		if err := v.ShareOn(t.Context(), []string{a}); err == nil {
			t.Errorf("shared at %q", a)
		}
	}
	if _, ok := v.Link(); ok {
		t.Error("a link to nowhere")
	}
	for _, a := range LocalAddresses() {
		if strings.HasPrefix(a, "127.") {
			t.Error(a)
		}
	}
}

func TestActs(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	code, b := post(t, c, base+"/api/act", `{"do":"align","names":["go","bell"],"how":"centre"}`)
	var a ActData
	if err := json.Unmarshal(b, &a); code != 200 || err != nil {
		t.Fatalf("%d %v %s", code, err, b)
	}
	if a.Look.Undo != "align 2 controls" || !a.Keep || !strings.Contains(content(t, path), "bell: {part: push-16mm, at: [40, 50]}") || !strings.Contains(content(t, path), "# the big one") {
		t.Errorf("%+v\n%s", a, content(t, path))
	}
	post(t, c, base+"/api/undo", "{}")
	if content(t, path) != small {
		t.Error("one act is not one step")
	}
	code, b = post(t, c, base+"/api/try", `{"act":{"do":"move","names":["go","bell"],"by":[1,2]}}`)
	var tr TryData
	if err := json.Unmarshal(b, &tr); code != 200 || err != nil || len(tr.Moved) != 2 || tr.Moved[0] != (MovedData{"go", 41, 52}) || content(t, path) != small {
		t.Errorf("%d %v %s", code, err, b)
	}
	for body, want := range map[string]int{
		`{"do":"move","names":["nobody"]}`: 422, `{"do":"move","names":["go"],"by":[1e300,0]}`: 422, `{"do":7}`: 400, `{"what":1}`: 400, `[]`: 400, ``: 400,
		`{"do":"rename","names":["go"],"name":"../../etc"}`: 422, `{"do":"place","names":["go"],"across":"]\n}"}`: 422,
	} {
		if code, b := post(t, c, base+"/api/act", body); code != want || !bytes.Contains(b, []byte(`"say"`)) {
			t.Errorf("%s: %d %s", body, code, b)
		}
	}
	if content(t, path) != small {
		t.Error("what was refused is in the file")
	}
}

func TestCutFollowsTheHand(t *testing.T) {
	base, link, _ := served(t)
	c := browser(t, link)
	code, b := get(t, c, base+"/api/cut?of=go")
	var d CutData
	if err := json.Unmarshal([]byte(b), &d); code != 200 || err != nil || d.Of != "go" || d.Up != 50 || d.Width < 160 || d.Height < 20 || !strings.HasPrefix(strings.Join(d.Parts, ""), "<path") {
		t.Fatalf("%d %v %+v", code, err, d)
	}
	code, body := post(t, c, base+"/api/try", `{"act":{"do":"move","names":["go"],"by":[0,7]},"cut":"go"}`)
	var tr TryData
	if err := json.Unmarshal(body, &tr); code != 200 || err != nil || tr.Cut == nil || tr.Cut.Up != 57 {
		t.Errorf("%d %v %.200s", code, err, body)
	}
	// What the page has already is not sent again; put together it is the whole cut.
	var less TryData
	_, body = post(t, c, base+"/api/try", `{"act":{"do":"move","names":["go"],"by":[0,7]},"cut":"go","had":`+strconv.Itoa(d.Rev)+`}`)
	if err := json.Unmarshal(body, &less); err != nil || len(less.Cut.Same) != len(less.Cut.Parts) || len(less.Cut.Parts) != len(tr.Cut.Parts) {
		t.Fatalf("%v %.200s", err, body)
	}
	spared := 0
	for i, n := range less.Cut.Same {
		if n > 0 {
			less.Cut.Parts[i] = d.Parts[n-1]
			spared++
		}
	}
	if spared == 0 || !slices.Equal(less.Cut.Parts, tr.Cut.Parts) {
		t.Errorf("%d of %d parts spared, and together they are not the cut", spared, len(d.Parts))
	}
	if code, b := get(t, c, base+"/api/cut?of=nobody"); code != 200 || strings.Contains(b, "nobody") {
		t.Errorf("%d %.100s", code, b)
	}
}
