package studio

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"knobwright/internal/drawing/solid"
	"knobwright/internal/finding"
)

// served starts a server on a small panel and gives its address with and without the secret.
func served(t *testing.T) (base, link, path string) {
	t.Helper()
	s, path := opened(t)
	v := NewServer(s, Rim{
		Assets: fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>page</title>")}},
		Papers: func(l *Look) ([]Paper, error) {
			return []Paper{{Name: "a.txt", About: "a paper", Data: []byte(l.Result.Panel.Title)}}, nil
		},
		Solids: func(*Look) (*solid.Model, error) { return nil, nil },
	})
	l, link, err := v.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	go func() { over <- v.Serve(ctx, l) }()
	t.Cleanup(func() {
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	return "http://" + l.Addr().String(), link, path
}

func browser(t *testing.T, link string) *http.Client {
	t.Helper()
	jar, _ := cookiejar.New(nil)
	c := &http.Client{Jar: jar, Timeout: 2 * time.Minute} // what has no answer by then hangs
	r, err := c.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if b, _ := io.ReadAll(r.Body); r.StatusCode != 200 || !strings.Contains(string(b), "page") {
		t.Fatalf("%d %s", r.StatusCode, b)
	}
	return c
}

func post(t *testing.T, c *http.Client, url, body string) (int, []byte) {
	t.Helper()
	r, err := c.Post(url, "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, _ := io.ReadAll(r.Body)
	return r.StatusCode, b
}

func TestServerIsSafeByDefault(t *testing.T) {
	base, link, _ := served(t)
	get := func(url, host, origin, site string) int {
		q, _ := http.NewRequest(http.MethodGet, url, nil)
		if host != "" {
			q.Host = host
		}
		if origin != "" {
			q.Header.Set("Origin", origin)
		}
		if site != "" {
			q.Header.Set("Sec-Fetch-Site", site)
		}
		r, err := http.DefaultTransport.RoundTrip(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if p := r.Header.Get("Content-Security-Policy"); !strings.HasPrefix(p, "default-src 'none'") {
			t.Errorf("%s has no strict policy: %q", url, p)
		}
		return r.StatusCode
	}
	for _, x := range []struct {
		what                    string
		url, host, origin, site string
		want                    int
	}{
		{"no secret", base + "/api/look", "", "", "", 403},
		{"no secret for the page", base + "/", "", "", "", 403},
		{"a wrong secret", base + "/?key=guess", "", "", "", 403},
		{"a rebound name", link, "evil.example:80", "", "", 403},
		{"a page of another origin", link, "", "http://evil.example", "", 403},
		{"a request from another site", link, "", "", "cross-site", 403},
		{"the printed link", link, "", "", "none", 303},
	} {
		if got := get(x.url, x.host, x.origin, x.site); got != x.want {
			t.Errorf("%s: %d, want %d", x.what, got, x.want)
		}
	}
}

func TestServerAnswers(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	code, b := post(t, c, base+"/api/edit", `{"say":"move GO","edits":[{"op":"set","path":"controls.go.at","value":"[45, 50]"}]}`)
	var l LookData
	if err := json.Unmarshal(b, &l); code != 200 || err != nil {
		t.Fatalf("%d %v %s", code, err, b)
	}
	if l.Undo != "move GO" || l.Rev != 2 || len(l.Controls) != 2 || l.Controls[0].X != 45 || !strings.Contains(content(t, path), "[45, 50]") {
		t.Errorf("%+v", l)
	}
	code, b = post(t, c, base+"/api/try", `{"say":"","edits":[{"op":"set","path":"controls.go.at","value":"[105, 50]"}]}`)
	var tr TryData
	if err := json.Unmarshal(b, &tr); code != 200 || err != nil || tr.Findings[0].Severity != finding.Stop || len(tr.Moved) != 1 {
		t.Errorf("a clash was not seen while dragging: %d %v %+v", code, err, tr)
	}
	if !strings.Contains(content(t, path), "[45, 50]") {
		t.Error("a try was saved")
	}
	for _, x := range []struct {
		name, url, body string
		want            int
		say             string
	}{
		{"malformed", "/api/edit", `{"edits": 7}`, 400, "not understood"},
		{"unknown field", "/api/edit", `{"edit": []}`, 400, "not understood"},
		{"no such path", "/api/edit", `{"edits":[{"op":"delete","path":"controls.nobody"}]}`, 422, ""},
		{"oversize", "/api/text", `{"rev":1,"text":"` + strings.Repeat("x", 3<<20) + `"}`, 413, "too much at once"},
		{"clash", "/api/text", `{"rev":1,"text":"knobwright: 1\n"}`, 409, "changed elsewhere"},
		{"no such fix", "/api/fix", `{"rev":2,"finding":99,"fix":0}`, 400, "no such proposal"},
		{"stale fix", "/api/fix", `{"rev":1,"finding":0,"fix":0}`, 409, "has changed"},
	} {
		code, b := post(t, c, base+x.url, x.body)
		if code != x.want || !bytes.Contains(b, []byte(x.say)) {
			t.Errorf("%s: %d %s", x.name, code, b)
		}
	}
	for url, want := range map[string]string{
		"/api/drawing/front.svg": "<svg", "/api/drawing/behind.svg": "<svg", "/api/parts?q=push+16": "push-16mm", "/api/schema": "json-schema", "/api/papers": "a.txt", "/api/papers/a.txt": "Small", "/api/wiring": `"wires"`,
	} {
		r, err := c.Get(base + url)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != 200 || !bytes.Contains(b, []byte(want)) {
			t.Errorf("%s: %d %.200s", url, r.StatusCode, b)
		}
	}
}

func TestOutsideSaveIsPushed(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	c.Timeout = 0
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	q, _ := http.NewRequestWithContext(ctx, http.MethodGet, base+"/api/events", nil)
	r, err := c.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	buf := make([]byte, 64)
	if n, _ := r.Body.Read(buf); string(buf[:n]) != "data: 1\n\n" {
		t.Errorf("first %q", buf[:n])
	}
	if err := os.WriteFile(path, []byte(strings.Replace(small, "Small", "Other", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	if n, err := r.Body.Read(buf); err != nil || string(buf[:n]) != "data: 2\n\n" {
		t.Errorf("then %q %v", buf[:n], err)
	}
}
