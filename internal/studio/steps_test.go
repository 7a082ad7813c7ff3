package studio

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"strings"
	"sync"
	"testing"

	notes "knobwright/internal/record"
)

// steps of a panel over the page's own way: read, ticked, read again after the program was started anew.
func TestStepsAndTicks(t *testing.T) {
	ask, get, path := pressPage(t)
	read := func() (d StepsData) {
		t.Helper()
		code, b := get("/api/steps")
		if code != 200 || json.Unmarshal(b, &d) != nil {
			t.Fatalf("%d %.200s", code, b)
		}
		return d
	}
	d := read()
	if len(d.Order.Steps) < 15 || d.Order.Done != 0 || d.Order.Next != "shop" || len(d.Boards) != 1 {
		t.Fatalf("%d steps, %d done, next %q, %d boards", len(d.Order.Steps), d.Order.Done, d.Order.Next, len(d.Boards))
	}
	lines, placed := 0, 0
	for _, s := range d.Order.Steps {
		for _, x := range s.Items {
			if strings.HasPrefix(s.ID, "drill-") || strings.HasPrefix(s.ID, "mount-face") {
				lines++
				if p, ok := d.Places[s.ID+"/"+x.ID]; ok && p.X > 0 && p.Y > 0 && p.Name != "" {
					placed++
				}
			}
		}
	}
	if lines == 0 || placed != lines {
		t.Errorf("%d of %d lines have a place on the face", placed, lines)
	}
	before, _ := os.ReadFile(path)
	var after StepsData
	if code, say := ask("/api/tick", `{"id":"shop","done":true,"note":"one nut short","lang":"de"}`, &after); code != 200 {
		t.Fatalf("%d %s", code, say)
	}
	if !after.Order.Steps[0].Done || after.Order.Steps[0].Note != "one nut short" || after.Order.Done != 1 || after.Order.Lang != "de" {
		t.Errorf("after the tick: %+v", after.Order.Steps[0])
	}
	if now, _ := os.ReadFile(path); string(now) != string(before) {
		t.Error("a tick changed the panel file")
	}
	ask("/api/tick", `{"id":"drill-face/1","done":true,"note":"","lang":""}`, &after)
	if d = read(); d.Order.Done != 1 || d.Order.Next == "shop" {
		t.Errorf("read again: %d done, next %s", d.Order.Done, d.Order.Next)
	}
	rec, err := os.ReadFile(notes.Beside(path))
	if err != nil || !strings.Contains(string(rec), "drill-face/1") {
		t.Errorf("the record: %v %s", err, rec)
	}
	ask("/api/tick", `{"id":"shop","done":false,"note":"","lang":""}`, &after)
	if after.Order.Done != 0 {
		t.Error("the tick was not taken back")
	}
	if code, say := ask("/api/tick", `{"id":"polish","done":true,"note":"","lang":""}`, &after); code != http.StatusUnprocessableEntity || !strings.Contains(say, "not in the order of work") {
		t.Errorf("a step that is none: %d %s", code, say)
	}
	if code, b := get("/api/steps/box.svg"); code != 200 && code != 404 || code == 200 && !strings.Contains(string(b), "<svg") {
		t.Errorf("the box: %d %.80s", code, b)
	}
	// A record that cannot be read is said, and nothing is written over it.
	if err := os.WriteFile(notes.Beside(path), []byte("ticks: [\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if d = read(); d.Trouble == "" {
		t.Error("a broken record is not said")
	}
	if code, _ := ask("/api/tick", `{"id":"shop","done":true,"note":"","lang":""}`, &after); code != http.StatusUnprocessableEntity {
		t.Errorf("a tick over a broken record: %d", code)
	}
	if now, _ := os.ReadFile(notes.Beside(path)); string(now) != "ticks: [\n" {
		t.Errorf("the broken record is now %q", now)
	}
}

// Many phones tick at once: no tick is lost.
func TestTicksAtOnce(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	if err := os.WriteFile(path, []byte(pressed), 0o644); err != nil {
		t.Fatal(err)
	}
	post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Pressed hard"}]}`)
	ids := []string{"shop", "measure", "print", "cut-face", "template-face", "drill-face", "deburr-face", "fit-face"}
	var wait sync.WaitGroup
	for _, id := range ids {
		wait.Go(func() {
			r, err := c.Post(base+"/api/tick", "application/json", strings.NewReader(`{"id":"`+id+`","done":true,"note":"","lang":""}`))
			if err != nil {
				t.Error(err)
				return
			}
			defer r.Body.Close()
			if b, _ := io.ReadAll(r.Body); r.StatusCode != 200 {
				t.Errorf("%s: %d %s", id, r.StatusCode, b)
			}
		})
	}
	wait.Wait()
	src, err := os.ReadFile(notes.Beside(path))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := notes.Read("x", src)
	if err != nil || len(rec.Ticks) != len(ids) {
		t.Errorf("%d ticks of %d: %v\n%s", len(rec.Ticks), len(ids), err, src)
	}
}

// A control that is renamed or taken out leaves what was ticked of it under its old name, and that is told.
func TestOldNamesInTheRecordAreTold(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	act := func(body string) ActData {
		t.Helper()
		code, b := post(t, c, base+"/api/act", body)
		var d ActData
		if err := json.Unmarshal(b, &d); code != 200 || err != nil {
			t.Fatal(code, string(b), err)
		}
		return d
	}
	if d := act(`{"do":"rename","names":["go"],"name":"start"}`); d.Note != "" {
		t.Error(d.Note)
	}
	record := "knobwright-record: 1\nticks:\n  mount-face/start: {on: 2026-05-02}\n"
	if err := os.WriteFile(strings.TrimSuffix(path, ".yaml")+".record.yaml", []byte(record), 0o644); err != nil {
		t.Fatal(err)
	}
	if d := act(`{"do":"rename","names":["start"],"name":"go"}`); !strings.Contains(d.Note, ".record.yaml under the old name") {
		t.Error(d.Note)
	}
	if d := act(`{"do":"remove","names":["bell"]}`); strings.Contains(d.Note, "record") {
		t.Error(d.Note)
	}
}
