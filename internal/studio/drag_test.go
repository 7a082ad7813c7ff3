package studio

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// The line of a drag answers what POST /api/try answers, saves nothing, and says in a sentence what it does not understand.
func TestDragLine(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	dial := func(client *http.Client, origin string) (*websocket.Conn, int) {
		h := http.Header{}
		if origin != "" {
			h.Set("Origin", origin)
		}
		ws, r, err := websocket.Dial(ctx, "ws"+strings.TrimPrefix(base, "http")+"/api/drag", &websocket.DialOptions{HTTPClient: client, HTTPHeader: h})
		code := 0
		if r != nil {
			code = r.StatusCode
		}
		if err != nil {
			return nil, code
		}
		t.Cleanup(func() { _ = ws.CloseNow() })
		return ws, code
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, x := range map[string]struct {
		client *http.Client
		origin string
	}{
		"another page":       {c, "http://example.com"},
		"another port":       {c, "http://127.0.0.1:1"},
		"without the secret": {&http.Client{Jar: jar}, base},
	} {
		if ws, code := dial(x.client, x.origin); ws != nil || code != http.StatusForbidden {
			t.Errorf("%s gets a line: %d", name, code)
		}
	}
	ws, _ := dial(c, base)
	if ws == nil {
		t.Fatal("the page gets no line")
	}
	ask := func(q string) (d DragData) {
		t.Helper()
		if err := ws.Write(ctx, websocket.MessageText, []byte(q)); err != nil {
			t.Fatal(err)
		}
		_, b, err := ws.Read(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, &d); err != nil {
			t.Fatal(err)
		}
		return d
	}
	const q = `{"act":{"do":"move","names":["go"],"by":[1,2]},"cut":"go"}`
	d := ask(q)
	_, later, err := ws.Read(ctx) // the cut comes behind
	if err != nil {
		t.Fatal(err)
	}
	var behind DragData
	if err := json.Unmarshal(later, &behind); err != nil || behind.Cut == nil || behind.Try != nil || d.Cut != nil || d.Try == nil || d.Try.Cut != nil {
		t.Fatalf("%v %.200s", err, later)
	}
	d.Try.Cut = behind.Cut
	var same TryData
	_, b := post(t, c, base+"/api/try", q)
	if err := json.Unmarshal(b, &same); err != nil || d.Try == nil {
		t.Fatalf("%v %+v", err, d)
	}
	x, _ := json.Marshal(d.Try)
	y, _ := json.Marshal(same)
	if string(x) != string(y) || d.Try.Moved[0] != (MovedData{"go", 41, 52}) {
		t.Errorf("the line says\n%.300s\nand the request\n%.300s", x, y)
	}
	for _, bad := range []string{`{"act":7}`, `x`, ``, `{"act":{"do":"move","names":["nobody"],"by":[1,2]}}`, `{"act":{"do":"move","names":["go"],"by":[1e300,0]}}`, `{"what":1}`} {
		if d := ask(bad); d.Try != nil || !strings.HasSuffix(d.Say, ".") {
			t.Errorf("%s: %+v", bad, d)
		}
	}
	if content(t, path) != small {
		t.Error("a drag was saved")
	}
	if err := ws.Write(ctx, websocket.MessageText, make([]byte, longestTry+1)); err == nil {
		if _, _, err := ws.Read(ctx); err == nil {
			t.Error("a question without end is answered")
		}
	}
}
