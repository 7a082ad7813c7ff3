package studio

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"

	"knobwright/examples"
)

// arranged asks the server to arrange and gives all lines of the answer.
func arranged(t *testing.T, c *http.Client, base, body string) (lines []ArrangeLine) {
	t.Helper()
	r, err := c.Post(base+"/api/arrange", "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	s := bufio.NewScanner(r.Body)
	s.Buffer(nil, 8<<20)
	for s.Scan() {
		var l ArrangeLine
		if err := json.Unmarshal(s.Bytes(), &l); err != nil {
			t.Fatalf("%v: %.200s", err, s.Text())
		}
		lines = append(lines, l)
	}
	return lines
}

// The answer comes line by line; a proposal is one edit, and one step back undoes it.
func TestArrange(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	text := examples.File("first-panel")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	if code, b := post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Arranged"}]}`); code != 200 {
		t.Fatalf("%d %s", code, b)
	}
	was, _ := os.ReadFile(path)
	lines := arranged(t, c, base, `{"keep":[],"seed":1}`)
	last := lines[len(lines)-1]
	if len(lines) < 3 || last.Result == nil || len(last.Result.Proposals) == 0 || last.Part != 1 {
		t.Fatalf("%d lines, the last %+v", len(lines), last)
	}
	for i, l := range lines[:len(lines)-1] {
		if l.Result != nil || l.Say == "" || i > 0 && l.Part < lines[i-1].Part || l.Rev != last.Rev {
			t.Errorf("line %d: %+v", i, l)
		}
	}
	edits, _ := json.Marshal(last.Result.Proposals[0].Edits)
	if code, b := post(t, c, base+"/api/edit", `{"say":"arranged","edits":`+string(edits)+`}`); code != 200 {
		t.Fatalf("%d %s", code, b)
	}
	if now, _ := os.ReadFile(path); bytes.Equal(now, was) {
		t.Error("nothing was written")
	}
	if code, _ := post(t, c, base+"/api/undo", `{}`); code != 200 {
		t.Error(code)
	}
	if now, _ := os.ReadFile(path); !bytes.Equal(now, was) {
		t.Error("one step back does not undo it")
	}
	if code, b := post(t, c, base+"/api/arrange", `{"keep":["nobody"],"seed":1}`); code != http.StatusUnprocessableEntity || !bytes.Contains(b, []byte("nobody")) {
		t.Errorf("%d %s", code, b)
	}
}

// Whoever goes away calls the search off, and the next one begins at once.
func TestArrangeIsCalledOff(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	if err := os.WriteFile(path, examples.File("signal-desk"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, b := post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Called off"}]}`); code != 200 {
		t.Fatalf("%d %s", code, b)
	}
	ctx, cancel := context.WithCancel(context.Background())
	q, _ := http.NewRequestWithContext(ctx, http.MethodPost, base+"/api/arrange", strings.NewReader(`{"keep":[],"seed":1}`))
	r, err := c.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	_, _ = bufio.NewReader(r.Body).ReadString('\n')
	cancel()
	_ = r.Body.Close()
	if lines := arranged(t, c, base, `{"keep":["west-routes"],"seed":2}`); lines[len(lines)-1].Result == nil || lines[len(lines)-1].Result.Stopped {
		t.Errorf("%+v", lines[len(lines)-1])
	}
}

// Another board is arranged when it is asked for; the page knows which boards there are.
func TestArrangeAnotherBoard(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	text := "knobwright: 1\ntitle: T\nface: {width: 320, height: 140, sheet: acrylic-3mm}\nbox: {form: desk, front: 60, slope: 18 deg, walls: birch-ply-9mm}\ncontrols:\n" +
		"  go: {part: push-16mm, at: [60, 60]}\n  key: {part: key-16mm, at: [30, 30], on: right}\n  lead: {part: usb-c-16mm, on: back}\n"
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Boards"}]}`)
	_, b := post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Of boards"}]}`)
	var look LookData
	if err := json.Unmarshal(b, &look); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, x := range look.Boards {
		names = append(names, x.On+" "+x.Name)
		if x.On != "back" && (x.Width <= 0 || len(x.Outline) < 3) {
			t.Errorf("%s has no outline", x.Name)
		}
	}
	if strings.Join(names, ", ") != " the face, right the right side, back the back" || len(look.Waiting) != 1 || look.Waiting[0].On != "back" {
		t.Errorf("%v %+v", names, look.Waiting)
	}
	lines := arranged(t, c, base, `{"on":"back","keep":[],"seed":1}`)
	r := lines[len(lines)-1].Result
	if r == nil || len(r.Proposals) == 0 || len(r.Proposals[0].Spots) != 1 || r.Proposals[0].Spots[0].Control != "lead" {
		t.Fatalf("%+v", r)
	}
	if code, b := post(t, c, base+"/api/arrange", `{"on":"<b>","keep":[],"seed":1}`); code != 422 || !strings.Contains(string(b), "There are some on") {
		t.Errorf("%d %s", code, b)
	}
}
