package studio

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	notes "knobwright/internal/record"
)

// benchServer opens the cue desk and gives a way to ask.
func benchServer(t *testing.T) (file string, ask func(path string, body any) (BenchData, int, string)) {
	t.Helper()
	file = filepath.Join(t.TempDir(), "cue-desk.yaml")
	if err := os.WriteFile(file, examples.File("cue-desk"), 0o644); err != nil {
		t.Fatal(err)
	}
	look := func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
		doc := project.Read(filepath.Base(path), src)
		return doc, catalog.Builtin(), job.Check(doc, catalog.Builtin())
	}
	s, err := Open(file, look, look)
	if err != nil {
		t.Fatal(err)
	}
	v := NewServer(s, Rim{Assets: fstest.MapFS{}})
	return file, func(path string, body any) (BenchData, int, string) {
		t.Helper()
		method := "GET"
		var b bytes.Buffer
		if body != nil {
			method = "POST"
			if err := json.NewEncoder(&b).Encode(body); err != nil {
				t.Fatal(err)
			}
		}
		w := httptest.NewRecorder()
		v.mux.ServeHTTP(w, httptest.NewRequest(method, path, &b))
		var d BenchData
		if w.Code == 200 {
			if err := json.Unmarshal(w.Body.Bytes(), &d); err != nil {
				t.Fatal(err)
			}
		}
		return d, w.Code, w.Body.String()
	}
}

func lineOf(d BenchData, id string) BenchLine {
	for _, l := range d.Lines {
		if l.ID == id {
			return l
		}
	}
	return BenchLine{}
}

// A simulated panel with two leads exchanged: the page is told which, can leave it as it is, and then the same panel is right.
func TestBenchSimulated(t *testing.T) {
	file, ask := benchServer(t)
	d, code, text := ask("/api/bench", nil)
	if code != 200 || len(d.Lines) < 40 || d.Why != "" || len(d.Faults) < 100 {
		t.Fatal(code, text, len(d.Lines))
	}
	fault := []string{"swapped bell.no thunder.no"}
	if d, code, text = ask("/api/bench/begin", BenchBegin{Simulate: true, Faults: fault}); code != 200 || d.Source == "" {
		t.Fatal(code, text)
	}
	for _, id := range []string{"rest", "bell/press", "thunder/press"} {
		if d, code, text = ask("/api/bench/seen", BenchSeen{Line: id, Itself: true}); code != 200 {
			t.Fatal(code, text)
		}
	}
	if l := lineOf(d, "bell/press"); l.Said != "wrong" || !strings.Contains(l.Saw, "THUNDER came in place of BELL") {
		t.Errorf("%+v", l)
	}
	if d.Right || len(d.Causes) == 0 || !strings.Contains(d.Causes[0].Say, "exchanged") || len(d.Causes[0].Spots) == 0 || !d.Causes[0].Fix || len(d.Moments) == 0 {
		t.Fatalf("%+v", d.Causes)
	}
	if _, err := os.Stat(notes.Beside(file)); err == nil {
		t.Error("a simulated panel leaves ticks in the record")
	}
	if d, code, text = ask("/api/bench/take", BenchTake{N: 1}); code != 200 || len(d.Kept) != 1 || !strings.Contains(d.Note, "Kept in cue-desk.record.yaml") {
		t.Fatal(code, text, d.Kept)
	}
	now, err := os.ReadFile(file)
	if err != nil || string(now) != string(examples.File("cue-desk")) {
		t.Error("the panel file changed")
	}
}

// What the browser saw is judged and kept in the record.
func TestBenchSeen(t *testing.T) {
	file, ask := benchServer(t)
	d, _, _ := ask("/api/bench", nil)
	row, raw := -1, 0
	for i, r := range d.Rows {
		if r.Name == "bell" {
			row, raw = i, r.Raw[0]
		}
	}
	size := raw/8 + 4
	down := make([]int, size)
	down[raw/8] = 1 << (raw % 8)
	ask("/api/bench/begin", BenchBegin{Source: "Cue desk", Serial: "00C7", Table: d.Table})
	d, code, text := ask("/api/bench/seen", BenchSeen{Line: "bell/press", Moments: []BenchReport{{Raw: make([]int, size), Rows: []BenchMoved{}}, {At: 30, Raw: down, Rows: []BenchMoved{{Row: row, On: true}}}, {At: 200, Raw: make([]int, size), Rows: []BenchMoved{}}}})
	if l := lineOf(d, "bell/press"); code != 200 || l.Said != "right" || !strings.HasPrefix(l.Before, "right on 20") {
		t.Fatal(code, text, l)
	}
	text2, err := os.ReadFile(notes.Beside(file))
	if err != nil || !strings.Contains(string(text2), "unit: 00C7") {
		t.Errorf("%s %v", text2, err)
	}
	thunder := 0
	for _, r := range d.Rows {
		if r.Name == "thunder" {
			thunder = r.Raw[0]
		}
	}
	other := make([]int, size)
	other[thunder/8] = 1 << (thunder % 8)
	d, code, text = ask("/api/bench/free", BenchSeen{Moments: []BenchReport{{At: 0, Raw: make([]int, size), Rows: []BenchMoved{}}, {At: 100, Raw: other, Rows: []BenchMoved{}}, {At: 300, Raw: make([]int, size), Rows: []BenchMoved{}}, {At: 900, Raw: make([]int, size), Rows: []BenchMoved{}}}})
	if l := lineOf(d, "thunder/press"); code != 200 || l.Said != "right" {
		t.Errorf("free pressing: %d %s %+v", code, text, l)
	}
	if d, _, _ = ask("/api/bench/begin", BenchBegin{Source: "Cue desk", Table: d.Table ^ 1}); !strings.Contains(d.Note, "not the one of cue-desk.yaml") {
		t.Error(d.Note)
	}
	was, _ := os.ReadFile(notes.Beside(file))
	for _, path := range []string{"/api/bench/seen", "/api/bench/free"} { // and nothing is judged by its names
		if _, code, text := ask(path, BenchSeen{Line: "bell/press", Moments: []BenchReport{{Raw: down, Rows: []BenchMoved{}}}}); code != 422 || !strings.Contains(text, "not the one of") {
			t.Error(path, code, text)
		}
	}
	if now, _ := os.ReadFile(notes.Beside(file)); !bytes.Equal(was, now) {
		t.Error("a panel with another table left ticks")
	}
	ask("/api/bench/begin", BenchBegin{Source: "Cue desk", Table: d.Table})
	for path, body := range map[string]any{
		"/api/bench/seen":  BenchSeen{Line: "nowhere/press"},
		"/api/bench/take":  BenchTake{N: 9},
		"/api/bench/begin": BenchBegin{Simulate: true, Faults: []string{"bell explodes"}},
	} {
		if _, code, text := ask(path, body); code != 422 || !strings.Contains(text, ".") {
			t.Error(path, code, text)
		}
	}
}

// The question where a lead goes is answered with the pins that ring; what is no pin is told, and nothing is taken.
func TestBenchPins(t *testing.T) {
	_, ask := benchServer(t)
	ask("/api/bench/begin", BenchBegin{Simulate: true, Faults: []string{"go open-lead"}})
	d, code, text := ask("/api/bench/seen", BenchSeen{Line: "go/press", Itself: true})
	for range 6 {
		if code != 200 || d.Next == nil || d.Next.Wants == "pins" {
			break
		}
		d, code, text = ask("/api/bench/seen", BenchSeen{Itself: true})
	}
	if code != 200 || d.Next == nil || d.Next.Wants != "pins" || d.Next.Do != "trace" || !strings.Contains(d.Next.Say, "which ring") {
		t.Fatal(code, text, d.Next)
	}
	no, none := "Q77", "none"
	if _, code, text := ask("/api/bench/seen", BenchSeen{Pins: &no}); code != 422 || !strings.Contains(text, "by their numbers or names") {
		t.Error(code, text)
	}
	if d, code, text = ask("/api/bench/seen", BenchSeen{Pins: &none}); code != 200 || len(d.Causes) == 0 || !strings.Contains(d.Causes[0].Say, "GO no and expander") {
		t.Error(code, text, d.Causes)
	}
}
