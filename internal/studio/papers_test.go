package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"
	"testing/fstest"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// The papers can be looked at page by page, kept one by one or all together, and run nothing in the page that shows them.
func TestPapers(t *testing.T) {
	s, _ := opened(t)
	made := 0
	page := drawing.Page{Width: 210, Height: 297, Name: "first <b>", Items: []drawing.Item{drawing.Ln(geom.Vec2{X: 10, Y: 10}, geom.Vec2{X: 100, Y: 10}, drawing.Visible)}}
	v := NewServer(s, Rim{
		Assets: fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>page</title>")}},
		Papers: func(*Look) ([]Paper, error) {
			made++
			return []Paper{
				{Name: "plan.pdf", About: "a plan", Data: []byte("%PDF-"), Pages: []drawing.Page{page, {Width: 100, Height: 50}}},
				{Name: "page.html", Data: []byte("<script>alert(1)</script>")}, {Name: "list.csv", Data: []byte("a,b\n")}, {Name: "x.3mf", Data: []byte{0, 1}},
			}, nil
		},
	})
	l, link, err := v.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	go func() { over <- v.Serve(ctx, l) }()
	t.Cleanup(func() { cancel(); <-over })
	base := "http://" + l.Addr().String()
	c := browser(t, link)
	fetch := func(path string) (int, http.Header, []byte) {
		t.Helper()
		r, err := c.Get(base + path)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		b, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return r.StatusCode, r.Header, b
	}
	_, _, b := fetch("/api/papers")
	var list []PaperData
	if err := json.Unmarshal(b, &list); err != nil || len(list) != 4 || strings.Join(list[0].Pages, ",") != "first <b>,page 2" || len(list[1].Pages) != 0 {
		t.Fatalf("%v %s", err, b)
	}
	if code, h, b := fetch("/api/papers/plan.pdf/pages/1"); code != 200 || h.Get("Content-Type") != "image/svg+xml" || !bytes.Contains(b, []byte(`viewBox="0 0 210 297"`)) || bytes.Contains(b, []byte("<b>")) {
		t.Errorf("%d %v %.300s", code, h, b)
	}
	for _, n := range []string{"0", "3", "-1", "x", "99999999999999999999", "1.0"} {
		if code, _, _ := fetch("/api/papers/plan.pdf/pages/" + n); code != 404 {
			t.Errorf("page %s: %d", n, code)
		}
	}
	for name, want := range map[string][2]string{"plan.pdf": {"application/pdf", "frame-ancestors 'self'"}, "page.html": {"text/html; charset=utf-8", "sandbox"}, "x.3mf": {"application/octet-stream", "frame-ancestors 'none'"}} {
		_, h, _ := fetch("/api/papers/" + name)
		if p := h.Get("Content-Security-Policy"); h.Get("Content-Type") != want[0] || !strings.Contains(p, want[1]) || !strings.Contains(p, "default-src 'none'") || name == "page.html" && strings.Contains(p, "script") {
			t.Errorf("%s: %v", name, h)
		}
	}
	code, h, b := fetch("/api/packet.zip")
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if code != 200 || err != nil || len(z.File) != 4 || !strings.HasSuffix(z.File[0].Name, "-packet/plan.pdf") || !strings.Contains(h.Get("Content-Disposition"), "-packet.zip") {
		t.Errorf("%d %v %v", code, err, h)
	}
	if made != 1 {
		t.Errorf("the packet was made %d times for one file", made)
	}
	if code, _ := post(t, c, base+"/api/edit", `{"say":"t","edits":[{"op":"set","path":"title","value":"Another"}]}`); code != 200 {
		t.Fatal(code)
	}
	if fetch("/api/papers"); made != 2 {
		t.Errorf("made %d times after a change", made)
	}
	if code, _, _ := fetch("/api/papers/..%2f..%2fetc"); code != 404 {
		t.Error(code)
	}
}
